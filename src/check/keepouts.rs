//! Checks of the keep-outs: every one gets its distance, from the tables or
//! from the grower, and the wider of the two holds.

use crate::check::ready::{KeepOut, operation};
use crate::farm::{Written, WrittenKeepOut};
use crate::findings::{Finding, Findings, Origin};
use crate::tables::{Book, Sourced, Topic};
use crate::units::Quantity;

pub(super) fn check(written: &Written, book: &Book<'_>, findings: &mut Findings) -> Vec<KeepOut> {
    let large = written.large.as_ref().is_some_and(|l| l.value);
    written.keepouts.iter().filter_map(|k| keepout(k, large, book, findings)).collect()
}

fn keepout(written: &WrittenKeepOut, large: bool, book: &Book<'_>, findings: &mut Findings) -> Option<KeepOut> {
    let published = published(written, large, book);
    let own = written.setback.as_ref();
    let (feet, origin) = match (published, own) {
        (Some(figure), Some((feet, by))) if feet.value.get() > figure.value => {
            (feet.value.get(), Origin::Said { place: feet.place.clone(), by: by.clone() })
        }
        (Some(figure), _) => (figure.value, Origin::Figure(figure.cite)),
        (None, Some((feet, by))) => (feet.value.get(), Origin::Said { place: feet.place.clone(), by: by.clone() }),
        (None, None) if only_for_neighbors(written, large, book) => (0.0, Origin::Line(written.place.clone())),
        (None, None) => {
            findings.push(ask(written, book));
            return None;
        }
    };
    Some(KeepOut {
        kind: written.kind.value.clone(),
        name: written.name.clone(),
        feet,
        origin,
        geometry: written.geometry.clone(),
    })
}

/// The strictest published distance that fits. What the grower does not say
/// of a feature counts against it: no strip, a neighbor's.
fn published(keep: &WrittenKeepOut, large: bool, book: &Book<'_>) -> Option<Sourced<f64>> {
    let strip = if keep.strip.as_ref().is_some_and(|s| s.value) { "yes" } else { "no" };
    let owner = if keep.neighbor.as_ref().is_none_or(|n| n.value) { "neighbor" } else { "own" };
    distance(keep, strip, owner, large, book)
}

fn distance(keep: &WrittenKeepOut, strip: &str, owner: &str, large: bool, book: &Book<'_>) -> Option<Sourced<f64>> {
    let operation = operation(large);
    let scope = [
        ("feature", keep.kind.value.as_str()),
        ("strip", strip),
        ("owner", owner),
        ("operation", operation),
        ("placement", "surface"),
    ];
    book.number(Topic::Setback, &scope)
}

/// Where the rule speaks of neighbors only, the grower's own has no distance.
fn only_for_neighbors(keep: &WrittenKeepOut, large: bool, book: &Book<'_>) -> bool {
    keep.neighbor.as_ref().is_some_and(|n| !n.value) && distance(keep, "no", "neighbor", large, book).is_some()
}

fn ask(keep: &WrittenKeepOut, book: &Book<'_>) -> Finding {
    let what = keep.kind.value.replace('_', " ");
    let strip = match &keep.strip {
        Some(strip) if !strip.value => " without a vegetated strip",
        None => " (and whether a vegetated strip lies along it is not said)",
        Some(_) => "",
    };
    Finding::error(
        "setback-asked",
        &keep.kind.place,
        format!("{}: the tables of {} hold no distance for a {what}{strip}", keep.name, book.place().name),
    )
    .accepts("a distance of your own, with who asked for it and when")
    .mend("ask the planner or the district, then add \"setback\": \"... ft\" and \"setback_by\": \"name, date\"")
}
