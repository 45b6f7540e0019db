//! What a nutrient management plan must hold, item by item: the list is data,
//! and here is how each item is looked for in the farm folder.

use crate::check::{Contents, Field, Ready};
use crate::plan::answer::{FieldPlan, GoalFrom, ItemState, PlanItem};
use crate::plan::tally::kept;
use crate::tables::{Book, topic};
use crate::units::trimmed;

/// Holds the farm and its plan against the list.
pub(super) fn check(ready: &Ready, book: &Book<'_>, fields: &[FieldPlan]) -> Vec<PlanItem> {
    book.all_words(topic::PLAN_ITEM, "item")
        .into_iter()
        .map(|(item, words)| {
            let (state, remark) = state(&item, ready, book, fields);
            PlanItem { item, text: words.value, state, remark, cite: words.cite }
        })
        .collect()
}

type Found = (ItemState, String);

fn there(remark: impl Into<String>) -> Found {
    (ItemState::There, remark.into())
}

fn missing(remark: impl Into<String>) -> Found {
    (ItemState::Missing, remark.into())
}

fn state(item: &str, ready: &Ready, book: &Book<'_>, fields: &[FieldPlan]) -> Found {
    match item {
        "operator" => by_hand(person(ready, "grower"), "the address"),
        "planner" => by_hand(person(ready, "planner"), "the date and the signature"),
        "period" => there(format!("{} to {}", ready.from, ready.to)),
        "map" => there("fields.geojson, and the field sheets"),
        "soil_map" if ready.soils_by.is_some() => there("soils.geojson, and the binder's table"),
        "sensitive_areas" | "dwellings" => keepouts(ready, item),
        "slope" => slopes(ready),
        "soil_tests" => soil_tests(ready),
        "litter_tests" => litter_tests(ready, book),
        "crops" => {
            there(format!("forage and use of {} field{}", fields.len(), if fields.len() == 1 { "" } else { "s" }))
        }
        "yield_goals" => yield_goals(fields),
        "sources" => {
            there(format!("{} lot{} with tons on hand", ready.lots.len(), if ready.lots.len() == 1 { "" } else { "s" }))
        }
        "budget" => there("nitrogen, P2O5 and K2O of every field: `plan`"),
        "rates" => there("rate, lot, window of every field: `plan`"),
        "methods" => methods(ready, fields),
        "calculations" => there("`why FIELD`, line by line"),
        "risk" => ratings(ready, fields),
        "drawdown" => drawdown(fields),
        "calibration" => calibration(ready),
        "log" => log(ready),
        "records" => match kept(ready, book) {
            Some(kept) => (
                ItemState::Outside,
                format!(
                    "log.csv, farm.yaml and the reports: keep them {} years ({})",
                    trimmed(kept.years),
                    kept.cite.by()
                ),
            ),
            None => (ItemState::Outside, "no number of years in the tables: the planner looks".to_string()),
        },
        _ => (ItemState::Outside, "kept outside the farm folder: the planner looks".to_string()),
    }
}

fn person(ready: &Ready, part: &str) -> Found {
    match ready.people.iter().find(|p| p.part == part) {
        None => missing(format!("no `{part}:` in farm.yaml")),
        Some(p) if part == "planner" && p.certificate.is_none() => missing(format!("{}: no certificate given", p.name)),
        Some(p) => there(p.name.clone()),
    }
}

/// What farm.yaml has no key for is written in on paper.
fn by_hand((state, remark): Found, what: &str) -> Found {
    match state {
        ItemState::There => (ItemState::Outside, format!("{remark}; {what}: written in by hand")),
        _ => (state, remark),
    }
}

fn keepouts(ready: &Ready, item: &str) -> Found {
    let houses = |kind: &str| kind == "dwelling" || kind == "public_building";
    let count = ready.keepouts.iter().filter(|k| houses(&k.kind) == (item == "dwellings")).count();
    if count == 0 {
        missing("none drawn in keepouts.geojson")
    } else {
        there(format!("{count} drawn in keepouts.geojson"))
    }
}

fn yield_goals(fields: &[FieldPlan]) -> Found {
    let mapped: Vec<&str> = fields.iter().filter(|f| f.goal.from == GoalFrom::Soils).map(|f| f.id.as_str()).collect();
    if mapped.is_empty() {
        there("stated, from past years or the soil survey, in farm.yaml")
    } else {
        there(format!("from the soils under {}; the others in farm.yaml", ids(mapped)))
    }
}

fn ids(list: Vec<&str>) -> String {
    list.join(", ")
}

