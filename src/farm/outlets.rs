//! Litter that is brought to the farm, and who takes what is left: the blocks
//! `brought:` and `outlets:` of farm.yaml, as written.

use crate::farm::numbers::above_zero;
use crate::findings::{At, Finding, Findings, Place};
use crate::text::{Node, Walker, key_of};
use crate::units::{DollarsPerTon, Tons};
use jiff::civil::Date;

/// Litter that is brought to the farm on a day.
#[derive(Clone, Debug, PartialEq)]
pub struct WrittenBrought {
    /// The day.
    pub date: At<Date>,
    /// The lot it comes to.
    pub lot: At<String>,
    /// How much.
    pub tons: At<Tons>,
    /// What a ton costs, delivered; none where it costs nothing.
    pub price: Option<At<DollarsPerTon>>,
    /// Whose it was.
    pub from: Option<String>,
}

/// Somebody who takes litter.
#[derive(Clone, Debug, PartialEq)]
pub struct WrittenOutlet {
    /// Who.
    pub name: At<String>,
    /// What a ton brings.
    pub price: At<DollarsPerTon>,
    /// Most tons that are taken; all there is where none is given.
    pub most: Option<At<Tons>>,
    /// First day.
    pub from: Option<At<Date>>,
    /// Last day.
    pub to: Option<At<Date>>,
    /// The lots that are taken; any where none is named.
    pub lots: Vec<At<String>>,
    /// The kinds that are taken, as keys of the tables; any where none is named.
    pub kinds: Vec<At<String>>,
    /// Where its entry starts.
    pub place: Place,
}

pub(super) fn brought(node: &Node, findings: &mut Findings) -> Option<WrittenBrought> {
    let walk = Walker::new("the litter brought", node, findings)?;
    let date = walk.need_date("date", findings);
    let lot = walk.need_text("lot", "the lot that it comes to", findings);
    let tons = above_zero(walk.need_quantity("tons", findings), "tons", findings);
    let price = walk.quantity("price", findings);
    let from = walk.text("from", findings).map(|text| text.value);
    let priced = walk.ask("price").is_some();
    walk.finish(findings);
    if priced && price.is_none() {
        return None;
    }
    Some(WrittenBrought { date: date?, lot: lot?, tons: tons?, price, from })
}

pub(super) fn outlet(node: &Node, findings: &mut Findings) -> Option<WrittenOutlet> {
    let walk = Walker::new("the outlet", node, findings)?;
    let name = walk.need_text("name", "who takes the litter, for example a neighbor", findings);
    let price = walk.need_quantity("price", findings);
    let most = above_zero(walk.quantity("most", findings), "most", findings);
    let from = walk.date("from", findings);
    let to = walk.date("to", findings);
    let lots = walk.words("lots", findings);
    let kinds = walk.words("kinds", findings);
    let place = walk.place().clone();
    // A bound that cannot be read must not be taken for none.
    let unread = [("most", most.is_none()), ("from", from.is_none()), ("to", to.is_none())];
    let unread = unread.into_iter().any(|(key, none)| none && walk.ask(key).is_some());
    walk.filled(&["most", "from", "to", "lots", "kinds"], findings);
    walk.finish(findings);
    if let (Some(from), Some(to)) = (&from, &to)
        && to.value < from.value
    {
        let found = format!("the outlet takes litter from {} to {}", from.value, to.value);
        findings.push(
            Finding::error("outlet-days", &to.place, found)
                .accepts("a last day on or after the first")
                .fix("correct `from` or `to`")
                .also(&from.place, "the first day"),
        );
        return None;
    }
    let kinds = kinds.into_iter().map(|kind| kind.map(|word| key_of(&word))).collect();
    if unread {
        return None;
    }
    Some(WrittenOutlet { name: name?, price: price?, most, from, to, lots, kinds, place })
}
