//! What a laboratory recommends on its report: for which crop, at which yield, how much.

use crate::farm::crops::{self, Bushels, WrittenCrop, same_crop};
use crate::findings::{At, Finding, Findings, Place};
use crate::text::{Kind, Node, Walker, key_of};
use crate::units::{K2O_PER_K, LbPerAcre, P2O5_PER_P, Quantity, TonsPerAcre, Yield, number_text, trimmed};

/// The recommendation of one report.
#[derive(Clone, Debug, PartialEq)]
pub struct Recommended {
    /// The crop it is for, as a key of the tables.
    pub crop: At<String>,
    /// The yield it is for.
    pub yield_goal: Option<At<Yield>>,
    /// The same in bushels, where it is written so.
    pub bushels: Option<Bushels>,
    /// Nitrogen.
    pub n: Option<At<LbPerAcre>>,
    /// Phosphate.
    pub p2o5: Option<At<LbPerAcre>>,
    /// Potash.
    pub k2o: Option<At<LbPerAcre>>,
    /// Lime.
    pub lime: Option<At<TonsPerAcre>>,
    /// Where it starts.
    pub place: Place,
}

impl Recommended {
    /// Whether the report speaks of a forage: the words of one are among those of the other.
    #[must_use]
    pub fn is_for(&self, forage: &str) -> bool {
        same_crop(&self.crop.value, forage)
    }

    /// What it says, as text, to tell two reports apart.
    pub(super) fn says(&self) -> Vec<(&'static str, String)> {
        let mut all = vec![("recommended_crop", self.crop.value.clone())];
        all.extend(self.yield_goal.as_ref().map(|y| ("recommended_yield", y.value.to_string())));
        for (key, nutrient) in
            [("recommended_n", &self.n), ("recommended_p2o5", &self.p2o5), ("recommended_k2o", &self.k2o)]
        {
            all.extend(nutrient.as_ref().map(|n| (key, n.value.to_string())));
        }
        all.extend(self.lime.as_ref().map(|l| ("recommended_lime", l.value.to_string())));
        all
    }
}

/// The block under `recommended`.
pub(super) fn read(of: &Walker<'_>, crops: &[WrittenCrop], findings: &mut Findings) -> Option<Recommended> {
    let walk = Walker::new("the recommendation of the soil test", of.ask("recommended")?, findings)?;
    let crop = walk.need_text("crop", "the crop on the report, for example tall fescue", findings);
    let weight = crop.as_ref().and_then(|crop| crops::weight(&key_of(&crop.value), crops));
    let (yield_goal, bushels) = crops::yield_of(&walk, "yield", weight, findings);
    let n = walk.quantity("n", findings);
    let p2o5 = walk.quantity("p2o5", findings);
    let k2o = walk.quantity("k2o", findings);
    let lime = walk.quantity("lime", findings);
    let place = walk.place().clone();
    let elements = as_elements(&walk, findings);
    let written = ["n", "p2o5", "k2o", "lime"].iter().any(|key| walk.ask(key).is_some());
    if !written && !elements {
        let found = format!("{}: it recommends nothing", walk.what());
        findings.push(
            Finding::error("key-missing", &place, found)
                .accepts("any of `n`, `p2o5` and `k2o` in lb/ac, and `lime` in tons/ac; 0 where the report says none")
                .fix("write what the report recommends, or take `recommended` out"),
        );
    }
    walk.filled(&["n", "p2o5", "k2o", "lime"], findings);
    walk.finish(findings);
    Some(Recommended { crop: crop?.map(|crop| key_of(&crop)), yield_goal, bushels, n, p2o5, k2o, lime, place })
}

/// Phosphorus and potassium written as the elements, where the oxides are read: said with the
/// pounds to write. Whether any are.
fn as_elements(walk: &Walker<'_>, findings: &mut Findings) -> bool {
    let mut any = false;
    for (element, key, factor) in [("p", "p2o5", P2O5_PER_P), ("k", "k2o", K2O_PER_K)] {
        if !walk.entries().iter().any(|(own, ..)| own == element) {
            continue;
        }
        any = true;
        let Some(at) = walk.quantity::<LbPerAcre>(element, findings) else { continue };
        let (oxide, lb) = (key.to_uppercase(), trimmed(at.value.get()));
        let as_oxide = number_text(at.value.get() * factor, 1);
        let found =
            format!("{}: `{element}: {lb} lb/ac` says the element, and the crop's need is in {oxide}", walk.what());
        findings.push(
            Finding::error("recommended-element", &at.place, found).accepts(format!("`{key}` in lb/ac")).fix(format!(
                "where the report means the element, write `{key}: {as_oxide} lb/ac` ({lb} x {}); where it means \
                 {oxide}, write `{key}: {lb} lb/ac`",
                trimmed(factor)
            )),
        );
    }
    any
}

/// The columns of a laboratory's file that make the block, and the keys in it.
const COLUMNS: [(&str, &str); 6] = [
    ("recommended_crop", "crop"),
    ("recommended_yield", "yield"),
    ("recommended_n", "n"),
    ("recommended_p2o5", "p2o5"),
    ("recommended_k2o", "k2o"),
    ("recommended_lime", "lime"),
];

/// An entry of a block: its key, its place, its value.
type Entry = (String, Place, Node);

/// The block that a row of a laboratory's file makes of such columns, put among the
/// others. A row without any amount has no recommendation, whatever crop it names.
pub(super) fn of_columns(entries: Vec<Entry>) -> Vec<Entry> {
    let key = |name: &str| COLUMNS.iter().find(|(column, _)| *column == name).map(|(_, key)| *key);
    let (own, mut rest): (Vec<Entry>, Vec<Entry>) = entries.into_iter().partition(|(name, ..)| key(name).is_some());
    let amount = |(name, ..): &Entry| key(name).is_some_and(|key| key != "crop" && key != "yield");
    let Some(place) = own.iter().find(|entry| amount(entry)).map(|(_, place, _)| place.clone()) else { return rest };
    let inner = own.into_iter().filter_map(|(name, place, node)| Some((key(&name)?.to_string(), place, node)));
    let block = Node { kind: Kind::Map(inner.collect()), place: place.clone() };
    rest.push(("recommended".to_string(), place, block));
    rest
}
