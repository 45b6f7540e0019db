//! The manual page and the shells' completions: they name every command, and
//! the shells and `man` can read them.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::at_root;
use std::io::Write;
use std::process::{Command, Stdio};

fn sward(args: &[&str]) -> String {
    let (code, out, err) = at_root(args);
    assert!(code == 0 && err.is_empty(), "{args:?}");
    out
}

/// The commands that a help page lists.
fn listed(args: &[&str]) -> Vec<String> {
    let help = sward(args);
    let list = help.split("Commands:\n").nth(1).unwrap_or_default().split("\n\n").next().unwrap_or_default();
    let name = |line: &str| line.strip_prefix("  ")?.split(' ').next().filter(|w| !w.is_empty()).map(str::to_string);
    list.lines().filter_map(name).filter(|name| name != "help").collect()
}

/// Every command, those under `log` and `ground` too.
fn commands() -> Vec<Vec<String>> {
    let mut all = Vec::new();
    for command in listed(&["--help"]) {
        for inner in listed(&[&command, "--help"]) {
            all.push(vec![command.clone(), inner]);
        }
        all.push(vec![command]);
    }
    assert!(all.len() > 25, "{all:?}");
    all
}

#[test]
fn the_manual_names_every_command() {
    let page = sward(&["man"]);
    assert!(page.contains(".TH sward 1"), "{}", &page[..400]);
    for command in commands() {
        let heading = format!(".SS \"sward {}\"\n", command.join(" "));
        assert!(page.contains(&heading), "no {heading}");
    }
    assert_eq!(page.matches(".SH SYNOPSIS").count(), 1);
    assert!(!page.contains("sward help"), "no page is wanted of the help itself");
    for line in page.lines().filter(|line| line.starts_with(['.', '\''])) {
        let known = [".TH", ".SH", ".SS", ".TP", ".PP", ".IP", ".RS", ".RE", ".br", ".ie", ".el", ".sp"];
        assert!(known.iter().any(|k| line.starts_with(k)), "not a request: {line}");
    }
}

#[test]
fn completions_name_every_command() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = sward(&["completions", shell]);
        for command in commands() {
            assert!(script.contains(command.last().unwrap()), "{shell}: {command:?}");
        }
    }
}

/// The shell itself says whether it can read the script. Where there is no
/// such shell, there is nobody to ask.
#[test]
fn bash_can_read_its_completions() {
    let script = sward(&["completions", "bash"]);
    let child = Command::new("bash").arg("-n").stdin(Stdio::piped()).stderr(Stdio::piped()).spawn();
    let Ok(mut child) = child else { return };
    child.stdin.take().unwrap().write_all(script.as_bytes()).unwrap();
    let done = child.wait_with_output().unwrap();
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    let broken = Command::new("bash").args(["-n", "-c", "if ("]).stderr(Stdio::null()).status().unwrap();
    assert!(!broken.success(), "the shell looks at what it is given");
}
