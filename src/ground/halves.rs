//! A field cut in two along a line between two runs.

use geo::{Coord, CoordsIter, LineString, MultiPolygon, Polygon};

use super::grid::Ground;
use super::passes::directions;
use super::plane::SQUARE_FEET_PER_ACRE;
use super::refused::CutRefused;
use super::way::way;

/// Lines between runs beyond this many are not looked at.
const MOST_LINES: usize = 60;
/// Feet beyond the ground to which a half of the plane is drawn.
const BEYOND_FEET: f64 = 1_000.0;

/// A line between two runs, and the ground on its left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunLine {
    /// How many runs lie to its left.
    pub runs: usize,
    /// Their width together.
    pub feet: f64,
    /// Feet to the right of the plane's middle, seen along the heading.
    pub across_ft: f64,
    /// Acres of the ground to its left.
    pub left_acres: f64,
}

/// The lines between the runs of a heading (degrees clockwise from north) over some ground in feet
/// on its plane, where a swath in feet is laid from the left; too many of them are thinned out.
///
/// # Errors
/// [`CutRefused`] when the overlay fails.
pub fn lines(ground: &MultiPolygon<f64>, heading: f64, swath_ft: f64) -> Result<Vec<RunLine>, CutRefused> {
    let Some((low, high)) = across(ground, heading) else { return Ok(Vec::new()) };
    let runs = ((high - low) / swath_ft).ceil();
    if !(2.0..=1e4).contains(&runs) {
        return Ok(Vec::new());
    }
    let each = (runs as usize).div_ceil(MOST_LINES).max(1);
    let mut all = Vec::new();
    for run in (1..runs as usize).step_by(each) {
        all.extend(line_after(ground, heading, swath_ft, run)?);
    }
    Ok(all)
}

/// The line after so many runs from the left.
///
/// # Errors
/// [`CutRefused`] when the overlay fails.
pub fn line_after(
    ground: &MultiPolygon<f64>,
    heading: f64,
    swath_ft: f64,
    runs: usize,
) -> Result<Option<RunLine>, CutRefused> {
    let Some((low, high)) = across(ground, heading) else { return Ok(None) };
    let feet = runs as f64 * swath_ft;
    let across_ft = low + feet;
    if runs == 0 || across_ft >= high {
        return Ok(None);
    }
    let [left, _] = halved(ground, heading, across_ft)?;
    let left_acres = Ground::from_shape(&left)?.square_feet() / SQUARE_FEET_PER_ACRE;
    Ok(Some(RunLine { runs, feet, across_ft, left_acres }))
}

/// The ends of a line along a heading where it leaves a shape, in feet on the plane; none where it
/// does not meet it.
#[must_use]
pub fn ends(shape: &MultiPolygon<f64>, heading: f64, across_ft: f64) -> Option<[Coord<f64>; 2]> {
    let (along, right) = directions(heading);
    let place = |at: Coord<f64>| (at.x * right.x + at.y * right.y - across_ft, at.x * along.x + at.y * along.y);
    let rings = shape.iter().flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()));
    let crossed = rings.flat_map(LineString::lines).filter_map(|side| {
        let ((from, ahead), (to, further)) = (place(side.start), place(side.end));
        ((from <= 0.0) != (to <= 0.0)).then(|| ahead + (further - ahead) * from / (from - to))
    });
    let (low, high) = crossed.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| (low.min(at), high.max(at)));
    (low < high).then(|| [low, high].map(|at| right * across_ft + along * at))
}

/// What of a shape in feet lies to the left and to the right of a line along a heading.
///
/// # Errors
/// [`CutRefused`] when the overlay fails.
pub fn halved(shape: &MultiPolygon<f64>, heading: f64, across_ft: f64) -> Result<[MultiPolygon<f64>; 2], CutRefused> {
    let (along, right) = directions(heading);
    let far = shape.coords_iter().map(|at| at.x.hypot(at.y)).fold(across_ft.abs(), f64::max) + BEYOND_FEET;
    let corner = |to_right: f64, ahead: f64| right * to_right + along * ahead;
    let half = LineString(vec![
        corner(-far, -far),
        corner(-far, far),
        corner(across_ft, far),
        corner(across_ft, -far),
        corner(-far, -far),
    ]);
    let half = Ground::from_shape(&MultiPolygon(vec![Polygon::new(half, Vec::new())]))?;
    let (left, rest) = Ground::from_shape(shape)?.split(&half)?;
    Ok([left.to_shape(), rest.to_shape()])
}

