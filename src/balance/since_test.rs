//! Phosphate that went on after the soil was sampled: the test does not show it, and where
//! nitrogen alone limits the rate, no limit counts it.

use crate::balance::desk::Desk;
use crate::balance::logged::Logged;
use crate::balance::supply::Supplied;
use crate::balance::{Basis, Counts};
use crate::findings::{Finding, Place, listed};
use crate::record::{Entry, What};
use crate::units::number_text;
use jiff::civil::Date;

/// One entry that put some on.
struct Spread<'a> {
    date: Date,
    place: &'a Place,
    /// Litter, fertilizer or hay that was fed.
    with: &'static str,
    /// Phosphate in it, lb.
    p2o5: f64,
}

/// `begins`: the first day of the growing year in which the plan begins. What went on in
/// it alone is what the plan's own days show; with what went on before, all of it is told.
pub(super) fn check(
    desk: &mut Desk<'_>,
    basis: Basis,
    (logged, supplied): (&mut Logged<'_>, &[Supplied<'_>]),
    (acres, begins): (f64, Date),
) {
    // On any other basis the limits on phosphorus count it, or none is allowed.
    if basis != Basis::Nitrogen {
        return;
    }
    let (ready, field) = (desk.ready, desk.field);
    let Some(sampled) = field.written.soil_test.as_ref().map(|test| &test.sampled) else { return };
    let after = |entry: &&Entry| entry.amount.0 > 0 && sampled.value < entry.date;
    let litter = ready.happened.on_field(field.id(), What::Spread).filter(after).filter_map(|entry| {
        let own = Supplied::of_entry(supplied, entry)?;
        let p2o5 = entry.amount.tons() * desk.notes.value(own.supply.per_ton.p2o5);
        Some(Spread { date: entry.date, place: &entry.place, with: "litter", p2o5 })
    });
    let mut spread: Vec<Spread<'_>> = litter.collect();
    let besides = logged.besides_litter(desk, Counts::P2o5).into_iter().filter(|(entry, _)| sampled.value < entry.date);
    spread.extend(besides.map(|(entry, p2o5)| {
        let with = if entry.what == What::FeedHay { "fed hay" } else { "fertilizer" };
        Spread { date: entry.date, place: &entry.place, with, p2o5 }
    }));
    let pounds: f64 = spread.iter().map(|s| s.p2o5).sum();
    let before = spread.iter().any(|s| s.date < begins);
    let Some(last) = spread.iter().max_by_key(|s| s.date).filter(|_| before && pounds >= 0.5) else { return };
    let an_acre = if acres > 0.0 { format!(" ({} lb/ac)", number_text(pounds / acres, 1)) } else { String::new() };
    let with = ["litter", "fertilizer", "fed hay"].into_iter().filter(|with| spread.iter().any(|s| s.with == *with));
    let found = format!(
        "field {}: {} lb of P2O5{an_acre} went on with {} after the soil was sampled on {}, {}{}; no limit of this \
         plan counts it",
        field.id(),
        number_text(pounds, 0),
        listed(&with.collect::<Vec<_>>()),
        sampled.value,
        if spread.len() == 1 { "on " } else { "last on " },
        last.date,
    );
    let fix = "sample the soil again; until then set `most:` lower, or `banked_until:` to the last year that this \
               phosphate is for";
    desk.findings.push(
        Finding::warning("spread-since-test", last.place, found)
            .accepts("a soil test taken after the phosphate that it is to show")
            .fix(fix)
            .also(&sampled.place, "the day of sampling"),
    );
}
