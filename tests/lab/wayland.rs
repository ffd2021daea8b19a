//! Wayland compositors without displays.

use std::fs;
use std::os::unix::fs::{PermissionsExt, chown};
use std::path::{Path, PathBuf};
use std::process::Command;

use super::picture::Picture;
use super::{Process, poll, run};

/// What sway's lab needs.
pub(crate) const SWAY_PARTS: [&str; 5] = [
    "sway",
    "grim",
    "wtype",
    "setpriv",
    "/usr/share/vulkan/icd.d",
];
/// What KWin's lab needs.
pub(crate) const KWIN_PARTS: [&str; 4] = [
    "kwin_wayland",
    "dbus-daemon",
    "gdbus",
    "/usr/share/vulkan/icd.d",
];

/// What mutter's lab needs.
pub(crate) const MUTTER_PARTS: [&str; 2] = ["mutter", "dbus-daemon"];
/// What weston's lab needs.
pub(crate) const WESTON_PARTS: [&str; 1] = ["weston"];

/// The user that sway runs as, since it refuses to run as root.
const NOBODY: u32 = 65534;

/// A running compositor.
pub(crate) struct Compositor {
    runtime: PathBuf,
    socket: String,
    process: Process,
    /// What it needs to run.
    _bus: Option<Process>,
}

impl Compositor {
    /// Starts sway with these outputs: size and place.
    pub(crate) fn sway(folder: &Path, outputs: &[([u32; 2], [u32; 2])]) -> Compositor {
        Compositor::sway_scaled(folder, outputs, &vec!["1"; outputs.len()])
    }

    /// Starts sway with these outputs, and a scale for each.
    pub(crate) fn sway_scaled(
        folder: &Path,
        outputs: &[([u32; 2], [u32; 2])],
        scales: &[&str],
    ) -> Compositor {
        let runtime = runtime(folder);
        let config = runtime.join("config");
        let mut text = "default_border none\nfocus_follows_mouse no\n".to_owned();
        for (index, ([w, h], [x, y])) in outputs.iter().enumerate() {
            let (name, scale) = (index + 1, scales[index]);
            text += &format!(
                "output HEADLESS-{name} mode --custom {w}x{h}@60Hz position {x} {y} scale {scale}\n"
            );
        }
        fs::write(&config, text).expect("the test's folder can be written");
        let mut command = Command::new("setpriv");
        command
            .args(["--reuid=65534", "--regid=65534", "--clear-groups"])
            .args(["sway", "-c"])
            .arg(&config)
            .env("WLR_BACKENDS", "headless")
            .env("WLR_HEADLESS_OUTPUTS", outputs.len().to_string())
            .env("WLR_RENDERER", "pixman")
            .env("WLR_LIBINPUT_NO_DEVICES", "1")
            .env("XDG_RUNTIME_DIR", &runtime)
            .env_remove("WAYLAND_DISPLAY")
            .env_remove("DISPLAY");
        let process = Process::start(&mut command, &folder.join("sway.log"));
        let mut socket = String::new();
        poll("sway opens its socket", || {
            let names = fs::read_dir(&runtime).expect("just made").flatten();
            let names = names.map(|entry| entry.file_name().to_string_lossy().into_owned());
            let found = names
                .into_iter()
                .find(|name| name.starts_with("wayland-") && !name.ends_with(".lock"));
            socket = found.unwrap_or_default();
            !socket.is_empty()
        });
        let compositor = Compositor {
            runtime,
            socket,
            process,
            _bus: None,
        };
        poll("sway has its outputs", || {
            compositor.screenshot(outputs.len()).is_some()
        });
        compositor
    }

    /// Starts KWin with outputs of one size, side by side.
    pub(crate) fn kwin(folder: &Path, [w, h]: [u32; 2], scale: &str, count: usize) -> Compositor {
        let runtime = runtime(folder);
        // The installed program carries a file capability that fails here, and
        // a copy has none.
        let program = folder.join("kwin_wayland");
        let installed = run(Command::new("sh").args(["-c", "command -v kwin_wayland"]));
        fs::copy(installed.expect("checked before").trim(), &program).expect("can be copied");
        let (bus, daemon) = start_bus(folder, &runtime);
        let mut command = Command::new(&program);
        command
            .args(["--virtual", "--no-lockscreen", "--socket", "wl-lab"])
            .args(["--width", &w.to_string(), "--height", &h.to_string()])
            .args(["--scale", scale, "--output-count", &count.to_string()])
            .env("XDG_RUNTIME_DIR", &runtime)
            .env("DBUS_SESSION_BUS_ADDRESS", &bus)
            // Without it, only programs of the desktop may take pictures.
            .env("KWIN_SCREENSHOT_NO_PERMISSION_CHECKS", "1")
            .env("HOME", folder)
            .env_remove("WAYLAND_DISPLAY")
            .env_remove("DISPLAY");
        let process = Process::start(&mut command, &folder.join("kwin.log"));
        Compositor::at_lab_socket(runtime, process, Some(daemon))
    }

