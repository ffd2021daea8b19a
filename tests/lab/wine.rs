//! The Windows build of the program, run by wine.
//!
//! Wine's drive Z: is the file system, so files have a path on either side.

use std::cell::Cell;
use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::OnceLock;

use super::x11::Server;
use super::{Process, has_parts, poll, run, say_skipped};

/// The variable that names the Windows build.
const EXE: &str = "THROUGHLINE_WINDOWS_EXE";

const WINE: &str = "/usr/lib/wine/wine64";
const WINE_SERVER: &str = "/usr/lib/wine/wineserver64";
const COMPILER: &str = "x86_64-w64-mingw32-gcc";

/// Finds the box of words on the desktop, says what it says, and closes it.
const BOX_READER: &str = r##"
#include <stdio.h>
#include <windows.h>
static BOOL CALLBACK child(HWND window, LPARAM unused) {
    char kind[16] = "", said[8192];
    WCHAR wide[4096] = L"";
    GetClassNameA(window, kind, sizeof kind);
    SendMessageW(window, WM_GETTEXT, 4096, (LPARAM)wide);
    if (lstrcmpiA(kind, "Static") == 0 && wide[0]) {
        WideCharToMultiByte(CP_UTF8, 0, wide, -1, said, sizeof said, NULL, NULL);
        puts(said);
    }
    return TRUE;
}
int main(void) {
    HWND found = FindWindowA("#32770", "Throughline");
    if (!found) return 1;
    EnumChildWindows(found, child, 0);
    PostMessageA(found, WM_COMMAND, IDOK, 0);
    return 0;
}
"##;

/// Windows has a library of random numbers that wine 8 lacks.
const RANDOM_NUMBERS: &str = "
#include <windows.h>
BOOLEAN NTAPI SystemFunction036(PVOID to, ULONG length);
BOOL WINAPI ProcessPrng(PBYTE to, SIZE_T length) {
    return SystemFunction036(to, (ULONG)length);
}
";

/// Holds a file open, as an editor that lets nobody else write, until it is ended.
const HOLDER: &str = r##"
#include <windows.h>
int wmain(int count, WCHAR **words) {
    HANDLE file = CreateFileW(words[1], GENERIC_READ, FILE_SHARE_READ, NULL, OPEN_EXISTING, 0, NULL);
    if (file == INVALID_HANDLE_VALUE) return 1;
    CreateFileW(words[2], GENERIC_WRITE, 0, NULL, CREATE_ALWAYS, 0, NULL);
    Sleep(INFINITE);
    return 0;
}
"##;

/// A Windows of its own, whose processes end with the value.
pub(crate) struct Wine {
    exe: PathBuf,
    prefix: &'static Path,
    is_scaled: Cell<bool>,
}

impl Wine {
    /// Wine with the Windows build. Where a part is missing, it says so, and
    /// fails where CI runs the tests.
    pub(crate) fn get() -> Option<Wine> {
        if !has_parts(&[WINE, WINE_SERVER, COMPILER]) {
            return None;
        }
        let Some(exe) = std::env::var_os(EXE) else {
            assert!(
                std::env::var_os("CI").is_none(),
                "CI sets no {EXE}: build the program for Windows"
            );
            say_skipped(&format!("{EXE} names no Windows build of the program"));
            return None;
        };
        static PREFIX: OnceLock<PathBuf> = OnceLock::new();
        let wine = Wine {
            exe: PathBuf::from(exe),
            prefix: PREFIX.get_or_init(prefix),
            is_scaled: Cell::new(false),
        };
        assert!(wine.exe.is_file(), "{EXE} names no file");
        Some(wine)
    }

