//! Several years in a row, on a terminal.

use crate::plan::answer::{YearField, YearRow};
use crate::units::{Pounds, grouped, number_text};
use crate::write::page::{drawn, plain, table, tons, wrapped};

/// Rates by field and year, the litter of every year, what must leave.
#[must_use]
pub fn years(farm: &str, rows: &[YearRow], assumed: &[&str], width: usize) -> String {
    let Some(first) = rows.first() else { return String::new() };
    let mut text = format!("{}: {} years from {}\n", plain(farm), rows.len(), first.from);
    text.push_str("\nTONS PER ACRE BY FIELD AND YEAR, and the soil-test P it begins with\n");
    text.push_str(&fields(first, rows, width));
    text.push_str("\nLITTER, tons\n");
    text.push_str(&litter(rows, width));
    text.push_str("\nTAKEN FOR GRANTED\n");
    for line in assumed {
        text.push_str(&wrapped(line, "- ", "  ", width));
    }
    text
}

fn fields(first: &YearRow, rows: &[YearRow], width: usize) -> String {
    let years: Vec<String> = rows.iter().map(|row| row.from.year().to_string()).collect();
    let mut head = vec!["Field"];
    head.extend(years.iter().map(String::as_str));
    let mut t = table(&head, &[], width);
    for (place, field) in first.fields.iter().enumerate() {
        let mut cells = vec![plain(&field.id)];
        cells.extend(rows.iter().map(|row| row.fields.get(place).map(cell).unwrap_or_default()));
        t.add_row(cells);
    }
    drawn(&t, 0, width)
}

/// `2.25 + 2.25`, and below it the soil test; a field that rests says so.
fn cell(field: &YearField) -> String {
    let rates = field.rates.iter().map(|rate| number_text(*rate, 2)).collect::<Vec<_>>().join("+");
    let rates = match (rates.is_empty(), field.rests, field.rests_through) {
        (true, true, _) => "rests".to_string(),
        (true, false, _) => "-".to_string(),
        (false, _, Some(through)) => format!("{rates} (to {through})"),
        (false, ..) => rates,
    };
    let soil = field.soil_p.map_or(String::new(), |p| format!("P {}", number_text(p, 0)));
    format!("{rates}\n{soil}")
}

fn litter(rows: &[YearRow], width: usize) -> String {
    let head = ["Year", "Lot", "Made", "Opening", "Spread", "Left", "Must leave"];
    let mut t = table(&head, &[2, 3, 4, 5, 6], width);
    for row in rows {
        for (place, lot) in row.lots.iter().enumerate() {
            let year = if place == 0 { row.from.year().to_string() } else { String::new() };
            let over: Pounds = row.leaving.iter().map(|l| l.pounds).sum();
            let leaves = match (place, over.0) {
                (0, 1..) => tons(over),
                _ => String::new(),
            };
            let made = if lot.made.0 > 0 { tons(lot.made) } else { "-".to_string() };
            t.add_row(vec![year, plain(&lot.id), made, tons(lot.opening), tons(lot.planned), tons(lot.left), leaves]);
        }
    }
    let mut text = drawn(&t, 0, width);
    for row in rows {
        for gone in &row.leaving {
            let line = format!(
                "After the plan of {}: {} tons over the {} tons that {} holds must be sold or hauled off before the next.",
                row.to.year(),
                tons(gone.pounds),
                tons(gone.room),
                plain(&gone.storage)
            );
            text.push_str(&wrapped(&line, "", "  ", width));
        }
        if let Some(money) = &row.money {
            let line = format!(
                "{}: the litter replaces ${} of fertilizer, spreading and hauling cost ${}, and ${} of fertilizer is still to buy.",
                row.from.year(),
                grouped(money.replaced.round() as i64),
                grouped(money.spreading.round() as i64),
                grouped(money.still_to_buy.round() as i64)
            );
            text.push_str(&wrapped(&line, "", "  ", width));
        }
    }
    text
}
