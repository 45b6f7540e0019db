//! The fields of a farm measured: setbacks cut, acres counted, miles taken.

use crate::check::{Detour, Field, Lot, Ready};
use crate::farm::FIELDS;
use crate::findings::{Finding, Findings, Origin, Place};
use crate::ground::{self, Cut};
use crate::units::Quantity;
use geo::Centroid;

/// One field measured.
#[derive(Clone, Debug)]
pub struct Surveyed {
    /// Boundary, zones and spreadable ground.
    pub cut: Cut,
    /// The way from each lot's stack to the gate (to the middle of the field
    /// where no gate is drawn); none where no stack is drawn and the grower
    /// gives no miles.
    pub hauls: Vec<Option<Haul>>,
    /// Keep-outs that would take more of the field but for a consent, or for
    /// lying above it: places in the farm's list.
    pub eased: Vec<usize>,
}

/// The way from a lot to a field.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
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
    let mut findings = Findings::new();
    let swath = ready.spreader.swath.value.get();
    let mut surveyed = Vec::new();
    for field in &ready.fields {
        let keep: Vec<ground::KeepOut<'_>> = ready
            .keepouts
            .iter()
            .enumerate()
            .map(|(index, k)| ground::KeepOut { index, geometry: &k.geometry, feet: k.from(field.id()).0 })
            .collect();
        match ground::cut(&field.shape, &keep, swath) {
            Ok(cut) => surveyed.push(Surveyed { cut, hauls: hauls(ready, field), eased: eased(ready, field) }),
            Err(refused) => findings.push(
                Finding::error("cut", &Place::file(FIELDS), format!("field {}: {refused}", field.id()))
                    .mend("draw its boundary, or the thing it keeps away from, again"),
            ),
        }
    }
    (surveyed, findings)
}

/// Keep-outs whose full distance would reach into the field further than the
/// one that holds.
fn eased(ready: &Ready, field: &Field) -> Vec<usize> {
    let reaches = |geometry, feet| {
        let one = [ground::KeepOut { index: 0, geometry, feet }];
        ground::cut(&field.shape, &one, 0.0).is_ok_and(|cut| !cut.zones.is_empty())
    };
    let all = ready.keepouts.iter().enumerate();
    all.filter(|(_, k)| k.eased(field.id()).is_some() && reaches(&k.geometry, k.full)).map(|(index, _)| index).collect()
}

/// The way from every lot to one field.
fn hauls(ready: &Ready, field: &Field) -> Vec<Option<Haul>> {
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
    ready.lots.iter().map(haul).collect()
}