    /// A new Windows, with nothing in it, and a program that lies elsewhere. Where a
    /// part is missing, it says so, and fails where CI runs the tests.
    pub(crate) fn fresh(folder: &Path, exe: &Path) -> Option<Wine> {
        if !has_parts(&[WINE, WINE_SERVER, COMPILER]) {
            return None;
        }
        let prefix = folder.join("wine");
        boot(&prefix);
        Some(Wine {
            exe: exe.to_owned(),
            // Few tests make one.
            prefix: Box::leak(prefix.into_boxed_path()),
            is_scaled: Cell::new(false),
        })
    }

    /// A command that runs another program on a server, without end.
    pub(crate) fn other(&self, server: &Server, exe: &Path) -> Command {
        let mut command = self.wine(Some(server), WINE);
        command.arg(exe);
        command
    }

    /// A program that holds a file open until it is ended, and holds it already.
    pub(crate) fn hold(&self, server: &Server, file: &Path) -> Process {
        let [exe, source, sign] = ["holder.exe", "holder.c", "held"].map(|n| self.prefix.join(n));
        let _ = fs::remove_file(&sign);
        fs::write(&source, HOLDER).expect("the prefix can be written");
        let mut compile = at_leisure(COMPILER);
        succeed(compile.arg("-municode").arg("-o").args([&exe, &source]));
        let mut command = self.other(server, &exe);
        command.args([windows_path(file), windows_path(&sign)]);
        let process = Process::start(&mut command, &self.prefix.join("holder.log"));
        poll("the file is held", || sign.exists());
        process
    }

    /// Waits for a box with words, gives them and closes it.
    pub(crate) fn words_of_box(&self, server: &Server, before: impl FnOnce()) -> String {
        let reader = self.prefix.join("reader.exe");
        let source = self.prefix.join("reader.c");
        fs::write(&source, BOX_READER).expect("the prefix can be written");
        let mut compile = at_leisure(COMPILER);
        succeed(compile.arg("-o").args([&reader, &source]));
        let open = || server.xdotool(&["search", "--name", "^Throughline$"]);
        poll("a box opens", || {
            open().is_ok_and(|ids| !ids.trim().is_empty())
        });
        // It is drawn a moment later.
        std::thread::sleep(std::time::Duration::from_secs(1));
        before();
        let mut said = String::new();
        poll("the box says something", || {
            let mut command = self.wine(Some(server), WINE);
            said = run(command.arg(&reader)).unwrap_or_default();
            !said.trim().is_empty()
        });
        said.replace("\r\n", "\n").trim().to_owned()
    }

    /// A command that runs the program on a server, or without a display,
    /// without end.
    pub(crate) fn program(&self, server: Option<&Server>) -> Command {
        let mut command = self.wine(server, WINE);
        command.arg(&self.exe);
        command
    }

    /// Runs the program to its end, within a time limit, in a folder.
    pub(crate) fn output(
        &self,
        server: Option<&Server>,
        folder: &Path,
        arguments: &[&str],
    ) -> Output {
        self.output_with(server, folder, arguments, &[])
    }

    /// The same with more variables.
    pub(crate) fn output_with(
        &self,
        server: Option<&Server>,
        folder: &Path,
        arguments: &[&str],
        variables: &[(&str, &str)],
    ) -> Output {
        let mut command = self.wine(server, "timeout");
        command.args(["--kill-after=5", "100", WINE]).arg(&self.exe);
        command
            .args(arguments)
            .current_dir(folder)
            .stdin(Stdio::null());
        command.envs(variables.iter().copied());
        // Wine's services hold what they inherit for a while, so that a pipe
        // would end seconds after the program.
        let [stdout, stderr] = ["stdout", "stderr"].map(|name| self.prefix.join(name));
        let file = |path| File::create(path).expect("the prefix can be written");
        command.stdout(file(&stdout)).stderr(file(&stderr));
        let status = command.status().expect("timeout is part of every system");
        let [stdout, stderr] = [stdout, stderr].map(|path| fs::read(path).expect("just made"));
        Output {
            status,
            stdout,
            stderr,
        }
    }

