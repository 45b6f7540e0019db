//! A printed plan against the new plan: every figure, word by word.

use crate::audit::aged::Reason;
use crate::audit::lines::{is_place, without_lines};
use crate::audit::verdict::{Difference, NewPlan, Standing, Verdicts};
use crate::audit::{over, shown};
use crate::check::Ready;
use crate::plan::answer::{Made, Plan};
use crate::text::sum_of;
use serde_json::Value;

/// Most differences that are told one by one.
const TOLD: usize = 40;
/// Most letters of a value that are shown.
const LETTERS: usize = 60;
/// Two runs of the same sums on two machines stray by far less of a number.
const SHARE: f64 = 1e-9;
/// A plan worth less by so much is another plan, dollars.
const POORER: f64 = 1.0;
/// By these a list's items go, where they have one.
const NAMES: [&str; 11] = ["id", "lot", "kind", "item", "name", "product", "file", "metal", "of", "limit", "about"];

/// Adds to the verdicts what the new plan says. Either plan comes with
/// itself word for word.
#[must_use]
pub fn against(
    mut verdicts: Verdicts,
    (plan, printed): (&Plan, &Value),
    (new, words): (&Plan, &Value),
    ready: &Ready,
) -> Verdicts {
    let mut found = Vec::new();
    differ("", &without_made(printed), &without_made(words), &mut found);
    for field in &mut verdicts.fields {
        over::as_told(&mut field.log_over, &field.id, &new.findings);
        let own = format!("fields[{}]", field.id);
        let values = found
            .iter()
            .filter(|d| d.at.strip_prefix(&own).is_some_and(|rest| rest.is_empty() || rest.starts_with('.')));
        let count = values.count();
        if count > 0 {
            let found =
                format!("{count} of its values {} not those of the new plan", if count == 1 { "is" } else { "are" });
            field.reasons.push(Reason { code: "differs".to_string(), found });
            field.passes = false;
        }
    }
    let (files, editions) = (files(&plan.made, &new.made), editions(&plan.made, &new.made));
    let whole = plan.made.sum == sum_of(printed);
    let other = !files.is_empty() || !editions.is_empty();
    // Without its own mark a plan says nothing of what it was made from; and where no
    // value tells that it was altered, its mark does.
    if !whole && (other || found.is_empty()) {
        let at = "made.sum".to_string();
        let shown = if plan.made.sum.is_empty() { "not there".to_string() } else { cut(&plan.made.sum) };
        found.push(Difference { at, shown, new: "it does not match the plan's own text".to_string() });
    }
    let standing = match (found.is_empty(), files.is_empty(), editions.is_empty()) {
        (true, _, _) => Standing::Same,
        _ if !whole => Standing::Altered,
        (_, false, _) => Standing::FolderChanged,
        (_, _, false) => Standing::OtherEdition,
        _ => Standing::Altered,
    };
    if let Some((here, best)) = shown::worth(plan, ready).zip(shown::worth(new, ready)).filter(|(a, b)| a + POORER < *b)
    {
        // A gap of under half a dollar is shown as none.
        let proof = &plan.choice.proof;
        let best_of_all = proof.proven && proof.bound - proof.worth < 0.5;
        let proven = if best_of_all { " and claims to be proven the best" } else { "" };
        let found =
            format!("the plan is worth ${here:.0}{proven}; the new plan, within the same limits, is worth ${best:.0}");
        verdicts.whole.push(Reason { code: "poorer".to_string(), found });
    }
    verdicts.passes &= found.is_empty() && verdicts.whole.is_empty();
    let differ = found.len();
    // What goes on first, then the fields, then the rest.
    found.sort_by_key(|d| (!d.at.contains("].applications"), !d.at.starts_with("fields")));
    found.truncate(TOLD);
    verdicts.new_plan = NewPlan { standing, files, editions, differ, differences: found };
    verdicts
}

/// What a plan was made from is told in words, not value by value, and so is which entries
/// of the log came after its day.
fn without_made(plan: &Value) -> Value {
    let mut plan = plan.clone();
    if let Some(map) = plan.as_object_mut() {
        map.remove("made");
        if let Some(findings) = map.get_mut("findings").and_then(Value::as_array_mut) {
            findings.retain(|finding| finding["code"] != "log-later");
        }
    }
    plan
}

