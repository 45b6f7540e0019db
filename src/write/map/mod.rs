//! Maps: a picture of the farm and one of every field (SVG), the ground to
//! spread on for other programs (GeoJSON), and the measures of every field
//! (JSON).
//!
//! Lives here: the overview, the frame around a field's drawing, legends, file
//! names. The drawing of a field itself is the one of the field sheets. Every
//! picture stands alone: no script, no link, no font of its own, and no word of
//! the farm that is not escaped.

pub(in crate::write) mod degrees;
mod farm;
pub(in crate::write) mod field;
mod geojson;
mod keeps;
mod legend;
mod measures;
mod names;
mod whole;

use crate::audit::Audited;
use crate::balance::{Driving, Surveyed};
use crate::check::Ready;
use crate::write::sight::sights;

pub use geojson::map_geojson;
pub use measures::map_json;

/// One picture: the name of its file and its text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// `farm.svg` or `field-B1.svg`: letters, digits, `_` and `-` only.
    pub name: String,
    /// The whole file.
    pub svg: String,
}

/// The overview, then every field in the order of farm.yaml. `driving` holds
/// the runs of every field, as `plan::driving` lays them.
#[must_use]
pub fn maps(audited: &Audited, ready: &Ready, ground: &[Surveyed], driving: &[Vec<Driving>]) -> Vec<Picture> {
    pictures(audited, ready, ground, driving, true)
}

/// The same; the overview is `alone` where nothing beside it tells acres and
/// rates.
pub(super) fn pictures(
    audited: &Audited,
    ready: &Ready,
    ground: &[Surveyed],
    driving: &[Vec<Driving>],
    alone: bool,
) -> Vec<Picture> {
    let sights = sights(audited, ready, ground, driving);
    let names = names::of_fields(sights.iter().map(|s| s.plan.id.as_str()));
    let overview = Picture { name: "farm.svg".to_string(), svg: farm::draw(audited.plan(), ready, &sights, alone) };
    let fields = sights.iter().zip(names).map(|(s, name)| Picture { name, svg: field::draw(audited.plan(), s) });
    std::iter::once(overview).chain(fields).collect()
}
