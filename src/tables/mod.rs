//! The published figures in `reference/`, each with its papers.
//!
//! Lives here: reading `reference/`, refusing a figure without value, unit,
//! source, dates and how it is known, and looking a figure up by place, date
//! and scope. Never here: anything about one farm.

mod figure;
mod load;
mod lookup;
mod topic;
mod written;

pub use figure::{Edition, Figure, Inherits, MonthDay, Other, PlaceTable, Season, Shape, Source, Step, Tables};
pub use load::{built_in, load, read_folder};
pub use lookup::{Book, Sourced};
pub(crate) use lookup::{class_of, curve_at};
pub use topic::{Form, Safe, TOPICS, Topic};
