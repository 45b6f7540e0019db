//! The calibration on a terminal of 80 columns, and as JSON: what was
//! measured, how to set the spreader, how even it lies.

use crate::calibrate::{Overlap, Sure};
use crate::check::{Calibration, SetFor, Thrown, Way};
use crate::plan::answer::SCHEMA;
use crate::units::{Quantity, number_text, trimmed};
use crate::write::page::{drawn, plain, table, widths, wrapped};
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
    let document = json!({
        "schema": SCHEMA,
        "farm": farm,
        "calibration": calibration,
        "settings": settings,
        "divisor": "n - 1",
    });
    serde_json::to_string_pretty(&document).map(|t| t + "\n").unwrap_or_default()
}

/// The calibration on a page.
#[must_use]
pub fn calibrated(farm: &str, spreader: &str, calibration: &Calibration, wanted: &[Wanted], width: usize) -> String {
    let head = format!("{farm}: calibration of {spreader}, last on {}", calibration.last);
    let mut text = wrapped(&plain(&head), "", "  ", width);
    if let Some(until) = calibration.good_until {
        text.push_str(&format!("Good through {until} by the rules of the place.\n"));
    }
    if !calibration.runs.is_empty() {
        text.push_str("\nMEASURED\n");
        text.push_str(&measured(calibration, width));
        text.push_str("\nSET IT, gate and chain as they were, by the speed alone\n");
        text.push_str(&settings(calibration, wanted, width));
    }
    for pattern in &calibration.patterns {
        text.push_str(&thrown(pattern, calibration, width));
    }
    text
}

fn setting(words: &str) -> String {
    if words.is_empty() { "as it was".to_string() } else { plain(words) }
}

fn measured(calibration: &Calibration, width: usize) -> String {
    let swath = trimmed(calibration.swath_ft);
    let at = format!("At\n{swath} ft");
    let head = ["Setting", "mph", "By", "Runs", "Tons\n/ac", "Lowest-\nhighest", at.as_str(), "lb/\nmin"];
    let mut t = table(&head, &[1, 3, 4, 6, 7], width);
    widths(&mut t, &[27, 5, 15, 5, 6, 10, 6, 6]);
    for run in &calibration.runs {
        t.add_row(vec![
            setting(&run.setting),
            number_text(run.mph, 1),
            run.way.word().to_string(),
            run.runs.to_string(),
            number_text(run.rate, 2),
            run.between
                .map_or("-".to_string(), |(low, high)| format!("{}-{}", number_text(low, 2), number_text(high, 2))),
            number_text(run.rate_at_swath, 2),
            run.lb_per_minute.map_or("-".to_string(), |lb| number_text(lb, 0)),
        ]);
    }
    let mut text = drawn(&t, 2, width);
    for run in &calibration.runs {
        let line =
            format!("{}, {} mph, {}: {} ({})", setting(&run.setting), trimmed(run.mph), run.date, run.how, run.place);
        text.push_str(&wrapped(&plain(&line), "- ", "  ", width));
        if let Some(why) = &run.left_out {
            text.push_str(&wrapped(&format!("No setting uses it: {why}."), "  ", "  ", width));
        }
    }
    text.push_str(&sheets(calibration, width));
    text
}

/// What is published on runs over sheets, where there are such.
fn sheets(calibration: &Calibration, width: usize) -> String {
    let sheets = || calibration.runs.iter().filter(|r| r.way == Way::Sheets);
    let mut text = String::new();
    if let Some(least) = calibration.runs_least.as_ref().filter(|l| sheets().any(|r| (r.runs as f64) < l.value.get())) {
        let line = format!("Fewer than {} runs over a sheet say little ({}).", trimmed(least.value.get()), least.cite);
        text.push_str(&wrapped(&line, "", "  ", width));
    }
    if let Some(start) = calibration.start_ft.as_ref().filter(|_| sheets().next().is_some()) {
        let line =
            format!("Start spreading at least {} ft before the sheets ({}).", trimmed(start.value.get()), start.cite);
        text.push_str(&wrapped(&line, "", "  ", width));
    }
    text
}

/// How sure a setting is, in a word or two.
pub(super) fn sure(set: &SetFor) -> &'static str {
    match set.sure {
        Sure::Measured => "measured",
        Sure::Between => "between runs",
        Sure::Beyond => "try it first",
    }
}

