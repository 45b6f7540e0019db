//! The tally: what the log says was done, lot by lot and field by field, to
//! the pound, beside what the plan still means to do.

use crate::balance::{Balance, FieldBalance, Npk};
use crate::check::{Field, Lot, Ready};
use crate::findings::{Finding, Findings};
use crate::plan::answer::{Plan, SCHEMA};
use crate::plan::tally_rows::{
    Actual, Done, FieldRow, Gap, Hauled, Kept, LotRow, MovedRow, Opening, Since, SpreadRow, Tally,
};
use crate::plan::tally_rows::{OtherRow, YearTally};
use crate::plan::{record_checks, undone};
use crate::record::{Entry, What, asked, known_by};
use crate::tables::{Book, Scope, Tables, topic};
use crate::units::{Pounds, Quantity};
use jiff::civil::Date;

/// Makes the tally of a farm beside its plan.
#[must_use]
pub fn tally(ready: &Ready, tables: &Tables, balance: &Balance, plan: &Plan) -> Tally {
    let lots: Vec<LotRow> = ready
        .lots
        .iter()
        .map(|l| {
            let of_plan = plan.lots.iter().find(|p| p.id == l.id);
            books(ready, l, of_plan.map(|p| (p.coming, p.planned, p.sold)).unwrap_or_default())
        })
        .collect();
    Tally {
        schema: SCHEMA,
        farm: ready.name.clone(),
        place_name: ready.place_name.clone(),
        from: ready.from,
        to: ready.to,
        as_of: ready.as_of,
        since: ready.lots.iter().filter_map(|l| Some(Since { lot: l.id.clone(), counted_on: l.count.day? })).collect(),
        counted: ready
            .lots
            .iter()
            .filter_map(|l| Some(Opening { lot: l.id.clone(), counting: l.counting.clone()? }))
            .collect(),
        undone: undone(plan),
        all_lots: all(&lots),
        lots,
        done: done(ready, tables, balance, all_findings(ready, tables, balance, plan)),
    }
}

/// The tally of a calendar year: of the farm as it was in it, with what its balance found.
#[must_use]
pub fn tally_of_year(then: &Ready, tables: &Tables, balance: &Balance, found: &Findings) -> YearTally {
    let row = |id: &str, moved: &dyn Fn(What) -> Pounds| MovedRow {
        id: id.to_string(),
        made: moved(What::CleanOut),
        brought: moved(What::Bring),
        spread: moved(What::Spread),
        hauled: moved(What::Haul),
    };
    let entries: Vec<&Entry> = then.done().filter(|e| e.what.moves_litter()).collect();
    let of = |lot: Option<&str>, what: What| -> Pounds {
        let mine = entries.iter().filter(|e| e.what == what && lot.is_none_or(|lot| e.lot_id() == lot));
        mine.map(|e| e.amount).sum()
    };
    let lots: Vec<MovedRow> = then.lots.iter().map(|lot| row(&lot.id, &|what| of(Some(&lot.id), what))).collect();
    let all = row("all", &|what| of(None, what));
    let findings = record_checks::shown_of_year(then, tables, balance, found);
    YearTally {
        schema: SCHEMA,
        farm: then.name.clone(),
        place_name: then.place_name.clone(),
        year: then.from.year(),
        lots,
        all_lots: all,
        done: done(then, tables, balance, findings.sorted().into_iter().cloned().collect()),
    }
}

/// What was done in the days of the farm; of litter, all that the sums of lots and fields
/// count.
fn done(ready: &Ready, tables: &Tables, balance: &Balance, findings: Vec<Finding>) -> Done {
    let fields = fields(ready, balance);
    let sum = |get: &dyn Fn(&FieldRow) -> f64| fields.iter().map(|f| get(f) * f.sums.acres).sum::<f64>();
    let listed = |kinds: &[What]| {
        let mine = ready.happened.iter().filter(|e| kinds.contains(&e.what) && ready.lists(e));
        sorted(mine).into_iter().map(hauled).collect()
    };
    let rain = ready.done().filter(|e| e.what == What::Rain);
    let mut gaps: Vec<Gap> = sorted(ready.done()).into_iter().filter_map(gap).collect();
    // The parts of an entry on a field that was split lack the same.
    gaps.dedup_by(|a, b| a.id == b.id && a.place == b.place);
    Done {
        total_n_on: sum(&|f| f.sums.total_n),
        pounds_on: Npk { n: sum(&|f| f.sums.on.n), p2o5: sum(&|f| f.sums.on.p2o5), k2o: sum(&|f| f.sums.on.k2o) },
        hauled: listed(&[What::Haul]),
        gained: listed(&[What::Bring, What::CleanOut]),
        others: sorted(ready.done()).into_iter().filter_map(other).collect(),
        rain: rain.fold((0.0, 0.0), |(i, d), e| (i + e.inches.unwrap_or(0.0), d + e.days.unwrap_or(0.0))),
        keep: ready.book(tables).and_then(|book| kept(ready, &book)),
        gaps,
        findings,
        fields,
    }
}

