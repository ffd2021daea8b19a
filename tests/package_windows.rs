//! What people download for Windows, on a Windows that has nothing else: every file of the
//! zip, the program for a double click, errors in a window, exit codes.

#![cfg(feature = "desktop")]

mod lab;

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use lab::picture::{Picture, expected_first};
use lab::show::{PANELS, RIG};
use lab::wine::{Wine, windows_path};
use lab::x11::{PARTS, Server, THREE};
use lab::{Process, folder, has_parts, poll, run, say_skipped, turn};

/// The variable that names the zip.
const ZIP: &str = "THROUGHLINE_WINDOWS_ZIP";

/// Libraries that every Windows 10 has.
const OF_THE_SYSTEM: [&str; 27] = [
    "advapi32.dll",
    "api-ms-win-core-synch-l1-2-0.dll",
    "bcrypt.dll",
    "bcryptprimitives.dll",
    "combase.dll",
    "comctl32.dll",
    "comdlg32.dll",
    "d3d12.dll",
    "dwmapi.dll",
    "dxgi.dll",
    "gdi32.dll",
    "imm32.dll",
    "kernel32.dll",
    "ktmw32.dll",
    "msvcrt.dll",
    "ntdll.dll",
    "ole32.dll",
    "oleaut32.dll",
    "opengl32.dll",
    "propsys.dll",
    "setupapi.dll",
    "shell32.dll",
    "shlwapi.dll",
    "user32.dll",
    "userenv.dll",
    "uxtheme.dll",
    "ws2_32.dll",
];

/// The zip's one folder, unpacked into a test's; `None` where there is no zip, which
/// fails where CI runs the tests.
fn unpacked(into: &Path) -> Option<PathBuf> {
    if !has_parts(&["unzip", "x86_64-w64-mingw32-objdump"]) {
        return None;
    }
    let Some(zip) = std::env::var_os(ZIP) else {
        assert!(
            std::env::var_os("CI").is_none(),
            "CI sets no {ZIP}: make the package for Windows"
        );
        say_skipped(&format!("{ZIP} names no package for Windows"));
        return None;
    };
    let mut unzip = Command::new("unzip");
    run(unzip.arg("-q").arg(zip).arg("-d").arg(into)).expect("the zip can be unpacked");
    let mut inside = fs::read_dir(into).expect("unpacked").flatten();
    let found = inside.next().expect("one folder").path();
    assert!(inside.next().is_none(), "one folder alone");
    Some(found)
}

fn files_in(root: &Path, folder: &Path, found: &mut BTreeSet<String>) {
    for entry in fs::read_dir(folder).expect("a folder").flatten() {
        let path = entry.path();
        if path.is_dir() {
            files_in(root, &path, found);
        } else {
            let name = path.strip_prefix(root).expect("inside");
            found.insert(name.to_string_lossy().into_owned());
        }
    }
}

#[test]
fn the_zip_has_these_files_and_no_others() {
    let Some(unpacked) = unpacked(&folder("package-files")) else {
        return;
    };
    let mut found = BTreeSet::new();
    files_in(&unpacked, &unpacked, &mut found);
    let mut wanted: BTreeSet<String> = [
        "SHA256SUMS.txt",
        "fonts/OFL.txt",
        "help.html",
        "licences.txt",
        "throughline-show.exe",
        "throughline.exe",
    ]
    .map(str::to_owned)
    .into();
    let source = Path::new(env!("CARGO_MANIFEST_DIR"));
    files_in(source, &source.join("rigs"), &mut wanted);
    assert_eq!(found, wanted);

    let mut check = Command::new("sha256sum");
    check.args(["--check", "--strict", "--quiet"]);
    let sums = unpacked.join("SHA256SUMS.txt");
    check.arg(&sums).current_dir(&unpacked);
    assert!(check.status().expect("everywhere").success());
    let listed = fs::read_to_string(&sums).expect("there").lines().count();
    assert_eq!(listed + 1, found.len());

    let read = |name: &str| fs::read_to_string(unpacked.join(name)).expect("there");
    let help = read("help.html");
    for words in [
        "<h2 id=",
        "throughline show my-rig.toml",
        "throughline-show.exe",
    ] {
        assert!(help.contains(words), "{words}");
    }
    assert!(!help.contains("cargo run"), "nobody there has it");
    let licences = read("licences.txt");
    for words in [
        "B612",
        "wgpu ",
        "winit ",
        "mingw-w64",
        "rust-web-src",
        "OPEN FONT LICENSE",
    ] {
        assert!(licences.contains(words), "{words}");
    }
    for demo in ["rally-loft", "tram-cab", "ferry-bridge", "night-train"] {
        let text = read(&format!("rigs/{demo}.toml"));
        assert!(
            text.lines().count() == text.matches("\r\n").count(),
            "{demo}"
        );
        throughline::rig::read(&text, demo, &[]).expect("a sound rig");
    }
}

