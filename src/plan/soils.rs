//! The mapped soils under a field, for whoever reads the plan.

use crate::plan::answer::SoilRow;
use crate::plan::sight::Sight;
use crate::units::Quantity;

/// A row for each soil, those mapped alike together, the widest first.
pub(super) fn rows(sight: &Sight<'_>) -> Vec<SoilRow> {
    let forage = &sight.field().written.forage.value;
    let mut rows: Vec<SoilRow> = Vec::new();
    for part in &sight.surveyed().soils {
        let Some(soil) = sight.ready.soils.get(part.soil) else { continue };
        let row = SoilRow {
            name: soil.name.clone(),
            acres: part.acres,
            tons: soil.yield_for(forage).map(|y| y.value.get()),
            slope: soil.slope.as_ref().map(|s| s.value.get()),
            drainage: soil.drainage.clone(),
            hydrologic_group: soil.group.clone(),
            wet: soil.wet(),
        };
        let alike = |other: &&mut SoilRow| {
            other.name == row.name
                && other.tons == row.tons
                && other.slope == row.slope
                && other.drainage == row.drainage
                && other.hydrologic_group == row.hydrologic_group
        };
        match rows.iter_mut().find(alike) {
            Some(other) => other.acres += row.acres,
            None => rows.push(row),
        }
    }
    rows.sort_by(|a, b| b.acres.total_cmp(&a.acres).then_with(|| a.name.cmp(&b.name)));
    rows
}
