//! An X server with several outputs, and what runs on it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicU32, Ordering};

use super::picture::Picture;
use super::{Process, poll, run};

/// What the server needs.
pub const PARTS: [&str; 7] = [
    "Xorg",
    "xrandr",
    "xwd",
    "xprop",
    "xdotool",
    "/usr/lib/xorg/modules/drivers/dummy_drv.so",
    "/usr/share/vulkan/icd.d",
];

const CONFIG: &str = r#"
Section "ServerFlags"
    Option "AutoAddDevices" "false"
    Option "AutoEnableDevices" "false"
    Option "AutoAddGPU" "false"
    Option "DontVTSwitch" "true"
    Option "AllowMouseOpenFail" "true"
EndSection
Section "Device"
    Identifier "card"
    Driver "dummy"
    VideoRam 512000
EndSection
Section "Monitor"
    Identifier "any"
    HorizSync 5.0-1000.0
    VertRefresh 5.0-300.0
EndSection
Section "Screen"
    Identifier "all"
    Device "card"
    Monitor "any"
    DefaultDepth 24
    SubSection "Display"
        Depth 24
        Virtual 11520 4320
    EndSubSection
EndSection
"#;

/// An output: its size and its place.
pub type Output = ([u32; 2], [u32; 2]);

/// Three displays of different sizes, not in the system's order, one upright.
pub const THREE: [Output; 3] = [
    ([1600, 900], [1280, 120]),
    ([1280, 720], [0, 300]),
    ([720, 1280], [2880, 0]),
];

/// A running X server.
pub struct Server {
    display: String,
    folder: PathBuf,
    _process: Process,
}

impl Server {
    /// Starts a server with these outputs.
    pub fn start(folder: &Path, outputs: &[Output]) -> Server {
        static NUMBER: AtomicU32 = AtomicU32::new(0);
        let first = 200 + std::process::id() % 700;
        let display = loop {
            let number = first + NUMBER.fetch_add(1, Ordering::Relaxed);
            let lock = format!("/tmp/.X{number}-lock");
            let socket = format!("/tmp/.X11-unix/X{number}");
            if !Path::new(&lock).exists() && !Path::new(&socket).exists() {
                break format!(":{number}");
            }
        };
        let config = folder.join("xorg.conf");
        fs::write(&config, CONFIG).expect("the test's folder can be written");
        let mut command = Command::new("Xorg");
        command
            .arg(&display)
            .arg("-config")
            .arg(&config)
            .args(["-noreset", "-nolisten", "tcp", "-novtswitch", "-sharevts"])
            .arg("-logfile")
            .arg(folder.join("xorg.log"));
        let process = Process::start(&mut command, &folder.join("xorg.out"));
        let server = Server {
            display,
            folder: folder.to_owned(),
            _process: process,
        };
        poll("the X server answers", || {
            run(&mut server.command("xrandr")).is_ok()
        });
        for (index, (size, _)) in outputs.iter().enumerate() {
            let [w, h] = *size;
            let name = format!("{w}x{h}_lab");
            // The dummy driver takes any timing; a mode may be known already.
            let timing = [w, w + 48, w + 80, w + 160, h, h + 3, h + 8, h + 41];
            let mut mode = server.command("xrandr");
            mode.args(["--newmode", &name, "241.5"]);
            let _ = run(mode.args(timing.map(|number| number.to_string())));
            let mut add = server.command("xrandr");
            run(add.args(["--addmode", &output(index), &name])).expect("a mode");
        }
        server.set_outputs(outputs);
        server
    }

    /// Puts the outputs in their places; outputs beyond them are switched off.
    pub fn set_outputs(&self, outputs: &[Output]) {
        let mut command = self.command("xrandr");
        for index in 0..4 {
            command.args(["--output", &output(index)]);
            match outputs.get(index) {
                Some(([w, h], [x, y])) => {
                    command.args(["--mode", &format!("{w}x{h}_lab")]);
                    command.args(["--pos", &format!("{x}x{y}")]);
                    if index == 0 {
                        command.arg("--primary");
                    }
                }
                None => {
                    command.arg("--off");
                }
            }
        }
        run(&mut command).expect("the outputs can be set");
        // Outputs count as connected, to wine, once the server was asked anew.
        run(&mut self.command("xrandr")).expect("the server answers");
    }

    /// A command that runs on this server.
    pub fn command(&self, program: &str) -> Command {
        let mut command = Command::new(program);
        command.env("DISPLAY", &self.display);
        command.env_remove("WAYLAND_DISPLAY");
        command.env("XDG_RUNTIME_DIR", &self.folder);
        command
    }

    /// Starts a window manager and waits until it manages.
    pub fn start_manager(&self, program: &str, arguments: &[&str]) -> Process {
        let mut command = self.command(program);
        command.args(arguments).env("HOME", &self.folder);
        command.env("XDG_CONFIG_HOME", self.folder.join("config"));
        command.env("XDG_CACHE_HOME", self.folder.join("cache"));
        let process = Process::start(&mut command, &self.folder.join("manager.log"));
        poll("the window manager announces itself", || {
            let mut asked = self.command("xprop");
            asked.args(["-root", "_NET_SUPPORTING_WM_CHECK"]);
            run(&mut asked).is_ok_and(|said| said.contains("window id"))
        });
        process
    }

    /// What the server shows.
    pub fn screenshot(&self) -> Picture {
        let path = self.folder.join("root.xwd");
        // It fails where a window comes or goes while it looks.
        poll("a dump is made", || {
            let mut command = self.command("xwd");
            run(command.args(["-root", "-silent", "-out"]).arg(&path)).is_ok()
        });
        let picture = Picture::of_dump(&fs::read(&path).expect("just written"));
        fs::remove_file(&path).expect("just written");
        picture
    }

    /// Presses keys, one after the other.
    pub fn keys(&self, keys: &[&str]) {
        let mut command = self.command("xdotool");
        run(command.args(["key", "--delay", "60"]).args(keys)).expect("keys can be pressed");
    }

    /// Runs xdotool.
    pub fn xdotool(&self, arguments: &[&str]) -> Result<String, String> {
        run(self.command("xdotool").args(arguments))
    }
}

fn output(index: usize) -> String {
    format!("DUMMY{index}")
}
