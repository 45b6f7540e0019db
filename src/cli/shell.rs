//! `sward completions` and `sward man`: both made from the arguments, so that
//! they cannot fall behind them.

use crate::cli::args::{Args, CompletionsArgs};
use crate::cli::exit::Exit;
use crate::cli::out;
use clap::{Command, CommandFactory};
use clap_mangen::Man;
use std::io;

pub(super) fn completions(args: &CompletionsArgs) -> Exit {
    let mut text = Vec::new();
    clap_complete::generate(args.shell, &mut Args::command(), "sward", &mut text);
    out::result(&String::from_utf8_lossy(&text));
    Exit::Done
}

pub(super) fn man() -> Exit {
    match page() {
        Ok(text) => {
            out::result(&text);
            Exit::Done
        }
        Err(e) => {
            out::say(&format!("the man page cannot be made: {e}\n"));
            Exit::Errors
        }
    }
}

/// One page: the program, then every command with its options.
fn page() -> io::Result<String> {
    let mut root = Args::command().disable_help_subcommand(true);
    root.build();
    let own = Man::new(root.clone());
    let mut text = section(|to| own.render_title(to))?;
    for part in [Man::render_name_section, Man::render_synopsis_section, Man::render_description_section] {
        text.push_str(&bare(&section(|to| part(&own, to))?, false));
    }
    text.push_str(&bare(&section(|to| own.render_options_section(to))?, false));
    text.push_str(".SH COMMANDS\n");
    for command in root.get_subcommands() {
        one(command, &mut text)?;
    }
    text.push_str(&bare(&section(|to| own.render_extra_section(to))?, false));
    Ok(text)
}

/// A command, and the commands under it.
fn one(command: &Command, text: &mut String) -> io::Result<()> {
    let name = command.get_bin_name().unwrap_or_else(|| command.get_name());
    let man = Man::new(command.clone());
    text.push_str(&format!(".SS \"{name}\"\n"));
    for part in [Man::render_description_section, Man::render_synopsis_section, Man::render_options_section] {
        text.push_str(&bare(&section(|to| part(&man, to))?, true));
        text.push_str(".PP\n");
    }
    command.get_subcommands().try_for_each(|inner| one(inner, text))
}

fn section(write: impl Fn(&mut dyn io::Write) -> io::Result<()>) -> io::Result<String> {
    let mut bytes = Vec::new();
    write(&mut bytes)?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// A section without the definitions that stand in front of every one, and
/// without its own heading where another stands over it.
fn bare(section: &str, headless: bool) -> String {
    let defines = |line: &str| line.starts_with(".ie ") || line.starts_with(".el ");
    let left_out = |line: &str| defines(line) || headless && line.starts_with(".SH ");
    let lines = section.lines().filter(|line| !left_out(line));
    lines.map(|line| format!("{line}\n")).collect()
}
