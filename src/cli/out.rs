//! Standard output and standard error, and the width of the page.

use std::io::{ErrorKind, Write};
use std::sync::atomic::{AtomicBool, Ordering};

/// Columns assumed when nothing is known of the terminal.
const WIDTH: usize = 80;

/// Whether some of the result could not be written.
static LOST: AtomicBool = AtomicBool::new(false);

/// Prints the result. A reader that stops reading is content with what it has;
/// anything else that keeps the result from being written is an error.
pub(super) fn result(text: &str) {
    let mut out = anstream::stdout().lock();
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
    let _ = anstream::stderr().lock().write_all(text.as_bytes());
}

/// Width of the page: the terminal's, from 80 to 120 columns; 80 elsewhere.
pub(super) fn width() -> usize {
    terminal_size::terminal_size().map_or(WIDTH, |(w, _)| usize::from(w.0).clamp(WIDTH, 120))
}
