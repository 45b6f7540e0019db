//! How a thing is drawn, against what it is: a stream is a line, a pond is an
//! area, a well is a point. Drawn otherwise, most of it takes no ground, or it
//! takes a county.

use crate::farm::{Written, WrittenKeepOut};
use crate::findings::{Finding, Findings};
use crate::ground::{self, Plane, SQUARE_FEET_PER_ACRE, ShapeFault};
use crate::units::number_text;
use geo::{Area, Coord, CoordsIter, Geometry, LineString, MultiPolygon, Polygon};

/// The forms that a kind may be drawn in, and the most acres of one area.
struct DrawnForm {
    kinds: &'static [&'static str],
    point: bool,
    line: bool,
    area: bool,
    /// Acres past which an area of the kind looks wrong: our own choice.
    most_acres: f64,
    accepts: &'static str,
}

/// As a point, a line, an area: yes or no.
const fn form(
    kinds: &'static [&'static str],
    [point, line, area]: [bool; 3],
    most_acres: f64,
    accepts: &'static str,
) -> DrawnForm {
    DrawnForm { kinds, point, line, area, most_acres, accepts }
}

const FORMS: &[DrawnForm] = &[
    form(
        &["perennial_stream", "intermittent_stream", "ditch"],
        [false, true, true],
        1_000.0,
        "a LineString along it, or a Polygon of the water where it is wide",
    ),
    form(&["road"], [false, true, true], 1_000.0, "a LineString along it, or a Polygon of the right-of-way"),
    form(
        &["property_line"],
        [false, true, false],
        0.0,
        "a LineString along it; a Polygon would take all the ground in it",
    ),
    form(&["pond", "wetland", "steep_ground"], [false, false, true], 2_000.0, "a Polygon around it"),
    form(&["well", "spring", "tile_intake"], [true, false, true], 0.5, "a Point"),
    form(&["dwelling", "public_building"], [true, false, true], 20.0, "a Polygon of its walls, or a Point"),
    form(&["sinkhole", "rock_outcrop"], [true, false, true], 200.0, "a Polygon around it, or a Point"),
];

pub(super) fn check(written: &Written, findings: &mut Findings) {
    for keep in &written.keepouts {
        if let Some(form) = FORMS.iter().find(|form| form.kinds.contains(&keep.kind.value.as_str())) {
            drawn(keep, form, findings);
        }
        areas(&keep.geometry, &mut |polygon| faults(keep, polygon, findings));
        lines(&keep.geometry, &mut |line| {
            if let Some(at) = spike(line, false) {
                findings.push(slipped(&keep.name, &keep.place, at));
            }
        });
    }
    for boundary in &written.boundaries {
        for ring in boundary.shape.iter().flat_map(|part| std::iter::once(part.exterior()).chain(part.interiors())) {
            if let Some(at) = spike(ring, true) {
                findings.push(slipped(&format!("field {}", boundary.id.value), &boundary.id.place, at));
            }
        }
    }
}

fn drawn(keep: &WrittenKeepOut, form: &DrawnForm, findings: &mut Findings) {
    let mut wrong = Vec::new();
    forms(&keep.geometry, form, &mut wrong);
    let kind = keep.kind.value.replace('_', " ");
    if let Some(how) = wrong.first() {
        let found = format!("{}: the {kind} is drawn as {how}", keep.name);
        findings.push(
            Finding::error("keepout-drawn", &keep.place, found)
                .accepts(form.accepts)
                .fix("draw it again; as it is, the ground along it would get litter or lose it"),
        );
        return;
    }
    let mut most: f64 = 0.0;
    areas(&keep.geometry, &mut |polygon| most = most.max(acres(polygon)));
    if most > form.most_acres && form.area {
        let found = format!("{}: the {kind} is drawn as an area of {} acres", keep.name, number_text(most, 1));
        let finding = Finding::error("keepout-area", &keep.place, found)
            .accepts(format!("{}, of no more than {} acres", form.accepts, number_text(form.most_acres, 1)))
            .fix("draw it again: is it the outline of the land that it lies on?");
        findings.push(finding);
    }
}

/// How the parts of a geometry are drawn that do not fit the kind.
fn forms(geometry: &Geometry<f64>, form: &DrawnForm, wrong: &mut Vec<&'static str>) {
    match geometry {
        Geometry::Point(_) if !form.point => wrong.push("a Point"),
        Geometry::MultiPoint(_) if !form.point => wrong.push("a MultiPoint"),
        Geometry::LineString(_) | Geometry::Line(_) if !form.line => wrong.push("a LineString"),
        Geometry::MultiLineString(_) if !form.line => wrong.push("a MultiLineString"),
        Geometry::Polygon(_) if !form.area => wrong.push("a Polygon"),
        Geometry::MultiPolygon(_) if !form.area => wrong.push("a MultiPolygon"),
        Geometry::GeometryCollection(all) => all.0.iter().for_each(|one| forms(one, form, wrong)),
        _ => {}
    }
}

