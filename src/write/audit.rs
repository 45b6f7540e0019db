//! The verdict of an audit: pass or FAIL, field by field.

use crate::audit::{Difference, NewPlan, Reason, Standing, Verdicts};
use crate::units::number_text;
use crate::write::page::{plain, wrapped};

/// The verdicts on a terminal.
#[must_use]
pub fn audited(found: &Verdicts, width: usize) -> String {
    let Verdicts { farm, from, to, as_of, changes, .. } = found;
    let head = format!("{farm}: audit of a plan, {from} to {to}, as of {as_of}");
    let mut text = wrapped(&plain(&head), "", "  ", width);
    if !changes.is_empty() {
        let line = format!("It is a plan of what farm.yaml does not say: with {}.", changes.join(", "));
        text.push_str(&wrapped(&plain(&line), "", "  ", width));
    }
    let how = "Every limit is calculated again from farm.yaml, the maps and the tables. Every figure is compared \
        with a new plan, made as of the same day.";
    text.push_str(&wrapped(how, "", "  ", width));
    text.push('\n');
    for field in &found.fields {
        let rate = match field.rate {
            Some(rate) if rate > 0.0 => format!("{} tons/ac", number_text(rate, 2)),
            Some(_) => "no litter".to_string(),
            None => "not in the plan".to_string(),
        };
        let line = format!("{} {} {}: {rate}", word(field.passes), field.id, field.name);
        text.push_str(&wrapped(&plain(&line), "", "       ", width));
        text.push_str(&reasons(&field.reasons, width));
        text.push_str(&reasons(&field.log_over, width));
    }
    let line = format!("{} The plan as a whole: lots, sums, dollars", word(found.whole.is_empty()));
    text.push_str(&wrapped(&line, "", "       ", width));
    text.push_str(&reasons(&found.whole, width));
    let line = format!("{} Against a new plan: {}", word(found.new_plan.differ == 0), standing(&found.new_plan));
    text.push_str(&wrapped(&plain(&line), "", "       ", width));
    text.push_str(&differences(&found.new_plan, width));
    let failed = found.fields.iter().filter(|f| !f.passes).count()
        + usize::from(!found.whole.is_empty())
        + usize::from(found.new_plan.differ > 0);
    let verdict = match failed {
        0 => "The plan passes.".to_string(),
        1 => "The plan FAILS in 1 part.".to_string(),
        n => format!("The plan FAILS in {n} parts."),
    };
    let over: Vec<&str> = found.fields.iter().filter(|f| !f.log_over.is_empty()).map(|f| f.id.as_str()).collect();
    let log = match over.is_empty() {
        true => String::new(),
        false => {
            format!(" The LOG IS OVER a limit on {}: that litter is on, and no plan takes it back.", over.join(", "))
        }
    };
    text.push('\n');
    text.push_str(&wrapped(&plain(&(verdict + &log)), "", "  ", width));
    text
}

/// How the plan stands to the new one.
fn standing(new: &NewPlan) -> String {
    let since = [
        (!new.files.is_empty()).then(|| format!("changed since in the farm folder: {}", new.files.join(", "))),
        (!new.editions.is_empty()).then(|| new.editions.join("; ")),
    ];
    let since: Vec<String> = since.into_iter().flatten().collect();
    let since = since.join("; ");
    match (new.standing, since.is_empty()) {
        (Standing::Same, true) => "every figure is the same".to_string(),
        (Standing::Same, false) => format!("every figure is the same ({since})"),
        (Standing::Altered, true) => {
            format!("ALTERED. The folder, tables and program are the same, {} not", count(new.differ))
        }
        (Standing::Altered, false) => {
            format!("ALTERED. The plan is not the one that was printed: {} not the same; {since}", count(new.differ))
        }
        (Standing::FolderChanged, _) => format!("THE FOLDER CHANGED, {} not the same; {since}", count(new.differ)),
        (Standing::OtherEdition, _) => format!("OTHER EDITION, {} not the same; {since}", count(new.differ)),
    }
}

fn count(differ: usize) -> String {
    if differ == 1 { "1 value is".to_string() } else { format!("{differ} values are") }
}

fn differences(new: &NewPlan, width: usize) -> String {
    let one = |d: &Difference| format!("{}: the plan says {}; the new plan says {}", d.at, d.shown, d.new);
    let mut text: String =
        new.differences.iter().map(|d| wrapped(&plain(&one(d)), "     - ", "       ", width)).collect();
    if new.differ > new.differences.len() {
        text.push_str(&format!("     - and {} more\n", new.differ - new.differences.len()));
    }
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
