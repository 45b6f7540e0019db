//! The lots of litter and their analyses.

use crate::farm::by_volume::ByVolume;
use crate::farm::dated::records;
use crate::farm::words::{Basis, CountOrder, Stored};
use crate::farm::written::{Analysis, Content, Written, WrittenLot};
use crate::farm::{on_hand, sure};
use crate::findings::{At, Finding, Findings};
use crate::text::{Node, Walker, key_of};
use crate::units::{LbPerTon, Quantity};

pub(super) fn read(node: &Node, written: &mut Written, findings: &mut Findings) {
    let id = node.get("lot").and_then(Node::scalar).unwrap_or("?").to_string();
    match lot(node, &id, findings) {
        Some(lot) => written.lots.push(lot),
        None => written.unread.push(id),
    }
}

fn lot(node: &Node, id: &str, findings: &mut Findings) -> Option<WrittenLot> {
    let walk = Walker::new(format!("litter lot {id}"), node, findings)?;
    let id = walk.need_text("lot", "a short name for the lot", findings);
    let kind = walk.need_text("kind", "a kind of litter, for example broiler litter", findings);
    if let Some(liquid) = kind.as_ref().filter(|k| is_liquid(k)) {
        let found = format!("the lot's kind is `{}`", liquid.value);
        findings.push(
            Finding::error("liquid", &liquid.place, found)
                .accepts("dry litter, which is spread by the ton")
                .fix("liquid manure is spread by the gallon and lies outside this planner"),
        );
    }
    let liquid = kind.as_ref().is_some_and(is_liquid);
    let from = walk.text("from", findings).map(|t| t.value);
    let on_hand = on_hand::read(&walk, findings);
    let counted = walk.text("counted", findings).map(|t| t.value);
    let counted_on = walk.date("counted_on", findings);
    let count_order = CountOrder::may(&walk, "count_order", findings);
    let stored = Stored::need(&walk, "stored", findings);
    let since = walk.date("since", findings);
    let first = walk.yes_no("use_first", findings);
    let not_on = walk.words("not_on", findings);
    let analyses = records(&walk, ("analysis", "analyses"), analysis, findings);
    let sure = sure::read(&walk, findings);
    let place = walk.place().clone();
    walk.filled(&["not_on"], findings);
    walk.finish(findings);
    let analyses = analyses.filter(|_| !liquid)?;
    let kind = kind?.map(|k| key_of(&k));
    Some(WrittenLot {
        id: id?,
        kind,
        from,
        on_hand: on_hand?,
        counted,
        counted_on,
        count_order,
        stored: stored?,
        since,
        first,
        not_on,
        analysis: analyses.newest().cloned(),
        analyses,
        sure,
        place,
    })
}

fn is_liquid(kind: &At<String>) -> bool {
    kind.value.to_lowercase().contains("liquid")
}

pub(super) fn analysis(node: &Node, findings: &mut Findings) -> Option<Analysis> {
    let walk = Walker::new("the litter analysis", node, findings)?;
    let lab = walk.need_text("lab", "the laboratory's name", findings);
    let sampled = walk.need_date("sampled", findings);
    let basis = Basis::need(&walk, "basis", findings);
    let moisture = walk.need_quantity("moisture", findings);
    let mut by_volume = ByVolume::of(&walk, basis.as_ref(), findings);
    let total_n = by_volume.need("total_n", findings);
    let ammonium_n = by_volume.may("ammonium_n", findings);
    let nitrate_n = by_volume.may("nitrate_n", findings);
    let p = content(&mut by_volume, "p2o5", "p", findings);
    let k = content(&mut by_volume, "k2o", "k", findings);
    let zinc = by_volume.may("zinc", findings);
    let copper = by_volume.may("copper", findings);
    by_volume.finish(findings);
    let sure = sure::read(&walk, findings);
    walk.finish(findings);
    let (total_n, lab, sampled) = (total_n?, lab?, sampled?);
    mineral_within_total(&total_n, ammonium_n.as_ref(), nitrate_n.as_ref(), findings)?;
    Some(Analysis {
        lab: lab.value,
        sampled,
        basis: basis?,
        moisture: moisture?,
        total_n,
        ammonium_n,
        nitrate_n,
        p: p?,
        k: k?,
        zinc,
        copper,
        sure,
    })
}

/// Ammonium and nitrate are parts of total nitrogen.
fn mineral_within_total(
    total: &At<LbPerTon>,
    ammonium: Option<&At<LbPerTon>>,
    nitrate: Option<&At<LbPerTon>>,
    findings: &mut Findings,
) -> Option<()> {
    let get = |part: Option<&At<LbPerTon>>| part.map_or(0.0, |a| a.value.get());
    let mineral = get(ammonium) + get(nitrate);
    if mineral <= total.value.get() {
        return Some(());
    }
    let found =
        format!("total nitrogen is {}, less than ammonium and nitrate together ({mineral} lb/ton)", total.value);
    let place = ammonium.or(nitrate).map_or(&total.place, |a| &a.place);
    findings.push(
        Finding::error("nitrogen-parts", place, found)
            .accepts("total nitrogen that holds its parts")
            .fix("compare with the report: is a column or a unit mixed up?")
            .also(&total.place, "total nitrogen"),
    );
    None
}

/// Phosphorus or potassium, given once: as the oxide or as the element.
fn content(
    by_volume: &mut ByVolume<'_, '_>,
    oxide: &'static str,
    element: &'static str,
    findings: &mut Findings,
) -> Option<Content> {
    let walk = by_volume.walk;
    let as_oxide = by_volume.may(oxide, findings);
    let as_element = by_volume.may(element, findings);
    match (as_oxide, as_element) {
        (Some(a), Some(b)) => {
            let found = format!("both `{oxide}` and `{element}` are given");
            findings.push(
                Finding::error("given-twice", &b.place, found).accepts("one of the two").also(&a.place, "the other"),
            );
            None
        }
        (Some(value), None) => Some(Content { value, oxide: true }),
        (None, Some(value)) => Some(Content { value, oxide: false }),
        (None, None) => {
            if walk.ask(oxide).is_none() && walk.ask(element).is_none() {
                walk.told(&[oxide, element]);
                let found = format!("the litter analysis: `{oxide}` (or `{element}`) is missing");
                findings.push(
                    Finding::error("key-missing", walk.place(), found)
                        .accepts(format!("`{oxide}` for the oxide, `{element}` for the element, as the report says"))
                        .fix(format!("add a line `{oxide}: ... lb/ton`")),
                );
            }
            None
        }
    }
}
