//! An X server with several outputs, and what runs on it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};

use super::picture::Picture;
use super::show::{PANELS, Show, start, write_rig};
use super::{PROGRAM, Process, folder, has_parts, poll, run};

/// What the server needs.
pub(crate) const PARTS: [&str; 7] = [
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
        Virtual WIDTH HEIGHT
    EndSubSection
EndSection
"#;

/// An output: its size and its place.
pub(crate) type Output = ([u32; 2], [u32; 2]);

/// Three displays of different sizes, not in the system's order, one upright.
pub(crate) const THREE: [Output; 3] = [
    ([1600, 900], [1280, 120]),
    ([1280, 720], [0, 300]),
    ([720, 1280], [2880, 0]),
];

/// A running X server.
pub(crate) struct Server {
    display: String,
    folder: PathBuf,
    /// Whether windows are given the keyboard, and not the one under the pointer.
    is_keyboard_given: AtomicBool,
    _process: Process,
}

impl Server {
    /// Starts a server with these outputs.
    pub(crate) fn start(folder: &Path, outputs: &[Output]) -> Server {
        Server::start_with_room(folder, outputs, [11_520, 4320])
    }

    /// Starts a server with these outputs, and room for a desktop of this size.
    pub(crate) fn start_with_room(folder: &Path, outputs: &[Output], room: [u32; 2]) -> Server {
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
        let text = CONFIG.replace("WIDTH", &room[0].to_string());
        let text = text.replace("HEIGHT", &room[1].to_string());
        fs::write(&config, text).expect("the test's folder can be written");
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
            is_keyboard_given: AtomicBool::new(true),
            _process: process,
        };
        poll("the X server answers", || {
            run(&mut server.command("xrandr")).is_ok()
        });
        for (index, (size, _)) in outputs.iter().enumerate() {
            server.add_mode(index, *size);
        }
        server.set_outputs(outputs);
        server
    }

    /// Makes a mode of this size known to an output.
    pub(crate) fn add_mode(&self, index: usize, [w, h]: [u32; 2]) {
        let name = format!("{w}x{h}_lab");
        // The dummy driver takes any timing; a mode may be known already.
        let timing = [w, w + 48, w + 80, w + 160, h, h + 3, h + 8, h + 41];
        let mut mode = self.command("xrandr");
        mode.args(["--newmode", &name, "241.5"]);
        let _ = run(mode.args(timing.map(|number| number.to_string())));
        let mut add = self.command("xrandr");
        run(add.args(["--addmode", &output(index), &name])).expect("a mode");
    }

    /// Puts the outputs in their places; outputs beyond them are switched off.
    pub(crate) fn set_outputs(&self, outputs: &[Output]) {
        self.set_outputs_but(outputs, None);
    }

    /// Puts the outputs in their places, but for one that is switched off.
    pub(crate) fn set_outputs_but(&self, outputs: &[Output], off: Option<usize>) {
        let mut command = self.command("xrandr");
        for index in 0..4 {
            command.args(["--output", &output(index)]);
            match outputs.get(index).filter(|_| off != Some(index)) {
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
        // Only when it is asked does the driver notice that they are connected.
        run(&mut self.command("xrandr")).expect("the outputs are known");
    }

    /// A command that runs on this server.
    pub(crate) fn command(&self, program: &str) -> Command {
        let mut command = Command::new(program);
        command.env("DISPLAY", &self.display);
        command.env_remove("WAYLAND_DISPLAY");
        command.env("XDG_RUNTIME_DIR", &self.folder);
        command
    }

    /// Starts a window manager and waits until it manages.
    pub(crate) fn start_manager(&self, program: &str, arguments: &[&str]) -> Process {
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

    /// Puts a bar of a desktop, red, along the top of a display, with its room
    /// kept free of windows.
    pub(crate) fn start_bar(&self, display: Output) -> Process {
        let ([w, _], [x, y]) = display;
        let h = 40;
        let mut command = self.command("xlogo");
        command.args(["-title", "bar", "-bg", "red", "-fg", "red"]);
        command.args(["-geometry", &format!("{w}x{h}+{x}+{y}")]);
        let process = Process::start(&mut command, &self.folder.join("bar.log"));
        let mut window = String::new();
        poll("the bar has a window", || {
            window = self
                .xdotool(&["search", "--name", "^bar$"])
                .unwrap_or_default();
            window = window.trim().to_owned();
            !window.is_empty()
        });
        // What it is must be known before a manager sees it.
        let told = |arguments: &[&str]| self.xdotool(arguments).expect("the bar is there");
        told(&["windowunmap", "--sync", &window]);
        let kept = format!("0,0,{},0,0,0,0,0,{x},{},0,0", y + h, x + w - 1);
        for (name, format, value) in [
            ("_NET_WM_WINDOW_TYPE", "32a", "_NET_WM_WINDOW_TYPE_DOCK"),
            ("_NET_WM_STRUT_PARTIAL", "32c", &kept),
        ] {
            let mut command = self.command("xprop");
            command.args(["-id", &window, "-f", name, format, "-set", name, value]);
            run(&mut command).expect("a property can be set");
        }
        told(&["windowmap", "--sync", &window]);
        poll("the bar stands at the top", || {
            told(&["windowmove", &window, &x.to_string(), &y.to_string()]);
            let [x, y, w] = [x, y, w].map(|number| number as usize);
            self.screenshot().lit([x, y + 2, w, 36]) == w * 36
        });
        process
    }

    /// What the window manager says of the window over all displays.
    pub(crate) fn window_properties(&self) -> String {
        let window = self.xdotool(&["search", "--name", "^Throughline$"]);
        let window = window.unwrap_or_default().trim().to_owned();
        let mut command = self.command("xprop");
        run(command.args([
            "-id",
            &window,
            "_NET_WM_STATE",
            "_NET_WM_FULLSCREEN_MONITORS",
        ]))
        .unwrap_or_default()
    }

    /// Waits until every panel of [`super::show::RIG`] shows what `screenshot`
    /// writes, byte for byte.
    pub(crate) fn wait_for(&self, wanted: &Picture) {
        let places = PANELS.map(|panel| (panel, [panel[0], panel[1]]));
        self.wait_for_parts(wanted, &places);
    }

    /// Waits until rectangles of the desktop show what is at these places of a
    /// picture, byte for byte.
    pub(crate) fn wait_for_parts(&self, wanted: &Picture, parts: &[([usize; 4], [usize; 2])]) {
        let mut before = Vec::new();
        poll("every panel shows its picture", || {
            let shown = self.screenshot();
            let is_inside =
                |[x, y, w, h]: [usize; 4]| x + w <= shown.size[0] && y + h <= shown.size[1];
            if !parts.iter().all(|(part, _)| is_inside(*part)) {
                return false;
            }
            let differing: Vec<usize> = parts
                .iter()
                .map(|(part, at)| shown.differing(*part, wanted, *at))
                .collect();
            if differing.iter().any(|&count| count > 0) && differing != before {
                eprintln!("pixels that differ so far: {differing:?}");
                before.clone_from(&differing);
            }
            differing.iter().all(|&count| count == 0)
        });
    }

    /// What the server shows.
    pub(crate) fn screenshot(&self) -> Picture {
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

    /// Programs here, those under wine, never ask for the keyboard.
    pub(crate) fn leave_keyboard(&self) {
        self.is_keyboard_given.store(false, Ordering::Relaxed);
    }

    /// Presses keys, one after the other, once a window of the program has the
    /// keyboard.
    pub(crate) fn keys(&self, keys: &[&str]) {
        poll("a window of the program has the keyboard", || {
            if !self.is_keyboard_given.load(Ordering::Relaxed) {
                return true;
            }
            let name = self.xdotool(&["getwindowfocus", "getwindowname"]);
            name.is_ok_and(|name| name.trim() == "Throughline")
        });
        let mut command = self.command("xdotool");
        run(command.args(["key", "--delay", "60"]).args(keys)).expect("keys can be pressed");
    }

    /// Runs xdotool.
    pub(crate) fn xdotool(&self, arguments: &[&str]) -> Result<String, String> {
        run(self.command("xdotool").args(arguments))
    }
}

fn output(index: usize) -> String {
    format!("DUMMY{index}")
}

/// A rig's text shown on these displays, under a window manager that keeps out of the way;
/// `None` where a part of that is missing.
pub(crate) fn showing(
    test: &str,
    text: &str,
    outputs: &[Output],
    arguments: &[&str],
) -> Option<(Server, Process, Show)> {
    let mut parts = PARTS.to_vec();
    parts.push("openbox");
    if !has_parts(&parts) {
        return None;
    }
    let folder = folder(test);
    let rig = write_rig(&folder);
    fs::write(&rig, text).expect("the test's folder can be written");
    let server = Server::start(&folder, outputs);
    let manager = server.start_manager("openbox", &[]);
    let show = start(server.command(PROGRAM), &rig, arguments);
    Some((server, manager, show))
}