/// Every polygon of a geometry.
fn areas(geometry: &Geometry<f64>, each: &mut dyn FnMut(&Polygon<f64>)) {
    match geometry {
        Geometry::Polygon(polygon) => each(polygon),
        Geometry::MultiPolygon(shape) => shape.0.iter().for_each(each),
        Geometry::GeometryCollection(all) => all.0.iter().for_each(|one| areas(one, each)),
        _ => {}
    }
}

/// Every line of a geometry.
fn lines(geometry: &Geometry<f64>, each: &mut dyn FnMut(&LineString<f64>)) {
    match geometry {
        Geometry::LineString(line) => each(line),
        Geometry::MultiLineString(all) => all.0.iter().for_each(each),
        Geometry::GeometryCollection(all) => all.0.iter().for_each(|one| lines(one, each)),
        _ => {}
    }
}

fn acres(polygon: &Polygon<f64>) -> f64 {
    let shape = MultiPolygon(vec![polygon.clone()]);
    let plane = Plane::for_shape(&shape);
    plane.map_or(0.0, |plane| plane.shape_to_feet(&shape).unsigned_area() / SQUARE_FEET_PER_ACRE)
}

/// A keep-out whose polygon holds too little or too much, as drawn.
fn faults(keep: &WrittenKeepOut, polygon: &Polygon<f64>, findings: &mut Findings) {
    let name = &keep.name;
    for fault in ground::faults(&MultiPolygon(vec![polygon.clone()])) {
        let finding = match fault {
            ShapeFault::TooFewPoints { .. } | ShapeFault::ZeroArea { .. } | ShapeFault::HoleOutside { .. } => {
                Finding::error("keepout-shape", &keep.place, format!("{name}: {fault}"))
            }
            ShapeFault::SelfCrossing { .. } => {
                Finding::warning("keepout-shape", &keep.place, format!("{name}: {fault}"))
            }
            _ => continue,
        };
        findings.push(finding.fix("draw its outline again, corner by corner"));
    }
}

/// Sides of this many feet and more are looked at: a shorter jog is no slip of
/// a third decimal.
const SPIKE_FEET: f64 = 150.0;
/// A corner sharper than this many degrees is told: our own choice, as all of these.
const SPIKE_DEGREES: f64 = 60.0;
/// Its two sides are so many times as long as the usual one.
const SPIKE_TIMES: f64 = 2.0;
/// Its two neighbors lie no farther from each other than so many usual sides:
/// two long fences that meet in a point are no slip.
const BASE_TIMES: f64 = 3.0;

/// A corner out of line with the others, as one wrong digit makes it: two long
/// sides run out to it and back.
fn spike(line: &LineString<f64>, ring: bool) -> Option<Coord<f64>> {
    let first = line.coords_iter().next().filter(|at| at.x.is_finite() && at.y.is_finite())?;
    let plane = Plane::at(first.x, first.y);
    let corners: Vec<Coord<f64>> = line.coords_iter().map(|at| plane.to_feet(at)).collect();
    let long = |a: Coord<f64>, b: Coord<f64>| (b.x - a.x).hypot(b.y - a.y);
    let mut sides: Vec<f64> = corners.windows(2).filter_map(|w| Some(long(*w.first()?, *w.get(1)?))).collect();
    sides.sort_by(f64::total_cmp);
    let usual = *sides.get(sides.len() / 2)?;
    let least = SPIKE_FEET.max(SPIKE_TIMES * usual);
    let around = corners.iter().chain(corners.get(1).filter(|_| ring)).copied().collect::<Vec<_>>();
    let sharp = |w: &&[Coord<f64>]| {
        let [before, at, after] = w else { return false };
        let (out, back) = (long(*before, *at), long(*at, *after));
        let dot = (before.x - at.x) * (after.x - at.x) + (before.y - at.y) * (after.y - at.y);
        out >= least
            && back >= least
            && long(*before, *after) <= BASE_TIMES * usual
            && dot > out * back * SPIKE_DEGREES.to_radians().cos()
    };
    around.windows(3).find(sharp).and_then(|w| w.get(1)).map(|at| plane.to_lonlat(*at))
}

fn slipped(name: &str, place: &crate::findings::Place, at: Coord<f64>) -> Finding {
    let found = format!(
        "{name}: the corner at {}, {} juts out sharply from the corners beside it",
        crate::units::number_text(at.x, 6),
        crate::units::number_text(at.y, 6)
    );
    Finding::warning("corner-sharp", place, found)
        .accepts("corners in line with the fence or the bank")
        .fix("check its longitude and latitude on a map; one wrong digit looks like this")
}
