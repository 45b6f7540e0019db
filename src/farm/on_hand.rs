//! The tons on hand: said outright, or by what they were calculated from: scale
//! tickets, loads, the measures of a pile, the houses that made it.

use crate::farm::numbers::{above_zero, need_whole, net_of};
use crate::farm::words::{PileShape, Taken};
use crate::findings::{At, Finding, Findings};
use crate::text::{Kind, Node, Walker};
use crate::units::{BirdWeight, Density, Length, Tons, Weight};
use jiff::civil::Date;

/// The ways to say it in a block.
pub(super) const WAYS: [&str; 4] = ["tickets", "loads", "pile", "houses"];

/// Tons on hand, as they are known.
#[derive(Clone, Debug, PartialEq)]
pub enum OnHand {
    /// So many, as the grower says.
    Said(Tons),
    /// Weighed over a scale.
    Tickets(Vec<OnHandTicket>),
    /// Loads that were counted.
    Loads(LoadsCounted),
    /// A pile that was measured.
    Pile(Pile),
    /// Reckoned from the birds.
    Houses(Flocks),
}

/// One scale ticket.
#[derive(Clone, Debug, PartialEq)]
pub struct OnHandTicket {
    /// Its number.
    pub number: At<String>,
    /// Its day.
    pub date: At<Date>,
    /// Net weight.
    pub net: At<Weight>,
}

/// Loads that were counted.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadsCounted {
    /// How many.
    pub count: At<u32>,
    /// What one holds.
    pub each: LoadOf,
}

/// How the weight of a load is known.
#[derive(Clone, Debug, PartialEq)]
pub enum LoadOf {
    /// By some that were weighed.
    Weighed(Vec<At<Tons>>),
    /// As the grower says, after so many were weighed.
    Said(At<Tons>, u32),
}

/// A pile that was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Pile {
    /// Its form.
    pub form: PileForm,
    /// How its weight by volume is known; none when by the tables.
    pub density: Option<DensityOf>,
}

/// The form of a pile with its measures.
#[derive(Clone, Debug, PartialEq)]
pub enum PileForm {
    /// A round heap.
    Cone {
        /// Once around its foot.
        around: At<Length>,
        /// Height.
        height: At<Length>,
    },
    /// A long heap with round ends.
    Windrow {
        /// Width at its foot.
        width: At<Length>,
        /// Width at the top; 0 where it comes to a ridge.
        top: Option<At<Length>>,
        /// Height.
        height: At<Length>,
        /// From end to end at its foot.
        length: At<Length>,
    },
    /// Between walls.
    Bin {
        /// Width.
        width: At<Length>,
        /// Length.
        length: At<Length>,
        /// Height of the litter, leveled.
        height: At<Length>,
    },
}

/// How the weight of a cubic foot is known.
#[derive(Clone, Debug, PartialEq)]
pub enum DensityOf {
    /// By volume, as the grower says.
    Said(At<Density>),
    /// By the net weight of a 5-gallon bucket.
    Bucket(At<Weight>),
}

/// The birds that made it.
#[derive(Clone, Debug, PartialEq)]
pub struct Flocks {
    /// How many houses.
    pub houses: At<u32>,
    /// Birds in each.
    pub birds: At<u32>,
    /// Flocks since the litter was taken out before.
    pub flocks: At<u32>,
    /// Live weight of a bird when it is sold.
    pub weight: Option<At<BirdWeight>>,
    /// What was taken out.
    pub taken: At<Taken>,
}

pub(super) fn read(walk: &Walker<'_>, findings: &mut Findings) -> Option<At<OnHand>> {
    let accepts = "tons, as in `on_hand: 212 tons`, or a block with `tickets`, `loads`, `pile` or `houses`";
    let node = walk.need("on_hand", accepts, findings)?;
    if !matches!(node.kind, Kind::Map(_)) {
        let said: At<Tons> = walk.quantity_of("on_hand", node, findings)?;
        return Some(said.map(OnHand::Said));
    }
    let walk = Walker::new("on_hand", node, findings)?;
    let given: Vec<&'static str> = WAYS.into_iter().filter(|way| walk.ask(way).is_some()).collect();
    let place = walk.place().clone();
    if given.len() != 1 {
        let found = match given.as_slice() {
            [] => "on_hand: nothing says how many tons there are".to_string(),
            many => format!("on_hand is given in {} ways: {}", many.len(), many.join(", ")),
        };
        let code = if given.is_empty() { "key-missing" } else { "given-twice" };
        findings.push(Finding::error(code, &place, found).accepts(format!("exactly one of {}", WAYS.join(", "))));
    }
    let value = match given.as_slice() {
        ["tickets"] => tickets(&walk, findings).map(OnHand::Tickets),
        ["loads"] => walk.ask("loads").and_then(|n| loads(n, findings)).map(OnHand::Loads),
        ["pile"] => walk.ask("pile").and_then(|n| pile(n, findings)).map(OnHand::Pile),
        ["houses"] => walk.ask("houses").and_then(|n| flocks(n, findings)).map(OnHand::Houses),
        _ => None,
    };
    walk.finish(findings);
    value.map(|value| At { value, place })
}

