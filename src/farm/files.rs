//! What the files of a farm folder are called, and their texts.

use std::collections::BTreeMap;

/// The main file.
pub const MAIN: &str = "farm.yaml";
/// The boundaries.
pub const FIELDS: &str = "fields.geojson";
/// What litter keeps away from.
pub const KEEPOUTS: &str = "keepouts.geojson";

/// What a soil survey maps under the fields; a farm may go without.
pub const SOILS: &str = "soils.geojson";

/// What was measured behind the spreader; a farm may go without.
pub const CALIBRATION: &str = "calibration.yaml";

/// The files as text.
#[derive(Clone, Debug, Default)]
pub struct FarmText {
    /// `farm.yaml`.
    pub main: Option<String>,
    /// `fields.geojson`.
    pub fields: Option<String>,
    /// `keepouts.geojson`.
    pub keepouts: Option<String>,
    /// `soils.geojson`.
    pub soils: Option<String>,
    /// The laboratories' tables, by the names that `farm.yaml` gives them.
    pub sheets: BTreeMap<String, String>,
    /// `calibration.yaml`.
    pub calibration: Option<String>,
}
