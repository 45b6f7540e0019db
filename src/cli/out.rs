//! Standard output and standard error, and the width of the page.

use std::io::Write;

/// Columns assumed when nothing is known of the terminal.
const WIDTH: usize = 80;

/// Prints the result. A reader that stops reading ends the program quietly.
pub(super) fn result(text: &str) {
    let mut out = anstream::stdout().lock();
    // Nothing is left to tell anybody when standard output is gone.
    let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
}

/// Says something about the run.
pub(super) fn say(text: &str) {
    let _ = anstream::stderr().lock().write_all(text.as_bytes());
}

/// Width of the page: the terminal's, from 80 to 120 columns; 80 elsewhere.
pub(super) fn width() -> usize {
    terminal_size::terminal_size().map_or(WIDTH, |(w, _)| usize::from(w.0).clamp(WIDTH, 120))
}
