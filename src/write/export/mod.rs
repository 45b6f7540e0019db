//! The plan for other programs: tables for a spreadsheet, placemarks for a
//! phone, a shapefile for a rate controller.
//!
//! Lives here: what such a file says. How it is written, byte by byte, is in
//! `exchange`. A job is one application on one field.

mod csv_tables;
mod jobs;
mod phone;
mod rates;

pub use csv_tables::{CsvTable, csv_table};
pub use jobs::left_out;
pub use phone::phone;
pub use rates::rates;
