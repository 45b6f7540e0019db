//! The binder: the whole plan as one printable document, for the planner's
//! review and the grower's shelf. One HTML file that needs nothing else.
//!
//! Lives here: the sections, in the order of the list of what a plan must
//! hold, and the templates that set them. Never here: a number that the plan,
//! the balance or the log does not hold. What is missing is marked as missing
//! where it would stand.

mod block;
mod budget;
mod ground;
mod papers;
mod rates;
mod tests_and_goals;
mod upkeep;

use crate::plan::answer::ItemState;
use crate::write::map::{Picture, pictures};
use crate::write::sheet::words::{day, days, xml};
use askama::Template;
use block::Block;
pub use papers::Papers;

/// One item of the list.
struct Section {
    number: usize,
    title: String,
    /// `there`, `missing`, ...: also the class that colours it.
    state: &'static str,
    /// What a reader is told of it.
    remark: String,
    cite: String,
    blocks: Vec<Block>,
}

#[derive(Template)]
#[template(path = "binder.html", config = "src/write/askama.toml")]
struct Binder {
    farm: String,
    note: String,
    place: String,
    county: String,
    span: String,
    as_of: String,
    people: Vec<Vec<String>>,
    wanting: usize,
    sections: Vec<Section>,
    sources: Vec<Block>,
    notebooks: Vec<Block>,
    close: Vec<Block>,
}

/// The whole file.
#[must_use]
pub fn binder(papers: &Papers<'_>) -> String {
    let (plan, ready) = (papers.plan(), papers.ready);
    let pictures = pictures(papers.audited, ready, papers.ground, papers.driving, false);
    let sections: Vec<Section> = plan
        .items
        .iter()
        .enumerate()
        .map(|(at, item)| Section {
            number: at + 1,
            title: capital(&item.text),
            state: item.state.word(),
            remark: item.remark.clone(),
            cite: item.cite.to_string(),
            blocks: blocks(papers, &pictures, &item.item),
        })
        .collect();
    let wanting = plan.items.iter().filter(|i| matches!(i.state, ItemState::Missing | ItemState::Stale)).count();
    let binder = Binder {
        farm: xml(&plan.farm),
        note: ready.note.as_deref().map(xml).unwrap_or_default(),
        place: plan.place_name.clone(),
        county: ready.county.as_deref().map(xml).unwrap_or_default(),
        span: days(plan.from, plan.to),
        as_of: day(plan.as_of),
        people: ground::people(ready),
        wanting,
        sections,
        sources: rates::sources(papers),
        notebooks: rates::notebooks(papers),
        close: upkeep::close(plan),
    };
    // Writing to a string does not fail; should it ever, an empty file is
    // plain to see where half a binder is not.
    binder.render().unwrap_or_default()
}

/// What stands under an item of the list; an item that a place adds and this
/// program knows nothing of gets room to write.
fn blocks(papers: &Papers<'_>, pictures: &[Picture], item: &str) -> Vec<Block> {
    match item {
        "operator" => ground::operator(papers.ready),
        "planner" => ground::planner(papers.ready),
        "period" => ground::period(papers.plan()),
        "map" => ground::map(papers.plan(), pictures),
        "soil_map" => ground::soil_map(papers.plan()),
        "soil_properties" => ground::soil_properties(papers.plan()),
        "sensitive_areas" => ground::sensitive_areas(papers, pictures),
        "dwellings" => ground::dwellings(papers.ready),
        "slope" => ground::slope(papers),
        "soil_tests" => tests_and_goals::soil_tests(papers),
        "litter_tests" => tests_and_goals::litter_tests(papers.ready),
        "crops" => tests_and_goals::crops(papers.plan()),
        "yield_goals" => tests_and_goals::yield_goals(papers.plan()),
        "sources" => tests_and_goals::sources(papers),
        "budget" => budget::budget(papers.plan()),
        "rates" => rates::rates(papers),
        "methods" => rates::methods(papers),
        "calculations" => rates::calculations(papers),
        "risk" => budget::risk(papers),
        "drawdown" => budget::drawdown(papers.plan()),
        "guidance" => upkeep::guidance(papers.plan()),
        "review" => upkeep::review(papers),
        "calibration" => upkeep::calibration(papers),
        "retest" => upkeep::retest(papers),
        "log" => upkeep::log(papers),
        "safety" => upkeep::safety(papers.plan()),
        "records" => upkeep::records(papers.plan()),
        _ => vec![Block::Wanting("not kept in the farm folder; write it here".to_string())],
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
