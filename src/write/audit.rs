//! The verdict of an audit: pass or FAIL, field by field.

use crate::audit::{Difference, LogOver, NewPlan, Reason, Standing, Verdicts};
use crate::units::number_text;
use crate::write::json::text;
use crate::write::page::Page;

/// The verdicts on a terminal.
#[must_use]
pub fn audited(found: &Verdicts, width: usize) -> String {
    let Verdicts { farm, from, to, as_of, changes, .. } = found;
    let head = format!("{farm}: audit of a plan, {from} to {to}, as of {as_of}");
    let mut page = Page::titled(head, width);
    if !changes.is_empty() {
        page.say(format!("It is a plan of what farm.yaml does not say: with {}.", changes.join(", ")));
    }
    page.say(
        "Every limit is calculated again from farm.yaml, the maps and the tables. Every figure is compared \
         with a new plan, made as of the same day.",
    );
    page.line("");
    for field in &found.fields {
        let rate = match field.rate {
            Some(rate) if rate > 0.0 => format!("{} tons/ac", number_text(rate, 2)),
            Some(_) => "no litter".to_string(),
            None => "not in the plan".to_string(),
        };
        part(&mut page, field.passes, format!("{} {}: {rate}", field.id, field.name));
        reasons(&mut page, &field.reasons);
        log_over(&mut page, &field.log_over);
    }
    part(&mut page, found.whole.is_empty(), "The plan as a whole: lots, sums, dollars".to_string());
    reasons(&mut page, &found.whole);
    part(&mut page, found.new_plan.differ == 0, format!("Against a new plan: {}", standing(&found.new_plan)));
    differences(&mut page, &found.new_plan);
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
    page.line("");
    page.say(verdict + &log);
    if let Some(later) = &found.log_later {
        page.say(later.clone());
    }
    page.done()
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

fn differences(page: &mut Page, new: &NewPlan) {
    for Difference { at, shown, new } in &new.differences {
        beneath(page, format!("{at}: the plan says {shown}; the new plan says {new}"));
    }
    if new.differ > new.differences.len() {
        beneath(page, format!("and {} more", new.differ - new.differences.len()));
    }
}

/// The verdicts for other programs.
#[must_use]
pub fn audited_json(found: &Verdicts) -> String {
    text(found)
}

/// A part of the plan, and whether it passes.
fn part(page: &mut Page, passes: bool, what: String) {
    page.wrapped(format!("{} {what}", if passes { "pass" } else { "FAIL" }), "", "       ");
}

fn beneath(page: &mut Page, line: String) {
    page.wrapped(line, "     - ", "       ");
}

/// In the words of the plan where it tells of the same, so that no reader takes one for two.
fn log_over(page: &mut Page, list: &[LogOver]) {
    let all: Vec<&str> = list.iter().map(|over| over.told.as_deref().unwrap_or(&over.found)).collect();
    for (at, found) in all.iter().enumerate().filter(|(at, found)| !all[..*at].contains(found)) {
        beneath(page, format!("{found} [{}]", list[at].code));
    }
}

fn reasons(page: &mut Page, list: &[Reason]) {
    list.iter().for_each(|r| beneath(page, format!("{} [{}]", r.found, r.code)));
}
