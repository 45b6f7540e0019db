//! The tables: read back by the csv crate, added up, held against the plan.

use crate::{EVIL, demo, hostile, jobs};
use demo::Made;
use std::collections::BTreeMap;
use sward::write::{self, CsvTable};

type Row = BTreeMap<String, String>;

fn bytes(made: &Made, which: CsvTable) -> Vec<u8> {
    write::csv_table(which, &made.audited, &made.ready, &made.ground, &made.weighed).unwrap()
}

fn rows(made: &Made, which: CsvTable) -> Vec<Row> {
    csv::Reader::from_reader(bytes(made, which).as_slice()).deserialize().map(Result::unwrap).collect()
}

fn number(row: &Row, column: &str) -> f64 {
    row[column].parse().unwrap_or_else(|_| panic!("{column}: {:?}", row[column]))
}

#[test]
fn every_job_is_a_row_with_the_plans_numbers() {
    let made = demo::made(&demo::texts());
    let rows = rows(&made, CsvTable::Plan);
    assert_eq!(rows.len(), jobs(&made).len());
    for (row, (field, on)) in rows.iter().zip(jobs(&made)) {
        assert_eq!((&row["field"], &row["name"], &row["lot"]), (&field.id, &field.name, &on.lot));
        let job = number(row, "job") as usize;
        assert!(std::ptr::eq(&field.applications[job - 1], on), "{row:?}");
        assert_eq!(row["season"], on.season.replace('_', " "));
        assert_eq!(number(row, "rate_tons_per_acre"), on.rate);
        assert_eq!(number(row, "tons"), on.pounds.tons());
        assert_eq!(number(row, "loads"), on.loads as f64);
        assert_eq!(row["acres"].parse::<f64>().unwrap(), format!("{:.2}", field.acres).parse::<f64>().unwrap());
        assert_eq!(row["window_first_day"], on.starts().to_string());
        assert_eq!(row["window_last_day"], on.last.to_string());
        assert_eq!(row["held_by"], field.held.by.word());
        let held = field.held.rate.map_or(0.0, |_| number(row, "held_at_tons_per_acre"));
        assert!((held - field.held.rate.unwrap_or_default()).abs() < 1e-6, "{row:?}");
    }
    assert!(rows.iter().any(|row| row["job"] == "2"), "a field has two jobs");
}

#[test]
fn the_sums_are_those_of_the_plan() {
    let made = demo::made(&demo::texts());
    let json: serde_json::Value = serde_json::from_str(&write::plan_json(&made.audited)).unwrap();
    let rows = rows(&made, CsvTable::Plan);
    let sum = |column: &str, of: &dyn Fn(&Row) -> bool| -> f64 {
        rows.iter().filter(|r| of(r)).map(|r| number(r, column)).fold(0.0, |a, b| a + b)
    };
    for lot in json["lots"].as_array().unwrap() {
        let planned = lot["planned"].as_f64().unwrap() / 2000.0;
        assert_eq!(sum("tons", &|r| r["lot"] == lot["id"].as_str().unwrap()), planned, "{}", lot["id"]);
    }
    let mut some = 0;
    for field in json["fields"].as_array().unwrap() {
        let mine = |r: &Row| r["field"] == field["id"].as_str().unwrap();
        for (column, of) in [("available_n", "n"), ("p2o5", "p2o5"), ("k2o", "k2o")] {
            let on = field["supplied"][of].as_f64().unwrap();
            let told = sum(&format!("{column}_lb_per_acre"), &mine);
            // Two decimals a job.
            assert!((told - on).abs() < 0.0101, "{}: {column} {told} {on}", field["id"]);
            some += usize::from(on > 0.0);
        }
    }
    assert!(some > 10);
}

#[test]
fn what_is_left_and_what_to_buy() {
    let made = demo::made(&demo::texts());
    let left = rows(&made, CsvTable::Leftover);
    assert_eq!(left.len(), made.plan().lots.len());
    for (row, lot) in left.iter().zip(&made.plan().lots) {
        assert_eq!(row["lot"], lot.id);
        let [on_hand, to_come, planned, sold, is_left] =
            ["on_hand", "to_come", "planned", "sold", "left"].map(|of| number(row, &format!("{of}_tons")));
        assert!((on_hand + to_come - planned - sold - is_left).abs() < 1e-9, "{row:?}");
        assert_eq!(is_left, lot.left.tons());
    }
    assert!(left.iter().any(|row| number(row, "to_come_tons") > 0.0));
    let buy = made.plan().buy.as_ref().unwrap();
    let products = rows(&made, CsvTable::Fertilizer);
    assert_eq!(products.len(), buy.products.len());
    let dollars: f64 = products.iter().map(|r| number(r, "dollars")).sum();
    assert!((dollars - buy.with_litter.fertilizer).abs() < 0.5 && dollars > 0.0, "{dollars}");
    for (row, product) in products.iter().zip(&buy.products) {
        assert!((number(row, "tons") - product.tons).abs() < 1e-4);
        assert_eq!(number(row, "p2o5_percent"), product.analysis.p2o5);
    }
}

#[test]
fn a_farm_without_products_has_an_empty_table() {
    let made = demo::made(&demo::with_main(|main| {
        let (before, rest) = main.split_once("\nfertilizer:\n").unwrap();
        let after = rest.split_once("fertilizer_spreading:").unwrap().1.split_once('\n').unwrap().1;
        format!("{before}\n{after}")
    }));
    assert!(made.plan().buy.is_none());
    assert_eq!(String::from_utf8(bytes(&made, CsvTable::Fertilizer)).unwrap().lines().count(), 1);
}

#[test]
fn no_name_is_a_formula_and_no_row_breaks() {
    let made = hostile();
    let all = rows(&made, CsvTable::Plan);
    assert_eq!(all.len(), jobs(&made).len());
    assert!(all.iter().any(|r| r["name"] == format!("'{EVIL}")), "{all:?}");
    for which in [CsvTable::Plan, CsvTable::Leftover, CsvTable::Fertilizer] {
        for value in rows(&made, which).iter().flat_map(BTreeMap::values) {
            let formula = value.starts_with(['=', '+', '@', '\t', '\r', '-']);
            assert!(!formula || value.parse::<f64>().is_ok(), "{value}");
        }
    }
    // Letters beyond ASCII are announced; without them the file is plain.
    assert!(bytes(&made, CsvTable::Plan).starts_with(b"\xEF\xBB\xBFfield,"));
    assert!(bytes(&demo::made(&demo::texts()), CsvTable::Plan).starts_with(b"field,"));
}
