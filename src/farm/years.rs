//! What a field's past years say: yields, earlier litter, banked phosphate;
//! and the slope for the soil loss equation.

use crate::farm::numbers::{need_plain, need_whole, plain};
use crate::farm::written::{Earlier, Erosion};
use crate::farm::yields::{Measure, YieldYear};
use crate::findings::{Finding, Findings};
use crate::text::{Kind, Node, Walker, key_of};

/// The yields of past years.
pub(super) fn yields(walk: &Walker<'_>, findings: &mut Findings) -> Vec<YieldYear> {
    let list = walk.ask("yields").filter(|node| matches!(&node.kind, Kind::List(items) if items.is_empty()));
    if let Some(list) = list {
        let found = format!("{}: `yields` lists no year", walk.what());
        findings.push(
            Finding::error("yields-none", &list.place, found)
                .accepts("a line for each past year, as in `- {year: 2026, tons: 3.2 tons/ac}`")
                .fix("add the years, or take `yields` out and give a `yield_goal`"),
        );
    }
    walk.list("yields", findings).iter().filter_map(|n| one_yield(n, findings)).collect()
}

/// A field needs a yield goal, past yields or the soil survey's yield, where no
/// mapped soils give one.
pub(super) fn some_yield(walk: &Walker<'_>, soils: bool, findings: &mut Findings) {
    let keys = ["yield_goal", "yields", "survey_yield"];
    if !soils && keys.iter().all(|key| walk.ask(key).is_none()) {
        walk.told(&keys);
        let found = "the field: none of `yield_goal`, `yields` and `survey_yield` is given";
        findings.push(
            Finding::error("key-missing", walk.place(), found)
                .accepts(
                    "`yield_goal: 3.5 tons/ac`; or past years under `yields:`; or the soil survey's `survey_yield:`",
                )
                .fix("add one of them; your own bale counts are the best"),
        );
    }
}

fn one_yield(node: &Node, findings: &mut Findings) -> Option<YieldYear> {
    let walk = Walker::new("the year's yield", node, findings)?;
    let year = need_whole(&walk, "year", 1950, 2200, findings);
    let measure = if walk.ask("tons").is_some() {
        walk.quantity("tons", findings).map(Measure::Tons)
    } else if walk.ask("rolls").is_some() {
        let rolls = plain(&walk, "rolls", 0.0..=100_000.0, findings);
        let weight = walk.need_quantity("roll_weight", findings);
        let moisture = walk.need_quantity("moisture", findings);
        let acres = walk.need_quantity("acres", findings);
        match (rolls, weight, moisture, acres) {
            (Some(rolls), Some(weight), Some(moisture), Some(acres)) => {
                Some(Measure::Rolls { rolls, weight, moisture, acres })
            }
            _ => None,
        }
    } else {
        let found = "the year's yield has neither `tons` nor `rolls`";
        findings.push(
            Finding::error("key-missing", walk.place(), found)
                .accepts("`tons: 3.2 tons/ac`, or rolls, roll_weight, moisture and acres"),
        );
        None
    };
    walk.finish(findings);
    Some(YieldYear { year: year?, measure: measure? })
}

/// Litter of earlier years.
pub(super) fn earlier(walk: &Walker<'_>, findings: &mut Findings) -> Vec<Earlier> {
    walk.list("earlier", findings).iter().filter_map(|n| one_earlier(n, findings)).collect()
}

fn one_earlier(node: &Node, findings: &mut Findings) -> Option<Earlier> {
    let walk = Walker::new("the earlier litter", node, findings)?;
    let year = need_whole(&walk, "year", 1950, 2200, findings);
    let kind = walk.need_text("kind", "a kind of litter, for example broiler litter", findings);
    let rate = walk.need_quantity("rate", findings);
    let organic_n = walk.need_quantity("organic_n", findings);
    walk.finish(findings);
    Some(Earlier { year: year?, kind: kind?.map(|k| key_of(&k)), rate: rate?, organic_n: organic_n? })
}

/// What the soil loss equation asks for.
pub(super) fn erosion(node: &Node, soils: bool, findings: &mut Findings) -> Option<Erosion> {
    let walk = Walker::new("the erosion block", node, findings)?;
    // Where soils are mapped, they may give the slope.
    let slope = if soils { walk.quantity("slope", findings) } else { walk.need_quantity("slope", findings) };
    let length = walk.need_quantity("length", findings);
    let erodibility = need_plain(&walk, "erodibility", 0.0..=1.0, findings);
    let rain = need_plain(&walk, "rain", 0.0..=1_000.0, findings);
    let cover = walk.need_quantity("cover", findings);
    let asked = walk.ask("slope").is_some();
    walk.finish(findings);
    if slope.is_none() && (!soils || asked) {
        return None;
    }
    Some(Erosion { slope, length: length?, erodibility: erodibility?, rain: rain?, cover: cover? })
}
