//! What people download for Linux, in a Debian that has nothing else.

#![cfg(all(feature = "desktop", target_os = "linux"))]

mod lab;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use lab::picture::expected_first;
use lab::show::{PANELS, start_named, write_rig};
use lab::x11::{PARTS, Server, THREE};
use lab::{folder, has_parts, poll, say_skipped, turn};

/// The variables that name the package, the archive and the empty system.
const PARTS_OF_TEST: [&str; 3] = ["THROUGHLINE_DEB", "THROUGHLINE_TARBALL", "THROUGHLINE_ROOT"];

/// The files that they name; `None` where one is missing, which fails where CI runs the
/// tests.
fn given() -> Option<[PathBuf; 3]> {
    if PARTS_OF_TEST
        .iter()
        .all(|name| std::env::var_os(name).is_some())
    {
        return Some(PARTS_OF_TEST.map(|name| PathBuf::from(std::env::var_os(name).expect("set"))));
    }
    assert!(
        std::env::var_os("CI").is_none(),
        "CI sets none of {PARTS_OF_TEST:?}: make the packages for Linux"
    );
    say_skipped(&format!("{PARTS_OF_TEST:?} aren't set"));
    None
}

/// A command in the other system.
fn inside(root: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(concat!(env!("CARGO_MANIFEST_DIR"), "/.ci/in-root"));
    command.arg(root).args(arguments);
    command
        .env("DEBIAN_FRONTEND", "noninteractive")
        .env("LC_ALL", "C.UTF-8");
    command.env("PATH", "/usr/sbin:/usr/bin:/sbin:/bin");
    command
}

fn ran(root: &Path, arguments: &[&str]) -> Output {
    let mut command = inside(root, arguments);
    for name in ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"] {
        command.env_remove(name);
    }
    command
        .stdin(Stdio::null())
        .output()
        .expect("it can be run")
}

/// What a command that must go well says.
fn said(root: &Path, arguments: &[&str]) -> String {
    let output = ran(root, arguments);
    let stderr = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{arguments:?}: {stderr}");
    String::from_utf8_lossy(&output.stdout).into_owned()
}

#[test]
fn a_person_gets_from_nothing_to_a_saved_nudged_rig() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let Some([deb, tarball, root]) = given() else {
        return;
    };
    let version = concat!("throughline ", env!("CARGO_PKG_VERSION"), "\n");
    let here = folder("package-linux");
    let rig = write_rig(&here);
    let picture = here.join("here.png");
    let mut draw = Command::new(lab::PROGRAM);
    draw.arg("screenshot").arg(&rig).arg("--out").arg(&picture);
    assert!(draw.status().expect("it starts").success());
    let drawn = fs::read(&picture).expect("written");
    fs::create_dir_all(root.join("home/anna")).expect("ours");
    let theirs = root.join("home/anna/banc d’été.toml");
    fs::copy(&rig, &theirs).expect("copied");

    // The archive needs nothing at all to draw.
    let unpack = ["tar", "-C", "/opt", "-xzf", "/archive.tar.gz"];
    fs::copy(&tarball, root.join("archive.tar.gz")).expect("copied");
    said(&root, &unpack);
    let name = tarball
        .file_name()
        .expect("a file")
        .to_string_lossy()
        .replace(".tar.gz", "");
    let program = format!("/opt/{name}/bin/throughline");
    assert_eq!(said(&root, &[&program, "--version"]), version);
    let arguments = [
        "screenshot",
        "/home/anna/banc d’été.toml",
        "--out",
        "/home/anna/opt.png",
    ];
    said(&root, &[&[program.as_str()][..], &arguments[..]].concat());
    assert!(fs::read(root.join("home/anna/opt.png")).expect("written") == drawn);

    // The package brings what it needs.
    fs::copy(&deb, root.join("throughline.deb")).expect("copied");
    said(&root, &["apt-get", "update", "-qq"]);
    let install = ["apt-get", "install", "-y", "-qq", "--no-install-recommends"];
    said(&root, &[&install[..], &["/throughline.deb"]].concat());
    assert_eq!(said(&root, &["throughline", "--version"]), version);
    assert_eq!(said(&root, &["dpkg", "--verify", "throughline"]), "");
    let files = said(&root, &["dpkg", "-L", "throughline"]);
    let mut wanted: Vec<String> = [
        "bin/throughline",
        "share/applications/throughline.desktop",
        "share/bash-completion/completions/throughline",
        "share/doc/throughline/copyright",
        "share/doc/throughline/fonts/OFL.txt",
        "share/doc/throughline/help.html",
        "share/doc/throughline/licences-of-the-standard-library.html",
        "share/doc/throughline/rigs/tram-cab.toml",
        "share/fish/vendor_completions.d/throughline.fish",
        "share/icons/hicolor/scalable/apps/throughline.svg",
        "share/man/man1/throughline.1.gz",
        "share/zsh/vendor-completions/_throughline",
    ]
    .map(|name| format!("/usr/{name}"))
    .into();
    let commands = said(&root, &["throughline", "manual", "--list"]);
    assert!(commands.lines().count() > 10, "{commands}");
    let pages = commands
        .lines()
        .map(|name| format!("/usr/share/man/man1/throughline-{name}.1.gz"));
    wanted.extend(pages);
    for name in &wanted {
        assert!(
            files.lines().any(|line| line == name),
            "{name} is not in {files}"
        );
    }
    // Nothing else, but for the demos' further files.
    let folders = |name: &&str| root.join(&name[1..]).is_dir();
    let others: Vec<_> = files
        .lines()
        .filter(|name| !folders(name) && !name.contains("/rigs/"))
        .filter(|name| !wanted.iter().any(|known| known == name))
        .collect();
    assert!(others.is_empty(), "{others:?}");
    let bash =
        "source /usr/share/bash-completion/completions/throughline && complete -p throughline";
    assert!(said(&root, &["bash", "-c", bash]).contains("throughline"));

    // The loader came along, a driver is somebody's choice.
    let server = Server::start(&here, &THREE);
    let mut none = inside(
        &root,
        &["throughline", "show", "/home/anna/banc d’été.toml"],
    );
    none.envs(
        server
            .command("x")
            .get_envs()
            .filter_map(|(name, value)| Some((name, value?))),
    );
    let output = none.output().expect("it starts");
    let stderr = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{stderr}");
    assert!(stderr.contains("install a driver for Vulkan"), "{stderr}");
    said(&root, &[&install[..], &["mesa-vulkan-drivers"]].concat());

    let wanted = expected_first(&rig, &[]);
    let mut command = inside(&root, &["throughline"]);
    command.envs(
        server
            .command("x")
            .get_envs()
            .filter_map(|(name, value)| Some((name, value?))),
    );
    command.env("HOME", "/home/anna");
    let mut show = start_named(command, &rig, "/home/anna/banc d’été.toml", &[]);
    server.keys(&["o"]);
    server.wait_for(&wanted);
    server.keys(&["o", "h"]);
    std::thread::sleep(std::time::Duration::from_secs(2));
    let help = Path::new(env!("CARGO_TARGET_TMPDIR")).join("package-linux-help.png");
    server.screenshot().write(&help);
    server.keys(&["h", "h", "Prior", "s"]);
    poll("the nudge is saved", || {
        fs::read_to_string(&theirs).is_ok_and(|text| text.contains("angle_deg = 40.5 "))
    });
    assert!(server.screenshot().lit(PANELS[1]) > 10_000);
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());

    said(&root, &["apt-get", "remove", "-y", "-qq", "throughline"]);
    assert!(!root.join("usr/bin/throughline").exists());
    assert!(theirs.exists());
}
