//! Several years in a row, on a terminal.

use crate::findings::together;
use crate::plan::answer::{YearField, YearLot, YearRow};
use crate::units::{Pounds, grouped, number_text, rate_text};
use crate::write::page::{Page, or_dash, tons};
use std::collections::{BTreeMap, BTreeSet};

/// So many years stand side by side on a page; more go below.
const MOST_BESIDE: usize = 6;

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
    for (at, beside) in rows.chunks(MOST_BESIDE).enumerate() {
        if at > 0 {
            page.line("");
        }
        let years: Vec<String> = beside.iter().map(|row| row.from.year().to_string()).collect();
        let heads: Vec<&str> = std::iter::once("Field").chain(years.iter().map(String::as_str)).collect();
        let row = |(place, field): (usize, &YearField)| {
            let cells = beside.iter().map(|row| row.fields.get(place).map(cell).unwrap_or_default());
            std::iter::once(field.id.clone()).chain(cells).collect()
        };
        page.table(&heads, first.fields.iter().enumerate().map(row));
    }
    // Why a field gets none, and what of farm.yaml no longer counts, with the years of which that is true.
    let mut said: BTreeMap<(usize, String), Vec<String>> = BTreeMap::new();
    for row in rows {
        for (at, field) in row.fields.iter().enumerate() {
            let none = field.why_none.iter().filter(|_| !field.rests).cloned();
            let past = field
                .no_longer
                .iter()
                .map(|words| format!("planned by the rule without the statement for another year that {words}"));
            for why in none.chain(past) {
                said.entry((at, why)).or_default().push(row.from.year().to_string());
            }
        }
    }
    for ((at, why), years) in said {
        let id = first.fields.get(at).map_or("", |field| field.id.as_str());
        page.item(format!("{id}, {}: {why}", years.join(", ")));
    }
    let all = rows.iter().flat_map(|row| &row.fields);
    let flat: BTreeSet<(&str, &str)> =
        all.filter_map(|field| Some((field.id.as_str(), field.not_forecast.as_deref()?))).collect();
    for (why, ids) in together(flat.into_iter().map(|(id, why)| (why, id))) {
        page.item(format!("{}: soil-test P not forecast, planned as tested: {why}", ids.join(", ")));
    }
}

/// `2.25 + 2.25`, and below it the soil test; a field that rests says so.
fn cell(field: &YearField) -> String {
    let rates = field.rates.iter().map(|rate| rate_text(*rate)).collect::<Vec<_>>().join("+");
    let rates = match (rates.is_empty(), field.rests, field.rests_through) {
        (true, true, _) => "rests".to_string(),
        (true, false, _) => "-".to_string(),
        (false, _, Some(through)) => format!("{rates} (to {through})"),
        (false, ..) => rates,
    };
    let soil = match &field.not_forecast {
        Some(_) => "not forecast".to_string(),
        None => field.soil_p.map_or(String::new(), |p| format!("P {}", number_text(p, 0))),
    };
    format!("{rates}\n{soil}")
}

fn litter(page: &mut Page, rows: &[YearRow]) {
    let some = |of: fn(&YearLot) -> Pounds| rows.iter().flat_map(|row| &row.lots).any(|lot| of(lot).0 > 0);
    let (after, leaves) = (some(|lot| lot.comes_after), some(|lot| lot.leaves));
    let dashed = |pounds: Pounds| or_dash((pounds.0 > 0).then(|| tons(pounds)));
    let lots = rows.iter().flat_map(|row| {
        row.lots.iter().enumerate().map(move |(place, lot)| {
            let year = if place == 0 { row.from.year().to_string() } else { String::new() };
            let own = [year, lot.id.clone(), tons(lot.opening), dashed(lot.made), tons(lot.planned), dashed(lot.sold)];
            let more = [after.then(|| dashed(lot.comes_after)), leaves.then(|| dashed(lot.leaves))];
            own.into_iter().chain([tons(lot.left)]).chain(more.into_iter().flatten()).collect()
        })
    });
    let heads = ["Year", "Lot", "On hand>", "To come>", "Spread>", "Sold>", "Left>"];
    let more = [after.then_some("Comes\nafter>"), leaves.then_some("Must\nleave>")];
    let heads: Vec<&str> = heads.into_iter().chain(more.into_iter().flatten()).collect();
    page.table(&heads, lots);
    if after || leaves {
        page.say("What is left, and comes after the plan, less what must leave, is on hand when the next plan starts.");
    }
    for row in rows {
        for gone in &row.leaving {
            page.say(format!(
                "{}: {} tons over the {} tons that {} holds must be sold or hauled off on the way to the next.",
                row.from.year(),
                tons(gone.pounds),
                tons(gone.room),
                gone.storage
            ));
        }
        if let Some(money) = &row.money {
            let short = match money.stays_short.round() as i64 {
                0 => String::new(),
                short => format!("; what stays short is worth ${}", grouped(short)),
            };
            page.say(format!(
                "{}: the litter replaces ${} of fertilizer, spreading and hauling cost ${}, and ${} of fertilizer is still to buy{short}.",
                row.from.year(),
                grouped(money.replaced.round() as i64),
                grouped(money.spreading.round() as i64),
                grouped((money.still_to_buy - money.stays_short).round() as i64)
            ));
        }
    }
}
