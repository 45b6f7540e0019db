//! The cover, what to take care of, and the fields that get no litter.

use crate::check::Ready;
use crate::plan::answer::{FieldPlan, LotTally, Plan};
use crate::plan::undone;
use crate::units::{Pounds, Quantity, number_text, rate_text, trimmed};
use crate::write::leaf::{Column, ColumnKind, Leaf, Part, Ruled, SheetHead, Table};
use crate::write::litter::waits;
use crate::write::page::tons;
use crate::write::words::line::{Line, Look};
use crate::write::words::{day, days, days_of, en, one_year, said, spot};
use std::collections::BTreeMap;

/// So much of a list stands on the cover.
const MOST_LINES: usize = 4;
/// Letters in a line over the width of the cover.
const WIDE: f64 = 115.0;
/// Lines that a heading takes, or the heads of a table under its title.
const HEADS: f64 = 2.0;
/// Most lines of a cover that is set as usual, and of one that is set closer.
const ROOMY: f64 = 36.0;
const CLOSE: f64 = 43.0;

/// The cover; `order` holds the pages, each as its field with the jobs that stand there.
pub(super) fn cover(plan: &Plan, ready: &Ready, order: &[&FieldPlan]) -> Leaf {
    let (span, place) = (days(plan.from, plan.to), &plan.place_name);
    let under = match &ready.county {
        Some(county) => en::litter_in_county(span, county, place),
        None => en::litter_to_spread(span, place),
    };
    let with = plan.fields.iter().filter(|field| !field.applications.is_empty()).count();
    let spreader = &ready.spreader;
    let [load, swath] = [trimmed(spreader.load.value.get()), trimmed(spreader.swath.value.get())];
    let calibrated = ready.calibrated().map_or(en::NEVER_CALIBRATED.to_string(), |on| en::calibrated(day(on)));
    let mut blocks = vec![Part::Table(route(plan, order))];
    blocks.extend(waits(plan).map(|waits| Part::Say(line(waits))));
    blocks.extend(in_part(plan));
    blocks.extend(list(en::NOT_IN_LOG, undone(plan).into_iter().map(|undone| line(undone.text)).collect()));
    blocks.extend([
        Part::Table(lots(plan, ready)),
        Part::Say(en::spreader(&spreader.name, en::in_tons(load), en::feet(swath), calibrated)),
        Part::Stops(plan.stops.iter().map(said).collect()),
        Part::Heading(en::IF_SPILLED),
        Part::List { steps: true, lines: en::SPILL.map(Line::plain).to_vec() },
        call(ready),
    ]);
    for person in &ready.people {
        let number = person.certificate.as_ref();
        blocks.extend(number.map(|n| Part::Say(Line::plain(en::certificate(&person.name, person.part, n)))));
    }
    blocks.push(Part::Say(en::decides(&ready.decides)));
    let head = SheetHead {
        title: plan.farm.clone(),
        under,
        beside: en::FIELD_SHEETS.to_string(),
        small: en::fields_with(with, plan.fields.len() - with),
        ..SheetHead::default()
    };
    Leaf {
        id: "cover".to_string(),
        dense: close(blocks.iter().map(lines).sum()),
        runs_on: true,
        head: Some(head),
        blocks,
    }
}

/// The fields that are done in part, whether they have a sheet or not.
fn in_part(plan: &Plan) -> Vec<Part> {
    let one = |field: &FieldPlan| Some(en::part_of(&field.id, field.part_sentence()?));
    list(en::IN_PART, plan.fields.iter().filter_map(one).collect())
}

/// A list under its heading, cut to what leaves room for the rest of the cover; nothing where it is empty.
fn list(heading: &'static str, mut lines: Vec<Line>) -> Vec<Part> {
    if lines.is_empty() {
        return Vec::new();
    }
    let more = lines.len().saturating_sub(MOST_LINES);
    if more > 1 {
        lines.truncate(MOST_LINES);
        lines.push(line(en::and_more(more)));
    }
    vec![Part::Heading(heading), Part::List { steps: false, lines }]
}

/// Lines that a part takes on the cover, set as usual.
fn lines(part: &Part) -> f64 {
    let of = |line: &Line, letters: f64| (line.text().chars().count() as f64 / letters).ceil();
    let each = |all: &[Line], letters: f64| all.iter().map(|line| of(line, letters)).sum::<f64>();
    match part {
        Part::Table(table) => {
            // Numbers and days are never broken.
            let cell = |(column, cell): (&Column, &Line)| match column.kind {
                ColumnKind::Text | ColumnKind::Field => of(cell, f64::from(column.share) * WIDE),
                _ => 1.0,
            };
            let row = |row: &Vec<Line>| table.columns.iter().zip(row).map(cell).fold(1.0, f64::max);
            table.rows.iter().map(row).sum::<f64>() + HEADS
        }
        Part::Heading(_) => HEADS,
        Part::Say(line) => of(line, WIDE),
        // In two columns.
        Part::List { lines, .. } if lines.len() > 1 => each(lines, WIDE / 2.0) / 2.0,
        Part::List { lines, .. } => each(lines, WIDE),
        Part::Stops(stops) => each(stops, WIDE * 0.36) / 2.0,
        _ => 1.0,
    }
}

