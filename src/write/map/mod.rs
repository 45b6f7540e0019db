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
use crate::write::sight::{FieldSight, OnGround, sights};

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
    let fields = sights.iter().zip(names).flat_map(|(sight, name)| of_field(audited, sight, name));
    std::iter::once(overview).chain(fields).collect()
}

/// A picture of a field; where its jobs go on different ground, one for each, the later ones as `-then`.
fn of_field(audited: &Audited, sight: &FieldSight<'_>, name: String) -> Vec<Picture> {
    let plan = audited.plan();
    let grounds = OnGround::of(sight);
    if grounds.len() < 2 {
        return vec![Picture { name, svg: field::draw(plan, sight) }];
    }
    let then = name.replace(".svg", "-then.svg");
    let draw = |(own, name): (&OnGround, String)| Picture { name, svg: field::draw(plan, &own.sight(sight)) };
    grounds.iter().zip([name, then]).map(draw).collect()
}
