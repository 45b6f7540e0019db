//! Ground of a field that water parts from its gate.

use super::grid::Ground;
use super::plane::SQUARE_FEET_PER_ACRE;
use super::spreadable::{Cut, Zone};
use super::way::way;
use geo::{Area, Centroid, Contains, Coord, Distance, Euclidean, InteriorPoint, MultiPolygon, Point, Polygon};

/// Less ground than this is worth no line.
const LEAST_ACRES: f64 = 0.05;

/// Ground to spread on that lies across some water from the gate.
#[derive(Clone, Debug, PartialEq)]
pub struct Across {
    /// Its acres.
    pub acres: f64,
    /// Which way it lies from the ground at the gate.
    pub way: &'static str,
    /// [`Zone::index`] of the water between.
    pub index: usize,
}

/// What of a field lies across water from a gate (feet on the plane); `water` are the indexes of
/// the zones of streams, ditches, ponds and wet ground.
#[must_use]
pub fn across(cut: &Cut, gate: Coord<f64>, water: &[usize]) -> Vec<Across> {
    let wet: Vec<&Zone> = cut.zones.iter().filter(|zone| water.contains(&zone.index)).collect();
    if wet.is_empty() || cut.spreadable.0.len() < 2 {
        return Vec::new();
    }
    let all = MultiPolygon(wet.iter().flat_map(|zone| zone.shape.iter().cloned()).collect());
    let dry = Ground::from_shape(&cut.boundary).and_then(|field| field.less(&Ground::from_shape(&all)?));
    let Ok(dry) = dry.map(|dry| dry.to_shape()) else { return Vec::new() };
    let far = |part: &&Polygon<f64>| Euclidean.distance(&Point(gate), *part);
    let Some(home) = dry.iter().min_by(|a, b| far(a).total_cmp(&far(b))) else { return Vec::new() };
    let on = |side: &Polygon<f64>| -> MultiPolygon<f64> {
        let own = cut.spreadable.iter().filter(|part| part.interior_point().is_some_and(|at| side.contains(&at)));
        MultiPolygon(own.cloned().collect())
    };
    let Some(from) = on(home).centroid() else { return Vec::new() };
    let other = dry.iter().filter(|side| !std::ptr::eq(*side, home)).filter_map(|side| {
        let ground = on(side);
        let acres = ground.unsigned_area() / SQUARE_FEET_PER_ACRE;
        let to = ground.centroid().filter(|_| acres >= LEAST_ACRES)?;
        let apart = |zone: &&&Zone| Euclidean.distance(&zone.shape, side);
        let between = wet.iter().min_by(|a, b| apart(a).total_cmp(&apart(b)))?;
        Some(Across { acres, way: way(to.0 - from.0), index: between.index })
    });
    other.collect()
}
