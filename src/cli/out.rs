//! Standard output and standard error, and the width of the page.

use crate::findings::{hidden, visible};
use std::borrow::Cow;
use std::io::{ErrorKind, Write};
use std::sync::atomic::{AtomicBool, Ordering};

/// Columns assumed when nothing is known of the terminal.
const WIDTH: usize = 80;

/// The mark that a text may begin with.
const MARK: char = '\u{feff}';

/// Whether some of the result could not be written.
static LOST: AtomicBool = AtomicBool::new(false);

/// Prints the result. A reader that stops reading is content with what it has;
/// anything else that keeps the result from being written is an error.
pub(super) fn result(text: &str) {
    // Without hidden characters there are no colors in it to take out.
    written(std::io::stdout().lock(), &legible(text));
}

/// Prints a result of something that is done for good. Where it cannot be
/// printed, standard error says that it is done, or it would be done again.
pub(super) fn done(text: &str, stands: &str) {
    result(text);
    if is_lost() {
        say(stands);
    }
}

/// Prints a text of the program's own, which may be in colors.
pub(super) fn styled(text: &str) {
    written(anstream::stdout().lock(), text);
}

fn written(mut out: impl Write, text: &str) {
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(e) if e.kind() != ErrorKind::BrokenPipe => {
            LOST.store(true, Ordering::Relaxed);
            say(&format!("the result cannot be written to standard output: {e}\n"));
        }
        _ => {}
    }
}

/// Whether some of the result could not be written.
pub(super) fn is_lost() -> bool {
    LOST.load(Ordering::Relaxed)
}

/// Says something about the run.
pub(super) fn say(text: &str) {
    let _ = anstream::stderr().lock().write_all(legible(text).as_bytes());
}

/// Nothing that came from a file, a folder's name or the command line moves the
/// cursor or hides what follows: such characters are written out. The mark in
/// front of a table, by which spreadsheets know its encoding, stays.
fn legible(text: &str) -> Cow<'_, str> {
    let (mark, rest) = if text.starts_with(MARK) { text.split_at(MARK.len_utf8()) } else { ("", text) };
    if rest.lines().any(|line| hidden(line).is_some()) {
        Cow::Owned(format!("{mark}{}", visible(rest)))
    } else {
        Cow::Borrowed(text)
    }
}

/// Width of the page: the terminal's, from 80 to 120 columns; 80 elsewhere.
pub(super) fn width() -> usize {
    terminal_size::terminal_size().map_or(WIDTH, |(w, _)| usize::from(w.0).clamp(WIDTH, 120))
}
