//! The blocks that say how other people's tables call their columns.

use crate::farm::labs::Takes;
use crate::farm::labs::{column_keys, needed_columns};
use crate::farm::schema::forms::{any_of, block, by_name, like, list, may, need, one_out_of, one_unit, text, words};
use crate::farm::tickets::TICKET_COLUMNS;
use crate::farm::words::Basis;
use crate::text::DAY_FORMS;
use crate::units::{Quantity, Tons};
use serde_json::{Value, json};

/// A block, or a list of such blocks.
pub(super) fn one_or_more(of: Value) -> Value {
    any_of(vec![of.clone(), list(of)])
}

/// The name of a file in the farm folder.
fn file(example: &str) -> Value {
    like("^\\s*[^./\\\\:][^/\\\\:]*\\.[cC][sS][vV]\\s*$", "the name of a .csv file in the farm folder", example)
}

/// The block `soil_tests:`.
pub(super) fn soil_tests() -> Value {
    block(vec![
        need("file", "The laboratory's file", file("soil-tests.csv")),
        need("lab", "The laboratory", text("state agronomic lab")),
        need("extractant", "The extractant of all its rows", text("mehlich-3")),
        need("columns", "What its columns are called, each with its unit", lab_columns(true)),
        may("samples", "What it calls a field's sample, where that is not the id", by_name(text("CB-1"), "B1")),
    ])
}

/// The block `analyses:`.
pub(super) fn analyses() -> Value {
    block(vec![
        need("file", "The laboratory's file", file("analyses.csv")),
        need("lab", "The laboratory", text("state agronomic lab")),
        need("basis", "What the contents of all its rows refer to", words(Basis::WORDS)),
        need("columns", "What its columns are called, each with its unit", lab_columns(false)),
        may("samples", "What it calls a lot's sample, where that is not the id", by_name(text("shed 1"), "clean-out")),
    ])
}

fn lab_columns(soil: bool) -> Value {
    let groups = needed_columns(soil);
    let alone = |key: &str| groups.iter().any(|group| *group == [key]);
    let keys = column_keys(soil).iter().map(|&(key, takes)| {
        let units = takes.units();
        let example = match takes {
            Takes::Words => "Sample".to_string(),
            Takes::Day => format!("Date in {}", DAY_FORMS[1]),
            _ if takes.needs_unit() => format!("{key} in {}", units.first().copied().unwrap_or_default()),
            _ => key.to_string(),
        };
        let form = column(&units, takes.needs_unit(), &example);
        let says = format!("The column of `{key}`");
        if alone(key) { need(key, &says, form) } else { may(key, &says, form) }
    });
    let block = block(keys.collect());
    let either: Vec<&[&'static str]> = groups.iter().copied().filter(|group| group.len() > 1).collect();
    if either.is_empty() { block } else { one_out_of(block, &either) }
}

/// The block `tickets:`.
pub(super) fn tickets() -> Value {
    let units: Vec<&str> = Tons::SPELLINGS.iter().map(|(spelling, _)| *spelling).collect();
    let keys = TICKET_COLUMNS.into_iter().map(|key| {
        let says = format!("The column of `{key}`");
        match key {
            "ticket" => need(key, &says, text("Ticket")),
            "date" => need(key, &says, text("Date in month/day/year")),
            "gross" | "tare" | "net" => may(key, &says, column(&units, true, "Weight in lb")),
            _ => may(key, &says, text("Name")),
        }
    });
    let mut columns = block(keys.collect());
    columns["anyOf"] = json!([{"required": ["net"]}, {"required": ["gross", "tare"]}]);
    block(vec![
        need("columns", "What its columns are called", columns),
        may(
            "lots",
            "What the scale calls a lot, where that is not its name",
            by_name(text("BROILER LITTER"), "clean-out"),
        ),
        may("fields", "What the scale calls a field, where that is not its id", by_name(text("FARROW 1"), "B1")),
    ])
}

/// A column; where its numbers need a unit, that stands after ` in `.
fn column(units: &[&str], needed: bool, example: &str) -> Value {
    if !needed {
        return text(example);
    }
    let pattern = format!("^.*\\S in\\s+{}\\s*$", one_unit(units));
    like(&pattern, &format!("the column's name, and the unit of its numbers: {}", units.join(", ")), example)
}
