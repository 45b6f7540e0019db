//! What a laboratory found in the forage that a field gave.

use crate::farm::dated::HasDay;
use crate::farm::sure::{self, Sure};
use crate::farm::words::Basis;
use crate::findings::{At, Finding, Findings};
use crate::text::{Node, Walker};
use crate::units::{Percent, Quantity};
use jiff::civil::Date;

/// The analysis of hay, silage or grain.
#[derive(Clone, Debug, PartialEq)]
pub struct HayAnalysis {
    /// The laboratory.
    pub lab: String,
    /// The day of sampling.
    pub sampled: At<Date>,
    /// What the contents refer to.
    pub basis: At<Basis>,
    /// Moisture of what was sampled.
    pub moisture: At<Percent>,
    /// Crude protein.
    pub protein: Option<At<Percent>>,
    /// Phosphorus, the element.
    pub p: Option<At<Percent>>,
    /// Potassium, the element.
    pub k: Option<At<Percent>>,
    /// Who is sure of values far from what is usual.
    pub sure: Option<Sure>,
}

impl HasDay for HayAnalysis {
    fn day(&self) -> &At<Date> {
        &self.sampled
    }
}

/// What may be reported; at least one of them is.
const CONTENTS: [&str; 3] = ["protein", "p", "k"];

pub(super) fn read(node: &Node, findings: &mut Findings) -> Option<HayAnalysis> {
    let walk = Walker::new("the hay analysis", node, findings)?;
    let lab = walk.need_text("lab", "the laboratory's name", findings);
    let sampled = walk.need_date("sampled", findings);
    let basis = Basis::need(&walk, "basis", findings);
    let moisture = walk.need_quantity("moisture", findings);
    let [protein, p, k] = CONTENTS.map(|key| walk.quantity(key, findings));
    let sure = sure::read(&walk, findings);
    if CONTENTS.iter().all(|key| walk.ask(key).is_none()) {
        let found = format!("{}: it says nothing of the hay", walk.what());
        findings.push(
            Finding::error("key-missing", walk.place(), found)
                .accepts("any of `protein`, `p` and `k` in percent; P and K as the elements")
                .fix("write what the report has, or take `hay_analysis` out"),
        );
    }
    walk.filled(&CONTENTS, findings);
    walk.finish(findings);
    let (lab, sampled, basis, moisture) = (lab?.value, sampled?, basis?, moisture?);
    all_dry(&moisture, findings)?;
    Some(HayAnalysis { lab, sampled, basis, moisture, protein, p, k, sure })
}

/// Nothing is left of what is all water.
fn all_dry(moisture: &At<Percent>, findings: &mut Findings) -> Option<()> {
    if moisture.value.get() < 100.0 {
        return Some(());
    }
    let found = format!("the hay analysis: `moisture` is {}", moisture.value);
    findings.push(Finding::error("all-water", &moisture.place, found).accepts("less than 100 %"));
    None
}