    /// Sets the scale factor of all displays, in per cent, for what starts later
    /// and before the value ends.
    pub(crate) fn set_scale(&self, percent: u32) {
        self.is_scaled.set(percent != 100);
        let dots_per_inch = (96 * percent / 100).to_string();
        let mut command = self.wine(None, WINE);
        command.args(["reg", "add", r"HKCU\Control Panel\Desktop"]);
        command.args(["/v", "LogPixels", "/t", "REG_DWORD", "/f", "/d"]);
        run(command.arg(dots_per_inch)).expect("the registry can be written");
        self.end();
    }

    fn wine(&self, server: Option<&Server>, program: &str) -> Command {
        let mut command = match server {
            Some(server) => {
                server.leave_keyboard();
                server.command(program)
            }
            None => Command::new(program),
        };
        if server.is_none() {
            command.env_remove("DISPLAY");
        }
        command.env("WINEPREFIX", self.prefix);
        settings(&mut command);
        command
    }

    /// Ends all that runs in this Windows. Its desktop stays on the display
    /// that it was started on.
    fn end(&self) {
        end(self.prefix);
    }
}

impl Drop for Wine {
    fn drop(&mut self) {
        self.end();
        if self.is_scaled.get() {
            self.set_scale(100);
        }
    }
}

/// The path by which Windows programs know a file.
pub(crate) fn windows_path(path: &Path) -> String {
    format!("Z:{}", path.display()).replace('/', r"\")
}

fn settings(command: &mut Command) {
    command.env("WINEARCH", "win64");
    command.env("WINEDEBUG", "-all");
    // Nothing here needs its browser or its .NET, which it would ask for.
    command.env("WINEDLLOVERRIDES", "mscoree,mshtml=");
    command.env("WGPU_BACKEND", "vulkan");
}

/// Makes a Windows in the folder for the tests' files, or finds the one that an
/// earlier run made.
fn prefix() -> PathBuf {
    let prefix = Path::new(env!("CARGO_TARGET_TMPDIR")).join("wine");
    end(&prefix);
    // What is written last shows that it is whole.
    let library = prefix.join("drive_c/windows/system32/bcryptprimitives.dll");
    if library.exists() {
        return prefix;
    }
    let _ = fs::remove_dir_all(&prefix);
    boot(&prefix);
    prefix
}

/// Makes a Windows that has nothing but the library that wine lacks.
fn boot(prefix: &Path) {
    let library = prefix.join("drive_c/windows/system32/bcryptprimitives.dll");
    fs::create_dir_all(prefix).expect("the target folder can be written");
    let source = prefix.join("random.c");
    let built = prefix.join("random.dll");
    fs::write(&source, RANDOM_NUMBERS).expect("the prefix can be written");
    let mut compile = at_leisure(COMPILER);
    compile.arg("-shared").arg("-o").args([&built, &source]);
    succeed(compile.arg("-ladvapi32"));
    let mut boot = at_leisure(WINE);
    boot.args(["wineboot", "-i"]);
    boot.env("WINEPREFIX", prefix).env_remove("DISPLAY");
    settings(&mut boot);
    succeed(&mut boot);
    end(prefix);
    fs::rename(built, library).expect("the prefix can be written");
}

/// A command that may take long on a busy machine: a Windows has half a gigabyte.
fn at_leisure(program: &str) -> Command {
    let mut command = Command::new("timeout");
    command.args(["--kill-after=5", "200", program]);
    command
}

fn succeed(command: &mut Command) {
    let output = command.stdin(Stdio::null()).output();
    let output = output.expect("timeout is part of every system");
    assert!(output.status.success(), "{command:?}: {output:?}");
}

fn end(prefix: &Path) {
    if prefix.exists() {
        // It fails where nothing runs.
        let _ = run(Command::new(WINE_SERVER)
            .arg("-k")
            .env("WINEPREFIX", prefix));
        let _ = run(Command::new(WINE_SERVER)
            .arg("-w")
            .env("WINEPREFIX", prefix));
    }
}
