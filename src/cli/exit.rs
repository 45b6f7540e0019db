//! How a command ended.

use std::process::ExitCode;

/// How a command ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Exit {
    /// Done.
    Done,
    /// The farm or the plan has errors.
    Errors,
    /// The command line was wrong.
    Usage,
}

/// A command that ended before it was done, and one that went through.
impl From<Result<Exit, Exit>> for Exit {
    fn from(ended: Result<Exit, Exit>) -> Exit {
        ended.unwrap_or_else(|exit| exit)
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> ExitCode {
        match exit {
            Exit::Done => ExitCode::SUCCESS,
            Exit::Errors => ExitCode::from(1),
            Exit::Usage => ExitCode::from(2),
        }
    }
}
