//! Numbers that are not where a farm lies: swapped, on the wrong side of the globe, in meters or
//! feet, or far from all others.
//!
//! Anything is fixed only when the other fields, or the user, say where the farm lies, and just
//! one change brings the field there. Everything else is refused with what the numbers look like.

use crate::exchange::given::Given;
use crate::findings::{Finding, Findings};
use crate::ground::lonlat::{FAR_MILES, POLAR_DEGREES, credible, most_lie, near, projected_hint};
use crate::ground::miles;
use crate::units::number_text;
use geo::{Coord, coord};

/// A way in which numbers go wrong.
type Slip = (&'static str, fn(Coord<f64>) -> Coord<f64>);

/// The ways in which degrees go wrong, each with how to put them right.
const WAYS: [Slip; 4] = [
    ("longitude and latitude were swapped", |at| coord! { x: at.y, y: at.x }),
    ("the longitude lacked its minus sign", |at| coord! { x: -at.x, y: at.y }),
    ("longitude and latitude were swapped, and the longitude lacked its minus sign", |at| coord! { x: -at.y, y: at.x }),
    ("the latitude had the wrong sign", |at| coord! { x: at.x, y: -at.y }),
];

/// Says that longitude and latitude look swapped; `None` when they do not. Told only where the
/// numbers as they stand lie on no farmed ground and the other way around do.
fn swap_hint(at: Coord<f64>) -> Option<&'static str> {
    let wrong = at.y.abs() > POLAR_DEGREES && at.y.abs() <= 180.0;
    (wrong && at.x.abs() <= POLAR_DEGREES).then_some("longitude and latitude look swapped")
}

/// Middle of the box around a field; `None` when a corner is not finite or there is none.
fn middle(given: &Given) -> Option<Coord<f64>> {
    let mut corners = given.corners();
    let first = corners.next()?;
    let (low, high) = corners.fold((first, first), |(low, high), at| {
        (coord! { x: low.x.min(at.x), y: low.y.min(at.y) }, coord! { x: high.x.max(at.x), y: high.y.max(at.y) })
    });
    // f64::min passes over NaN, so that the corners are asked themselves.
    let finite = given.corners().all(|at| at.x.is_finite() && at.y.is_finite());
    finite.then(|| (low + high) / 2.0)
}

/// Holds everything against where the farm lies. What is refused is taken out.
pub(super) fn check<K>(all: Vec<(Given, K)>, said: Option<Coord<f64>>, findings: &mut Findings) -> Vec<(Given, K)> {
    let middles: Vec<Option<Coord<f64>>> = all.iter().map(|(given, _)| middle(given)).collect();
    let known: Vec<Coord<f64>> = middles.iter().flatten().copied().collect();
    let farm = said.or_else(|| most_lie(&known));
    let alone = all.len() < 2;
    let mut kept = Vec::new();
    for ((mut given, kind), middle) in all.into_iter().zip(middles) {
        // A corner that is no number is told with its ring.
        let Some(at) = middle else {
            kept.push((given, kind));
            continue;
        };
        let finding = match farm {
            Some(farm) if credible(at) && near(at, farm) => None,
            Some(farm) => away(&mut given, at, farm),
            None => lost(&given, at, alone),
        };
        let refused = finding.as_ref().is_some_and(|f| f.severity == crate::findings::Severity::Error);
        if let Some(finding) = finding {
            findings.push(finding);
        }
        if !refused {
            kept.push((given, kind));
        }
    }
    kept
}

/// A field that does not lie where the farm does: fixed when just one change brings it there.
fn away(given: &mut Given, at: Coord<f64>, farm: Coord<f64>) -> Option<Finding> {
    let fitting: Vec<&Slip> = WAYS.iter().filter(|(_, change)| near(change(at), farm)).collect();
    if let [(how, change)] = fitting.as_slice() {
        given.change(*change);
        let found = format!("{}: {how}; fixed, because it then lies with the farm", given.label);
        return Some(
            Finding::warning("import-fixed-place", &given.place, found)
                .fix("check it on a map; the file it came from is still wrong"),
        );
    }
    if !credible(at) {
        return lost(given, at, true);
    }
    let far = miles(at, farm);
    let miles = number_text(far, 0);
    let found =
        format!("{} lies {miles} miles from the rest, at longitude {:.4}, latitude {:.4}", given.label, at.x, at.y);
    if far > FAR_MILES {
        Some(
            Finding::error("import-far", &given.place, found)
                .accepts("fields of one farm")
                .fix("take it out of the file, or fix its coordinates"),
        )
    } else {
        Some(Finding::warning("import-far", &given.place, found).fix("check it on a map"))
    }
}

/// A field where nothing says where the farm lies.
fn lost(given: &Given, at: Coord<f64>, alone: bool) -> Option<Finding> {
    let label = &given.label;
    let numbers = format!("{label}: its middle is {:.6}, {:.6}", at.x, at.y);
    let finding = if let Some(hint) = projected_hint(at) {
        Finding::error("import-projected", &given.place, format!("{numbers}: {hint}"))
            .accepts("degrees: longitude from -180 to 180, then latitude")
            .fix("export it again as WGS84 (EPSG:4326), or send the shapefile with its .prj file")
    } else if let Some(hint) = swap_hint(at) {
        Finding::error("import-swapped", &given.place, format!("{numbers}: {hint}"))
            .accepts("longitude first, then latitude")
            .fix("export it again; or say where the farm lies with --near LON,LAT, and it is fixed here")
    } else if !credible(at) {
        Finding::error("import-place", &given.place, format!("{numbers}: no hay is cut there"))
            .accepts("longitude and latitude in degrees")
            .fix("export it again as WGS84 (EPSG:4326)")
    } else if !alone {
        Finding::error("import-far", &given.place, format!("{numbers}, and the fields do not lie together"))
            .accepts("fields of one farm, most of them within some 60 miles")
            .fix("say where the farm lies with --near LON,LAT, or take out what is not of it")
    } else {
        return None;
    };
    Some(finding)
}
