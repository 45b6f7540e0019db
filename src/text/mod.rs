//! Plain text as people save it, and YAML with the place of every value.
//!
//! Lives here: reading a file within bounds, turning its bytes into text (byte
//! order marks, UTF-16), a YAML (or
//! JSON) document whose every value knows its line and column, and a walker
//! that reports every problem instead of stopping at the first; tables that
//! other programs saved, through a map of their columns; what the name of a
//! coordinate system says; shapes in one cell; changes to a text by the places of its parser. Never here: what any
//! key means.

mod cells;
mod column;
mod composed;
mod crs;
mod day;
mod decode;
mod drawn;
mod edit;
pub mod file;
mod mark;
mod measured;
mod node;
mod parse;
mod sheet;
mod signed;
mod walk;

pub use cells::{Cell, cells, part, shown};
pub use column::{Column, columns, name_in_unit};
pub use composed::{composed, same_name};
pub use crs::{Named, crs_finding, crs_name, named};
pub use day::{NO_DAY, day};
pub use decode::decode;
pub use drawn::{drawn, drawn_text};
pub use edit::{Edit, edited, offset};
pub use mark::{Mark, sum_of};
pub use measured::{DAY_FORMS, day_in, measured};
pub use node::{Kind, Node};
pub use parse::{parse, parse_part};
pub use sheet::{Row, Sheet, sheet};
pub use signed::{Unsigned, names_somebody, refuses, signed};
pub use walk::{Signed, Unread, Walker, choice, key_of};
