//! Where entries of the log lie that say their ground, found again: spots strewn evenly over
//! the field, each one under an entry or not.
//!
//! Coarser than an overlay, and always on the same side: a spot counts only where it lies well
//! inside of the ground, so that nothing is found on each other that is not.

use crate::audit::acres::{self, Flat, Side, squared_distance, strewn, within};
use crate::check::{Field, Ready};
use crate::record::{Entry, KeptEntry, LoggedGround, What};
use crate::units::Quantity;
use geo::{Coord, Geometry, LineString};
use std::sync::Arc;

/// Spots that are looked at.
const SPOTS: usize = 1_500;
/// Feet inside of every edge from which on a spot counts: the 5 ft to which ground is drawn, and
/// a foot for the plane, on which 200 ft miss by less.
const INSIDE_FT: f64 = 6.0;

/// The farm with every ground of the log everywhere, so that all of them lie on each other:
/// nothing can lie denser. None where no entry says its ground.
pub(super) fn on_each_other(ready: &Ready) -> Option<Ready> {
    let all = ready.happened.entries.iter();
    all.clone().any(|entry| entry.ground.is_some()).then(|| {
        let shape = geo::Rect::new((-179.0, -84.0), (179.0, 84.0)).to_polygon();
        let everywhere = |entry: &KeptEntry| {
            let own = entry.ground.as_ref();
            let ground = own.map(|own| Arc::new(LoggedGround { shape: shape.clone().into(), ..(**own).clone() }));
            KeptEntry::from(Entry { ground, ..Entry::clone(entry) })
        };
        Ready { happened: ready.happened.of_entries(all.map(everywhere).collect()), ..ready.clone() }
    })
}

/// Under which spots of a field some ground lies: a mark for each.
pub(super) type Spots = Arc<Vec<bool>>;

/// The spots of a field, in feet.
pub(super) struct FieldSpots {
    flat: Option<Flat>,
    spots: Vec<Coord<f64>>,
}

impl FieldSpots {
    pub(super) fn of(field: &Field) -> FieldSpots {
        let flat = Flat::of(&field.shape);
        let spots = flat.iter().flat_map(|flat| strewn(&field.shape).take(SPOTS).map(|at| flat.feet(at))).collect();
        FieldSpots { flat, spots }
    }

    /// The spots under an entry; none where it does not say its ground.
    pub(super) fn under(&self, entry: &Entry, ready: &Ready) -> Option<Spots> {
        let drawn = Drawn::of(entry.ground.as_ref()?, half_swath(entry, ready), self.flat?);
        Some(Arc::new(self.spots.iter().map(|spot| drawn.holds(*spot, INSIDE_FT)).collect()))
    }
}

/// Half the width that an entry covered along its way.
fn half_swath(entry: &Entry, ready: &Ready) -> f64 {
    let spreader = (entry.what == What::Spread).then(|| ready.spreader.swath.value.get());
    entry.ground.as_ref().and_then(|ground| ground.swath).or(spreader).unwrap_or(0.0) / 2.0
}

/// Spreadable acres of a field that some entries leave, no further off than the second number
/// above what is left; wedges outside of the bends of a way count as left.
pub(super) fn left(field: &Field, ready: &Ready, entries: &[&Entry]) -> Option<(f64, f64)> {
    let flat = Flat::of(&field.shape)?;
    let one = |entry: &&Entry| Some(Drawn::of(entry.ground.as_ref()?, half_swath(entry, ready), flat));
    let grounds: Vec<Drawn> = entries.iter().map(one).collect::<Option<_>>()?;
    Some(acres::without(field, ready, &|spot| grounds.iter().any(|ground| ground.holds(spot, 0.0))))
}

/// A ground in feet.
enum Drawn {
    Areas { rings: Vec<Vec<Coord<f64>>>, sides: Vec<Side> },
    Ways { half: f64, sides: Vec<Side> },
}

impl Drawn {
    fn of(ground: &LoggedGround, half: f64, flat: Flat) -> Drawn {
        let line = |line: &LineString<f64>| -> Vec<Coord<f64>> { line.0.iter().map(|at| flat.feet(*at)).collect() };
        let lines: Vec<Vec<Coord<f64>>> = match &ground.shape {
            Geometry::Polygon(one) => std::iter::once(one.exterior()).chain(one.interiors()).map(line).collect(),
            Geometry::MultiPolygon(all) => {
                all.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors())).map(line).collect()
            }
            Geometry::LineString(one) => vec![line(one)],
            Geometry::MultiLineString(all) => all.iter().map(line).collect(),
            _ => Vec::new(),
        };
        let sides = lines.iter().flat_map(|line| line.windows(2)).map(|ends| Side::of([ends[0], ends[1]])).collect();
        if ground.is_line() { Drawn::Ways { half, sides } } else { Drawn::Areas { rings: lines, sides } }
    }

    /// Whether a spot lies so many feet and more inside.
    fn holds(&self, spot: Coord<f64>, feet: f64) -> bool {
        match self {
            Drawn::Areas { rings, sides } => {
                let near = |side: &Side| squared_distance(spot, side) < feet * feet;
                within(spot, rings) && !sides.iter().any(near)
            }
            Drawn::Ways { half, sides } => {
                *half > feet && sides.iter().any(|side| side.passes(spot, half - feet, feet))
            }
        }
    }
}