/// How long the record is kept: the longest that was asked for since its first day.
pub(super) fn kept(ready: &Ready, book: &Book<'_>) -> Option<Kept> {
    let days = [ready.from, ready.to, ready.as_of].into_iter();
    let of_day = |day| book.as_on(day).get(topic::RECORDS_YEARS, &Scope::new().large(ready.large));
    let longest = days.filter_map(of_day).max_by(|a, b| a.value.get().total_cmp(&b.value.get()))?;
    Some(Kept { years: longest.value.get(), cite: longest.cite })
}

/// What the record shows, and what was found of it before.
fn all_findings(ready: &Ready, tables: &Tables, balance: &Balance, plan: &Plan) -> Vec<Finding> {
    let mut findings = record_checks::all(ready, tables, balance);
    record_checks::told_before(&plan.findings).for_each(|finding| findings.push(finding.clone()));
    findings.sorted().into_iter().cloned().collect()
}

/// Entries by day, then by id, whatever order they were written in.
fn sorted<'a>(entries: impl Iterator<Item = &'a Entry>) -> Vec<&'a Entry> {
    let mut list: Vec<&Entry> = entries.collect();
    list.sort_by(|a, b| (a.date, &a.id).cmp(&(b.date, &b.id)));
    list
}

/// The books of a lot: every other tally of it is read off here.
pub(super) fn books(ready: &Ready, lot: &Lot, (coming, planned, sold): (Pounds, Pounds, Pounds)) -> LotRow {
    let opening = lot.on_hand;
    let moved = |what| ready.moved(&lot.id, what);
    let (made, brought) = (moved(What::CleanOut), moved(What::Bring));
    let (spread, hauled) = (moved(What::Spread), moved(What::Haul));
    let on_hand = opening + made + brought - spread - hauled;
    // Where more went out than was there, nothing is left.
    let left = (on_hand + coming - planned - sold).max(Pounds(0));
    LotRow { id: lot.id.clone(), opening, made, brought, spread, hauled, on_hand, coming, planned, sold, left }
}

fn all(lots: &[LotRow]) -> LotRow {
    let sum = |get: fn(&LotRow) -> Pounds| lots.iter().map(get).sum();
    LotRow {
        id: "all".to_string(),
        opening: sum(|l| l.opening),
        made: sum(|l| l.made),
        brought: sum(|l| l.brought),
        spread: sum(|l| l.spread),
        hauled: sum(|l| l.hauled),
        on_hand: sum(|l| l.on_hand),
        coming: sum(|l| l.coming),
        planned: sum(|l| l.planned),
        sold: sum(|l| l.sold),
        left: sum(|l| l.left),
    }
}

/// An entry that no other table of the tally shows.
fn other(entry: &Entry) -> Option<OtherRow> {
    let elsewhere = matches!(entry.what, What::Rain | What::Cut | What::Graze | What::Void);
    (!entry.what.moves_litter() && !elsewhere).then(|| OtherRow {
        id: entry.id.clone(),
        date: entry.date,
        what: entry.what,
        about: entry.about().to_string(),
        pounds: matches!(entry.what, What::Count | What::FeedHay).then_some(entry.amount),
        said: entry.said(),
    })
}

fn hauled(entry: &Entry) -> Hauled {
    let parts = ["to", "from", "address"].map(|c| entry.word(c)).into_iter().filter(|w| !w.is_empty());
    Hauled {
        id: entry.id.clone(),
        date: entry.date,
        lot: entry.lot_id().to_string(),
        pounds: entry.amount,
        who: parts.collect::<Vec<_>>().join(", "),
        usage: entry.word("use").to_string(),
        analysis: entry.word("analysis").to_string(),
    }
}

