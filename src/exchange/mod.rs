//! Other formats in: boundaries as phones, web maps and offices write them.
//!
//! Lives here: KML, KMZ, shapefiles and foreign GeoJSON to clean boundaries,
//! with everything that was changed or refused as a finding. Never here: files
//! and folders (the command line reads and writes them), a farm's words, rules.

mod claims;
mod corners;
mod dbf;
mod features;
mod geojson_in;
mod geojson_out;
mod given;
mod ids;
mod import;
mod kml;
mod kml_numbers;
mod place;
mod prj;
mod project;
mod rings;
mod roles;
mod shp;
mod talk;
mod whereabouts;
mod wkt;
mod zip;

pub use claims::Claimed;
pub use features::{Beside, Feature, features, places};
pub use geojson_out::geojson;
pub use given::Source;
pub use import::{Field, Imported, Options, import};
pub use prj::read as read_prj;
pub use project::{Ellipsoid, Projection};
pub use talk::talk;
