//! Checks of `brought:` and `outlets:`: every lot is known, every outlet takes some.

use crate::check::names::{lot_there, twice};
use crate::check::ready::Lot;
use crate::check::stock::Outlet;
use crate::farm::{Written, WrittenOutlet};
use crate::findings::{At, Finding, Findings};
use crate::record::Happened;
use crate::units::{Pounds, Quantity};

/// The outlets, dearest first.
pub(super) fn check(written: &Written, happened: &Happened, lots: &[Lot], findings: &mut Findings) -> Vec<Outlet> {
    written.work.brought.iter().for_each(|brought| {
        lot_there(&brought.lot, written, findings);
        never_traded(&brought.lot, lots, "is brought to the farm", findings);
    });
    let list = &written.work.outlets;
    twice("outlets", list.iter().map(|o| &o.name), findings);
    if let Some(first) = list.first().filter(|_| written.prices.is_none()) {
        let found = "`outlets` changes nothing, because the farm gives no `prices` to hold them against";
        findings.push(Finding::warning("no-effect", &first.place, found).fix("give `prices`, or take `outlets` out"));
    }
    let mut outlets: Vec<Outlet> = list.iter().map(|outlet| one(outlet, written, happened, lots, findings)).collect();
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

fn one(outlet: &WrittenOutlet, written: &Written, happened: &Happened, all: &[Lot], findings: &mut Findings) -> Outlet {
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
    let mut outlet = Outlet {
        name: outlet.name.value.clone(),
        price: outlet.price.value.get(),
        most,
        left: most,
        from: outlet.from.as_ref().map(|day| day.value),
        to: outlet.to.as_ref().map(|day| day.value),
        lots,
        place: outlet.place.clone(),
    };
    // From its first day on: what went before was another year's.
    let taken = happened.entries.iter().filter(|e| outlet.took(e) && outlet.from.is_none_or(|from| from <= e.date));
    let taken: Pounds = taken.map(|e| e.amount).sum();
    outlet.left = most.map(|most| (most - taken).max(Pounds(0)));
    outlet
}
