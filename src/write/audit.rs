//! The verdict of an audit: pass or FAIL, field by field.

use crate::audit::{Reason, Verdicts};
use crate::units::number_text;
use crate::write::page::{plain, wrapped};

/// The verdicts on a terminal.
#[must_use]
pub fn audited(found: &Verdicts, width: usize) -> String {
    let mut text =
        wrapped(&plain(&format!("{}: audit of a plan, {} to {}", found.farm, found.from, found.to)), "", "  ", width);
    text.push_str("Every limit reached again from farm.yaml, the maps and the tables.\n\n");
    for field in &found.fields {
        let rate = match field.rate {
            Some(rate) if rate > 0.0 => format!("{} tons/ac", number_text(rate, 2)),
            Some(_) => "no litter".to_string(),
            None => "not in the plan".to_string(),
        };
        let line = format!("{} {} {}: {rate}", word(field.passes), field.id, field.name);
        text.push_str(&wrapped(&plain(&line), "", "       ", width));
        text.push_str(&reasons(&field.reasons, width));
    }
    let line = format!("{} The plan as a whole: lots, sums, dollars", word(found.whole.is_empty()));
    text.push_str(&wrapped(&line, "", "       ", width));
    text.push_str(&reasons(&found.whole, width));
    let failed = found.fields.iter().filter(|f| !f.passes).count() + usize::from(!found.whole.is_empty());
    text.push_str(&match failed {
        0 => "\nThe plan passes.\n".to_string(),
        1 => "\nThe plan FAILS in 1 part.\n".to_string(),
        n => format!("\nThe plan FAILS in {n} parts.\n"),
    });
    text
}

/// The verdicts for other programs.
#[must_use]
pub fn audited_json(found: &Verdicts) -> String {
    serde_json::to_string_pretty(found).map(|t| t + "\n").unwrap_or_default()
}

fn word(passes: bool) -> &'static str {
    if passes { "pass" } else { "FAIL" }
}

fn reasons(list: &[Reason], width: usize) -> String {
    list.iter().map(|r| wrapped(&plain(&format!("{} [{}]", r.found, r.code)), "     - ", "       ", width)).collect()
}
