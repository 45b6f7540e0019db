//! The picture of one field: the drawing of the field sheets, with its legend
//! below.

use super::legend::Legend;
use crate::findings::{Known, Origin};
use crate::plan::answer::{FieldPlan, KeptOff, Plan};
use crate::units::{number_text, rate_text, trimmed};
use crate::write::drawing::field::map;
use crate::write::drawing::frame::WIDTH;
use crate::write::drawing::runs;
use crate::write::drawing::{short, style, svg};
use crate::write::page::tons;
use crate::write::sight::FieldSight;
use crate::write::words::{days, en, xml};
use askama::Template;

/// Most height of the drawing: a phone held upright shows it whole.
const TALLEST: f64 = 440.0;
/// Where the drawing starts.
const TOP: f64 = 60.0;

#[derive(Template)]
#[template(path = "field.svg", escape = "html", config = "src/write/askama.toml")]
struct FieldPicture {
    height: String,
    label: String,
    id: String,
    tag_width: String,
    tag_middle: String,
    title_left: String,
    name: String,
    /// Width into which the name must be pressed; empty when it fits.
    title_fit: String,
    sub: String,
    sub_fit: String,
    style: String,
    drawing: String,
    legend: String,
}

pub(super) fn draw(plan: &Plan, sight: &FieldSight<'_>) -> String {
    let field = sight.plan;
    let map = map(1, TALLEST, &rate(field), sight);
    let drawn = map.as_ref().map_or(0.0, |m| m.tall);
    let mut legend = Legend::below(TOP + drawn + 4.0, WIDTH);
    spreading(&mut legend, sight);
    done(&mut legend, field);
    kept_off(&mut legend, sight);
    closing(&mut legend, plan);
    let id = cut_to(&xml(&field.id), 12);
    let tag = 20.0 + 13.5 * id.chars().count() as f64;
    let room = WIDTH - tag - 34.0;
    let name = cut_to(&xml(&field.name), 48);
    let sub = cut_to(&xml(&format!("{}, {} · {}", field.forage, field.usage, plan.farm)), 72);
    let fit = |text: &str, letter: f64| {
        if text.chars().count() as f64 * letter > room { short(room) } else { String::new() }
    };
    let acres = number_text(field.acres, 2);
    let picture = FieldPicture {
        height: short(legend.bottom + 10.0),
        label: xml(&format!("Map of {} {}: {acres} spreadable acres, north up", field.id, field.name)),
        tag_width: short(tag),
        tag_middle: short(10.0 + tag / 2.0),
        title_left: short(tag + 20.0),
        title_fit: fit(&name, 11.6),
        sub_fit: fit(&sub, 6.4),
        id,
        name,
        sub,
        style: style(),
        drawing: map.map(|m| m.svg()).unwrap_or_default(),
        legend: svg(&legend.shapes, 1),
    };
    // Writing to a string does not fail.
    picture.render().unwrap_or_default()
}

/// `2.25 tons/ac`, of each application; empty when there is none.
pub(super) fn rate(field: &FieldPlan) -> String {
    let rates: Vec<String> = field.applications.iter().map(|a| rate_text(a.rate)).collect();
    if rates.is_empty() { String::new() } else { format!("{} tons/ac", rates.join(" + ")) }
}

