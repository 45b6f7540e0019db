//! Acres counted again: points strewn evenly over the field, each one in or
//! out.

use crate::audit::fault::fault;
use crate::check::{Field, Ready};
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
/// And by so many points more: where a field is so thin that the points run out, few are inside.
const STRAY: f64 = 20.0;
/// Mean radius of the earth in feet (6,371,008.8 m); good to 0.3 % of a
/// distance, within the tolerance.
const RADIUS_FT: f64 = 6_371_008.8 / 0.3048;

pub(super) fn check(plan: &FieldPlan, field: &Field, ready: &Ready, findings: &mut Findings) {
    let counted = of_field(field, ready, &|_| false);
    let slack = counted.slack();
    if plan.acres > counted.spreadable + slack {
        findings.push(fault(
            "acres",
            format!(
                "field {}: {:.2} ac planned, {:.2} counted free of setbacks",
                plan.id, plan.acres, counted.spreadable
            ),
        ));
    }
    if (plan.gross_acres - counted.gross).abs() > slack {
        findings.push(fault(
            "acres",
            format!("field {}: {:.2} ac in all, {:.2} counted", plan.id, plan.gross_acres, counted.gross),
        ));
    }
}

/// Spreadable acres of a field but for some spots, on the plane of [`Flat`]; no further off than
/// the second number.
pub(super) fn without(field: &Field, ready: &Ready, off: &dyn Fn(Coord<f64>) -> bool) -> (f64, f64) {
    let counted = of_field(field, ready, off);
    (counted.spreadable, counted.slack())
}

fn of_field(field: &Field, ready: &Ready, off: &dyn Fn(Coord<f64>) -> bool) -> Counted {
    let keepouts: Vec<(&Geometry<f64>, f64)> = ready.keepouts.iter().map(|k| (&k.geometry, k.from(field).0)).collect();
    count(&field.shape, &keepouts, off)
}

#[derive(Default)]
struct Counted {
    gross: f64,
    spreadable: f64,
    /// Acres by which a thin field may miss besides.
    stray: f64,
}

impl Counted {
    fn slack(&self) -> f64 {
        TOLERANCE * self.gross + self.stray
    }
}

/// A sphere's plane at one point, in feet.
#[derive(Clone, Copy)]
pub(super) struct Flat {
    lon: f64,
    lat: f64,
}

impl Flat {
    /// The plane at the middle of a shape; none of a shape without corners.
    pub(super) fn of(shape: &MultiPolygon<f64>) -> Option<Flat> {
        shape.coords_iter().next()?;
        let (low, high) = bounds(shape.coords_iter());
        Some(Flat { lon: (low.x + high.x) / 2.0, lat: (low.y + high.y) / 2.0 })
    }

    pub(super) fn feet(self, c: Coord<f64>) -> Coord<f64> {
        let x = (c.x - self.lon).to_radians() * self.lat.to_radians().cos() * RADIUS_FT;
        Coord { x, y: (c.y - self.lat).to_radians() * RADIUS_FT }
    }

    fn ring(self, ring: &LineString<f64>) -> Vec<Coord<f64>> {
        ring.0.iter().map(|c| self.feet(*c)).collect()
    }
}

/// One thing to keep away from: its rings, those of its sides that reach the
/// field, and the distance.
struct Near {
    sides: Vec<Side>,
    rings: Vec<Vec<Coord<f64>>>,
    feet: f64,
    /// Nothing outside of this box is kept off.
    low: Coord<f64>,
    high: Coord<f64>,
}

/// A side from one end, the way to the other, and 1 over the square of its
/// length; a side may be a single point.
pub(super) struct Side {
    from: Coord<f64>,
    way: Coord<f64>,
    per_square: f64,
}

impl Side {
    pub(super) fn of([from, to]: [Coord<f64>; 2]) -> Side {
        let way = to - from;
        let square = way.x * way.x + way.y * way.y;
        Side { from, way, per_square: if square > 0.0 { 1.0 / square } else { 0.0 } }
    }

    /// Whether it runs past a point no further off than this, and not near one of its ends.
    pub(super) fn passes(&self, p: Coord<f64>, feet: f64, from_end: f64) -> bool {
        let off = p - self.from;
        let along = (off.x * self.way.x + off.y * self.way.y) * self.per_square;
        let end = from_end * self.per_square.sqrt();
        end < along && along < 1.0 - end && squared_distance(p, self) < feet * feet
    }
}

fn count(shape: &MultiPolygon<f64>, keepouts: &[(&Geometry<f64>, f64)], off: &dyn Fn(Coord<f64>) -> bool) -> Counted {
    let Some(flat) = Flat::of(shape) else {
        return Counted::default();
    };
    let rings: Vec<_> =
        shape.0.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors())).map(|r| flat.ring(r)).collect();
    let (low, high) = bounds(rings.iter().flatten().copied());
    let box_acres = (high.x - low.x) * (high.y - low.y) / 43_560.0;
    if !(box_acres > 0.0 && box_acres.is_finite()) {
        return Counted::default();
    }
    let near: Vec<Near> = keepouts
        .iter()
        .map(|&(geometry, feet)| near(geometry, feet, flat, low, high))
        .filter(|n| !n.sides.is_empty() || !n.rings.is_empty())
        .collect();
    let (mut inside, mut free, mut all) = (0_u32, 0_u32, 0_u32);
    while inside < INSIDE && all < POINTS {
        all += 1;
        let point = nth(all, low, high);
        if within(point, &rings) {
            inside += 1;
            free += u32::from(!near.iter().any(|n| reaches(n, point)) && !off(point));
        }
    }
    let acres = |points: u32| f64::from(points) / f64::from(all) * box_acres;
    let stray = if inside < INSIDE { STRAY / f64::from(all) * box_acres } else { 0.0 };
    Counted { gross: acres(inside), spreadable: acres(free), stray }
}

