//! What was really done: `log.csv` in the farm folder.
//!
//! Lives here: the columns of the log, reading it line by line, replaying it
//! into what each lot gained and lost and what each field had, scale tickets as
//! entries, and writing entries behind the others. Never here: planning, the clock, rules of a place.

mod append;
mod cells;
mod columns;
mod draft;
mod entry;
mod ground;
mod happened;
mod id;
mod kept;
mod kinds;
mod lines;
mod loads;
mod replay;
mod said;
mod tickets;
mod values;

pub use append::{Appended, OVERTAKEN, addition, append, append_knowing, append_tickets, not_there, set_aside};
pub use cells::{Cells, LONGEST_CELL, guarded, tidy, unguarded};
pub use columns::{COLUMNS, LOG, spreadsheet_safe};
pub use draft::{corrected, in_house_units, known_by, missing, sure_since, with_load};
pub use entry::{Entry, LogSure, read_cells};
pub use ground::{GROUND_ACCEPTS, LoggedGround};
pub use happened::{Happened, Struck};
pub use kept::KeptEntry;
pub use kinds::{Asked, Need, What, asked};
pub use lines::{SET_ASIDE, bytes, emptied, read, read_bytes, read_text};
pub use loads::{fewer_acres, is_of_another_day, load_by_itself, loads_of, numbers, same_acres, tons, without_load};
pub use tickets::{Names, ScaleTicket, tickets};
