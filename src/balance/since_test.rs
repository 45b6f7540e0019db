//! Litter that went on after the soil was sampled: the test does not show its
//! phosphate, and where nitrogen alone limits the rate, no limit counts it.

use crate::balance::Basis;
use crate::balance::desk::Desk;
use crate::balance::supply::Supplied;
use crate::findings::{Finding, Place};
use crate::record::{Entry, What};
use crate::units::number_text;
use jiff::civil::Date;

/// One spreading.
struct Spread<'a> {
    date: Date,
    place: &'a Place,
    /// Phosphate in it, lb.
    p2o5: f64,
}

/// `begins`: the first day of the growing year in which the plan begins; what went on in
/// it is what the plan's own days show.
pub(super) fn check(desk: &mut Desk<'_>, basis: Basis, supplied: &[Supplied<'_>], (acres, begins): (f64, Date)) {
    // On any other basis the limits on phosphorus count it, or none is allowed.
    if basis != Basis::Nitrogen {
        return;
    }
    let (ready, field) = (desk.ready, desk.field);
    let Some(sampled) = field.written.soil_test.as_ref().map(|test| &test.sampled) else { return };
    let after = |entry: &&Entry| entry.amount.0 > 0 && sampled.value < entry.date && entry.date < begins;
    let spread: Vec<Spread<'_>> = ready
        .happened
        .on_field(field.id(), What::Spread)
        .filter(after)
        .filter_map(|entry| {
            let own = Supplied::of_entry(supplied, entry)?;
            let p2o5 = entry.amount.tons() * desk.notes.value(own.supply.per_ton.p2o5);
            Some(Spread { date: entry.date, place: &entry.place, p2o5 })
        })
        .collect();
    let pounds: f64 = spread.iter().map(|s| s.p2o5).sum();
    let Some(last) = spread.iter().max_by_key(|s| s.date).filter(|_| pounds >= 0.5) else { return };
    let an_acre = if acres > 0.0 { format!(" ({} lb/ac)", number_text(pounds / acres, 1)) } else { String::new() };
    let found = format!(
        "field {}: {} lb of P2O5{an_acre} went on with litter after the soil was sampled on {}, {}{}; no limit of this \
         plan counts it",
        field.id(),
        number_text(pounds, 0),
        sampled.value,
        if spread.len() == 1 { "on " } else { "last on " },
        last.date,
    );
    let fix = "sample the soil again; until then set `most:` lower, or `banked_until:` to the last year that this \
               phosphate is for";
    desk.findings.push(
        Finding::warning("spread-since-test", last.place, found)
            .accepts("a soil test taken after the litter that it is to show")
            .fix(fix)
            .also(&sampled.place, "the day of sampling"),
    );
}
