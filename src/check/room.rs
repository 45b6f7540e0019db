//! Litter on hand that does not go into the storage it is said to lie in.

use crate::check::ready::{Lot, Ready};
use crate::farm::Written;
use crate::findings::{Finding, Findings};
use crate::units::{Pounds, number_text};

pub(super) fn check(written: &Written, ready: &Ready, findings: &mut Findings) {
    for (store, at) in ready.work.storage.iter().zip(&written.work.storage) {
        let inside: Vec<&Lot> = ready.lots.iter().filter(|lot| store.lots.contains(&lot.id)).collect();
        let held: Pounds = inside.iter().map(|lot| ready.on_hand(lot).max(Pounds(0))).sum();
        let over = held - store.room;
        let Some(first) = inside.first().filter(|_| over > Pounds(0)) else { continue };
        let tons = |pounds: Pounds| number_text(pounds.tons(), 2);
        let ids: Vec<&str> = inside.iter().map(|lot| lot.id.as_str()).collect();
        let found = format!(
            "storage `{}` has room for {} tons, and {} tons are on hand in it ({}): {} tons too much",
            store.name,
            tons(store.room),
            tons(held),
            ids.join(", "),
            tons(over)
        );
        findings.push(
            Finding::warning("storage-over", &at.room.place, found)
                .accepts(format!("at most {} tons on hand in the lots of `{}`", tons(store.room), store.name))
                .fix("correct `room` or `on_hand`; what lies elsewhere is a lot of its own")
                .also(&first.place, "the first of its lots"),
        );
    }
}