fn tickets(walk: &Walker<'_>, findings: &mut Findings) -> Option<Vec<OnHandTicket>> {
    let list = walk.list("tickets", findings);
    let read: Vec<OnHandTicket> = list.iter().filter_map(|n| ticket(n, findings)).collect();
    let mut twice = false;
    for (i, ticket) in read.iter().enumerate() {
        if let Some(first) = read[..i].iter().find(|t| t.number.value == ticket.number.value) {
            twice = true;
            let found = format!("ticket {} is here twice", ticket.number.value);
            findings.push(
                Finding::error("ticket-twice", &ticket.number.place, found)
                    .accepts("every ticket once")
                    .fix("take one of them out")
                    .also(&first.number.place, "the first one"),
            );
        }
    }
    not_empty(walk, "tickets", "at least one ticket", findings);
    (!twice && !read.is_empty() && read.len() == list.len()).then_some(read)
}

/// A list with nothing in it says nothing.
fn not_empty(walk: &Walker<'_>, key: &'static str, accepts: &str, findings: &mut Findings) {
    if let Some(node) = walk.ask(key).filter(|n| matches!(&n.kind, Kind::List(items) if items.is_empty())) {
        findings.push(Finding::error("how-many", &node.place, format!("`{key}` is empty")).accepts(accepts));
    }
}

fn ticket(node: &Node, findings: &mut Findings) -> Option<OnHandTicket> {
    let walk = Walker::new("the ticket", node, findings)?;
    let number = walk.need_text("number", "the number on the ticket", findings);
    let date = walk.need_date("date", findings);
    let net = if walk.ask("gross").is_some() || walk.ask("tare").is_some() {
        let gross: Option<At<Weight>> = walk.need_quantity("gross", findings);
        let tare: Option<At<Weight>> = walk.need_quantity("tare", findings);
        if let Some(node) = walk.ask("net") {
            findings.push(
                Finding::error("given-twice", &node.place, "the ticket gives both net and gross with tare")
                    .accepts("`net`, or `gross` and `tare`"),
            );
        }
        gross.zip(tare).and_then(|(gross, tare)| net_of(gross, &tare, "tare", findings))
    } else {
        above_zero(walk.need_quantity("net", findings), "net", findings)
    };
    walk.finish(findings);
    Some(OnHandTicket { number: number?, date: date?, net: net? })
}

fn loads(node: &Node, findings: &mut Findings) -> Option<LoadsCounted> {
    let walk = Walker::new("the loads", node, findings)?;
    let count: Option<At<u32>> = need_whole(&walk, "count", 1, 100_000, findings);
    let each = if walk.ask("load").is_some() {
        load_said(&walk, count.as_ref(), findings)
    } else {
        let accepts = "`load: 8 tons`, or the weights of those that were weighed: `weighed: [7.9 tons, 8.1 tons]`";
        walk.need("weighed", accepts, findings);
        let list = walk.list("weighed", findings);
        not_empty(&walk, "weighed", "the weight of at least one load, or `load: 8 tons` alone", findings);
        let read: Vec<At<Tons>> = list
            .iter()
            .filter_map(|n| above_zero(walk.quantity_of("weighed", n, findings), "weighed", findings))
            .collect();
        let whole = read.len() == list.len() && !read.is_empty();
        let fits = count.as_ref().is_none_or(|c| no_more_than(read.len(), c, &walk, findings));
        (whole && fits).then_some(LoadOf::Weighed(read))
    };
    walk.finish(findings);
    Some(LoadsCounted { count: count?, each: each? })
}

/// The weight of a load as the grower says it, and how many were weighed.
fn load_said(walk: &Walker<'_>, count: Option<&At<u32>>, findings: &mut Findings) -> Option<LoadOf> {
    let load = above_zero(walk.quantity("load", findings), "load", findings);
    let weighed: u32 = match walk.ask("weighed") {
        Some(node) if matches!(node.kind, Kind::List(_)) => {
            findings.push(
                Finding::error("given-twice", &node.place, "both `load` and the weights of loads are given")
                    .accepts("`load` with how many were weighed, or their weights alone"),
            );
            return None;
        }
        Some(_) => need_whole(walk, "weighed", 0, 100_000, findings)?.value,
        None => 0,
    };
    let many = usize::try_from(weighed).unwrap_or(usize::MAX);
    let fits = count.is_none_or(|c| no_more_than(many, c, walk, findings));
    load.filter(|_| fits).map(|load| LoadOf::Said(load, weighed))
}

