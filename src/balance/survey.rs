//! The fields of a farm measured: setbacks cut, acres counted, miles taken.

use crate::check::Ready;
use crate::farm::FIELDS;
use crate::findings::{Finding, Findings, Place};
use crate::ground::{self, Cut};
use crate::units::Quantity;
use geo::Centroid;

/// One field measured.
#[derive(Clone, Debug)]
pub struct Surveyed {
    /// Boundary, zones and spreadable ground.
    pub cut: Cut,
    /// Straight miles from each lot's stack to the gate (to the middle of the
    /// field where no gate is drawn); none where no stack is drawn.
    pub miles: Vec<Option<f64>>,
}

/// Measures every field, in order. A field that cannot be cut is an error.
#[must_use]
pub fn survey(ready: &Ready) -> (Vec<Surveyed>, Findings) {
    let mut findings = Findings::new();
    let keep: Vec<ground::KeepOut<'_>> = ready
        .keepouts
        .iter()
        .enumerate()
        .map(|(index, k)| ground::KeepOut { index, geometry: &k.geometry, feet: k.feet })
        .collect();
    let swath = ready.spreader.swath.value.get();
    let mut surveyed = Vec::new();
    for field in &ready.fields {
        match ground::cut(&field.shape, &keep, swath) {
            Ok(cut) => {
                let to = field.gate.or_else(|| field.shape.centroid().map(|c| c.0));
                let miles = ready.lots.iter().map(|l| Some(ground::miles(l.stack?, to?))).collect();
                surveyed.push(Surveyed { cut, miles });
            }
            Err(refused) => findings.push(
                Finding::error("cut", &Place::file(FIELDS), format!("field {}: {refused}", field.id()))
                    .mend("draw its boundary, or the thing it keeps away from, again"),
            ),
        }
    }
    (surveyed, findings)
}
