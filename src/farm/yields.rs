//! A year's yield of hay, as it was measured.

use crate::findings::At;
use crate::units::{Acres, Percent, RollWeight, Yield};

/// One year's yield, as written.
#[derive(Clone, Debug, PartialEq)]
pub struct YieldYear {
    /// The year.
    pub year: At<i16>,
    /// How it was measured.
    pub measure: Measure,
}

/// A yield as it was measured.
#[derive(Clone, Debug, PartialEq)]
pub enum Measure {
    /// Tons of dry hay per acre.
    Tons(At<Yield>),
    /// Rolls off so many acres.
    Rolls {
        /// How many rolls.
        rolls: At<f64>,
        /// Weight of a roll as it lies.
        weight: At<RollWeight>,
        /// Moisture of the hay.
        moisture: At<Percent>,
        /// Acres they came off.
        acres: At<Acres>,
    },
    /// Cuttings of the log off a whole field.
    Logged {
        /// Each cutting.
        cuttings: Vec<LoggedHay>,
        /// Acres of the field.
        acres: f64,
    },
}

/// The hay of one entry of the log.
#[derive(Clone, Debug, PartialEq)]
pub struct LoggedHay {
    /// Tons as weighed.
    pub tons: At<f64>,
    /// Percent of moisture.
    pub moisture: f64,
}