fn files(then: &Made, now: &Made) -> Vec<String> {
    let mark = |made: &Made, file: &str| made.files.iter().find(|m| m.file == file).map(|m| m.sha256.clone());
    let mut names: Vec<&str> = then.files.iter().chain(&now.files).map(|m| m.file.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    let mut changed: Vec<String> =
        names.into_iter().filter(|file| mark(then, file) != mark(now, file)).map(cut).collect();
    if changed.is_empty() && then.folder != now.folder {
        changed.push("the mark over all files".to_string());
    }
    changed
}

fn editions(then: &Made, now: &Made) -> Vec<String> {
    let mut found = Vec::new();
    if then.program != now.program {
        found.push(format!("made with version {} of the program; this is {}", cut(&then.program), now.program));
    }
    if then.tables != now.tables {
        found.push(match (then.tables.own, now.tables.own) {
            (true, false) => "made with figures of the user's own: name their folder with --reference".to_string(),
            (false, true) => "made with the built-in figures alone: leave --reference out".to_string(),
            _ => "made with other tables of published figures".to_string(),
        });
    }
    found
}

fn differ(at: &str, printed: &Value, new: &Value, found: &mut Vec<Difference>) {
    match (printed, new) {
        (Value::Object(a), Value::Object(b)) if is_place(a) && is_place(b) && a["file"] == b["file"] => {}
        (Value::String(a), Value::String(b)) if without_lines(a) == without_lines(b) => {}
        (Value::Object(a), Value::Object(b)) => {
            for (key, value) in a {
                let at = if at.is_empty() { cut(key) } else { format!("{at}.{}", cut(key)) };
                match b.get(key) {
                    Some(other) => differ(&at, value, other, found),
                    None => tell(at, Some(value), None, found),
                }
            }
            for (key, value) in b.iter().filter(|(key, _)| !a.contains_key(*key)) {
                let at = if at.is_empty() { key.clone() } else { format!("{at}.{key}") };
                tell(at, None, Some(value), found);
            }
        }
        (Value::Array(a), Value::Array(b)) => lists(at, a, b, found),
        (Value::Number(a), Value::Number(b)) => {
            let same = a == b
                || a.as_f64().zip(b.as_f64()).is_some_and(|(a, b)| {
                    let whole = a.fract() == 0.0 && b.fract() == 0.0;
                    !whole && (a - b).abs() <= SHARE * b.abs()
                });
            if !same {
                tell(at.to_string(), Some(printed), Some(new), found);
            }
        }
        _ if printed == new => {}
        _ => tell(at.to_string(), Some(printed), Some(new), found),
    }
}

/// Lists whose items go by a name of their own are compared name by name.
fn lists(at: &str, a: &[Value], b: &[Value], found: &mut Vec<Difference>) {
    if a == b {
        return;
    }
    let Some((names, others)) = names(a).zip(names(b)) else {
        // What stands in both is no difference, wherever in the list it stands; the order is one.
        let (own, others) = if records(a) && records(b) { only_in_one(a, b) } else { (placed(a), placed(b)) };
        if own.is_empty() && others.is_empty() && !a.iter().zip(b).all(|(a, b)| same(a, b)) {
            let at = format!("{at}, its order");
            found.push(Difference { at, shown: "the same items".into(), new: "the same in another order".into() });
        }
        let (a, b) = (own, others);
        for i in 0..a.len().max(b.len()) {
            let own = a.get(i).or(b.get(i)).map_or(i, |(place, _)| *place);
            let at = format!("{at}[{}]", own + 1);
            match (a.get(i).map(|(_, value)| *value), b.get(i).map(|(_, value)| *value)) {
                (Some(a), Some(b)) => differ(&at, a, b, found),
                (a, b) => tell(at, a, b, found),
            }
        }
        return;
    };
    for (name, value) in names.iter().zip(a) {
        let at = format!("{at}[{}]", cut(name));
        match others.iter().position(|other| other == name) {
            Some(i) => differ(&at, value, &b[i], found),
            None => tell(at, Some(value), None, found),
        }
    }
    for (name, value) in others.iter().zip(b).filter(|(name, _)| !names.contains(name)) {
        tell(format!("{at}[{name}]"), None, Some(value), found);
    }
    let mut sorted = (names.clone(), others.clone());
    sorted.0.sort_unstable();
    sorted.1.sort_unstable();
    if names != others && sorted.0 == sorted.1 {
        found.push(Difference {
            at: format!("{at}, its order"),
            shown: cut(&names.join(", ")),
            new: cut(&others.join(", ")),
        });
    }
}

type Placed<'a> = Vec<(usize, &'a Value)>;

fn placed(list: &[Value]) -> Placed<'_> {
    list.iter().enumerate().collect()
}

/// Whether a list is of records, not of numbers or days that go by their places.
fn records(list: &[Value]) -> bool {
    list.iter().all(Value::is_object)
}

/// Whether two values differ in nothing that is told.
fn same(printed: &Value, new: &Value) -> bool {
    let mut found = Vec::new();
    differ("", printed, new, &mut found);
    found.is_empty()
}

/// The items of two lists that have none alike in the other, with their places.
fn only_in_one<'a>(a: &'a [Value], b: &'a [Value]) -> (Placed<'a>, Placed<'a>) {
    // What stands in its place is not sought elsewhere: long lists differ in few items.
    let (mut left, mut others) = (placed(a), placed(b));
    let kept = a.iter().zip(b).take_while(|(one, other)| same(one, other)).count();
    left.drain(..kept);
    others.drain(..kept);
    while left.last().zip(others.last()).is_some_and(|((_, one), (_, other))| same(one, other)) {
        left.pop();
        others.pop();
    }
    let mut own = Vec::new();
    for (at, value) in left {
        match others.iter().position(|(_, other)| same(value, other)) {
            Some(twin) => drop(others.remove(twin)),
            None => own.push((at, value)),
        }
    }
    (own, others)
}

/// The names of a list's items, where each has one of its own.
fn names(list: &[Value]) -> Option<Vec<&str>> {
    let named = |key: &&str| -> Option<Vec<&str>> {
        let names: Option<Vec<&str>> = list.iter().map(|item| item.get(*key)?.as_str()).collect();
        let mut sorted = names.clone()?;
        sorted.sort_unstable();
        sorted.windows(2).all(|two| two[0] != two[1]).then_some(names?)
    };
    if list.is_empty() {
        return Some(Vec::new());
    }
    NAMES.iter().find_map(named)
}

fn tell(at: String, printed: Option<&Value>, new: Option<&Value>, found: &mut Vec<Difference>) {
    let text = |value: Option<&Value>| match value {
        None => "not there".to_string(),
        Some(Value::String(text)) => cut(text),
        Some(value) => cut(&value.to_string()),
    };
    found.push(Difference { at, shown: text(printed), new: text(new) });
}

/// The first letters of a stranger's words.
fn cut(text: &str) -> String {
    let short: String = text.chars().take(LETTERS).collect();
    if short.len() < text.len() { short + "..." } else { short }
}
