//! The plan as tables for a spreadsheet program. Units stand in the names of
//! the columns.

use super::jobs::{Job, jobs};
use crate::audit::Audited;
use crate::balance::{Balance, Surveyed};
use crate::check::Ready;
use crate::exchange::{TableCell, csv};
use crate::plan::answer::{Bought, LeftLot, LotTally, Plan};
use crate::plan::put_on;
use crate::write::page::plain;

/// Decimals of a rate; tons have four, which is to the pound.
const RATE: usize = 6;

/// One of the tables.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CsvTable {
    /// What goes where, a job a row.
    Plan,
    /// What is left over, a lot a row.
    Leftover,
    /// Fertilizer to buy, a product a row.
    Fertilizer,
}

/// The table with a row of names on top.
///
/// # Errors
/// Says what could not be written.
pub fn csv_table(
    which: CsvTable,
    audited: &Audited,
    ready: &Ready,
    ground: &[Surveyed],
    balance: &Balance,
) -> Result<Vec<u8>, String> {
    let plan = audited.plan();
    match which {
        CsvTable::Plan => {
            let rows: Vec<Vec<TableCell>> =
                jobs(audited, ready, ground).iter().map(|job| row_of_job(job, balance)).collect();
            csv(&PLAN, &rows)
        }
        CsvTable::Leftover => csv(&LEFTOVER, &plan.lots.iter().map(|lot| row_of_lot(lot, plan)).collect::<Vec<_>>()),
        CsvTable::Fertilizer => {
            let products = plan.buy.as_ref().map_or(&[][..], |buy| &buy.products);
            csv(&FERTILIZER, &products.iter().map(row_of_product).collect::<Vec<_>>())
        }
    }
}

const PLAN: [&str; 18] = [
    "field",
    "name",
    "job",
    "season",
    "forage",
    "use",
    "lot",
    "window_first_day",
    "window_last_day",
    "acres",
    "rate_tons_per_acre",
    "tons",
    "loads",
    "available_n_lb_per_acre",
    "p2o5_lb_per_acre",
    "k2o_lb_per_acre",
    "held_by",
    "held_at_tons_per_acre",
];

fn row_of_job(job: &Job<'_>, balance: &Balance) -> Vec<TableCell> {
    let (field, on) = (job.sight.plan, job.on);
    let put = balance.field(&field.id).map(|weighed| put_on(weighed, on));
    vec![
        text(&field.id),
        text(&field.name),
        TableCell::Number(job.number as f64, 0),
        text(&on.season.replace('_', " ")),
        text(&field.forage),
        text(&field.usage),
        text(&on.lot),
        TableCell::Day(on.starts()),
        TableCell::Day(on.last),
        TableCell::Number(job.acres(), 2),
        TableCell::Number(on.rate, RATE),
        TableCell::Number(on.pounds.tons(), 4),
        TableCell::Number(on.loads as f64, 0),
        TableCell::maybe(put.map(|p| p.n), 2),
        TableCell::maybe(put.map(|p| p.p2o5), 2),
        TableCell::maybe(put.map(|p| p.k2o), 2),
        TableCell::text(field.held.by.word()),
        TableCell::maybe(field.held.rate, RATE),
    ]
}

const LEFTOVER: [&str; 15] = [
    "lot",
    "kind",
    "on_hand_tons",
    "to_come_tons",
    "planned_tons",
    "sold_tons",
    "left_tons",
    "rate_by_p2o5_removed_tons_per_acre",
    "acres_by_p2o5_removed",
    "rate_by_n_needed_tons_per_acre",
    "acres_by_n_needed",
    "worth_dollars_per_ton",
    "pays_up_to_miles",
    "sold_at_the_shed_dollars",
    "worth_next_year_dollars",
];

fn row_of_lot(lot: &LotTally, plan: &Plan) -> Vec<TableCell> {
    let left = plan.leftover.lots.iter().find(|own| own.lot == lot.id);
    let of = |get: fn(&LeftLot) -> Option<f64>, decimals| TableCell::maybe(left.and_then(get), decimals);
    vec![
        text(&lot.id),
        text(&lot.kind),
        TableCell::Number(lot.on_hand.tons(), 4),
        TableCell::Number(lot.coming.tons(), 4),
        TableCell::Number(lot.planned.tons(), 4),
        TableCell::Number(lot.sold.tons(), 4),
        TableCell::Number(lot.left.tons(), 4),
        of(|l| l.rate_by_p2o5, RATE),
        of(|l| l.acres_by_p2o5, 2),
        of(|l| l.rate_by_n, RATE),
        of(|l| l.acres_by_n, 2),
        of(|l| l.worth, 2),
        of(|l| l.break_even_miles, 1),
        of(|l| l.sale_value, 2),
        of(|l| l.next_year, 2),
    ]
}

const FERTILIZER: [&str; 7] =
    ["product", "n_percent", "p2o5_percent", "k2o_percent", "price_dollars_per_ton", "tons", "dollars"];

fn row_of_product(product: &Bought) -> Vec<TableCell> {
    vec![
        text(&product.name),
        TableCell::Number(product.analysis.n, 4),
        TableCell::Number(product.analysis.p2o5, 4),
        TableCell::Number(product.analysis.k2o, 4),
        TableCell::Number(product.price, 2),
        TableCell::Number(product.tons, 4),
        TableCell::Number(product.dollars, 2),
    ]
}

/// A text of the grower, without what could move a cursor.
fn text(text: &str) -> TableCell {
    TableCell::Text(plain(text))
}
