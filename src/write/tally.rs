//! The tally on a terminal of 80 columns: lots, fields, what left the farm,
//! what the record lacks.

use crate::check::Counting;
use crate::findings::{Finding, Severity};
use crate::plan::{Actual, Done, FieldRow, Hauled, MovedRow, OtherRow, SpreadRow, Tally, YearTally};
use crate::units::{Pounds, at_most, grouped, number_text};
use crate::write::findings::in_a_line;
use crate::write::litter::{LotBooks, books, of_tally, overdrawn};
use crate::write::page::{Page, day, or_dash, tons, whole};
use crate::write::why::origin;
use jiff::civil::Date;

/// The whole tally, as it stood at the end of a day.
#[must_use]
pub fn tally(tally: &Tally, width: usize) -> String {
    let title = format!("{}: tally {} to {}, as of {}", tally.farm, tally.from, tally.to, tally.as_of);
    let mut page = Page::titled(title, width);
    page.heading("LITTER, to the pound");
    let all = (tally.lots.len() > 1).then_some(&tally.all_lots);
    let lots: Vec<LotBooks> = tally.lots.iter().chain(all).map(of_tally).collect();
    books(&mut page, &lots, false);
    overdrawn(&mut page, &tally.lots.iter().map(of_tally).collect::<Vec<_>>());
    if !tally.since.is_empty() {
        let counted: Vec<String> = tally.since.iter().map(|s| format!("{} {}", s.lot, s.counted_on)).collect();
        page.say(format!(
            "Each lot since its last count: {}. What came and went before is in that count.",
            counted.join(", ")
        ));
    }
    for opening in &tally.counted {
        counted(&mut page, &opening.lot, &opening.counting);
        let mut sources: Vec<String> = opening.counting.origins.iter().map(origin).collect();
        sources.dedup();
        sources.iter().for_each(|source| page.wrapped(source, "    ", "    "));
    }
    if !tally.undone.is_empty() {
        page.heading("NOT IN THE LOG");
        tally.undone.iter().for_each(|undone| page.item(&undone.text));
    }
    done(&mut page, &tally.done, &tally.place_name);
    page.done()
}

/// The tally of a calendar year.
#[must_use]
pub fn year_tally(tally: &YearTally, width: usize) -> String {
    let mut page = Page::titled(format!("{}: tally of {}", tally.farm, tally.year), width);
    page.heading("LITTER MOVED, to the pound");
    let all = (tally.lots.len() > 1).then_some(&tally.all_lots);
    let heads = ["Lot\nlb", "+\nmade>", "+\nbrought>", "-\nspread>", "-\nhauled>"];
    let row = |l: &MovedRow| {
        let pounds = [l.made, l.brought, l.spread, l.hauled];
        std::iter::once(l.id.clone()).chain(pounds.iter().map(|p| grouped(p.0))).collect()
    };
    page.table(&heads, tally.lots.iter().chain(all).map(row));
    page.say("Every entry counts by the analysis, forage and season of its own day.");
    done(&mut page, &tally.done, &tally.place_name);
    page.done()
}

/// What was done on the fields, what left and came, and what to look at.
fn done(page: &mut Page, tally: &Done, place: &str) {
    if tally.fields.iter().any(|f| f.sums.entries > 0) {
        page.heading("APPLIED, by field");
        fields(page, tally);
    }
    hay(page, tally);
    if tally.hauled.is_empty() {
        page.heading("LEFT THE FARM");
        page.item("no litter left the farm");
    }
    came_and_went(page, "LEFT THE FARM", &tally.hauled);
    came_and_went(page, "CAME IN", &tally.gained);
    others(page, &tally.others);
    if tally.rain != (0.0, 0.0) {
        let (inches, lost) = (number_text(tally.rain.0, 2), number_text(tally.rain.1, 1));
        page.heading(format!("Rain written down: {inches} inches; days lost: {lost}."));
    }
    page.heading("CHECK THESE");
    look_at(page, &tally.findings);
    gaps(page, tally);
    page.heading("KEEP");
    page.item(kept(tally, place));
}

fn kept(tally: &Done, place: &str) -> String {
    match &tally.keep {
        Some(keep) => format!(
            "Keep log.csv, farm.yaml, the analyses and the soil tests {} years: {}",
            whole(keep.years),
            keep.cite
        ),
        None => {
            format!("The tables of {} have no number of years to keep records: ask the planner.", place)
        }
    }
}

/// What the log put on, against what is allowed; nothing where it put nothing.
#[must_use]
pub fn actual(list: &[Actual], width: usize) -> String {
    let mut page = Page::new(width);
    if list.is_empty() {
        return page.done();
    }
    let one = |v: f64| number_text(v, 1);
    let rows = list.iter().map(|a| {
        vec![
            a.field.clone(),
            a.entries.to_string(),
            tons(a.pounds),
            per_acre(a.pounds, a.acres),
            one(a.densest.n),
            at_most(a.n_allowed, 1),
            one(a.densest.p2o5),
            or_dash(a.p2o5_allowed.map(|lb| at_most(lb, 1))),
            one(a.densest.k2o),
        ]
    });
    let heads = [
        "Field",
        "Spread-\nings>",
        "Tons>",
        "Tons/ac\nmean>",
        "N on\nlb/ac>",
        "N\nallow>",
        "P2O5\non>",
        "P2O5\nallow>",
        "K2O\non>",
    ];
    page.heading("ON THE GROUND, by the log: lb per acre, and what is allowed");
    page.table(&heads, rows);
    page.say("Tons/ac mean: all tons over all acres that litter may go on. On: litter, fertilizer and fed hay of the growing years of the plan, on the acres that got the most; an entry on nearly all of a field counts as on all of it. A limit may count other days: its warning names them.");
    page.done()
}

