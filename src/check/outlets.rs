//! Checks of `brought:` and `outlets:`: every lot is known, every outlet takes some.

use crate::check::names::{lot_there, twice};
use crate::check::ready::{Lot, Ready};
use crate::check::stock::Outlet;
use crate::farm::{Written, WrittenOutlet};
use crate::findings::{At, Finding, Findings};
use crate::record::{Entry, Happened};
use crate::units::{Pounds, Quantity};
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// The outlets, dearest first.
pub(super) fn check(written: &Written, happened: &Happened, lots: &[Lot], findings: &mut Findings) -> Vec<Outlet> {
    written.work.brought.iter().for_each(|brought| {
        lot_there(&brought.lot, written, findings);
        never_traded(&brought.lot, lots, "is brought to the farm", findings);
    });
    let list = &written.work.outlets;
    twice("outlets", list.iter().map(|o| &o.name), findings);
    let lost = written.prices_lost || !written.unread.is_empty();
    if let Some(first) = list.first().filter(|_| written.prices.is_none() && !lost) {
        let found = "`outlets` changes nothing, because the farm gives no `prices` to hold them against";
        findings.push(Finding::warning("no-effect", &first.place, found).fix("give `prices`, or take `outlets` out"));
    }
    let mut outlets: Vec<Outlet> =
        list.iter().flat_map(|outlet| one(outlet, written, happened, lots, findings)).collect();
    outlets.sort_by(|a, b| b.price.total_cmp(&a.price).then_with(|| a.name.cmp(&b.name)));
    outlets
}

/// Litter of a kind that is never sold has no outlet and is brought from nowhere.
fn never_traded(lot: &At<String>, lots: &[Lot], how: &str, findings: &mut Findings) {
    let named = lots.iter().find(|own| own.id == lot.value || own.kind == lot.value);
    let Some((own, why)) = named.and_then(|own| Some((own, own.never_sold.as_ref()?))) else { return };
    let found = format!("lot `{}` of {} {how}: {}", own.id, own.kind.replace('_', " "), why.value);
    findings.push(
        Finding::error("lot-never-sold", &lot.place, found)
            .accepts(format!("lots of other kinds: {}", why.cite))
            .fix("take the lot out of this entry; ask where it may go")
            .also(&own.place, "the lot"),
    );
}

fn one(
    outlet: &WrittenOutlet,
    written: &Written,
    happened: &Happened,
    all: &[Lot],
    findings: &mut Findings,
) -> Vec<Outlet> {
    outlet.lots.iter().for_each(|lot| lot_there(lot, written, findings));
    outlet.lots.iter().chain(&outlet.kinds).for_each(|lot| {
        never_traded(lot, all, &format!("is to go to outlet `{}`", outlet.name.value), findings);
    });
    let named = |list: &[At<String>], word: &str| list.is_empty() || list.iter().any(|named| named.value == word);
    let lots: Vec<String> = written
        .lots
        .iter()
        .filter(|lot| named(&outlet.lots, &lot.id.value) && named(&outlet.kinds, &lot.kind.value))
        .map(|lot| lot.id.value.clone())
        .filter(|id| !all.iter().any(|lot| lot.id == *id && lot.never_sold.is_some()))
        .collect();
    if lots.is_empty() && written.unread.is_empty() {
        let mut kinds: Vec<String> = written.lots.iter().map(|lot| lot.kind.value.replace('_', " ")).collect();
        kinds.dedup();
        findings.push(
            Finding::warning(
                "outlet-none",
                &outlet.place,
                format!("outlet `{}` takes no lot of the farm", outlet.name.value),
            )
            .accepts(format!("`lots` and `kinds` that the farm has: {}", kinds.join(", ")))
            .fix("correct `lots` or `kinds`, or take the outlet out"),
        );
    }
    let most = outlet.most.as_ref().map(|most| Pounds::from_tons_down(most.value.get()));
    let outlet = Outlet {
        name: outlet.name.value.clone(),
        price: outlet.price.value.get(),
        most,
        left: most,
        taken: Pounds(0),
        paid: BTreeMap::new(),
        from: outlet.from.as_ref().map(|day| day.value),
        to: outlet.to.as_ref().map(|day| day.value),
        year: None,
        lots,
        place: outlet.place.clone(),
    };
    let span = written.span.as_ref().map(|(from, to)| (from.value, to.value));
    let mut spans = spans(outlet, happened, span);
    for outlet in &mut spans {
        taken(outlet, happened, span.map(|(first, _)| first), findings);
    }
    spans
}

