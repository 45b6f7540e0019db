//! Acres counted again: points strewn evenly over the field, each one in or
//! out.

use crate::audit::fault;
use crate::check::{Field, KeepOut, Ready};
use crate::findings::Findings;
use crate::plan::answer::FieldPlan;
use geo::{Coord, CoordsIter, Geometry, LineString, MultiPolygon};

/// Points inside the field after which the count ends.
const INSIDE: u32 = 6_000;
/// Points in all after which it ends, however thin the field.
const POINTS: u32 = 200_000;
/// The next point lies so far along each side of the field's box, as a share of
/// it: powers of the plastic number, by which points spread evenly and line up
/// with no fence. A square grid does line up, and miscounts thin fields.
const STRIDE: (f64, f64) = (0.754_877_666_246_692_7, 0.569_840_290_998_053_2);
/// The count may miss by this share of the field; so many points stray by less
/// than half of it.
const TOLERANCE: f64 = 0.01;
/// Mean radius of the earth in feet (6,371,008.8 m); good to 0.3 % of a
/// distance, within the tolerance.
const RADIUS_FT: f64 = 6_371_008.8 / 0.3048;

pub(super) fn check(plan: &FieldPlan, field: &Field, ready: &Ready, findings: &mut Findings) {
    let counted = count(&field.shape, &ready.keepouts);
    if plan.acres > counted.spreadable + TOLERANCE * counted.gross {
        findings.push(fault(
            "acres",
            format!(
                "field {}: {:.2} ac planned, {:.2} counted free of setbacks",
                plan.id, plan.acres, counted.spreadable
            ),
        ));
    }
    if (plan.gross_acres - counted.gross).abs() > TOLERANCE * counted.gross {
        findings.push(fault(
            "acres",
            format!("field {}: {:.2} ac in all, {:.2} counted", plan.id, plan.gross_acres, counted.gross),
        ));
    }
}

struct Counted {
    gross: f64,
    spreadable: f64,
}

/// A sphere's plane at one point, in feet.
#[derive(Clone, Copy)]
struct Flat {
    lon: f64,
    lat: f64,
}

impl Flat {
    fn feet(self, c: Coord<f64>) -> Coord<f64> {
        let x = (c.x - self.lon).to_radians() * self.lat.to_radians().cos() * RADIUS_FT;
        Coord { x, y: (c.y - self.lat).to_radians() * RADIUS_FT }
    }

    fn ring(self, ring: &LineString<f64>) -> Vec<Coord<f64>> {
        ring.0.iter().map(|c| self.feet(*c)).collect()
    }
}

/// One thing to keep away from: its lines, its rings, and the distance.
struct Near {
    lines: Vec<Vec<Coord<f64>>>,
    rings: Vec<Vec<Coord<f64>>>,
    feet: f64,
    low: Coord<f64>,
    high: Coord<f64>,
}

fn count(shape: &MultiPolygon<f64>, keepouts: &[KeepOut]) -> Counted {
    let Some(flat) = middle(shape) else {
        return Counted { gross: 0.0, spreadable: 0.0 };
    };
    let rings: Vec<_> =
        shape.0.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors())).map(|r| flat.ring(r)).collect();
    let (low, high) = bounds(rings.iter().flatten().copied());
    let box_acres = (high.x - low.x) * (high.y - low.y) / 43_560.0;
    if !(box_acres > 0.0 && box_acres.is_finite()) {
        return Counted { gross: 0.0, spreadable: 0.0 };
    }
    let near: Vec<Near> = keepouts
        .iter()
        .map(|k| near(k, flat))
        .filter(|n| {
            n.low.x - n.feet < high.x
                && n.high.x + n.feet > low.x
                && n.low.y - n.feet < high.y
                && n.high.y + n.feet > low.y
        })
        .collect();
    let (mut inside, mut free, mut all) = (0_u32, 0_u32, 0_u32);
    while inside < INSIDE && all < POINTS {
        all += 1;
        let along = |stride: f64, low: f64, high: f64| low + (0.5 + f64::from(all) * stride).fract() * (high - low);
        let point = Coord { x: along(STRIDE.0, low.x, high.x), y: along(STRIDE.1, low.y, high.y) };
        if within(point, &rings) {
            inside += 1;
            free += u32::from(!near.iter().any(|n| reaches(n, point)));
        }
    }
    let acres = |points: u32| f64::from(points) / f64::from(all) * box_acres;
    Counted { gross: acres(inside), spreadable: acres(free) }
}

