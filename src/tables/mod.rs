//! The published figures in `reference/`, each with its papers.
//!
//! Lives here: reading `reference/`, refusing a figure without value, unit,
//! source, dates and how it is known, looking a figure up by place, date
//! and scope, and saying what a place does not answer. Never here: anything about one farm.

mod coverage;
mod figure;
mod load;
mod lookup;
mod moved;
mod outlines;
pub mod p_rule;
mod read;
mod read_rule;
mod scope;
mod thing;
pub mod topic;
mod value;

pub use coverage::{CHECKS_NEEDED, Coverage, CoverageAnswer, CoverageQuestion, Status};
pub use figure::{Edition, Figure, Inherits, Other, PlaceTable, Source, Tables};
pub use load::{ReferenceFile, built_in, load, load_for, read_folder};
pub use lookup::{Book, SaidFigure, Sourced};
pub use moved::{Move, moved_number, moved_season, shift_quantity};
pub use outlines::{Outline, Outlines};
pub use scope::{KEYS, Scope};
pub use thing::Thing;
pub use topic::{Of, Safe, TOPICS, Topic};
pub(crate) use value::curve_at;
pub use value::{Band, ClassStep, Classes, GrowingYear, MonthDay, PerUnit, Rate, Season, Shape, Value, ValueForm};
