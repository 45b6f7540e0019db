//! The verdict of an audit: pass or FAIL, field by field.

use crate::audit::{Difference, GrownOld, LogOver, NewPlan, Reason, Seen, Standing, Verdicts};
use crate::units::{grouped, number_text, trimmed};
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
        reasons(&mut page, &field.rating);
    }
    part(&mut page, found.whole.is_empty(), "The plan as a whole: lots, sums, dollars".to_string());
    reasons(&mut page, &found.whole);
    part(&mut page, found.new_plan.differ == 0, format!("Against a new plan: {}", standing(&found.new_plan)));
    differences(&mut page, &found.new_plan);
    found.proof.iter().for_each(|seen| proof(&mut page, seen));
    let failed = found.fields.iter().filter(|f| !f.passes).count()
        + usize::from(!found.whole.is_empty())
        + usize::from(matches!(found.proof, Some(Seen::Refused(_))))
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
    let doubted: Vec<&str> = found.fields.iter().filter(|f| !f.rating.is_empty()).map(|f| f.id.as_str()).collect();
    let ratings = match doubted.is_empty() {
        true => String::new(),
        false => format!(
            " ASK THE PLANNER about the rating of {}: the plan goes by its word, and what stands beside it says otherwise.",
            doubted.join(", ")
        ),
    };
    page.line("");
    page.say(verdict + &log + &ratings);
    grown_old(&mut page, found);
    if let Some(later) = &found.log_later {
        page.say(later.clone());
    }
    page.done()
}

/// That a plan of another day is none to spread by today, and why.
fn grown_old(page: &mut Page, found: &Verdicts) {
    let Some(GrownOld { today, since }) = &found.grown_old else { return };
    page.say(format!(
        "IT IS OLD: this audit goes by {}, the day as of which the plan was made; today is {today}. Spread by a new plan.",
        found.as_of
    ));
    reasons(page, since);
}

/// What the checker says of the proof that no other plan gains more.
fn proof(page: &mut Page, seen: &Seen) {
    match seen {
        Seen::Reached { parts, looked_at, .. } => {
            let looked = match looked_at {
                0 => String::new(),
                n => format!(", {} ways looked at one by one", grouped(i64::try_from(*n).unwrap_or(i64::MAX))),
            };
            let parts = if *parts == 1 { "1 part".to_string() } else { format!("{parts} parts") };
            part(
                page,
                true,
                format!("The proof of how much more any other plan could gain: checked again ({parts}{looked})"),
            );
        }
        Seen::NotThere(why) => page.wrapped(
            format!("     The proof of how much more any other plan could gain: NOT CHECKED, {why}"),
            "",
            "       ",
        ),
        Seen::Refused(why) => {
            part(page, false, "The proof of how much more any other plan could gain".to_string());
            beneath(page, why.clone());
        }
    }
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
        beneath(page, format!("{}: the plan says {}; the new plan says {}", place(at), said(shown), said(new)));
    }
    if new.differ > new.differences.len() {
        beneath(page, format!("and {} more", new.differ - new.differences.len()));
    }
}

/// Where a value stands, as people say it: `fields[B1].need.n` is field B1, need, n.
fn place(at: &str) -> String {
    let mut parts: Vec<String> = Vec::new();
    let (mut part, mut inside) = (String::new(), false);
    for letter in at.chars() {
        match letter {
            '.' if !inside => parts.push(std::mem::take(&mut part)),
            '[' if !inside => {
                inside = true;
                part = one_of(&part) + " ";
            }
            ']' if inside => inside = false,
            '_' if !inside => part.push(' '),
            _ => part.push(letter),
        }
    }
    parts.push(part);
    parts.join(", ")
}

/// The word for one thing of a list.
fn one_of(list: &str) -> String {
    let plain = ["phosphorus", "years ahead", "basis"];
    match list.strip_suffix('s').filter(|_| !plain.contains(&list)) {
        Some(one) => one.strip_suffix("ie").map_or_else(|| one.to_string(), |stem| format!("{stem}y")),
        None => list.to_string(),
    }
}

/// A value of a plan: its keys and values as words, and a number no longer than it needs to be.
fn said(value: &str) -> String {
    if value == "null" {
        return "nothing".to_string();
    }
    if let Some(number) = value.parse::<f64>().ok().filter(|_| value.contains('.')) {
        return trimmed(number);
    }
    if !value.starts_with(['{', '[']) {
        return value.to_string();
    }
    // It may be cut off in the middle: letters are all that there is to go by.
    let plain: String = value.chars().filter(|letter| !"{}[]\"\\".contains(*letter)).collect();
    let plain = plain.replace(['_', ':'], " ").replace(',', ", ");
    if plain.trim().is_empty() { "none".to_string() } else { plain }
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

#[cfg(test)]
mod tests {
    use super::{place, said};

    #[test]
    fn a_value_of_a_plan_is_told_in_words() {
        for (at, words) in [
            ("fields[B1].applications[2].rate", "field B1, application 2, rate"),
            ("fields[Lot 4.b].n_used.on", "field Lot 4.b, n used, on"),
            ("lots[pole_barn].left", "lot pole_barn, left"),
            ("fields[B1].outlook[P].per_year", "field B1, outlook P, per year"),
            ("resources.days", "resources, days"),
        ] {
            assert_eq!(place(at), words);
        }
        for (value, words) in [
            ("low", "low"),
            ("8.372450520833333", "8.3725"),
            ("3", "3"),
            ("116.0", "116"),
            ("null", "nothing"),
            ("[]", "none"),
            (r#"{"first":"2027-03-01","rate":2.5,"lot":"pol..."#, "first 2027-03-01, rate 2.5, lot pol..."),
        ] {
            assert_eq!(said(value), words);
        }
    }
}