    /// Starts mutter with outputs of one size and these rates.
    pub(crate) fn mutter(folder: &Path, [w, h]: [u32; 2], rates_hz: &[u32]) -> Compositor {
        let runtime = runtime(folder);
        let (bus, daemon) = start_bus(folder, &runtime);
        let mut command = Command::new("mutter");
        command
            .args(["--headless", "--wayland", "--no-x11", "--sm-disable"])
            .args(["--wayland-display", "wl-lab"])
            .env("XDG_RUNTIME_DIR", &runtime)
            .env("DBUS_SESSION_BUS_ADDRESS", &bus)
            .env("HOME", folder)
            .env_remove("WAYLAND_DISPLAY")
            .env_remove("DISPLAY");
        for rate_hz in rates_hz {
            command.args(["--virtual-monitor", &format!("{w}x{h}@{rate_hz}")]);
        }
        let process = Process::start(&mut command, &folder.join("mutter.log"));
        Compositor::at_lab_socket(runtime, process, Some(daemon))
    }

    /// Starts weston with an output.
    pub(crate) fn weston(folder: &Path, [w, h]: [u32; 2]) -> Compositor {
        let runtime = runtime(folder);
        let mut command = Command::new("weston");
        command
            .args(["--backend=headless-backend.so", "--socket=wl-lab"])
            .args([format!("--width={w}"), format!("--height={h}")])
            .env("XDG_RUNTIME_DIR", &runtime)
            .env_remove("WAYLAND_DISPLAY")
            .env_remove("DISPLAY");
        let process = Process::start(&mut command, &folder.join("weston.log"));
        Compositor::at_lab_socket(runtime, process, None)
    }

    fn at_lab_socket(runtime: PathBuf, process: Process, bus: Option<Process>) -> Compositor {
        let compositor = Compositor {
            socket: "wl-lab".to_owned(),
            process,
            _bus: bus,
            runtime,
        };
        poll("the compositor opens its socket", || {
            compositor.runtime.join("wl-lab").exists()
        });
        compositor
    }

    /// Holds the compositor, as a fault would.
    pub(crate) fn hold(&self) {
        self.process.hold();
    }

    /// A command that runs on this compositor.
    pub(crate) fn command(&self, program: &str) -> Command {
        let mut command = Command::new(program);
        command.env("XDG_RUNTIME_DIR", &self.runtime);
        command.env("WAYLAND_DISPLAY", &self.socket);
        command.env_remove("DISPLAY");
        command
    }

    /// What an output shows, counted from 1; `None` where it can't be told.
    pub(crate) fn screenshot(&self, output: usize) -> Option<Picture> {
        let path = self.runtime.join("shot.png");
        let mut command = self.command("grim");
        command
            .args(["-o", &format!("HEADLESS-{output}")])
            .arg(&path);
        run(&mut command).ok()?;
        let picture = Picture::read(&path);
        fs::remove_file(&path).expect("just written");
        Some(picture)
    }

    /// What KWin shows on all outputs, in their own pixels; `None` while it
    /// can't be told.
    pub(crate) fn kwin_screenshot(&self) -> Option<Picture> {
        let raw = self.runtime.join("shot.raw");
        // The pixels come over a file that is handed to it, here the third.
        let call = "exec gdbus call --session --dest org.kde.KWin \
                    --object-path /org/kde/KWin/ScreenShot2 \
                    --method org.kde.KWin.ScreenShot2.CaptureWorkspace \
                    \"{'native-resolution': <true>}\" 3 3>\"$0\"";
        let mut command = self.command("sh");
        command.args(["-c", call]).arg(&raw);
        command.env("DBUS_SESSION_BUS_ADDRESS", bus_in(&self.runtime));
        let said = run(&mut command).ok()?;
        let number = |name: &str| {
            let (_, rest) = said.split_once(&format!("'{name}': <uint32 "))?;
            rest.split_once('>')?.0.parse::<usize>().ok()
        };
        let size = [number("width")?, number("height")?];
        let stride = number("stride")?;
        let mut bytes = Vec::new();
        poll("the pixels have come", || {
            bytes = fs::read(&raw).unwrap_or_default();
            bytes.len() >= stride * size[1]
        });
        Some(Picture::of_bgr_words(size, stride, &bytes))
    }

    /// Presses a key, on a keyboard that comes with it: windows need a moment
    /// to notice that there is one.
    pub(crate) fn key(&self, name: &str) {
        run(self
            .command("wtype")
            .args(["-s", "800", "-k", name, "-s", "200"]))
        .expect("keys can be pressed");
    }
}

/// Starts a message bus for a compositor. Gives its address.
fn start_bus(folder: &Path, runtime: &Path) -> (String, Process) {
    let bus = bus_in(runtime);
    let mut daemon = Command::new("dbus-daemon");
    daemon.args(["--session", "--nofork", "--address", &bus]);
    let daemon = Process::start(&mut daemon, &folder.join("bus.log"));
    poll("the bus is there", || runtime.join("bus").exists());
    (bus, daemon)
}

/// The address of the message bus in a compositor's folder.
fn bus_in(runtime: &Path) -> String {
    format!("unix:path={}", runtime.join("bus").display())
}

/// A folder for a compositor's socket that the unprivileged user may use; its
/// path is short, as sockets demand.
fn runtime(folder: &Path) -> PathBuf {
    let name = folder
        .file_name()
        .expect("a test's folder")
        .to_string_lossy();
    let runtime = Path::new("/tmp").join(format!("lab-{name}"));
    let _ = fs::remove_dir_all(&runtime);
    fs::create_dir(&runtime).expect("/tmp can be written");
    fs::set_permissions(&runtime, fs::Permissions::from_mode(0o700)).expect("ours");
    // Without the right to give it away, the tests run as that user already.
    let _ = chown(&runtime, Some(NOBODY), Some(NOBODY));
    runtime
}

impl Drop for Compositor {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.runtime);
    }
}
