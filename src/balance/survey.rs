//! The fields of a farm measured: setbacks cut, acres counted, miles taken.

use crate::check::{Detour, Field, Lot, Ready, keep_away};
use crate::farm::FIELDS;
use crate::findings::{Finding, Findings, Origin, Place};
use crate::ground::{self, Cut, SQUARE_FEET_PER_ACRE};
use crate::units::Quantity;
use geo::{Area, Centroid, MultiPolygon};
use std::collections::BTreeMap;
use std::sync::Arc;

/// One field measured.
#[derive(Clone, Debug)]
pub struct Surveyed {
    /// The field, as it was checked.
    pub field: Arc<Field>,
    /// Boundary, zones and spreadable ground.
    pub cut: Arc<Cut>,
    /// By the lot, the way from its stack to the gate (to the middle of the field
    /// where no gate is drawn); none where no stack is drawn and the grower gives
    /// no miles.
    pub hauls: BTreeMap<String, Haul>,
    /// The soils under it, in order of the farm's list.
    pub soils: Vec<SoilPart>,
    /// Keep-outs that would take more of the field but for a consent, or for
    /// lying above it: places in the farm's list.
    pub eased: Vec<usize>,
}

impl Surveyed {
    /// The field without the ground that some spreadings went over, by their ids, and that ground.
    #[must_use]
    pub fn without_done(&self, entries: &[String]) -> Option<(Surveyed, MultiPolygon<f64>)> {
        let [done, left] = ground::done_and_left(&self.cut, self.field.done.shapes(entries)).ok()?;
        let acres = left.unsigned_area() / SQUARE_FEET_PER_ACRE;
        let cut = Cut { spreadable: left, acres, ..(*self.cut).clone() };
        Some((Surveyed { cut: Arc::new(cut), ..self.clone() }, done))
    }
}

/// A mapped soil under a field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SoilPart {
    /// Which soil of the farm's list.
    pub soil: usize,
    /// Acres of the field under it; ground under two soils counts for the first.
    pub acres: f64,
}

/// The way from a lot to a field.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Haul {
    /// Miles one way, as they are paid for.
    pub miles: f64,
    /// Miles in a straight line; none where the grower gives his own and no
    /// stack is drawn.
    pub straight: Option<f64>,
    /// Miles by road for a straight mile; none where the grower gives his own.
    pub detour: Option<f64>,
    /// Who says how long the road is.
    pub origin: Origin,
}

/// Measures every field, in order. A field that cannot be cut is an error.
#[must_use]
pub fn survey(ready: &Ready) -> (Vec<Surveyed>, Findings) {
    survey_some(ready, ready.fields.iter())
}

/// The same of some of the farm's fields.
#[must_use]
pub fn survey_some<'f>(ready: &Ready, fields: impl Iterator<Item = &'f Arc<Field>>) -> (Vec<Surveyed>, Findings) {
    let mut findings = Findings::new();
    let swath = ready.spreader.swath.value.get();
    let mut surveyed = Vec::new();
    for field in fields {
        match ground::cut(&field.shape, &keep_away(&ready.keepouts, field), swath) {
            Ok(cut) => {
                let soils = soils(ready, field);
                if ready.soils_by.is_some() && !field.written.says_yield() {
                    enough_soil(ready, field, &cut, &soils).into_iter().for_each(|f| findings.push(f));
                }
                surveyed.push(Surveyed {
                    field: Arc::clone(field),
                    cut: Arc::new(cut),
                    hauls: hauls(ready, field),
                    soils,
                    eased: eased(ready, field),
                });
            }
            Err(refused) => findings.push(
                Finding::error("cut", &Place::file(FIELDS), format!("field {}: {refused}", field.id()))
                    .fix(refused.fix()),
            ),
        }
    }
    (surveyed, findings)
}

/// Keep-outs whose full distance would reach into the field further than the
/// one that holds.
fn eased(ready: &Ready, field: &Field) -> Vec<usize> {
    let reaches = |geometry, feet| {
        let one = [ground::KeepAway { index: 0, geometry, feet }];
        ground::cut(&field.shape, &one, 0.0).is_ok_and(|cut| !cut.zones.is_empty())
    };
    let all = ready.keepouts.iter().enumerate();
    all.filter(|(_, k)| k.eased(field).is_some() && reaches(&k.geometry, k.of(field).full))
        .map(|(index, _)| index)
        .collect()
}

/// The way from every lot to one field.
fn hauls(ready: &Ready, field: &Field) -> BTreeMap<String, Haul> {
    let to = field.gate.or_else(|| field.shape.centroid().map(|c| c.0));
    let haul = |lot: &Lot| {
        let straight = lot.stack.zip(to).map(|(from, to)| ground::miles(from, to));
        if let Some(own) = field.written.miles_from(&lot.id) {
            let origin = Origin::Line(own.place.clone());
            return Some(Haul { miles: own.value.get(), straight, detour: None, origin });
        }
        let Detour { times, origin } = &ready.detour;
        let miles = straight? * times;
        Some(Haul { miles, straight, detour: Some(*times), origin: origin.clone() })
    };
    ready.lots.iter().filter_map(|lot| Some((lot.id.clone(), haul(lot)?))).collect()
}

/// Least share of a field under soils with a yield for which they may stand in
/// for the grower's yield goal: our own choice.
const ENOUGH_SOIL: f64 = 0.95;

fn soils(ready: &Ready, field: &Field) -> Vec<SoilPart> {
    let shapes: Vec<_> = ready.soils.iter().map(|s| &s.shape).collect();
    let acres = ground::covered(&field.shape, &shapes).unwrap_or_default();
    let parts = acres.into_iter().enumerate().map(|(soil, acres)| SoilPart { soil, acres });
    parts.filter(|part| part.acres > 0.0).collect()
}

/// A field without a yield of the grower's needs soils that give one under
/// nearly all of it.
fn enough_soil(ready: &Ready, field: &Field, cut: &Cut, soils: &[SoilPart]) -> Option<Finding> {
    let forage = &field.written.forage.value;
    let known = |part: &&SoilPart| ready.soils.get(part.soil).is_some_and(|s| s.yield_for(forage).is_some());
    // Not `sum`, which makes -0 of nothing.
    let share = soils.iter().filter(known).fold(0.0, |sum, part| sum + part.acres) / cut.gross;
    (share < ENOUGH_SOIL).then(|| {
        let found = format!(
            "field {}: no yield goal, and soils with a yield lie under {:.0} % of it",
            field.id(),
            100.0 * share
        );
        Finding::error("yield-unknown", &field.written.place, found)
            .accepts(format!("soils under at least {:.0} % of the field, or a yield of your own", 100.0 * ENOUGH_SOIL))
            .fix("add `yield_goal:` or past `yields:`; your own bale counts are the best")
    })
}