/// A point of the even strewing over a box.
fn nth(number: u32, low: Coord<f64>, high: Coord<f64>) -> Coord<f64> {
    let along = |stride: f64, low: f64, high: f64| low + (0.5 + f64::from(number) * stride).fract() * (high - low);
    Coord { x: along(STRIDE.0, low.x, high.x), y: along(STRIDE.1, low.y, high.y) }
}

/// Points strewn evenly inside a field, in longitude and latitude.
pub(super) fn strewn(shape: &MultiPolygon<f64>) -> impl Iterator<Item = Coord<f64>> {
    let (low, high) = bounds(shape.coords_iter());
    let lines = shape.0.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
    let rings: Vec<Vec<Coord<f64>>> = lines.map(|line| line.0.clone()).collect();
    let points = (1..=POINTS).map(move |number| nth(number, low, high));
    points.filter(move |point| within(*point, &rings)).take(INSIDE as usize)
}

fn bounds(coords: impl Iterator<Item = Coord<f64>>) -> (Coord<f64>, Coord<f64>) {
    let start = (Coord { x: f64::INFINITY, y: f64::INFINITY }, Coord { x: f64::NEG_INFINITY, y: f64::NEG_INFINITY });
    coords.fold(start, |(low, high), c| {
        (Coord { x: low.x.min(c.x), y: low.y.min(c.y) }, Coord { x: high.x.max(c.x), y: high.y.max(c.y) })
    })
}

/// Whether a thing comes closer to a shape than some feet, or lies on it: between two lines the
/// shortest way begins at an end of one of them, unless they cross.
pub(super) fn comes_within(shape: &MultiPolygon<f64>, thing: &Geometry<f64>, feet: f64) -> bool {
    let Some(flat) = Flat::of(shape) else { return false };
    let all: Vec<_> =
        shape.0.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors())).map(|r| flat.ring(r)).collect();
    let (low, high) = bounds(all.iter().flatten().copied());
    let near = near(thing, feet, flat, low, high);
    let own: Vec<[Coord<f64>; 2]> = all.iter().flat_map(|ring| ring.windows(2).map(|w| [w[0], w[1]])).collect();
    let ends = |side: &Side| [side.from, side.from + side.way];
    let reach = feet * feet;
    let close = |side: &Side| {
        let [from, to] = ends(side);
        let by_end = |one: &[Coord<f64>; 2]| {
            let mine = Side::of(*one);
            [from, to].into_iter().any(|end| squared_distance(end, &mine) < reach) || cross([from, to], *one)
        };
        within(from, &all) || own.iter().any(by_end)
    };
    own.iter().any(|[end, _]| reaches(&near, *end)) || near.sides.iter().any(close)
}

/// Whether two lines cross.
fn cross([a, b]: [Coord<f64>; 2], [c, d]: [Coord<f64>; 2]) -> bool {
    let side = |p: Coord<f64>, q: Coord<f64>, r: Coord<f64>| (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x);
    (side(a, b, c) > 0.0) != (side(a, b, d) > 0.0) && (side(c, d, a) > 0.0) != (side(c, d, b) > 0.0)
}

/// What of a keep-out reaches into the box of a field.
fn near(geometry: &Geometry<f64>, feet: f64, flat: Flat, low: Coord<f64>, high: Coord<f64>) -> Near {
    let mut lines = Vec::new();
    let mut rings = Vec::new();
    collect(geometry, flat, &mut lines, &mut rings);
    let meets = |&(low_one, high_one): &(Coord<f64>, Coord<f64>)| {
        low_one.x - feet < high.x && high_one.x + feet > low.x && low_one.y - feet < high.y && high_one.y + feet > low.y
    };
    let (low_all, high_all) = bounds(lines.iter().chain(&rings).flatten().copied());
    let pad = Coord { x: feet, y: feet };
    let sides = lines
        .iter()
        .chain(&rings)
        .flat_map(|line| match line.as_slice() {
            [only] => vec![[*only, *only]],
            more => more.windows(2).map(|w| [w[0], w[1]]).collect(),
        })
        .filter(|side| meets(&bounds(side.iter().copied())))
        .map(Side::of)
        .collect();
    rings.retain(|ring| meets(&bounds(ring.iter().copied())));
    Near { sides, rings, feet, low: low_all - pad, high: high_all + pad }
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
pub(super) fn within(p: Coord<f64>, rings: &[Vec<Coord<f64>>]) -> bool {
    rings.iter().flat_map(|r| r.windows(2)).fold(false, |inside, w| {
        let crosses =
            (w[0].y > p.y) != (w[1].y > p.y) && p.x < (w[1].x - w[0].x) * (p.y - w[0].y) / (w[1].y - w[0].y) + w[0].x;
        inside != crosses
    })
}

fn reaches(near: &Near, p: Coord<f64>) -> bool {
    let reach = near.feet * near.feet;
    let boxed = (near.low.x..=near.high.x).contains(&p.x) && (near.low.y..=near.high.y).contains(&p.y);
    boxed && (within(p, &near.rings) || near.sides.iter().any(|side| squared_distance(p, side) < reach))
}

/// Square of the feet from a point to a side.
pub(super) fn squared_distance(p: Coord<f64>, side: &Side) -> f64 {
    let off = p - side.from;
    let along = ((off.x * side.way.x + off.y * side.way.y) * side.per_square).clamp(0.0, 1.0);
    let (x, y) = (off.x - along * side.way.x, off.y - along * side.way.y);
    x * x + y * y
}
