//! Other formats in and out: boundaries as phones, web maps and offices write
//! them, and ground and tables as such programs read them.
//!
//! Lives here: KML, KMZ, shapefiles and foreign GeoJSON to clean boundaries,
//! with everything that was changed or refused as a finding; shapes and cells to
//! KML, shapefiles and CSV. Never here: files and folders (the command line reads
//! and writes them), a farm's words, rules.

mod areas;
mod cells;
mod choices;
mod claims;
mod corners;
mod csv_out;
mod dbf;
mod dbf_out;
mod epsg;
mod features;
mod geojson_in;
mod geojson_out;
mod given;
mod grid_unit;
mod ids;
mod import;
mod kinds;
mod kml;
mod kml_numbers;
mod kml_out;
mod one_shape;
mod phrase;
mod place;
mod prj;
mod project;
mod rings;
mod roles;
mod shp;
mod shp_out;
mod sort;
mod talk;
mod things;
mod unpack;
mod whereabouts;
mod wkt;
mod zip;
mod zip_out;

pub use cells::TableCell;
pub use choices::{Options, Take};
pub use claims::Claimed;
pub use csv_out::csv;
pub use dbf::WINDOWS_1252;
pub use dbf_out::{CutShort, DbfColumn, DbfKind};
pub use features::{Beside, Feature, Foreign, features, places};
pub use geojson_out::{fields_geojson, keepouts_geojson};
pub use given::Source;
pub use import::{Field, Imported, import};
pub use kml_out::{KmlFolder, KmlLook, Marked, Placemark, kml};
pub use one_shape::one_shape;
pub use prj::{Refused, System, read as read_prj};
pub use project::{Ellipsoid, Grid, Method, Projection};
pub use shp_out::{FileSet, Layer, ShapeRecord, shapefile};
pub use talk::talk;
pub use things::Thing;
pub use unpack::BESIDE;
pub use zip_out::zip;
