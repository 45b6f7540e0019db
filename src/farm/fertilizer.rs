//! Fertilizer that can be bought: what stands on the bag and what a ton costs.
//! With it, what the grower says litter keeps until next year.

use crate::farm::sure;
use crate::farm::sure::Sure;
use crate::findings::{At, Finding, Findings};
use crate::text::{Node, Walker, same_name};
use crate::units::{DollarsPerAcre, DollarsPerTon, Grade, LbPerAcre, Percent, Quantity};
use jiff::civil::Date;

/// Everything in farm.yaml that has to do with buying and keeping.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shop {
    /// The products, in the order written.
    pub products: Vec<Fertilizer>,
    /// What going over an acre once with fertilizer costs.
    pub spreading: Option<At<DollarsPerAcre>>,
    /// The least product that one trip can spread.
    pub least: Option<At<LbPerAcre>>,
    /// What litter keeps until next year.
    pub carry_over: Option<CarryOver>,
}

/// One product.
#[derive(Clone, Debug, PartialEq)]
pub struct Fertilizer {
    /// Its name.
    pub name: At<String>,
    /// Percent of nitrogen, phosphate and potash, as on the bag.
    pub analysis: At<[f64; 3]>,
    /// What a ton costs.
    pub price: At<DollarsPerTon>,
    /// Most pounds per acre in one application.
    pub most: Option<At<LbPerAcre>>,
    /// Who is sure of values far from what is usual.
    pub sure: Option<Sure>,
}

/// The share of its nitrogen that litter still has next year, by the grower's
/// own word.
#[derive(Clone, Debug, PartialEq)]
pub struct CarryOver {
    /// The share kept.
    pub keeps: At<Percent>,
    /// Who says so.
    pub by: String,
    /// When.
    pub on: At<Date>,
}

pub(super) fn read(top: &Walker<'_>, findings: &mut Findings) -> Shop {
    let mut products: Vec<Fertilizer> = Vec::new();
    for node in top.list("fertilizer", findings) {
        let Some(product) = product(node, findings) else { continue };
        match products.iter().find(|p| same_name(&p.name.value, &product.name.value)) {
            Some(first) => {
                let found = format!("the fertilizer `{}` is written twice", product.name.value);
                findings.push(
                    Finding::error("fertilizer-twice", &product.name.place, found)
                        .fix("give each product its own name")
                        .also(&first.name.place, "first written here"),
                );
            }
            None => products.push(product),
        }
    }
    let spreading = top.quantity("fertilizer_spreading", findings);
    let least = top.quantity("fertilizer_least", findings);
    let carry_over = top.ask("carry_over").and_then(|node| carry_over(node, findings));
    Shop { products, spreading, least, carry_over }
}

fn product(node: &Node, findings: &mut Findings) -> Option<Fertilizer> {
    let walk = Walker::new("the fertilizer", node, findings)?;
    let name = walk.need_text("name", "the name of the product", findings);
    let analysis = walk.need_text("analysis", ANALYSIS, findings).and_then(|text| analysis(text, findings));
    let price = walk.need_quantity("price", findings);
    let most = walk.quantity::<LbPerAcre>("most", findings);
    let sure = sure::read(&walk, findings);
    walk.filled(&["most"], findings);
    walk.finish(findings);
    if let Some(none) = most.as_ref().filter(|m| m.value.get() <= 0.0) {
        let finding = Finding::error("fertilizer-most", &none.place, "the fertilizer: `most` is nothing");
        findings.push(finding.accepts("the most pounds per acre in one application, or no `most` at all"));
        return None;
    }
    Some(Fertilizer { name: name?, analysis: analysis?, price: price?, most, sure })
}

const ANALYSIS: &str = "percent of N, P2O5 and K2O as on the bag, for example 46-0-0";

/// Reads `46-0-0`.
fn analysis(text: At<String>, findings: &mut Findings) -> Option<At<[f64; 3]>> {
    match text.value.parse::<Grade>() {
        Ok(grade) => Some(At { value: grade.0, place: text.place }),
        Err(()) => {
            let found = format!("the fertilizer: `analysis` is `{}`", text.value);
            let finding = Finding::error("fertilizer-analysis", &text.place, found).accepts(ANALYSIS);
            findings.push(finding.fix("three numbers with dashes between, 100 together at most"));
            None
        }
    }
}

fn carry_over(node: &Node, findings: &mut Findings) -> Option<CarryOver> {
    let walk = Walker::new("the carry-over", node, findings)?;
    let keeps = walk.need_quantity("keeps", findings);
    let by = walk.need_name("by", "who says so", findings);
    let on = walk.need_date("on", findings);
    walk.finish(findings);
    Some(CarryOver { keeps: keeps?, by: by?.value, on: on? })
}
