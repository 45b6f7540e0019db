//! The areas of a feature: rings in order, faults fixed or told.

use crate::exchange::given::{Corners, Given};
use crate::exchange::phrase::counted;
use crate::exchange::rings::{self, Useless};
use crate::findings::{Finding, Findings, Place};
use crate::ground::{self, ShapeFault};
use crate::units::number_text;
use geo::{CoordsIter, LineString, MapCoords, MultiPolygon, Polygon};

/// The boundary of a feature, its rings in order and its faults fixed or told.
pub(super) fn shape(
    given: &Given,
    fix: bool,
    turned: &mut usize,
    findings: &mut Findings,
) -> Option<MultiPolygon<f64>> {
    let parts: Option<Vec<Polygon<f64>>> =
        given.parts.iter().enumerate().map(|(i, part)| polygon(given, i, part, turned, findings)).collect();
    let shape = MultiPolygon(parts?);
    let faults: Vec<ShapeFault> = ground::faults(&shape).into_iter().filter(ShapeFault::serious).collect();
    if faults.is_empty() {
        return Some(shape);
    }
    let label = &given.label;
    let fixable = faults.iter().all(|fault| {
        use ShapeFault as F;
        matches!(
            fault,
            F::SelfCrossing { .. }
                | F::HoleOutside { .. }
                | F::HolesOverlap { .. }
                | F::PartsOverlap { .. }
                | F::Spike { .. }
        )
    });
    if let Some(cleaned) = Some(&shape).filter(|_| fix && fixable).and_then(cleaned) {
        let parts = cleaned.0.len();
        let into = counted(parts, "part");
        let why = faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ");
        let found = format!("{label}: {why}; put in order as all the ground the line runs around, in {into}");
        findings.push(
            Finding::warning("import-fixed-shape", &given.place, found)
                .fix("check it on a map: the line may have been meant another way"),
        );
        return Some(cleaned);
    }
    for fault in faults {
        let finding = Finding::error("import-shape", &given.place, format!("{label}: {fault}"));
        findings.push(match fault {
            ShapeFault::TooWide => finding.fix("fix its coordinates; nothing on a farm is 34 miles wide"),
            ShapeFault::OutOfRange { .. } => finding.fix("export it again as WGS84 (EPSG:4326)"),
            _ if fixable => finding.fix("draw it again; or take all the ground it runs around, with --fix"),
            ShapeFault::HolesFill { .. } => finding.fix(fault.fix()),
            _ => finding.fix("draw it again, corner by corner around the field"),
        });
    }
    None
}

/// A shape as the ground it winds around, when that leaves nothing to refuse.
fn cleaned(shape: &MultiPolygon<f64>) -> Option<MultiPolygon<f64>> {
    let cut = ground::cut(shape, &[], 0.0).ok()?;
    let back = cut.plane.shape_to_lonlat(&cut.boundary).map_coords(rings::rounded);
    let sound = !ground::faults(&back).iter().any(ShapeFault::serious);
    (sound && back.coords_iter().next().is_some()).then_some(back)
}

/// One part with its holes. `None` when its outer ring is unusable, which is told.
fn polygon(
    given: &Given,
    part: usize,
    rings: &[Corners],
    turned: &mut usize,
    findings: &mut Findings,
) -> Option<Polygon<f64>> {
    let mut made = Vec::new();
    for (number, corners) in rings.iter().enumerate() {
        let of = match (part, number) {
            (0, 0) => given.label.clone(),
            (_, 0) => format!("{}, part {}", given.label, part + 1),
            _ => format!("{}, hole {number}", given.label),
        };
        let ring = match rings::fix(corners) {
            Ok(ring) => ring,
            Err(Useless::TooFew(count)) if number > 0 => {
                let found = format!("{of}: a ring of {count} different corners encloses no ground; left out");
                findings.push(Finding::note("import-ring", &given.place, found));
                continue;
            }
            Err(why) => {
                findings.push(useless(&of, &why, &given.place));
                return None;
            }
        };
        tell_ring(&of, &ring, &given.place, findings);
        let mut corners = ring.corners;
        let clockwise = rings::twice_area(&corners) < 0.0;
        // Outer rings run counter-clockwise and holes clockwise.
        if clockwise == (number == 0) {
            corners.reverse();
            // Where the format asks for the other way, turning is no change worth telling.
            *turned += usize::from(given.place.line > 0);
        }
        made.push(LineString(corners));
    }
    let mut made = made.into_iter();
    Some(Polygon::new(made.next()?, made.collect()))
}

fn useless(of: &str, why: &Useless, place: &Place) -> Finding {
    match why {
        Useless::NotANumber(corner) => {
            Finding::error("import-ring", place, format!("{of}: corner {corner} is not a number"))
                .accepts("longitude and latitude in degrees")
        }
        Useless::TooFew(count) => Finding::error(
            "import-ring",
            place,
            format!("{of}: a ring of {count} different corners encloses no ground"),
        )
        .accepts("at least three different corners")
        .fix("draw it again, or take it out of the file"),
    }
}

/// What was changed in a ring.
fn tell_ring(of: &str, ring: &rings::Ring, place: &Place, findings: &mut Findings) {
    if let Some(feet) = ring.open {
        let found = format!("{of}: the ring was open, its ends {} ft apart; closed", number_text(feet, 0));
        findings.push(Finding::note("import-closed", place, found));
    }
    if ring.doubles > 0 {
        let corners = counted(ring.doubles, "corner");
        findings.push(Finding::note(
            "import-doubles",
            place,
            format!("{of}: {corners} repeated the one before; taken out"),
        ));
    }
    if let Some(tip) = ring.spikes.first() {
        let more = if ring.spikes.len() > 1 { format!(" and {} more", ring.spikes.len() - 1) } else { String::new() };
        let found = format!(
            "{of}: the line ran out and straight back at longitude {:.6}, latitude {:.6}{more}; taken out",
            tip.x, tip.y
        );
        findings.push(Finding::note("import-spikes", place, found));
    }
}
