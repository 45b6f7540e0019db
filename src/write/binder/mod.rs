//! The binder: the whole plan as one printable document, for the planner's
//! review and the grower's shelf. One HTML file that needs nothing else.
//!
//! Lives here: the sections as leaves of parts (`write::leaf`), in the order of
//! the list of what a plan must hold; its words are in `words::en`. Never here: a
//! number that the plan, the balance or the log does not hold. What is missing is
//! marked as missing where it would stand.

mod budget;
mod ground;
mod papers;
mod rates;
mod tests_and_goals;
mod upkeep;

use crate::plan::answer::{ItemState, PlanItem};
use crate::write::leaf::{Document, Leaf, Part, Table, html};
use crate::write::map::{Picture, pictures};
use crate::write::words::line::{Line, Look};
use crate::write::words::{day, days, en};
pub use papers::Papers;
use papers::{say, table};

/// The whole file.
#[must_use]
pub fn binder(papers: &Papers<'_>) -> String {
    let (plan, ready) = (papers.plan(), papers.ready);
    let pictures = pictures(papers.audited, ready, papers.ground, papers.driving, false);
    let mut leaves = vec![leaf("front", front(papers))];
    for (number, item) in (1..).zip(&plan.items) {
        let state = state_of(item).and(Line::plain(en::required_by(&item.remark, &item.cite)));
        let mut parts = vec![Part::Item(number, capital(&item.text), state)];
        parts.extend(section(papers, &pictures, &item.item));
        leaves.push(leaf(&anchor(number), parts));
    }
    let sources = vec![Part::Title(en::FIGURES), say(en::EVERY_FIGURE), rates::sources(papers)];
    leaves.push(leaf("sources", sources));
    leaves.push(leaf("close", upkeep::close(plan)));
    let line_by_line = vec![Part::Title(en::LINE_BY_LINE), say(en::EVERY_NUMBER)];
    leaves.push(leaf("notebooks", line_by_line.into_iter().chain(rates::notebooks(papers)).collect()));
    html(&Document {
        title: en::binder_title(&plan.farm, days(plan.from, plan.to)),
        style: include_str!("binder.css").to_string(),
        leaves,
        foot: Default::default(),
    })
}

fn leaf(id: &str, blocks: Vec<Part>) -> Leaf {
    Leaf { id: id.to_string(), dense: None, runs_on: true, head: None, blocks }
}

fn anchor(number: usize) -> String {
    format!("item-{number}")
}

fn state_of(item: &PlanItem) -> Line {
    Line::of(Look::Mark, item.state.word())
}

/// The farm, its people, and the list of what is in the binder.
fn front(papers: &Papers<'_>) -> Vec<Part> {
    let (plan, ready) = (papers.plan(), papers.ready);
    let rules = match &ready.county {
        Some(county) => en::county_rules(county, &plan.place_name),
        None => en::rules(&plan.place_name),
    };
    let plan_of = en::litter_plan(days(plan.from, plan.to), day(plan.as_of));
    let mut parts = vec![Part::Front(plan.farm.clone(), [plan_of, rules])];
    parts.extend(ready.note.as_deref().map(say));
    parts.push(table("", &[""; 4], ground::people(ready)));
    let wanting = plan.items.iter().filter(|i| matches!(i.state, ItemState::Missing | ItemState::Stale)).count();
    let missing = if wanting == 0 { Line::plain(en::NONE_MISSING) } else { en::wanting(wanting, plan.items.len()) };
    let link = |to: String, text: String| Line::of(Look::Link(format!("#{to}")), text);
    let items = (1..).zip(&plan.items).map(|(number, item)| {
        let title = link(anchor(number), capital(&item.text));
        vec![Line::plain(number.to_string()), title, state_of(item), Line::plain(item.remark.as_str())]
    });
    let last = [("sources", en::FIGURES), ("close", en::WHO_DECIDES), ("notebooks", en::LINE_BY_LINE)];
    let last = last.map(|(to, text)| {
        vec![Line::default(), link(to.to_string(), text.to_string()), Line::default(), Line::default()]
    });
    parts.extend([
        Part::Title(en::IN_HERE),
        Part::Say(missing.and(Line::plain(en::OUTSIDE))),
        Part::Table(Table::grid("", en::CONTENTS, items.chain(last))),
    ]);
    parts
}

/// What stands under an item of the list; an item that a place adds and this
/// program knows nothing of gets room to write.
fn section(papers: &Papers<'_>, pictures: &[Picture], item: &str) -> Vec<Part> {
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
        _ => vec![Part::Wanting(en::NOT_KEPT.to_string())],
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
