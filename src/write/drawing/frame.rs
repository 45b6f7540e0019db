//! The frame of a map: from feet on a field's plane to units of the picture.
//!
//! Layout only: no length here is ever shown as a number, but for the scale
//! bar, whose length is chosen and not measured.

use super::Path;
use geo::{BoundingRect, Contains, Coord, LineString, MultiPolygon, coord};

/// Width of a field's picture, in its own units: about one CSS pixel on a phone.
pub(in crate::write) const WIDTH: f64 = 400.0;
/// Least height of a picture without its foot.
const LEAST_HEIGHT: f64 = 120.0;
/// Room around the field, for words that stand outside it.
const MARGIN: Coord<f64> = Coord { x: 26.0, y: 22.0 };
/// A gate or stack farther from the field than this share of its longer side
/// would shrink the field too much; an arrow tells where it is.
const NEAR: f64 = 0.3;

/// Feet on the plane to units of the picture, north up.
#[derive(Clone, Copy, Debug)]
pub(in crate::write) struct Frame {
    middle: Coord<f64>,
    scale: f64,
    /// Width of the picture.
    pub(in crate::write) width: f64,
    /// Height of the picture without its foot.
    pub(in crate::write) height: f64,
}

impl Frame {
    /// The frame that holds a shape and those of the spots that lie near it.
    /// None when the shape has no ground.
    pub(in crate::write) fn around(shape: &MultiPolygon<f64>, spots: &[Coord<f64>], tallest: f64) -> Option<Frame> {
        Frame::sized(shape, spots, WIDTH, tallest)
    }

    /// The same for a picture of any width.
    pub(in crate::write) fn sized(
        shape: &MultiPolygon<f64>,
        spots: &[Coord<f64>],
        width: f64,
        tallest: f64,
    ) -> Option<Frame> {
        let bounds = shape.bounding_rect()?;
        let (mut low, mut high) = (bounds.min(), bounds.max());
        let reach = NEAR * (high.x - low.x).max(high.y - low.y);
        for spot in spots {
            let off = (low.x - spot.x).max(spot.x - high.x).max(low.y - spot.y).max(spot.y - high.y);
            if off <= reach {
                low = coord! { x: low.x.min(spot.x), y: low.y.min(spot.y) };
                high = coord! { x: high.x.max(spot.x), y: high.y.max(spot.y) };
            }
        }
        let (wide, tall) = ((high.x - low.x).max(1.0), (high.y - low.y).max(1.0));
        let across = (width - 2.0 * MARGIN.x) / wide;
        let height = (tall * across + 2.0 * MARGIN.y).min(tallest).max(LEAST_HEIGHT);
        let scale = across.min((height - 2.0 * MARGIN.y) / tall);
        let middle = (low + high) / 2.0;
        Some(Frame { middle, scale, width, height })
    }

    /// Feet to picture.
    pub(in crate::write) fn at(&self, feet: Coord<f64>) -> Coord<f64> {
        coord! {
            x: self.width / 2.0 + (feet.x - self.middle.x) * self.scale,
            y: self.height / 2.0 - (feet.y - self.middle.y) * self.scale,
        }
    }

    /// Picture to feet.
    fn feet(&self, at: Coord<f64>) -> Coord<f64> {
        coord! {
            x: self.middle.x + (at.x - self.width / 2.0) / self.scale,
            y: self.middle.y - (at.y - self.height / 2.0) / self.scale,
        }
    }

    /// Whether a box of the picture (its middle, width and height) lies on a
    /// shape, as far as fifteen spots of it can tell.
    pub(in crate::write) fn over(&self, shape: &MultiPolygon<f64>, middle: Coord<f64>, wide: f64, tall: f64) -> bool {
        self.spots(middle, wide, tall).any(|spot| shape.contains(&spot))
    }

    /// Whether a whole box of the picture lies on a shape, as far as those
    /// fifteen spots can tell.
    pub(in crate::write) fn within(&self, shape: &MultiPolygon<f64>, middle: Coord<f64>, wide: f64, tall: f64) -> bool {
        self.spots(middle, wide, tall).all(|spot| shape.contains(&spot))
    }

    /// Fifteen spots of a box of the picture, in feet.
    fn spots(&self, middle: Coord<f64>, wide: f64, tall: f64) -> impl Iterator<Item = Coord<f64>> {
        let across = [-0.5, -0.25, 0.0, 0.25, 0.5].into_iter();
        across.flat_map(move |x| [-0.5, 0.0, 0.5].map(|y| self.feet(middle + coord! { x: x * wide, y: y * tall })))
    }

    /// Whether a place of the picture lies in it, a little off its edge.
    pub(in crate::write) fn holds(&self, at: Coord<f64>) -> bool {
        (4.0..=self.width - 4.0).contains(&at.x) && (4.0..=self.height - 4.0).contains(&at.y)
    }

