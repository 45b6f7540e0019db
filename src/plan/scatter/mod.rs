//! How sure the rates of a finished plan are: litter, yields and the spreader scatter, and these
//! are the bands that come out.
//!
//! Lives here: draws of what truly is, around what the plan counts with. Never here: any say in
//! what goes where; a limit is kept by the analyses, as its rule asks.

mod band;
mod content;
mod farm;
mod limits;
mod on_field;
mod spread;

pub use farm::how_sure;
