//! Where the words of a map go: inside what they name where there is room,
//! and never over one another where that can be helped.

use super::frame::Frame;
use geo::{Contains, Coord, Distance, Euclidean, InteriorPoint, MultiPolygon, Point, Polygon, coord};

/// Samples across a part when a place for a label is sought.
const SAMPLES: u32 = 22;
/// How many of the roomiest samples are tried.
const TRIED: usize = 60;

/// A box of the picture: middle, and half of width and height.
#[derive(Clone, Copy, Debug)]
struct TakenBox {
    middle: Coord<f64>,
    half: Coord<f64>,
}

impl TakenBox {
    fn meets(&self, other: &TakenBox) -> bool {
        let off = self.middle - other.middle;
        off.x.abs() < self.half.x + other.half.x && off.y.abs() < self.half.y + other.half.y
    }
}

/// Keeps the labels of one map apart.
#[derive(Debug)]
pub(in crate::write) struct Labels {
    width: f64,
    height: f64,
    taken: Vec<TakenBox>,
}

impl Labels {
    /// No label yet, in the picture of this frame.
    pub(in crate::write) fn new(frame: &Frame) -> Labels {
        Labels { width: frame.width, height: frame.height, taken: Vec::new() }
    }

    /// Takes a place whether or not it is free.
    pub(in crate::write) fn take(&mut self, middle: Coord<f64>, wide: f64, tall: f64) {
        self.taken.push(boxed(middle, wide, tall));
    }

    /// The first free place among those given; it is taken.
    pub(in crate::write) fn first_free(
        &mut self,
        places: impl Iterator<Item = Coord<f64>>,
        wide: f64,
        tall: f64,
    ) -> Option<Coord<f64>> {
        let found =
            places.map(|p| boxed(p, wide, tall)).find(|b| self.inside(b) && !self.taken.iter().any(|t| t.meets(b)))?;
        self.taken.push(found);
        Some(found.middle)
    }

    /// Where no place is free, the one that lies over the fewest others; it is taken.
    pub(in crate::write) fn least_over(
        &mut self,
        places: impl Iterator<Item = Coord<f64>>,
        wide: f64,
        tall: f64,
    ) -> Option<Coord<f64>> {
        let over = |own: &TakenBox| (!self.inside(own), self.taken.iter().filter(|taken| taken.meets(own)).count());
        let found = places.map(|at| boxed(at, wide, tall)).min_by_key(over)?;
        self.taken.push(found);
        Some(found.middle)
    }

    fn inside(&self, b: &TakenBox) -> bool {
        b.middle.x - b.half.x >= 1.0
            && b.middle.x + b.half.x <= self.width - 1.0
            && b.middle.y - b.half.y >= 1.0
            && b.middle.y + b.half.y <= self.height - 1.0
    }
}

fn boxed(middle: Coord<f64>, wide: f64, tall: f64) -> TakenBox {
    TakenBox { middle, half: coord! { x: wide / 2.0, y: tall / 2.0 } }
}

/// Places inside a shape (in feet), the roomiest first; never empty when the
/// shape has ground.
pub(in crate::write) fn inside(shape: &MultiPolygon<f64>) -> Vec<Coord<f64>> {
    let mut found: Vec<(f64, Coord<f64>)> = Vec::new();
    for part in shape {
        let Some(bounds) = geo::BoundingRect::bounding_rect(part) else {
            continue;
        };
        let step = (bounds.max() - bounds.min()) / f64::from(SAMPLES);
        for row in 0..SAMPLES {
            for column in 0..SAMPLES {
                let at =
                    bounds.min() + coord! { x: step.x * (f64::from(column) + 0.5), y: step.y * (f64::from(row) + 0.5) };
                if part.contains(&at) {
                    found.push((room(part, at), at));
                }
            }
        }
        if let Some(at) = part.interior_point() {
            found.push((room(part, at.0), at.0));
        }
    }
    found.sort_by(|(a, _), (b, _)| b.total_cmp(a));
    found.truncate(TRIED);
    found.into_iter().map(|(_, at)| at).collect()
}

/// Distance from a place inside a part to its edge.
fn room(part: &Polygon<f64>, at: Coord<f64>) -> f64 {
    let at = Point(at);
    std::iter::once(part.exterior())
        .chain(part.interiors())
        .map(|ring| Euclidean.distance(&at, ring))
        .fold(f64::INFINITY, f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::polygon;

    #[test]
    fn labels_do_not_lie_on_one_another() {
        let shape = MultiPolygon(vec![polygon![(x: 0.0, y: 0.0), (x: 900.0, y: 0.0), (x: 0.0, y: 900.0)]]);
        let frame = Frame::around(&shape, &[], 300.0).unwrap();
        let places: Vec<_> = inside(&shape).into_iter().map(|p| frame.at(p)).collect();
        let mut labels = Labels::new(&frame);
        let first = labels.first_free(places.iter().copied(), 40.0, 20.0).unwrap();
        let second = labels.first_free(places.iter().copied(), 40.0, 20.0).unwrap();
        assert!((first.x - second.x).abs() >= 40.0 || (first.y - second.y).abs() >= 20.0);
        assert!(labels.first_free(places.iter().copied(), 500.0, 20.0).is_none());
    }

    #[test]
    fn a_thin_strip_still_has_a_place() {
        let shape = MultiPolygon(vec![
            polygon![(x: 0.0, y: 0.0), (x: 900.0, y: 900.0), (x: 900.0, y: 900.1), (x: 0.0, y: 0.1)],
        ]);
        assert!(!inside(&shape).is_empty());
    }
}