    /// Degrees clockwise from up in which a spot lies from the middle.
    pub(in crate::write) fn bearing(&self, feet: Coord<f64>) -> f64 {
        let off = feet - self.middle;
        off.x.atan2(off.y).to_degrees()
    }

    /// Units of the picture that a length in feet takes.
    pub(in crate::write) fn drawn(&self, feet: f64) -> f64 {
        feet * self.scale
    }

    /// A round length for the scale bar: feet, and units of the picture.
    pub(in crate::write) fn bar(&self) -> (f64, f64) {
        const ROOM: f64 = 120.0;
        let mut best = 1.0;
        for power in [1.0, 10.0, 100.0, 1_000.0, 10_000.0] {
            for digit in [1.0, 2.0, 5.0] {
                if digit * power * self.scale <= ROOM {
                    best = digit * power;
                }
            }
        }
        (best, best * self.scale)
    }

    /// The rings of a shape in the picture, each without its last corner.
    pub(in crate::write) fn rings(&self, shape: &MultiPolygon<f64>) -> Path {
        let rings = shape.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
        let open = |ring: &LineString<f64>| ring.0.len().saturating_sub(usize::from(ring.is_closed()));
        rings.map(|ring| ring.0.iter().take(open(ring)).map(|corner| self.at(*corner)).collect()).collect()
    }

    /// Lines in the picture, cut off at its edge; empty when none comes in.
    pub(in crate::write) fn lines<'a>(&self, lines: impl Iterator<Item = &'a LineString<f64>>) -> Path {
        let mut path: Path = Vec::new();
        for line in lines {
            let mut last = None;
            for stretch in line.lines() {
                let Some((a, b)) = self.clip(self.at(stretch.start), self.at(stretch.end)) else {
                    continue;
                };
                match path.last_mut().filter(|_| last == Some(a)) {
                    Some(part) => part.push(b),
                    None => path.push(vec![a, b]),
                }
                last = Some(b);
            }
        }
        path
    }

    /// The part of a stretch inside the picture (Liang and Barsky's cut).
    fn clip(&self, a: Coord<f64>, b: Coord<f64>) -> Option<(Coord<f64>, Coord<f64>)> {
        let along = b - a;
        let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
        let edges = [
            (-along.x, a.x - 1.0),
            (along.x, self.width - 1.0 - a.x),
            (-along.y, a.y - 1.0),
            (along.y, self.height - 1.0 - a.y),
        ];
        for (speed, room) in edges {
            if speed == 0.0 {
                if room < 0.0 {
                    return None;
                }
            } else if speed < 0.0 {
                enter = enter.max(room / speed);
            } else {
                leave = leave.min(room / speed);
            }
        }
        // The corner itself where nothing is cut, so that stretches join.
        let start = if enter > 0.0 { a + along * enter } else { a };
        let end = if leave < 1.0 { a + along * leave } else { b };
        (enter < leave).then_some((start, end))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::polygon;

    fn square() -> MultiPolygon<f64> {
        MultiPolygon(vec![polygon![(x: 0.0, y: 0.0), (x: 1000.0, y: 0.0), (x: 1000.0, y: 1000.0), (x: 0.0, y: 1000.0)]])
    }

    #[test]
    fn north_is_up_and_nothing_leaves_the_picture() {
        let frame = Frame::around(&square(), &[], 300.0).unwrap();
        let (south, north) = (frame.at(coord! {x: 0.0, y: 0.0}), frame.at(coord! {x: 0.0, y: 1000.0}));
        assert!(north.y < south.y);
        assert!(frame.holds(south) && frame.holds(north));
        assert_eq!(frame.rings(&square())[0].len(), 4);
        assert!((frame.bearing(coord! {x: 5000.0, y: 500.0}) - 90.0).abs() < 1e-9);
    }

    #[test]
    fn a_far_gate_does_not_shrink_the_field() {
        let alone = Frame::around(&square(), &[], 300.0).unwrap();
        let far = Frame::around(&square(), &[coord! {x: 9000.0, y: 0.0}], 300.0).unwrap();
        assert_eq!(alone.bar(), far.bar());
        assert!(!far.holds(far.at(coord! {x: 9000.0, y: 0.0})));
    }

    #[test]
    fn lines_end_at_the_edge() {
        let frame = Frame::around(&square(), &[], 300.0).unwrap();
        let through = LineString::from(vec![(-9e5, 500.0), (500.0, 500.0), (9e5, 500.0)]);
        let path = frame.lines([&through].into_iter());
        assert_eq!(path.len(), 1, "{path:?}");
        assert!((path[0][0].x - 1.0).abs() < 1e-6 && (path[0][2].x - 399.0).abs() < 1e-6, "{path:?}");
        let outside = LineString::from(vec![(-9e5, 9e5), (9e5, 9e5)]);
        assert!(frame.lines([&outside].into_iter()).is_empty());
    }
}
