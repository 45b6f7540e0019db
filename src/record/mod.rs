//! What was really done: `log.csv` in the farm folder.
//!
//! Lives here: reading the log and replaying it into what each lot lost and
//! gained and what each field already had. Never here: planning.

mod log;

pub use log::{Entry, Happened, LOG, What, read, read_text};
