//! Spreader calibration: what a sheet, a load and a row of pans come to.
//!
//! Lives here: rates, patterns and settings as plain arithmetic on plain
//! numbers. Never here: files, a farm's words, published figures; whoever asks
//! hands those in.

mod pattern;
mod rate;
mod setting;

pub use pattern::{Overlap, Pattern, Uneven};
pub use rate::{acres_run, bucket_density, load_rate, over_width, pounds_per_minute, sheet_rate};
pub use setting::{Certainty, Run, Setting, setting};