/// How close so many lines are set.
fn close(lines: f64) -> Option<&'static str> {
    match lines {
        few if few <= ROOMY => None,
        some if some <= CLOSE => Some("close"),
        _ => Some("packed"),
    }
}

fn column(head: &'static str, label: &'static str, share: f32, kind: ColumnKind) -> Column {
    Column { head, label, share, kind }
}

/// A line of plain words.
fn line(text: impl Into<String>) -> Line {
    Line::plain(text)
}

/// Every application in the order of work.
fn route(plan: &Plan, order: &[&FieldPlan]) -> Table {
    let year = one_year(plan);
    let mut rows = Vec::new();
    for (n, field) in order.iter().enumerate().map(|(n, field)| (n + 1, field)) {
        for a in &field.applications {
            let sample = match a.analysis_good_until {
                Some(good) if good < a.starts() => en::SAMPLE_FIRST.to_string(),
                Some(good) if good < a.last => en::up_to(day(good)),
                Some(_) => en::GOOD.to_string(),
                // The place sets no age, or nobody analyzed it.
                None => match plan.lots.iter().any(|lot| lot.id == a.lot && lot.typical) {
                    true => en::NOT_ANALYZED.to_string(),
                    false => String::new(),
                },
            };
            let row = vec![
                Line::of(Look::Link(format!("#sheet-{n}")), n.to_string()),
                line(days_of(year, a.starts(), a.last)),
                en::field(&field.id, &field.name),
                line(a.lot.as_str()),
                Line::bold(rate_text(a.rate)),
                line(number_text(a.acres(field), 2)),
                line(tons(a.pounds)),
                line(a.loads.to_string()),
                line(sample),
                Line::default(),
            ];
            rows.push((a.starts(), a.last, n, row));
        }
    }
    rows.sort_by_key(|(first, last, n, _)| (*first, *last, *n));
    let mut rows: Vec<Vec<Line>> = rows.into_iter().map(|(_, _, _, row)| row).collect();
    let all = || plan.fields.iter().flat_map(|f| &f.applications);
    let pounds: Pounds = all().map(|a| a.pounds).sum();
    let mut sum = vec![Line::default(); 10];
    sum[0] = line(en::ALL);
    sum[6] = line(tons(pounds));
    sum[7] = line(all().map(|a| a.loads).sum::<i64>().to_string());
    rows.push(sum);
    let mut columns = vec![
        column(en::SHEET, en::SHEET, 0.06, ColumnKind::Text),
        column(en::DAYS, "", 0.145, ColumnKind::Short),
        column(en::FIELD, "", 0.19, ColumnKind::Field),
        column(en::LOT, en::LOT, 0.115, ColumnKind::Short),
        column(en::TONS_AC, en::TONS_AC, 0.075, ColumnKind::Number),
        column(en::ACRES, en::ACRES, 0.075, ColumnKind::Number),
        column(en::TONS, en::TONS, 0.075, ColumnKind::Number),
        column(en::LOADS, en::LOADS, 0.065, ColumnKind::Number),
        column(en::ANALYSIS, en::ANALYSIS, 0.145, ColumnKind::Short),
        column(en::DONE, en::DONE, 0.055, ColumnKind::Tick),
    ];
    // A column in which nothing stands only takes room.
    if rows.iter().all(|row| row.get(ANALYSIS).is_none_or(Line::is_empty)) {
        let room = columns.remove(ANALYSIS).share;
        columns[FIELD].share += room;
        rows.iter_mut().for_each(|row| drop(row.remove(ANALYSIS)));
    }
    Table { title: en::THE_WORK, columns, rows, sum: true, ruled: Ruled::Route }
}

/// Places of columns of the route.
const FIELD: usize = 2;
const ANALYSIS: usize = 8;

