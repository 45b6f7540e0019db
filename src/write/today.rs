//! What to spread today, on a terminal: ten lines, or all there is to say.

use crate::findings::{distinct, together};
use crate::plan::days::{Danger, Go, Ground, Reason, Today, Wait, Wind};
use crate::units::{in_days, number_text, rate_text};
use crate::write::json::text;
use crate::write::page::{Page, day, tons as page_tons, wrapped};
use crate::write::why::origin;
use std::collections::BTreeSet;

/// What to do on a day, in ten lines at most. What weighs most comes first into them; how much
/// more there is stands in the last.
#[must_use]
pub fn today(today: &Today, width: usize) -> String {
    let set = |text: &str| wrapped(text, "", "  ", width);
    let all: Vec<(Weight, String)> = statements(today).into_iter().map(|(weight, text)| (weight, set(&text))).collect();
    let mut room = MOST_LINES.saturating_sub(set(&ending(today, all.len())).lines().count());
    let mut by_weight: Vec<usize> = (0..all.len()).collect();
    by_weight.sort_by_key(|at| all[*at].0);
    let fits = |at: &usize| {
        let lines = all[*at].1.lines().count();
        let fits = lines <= room;
        room -= if fits { lines } else { 0 };
        fits
    };
    let taken: BTreeSet<usize> = by_weight.into_iter().filter(fits).collect();
    let mut page: String = taken.iter().map(|at| all[*at].1.as_str()).collect();
    let ending = ending(today, all.len() - taken.len());
    if !ending.is_empty() {
        page.push_str(&set(&ending));
    }
    page
}

/// Lines of a page of a day.
const MOST_LINES: usize = 10;

/// What of a day weighs most: what stops all work and what can be done, before what is only told.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Weight {
    Title,
    Stop,
    Go,
    Caution,
    Then,
    Told,
    Undone,
}

/// All that is said of a day in short, in the order in which it stands.
fn statements(today: &Today) -> Vec<(Weight, String)> {
    let mut all = vec![(Weight::Title, title(today)), (Weight::Title, said(today))];
    let mut say = |weight: Weight, line: String| all.push((weight, line));
    today.stops.iter().for_each(|reason| say(Weight::Stop, format!("NOT TODAY: {}", reason.text)));
    let (first, then) = order(today);
    match today.go.split_first() {
        None => say(Weight::Go, NOTHING.to_string()),
        Some((go, rest)) => {
            say(Weight::Go, format!("{first}: {}", first_in_short(go, today)));
            if !rest.is_empty() {
                let closes = |go: &Go| format!("until {}", day(go.last));
                say(Weight::Then, format!("{then}: {}.", alike(rest, |go| &go.field, closes)));
            }
        }
    }
    for undone in &today.undone {
        say(Weight::Undone, format!("NOT IN THE LOG: {}", undone.in_short.as_ref().unwrap_or(&undone.text)));
    }
    if !today.wait.is_empty() {
        let waits = alike(&today.wait, |wait| &wait.field, |wait| wait.why.clone());
        say(Weight::Told, format!("NOT YET: {waits}."));
    }
    let short = |reason: &Reason| reason.in_short.clone().unwrap_or_else(|| reason.text.clone());
    today.cautions.iter().for_each(|reason| say(Weight::Caution, format!("WATCH: {}", short(reason))));
    if !today.dangers.is_empty() {
        say(Weight::Told, format!("WATCH: {}.", dangers(&today.dangers)));
    }
    all
}

/// The last line: fields without a job, and how many things are not said.
fn ending(today: &Today, left_out: usize) -> String {
    let mut last = Vec::new();
    if !today.nothing.is_empty() {
        last.push(match today.nothing.len() {
            ..=MOST_NAMED => nothing(today),
            fields => format!("Nothing planned on {fields} fields (`sward why FIELD`)."),
        });
    }
    if left_out > 0 {
        last.push(format!("{left_out} more: `sward today --all`."));
    } else if today.go.len() > 1 || !today.wait.is_empty() || !today.dangers.is_empty() {
        last.push("More: `sward today --all`.".to_string());
    }
    last.join(" ")
}

/// Fields without a job that are named in ten lines.
const MOST_NAMED: usize = 12;

fn title(today: &Today) -> String {
    format!("{}: spreading on {}", today.farm, today.day)
}

const NOTHING: &str = "Nothing that is planned can be spread on this day.";

fn nothing(today: &Today) -> String {
    format!("Nothing planned: {} (`sward why FIELD`).", today.nothing.join(", "))
}

/// The words for what comes first and what then.
fn order(today: &Today) -> (&'static str, &'static str) {
    if today.stops.is_empty() { ("FIRST", "THEN") } else { ("FIRST, WHEN FIT AGAIN", "THEN") }
}

/// The fields of which the same is said, together, in their order.
fn alike<'a, T>(list: &'a [T], field: impl Fn(&'a T) -> &'a String, says: impl Fn(&T) -> String) -> String {
    let groups = together(list.iter().map(|one| (says(one), field(one).as_str())));
    let said = groups.into_iter().map(|(said, fields)| format!("{} ({said})", distinct(fields).join(", ")));
    said.collect::<Vec<_>>().join("; ")
}