fn spreading(legend: &mut Legend, sight: &FieldSight<'_>) {
    let field = sight.plan;
    let acres = format!("{} ac", number_text(field.acres, 2));
    let of = format!("of {} acres in the field", number_text(field.gross_acres, 2));
    if field.applications.is_empty() {
        let why = field.why_none().join(". ");
        legend.push("idle", "", &[("No litter on this field", true), (&why, false), (&of, false)], &acres);
        return;
    }
    legend.push("spread", "", &[("Spread", true), (&of, false)], &acres);
    for a in &field.applications {
        let head = format!("{} tons per acre of {}", rate_text(a.rate), a.lot);
        let on = a.rest_acres.map_or(String::new(), |left| format!(", on the {} acres left", number_text(left, 2)));
        let rest = format!(
            "{}{on}: {} tons, {} loads, last one {}",
            days(a.starts(), a.last),
            tons(a.pounds),
            a.loads,
            tons(a.last_load)
        );
        legend.push("", "", &[(&head, true), (&rest, false)], "");
        if a.litter_from.is_some() {
            legend.push("", "", &[("the litter for it is still to come", false)], "");
        }
    }
    let Some(driving) = sight.driving() else { return };
    let drive = format!("Drive {}", runs::way(driving));
    let feet = format!(
        "{} ft apart, {} ft without the turns; degrees clockwise from true north",
        trimmed(driving.swath_ft),
        number_text(driving.run_ft, 0)
    );
    let reached = driving.reached_acres.map_or(String::new(), |acres| format!("{} ac", number_text(acres, 2)));
    legend.push("runs", "", &[(&drive, true), (&feet, false)], &reached);
    let taken = driving.loads.iter().filter_map(|own| runs::taken(driving, own));
    for said in runs::narrow(driving).into_iter().chain(taken.map(|(tons, more)| en::taken(tons, more))) {
        legend.push("", "", &[(&said, false)], "");
    }
    legend.push("go", "", &[("the first run starts, the last one ends", false)], "");
    if runs::marked(driving) {
        let what = format!("load 1{} runs out here, and so on", runs::whose(sight.drivings));
        legend.push("load", "", &[(&what, false)], "");
    }
}

/// Ground that is done in a window that is still open.
fn done(legend: &mut Legend, field: &FieldPlan) {
    let (Some(part), Some(sentence)) = (&field.part, field.part_sentence()) else { return };
    let acres = format!("{} ac", number_text(part.done, 2));
    legend.push("done", "", &[(&format!("Done: keep off until {}", part.until), true), (&sentence, false)], &acres);
}

fn kept_off(legend: &mut Legend, sight: &FieldSight<'_>) {
    let field = sight.plan;
    if !field.kept_off.is_empty() {
        legend.head("NO SPREAD", "acres");
    }
    for (i, kept) in field.kept_off.iter().enumerate() {
        let what = thing(&kept.name, &kept.kind);
        let acres = if kept.acres < 0.005 { "under 0.01".to_string() } else { number_text(kept.acres, 2) };
        legend.push("off", &(i + 1).to_string(), &[(&what, true), (&distance(kept), false)], &acres);
    }
    if field.slivers > 0 {
        let acres = number_text(field.sliver_acres, 2);
        legend.push("blank", "", &[("left blank: too narrow for the swath", false)], &acres);
    }
}

/// What is kept off: its name, and its kind where the name does not hold it.
/// `Tin Cup Road (road)` says nothing twice over.
pub(in crate::write) fn thing(name: &str, kind: &str) -> String {
    if name.to_lowercase().contains(kind) { name.to_string() } else { en::named(name, kind) }
}

/// How far to keep off, and on whose word.
pub(in crate::write) fn distance(kept: &KeptOff) -> String {
    let feet = keep_off(kept.feet);
    match &kept.origin {
        Origin::Said { by, .. } => format!("{feet}, set by {by}"),
        Origin::Figure(cite) if cite.known == Known::Memory => {
            format!("{feet}, from memory, not read in its source: ask the planner")
        }
        Origin::Figure(cite) if cite.known == Known::Applied => {
            format!("{feet}, printed for another use or place: ask the planner")
        }
        _ => feet,
    }
}

/// How many feet to keep off.
pub(super) fn keep_off(feet: f64) -> String {
    if feet > 0.0 { format!("keep {} ft off", trimmed(feet)) } else { "keep off it".to_string() }
}

fn closing(legend: &mut Legend, plan: &Plan) {
    let span = format!("Plan {}. {}", days(plan.from, plan.to), plan.decides);
    legend.push("", "", &[(&span, false)], "");
}

/// A text of at most so many letters.
pub(super) fn cut_to(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_string();
    }
    text.chars().take(most - 1).chain(['…']).collect()
}