/// What the record of an entry still lacks. Scale tickets count the loads, and
/// the weather of the day after is asked once the entry stands.
fn gap(entry: &Entry) -> Option<Gap> {
    let after = (entry.what == What::Spread).then_some("after");
    let columns: Vec<&'static str> = asked(entry.what)
        .iter()
        .map(|(column, _, _)| *column)
        .chain(after)
        .filter(|c| entry.word(c).is_empty() && !known_by(c, &|other| !entry.word(other).is_empty()))
        .collect();
    (!columns.is_empty()).then(|| Gap {
        id: entry.id.clone(),
        date: entry.date,
        what: entry.what,
        place: entry.place.clone(),
        columns,
    })
}

/// What the log put on every field on which it put something, beside what is allowed.
#[must_use]
pub fn actual(ready: &Ready, balance: &Balance) -> Vec<Actual> {
    fields(ready, balance).into_iter().map(|f| f.sums).filter(Actual::has_any).collect()
}

fn fields(ready: &Ready, balance: &Balance) -> Vec<FieldRow> {
    balance
        .fields
        .iter()
        .map(|weighed| {
            let field = weighed.field();
            let days = (ready.from, ready.to);
            let on_it = |what: What, (first, last): (Date, Date)| {
                let mine = ready.happened.on_field(field.id(), what);
                sorted(mine.filter(|e| first <= e.date && e.date <= last))
            };
            let listed = if ready.is_past { days } else { weighed.listed(days) };
            let entries = on_it(What::Spread, listed);
            let spread: Vec<SpreadRow> = entries.iter().map(|e| spread(weighed, e)).collect();
            let acres = weighed.acres;
            let per_acre = |get: &dyn Fn(&SpreadRow) -> f64| match acres > 0.0 {
                true => spread.iter().map(|s| get(s) * s.acres).sum::<f64>() / acres,
                false => 0.0,
            };
            let value = |id| weighed.notes.value(id);
            FieldRow {
                covered: covered(weighed, &entries),
                sums: Actual {
                    field: field.id().to_string(),
                    name: field.written.name.clone(),
                    acres,
                    entries: spread.len(),
                    pounds: spread.iter().map(|s| s.pounds).sum(),
                    on: Npk { n: per_acre(&|s| s.on.n), p2o5: per_acre(&|s| s.on.p2o5), k2o: per_acre(&|s| s.on.k2o) },
                    densest: weighed.done(),
                    total_n: per_acre(&|s| s.total_n),
                    n_allowed: weighed.needed().n,
                    p2o5_allowed: weighed.phosphorus.allowed.map(|lb| value(lb) * weighed.needs.len() as f64),
                },
                cut: on_it(What::Cut, days).iter().map(|e| (e.date, e.amount, e.bales)).collect(),
                grazed: grazed(ready, field),
                spread,
            }
        })
        .filter(|f| f.sums.has_any() || !f.cut.is_empty() || !f.grazed.is_empty())
        .collect()
}

/// Acres that some spreadings covered together: ground that several say once, and of those
/// that do not say theirs as much as fits beside it.
fn covered(weighed: &FieldBalance, entries: &[&Entry]) -> f64 {
    let ground = &weighed.field().done;
    let (known, rest): (Vec<&Entry>, Vec<&Entry>) = entries.iter().copied().partition(|entry| ground.knows(entry));
    let beside: f64 = rest.iter().map(|entry| entry.acres.unwrap_or(weighed.acres)).sum();
    (ground.together(&known) + beside).min(weighed.acres)
}

/// Grazing of a field on some day of the plan, whenever it began.
fn grazed(ready: &Ready, field: &Field) -> Vec<(Date, Option<Date>)> {
    let mut days = ready.happened.grazings(field.id());
    days.retain(|(first, last)| *first <= ready.to && last.is_none_or(|last| ready.from <= last));
    days
}

/// One spreading, with what its litter holds by the lot's analysis.
fn spread(weighed: &FieldBalance, entry: &Entry) -> SpreadRow {
    let lot = entry.lot_id();
    let acres = entry.acres.unwrap_or(weighed.acres);
    let rate = if acres > 0.0 { entry.amount.tons() / acres } else { 0.0 };
    let (on, total_n) = weighed.held.get(&entry.id).map_or((Npk::default(), 0.0), |held| {
        (held.per_ton.map(|step| weighed.value(step) * rate), weighed.value(held.total_n) * rate)
    });
    SpreadRow {
        id: entry.id.clone(),
        date: entry.date,
        lot: lot.to_string(),
        pounds: entry.amount,
        acres,
        rate,
        on,
        total_n,
    }
}