/// `grass tetany R1, R2; sheep and copper R2`.
fn dangers(list: &[Danger]) -> String {
    let groups = together(list.iter().map(|one| (one.about.as_str(), one.field.as_str())));
    let said = groups.into_iter().map(|(about, fields)| format!("{about} {}", distinct(fields).join(", ")));
    said.collect::<Vec<_>>().join("; ")
}

/// All there is to say of a day.
#[must_use]
pub fn today_in_full(today: &Today, width: usize) -> String {
    let mut page = Page::titled(title(today), width);
    page.say(said(today));
    if !today.stops.is_empty() {
        page.heading("NOT TODAY");
        today.stops.iter().for_each(|reason| page.item(sentence(reason)));
    }
    let (first, then) = order(today);
    match today.go.split_first() {
        None => page.say(NOTHING),
        Some((go, rest)) => {
            page.heading(first);
            page.item(first_of_all(go, today));
            if !rest.is_empty() {
                page.heading(then);
                rest.iter().for_each(|go| page.item(short(go)));
            }
        }
    }
    if !today.undone.is_empty() {
        page.heading("NOT IN THE LOG");
        today.undone.iter().for_each(|undone| page.item(&undone.text));
    }
    if !today.wait.is_empty() {
        page.heading("NOT YET");
        today.wait.iter().for_each(|wait| page.item(waits(wait)));
    }
    if !today.nothing.is_empty() {
        page.say(nothing(today));
    }
    if !today.cautions.is_empty() || !today.dangers.is_empty() {
        page.heading("WATCH");
        let dangers = today.dangers.iter().map(|danger| &danger.reason);
        today.cautions.iter().chain(dangers).for_each(|reason| page.item(sentence(reason)));
    }
    page.done()
}

/// The same as JSON.
#[must_use]
pub fn today_json(today: &Today) -> String {
    text(today)
}

fn said(today: &Today) -> String {
    let mut parts = Vec::new();
    let ground = today.weather.ground.map(|ground| match ground {
        Ground::Dry => "dry",
        Ground::Moist => "moist",
        Ground::Wet => "wet",
        Ground::Frozen => "frozen",
        Ground::Snow => "under snow",
    });
    let wind = today.weather.wind.map(|wind| match wind {
        Wind::Calm => "calm",
        Wind::Light => "light",
        Wind::Strong => "strong",
    });
    parts.push(ground.map_or("Ground not given (`--ground`)".to_string(), |ground| format!("Ground {ground}")));
    parts.push(wind.map_or("wind not given (`--wind`)".to_string(), |wind| format!("wind {wind}")));
    if today.weather.rain_ahead {
        parts.push("rain ahead".to_string());
    }
    format!("{}.", parts.join(", "))
}

fn sentence(reason: &Reason) -> String {
    match &reason.origin {
        Some(by) => format!("{} ({})", reason.text, origin(by)),
        None => reason.text.clone(),
    }
}

fn work(go: &Go) -> String {
    go.work_days.map_or(String::new(), |days| format!(", {} days' work", number_text(days, 1)))
}

fn short(go: &Go) -> String {
    let (tons, last) = (page_tons(go.pounds), day(go.last));
    format!("{} {}: {tons} tons of {}{}; closes {last}", go.field, go.name, go.lot, work(go))
}

/// Field, tons, lot and rate of what is to go on.
fn job(go: &Go) -> String {
    let (tons, rate) = (page_tons(go.pounds), rate_text(go.rate));
    format!("{} {}: {tons} tons of {} at {rate} tons/ac{}", go.field, go.name, go.lot, work(go))
}

/// What goes first, and why, in as few words as say it.
fn first_in_short(go: &Go, today: &Today) -> String {
    let left = (go.last - today.day).get_days();
    let mut line = format!("{}. Closes first, {} ({}).", job(go), day(go.last), in_days(left));
    let mut add = |text: String| line.push_str(&text);
    go.lot_by.into_iter().for_each(|by| add(format!(" Cover or use the pile by {}.", day(by))));
    let expires = go.analysis_until.filter(|until| *until < go.last);
    expires.into_iter().for_each(|until| add(format!(" Analysis expires {}.", day(until))));
    go.graze_from.into_iter().for_each(|from| add(format!(" Graze from {}.", day(from))));
    go.cutting.into_iter().for_each(|cut| add(format!(" Next cutting {}.", day(cut))));
    line
}

fn first_of_all(go: &Go, today: &Today) -> String {
    let left = (go.last - today.day).get_days();
    let mut line = format!("{}. Its window closes first: {}, {} from now.", job(go), day(go.last), in_days(left));
    if let Some(by) = go.lot_by {
        line.push_str(&format!(" The pile must be covered or gone by {}.", day(by)));
    }
    if let Some(until) = go.analysis_until.filter(|until| *until < go.last) {
        line.push_str(&format!(" The analysis expires {}.", day(until)));
    }
    if let Some((from, wait)) = go.graze_from.zip(go.graze_wait.as_ref()) {
        line.push_str(&format!(" Spread today, it may be grazed from {} (days by {}).", day(from), wait.by()));
    }
    if let Some(cut) = go.cutting {
        line.push_str(&format!(" Next planned cutting: {}.", day(cut)));
    }
    line
}

fn waits(wait: &Wait) -> String {
    format!("{} {}, {}: {}", wait.field, wait.name, wait.lot, wait.why)
}