/// No more loads were weighed than there were.
fn no_more_than(weighed: usize, count: &At<u32>, walk: &Walker<'_>, findings: &mut Findings) -> bool {
    let fits = u32::try_from(weighed).is_ok_and(|n| n <= count.value);
    if !fits {
        let place = walk.ask("weighed").map_or(walk.place(), |n| &n.place);
        findings.push(
            Finding::error("how-many", place, format!("{weighed} loads were weighed, of {} in all", count.value))
                .accepts("no more loads weighed than counted")
                .also(&count.place, "the count"),
        );
    }
    fits
}

fn pile(node: &Node, findings: &mut Findings) -> Option<Pile> {
    let walk = Walker::new("the pile", node, findings)?;
    let shape = PileShape::need(&walk, "shape", findings);
    let need = |key: &'static str, findings: &mut Findings| -> Option<At<Length>> {
        above_zero(walk.need_quantity(key, findings), key, findings)
    };
    let form = match shape.as_ref().map(|s| s.value) {
        Some(PileShape::Cone) => {
            let (around, height) = (need("around", findings), need("height", findings));
            around.zip(height).map(|(around, height)| PileForm::Cone { around, height })
        }
        Some(PileShape::Windrow) => {
            let [width, height, length] = ["width", "height", "length"].map(|key| need(key, findings));
            let top = walk.quantity("top", findings);
            let ridge = walk.ask("top").is_none();
            match (width, height, length) {
                (Some(width), Some(height), Some(length)) if ridge || top.is_some() => {
                    windrow(width, top, height, length, findings)
                }
                _ => None,
            }
        }
        Some(PileShape::Bin) => {
            let [width, length, height] = ["width", "length", "height"].map(|key| need(key, findings));
            match (width, length, height) {
                (Some(width), Some(length), Some(height)) => Some(PileForm::Bin { width, length, height }),
                _ => None,
            }
        }
        None => None,
    };
    let density = density(&walk, findings);
    // Without a shape, which measures belong to it is not known.
    if shape.is_some() {
        walk.finish(findings);
    }
    Some(Pile { form: form?, density: density? })
}

/// A windrow whose measures go together.
fn windrow(
    width: At<Length>,
    top: Option<At<Length>>,
    height: At<Length>,
    length: At<Length>,
    findings: &mut Findings,
) -> Option<PileForm> {
    let mut fits = true;
    if length.value < width.value {
        fits = false;
        let found = format!("the windrow is {} long and {} wide", length.value, width.value);
        findings.push(
            Finding::error("pile-measures", &length.place, found)
                .accepts("a length, end to end, of the width or more; a round heap is a `cone`")
                .also(&width.place, "the width"),
        );
    }
    if let Some(top) = top.as_ref().filter(|t| t.value > width.value) {
        fits = false;
        let found = format!("the windrow is {} wide at the top and {} at its foot", top.value, width.value);
        findings.push(
            Finding::error("pile-measures", &top.place, found)
                .accepts("a top no wider than the foot")
                .also(&width.place, "the width"),
        );
    }
    fits.then_some(PileForm::Windrow { width, top, height, length })
}

/// The weight by volume, when it was measured; an outer none is a mistake.
fn density(walk: &Walker<'_>, findings: &mut Findings) -> Option<Option<DensityOf>> {
    match (walk.ask("density"), walk.ask("bucket")) {
        (None, None) => Some(None),
        (Some(_), None) => walk.quantity("density", findings).map(|d| Some(DensityOf::Said(d))),
        (None, Some(_)) => {
            above_zero(walk.quantity("bucket", findings), "bucket", findings).map(|b| Some(DensityOf::Bucket(b)))
        }
        (Some(_), Some(node)) => {
            findings.push(
                Finding::error("given-twice", &node.place, "both `density` and `bucket` are given")
                    .accepts("one of the two"),
            );
            None
        }
    }
}

fn flocks(node: &Node, findings: &mut Findings) -> Option<Flocks> {
    let walk = Walker::new("the houses", node, findings)?;
    let houses = need_whole(&walk, "number", 1, 1_000, findings);
    let birds = need_whole(&walk, "birds", 1, 1_000_000, findings);
    let flocks = need_whole(&walk, "flocks", 1, 100, findings);
    let asked = walk.ask("weight").is_some();
    let weight = walk.quantity("weight", findings);
    let taken = Taken::need(&walk, "taken", findings);
    walk.finish(findings);
    if asked && weight.is_none() {
        return None;
    }
    Some(Flocks { houses: houses?, birds: birds?, flocks: flocks?, weight, taken: taken? })
}
