//! The one way from a farm folder to an audited plan: read, check, measure,
//! weigh, choose, audit; of an entry into its log; of very many fields to
//! their acres; and again with one figure moved.
//!
//! Lives here: the order of the steps, and what they go by: which folder, which
//! figures, which day, which lines changed. Every front calls it, and so do the
//! tests. Never here: a rule, the clock, printing.

mod county;
mod doubt;
mod entry;
mod folder;
mod judged;
mod load;
mod mends;
mod opened;
mod parts;
mod printed;
mod question;
mod stages;

pub use county::{FeatureFile, acres};
pub use doubt::doubts;
pub use entry::{Judged, NewEntry, NotLogged};
pub use folder::Folder;
pub use load::{LoadEntry, with_load, without_load};
pub use mends::mends;
pub use opened::Opened;
pub use printed::{PrintedPlan, Remade, audit, proof, ways};
pub use question::{Day, Figures, Question};
pub use stages::{Checked, Planned, Weighed};