#[test]
fn both_programs_are_small_and_need_nothing_but_windows() {
    let Some(unpacked) = unpacked(&folder("package-programs")) else {
        return;
    };
    let wide = |text: &str| -> Vec<u8> { text.encode_utf16().flat_map(u16::to_le_bytes).collect() };
    for name in ["throughline", "throughline-show"] {
        let path = unpacked.join(format!("{name}.exe"));
        let bytes = fs::read(&path).expect("there");
        assert!(bytes.len() < 12 << 20, "{name}: {} bytes", bytes.len());
        let has = |part: &[u8]| bytes.windows(part.len()).any(|found| found == part);
        for part in [&b"PerMonitorV2"[..], b"longPathAware", b"\x89PNG"] {
            assert!(has(part), "{name}: {}", String::from_utf8_lossy(part));
        }
        for part in [
            "FileVersion",
            env!("CARGO_PKG_VERSION"),
            &format!("{name}.exe"),
        ] {
            assert!(has(&wide(part)), "{name}: {part}");
        }
        let mut told = Command::new("x86_64-w64-mingw32-objdump");
        let told = run(told.arg("-p").arg(&path)).expect("it can be read");
        let needed = told
            .lines()
            .filter_map(|line| line.trim().strip_prefix("DLL Name: "));
        let needed: BTreeSet<String> = needed.map(str::to_lowercase).collect();
        assert!(needed.contains("kernel32.dll"), "{told}");
        let strange: Vec<_> = needed
            .iter()
            .filter(|name| !OF_THE_SYSTEM.contains(&name.as_str()))
            .filter(|name| !name.starts_with("api-ms-win-crt-"))
            .collect();
        assert!(strange.is_empty(), "{name} needs {strange:?}");
        let subsystem = if name == "throughline" { "CUI" } else { "GUI" };
        assert!(
            told.contains(&format!("(Windows {subsystem})")),
            "{name}: {told}"
        );
    }
}

/// Keeps a picture of the displays for people to look at.
fn keep(server: &Server, name: &str) {
    let out = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    server.screenshot().write(&out);
}