/// An outlet once for each span for which its most holds: its own days where it has a first
/// and a last one, else every calendar year of the plan, and of the log before it.
fn spans(outlet: Outlet, happened: &Happened, span: Option<(Date, Date)>) -> Vec<Outlet> {
    let (false, Some((first, to))) = (outlet.has_own_span(), span) else { return vec![outlet] };
    let hauled = happened.iter().filter(|entry| outlet.has_name(entry)).map(|entry| entry.date.year());
    let years: BTreeSet<i16> = (first.year()..=to.year()).chain(hauled).collect();
    years.into_iter().map(|year| Outlet { year: Some(year), ..outlet.clone() }).collect()
}

/// What went to an outlet by the log: within its days, up to the most that it takes,
/// the first of it first. What went before its days counts toward the most where it went
/// since the plan's first day, and was another year's where it did not; what is past its
/// bounds it does not pay for.
fn taken(outlet: &mut Outlet, happened: &Happened, first: Option<Date>, findings: &mut Findings) {
    let mut entries: Vec<&Entry> = happened.iter().filter(|e| outlet.took(e)).collect();
    let opens = outlet.from.map(|from| first.map_or(from, |first| from.min(first)));
    entries.retain(|e| opens.is_none_or(|opens| opens <= e.date));
    entries.sort_by_key(|e| e.date);
    let mut left = outlet.most;
    let [mut all, mut early, mut over, mut late] = [Pounds(0); 4];
    for entry in entries {
        if outlet.to.is_some_and(|to| to < entry.date) {
            late += entry.amount;
            continue;
        }
        if outlet.from.is_some_and(|from| entry.date < from) {
            (early, all) = (early + entry.amount, all + entry.amount);
            left = left.map(|left| (left - entry.amount).max(Pounds(0)));
            continue;
        }
        let paid = left.map_or(entry.amount, |left| left.min(entry.amount));
        left = left.map(|left| left - paid);
        (over, all) = (over + entry.amount - paid, all + entry.amount);
        outlet.paid.insert(entry.id.clone(), paid);
    }
    (outlet.left, outlet.taken) = (left, all);
    let name = &outlet.name;
    let mut say = |code, found: String, fix: &str| {
        findings.push(Finding::warning(code, &outlet.place, found).fix(fix));
    };
    if let Some(most) = outlet.most.filter(|_| over.0 > 0) {
        let (all, most, over) = (all.in_tons(), most.in_tons(), over.in_tons());
        let (of, a_year) = outlet.year.map_or_else(Default::default, |year| (format!(" of {year}"), " a year"));
        let found = format!(
            "the log has {all}{of} to outlet `{name}`, which takes at most {most}{a_year}: {over} are not paid for"
        );
        say("outlet-over", found, "correct `most` or the entries");
    }
    if let Some(from) = outlet.from.filter(|_| early.0 > 0) {
        let early = early.in_tons();
        let found = format!(
            "the log has {early} to outlet `{name}` before its first day, {from}: they count toward its `most` and are not paid for"
        );
        say("outlet-early", found, "correct `from` or the entries");
    }
    if let Some(to) = outlet.to.filter(|_| late.0 > 0) {
        let late = late.in_tons();
        let found = format!("the log has {late} to outlet `{name}` after its last day, {to}: they are not paid for");
        say("outlet-late", found, "correct `to` or the entries");
    }
}

/// Outlets that take nothing on any day of the plan.
pub(super) fn ended(ready: &Ready, findings: &mut Findings) {
    for outlet in &ready.outlets {
        let open = ready.as_of.max(ready.from);
        let Some(to) = outlet.to.filter(|to| *to < open) else { continue };
        let found = format!("outlet `{}` took litter to {to}; nothing is left of its days on {open}", outlet.name);
        findings.push(
            Finding::note("outlet-ended", &outlet.place, found)
                .fix("give its new days, or leave it: the plan sells it nothing more"),
        );
    }
}