fn per_acre(pounds: Pounds, acres: f64) -> String {
    or_dash((acres > 0.0).then(|| number_text(pounds.tons() / acres, 2)))
}

/// Where the opening tons of a lot come from, and how sure they are.
pub(super) fn counted(page: &mut Page, lot: &str, counting: &Counting) {
    let range = counting.range().map_or(String::new(), |(low, high)| format!("{} to {} tons ", tons(low), tons(high)));
    page.say(format!("Opening of {lot}: {}; {range}{}.", counting.from, counting.sure));
}

fn fields(page: &mut Page, tally: &Done) {
    let spread_on = || tally.fields.iter().filter(|f| f.sums.entries > 0);
    let rows = spread_on().flat_map(|field| field.spread.iter().map(spread_row).chain([field_row(field)]));
    let heads = [
        "Field\nentry",
        "Date",
        "Lot",
        "Tons>",
        "Acres>",
        "Tons\n/ac>",
        "N all\nlb/ac>",
        "N\nlb/ac>",
        "P2O5\nlb/ac>",
        "K2O\nlb/ac>",
    ];
    page.table(&heads, rows);
    let on = &tally.pounds_on;
    page.say(format!(
        "The farm: {} tons on {} acres; {} lb of nitrogen, of which {} lb are available this year, {} lb P2O5, {} lb K2O.",
        tons(spread_on().map(|f| f.sums.pounds).sum()),
        number_text(spread_on().map(|f| f.covered).sum(), 2),
        whole(tally.total_n_on),
        whole(on.n),
        whole(on.p2o5),
        whole(on.k2o)
    ));
    page.say("N all: all nitrogen in it; N: what is available this year. An entry is per acre covered, a field per spreadable acre. By the lot's analysis of the entry's day.");
}

fn spread_row(row: &SpreadRow) -> Vec<String> {
    vec![
        row.id.clone(),
        day(row.date),
        row.lot.clone(),
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
    vec![
        sums.field.clone(),
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
fn hay(page: &mut Page, tally: &Done) {
    let cut = |(date, pounds, bales): &(Date, Pounds, Option<f64>)| {
        let tons = if pounds.0 > 0 { format!(", {} tons", tons(*pounds)) } else { String::new() };
        let bales = bales.map_or(String::new(), |bales| format!(", {} bales", whole(bales)));
        format!("cut {date}{tons}{bales}")
    };
    let grazed = |(first, last): &(Date, Option<Date>)| match last {
        Some(last) => format!("grazed {first} to {last}"),
        None => format!("grazed from {first}"),
    };
    let used: Vec<&FieldRow> = tally.fields.iter().filter(|f| !f.cut.is_empty() || !f.grazed.is_empty()).collect();
    if !used.is_empty() {
        page.heading("CUT AND GRAZED");
    }
    for field in used {
        let parts: Vec<String> = field.cut.iter().map(cut).chain(field.grazed.iter().map(grazed)).collect();
        page.item(format!("{}: {}", field.sums.field, parts.join("; ")));
    }
}

fn came_and_went(page: &mut Page, title: &str, list: &[Hauled]) {
    if !list.is_empty() {
        page.heading(title);
    }
    for h in list {
        let mut line = format!("{} {}: {} tons of {}", h.date, h.id, tons(h.pounds), h.lot);
        for (word, what) in [("", &h.who), ("use: ", &h.usage), ("analysis: ", &h.analysis)] {
            if !what.is_empty() {
                line.push_str(&format!("; {word}{what}"));
            }
        }
        page.item(line);
    }
    if list.len() > 1 {
        let all: Pounds = list.iter().map(|h| h.pounds).sum();
        page.line(format!("  together {} tons", tons(all)));
    }
}

/// Fertilizer, lime, samples, counts, animals, cleaning, put-off clean-outs.
fn others(page: &mut Page, list: &[OtherRow]) {
    if !list.is_empty() {
        page.heading("ALSO LOGGED");
    }
    for row in list {
        let pounds = row.pounds.map_or(String::new(), |pounds| format!(", {} tons", tons(pounds)));
        let said = if row.said.is_empty() { String::new() } else { format!(", {}", row.said) };
        page.item(format!("{} {}: {} {}{pounds}{said}", row.date, row.id, row.what.word(), row.about));
    }
}

fn look_at(page: &mut Page, findings: &[Finding]) {
    let mut own = Page::new(page.width());
    findings.iter().filter(|f| f.severity != Severity::Error).for_each(|finding| own.item(in_a_line(finding)));
    page.list(own);
}

/// What the record lacks, entry by entry.
fn gaps(page: &mut Page, tally: &Done) {
    if !tally.gaps.is_empty() {
        page.heading("STILL TO WRITE DOWN: sward log correct ID --set COLUMN=WORDS");
    }
    for gap in &tally.gaps {
        page.item(format!("{} {} of {}: {}", gap.id, gap.what.word(), gap.date, gap.columns.join(", ")));
    }
}