fn slopes(ready: &Ready) -> Found {
    let without: Vec<&str> = ready.fields.iter().filter(|f| f.written.erosion.is_none()).map(|f| f.id()).collect();
    if without.is_empty() { there("in every field") } else { missing(format!("no `erosion:` for {}", ids(without))) }
}

fn soil_tests(ready: &Ready) -> Found {
    let of =
        |lacks: fn(&Field) -> bool| -> Vec<&str> { ready.fields.iter().filter(|f| lacks(f)).map(|f| f.id()).collect() };
    let without = of(|f| f.written.soil_test.is_none());
    let stale = of(|f| f.test_expired.is_some());
    tests("for", "of every field", without, stale)
}

/// What is missing of some tests, and what is too old: one never hides the other.
fn tests(of: &str, all: &str, without: Vec<&str>, stale: Vec<&str>) -> Found {
    let state = match (without.is_empty(), stale.is_empty()) {
        (true, true) => return there(all),
        (true, false) => ItemState::Stale,
        (false, _) => ItemState::Missing,
    };
    let lacks = [("none", without), ("too old", stale)].into_iter().filter(|(_, ids)| !ids.is_empty());
    let lacks: Vec<String> = lacks.map(|(what, list)| format!("{what} {of} {}", ids(list))).collect();
    (state, lacks.join("; "))
}

fn litter_tests(ready: &Ready, book: &Book<'_>) -> Found {
    let without: Vec<&str> =
        ready.lots.iter().filter(|l| matches!(l.contents, Contents::Typical(_))).map(|l| l.id.as_str()).collect();
    let old = ready.lots.iter().filter(|l| l.good_until.as_ref().is_some_and(|g| g.last < book.on()));
    let stale: Vec<&str> = old.map(|l| l.id.as_str()).collect();
    tests("of", "of every lot", without, stale)
}

/// How litter goes on the fields that get some.
fn methods(ready: &Ready, fields: &[FieldPlan]) -> Found {
    let gets = |id: &str| fields.iter().any(|f| f.id == id && !f.applications.is_empty());
    let worked_in = ready.fields.iter().filter(|f| f.written.worked_in.is_some() && gets(f.id()));
    let worked_in: Vec<&str> = worked_in.map(|f| f.id()).collect();
    match worked_in.is_empty() {
        true => there("rate, lot, window of every field, spread on top: `plan`"),
        false => there(format!("rate, lot, window of every field: `plan`; worked in on {}", ids(worked_in))),
    }
}

/// Of which fields an assessment is missing: the same as the binder's table shows.
fn ratings(ready: &Ready, fields: &[FieldPlan]) -> Found {
    let all = ready.fields.len();
    let without =
        |lacks: fn(&Field) -> bool| -> Vec<&str> { ready.fields.iter().filter(|f| lacks(f)).map(|f| f.id()).collect() };
    let unrated = without(|f| f.rating.is_none());
    let leaching = without(|f| f.written.rating.as_ref().is_none_or(|rated| rated.n_leaching.is_none()));
    let loss: Vec<&str> = fields.iter().filter(|f| f.soil_loss.is_none()).map(|f| f.id.as_str()).collect();
    let lacks = |what: &str, list: Vec<&str>| match list.len() {
        0 => None,
        n if n == all => Some(format!("no {what} of any field")),
        _ => Some(format!("no {what} of {}", ids(list))),
    };
    let lacking =
        [lacks("phosphorus rating", unrated), lacks("nitrogen leaching rating", leaching), lacks("soil loss", loss)];
    let lacking: Vec<String> = lacking.into_iter().flatten().collect();
    if lacking.is_empty() {
        there("every field rated, phosphorus and nitrogen, with its soil loss")
    } else {
        missing(lacking.join("; "))
    }
}

/// Fields on which the plan raises soil phosphorus need a word on when that
/// ends.
fn drawdown(fields: &[FieldPlan]) -> Found {
    let rising: Vec<&str> = fields.iter().filter(|f| f.gains_p2o5()).map(|f| f.id.as_str()).collect();
    if rising.is_empty() {
        there("no field gets more P2O5 than its crop removes")
    } else {
        missing(format!("more P2O5 than the crop removes on {}; say at which level it stops", ids(rising)))
    }
}

fn calibration(ready: &Ready) -> Found {
    match ready.calibrated() {
        None => missing("no `calibrated:` for the spreader"),
        Some(on) => there(format!("spreader calibrated {on}")),
    }
}

fn log(ready: &Ready) -> Found {
    match ready.happened.entries.len() {
        0 => missing("no entry in log.csv yet"),
        n => there(format!("{n} entries in log.csv")),
    }
}
