//! What depends on the figures that are not read as they are used, on a terminal.

use crate::findings::together;
use crate::plan::{Doubt, Doubts, Moved, Outcome};
use crate::units::number_text;
use crate::write::page::Page;

/// The figures, the one that most depends on first, each with what came out when it was
/// changed.
#[must_use]
pub fn doubts(doubts: &Doubts, width: usize) -> String {
    let Doubts { farm, place_name, as_of, .. } = doubts;
    let title = format!("{farm}: what depends on uncertain figures, as of {as_of}, {place_name}");
    let mut page = Page::titled(title, width);
    page.line("");
    let gain = amount(doubts.gain.abs(), doubts.in_dollars);
    let gains = if doubts.gain < 0.0 { "loses" } else { "gains" };
    page.say(format!(
        "The plan spreads {} tons and {gains} {gain}: the fertilizer that litter replaces and what outlets pay, less spreading, hauling and disposal, less what the litter would sell for at the shed. Each figure below was changed by itself and the farm planned again; each line shows the difference. The largest comes first; of equal ones the least certain.",
        number_text(doubts.tons, 2)
    ));
    if !doubts.in_dollars {
        page.say("No prices are given: gains are in pounds of needed nutrients.");
    }
    let (matter, rest): (Vec<&Doubt>, Vec<&Doubt>) = doubts.figures.iter().partition(|doubt| doubt.matters());
    let (same, still): (Vec<&Doubt>, Vec<&Doubt>) = rest.into_iter().partition(|doubt| !doubt.moved.is_empty());
    page.heading("THE PLAN DEPENDS ON");
    if matter.is_empty() {
        page.item(match same.is_empty() {
            true => "none: there is no such figure that can be changed",
            false => "none of them: the plan is the same when one is changed",
        });
    }
    for (number, doubt) in (1..).zip(matter) {
        let lead = format!("{number:>3}  ");
        page.wrapped(format!("{}: {}", doubt.cite.figure, doubt.cite.known.word()), &lead, BELOW);
        for moved in &doubt.moved {
            page.wrapped(line(moved, doubts.in_dollars), BELOW, DEEPER);
        }
        page.wrapped(doubt.cite.to_string(), BELOW, BELOW);
    }
    others(&mut page, "SAME PLAN when these are changed", &same);
    others(&mut page, "NOT CHANGED: zero, plain words, or at the end of their range", &still);
    page.done()
}

/// What stands before a line below a figure.
const BELOW: &str = "     ";
/// What stands before its further lines.
const DEEPER: &str = "       ";

/// `20 % up, to 0.6: 3.00 tons less, $120 less`.
fn line(moved: &Moved, in_dollars: bool) -> String {
    let more = |value: f64, what: &str, text: String| match value {
        0.0 => format!("same {what}"),
        value if value > 0.0 => format!("{text} more"),
        _ => format!("{text} less"),
    };
    match &moved.then {
        Outcome::NoPlan(why) => format!("{}: no plan; {why}", moved.how),
        Outcome::Plan { tons, gain } if *tons == 0.0 && *gain == 0.0 => format!("{}: the same plan", moved.how),
        Outcome::Plan { tons, gain } => format!(
            "{}: {}, {}",
            moved.how,
            more(*tons, "tons", format!("{} tons", number_text(tons.abs(), 2))),
            more(*gain, "gain", amount(gain.abs(), in_dollars)),
        ),
    }
}

/// Dollars, or pounds of needed nutrients.
fn amount(value: f64, in_dollars: bool) -> String {
    let number = number_text(value, 0);
    if in_dollars { format!("${number}") } else { format!("{number} lb") }
}

/// Figures in a line, those that are known alike together.
fn others(page: &mut Page, title: &str, list: &[&Doubt]) {
    if list.is_empty() {
        return;
    }
    page.heading(title);
    let figures = list.iter().map(|doubt| (doubt.cite.known.word(), doubt.cite.figure.as_str()));
    for (word, names) in together(figures) {
        page.item(format!("{word}: {}", names.join(", ")));
    }
}
