//! The calibration on a terminal of 80 columns, and as JSON: what was
//! measured, how to set the spreader, how even it lies.

use crate::calibrate::{Certainty, Overlap};
use crate::check::{Calibration, MeasuredWay, SetFor, Thrown};
use crate::plan::answer::SCHEMA;
use crate::units::{Quantity, number_text, trimmed};
use crate::write::json::text;
use crate::write::page::{Page, or_dash, whole};
use serde::Serialize;
use serde_json::json;

/// Most rows of a pattern that are shown.
const MOST_ROWS: usize = 14;

/// A rate to set the spreader for.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Wanted {
    /// Tons per acre.
    pub rate: f64,
    /// Fields that get it; none where it was only asked for.
    pub goes_to: Vec<String>,
}

/// The calibration as JSON.
#[must_use]
pub fn calibrated_json(farm: &str, calibration: &Calibration, wanted: &[Wanted]) -> String {
    let settings: Vec<_> =
        wanted.iter().map(|w| json!({ "wanted": w, "set": calibration.setting_for(w.rate) })).collect();
    text(&json!({
        "schema": SCHEMA,
        "farm": farm,
        "calibration": calibration,
        "settings": settings,
        "divisor": "n - 1",
    }))
}

/// The calibration on a page.
#[must_use]
pub fn calibrated(farm: &str, spreader: &str, calibration: &Calibration, wanted: &[Wanted], width: usize) -> String {
    let mut page = Page::titled(format!("{farm}: calibration of {spreader}, last on {}", calibration.last), width);
    if let Some(until) = calibration.good_until {
        page.line(format!("Good through {until} by the rules of the place."));
    }
    if !calibration.runs.is_empty() {
        page.heading("MEASURED");
        measured(&mut page, calibration);
        page.heading("SET IT, gate and chain as they were, by the speed alone");
        settings(&mut page, calibration, wanted);
    }
    calibration.patterns.iter().for_each(|pattern| thrown(&mut page, pattern, calibration));
    page.done()
}

fn setting(words: &str) -> String {
    if words.is_empty() { "as it was" } else { words }.to_string()
}

fn measured(page: &mut Page, calibration: &Calibration) {
    let rows = calibration.runs.iter().map(|run| {
        let range = |(low, high)| format!("{}-{}", number_text(low, 2), number_text(high, 2));
        vec![
            setting(&run.setting),
            number_text(run.mph, 1),
            run.way.word().to_string(),
            run.runs.to_string(),
            number_text(run.rate, 2),
            or_dash(run.between.map(range)),
            or_dash(run.rate_at_swath.map(|rate| number_text(rate, 2))),
            or_dash(run.lb_per_minute.map(whole)),
        ]
    });
    let at = format!("At\n{} ft>", trimmed(calibration.swath_ft));
    let heads = ["Setting", "mph>", "By", "Runs>", "Tons\n/ac>", "Lowest-\nhighest", &at, "lb/\nmin>"];
    page.table_of(&heads, &[27, 5, 15, 5, 6, 10, 6, 6], rows);
    for run in &calibration.runs {
        let (set, mph) = (setting(&run.setting), trimmed(run.mph));
        page.item(format!("{set}, {mph} mph, {}: {} ({})", run.date, run.how, run.place));
        if let Some(why) = &run.left_out {
            page.wrapped(format!("No setting uses it: {why}."), "  ", "  ");
        }
    }
    sheets(page, calibration);
}

/// What is published on runs over sheets, where there are such.
fn sheets(page: &mut Page, calibration: &Calibration) {
    let sheets = || calibration.runs.iter().filter(|r| r.way == MeasuredWay::Sheets);
    if let Some(least) = calibration.runs_least.as_ref().filter(|l| sheets().any(|r| (r.runs as f64) < l.value.get())) {
        let runs = trimmed(least.value.get());
        page.say(format!("Fewer than {runs} runs over a sheet say little ({}).", least.cite));
    }
    if let Some(start) = calibration.start_ft.as_ref().filter(|_| sheets().next().is_some()) {
        let feet = trimmed(start.value.get());
        page.say(format!("Start spreading at least {feet} ft before the sheets ({}).", start.cite));
    }
}

/// How sure a setting is, in a word or two.
pub(super) fn sure(set: &SetFor) -> &'static str {
    match set.sure {
        Certainty::Measured => "measured",
        Certainty::Between => "between runs",
        Certainty::Beyond => "try it first",
    }
}

