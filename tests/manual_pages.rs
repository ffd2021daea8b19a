//! Pages of the manual and completions say what the help says.

mod commands;

use std::process::Output;

fn output(arguments: &[&str]) -> Output {
    let mut program = commands::program();
    program
        .args(arguments)
        .output()
        .expect("the program starts")
}

fn said(arguments: &[&str]) -> String {
    let output = output(arguments);
    assert_eq!(output.status.code(), Some(0), "{arguments:?}: {output:?}");
    assert!(output.stderr.is_empty(), "{output:?}");
    String::from_utf8(output.stdout).expect("UTF-8")
}

/// The long options that a command's help lists.
fn options(help: &str) -> Vec<&str> {
    let words = help.lines().map(|line| line.trim_start());
    let options = words.filter(|line| line.starts_with('-'));
    let long = options.filter_map(|line| {
        line.split([' ', ',', '[', '='])
            .find(|w| w.starts_with("--"))
    });
    long.collect()
}

#[test]
fn every_command_has_a_page_with_all_its_options() {
    let list = said(&["manual", "--list"]);
    let help = said(&["--help"]);
    for command in list.lines() {
        assert!(help.contains(&format!("\n  {command} ")), "{command}");
        let page = said(&["manual", command]);
        let plain = page.replace('\\', "");
        assert!(
            plain.contains(&format!(".TH throughline-{command} 1")),
            "{page}"
        );
        let help = said(&[command, "--help"]);
        let options = options(&help);
        assert!(options.contains(&"--help"), "{help}");
        for option in options {
            assert!(plain.contains(option), "{command} {option}: {page}");
        }
    }
    assert!(list.lines().count() > 8, "{list}");
    let page = said(&["manual"]).replace('\\', "");
    for command in list.lines() {
        assert!(
            page.contains(&format!("throughline-{command}(1)")),
            "{command}: {page}"
        );
    }
}

#[test]
fn a_page_of_no_command_is_a_mistake() {
    let output = output(&["manual", "shwo"]);
    assert_eq!(output.status.code(), Some(2));
    let stderr = String::from_utf8_lossy(&output.stderr);
    let begins = "throughline: there is no command \"shwo\": expected one of screenshot, ";
    assert!(stderr.starts_with(begins), "{stderr}");
    assert_eq!(stderr.lines().count(), 1);
}

#[test]
fn every_shell_completes_every_command() {
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let script = said(&["completions", shell]);
        for command in said(&["manual", "--list"]).lines() {
            assert!(script.contains(command), "{shell}: {command}");
        }
        assert!(script.contains("max-break"), "{shell}");
    }
}
