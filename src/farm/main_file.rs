//! `farm.yaml`, from the top: the farm, its plan, prices and spreader.

use crate::farm::change::Change;
use crate::farm::numbers::{plain, whole};
use crate::farm::prices::Prices;
use crate::farm::upgrade::too_new;
use crate::farm::written::{Person, Spreader, Written};
use crate::farm::{change, crops, days, fertilizer, fields, figures, herds, labs, litter, soils, sure, tickets};
use crate::findings::{Finding, Findings};
use crate::text::{self, Kind, Node, Walker, key_of};

pub(super) fn read(file: &str, text: &str, changes: &[Change], written: &mut Written, findings: &mut Findings) {
    let Some(mut tree) = text::parse(file, text, findings) else {
        return;
    };
    change::all(&mut tree, changes, findings);
    let Some(top) = Walker::new("the farm", &tree, findings) else {
        return;
    };
    version(&top, findings);
    written.name = top.need_text("farm", "the farm's name", findings).map(|t| t.value).unwrap_or_default();
    written.note = top.text("note", findings).map(|t| t.value);
    written.place = top.need_text("place", "whose rules apply, for example us-nc", findings);
    written.region = top.text("region", findings).map(|t| t.map(|w| key_of(&w)));
    written.county = top.text("county", findings).map(|t| t.value);
    written.large = top.yes_no("large_operation", findings);
    for part in ["grower", "applicator", "planner"] {
        if let Some(node) = top.ask(part) {
            written.people.extend(person(part, node, findings));
        }
    }
    if let Some(node) = top.need("plan", "a block with `from` and `to`", findings) {
        span(node, written, findings);
    }
    if let Some(node) = top.ask("prices") {
        written.prices = prices(node, top.ask("outlets").is_some(), findings);
        written.prices_lost = written.prices.is_none();
    }
    written.shop = fertilizer::read(&top, findings);
    if let Some(node) = top.need("spreader", "a block with swath, load, step, least and most", findings) {
        written.spreader = spreader(node, findings);
    }
    written.detour = plain(&top, "detour", 1.0..=5.0, findings);
    for node in top.list("litter", findings) {
        litter::read(node, written, findings);
    }
    written.work = days::read(&top, findings);
    for node in top.list("livestock", findings) {
        written.herds.extend(herds::read(node, findings));
    }
    let said = top.list("figures", findings);
    written.figures = said.iter().filter_map(|n| figures::read(n, findings)).collect();
    let list = top.list("crops", findings);
    written.crops = list.iter().filter_map(|n| crops::read(n, findings)).collect();
    written.crops_lost = written.crops.len() < list.len();
    let soils = top.ask("soils");
    written.soils_named = soils.is_some();
    written.soil_names = soils.and_then(|n| soils::names(n, findings));
    written.labs = labs::blocks(&top, findings);
    written.tickets = top.ask("tickets").and_then(|node| tickets::read(node, findings));
    let list = top.list("fields", findings);
    let written_otherwise = top.ask("fields").is_some_and(|n| !matches!(n.kind, Kind::List(_)));
    if list.is_empty() && !written_otherwise {
        let found = "the farm has no fields";
        findings.push(Finding::error("no-fields", top.place(), found).accepts("a list under `fields:`"));
    }
    for node in list {
        fields::read(node, written, findings);
    }
    top.filled(&["large_operation"], findings);
    top.finish(findings);
}

/// The version of the file's form; without one it is of the first.
fn version(top: &Walker<'_>, findings: &mut Findings) {
    let Some(version) = whole::<u32>(top, "version", 1, 1_000_000, findings) else { return };
    if let Some(finding) = too_new(version.value, &version.place) {
        findings.push(finding);
    }
}

fn person(part: &'static str, node: &Node, findings: &mut Findings) -> Option<Person> {
    let walk = Walker::new(format!("the {part}"), node, findings)?;
    let name = walk.need_name("name", "a name", findings);
    let phone = walk.text("phone", findings).map(|t| t.value);
    let certificate = walk.text("certificate", findings).map(|t| t.value);
    walk.finish(findings);
    Some(Person { part, name: name?.value, phone, certificate })
}

fn span(node: &Node, written: &mut Written, findings: &mut Findings) {
    let Some(walk) = Walker::new("the plan", node, findings) else {
        return;
    };
    let from = walk.need_date("from", findings);
    let to = walk.need_date("to", findings);
    written.as_of = walk.date("as_of", findings);
    walk.finish(findings);
    let (Some(from), Some(to)) = (from, to) else {
        return;
    };
    let days = (to.value - from.value).get_days();
    if !(0..=366).contains(&days) {
        let found = format!("the plan runs from {} to {}", from.value, to.value);
        findings.push(
            Finding::error("plan-span", &to.place, found)
                .accepts("a last day that follows the first within a year")
                .also(&from.place, "the first day"),
        );
        return;
    }
    written.span = Some((from, to));
}

/// What litter sells for is needed where no outlets say it.
fn prices(node: &Node, outlets: bool, findings: &mut Findings) -> Option<Prices> {
    let walk = Walker::new("the prices", node, findings)?;
    let n = walk.need_quantity("n", findings);
    let p2o5 = walk.need_quantity("p2o5", findings);
    let k2o = walk.need_quantity("k2o", findings);
    let litter_sold = match outlets {
        true => walk.quantity("litter_sold", findings),
        false => walk.need_quantity("litter_sold", findings),
    };
    let (hay, disposal) = (walk.quantity("hay", findings), walk.quantity("disposal", findings));
    let unread = walk.ask("disposal").is_some() && disposal.is_none();
    let unread = unread || litter_sold.is_none() && (!outlets || walk.ask("litter_sold").is_some());
    let spreading = walk.need_quantity("loading_spreading", findings);
    let hauling = walk.need_quantity("hauling", findings);
    let (job, load) = (walk.quantity("job", findings), walk.quantity("load", findings));
    let unread = unread || (walk.ask("job").is_some() && job.is_none());
    let unread = unread || (walk.ask("load").is_some() && load.is_none());
    let sure = sure::read(&walk, findings);
    walk.finish(findings);
    if unread {
        return None;
    }
    Some(Prices {
        n: n?,
        p2o5: p2o5?,
        k2o: k2o?,
        litter_sold,
        hay,
        disposal,
        spreading: spreading?,
        hauling: hauling?,
        job,
        load,
        sure,
    })
}

fn spreader(node: &Node, findings: &mut Findings) -> Option<Spreader> {
    let walk = Walker::new("the spreader", node, findings)?;
    let name = walk.text("name", findings).map(|t| t.value).unwrap_or_else(|| "spreader".to_string());
    let swath = walk.need_quantity("swath", findings);
    let load = walk.need_quantity("load", findings);
    let step = walk.need_quantity("step", findings);
    let least = walk.need_quantity("least", findings);
    let most = walk.need_quantity("most", findings);
    let (least_part, calibrated) = (walk.quantity("least_part", findings), walk.date("calibrated", findings));
    let sure = sure::read(&walk, findings);
    walk.finish(findings);
    let (swath, load, step, least, most) = (swath?, load?, step?, least?, most?);
    Some(Spreader { name, swath, load, step, least, most, least_part, calibrated, sure })
}
