//! The tally on a terminal of 80 columns: lots, fields, what left the farm,
//! what the record lacks.

use crate::check::Counting;
use crate::findings::{Finding, Severity};
use crate::plan::{Actual, FieldRow, Hauled, LotRow, SpreadRow, Tally};
use crate::units::{Pounds, grouped, number_text};
use crate::write::findings::in_a_line;
use crate::write::page::{day, drawn, plain, table, tons, wrapped};
use jiff::civil::Date;

/// Head of the lots' table where litter out of the houses has a column.
pub(super) const LOT_HEAD: [&str; 9] =
    ["Lot\nlb", "\nopening", "+\nmade", "+\nbrought", "-\nspread", "-\nhauled", "=\non hand", "\nplanned", "\nleft"];

/// The whole tally, as it stood at the end of a day or with all of the log.
#[must_use]
pub fn tally(tally: &Tally, on: Option<Date>, width: usize) -> String {
    let until = on.map_or(String::new(), |day| format!(", as of {day}"));
    let head = format!("{}: tally {} to {}{until}", plain(&tally.farm), tally.from, tally.to);
    let mut text = wrapped(&head, "", "  ", width);
    text.push_str("\nLITTER, to the pound\n");
    text.push_str(&lots(tally, width));
    for opening in &tally.counted {
        text.push_str(&counted(&opening.lot, &opening.counting, width));
        let mut sources: Vec<String> = opening.counting.origins.iter().map(super::why::origin).collect();
        sources.dedup();
        for source in sources {
            text.push_str(&wrapped(&plain(&source), "    ", "    ", width));
        }
    }
    if tally.fields.iter().any(|f| f.sums.entries > 0) {
        text.push_str("\nAPPLIED, by field\n");
        text.push_str(&fields(tally, width));
    }
    text.push_str(&hay(tally, width));
    text.push_str(&came_and_went("LEFT THE FARM", "no litter left the farm", &tally.hauled, width));
    text.push_str(&came_and_went("CAME IN", "", &tally.gained, width));
    if tally.rain != (0.0, 0.0) {
        let line = format!(
            "Rain written down: {} inches; days lost: {}.",
            number_text(tally.rain.0, 2),
            number_text(tally.rain.1, 1)
        );
        text.push_str(&format!("\n{line}\n"));
    }
    text.push_str("\nCHECK THESE\n");
    text.push_str(&look_at(&tally.findings, width));
    text.push_str(&gaps(tally, width));
    text.push_str("\nKEEP\n");
    text.push_str(&wrapped(&kept(tally), "- ", "  ", width));
    text
}

fn kept(tally: &Tally) -> String {
    match &tally.keep {
        Some(keep) => format!(
            "Keep log.csv, farm.yaml, the analyses and the soil tests {} years: {}",
            number_text(keep.years, 0),
            keep.cite
        ),
        None => format!(
            "The tables of {} have no number of years to keep records: ask the planner.",
            plain(&tally.place_name)
        ),
    }
}

/// What the log put on, against what is allowed; nothing where it put nothing.
#[must_use]
pub fn actual(list: &[Actual], width: usize) -> String {
    if list.is_empty() {
        return String::new();
    }
    let head =
        ["Field", "Entries", "Tons", "Tons\n/ac", "N on\nlb/ac", "N\nallow", "P2O5\non", "P2O5\nallow", "K2O\non"];
    let mut t = table(&head, &[1, 2, 3, 4, 5, 6, 7, 8], width);
    for a in list {
        let one = |v: f64| number_text(v, 1);
        t.add_row(vec![
            plain(&a.field),
            a.entries.to_string(),
            tons(a.pounds),
            per_acre(a.pounds, a.acres),
            one(a.on.n),
            one(a.n_allowed),
            one(a.on.p2o5),
            a.p2o5_allowed.map_or_else(|| "-".to_string(), one),
            one(a.on.k2o),
        ]);
    }
    let mut text = "\nON THE GROUND, by the log: lb per spreadable acre, and what is allowed\n".to_string();
    text.push_str(&drawn(&t, 2, width));
    text
}

fn per_acre(pounds: Pounds, acres: f64) -> String {
    if acres > 0.0 { number_text(pounds.tons() / acres, 2) } else { "-".to_string() }
}

fn lots(tally: &Tally, width: usize) -> String {
    let mut t = table(&LOT_HEAD, &[1, 2, 3, 4, 5, 6, 7, 8], width);
    let more = (tally.lots.len() > 1).then_some(&tally.all_lots);
    for lot in tally.lots.iter().chain(more) {
        t.add_row(lot_row(lot));
    }
    drawn(&t, 2, width)
}

fn lot_row(l: &LotRow) -> Vec<String> {
    let pounds = [l.opening, l.made, l.brought, l.spread, l.hauled, l.on_hand, l.planned, l.left];
    std::iter::once(plain(&l.id)).chain(pounds.iter().map(|p| grouped(p.0))).collect()
}

/// Where the opening tons of a lot come from, and how sure they are.
pub(super) fn counted(lot: &str, counting: &Counting, width: usize) -> String {
    let range = counting.range().map_or(String::new(), |(low, high)| format!("{} to {} tons ", tons(low), tons(high)));
    let line = format!("Opening of {lot}: {}; {range}{}.", counting.from, counting.sure);
    wrapped(&plain(&line), "", "  ", width)
}

