//! Whether the birds in the houses make a large operation, where the farm does not say so.

use crate::farm::{OnHand, Written, WrittenHouse};
use crate::findings::{Finding, Findings, Place};
use crate::tables::{Book, Scope, topic};
use crate::units::{Quantity, number_text};
use std::collections::BTreeMap;

/// The birds of a kind of litter that are confined at once, with the first line that
/// says so.
type Birds<'a> = BTreeMap<&'a str, (f64, &'a Place)>;

pub(super) fn check(written: &Written, book: &Book<'_>, findings: &mut Findings) {
    if written.large.as_ref().is_some_and(|large| large.value) {
        return;
    }
    for (kind, (birds, place)) in most(written) {
        let Some(size) = book.get(topic::LARGE_OPERATION, &Scope::new().material(kind)) else { continue };
        if birds < size.value.get() {
            continue;
        }
        let (birds, least) = (number_text(birds, 0), number_text(size.value.get(), 0));
        let stated = match &written.large {
            None => "`large_operation` is not stated",
            Some(_) => "`large_operation` is no",
        };
        let found = format!(
            "the houses hold {birds} birds at once, and from {least} a farm is a large operation by federal rule; {stated}"
        );
        let at = written.large.as_ref().map_or(place, |large| &large.place);
        let finding = Finding::warning("large-operation", at, found)
            .accepts(format!("`large_operation: yes` from {least} birds: {}", size.cite))
            .fix("add the line `large_operation: yes`, or correct the birds; until then the wider federal distances are not kept");
        findings.push(if at == place { finding } else { finding.also(place, "the houses") });
    }
}

/// Birds by kind of litter: those of the block `houses:`, or those by which what is on
/// hand was calculated where they are more. The same houses may stand in both.
fn most(written: &Written) -> Birds<'_> {
    let mut houses = Birds::new();
    for house in &written.work.houses {
        let (Some(birds), Some(kind)) = (house.all_birds(), kind_of(house, written)) else { continue };
        houses.entry(kind).or_insert((0.0, &house.place)).0 += birds;
    }
    for lot in &written.lots {
        let OnHand::Houses(flocks) = &lot.on_hand.value else { continue };
        let birds = f64::from(flocks.houses.value) * f64::from(flocks.birds.value);
        let there = houses.entry(lot.kind.value.as_str()).or_insert((birds, &lot.on_hand.place));
        there.0 = there.0.max(birds);
    }
    houses
}

/// The kind of litter that a house makes: its own word, else that of a lot it goes to.
fn kind_of<'a>(house: &'a WrittenHouse, written: &'a Written) -> Option<&'a str> {
    if let Some(kind) = &house.kind {
        return Some(&kind.value);
    }
    // The whole litter tells more than the crust.
    let lots = house.clean_outs.iter().map(|out| &out.lot).chain(&house.lot);
    let mut lots = lots.chain(house.cake_outs.iter().map(|out| &out.lot));
    lots.find_map(|id| written.lots.iter().find(|lot| lot.id.value == id.value)).map(|lot| lot.kind.value.as_str())
}
