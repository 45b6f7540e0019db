//! Phosphate of a ton of forage that a limit by removal counts, calculated again.

use crate::check::Field;
use crate::farm::Basis;
use crate::tables::{Book, Scope, topic};
use crate::units::{P2O5_PER_P, Quantity};

/// By the tables, or by the analysis of the same crop where those have none or more, or the
/// place takes the farm's own.
pub(super) fn p2o5_per_ton(field: &Field, same_crop: bool, book: &Book<'_>, scope: &Scope<'_>) -> Option<f64> {
    let table = book.get(topic::P2O5_PER_TON, scope).map(|figure| figure.value.get());
    let own = field.written.hay.as_ref().filter(|_| same_crop).and_then(|hay| {
        let a_ton = hay.p.as_ref()?.value.get() / 100.0 * 2_000.0 * P2O5_PER_P;
        let solids = (100.0 - hay.moisture.value.get()) / 100.0;
        Some(if hay.basis.value == Basis::Dry { a_ton } else { a_ton / solids })
    });
    match (own, table) {
        (Some(own), Some(table)) if book.get(topic::HAY_ANALYSIS_COUNTS, &Scope::new()).is_none() => {
            Some(own.min(table))
        }
        (own, table) => own.or(table),
    }
}
