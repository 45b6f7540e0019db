//! Checks of the boundaries: sound, one for every field, none over another.

use crate::check::lonlat::again;
use crate::farm::Written;
use crate::findings::{At, Finding, Findings};
use crate::ground;
use geo::MultiPolygon;
use std::collections::BTreeMap;

/// Overlaps below this many acres come from two people drawing one fence.
const NOTICED_ACRES: f64 = 0.05;

pub(super) fn check(written: &Written, findings: &mut Findings) -> BTreeMap<String, MultiPolygon<f64>> {
    let mut sound: BTreeMap<String, (At<()>, MultiPolygon<f64>)> = BTreeMap::new();
    for boundary in &written.boundaries {
        let id = &boundary.id;
        // A farm.yaml without a field was told already.
        if written.field_ids().next().is_none() {
            continue;
        }
        if !written.field_ids().any(|known| known == id.value) {
            findings.push(
                Finding::warning(
                    "boundary-unused",
                    &id.place,
                    format!("the boundary `{}` belongs to no field of farm.yaml", id.value),
                )
                .fix("the plan leaves it out; add the field to farm.yaml if it should take litter"),
            );
            continue;
        }
        if let Some((first, _)) = sound.get(&id.value) {
            findings.push(
                Finding::error("boundary-twice", &id.place, format!("field {} has two boundaries", id.value))
                    .fix("make them one MultiPolygon, or take one out")
                    .also(&first.place, "the first one"),
            );
            continue;
        }
        for fault in ground::faults(&boundary.shape) {
            let found = format!("field {}: {fault}", id.value);
            findings.push(if fault.serious() {
                Finding::error("boundary", &id.place, found).fix(match fault {
                    ground::ShapeFault::OutOfRange { at, .. } => again(at),
                    _ => fault.fix().to_string(),
                })
            } else {
                Finding::note("boundary", &id.place, found)
            });
        }
        sound.insert(id.value.clone(), (At { value: (), place: id.place.clone() }, boundary.shape.clone()));
    }
    for field in &written.fields {
        let told = written.boundaries_lost || written.boundaries_unread.contains(&field.id.value);
        if !told && !sound.contains_key(&field.id.value) {
            findings.push(
                Finding::error(
                    "boundary-missing",
                    &field.id.place,
                    format!("field {} has no boundary in fields.geojson", field.id.value),
                )
                .accepts("a Polygon or MultiPolygon whose property `id` is the field's"),
            );
        }
    }
    overlaps(&sound, findings);
    sound.into_iter().map(|(id, (_, shape))| (id, shape)).collect()
}

/// Soil polygons that hold some ground twice or not at all, so that nobody can
/// say which soil lies there. Spikes and slivers take no ground, and stay.
pub(super) fn soils(written: &Written, findings: &mut Findings) {
    use ground::ShapeFault as F;
    let doubtful = |fault: &ground::ShapeFault| {
        matches!(
            fault,
            F::SelfCrossing { .. } | F::HoleOutside { .. } | F::HolesOverlap { .. } | F::PartsOverlap { .. }
        )
    };
    for soil in &written.soils {
        for fault in ground::faults(&soil.shape).into_iter().filter(doubtful) {
            findings.push(
                Finding::error("soil-shape", &soil.place, format!("the soil {}: {fault}", soil.name))
                    .accepts("polygons that do not cross themselves")
                    .fix("take the soil map from the survey again, or draw the polygon again"),
            );
        }
    }
}

fn overlaps(sound: &BTreeMap<String, (At<()>, MultiPolygon<f64>)>, findings: &mut Findings) {
    let all: Vec<_> = sound.iter().collect();
    for (i, (id, (at, shape))) in all.iter().enumerate() {
        for (other, (first, second)) in &all[..i] {
            let acres = ground::overlap_acres(shape, second);
            if acres > NOTICED_ACRES {
                findings.push(
                    Finding::error(
                        "boundary-overlap",
                        &at.place,
                        format!("fields {other} and {id} overlap by {acres:.2} ac"),
                    )
                    .accepts("fields that do not share ground")
                    .fix("move one boundary back to the fence; litter there would be counted twice")
                    .also(&first.place, format!("field {other}")),
                );
            }
        }
    }
}