fn settings(calibration: &Calibration, wanted: &[Wanted], width: usize) -> String {
    let head = ["Tons\n/ac", "For", "Setting", "mph", "How sure", "Load runs\nft", "lb/\nmin", "From run\ntons/ac"];
    let mut t = table(&head, &[0, 3, 5, 6, 7], width);
    widths(&mut t, &[6, 12, 17, 6, 13, 10, 7, 9]);
    let mut beyond = false;
    for want in wanted {
        let rate = number_text(want.rate, 2);
        let goes_to = if want.goes_to.is_empty() { "asked".to_string() } else { plain(&want.goes_to.join(", ")) };
        let mut row = vec![rate, goes_to];
        match calibration.setting_for(want.rate) {
            Some(set) => {
                beyond |= set.sure == Sure::Beyond;
                let whole = |v: Option<f64>| v.map_or("-".to_string(), |v| number_text(v, 0));
                row.extend([
                    setting(&set.setting),
                    number_text(set.mph, 1),
                    sure(&set).to_string(),
                    whole(set.load_runs_ft),
                    whole(set.lb_per_minute),
                    number_text(set.measured_rate, 2),
                ]);
            }
            None => row.extend(["no run to go by", "-", "-", "-", "-", "-"].map(String::from)),
        }
        t.add_row(row);
    }
    let mut text = drawn(&t, 2, width);
    let line = format!(
        "Speed = speed of the run x its rate / the rate wanted, at {} ft between passes; a load is {} tons.",
        trimmed(calibration.swath_ft),
        trimmed(calibration.load_tons)
    );
    text.push_str(&wrapped(&line, "", "  ", width));
    if beyond {
        let line = "Try it first: the speed lies beyond those at which that setting was measured. Run it over sheets or with a weighed load before the field.";
        text.push_str(&wrapped(line, "", "  ", width));
    }
    if calibration.sound().len() > 1 {
        let line = "Of one setting and speed the latest run counts; of one day a weighed load before one by the bucket, sheets and pans.";
        text.push_str(&wrapped(line, "", "  ", width));
    }
    text
}

/// The rows to show: all, or those about the widest swath under the limit.
fn shown(pattern: &Thrown) -> &[Overlap] {
    let all = &pattern.overlaps;
    let middle = pattern.widest_ft.and_then(|w| all.iter().position(|o| o.swath_ft >= w)).unwrap_or(0);
    let from = middle.saturating_sub(MOST_ROWS / 2).min(all.len().saturating_sub(MOST_ROWS));
    all.get(from..(from + MOST_ROWS).min(all.len())).unwrap_or(all)
}

fn thrown(pattern: &Thrown, calibration: &Calibration, width: usize) -> String {
    let head = format!(
        "PATTERN, {} pans {} ft apart, {}, {} mph, {}",
        pattern.pans,
        trimmed(pattern.spacing_ft),
        setting(&pattern.setting),
        trimmed(pattern.mph),
        pattern.date
    );
    let mut text = format!("\n{}", wrapped(&plain(&head), "", "  ", width));
    let (left, right) = pattern.sides;
    let line = format!("Left of the middle {} %, right {} %.", number_text(left, 1), number_text(right, 1));
    text.push_str(&wrapped(&line, "", "  ", width));
    let head = ["Between\npasses ft", "Round and\nround %", "Back and\nforth %", "The worse\n%", ""];
    let mut t = table(&head, &[0, 1, 2, 3], width);
    widths(&mut t, &[10, 11, 11, 11, 35]);
    for row in shown(pattern) {
        let one = |v: f64| number_text(v, 1);
        let mark = if (row.swath_ft - calibration.swath_ft).abs() < 0.05 { "the farm's swath" } else { "" };
        t.add_row(vec![
            trimmed(row.swath_ft),
            one(row.round.percent),
            one(row.back_and_forth.percent),
            one(row.worse()),
            mark.to_string(),
        ]);
    }
    text.push_str(&drawn(&t, 2, width));
    let legend = "Unevenness of the overlapped swath: the coefficient of variation, with n - 1 as its divisor. Driven round and round, left falls on right; back and forth, left on left.";
    text.push_str(&wrapped(legend, "", "  ", width));
    text.push_str(&verdict(pattern, calibration, width));
    text
}

fn verdict(pattern: &Thrown, calibration: &Calibration, width: usize) -> String {
    let mut text = String::new();
    let mut say = |line: String| text.push_str(&wrapped(&plain(&line), "- ", "  ", width));
    if let Some(limit) = &calibration.limit {
        say(match pattern.widest_ft {
            Some(widest) => format!(
                "Widest swath of at most {} %: {} ft. The limit is for fertilizer: {}",
                trimmed(limit.value.get()),
                trimmed(widest),
                limit.cite
            ),
            None => format!(
                "No swath reaches {} % or less. The limit is for fertilizer: {}",
                trimmed(limit.value.get()),
                limit.cite
            ),
        });
    }
    for other in &calibration.other_limits {
        say(format!("Another figure: {other}"));
    }
    if let Some(found) = &calibration.found_elsewhere {
        say(format!("To compare: {} {}", found.value, found.cite));
    }
    say(match pattern.half_rate_ft {
        Some(feet) => format!("Swath by the half-rate rule: {} ft.", number_text(feet, 1)),
        None => "Swath by the half-rate rule: a side does not fall to half within the pans.".to_string(),
    });
    for advice in &calibration.advice {
        say(format!("{} {}", advice.value, advice.cite));
    }
    text
}

/// What a sheet prints of the setting for a rate: the speed; what else is set,
/// with a word where nobody has tried it so. The swath stands in the line above.
pub(super) fn in_short(set: &SetFor) -> (String, String) {
    let untried = (set.sure == Sure::Beyond).then(|| sure(set));
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
            sure: Sure::Beyond,
            load_runs_ft: Some(5_808.0),
            lb_per_minute: None,
            measured_on: date(2026, 9, 14),
            measured_rate: 1.0,
        };
        let (words, more) = in_short(&set);
        assert_eq!((words.as_str(), more.as_str()), ("8.0 mph", "gate 6 in, try it first"));
    }
}