fn settings(page: &mut Page, calibration: &Calibration, wanted: &[Wanted]) {
    let sets: Vec<Option<SetFor>> = wanted.iter().map(|want| calibration.setting_for(want.rate)).collect();
    let rows = wanted.iter().zip(&sets).map(|(want, set)| {
        let goes_to = if want.goes_to.is_empty() { "asked".to_string() } else { want.goes_to.join(", ") };
        let rest = match set {
            Some(set) => [
                setting(&set.setting),
                number_text(set.mph, 1),
                sure(set).to_string(),
                or_dash(set.load_runs_ft.map(whole)),
                or_dash(set.lb_per_minute.map(whole)),
                number_text(set.measured_rate, 2),
            ],
            None => ["no run to go by", "-", "-", "-", "-", "-"].map(String::from),
        };
        [number_text(want.rate, 2), goes_to].into_iter().chain(rest).collect()
    });
    let heads =
        ["Tons\n/ac>", "For", "Setting", "mph>", "How sure", "Load runs\nft>", "lb/\nmin>", "From run\ntons/ac>"];
    page.table_of(&heads, &[6, 12, 17, 6, 13, 10, 7, 9], rows);
    page.say(format!(
        "Speed = speed of the run x its rate / the rate wanted, at {} ft between passes; a load is {} tons.",
        trimmed(calibration.swath_ft),
        trimmed(calibration.load_tons)
    ));
    if sets.iter().flatten().any(|set| set.sure == Certainty::Beyond) {
        page.say("Try it first: the speed lies beyond those at which that setting was measured. Run it over sheets or with a weighed load before the field.");
    }
    if calibration.sound().len() > 1 {
        page.say("Of one setting and speed the latest run counts; of one day a weighed load before one by the bucket, sheets and pans.");
    }
}

/// The rows to show: all, or those about the widest swath under the limit.
fn shown(pattern: &Thrown) -> &[Overlap] {
    let all = &pattern.overlaps;
    let middle = pattern.widest_ft.and_then(|w| all.iter().position(|o| o.swath_ft >= w)).unwrap_or(0);
    let from = middle.saturating_sub(MOST_ROWS / 2).min(all.len().saturating_sub(MOST_ROWS));
    all.get(from..(from + MOST_ROWS).min(all.len())).unwrap_or(all)
}

fn thrown(page: &mut Page, pattern: &Thrown, calibration: &Calibration) {
    page.line("");
    page.say(format!(
        "PATTERN, {} pans {} ft apart, {}, {} mph, {}",
        pattern.pans,
        trimmed(pattern.spacing_ft),
        setting(&pattern.setting),
        trimmed(pattern.mph),
        pattern.date
    ));
    let one = |v: f64| number_text(v, 1);
    let (left, right) = pattern.sides;
    page.say(format!("Left of the middle {} %, right {} %.", one(left), one(right)));
    let rows = shown(pattern).iter().map(|row| {
        let own = (row.swath_ft - calibration.swath_ft).abs() < 0.05;
        vec![
            trimmed(row.swath_ft),
            one(row.round.percent),
            one(row.back_and_forth.percent),
            one(row.worse()),
            if own { "the farm's swath" } else { "" }.to_string(),
        ]
    });
    let heads = ["Between\npasses ft>", "Round and\nround %>", "Back and\nforth %>", "The worse\n%>", ""];
    page.table_of(&heads, &[10, 11, 11, 11, 35], rows);
    page.say("Unevenness of the overlapped swath: the coefficient of variation, with n - 1 as its divisor. Driven round and round, left falls on right; back and forth, left on left.");
    verdict(page, pattern, calibration);
}

fn verdict(page: &mut Page, pattern: &Thrown, calibration: &Calibration) {
    if let Some(limit) = &calibration.limit {
        let (percent, cite) = (trimmed(limit.value.get()), &limit.cite);
        let widest = match pattern.widest_ft {
            Some(widest) => format!("Widest swath of at most {percent} %: {} ft.", trimmed(widest)),
            None => format!("No swath reaches {percent} % or less."),
        };
        page.item(format!("{widest} The limit is for fertilizer: {cite}"));
    }
    for other in &calibration.other_limits {
        page.item(format!("Another figure: {other}"));
    }
    if let Some(found) = &calibration.found_elsewhere {
        page.item(format!("To compare: {} {}", found.value, found.cite));
    }
    page.item(match pattern.half_rate_ft {
        Some(feet) => format!("Swath by the half-rate rule: {} ft.", number_text(feet, 1)),
        None => "Swath by the half-rate rule: a side does not fall to half within the pans.".to_string(),
    });
    for advice in &calibration.advice {
        page.item(format!("{} {}", advice.value, advice.cite));
    }
}

/// What a sheet prints of the setting for a rate: the speed; what else is set,
/// with a word where nobody has tried it so. The swath stands in the line above.
pub(super) fn in_short(set: &SetFor) -> (String, String) {
    let untried = (set.sure == Certainty::Beyond).then(|| sure(set));
    let words = Some(set.setting.as_str()).filter(|s| !s.is_empty());
    let more: Vec<&str> = words.into_iter().chain(untried).collect();
    (format!("{} mph", number_text(set.mph, 1)), more.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_setting_in_a_line() {
        let set = SetFor {
            rate: 2.0,
            setting: "gate 6 in".to_string(),
            mph: 8.04,
            swath_ft: 30.0,
            sure: Certainty::Beyond,
            load_runs_ft: Some(5_808.0),
            lb_per_minute: None,
            measured_on: date(2026, 9, 14),
            measured_rate: 1.0,
        };
        let (words, more) = in_short(&set);
        assert_eq!((words.as_str(), more.as_str()), ("8.0 mph", "gate 6 in, try it first"));
    }
}
