//! What people see: terminal tables, JSON, field sheets, files for other programs.
//!
//! Lives here: one file a form, drawing what was already calculated. Never here:
//! arithmetic beyond showing a number, reading, choices.

mod against;
mod audit;
mod binder;
mod buy;
mod calibrate;
mod choice;
mod compare;
mod days;
mod doubt;
mod drawing;
mod export;
mod findings;
mod json;
mod known;
mod leaf;
mod leftover;
mod limits;
mod litter;
mod map;
mod mends;
mod page;
mod plan;
mod sheet;
mod sight;
mod sure;
mod tables;
mod tally;
mod today;
mod trail;
mod why;
mod words;
mod years;

pub use against::{against, against_json};
pub use audit::{audited, audited_json};
pub use binder::{Papers, binder};
pub use calibrate::{Wanted, calibrated, calibrated_json};
pub use compare::{compared, compared_json};
pub use days::{days, days_json};
pub use doubt::doubts;
pub use export::{CsvTable, csv_table, left_out, phone, rates};
pub use findings::{checked, findings};
pub use json::{
    check_json, coverage_json, doubts_json, findings_json, limits_json, plan_json, plan_with_json, sure_json,
    tables_json, tally_json, trail_json, why_json, year_tally_json, years_json,
};
pub use limits::limits;
pub use map::{Picture, map_geojson, map_json, maps};
pub use page::{plain, wrapped};
pub use plan::{Beside, plan, plan_with};
pub use sheet::{Paper, Printed, sheets, sheets_pdf};
pub use sure::{sure, sure_of_field};
pub use tables::{Listed, ListedClass, ListedOther, ListedShape, coverage, listed, tables};
pub use tally::{actual, tally, year_tally};
pub use today::{today, today_in_full, today_json};
pub use trail::trail;
pub use why::why;
pub use years::years;
