//! The command line: one file a command.
//!
//! Lives here: arguments, exit codes, the terminal, standard output. Never
//! here: rules.

mod acres;
mod args;
mod args_log;
mod args_words;
mod audit;
mod binder;
mod calibrate;
mod check;
mod clock;
mod companions;
mod compare;
mod days;
mod exit;
mod export;
mod ground;
mod input;
mod limits;
mod load;
mod log;
mod log_ground;
mod log_tickets;
mod log_told;
mod map;
mod out;
mod pending;
mod plan;
mod schema;
mod sheets;
mod shell;
mod start;
mod sure;
mod tables;
mod tally;
mod today;
mod upgrade;
mod whole;
mod why;

use args::{Args, Command};
use clap::Parser;
use exit::Exit;
use std::process::ExitCode;

/// Runs the program on its command line.
#[must_use]
pub fn run() -> ExitCode {
    let args = match Args::try_parse() {
        Ok(args) => args,
        Err(told) => return usage(&told),
    };
    let exit: Exit = match args.command {
        Command::Plan(a) => plan::run(&a),
        Command::Check(a) => check::run(&a),
        Command::Calibrate(a) => calibrate::run(&a).into(),
        Command::Why(a) => why::run(&a).into(),
        Command::Days(a) => days::run(&a).into(),
        Command::Today(a) => today::run(&a).into(),
        Command::Sure(a) => sure::run(&a).into(),
        Command::Limits(a) => limits::run(&a).into(),
        Command::Sheets(a) => sheets::run(&a).into(),
        Command::Binder(a) => binder::run(&a).into(),
        Command::Map(a) => map::run(&a).into(),
        Command::Export(a) => export::run(&a).into(),
        Command::Tables(a) => tables::run(&a),
        Command::Log(c) => log::run(*c),
        Command::Tally(a) => tally::run(&a).into(),
        Command::Compare(a) => compare::run(&a),
        Command::Audit(a) => audit::run(&a),
        Command::Start(a) => start::run(&a),
        Command::Ground(c) => ground::run(&c),
        Command::Upgrade(a) => upgrade::run(&a),
        Command::Schema(a) => schema::run(&a),
        Command::Completions(a) => shell::completions(&a),
        Command::Man => shell::man(),
    };
    if out::is_lost() { ExitCode::FAILURE } else { exit.into() }
}

/// Help and version, which were asked for, or what is wrong with the arguments.
fn usage(told: &clap::Error) -> ExitCode {
    if told.use_stderr() {
        // It quotes the command line, so that it goes without colors.
        out::say(&told.render().to_string());
    } else {
        out::styled(&told.render().ansi().to_string());
    }
    if out::is_lost() { ExitCode::FAILURE } else { ExitCode::from(u8::try_from(told.exit_code()).unwrap_or(2)) }
}