#[test]
fn a_person_gets_from_the_zip_to_a_saved_nudged_rig() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let folder = folder("package-show");
    let Some(unpacked) = unpacked(&folder.join("Größe и место")) else {
        return;
    };
    let Some(wine) = Wine::fresh(&folder, &unpacked.join("throughline.exe")) else {
        return;
    };
    let server = Server::start(&folder, &THREE);
    let double_click = unpacked.join("throughline-show.exe");
    let open = |dropped: &[&str]| {
        let mut command = wine.other(&server, &double_click);
        command.args(dropped).current_dir(&unpacked);
        Process::start(&mut command, &folder.join("open.log"))
    };

    // A rig file dropped on it.
    let rig = folder.join("banc d’été 測定.toml");
    fs::write(&rig, RIG.replace('\n', "\r\n")).expect("written");
    let wanted = expected_first(&rig, &[]);
    let mut process = open(&[&windows_path(&rig)]);
    let differing =
        |shown: &Picture| PANELS.map(|panel| shown.differing(panel, &wanted, [panel[0], panel[1]]));
    let mut presses = 0;
    poll("every panel shows its picture, without words", || {
        assert!(process.runs(), "it ended");
        if presses == 0 && server.screenshot().lit(PANELS[1]) > 10_000 {
            keep(&server, "package-windows-words.png");
            server.keys(&["o"]);
            presses = 1;
        }
        differing(&server.screenshot()) == [0; 3]
    });
    keep(&server, "package-windows-pattern.png");
    server.keys(&["o", "h"]);
    std::thread::sleep(std::time::Duration::from_secs(2));
    keep(&server, "package-windows-help.png");
    server.keys(&["h", "h", "Prior", "s"]);
    let nudged = || fs::read_to_string(&rig).is_ok_and(|text| text.contains("angle_deg = 40.5 "));
    poll("the nudge is saved", nudged);
    server.keys(&["q"]);
    assert_eq!(process.wait(), 0);

    // A double click: a rig of the connected displays, saved where it was started.
    let mut process = open(&[]);
    poll("every display is lit", || {
        let shown = server.screenshot();
        PANELS.iter().all(|panel| shown.lit(*panel) > 1000)
    });
    keep(&server, "package-windows-starter.png");
    server.keys(&["q"]);
    assert_eq!(process.wait(), 0);

    // Mistakes, each in a window that stays until it is read.
    let broken = folder.join("kaputt – сломан.toml");
    fs::write(&broken, RIG.replace("format = 1", "format = one")).expect("written");
    let mut process = open(&[&windows_path(&broken)]);
    let said = wine.words_of_box(&server, || keep(&server, "package-windows-error.png"));
    assert!(said.contains("kaputt – сломан.toml:2:10"), "{said}");
    assert!(!said.contains("throughline: "), "{said}");
    assert_eq!(process.wait(), 2);

    let mut process = open(&[&windows_path(&rig), &windows_path(&broken)]);
    let said = wine.words_of_box(&server, || ());
    assert_eq!(said, "2 files were dropped at once: drop one rig file");
    assert_eq!(process.wait(), 2);

    let mut command = wine.other(&server, &double_click);
    for name in ["VK_ICD_FILENAMES", "VK_DRIVER_FILES"] {
        command.env(name, "/nonexistent");
    }
    let mut process = Process::start(command.arg(windows_path(&rig)), &folder.join("none.log"));
    let said = wine.words_of_box(&server, || ());
    assert!(said.starts_with("No graphics adapter can draw"), "{said}");
    assert_eq!(process.wait(), 2);

    let alone = folder.join("throughline-show.exe");
    fs::copy(&double_click, &alone).expect("copied");
    let mut process = Process::start(&mut wine.other(&server, &alone), &folder.join("alone.log"));
    let said = wine.words_of_box(&server, || ());
    assert!(said.contains("unzip the whole folder"), "{said}");
    assert_eq!(process.wait(), 2);

    // In a terminal, codes hold.
    let code = |line: &str| {
        let mut command = wine.other(&server, Path::new("cmd"));
        command.args(["/c", line]).current_dir(&unpacked);
        let log = folder.join("cmd.log");
        let code = Process::start(&mut command, &log).wait();
        (code, fs::read_to_string(log).expect("written"))
    };
    let (done, said) = code("throughline.exe --version");
    assert_eq!(done, 0, "{said}");
    assert!(
        said.contains(concat!("throughline ", env!("CARGO_PKG_VERSION"))),
        "{said}"
    );
    assert_eq!(code(r"throughline.exe sheet rigs\tram-cab.toml").0, 0);
    assert_eq!(code("throughline.exe sheet no-such-rig").0, 2);
    let (found, said) = code(r"throughline.exe check rigs\tram-cab.toml --set seat.distance_mm=28");
    assert!(found == 1 || found == 2, "{found}: {said}");
}