fn middle(shape: &MultiPolygon<f64>) -> Option<Flat> {
    shape.coords_iter().next()?;
    let (low, high) = bounds(shape.coords_iter());
    Some(Flat { lon: (low.x + high.x) / 2.0, lat: (low.y + high.y) / 2.0 })
}

fn bounds(coords: impl Iterator<Item = Coord<f64>>) -> (Coord<f64>, Coord<f64>) {
    let start = (Coord { x: f64::INFINITY, y: f64::INFINITY }, Coord { x: f64::NEG_INFINITY, y: f64::NEG_INFINITY });
    coords.fold(start, |(low, high), c| {
        (Coord { x: low.x.min(c.x), y: low.y.min(c.y) }, Coord { x: high.x.max(c.x), y: high.y.max(c.y) })
    })
}

fn near(keep: &KeepOut, flat: Flat) -> Near {
    let mut lines = Vec::new();
    let mut rings = Vec::new();
    collect(&keep.geometry, flat, &mut lines, &mut rings);
    let (low, high) = bounds(lines.iter().chain(&rings).flatten().copied());
    Near { lines, rings, feet: keep.feet, low, high }
}

fn collect(geometry: &Geometry<f64>, flat: Flat, lines: &mut Vec<Vec<Coord<f64>>>, rings: &mut Vec<Vec<Coord<f64>>>) {
    match geometry {
        Geometry::Point(p) => lines.push(vec![flat.feet(p.0)]),
        Geometry::MultiPoint(points) => lines.extend(points.0.iter().map(|p| vec![flat.feet(p.0)])),
        Geometry::Line(l) => lines.push(vec![flat.feet(l.start), flat.feet(l.end)]),
        Geometry::LineString(l) => lines.push(flat.ring(l)),
        Geometry::MultiLineString(all) => lines.extend(all.0.iter().map(|l| flat.ring(l))),
        Geometry::Polygon(p) => rings.extend(std::iter::once(p.exterior()).chain(p.interiors()).map(|r| flat.ring(r))),
        Geometry::MultiPolygon(all) => {
            all.0.iter().for_each(|p| collect(&Geometry::Polygon(p.clone()), flat, lines, rings))
        }
        Geometry::Rect(r) => collect(&Geometry::Polygon(r.to_polygon()), flat, lines, rings),
        Geometry::Triangle(t) => collect(&Geometry::Polygon(t.to_polygon()), flat, lines, rings),
        Geometry::GeometryCollection(all) => all.0.iter().for_each(|g| collect(g, flat, lines, rings)),
    }
}

/// Even-odd: an uneven count of rings crossed to the right is inside.
fn within(p: Coord<f64>, rings: &[Vec<Coord<f64>>]) -> bool {
    rings.iter().flat_map(|r| r.windows(2)).fold(false, |inside, w| {
        let crosses =
            (w[0].y > p.y) != (w[1].y > p.y) && p.x < (w[1].x - w[0].x) * (p.y - w[0].y) / (w[1].y - w[0].y) + w[0].x;
        inside != crosses
    })
}

fn reaches(near: &Near, p: Coord<f64>) -> bool {
    let outside = p.x < near.low.x - near.feet
        || p.x > near.high.x + near.feet
        || p.y < near.low.y - near.feet
        || p.y > near.high.y + near.feet;
    if outside {
        return false;
    }
    within(p, &near.rings) || near.lines.iter().chain(&near.rings).any(|line| distance(p, line) < near.feet)
}

/// Feet from a point to a line of one or more corners.
fn distance(p: Coord<f64>, line: &[Coord<f64>]) -> f64 {
    let to = |c: Coord<f64>| (p.x - c.x).hypot(p.y - c.y);
    if let [only] = line {
        return to(*only);
    }
    line.windows(2)
        .map(|w| {
            let (dx, dy) = (w[1].x - w[0].x, w[1].y - w[0].y);
            let length = dx * dx + dy * dy;
            let along =
                if length > 0.0 { (((p.x - w[0].x) * dx + (p.y - w[0].y) * dy) / length).clamp(0.0, 1.0) } else { 0.0 };
            to(Coord { x: w[0].x + along * dx, y: w[0].y + along * dy })
        })
        .fold(f64::INFINITY, f64::min)
}
