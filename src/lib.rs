//! `sward` plans the spreading of poultry litter on hay and pasture ground.
//!
#![doc = include_str!("../DEVELOPERS.md")]

pub mod audit;
pub mod balance;
pub mod calibrate;
pub mod check;
pub mod cli;
pub mod cores;
pub mod exchange;
pub mod farm;
pub mod findings;
pub mod ground;
pub mod pipeline;
pub mod plan;
pub mod proof;
pub mod record;
pub mod solve;
pub mod tables;
pub mod text;
pub mod units;
pub mod write;
