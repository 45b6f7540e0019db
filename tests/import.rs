//! `sward ground import`: every format, every fixing, every refusal, and
//! files that were made to do harm. All fixtures are made here; the places
//! are invented ones in no county.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

#[path = "import/made.rs"]
mod made;

#[path = "import/damaged.rs"]
mod damaged;
#[path = "import/faults.rs"]
mod faults;
#[path = "import/formats.rs"]
mod formats;
#[path = "import/keepouts.rs"]
mod keepouts;
#[path = "import/layers.rs"]
mod layers;
#[path = "import/projections.rs"]
mod projections;
#[path = "import/shapefiles.rs"]
mod shapefiles;