/// The eighths of the compass to the left and to the right of a heading.
#[must_use]
pub fn sides(heading: f64) -> [&'static str; 2] {
    let (_, right) = directions(heading);
    [way(right * -1.0), way(right)]
}

/// From where to where some ground reaches, in feet to the right of the plane's middle.
fn across(ground: &MultiPolygon<f64>, heading: f64) -> Option<(f64, f64)> {
    let (_, right) = directions(heading);
    let of = |at: Coord<f64>| at.x * right.x + at.y * right.y;
    let all = || ground.coords_iter().map(of);
    let (low, high) = (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max));
    (low < high && low.is_finite() && high.is_finite()).then_some((low, high))
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::polygon;

    fn acres(shape: &MultiPolygon<f64>) -> f64 {
        Ground::from_shape(shape).unwrap().square_feet() / SQUARE_FEET_PER_ACRE
    }

    /// 600 ft by 726 ft is 10 acres; every 40 ft of the 600 are 2/3 of one.
    #[test]
    fn a_square_field_is_cut_between_two_runs() {
        let field = MultiPolygon(vec![polygon![
            (x: -300.0, y: -363.0), (x: 300.0, y: -363.0), (x: 300.0, y: 363.0), (x: -300.0, y: 363.0)
        ]]);
        let all = lines(&field, 0.0, 40.0).unwrap();
        assert_eq!(all.len(), 14);
        for (at, line) in all.iter().enumerate() {
            assert!((line.left_acres - (at + 1) as f64 * 2.0 / 3.0).abs() < 1e-6, "{line:?}");
        }
        let [west, east] = halved(&field, 0.0, all[2].across_ft).unwrap();
        assert!((acres(&west) - 2.0).abs() < 1e-6 && (acres(&east) - 8.0).abs() < 1e-6);
        assert_eq!(sides(0.0), ["west", "east"]);
        // The same driven east to west is cut across: 18 runs of the 726 ft, the last one narrow.
        assert_eq!(lines(&field, 90.0, 40.0).unwrap().len(), 18);
        assert_eq!(sides(90.0), ["north", "south"]);
    }

    #[test]
    fn both_halves_are_the_whole() {
        let field = MultiPolygon(vec![polygon![
            (x: 0.0, y: 0.0), (x: 900.0, y: 120.0), (x: 700.0, y: 800.0), (x: 420.0, y: 300.0), (x: -90.0, y: 640.0)
        ]]);
        for heading in [0.0, 31.0, 88.5, 140.0] {
            for line in lines(&field, heading, 45.0).unwrap() {
                let [left, right] = halved(&field, heading, line.across_ft).unwrap();
                assert!((acres(&left) + acres(&right) - acres(&field)).abs() < 1e-6);
                assert!((acres(&left) - line.left_acres).abs() < 1e-6);
            }
        }
    }

    #[test]
    fn a_line_ends_at_the_edge_of_the_field() {
        let field = MultiPolygon(vec![polygon![
            (x: -300.0, y: -363.0), (x: 300.0, y: -363.0), (x: 300.0, y: 363.0), (x: -300.0, y: 363.0)
        ]]);
        let line = line_after(&field, 0.0, 40.0, 3).unwrap().unwrap();
        let [from, to] = ends(&field, 0.0, line.across_ft).unwrap();
        assert!((from.x + 180.0).abs() < 1e-6 && (to.x + 180.0).abs() < 1e-6, "{from:?} {to:?}");
        assert!((from.y + 363.0).abs() < 1e-6 && (to.y - 363.0).abs() < 1e-6);
        assert_eq!(line_after(&field, 0.0, 40.0, 15).unwrap(), None);
        assert_eq!(ends(&field, 0.0, 301.0), None);
    }

    #[test]
    fn no_ground_has_no_lines() {
        assert_eq!(lines(&MultiPolygon(Vec::new()), 0.0, 40.0).unwrap(), Vec::new());
    }
}
