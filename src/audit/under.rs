//! The mapped soils under a field, found again by points strewn over it.

use crate::audit::acres::{strewn, within};
use crate::audit::fault::fault;
use crate::audit::goal::yield_goal;
use crate::check::{Field, Ready};
use crate::farm::Soil;
use crate::findings::Findings;
use crate::plan::answer::FieldPlan;
use crate::tables::Book;
use crate::units::Quantity;
use geo::{Coord, LineString};

/// A mean over a few thousand points strays by less than this share of itself.
const TOLERANCE: f64 = 0.02;

/// Holds the yield goal against what the grower wrote, or against the soils
/// where he gives none.
pub(super) fn check(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    if field.written.says_yield() {
        let said = yield_goal(plan, field, book);
        if said.is_none_or(|tons| (tons - plan.goal.tons).abs() > 1e-6) {
            let said = said.map_or("none".to_string(), |tons| format!("{tons:.2}"));
            let found =
                format!("field {}: a yield goal of {:.2} tons/ac; farm.yaml gives {said}", plan.id, plan.goal.tons);
            findings.push(fault("nutrients", found));
        }
        return;
    }
    let counted = mean(field, ready, |soil| soil.yield_for(&field.written.forage.value).map(|y| y.value.get()));
    let right = counted.is_some_and(|tons| (tons - plan.goal.tons).abs() <= TOLERANCE * tons);
    if !right {
        findings.push(fault(
            "nutrients",
            format!(
                "field {}: a yield goal of {:.2} tons/ac where the soils under it make {:.2}",
                plan.id,
                plan.goal.tons,
                counted.unwrap_or(0.0)
            ),
        ));
    }
}

/// Mean of a property of the soils over the points of a field, those without
/// it left out; none where no point has it.
pub(super) fn mean(field: &Field, ready: &Ready, of: impl Fn(&Soil) -> Option<f64>) -> Option<f64> {
    let rings = |soil: &Soil| -> Vec<Vec<Coord<f64>>> {
        let lines = soil.shape.0.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
        lines.map(|line: &LineString<f64>| line.0.clone()).collect()
    };
    let soils: Vec<(&Soil, Vec<Vec<Coord<f64>>>)> = ready.soils.iter().map(|s| (s, rings(s))).collect();
    let (mut sum, mut points) = (0.0, 0.0);
    for point in strewn(&field.shape) {
        let first = soils.iter().find(|(_, rings)| within(point, rings));
        if let Some(value) = first.and_then(|(soil, _)| of(soil)) {
            sum += value;
            points += 1.0;
        }
    }
    (points > 0.0).then(|| sum / points)
}
