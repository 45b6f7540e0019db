//! What fertilizer, litter, hay and the work cost, as the grower wrote it.

use crate::farm::sure::Sure;
use crate::findings::At;
use crate::units::{DollarsPerJob, DollarsPerLb, DollarsPerLoad, DollarsPerTon, DollarsPerTonMile};

/// Prices and costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Prices {
    /// A pound of nitrogen in fertilizer.
    pub n: At<DollarsPerLb>,
    /// A pound of phosphate in fertilizer.
    pub p2o5: At<DollarsPerLb>,
    /// A pound of potash in fertilizer.
    pub k2o: At<DollarsPerLb>,
    /// What a ton of litter sells for at the shed.
    pub litter_sold: Option<At<DollarsPerTon>>,
    /// What a ton of hay sells for, or costs where it is fed.
    pub hay: Option<At<DollarsPerTon>>,
    /// What it costs to get rid of a ton that nobody takes; nothing where none is given.
    pub disposal: Option<At<DollarsPerTon>>,
    /// Loading and spreading a ton.
    pub spreading: At<DollarsPerTon>,
    /// Hauling a ton one mile.
    pub hauling: At<DollarsPerTonMile>,
    /// Moving to a field and setting up, each time.
    pub job: Option<At<DollarsPerJob>>,
    /// A load, full or not, besides what its tons cost.
    pub load: Option<At<DollarsPerLoad>>,
    /// Who is sure of values far from what is usual.
    pub sure: Option<Sure>,
}
