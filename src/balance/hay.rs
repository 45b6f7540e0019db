//! What a ton of forage holds by the farm's own hay analysis, and what of it a limit by
//! removal counts.

use crate::balance::desk::Desk;
use crate::balance::{Op, StepId};
use crate::farm::Basis;
use crate::findings::{Finding, Origin};
use crate::tables::{Scope, topic};
use crate::units::{K2O_PER_K, P2O5_PER_P, PROTEIN_PER_N, Quantity, number_text};

/// What a ton of dry forage holds of a nutrient, lb; none where no analysis tells it.
pub(super) fn per_ton(desk: &mut Desk<'_>, nutrient: &str) -> Option<StepId> {
    let hay = desk.field.written.hay.as_ref()?;
    let (name, at) = match nutrient {
        "N" => ("crude protein", hay.protein.as_ref()?),
        "P2O5" => ("P", hay.p.as_ref()?),
        _ => ("K", hay.k.as_ref()?),
    };
    let notes = &mut desk.notes;
    let content =
        notes.written(format!("{name} of the forage ({}, {})", hay.lab, hay.sampled.value), at.value.get(), "%", at);
    let a_hundredth = Origin::Definition("2,000 lb in a ton, a hundredth each".into());
    let a_hundredth = notes.given("lb/ton per %", 20.0, "", a_hundredth);
    let reported = notes.reckon(format!("{name} in a ton"), "lb/ton", Op::Times, &[content, a_hundredth]);
    let dry = hay.basis.value == Basis::Dry;
    let what = format!("{nutrient} in a ton of {}forage", if dry { "dry " } else { "" });
    let of_weights = || Origin::Definition("atomic weights".into());
    let (factor, op) = match nutrient {
        "N" => {
            let per_n = Origin::Definition("crude protein is its nitrogen times that".into());
            (notes.given("protein per N", PROTEIN_PER_N, "", per_n), Op::Over)
        }
        "P2O5" => (notes.given("P2O5 per P", P2O5_PER_P, "", of_weights()), Op::Times),
        _ => (notes.given("K2O per K", K2O_PER_K, "", of_weights()), Op::Times),
    };
    let held = notes.reckon(what, "lb/ton", op, &[reported, factor]);
    if dry {
        return Some(held);
    }
    let wet = notes.written("moisture of the forage", hay.moisture.value.get(), "%", &hay.moisture);
    let share = notes.reckon("dry share of the forage", "", Op::Rest, &[wet]);
    Some(notes.reckon(format!("{nutrient} in a ton of dry forage"), "lb/ton", Op::Over, &[held, share]))
}

/// Phosphate of a ton that a limit by removal counts: the analysis where the place takes the
/// farm's own, else the lesser of it and what the tables have for what grows there.
pub(super) fn counted(desk: &mut Desk<'_>, own: Option<StepId>, scope: &Scope<'_>, what: &str) -> Option<StepId> {
    let table = desk.book.get(topic::P2O5_PER_TON, scope);
    let Some((own, table)) = own.zip(table.as_ref()) else {
        return own.or_else(|| table.map(|figure| desk.notes.figure(what, &figure)));
    };
    if let Some(takes) = desk.book.get(topic::HAY_ANALYSIS_COUNTS, &Scope::new()) {
        desk.notes.word("the place takes the farm's own hay analysis", takes.value.clone(), Origin::Figure(takes.cite));
        return Some(own);
    }
    if desk.notes.value(own) <= table.value.get() {
        return Some(own);
    }
    Some(desk.notes.figure(format!("{what}, less than the analysis has"), table))
}

/// Says that a limit counts less than the analysis found.
pub(super) fn tell(desk: &mut Desk<'_>, own: StepId, counted: StepId) {
    let Some(p) = desk.field.written.hay.as_ref().and_then(|hay| hay.p.as_ref()) else { return };
    let found = format!(
        "field {}: the hay analysis has {} lb P2O5 in a ton, and {} has {}: limits by removal go by the smaller",
        desk.field.id(),
        number_text(desk.notes.value(own), 1),
        desk.book.place().name,
        number_text(desk.notes.value(counted), 1),
    );
    let fix = format!("`sward why {}` shows both with their sources", desk.field.id());
    desk.findings.push(Finding::note("hay-held", &p.place, found).fix(fix));
}