fn lots(plan: &Plan, ready: &Ready) -> Table {
    // What is made day by day has no day of its own.
    let comes = |lot: &str| plan.coming.iter().filter(|row| row.lot == lot).map(|row| row.day).min();
    let row = |l: &LotTally| {
        let lot = ready.lot(&l.id);
        vec![
            en::lot_of(&l.id, &l.kind),
            line(lot.map(|l| l.stored.word()).unwrap_or_default()),
            line(tons(l.on_hand)),
            comes(&l.id).map_or_else(|| line(tons(l.coming)), |from| en::from_day(tons(l.coming), day(from))),
            Line::bold(tons(l.planned)),
            line(tons(l.after_spreading())),
            line(match l.analysis_good_until {
                Some(good) => day(good),
                None if l.typical => en::NOT_ANALYZED.to_string(),
                // The place sets no age.
                None => en::NO_LAST_DAY.to_string(),
            }),
            lot.and_then(|l| l.stack).map_or_else(|| line(en::NOT_DRAWN), spot),
        ]
    };
    let columns = vec![
        column(en::LOT, "", 0.19, ColumnKind::Text),
        column(en::STORED, en::STORED, 0.12, ColumnKind::Text),
        column(en::ON_HAND, en::ON_HAND_TONS, 0.09, ColumnKind::Number),
        column(en::TO_COME, en::TO_COME_TONS, 0.09, ColumnKind::Number),
        column(en::TO_SPREAD, en::TO_SPREAD_TONS, 0.09, ColumnKind::Number),
        column(en::LEFT_AFTER, en::LEFT_AFTER_TONS, 0.09, ColumnKind::Number),
        column(en::GOOD_THROUGH, en::GOOD_THROUGH, 0.13, ColumnKind::Text),
        column(en::STACK, en::STACK, 0.20, ColumnKind::Text),
    ];
    let rows = plan.lots.iter().map(row).collect();
    Table { title: en::BY_LOT, columns, rows, sum: false, ruled: Ruled::Sheet }
}

/// Whom to call.
pub(super) fn call(ready: &Ready) -> Part {
    let capital = |text: &str| text.chars().take(1).flat_map(char::to_uppercase).chain(text.chars().skip(1)).collect();
    let people = ready.people.iter().map(|p| {
        let part: String = capital(p.part);
        match &p.phone {
            Some(phone) => en::call_at(part, &p.name, phone),
            None => en::call(part, &p.name),
        }
    });
    Part::Call(std::iter::once(en::emergency()).chain(people).collect())
}

/// What to take care of on every field.
pub(super) fn care(plan: &Plan) -> Leaf {
    let blocks = vec![
        Part::List { steps: false, lines: plan.cautions.iter().map(said).collect() },
        Part::Heading(en::RECORD),
        Part::List { steps: false, lines: plan.record_items.iter().map(|r| line(r.text.as_str())).collect() },
        Part::Heading(en::AGREED),
        Part::Sign(&en::SIGN),
    ];
    leaf("care", en::TAKE_CARE, plan, blocks)
}

/// Letters of a reason, with what would change it, that takes several lines of its list.
const LONG_REASON: usize = 60;

/// The fields that get none, and why; nothing where every field gets some.
pub(super) fn without(plan: &Plan) -> Option<Leaf> {
    let fields = plan.fields.iter().filter(|f| f.applications.is_empty());
    // What stands there for another field is not printed again: a list as long as a farm runs on.
    let mut said: BTreeMap<(String, String), &str> = BTreeMap::new();
    let mut rows: Vec<Vec<Line>> = Vec::new();
    for f in fields {
        for (reason, fix) in why(f) {
            let first = *said.entry((reason.clone(), fix.clone())).or_insert(&f.id);
            let again = first != f.id && reason.len() + fix.len() > LONG_REASON;
            let (reason, fix) = if again { (en::same_as(first), String::new()) } else { (reason, fix) };
            rows.push(vec![en::field(&f.id, &f.name), line(number_text(f.gross_acres, 2)), line(reason), line(fix)]);
        }
    }
    let columns = vec![
        column(en::FIELD, "", 0.26, ColumnKind::Field),
        column(en::ACRES_IN_ALL, en::ACRES_IN_ALL, 0.12, ColumnKind::Number),
        column(en::WHY_NONE, en::WHY_NONE, 0.33, ColumnKind::Text),
        column(en::WOULD_CHANGE, en::WOULD_CHANGE, 0.29, ColumnKind::Text),
    ];
    if rows.is_empty() {
        return None;
    }
    let table = Part::Table(Table { title: "", columns, rows, sum: false, ruled: Ruled::Route });
    Some(leaf("no-litter", en::WITHOUT, plan, vec![table, Part::Say(line(en::CALL_BEFORE))]))
}

fn leaf(id: &str, title: &str, plan: &Plan, blocks: Vec<Part>) -> Leaf {
    let head = SheetHead { title: title.to_string(), beside: plan.farm.clone(), ..SheetHead::default() };
    Leaf { id: id.to_string(), dense: None, runs_on: true, head: Some(head), blocks }
}

/// Each reason, and what would change it where the plan says so.
fn why(field: &FieldPlan) -> Vec<(String, String)> {
    if field.bars.is_empty() {
        return field.why_none().into_iter().map(|why| (why, String::new())).collect();
    }
    field.bars.iter().map(|b| (b.why.clone(), b.fix.clone())).collect()
}
