//! Several years in a row, on a terminal.

use crate::plan::answer::{YearField, YearRow};
use crate::units::{Pounds, grouped, number_text};
use crate::write::page::{Page, or_dash, tons};
use std::collections::BTreeMap;

/// Rates by field and year, the litter of every year, what must leave.
#[must_use]
pub fn years(farm: &str, rows: &[YearRow], assumed: &[&str], width: usize) -> String {
    let Some(first) = rows.first() else { return String::new() };
    let mut page = Page::new(width);
    page.line(format!("{farm}: {} years from {}", rows.len(), first.from));
    page.heading("TONS PER ACRE BY FIELD AND YEAR, and the soil-test P it begins with");
    fields(&mut page, first, rows);
    page.heading("LITTER, tons");
    litter(&mut page, rows);
    page.heading("TAKEN FOR GRANTED");
    assumed.iter().for_each(|line| page.item(line));
    page.done()
}

fn fields(page: &mut Page, first: &YearRow, rows: &[YearRow]) {
    let years: Vec<String> = rows.iter().map(|row| row.from.year().to_string()).collect();
    let heads: Vec<&str> = std::iter::once("Field").chain(years.iter().map(String::as_str)).collect();
    let row = |(place, field): (usize, &YearField)| {
        let cells = rows.iter().map(|row| row.fields.get(place).map(cell).unwrap_or_default());
        std::iter::once(field.id.clone()).chain(cells).collect()
    };
    page.table(&heads, first.fields.iter().enumerate().map(row));
    // Why a field gets none, with the years of which that is true.
    let mut none: BTreeMap<(usize, &str), Vec<String>> = BTreeMap::new();
    for row in rows {
        for (at, field) in row.fields.iter().enumerate().filter(|(_, field)| !field.rests) {
            for why in &field.why_none {
                none.entry((at, why)).or_default().push(row.from.year().to_string());
            }
        }
    }
    for ((at, why), years) in none {
        let id = first.fields.get(at).map_or("", |field| field.id.as_str());
        page.item(format!("{id}, {}: {why}", years.join(", ")));
    }
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

fn litter(page: &mut Page, rows: &[YearRow]) {
    let lots = rows.iter().flat_map(|row| {
        row.lots.iter().enumerate().map(move |(place, lot)| {
            let once = |text: String| if place == 0 { text } else { String::new() };
            let over: Pounds = row.leaving.iter().map(|l| l.pounds).sum();
            let leaves = if over.0 > 0 { once(tons(over)) } else { String::new() };
            let made = or_dash((lot.made.0 > 0).then(|| tons(lot.made)));
            let year = once(row.from.year().to_string());
            let sold = or_dash((lot.sold.0 > 0).then(|| tons(lot.sold)));
            vec![year, lot.id.clone(), tons(lot.opening), made, tons(lot.planned), sold, tons(lot.left), leaves]
        })
    });
    page.table(&["Year", "Lot", "On hand>", "To come>", "Spread>", "Sold>", "Left>", "Must leave>"], lots);
    for row in rows {
        for gone in &row.leaving {
            page.say(format!(
                "After the plan of {}: {} tons over the {} tons that {} holds must be sold or hauled off before the next.",
                row.to.year(),
                tons(gone.pounds),
                tons(gone.room),
                gone.storage
            ));
        }
        if let Some(money) = &row.money {
            page.say(format!(
                "{}: the litter replaces ${} of fertilizer, spreading and hauling cost ${}, and ${} of fertilizer is still to buy.",
                row.from.year(),
                grouped(money.replaced.round() as i64),
                grouped(money.spreading.round() as i64),
                grouped(money.still_to_buy.round() as i64)
            ));
        }
    }
}