fn fields(tally: &Tally, width: usize) -> String {
    let head = [
        "Field\nentry",
        "Date",
        "Lot",
        "Tons",
        "Acres",
        "Tons\n/ac",
        "N all\nlb/ac",
        "N\nlb/ac",
        "P2O5\nlb/ac",
        "K2O\nlb/ac",
    ];
    let mut t = table(&head, &[3, 4, 5, 6, 7, 8, 9], width);
    for field in tally.fields.iter().filter(|f| f.sums.entries > 0) {
        for row in &field.spread {
            t.add_row(spread_row(row));
        }
        t.add_row(field_row(field));
    }
    let mut text = drawn(&t, 2, width);
    let on = &tally.pounds_on;
    let farm = format!(
        "The farm: {} tons on {} acres; {} lb of nitrogen, of which {} lb are available this year, {} lb P2O5, {} lb K2O.",
        tons(tally.all_lots.spread),
        number_text(tally.fields.iter().filter(|f| f.sums.entries > 0).map(|f| f.sums.acres).sum(), 2),
        number_text(tally.total_n_on, 0),
        number_text(on.n, 0),
        number_text(on.p2o5, 0),
        number_text(on.k2o, 0)
    );
    text.push_str(&wrapped(&farm, "", "  ", width));
    let legend = "N all: all nitrogen in it; N: what is available this year. An entry is per acre covered, a field per spreadable acre. By the lot's analysis in farm.yaml.";
    text.push_str(&wrapped(legend, "", "  ", width));
    text
}

fn spread_row(row: &SpreadRow) -> Vec<String> {
    let whole = |v: f64| number_text(v, 0);
    vec![
        plain(&row.id),
        day(row.date),
        plain(&row.lot),
        tons(row.pounds),
        number_text(row.acres, 2),
        number_text(row.rate, 2),
        whole(row.total_n),
        whole(row.on.n),
        whole(row.on.p2o5),
        whole(row.on.k2o),
    ]
}

fn field_row(field: &FieldRow) -> Vec<String> {
    let sums = &field.sums;
    let whole = |v: f64| number_text(v, 0);
    vec![
        plain(&sums.field),
        "all".to_string(),
        String::new(),
        tons(sums.pounds),
        number_text(sums.acres, 2),
        per_acre(sums.pounds, sums.acres),
        whole(sums.total_n),
        whole(sums.on.n),
        whole(sums.on.p2o5),
        whole(sums.on.k2o),
    ]
}

/// Cuttings and grazing, a line a field.
fn hay(tally: &Tally, width: usize) -> String {
    let mut text = String::new();
    for field in &tally.fields {
        let mut parts: Vec<String> = Vec::new();
        for (date, pounds, bales) in &field.cut {
            let mut part = format!("cut {date}");
            if pounds.0 > 0 {
                part.push_str(&format!(", {} tons", tons(*pounds)));
            }
            if let Some(bales) = bales {
                part.push_str(&format!(", {} bales", number_text(*bales, 0)));
            }
            parts.push(part);
        }
        parts.extend(field.grazed.iter().map(|(first, last)| match last {
            Some(last) => format!("grazed {first} to {last}"),
            None => format!("grazed from {first}"),
        }));
        if !parts.is_empty() {
            text.push_str(&wrapped(&plain(&format!("{}: {}", field.sums.field, parts.join("; "))), "- ", "  ", width));
        }
    }
    if text.is_empty() { text } else { format!("\nCUT AND GRAZED\n{text}") }
}

fn came_and_went(title: &str, none: &str, list: &[Hauled], width: usize) -> String {
    if list.is_empty() {
        return if none.is_empty() { String::new() } else { format!("\n{title}\n- {none}\n") };
    }
    let mut text = format!("\n{title}\n");
    for h in list {
        let mut line = format!("{} {}: {} tons of {}", h.date, h.id, tons(h.pounds), h.lot);
        for (word, what) in [("", &h.who), ("use: ", &h.usage), ("analysis: ", &h.analysis)] {
            if !what.is_empty() {
                line.push_str(&format!("; {word}{what}"));
            }
        }
        text.push_str(&wrapped(&plain(&line), "- ", "  ", width));
    }
    if list.len() > 1 {
        let all: Pounds = list.iter().map(|h| h.pounds).sum();
        text.push_str(&format!("  together {} tons\n", tons(all)));
    }
    text
}

fn look_at(findings: &[Finding], width: usize) -> String {
    let mut text = String::new();
    for finding in findings.iter().filter(|f| f.severity != Severity::Error) {
        text.push_str(&wrapped(&plain(&in_a_line(finding)), "- ", "  ", width));
    }
    if text.is_empty() { "- nothing\n".to_string() } else { text }
}

/// What the record lacks, entry by entry.
fn gaps(tally: &Tally, width: usize) -> String {
    if tally.gaps.is_empty() {
        return String::new();
    }
    let mut text = "\nSTILL TO WRITE DOWN: sward log correct ID --set COLUMN=WORDS\n".to_string();
    for gap in &tally.gaps {
        let line = format!("{} {} of {}: {}", gap.id, gap.what.word(), gap.date, gap.columns.join(", "));
        text.push_str(&wrapped(&plain(&line), "- ", "  ", width));
    }
    text
}
