//! When the planned spreading gets done: the order of work with its dates,
//! the chance of keeping them, and what lies in the stores meanwhile.
//!
//! Lives here: reckoning with days of a finished plan. Never here: any say in
//! what goes where, or whether a day lies in a window.

pub(in crate::plan) mod by_when;
mod calendar;
mod chance;
mod order;
mod store;
mod sure;
mod today;

pub use calendar::{Chance, DayPiece, DayRow, Days, Flag, FlagKind, HouseMade, Lost, MonthShare, RUNS, SeasonChance};
pub use sure::sure_capacity;
pub use today::{Danger, Go, Ground, Reason, Today, Wait, Weather, Wind, today};

use crate::check::{Pace, Ready};
use crate::findings::Severity;
use crate::plan::answer::{Application, FieldPlan, Plan, SCHEMA, Sale};
use crate::plan::stock::{LotRun, StockRun};
use crate::units::{Pounds, number_text};
use jiff::ToSpan;
use jiff::civil::Date;
use order::{Job, Litter, Lying, Work};

/// The days lost to rain by the log, as far as they reach the days that are planned or
/// the day of the plan. An entry that says no days counts for the one it rained on.
#[must_use]
pub fn lost(ready: &Ready) -> Vec<Lost> {
    let whole = |days: Option<f64>| days.map_or(1, |days| days.ceil().clamp(0.0, 366.0) as u16);
    let lost = ready.happened.rain().map(|(date, _, days)| Lost { date, days: whole(days) });
    // A log holds the rain of many years.
    let since = ready.from.min(ready.as_of);
    lost.filter(|lost| lost.reaches(since)).collect()
}

/// Tons that can be expected to be spread from one day to another, both
/// counted, beside the stack: days x share of fit days x tons a day, without the days
/// that the log shows as lost to rain. None where farm.yaml has no block `days:`.
///
/// All windows draw on the same days: two windows over the same span share
/// this, they do not each have it. A field with a long haul uses more of it
/// than its tons: weigh them with `tons_per_day / Pace::tons_at(miles)`.
#[must_use]
pub fn capacity(ready: &Ready, first: Date, last: Date) -> Option<f64> {
    let pace = ready.work.pace.as_ref()?;
    Some(shares(pace, &dates(first, last), &lost(ready)).iter().sum::<f64>() * pace.tons_per_day)
}

/// The part of each day's work that can be expected: nothing on a day that is lost.
fn shares(pace: &Pace, calendar: &[Date], lost: &[Lost]) -> Vec<f64> {
    let share = |day: &Date| if lost.iter().any(|l| l.on(*day)) { 0.0 } else { pace.share_on(*day) };
    calendar.iter().map(share).collect()
}

/// Days from one to another, both counted; none when they are the wrong way
/// round.
fn dates(first: Date, last: Date) -> Vec<Date> {
    first.series(1.day()).take_while(|day| *day <= last).collect()
}

/// The calendar of a finished plan from a day on. `lost` are days on which
/// nothing gets done. None where farm.yaml has no block `days:`.
#[must_use]
pub fn days(plan: &Plan, ready: &Ready, from: Date, lost: &[Lost]) -> Option<Days> {
    let pace = ready.work.pace.as_ref()?;
    let from = from.max(plan.from).max(plan.as_of);
    let run = StockRun::of(ready, plan.to);
    let Calendar { calendar, shares, mut rows, jobs, litter } =
        calendar((&plan.fields, &plan.sales), ready, pace, (from, plan.to), lost);
    expect(&mut rows, &jobs, &litter, &shares, &calendar);
    let (seasons, mut groups) = seasons(&rows);
    groups.push((0..rows.len()).collect());
    let stays: Vec<f64> = calendar.iter().map(|day| pace.stays_on(*day)).collect();
    let work = Work { jobs: &jobs, litter: &litter, shares: &shares, stays: &stays };
    let (each, mut together) = chance::chances(&work, &groups, &calendar);
    let all = together.pop()?;
    for (row, chance) in rows.iter_mut().zip(each) {
        row.chance = chance;
    }
    let mut flags = unfit(&rows, &work, pace);
    let out = by_when::by_calendar(&rows, &plan.sales, &run);
    let by_when = by_when::by_when(ready, &run, &out);
    flags.extend(store::piles(ready, plan, &rows, &by_when));
    flags.extend(store::full(&by_when));
    Some(Days {
        schema: SCHEMA,
        farm: plan.farm.clone(),
        as_of: plan.as_of,
        from,
        to: plan.to,
        tons_per_day: pace.tons_per_day,
        haul_counts: pace.haul.is_some(),
        not_on: pace.not_on.iter().map(|day| format!("{day:?}")).collect(),
        lost: calendar.iter().copied().filter(|day| lost.iter().any(|l| l.on(*day))).collect(),
        seasons: seasons.into_iter().zip(together).map(|(season, chance)| SeasonChance { season, chance }).collect(),
        all,
        runs: RUNS,
        flags,
        warnings: plan.findings.iter().filter(|found| found.severity == Severity::Warning).cloned().collect(),
        shares: month_shares(pace, &calendar),
        made: made(ready),
        rows,
    })
}

/// The applications of a plan with the days on which they are expected; none where
/// farm.yaml has no block `days:`.
pub(super) fn expected(fields: &[FieldPlan], sales: &[Sale], ready: &Ready) -> Option<Vec<DayRow>> {
    let pace = ready.work.pace.as_ref()?;
    let span = (ready.open_from(), ready.to);
    let Calendar { calendar, shares, mut rows, jobs, litter } =
        calendar((fields, sales), ready, pace, span, &lost(ready));
    expect(&mut rows, &jobs, &litter, &shares, &calendar);
    Some(rows)
}

/// Days, work and litter before anything is done.
struct Calendar {
    calendar: Vec<Date>,
    shares: Vec<f64>,
    rows: Vec<DayRow>,
    jobs: Vec<Job>,
    litter: Litter,
}

fn calendar(
    (fields, sales): (&[FieldPlan], &[Sale]),
    ready: &Ready,
    pace: &Pace,
    span: (Date, Date),
    lost: &[Lost],
) -> Calendar {
    let calendar = dates(span.0, span.1);
    let shares = shares(pace, &calendar, lost);
    let rows = rows(fields, ready, pace);
    let jobs = rows.iter().map(|row| job(row, ready, &calendar)).collect();
    let litter = litter(&StockRun::of(ready, span.1), sales, &calendar);
    Calendar { calendar, shares, rows, jobs, litter }
}

/// What is there of every lot on every day of the calendar, and what outlets are to take.
fn litter(run: &StockRun, sales: &[Sale], calendar: &[Date]) -> Litter {
    let place = |day: Date| calendar.iter().rposition(|on| *on <= day).unwrap_or(0);
    let lying = |lot: &LotRun| {
        let mut sold: Vec<(usize, f64)> =
            sales.iter().filter(|s| s.lot == lot.id).map(|s| (place(s.last), s.pounds.tons())).collect();
        sold.sort_by_key(|(last, _)| *last);
        let comes = calendar.first().is_some_and(|first| lot.comes.iter().any(|(day, _)| day > first));
        Lying { there: calendar.iter().filter(|_| comes).map(|day| lot.by(*day).tons()).collect(), sold }
    };
    Litter { lots: run.lots.iter().map(lying).collect() }
}

/// Every application, in the order of work, without its dates.
fn rows(fields: &[FieldPlan], ready: &Ready, pace: &Pace) -> Vec<DayRow> {
    let never = Chance { half: None, four_in_five: None, inside: 0.0 };
    let mut rows: Vec<DayRow> = Vec::new();
    for field in fields {
        for a in field.applications.iter().filter(|a| a.pounds.0 > 0) {
            let miles = a.haul.as_ref().map(|h| h.miles);
            let tons_per_day = pace.tons_at(miles);
            rows.push(DayRow {
                field: field.id.clone(),
                name: field.name.clone(),
                lot: a.lot.clone(),
                season: a.season.clone(),
                first: a.first,
                last: a.last,
                pounds: a.pounds,
                loads: a.loads,
                miles,
                tons_per_day,
                work_days: a.pounds.tons() / tons_per_day,
                begins: None,
                ends: None,
                by_day: Vec::new(),
                unfit: a.pounds,
                chance: never,
            });
        }
    }
    rows.sort_by(|a, b| Due::of_row(a, ready).cmp(&Due::of_row(b, ready)));
    rows
}

/// What the order of work goes by, the first thing first.
struct Due<'a> {
    last: Date,
    first: Date,
    /// The last day on which its lot may lie uncovered.
    may_lie: Date,
    lot: &'a str,
    miles: f64,
    field: &'a str,
    pounds: Pounds,
}

impl<'a> Due<'a> {
    fn of_row(row: &'a DayRow, ready: &Ready) -> Due<'a> {
        let DayRow { first, last, lot, field, pounds, .. } = row;
        Due::new((*first, *last), lot, row.miles, (field, *pounds), ready)
    }

    fn of(field: &'a FieldPlan, a: &'a Application, ready: &Ready) -> Due<'a> {
        let miles = a.haul.as_ref().map(|h| h.miles);
        Due::new((a.first, a.last), &a.lot, miles, (&field.id, a.pounds), ready)
    }

    fn new(
        (first, last): (Date, Date),
        lot: &'a str,
        miles: Option<f64>,
        (field, pounds): (&'a str, Pounds),
        ready: &Ready,
    ) -> Due<'a> {
        let outside = ready.lot(lot).filter(|l| l.stored == crate::farm::Stored::OutsideUncovered);
        let may_lie = outside.and_then(|l| l.uncovered_until.as_ref()).map_or(Date::MAX, |aged| aged.last);
        Due { last, first, may_lie, lot, miles: miles.unwrap_or(0.0), field, pounds }
    }

    fn cmp(&self, other: &Due<'_>) -> std::cmp::Ordering {
        (self.last, self.first, self.may_lie, self.lot)
            .cmp(&(other.last, other.first, other.may_lie, other.lot))
            .then(self.miles.total_cmp(&other.miles))
            .then((self.field, self.pounds).cmp(&(other.field, other.pounds)))
    }
}

/// The seasons of the rows, each with the places of its rows.
fn seasons(rows: &[DayRow]) -> (Vec<String>, Vec<Vec<usize>>) {
    let mut names: Vec<(Date, String)> = Vec::new();
    for row in rows {
        match names.iter_mut().find(|(_, name)| *name == row.season) {
            Some((first, _)) => *first = row.first.min(*first),
            None => names.push((row.first, row.season.clone())),
        }
    }
    names.sort();
    let places = |name: &str| (0..rows.len()).filter(|i| rows[*i].season == name).collect();
    let groups = names.iter().map(|(_, name)| places(name)).collect();
    (names.into_iter().map(|(_, name)| name).collect(), groups)
}

fn job(row: &DayRow, ready: &Ready, calendar: &[Date]) -> Job {
    let first = calendar.iter().position(|day| *day >= row.first).unwrap_or(calendar.len());
    let last = calendar.iter().rposition(|day| *day <= row.last);
    let lot = ready.lots.iter().position(|lot| lot.id == row.lot).unwrap_or(usize::MAX);
    Job { first, last, need: row.work_days, lot, tons: row.pounds.tons() }
}

/// The dates to be expected: every day brings its share of a day's work.
fn expect(rows: &mut [DayRow], jobs: &[Job], litter: &Litter, shares: &[f64], calendar: &[Date]) {
    order::work(jobs, litter, shares.iter().copied(), |job, day, _, left| {
        let (Some(row), Some(date)) = (rows.get_mut(job), calendar.get(day)) else { return };
        // To the pound: what the day leaves, down, and on the last day nothing.
        let still = Pounds(((left / row.work_days) * row.pounds.0 as f64 - 1e-6).ceil() as i64);
        let piece = row.unfit - still;
        if piece.0 > 0 {
            row.by_day.push(DayPiece { date: *date, pounds: piece });
            row.unfit = still;
        }
    });
    for row in rows {
        row.begins = row.by_day.first().map(|p| p.date);
        row.ends = row.by_day.last().map(|p| p.date);
    }
}

/// What does not fit, and what may not.
fn unfit(rows: &[DayRow], work: &Work<'_>, pace: &Pace) -> Vec<Flag> {
    let enough = enough(work, pace);
    let Work { jobs, shares, .. } = *work;
    let mut flags = Vec::new();
    for (row, job) in rows.iter().zip(jobs) {
        let fit = has_days(job, shares);
        if row.unfit.0 > 0 {
            let fix = match enough {
                _ if !fit => {
                    "none of its days can be worked: re-run the plan without it, or sell its litter".to_string()
                }
                Some(tons) if tons <= 2.0 * pace.tons_per_day => format!(
                    "{} tons a day would get everything done in its window, and so would a second spreader",
                    number_text(tons, 0)
                ),
                Some(tons) => format!(
                    "{} tons a day would get everything done in its window; a second spreader alone is not enough",
                    number_text(tons, 0)
                ),
                None => "no number of spreaders gets it done: plan less for this window".to_string(),
            };
            flags.push(Flag {
                kind: FlagKind::Unfit,
                about: row.field.clone(),
                found: format!(
                    "{} {}: {} of {} tons are not expected to get on by {}, the last day of its window",
                    row.field,
                    row.name,
                    number_text(row.unfit.tons(), 1),
                    number_text(row.pounds.tons(), 1),
                    row.last
                ),
                fix,
                by: Some(row.last),
            });
        } else if row.chance.inside < 0.8 {
            flags.push(Flag {
                kind: FlagKind::Tight,
                about: row.field.clone(),
                found: format!(
                    "{} {}: done by {}, the last day of its window, with {} chance only",
                    row.field,
                    row.name,
                    row.last,
                    row.chance.percent()
                ),
                fix: "work longer days on it or bring a second spreader".to_string(),
                by: Some(row.last),
            });
        }
    }
    flags
}

/// Whether any day of its window can be worked.
fn has_days(job: &Job, shares: &[f64]) -> bool {
    job.last.is_some_and(|last| shares.iter().take(last + 1).skip(job.first).any(|s| *s > 0.0))
}

/// The fewest whole tons a day with which everything is expected to get done
/// that has a day to be done on.
fn enough(work: &Work<'_>, pace: &Pace) -> Option<f64> {
    let Work { jobs, litter, shares, .. } = *work;
    let all_done = |tons: f64| {
        let times = tons / pace.tons_per_day;
        let faster: Vec<Job> =
            jobs.iter().filter(|j| has_days(j, shares)).map(|j| Job { need: j.need / times, ..*j }).collect();
        let mut done = 0;
        order::work(&faster, litter, shares.iter().copied(), |_, _, _, left| done += usize::from(left <= 0.0));
        done == faster.len()
    };
    let mut least = pace.tons_per_day.floor();
    let mut most = pace.tons_per_day.ceil();
    while !all_done(most) {
        least = most;
        most *= 2.0;
        // A thousand times the pace is no pace any more.
        if most > 1_000.0 * pace.tons_per_day.ceil() {
            return None;
        }
    }
    while most - least > 1.0 {
        let middle = ((least + most) / 2.0).floor();
        if all_done(middle) {
            most = middle;
        } else {
            least = middle;
        }
    }
    Some(most)
}

fn month_shares(pace: &Pace, calendar: &[Date]) -> Vec<MonthShare> {
    let mut shares: Vec<MonthShare> = Vec::new();
    for day in calendar {
        let i = usize::try_from(day.month() - 1).unwrap_or(0);
        let (Some(month), Some(Some(share))) = (crate::farm::MONTHS.get(i), pace.shares.get(i)) else { continue };
        if !shares.iter().any(|s| s.month == *month) {
            let spell = pace.spells.get(i).cloned().flatten();
            shares.push(MonthShare { month, share: share.share, origin: share.origin.clone(), spell });
        }
    }
    shares
}

fn made(ready: &Ready) -> Vec<HouseMade> {
    let houses = ready.work.houses.iter();
    houses
        .filter_map(|h| {
            let made = h.a_year.as_ref()?;
            Some(HouseMade { name: h.name.clone(), tons: made.tons, origin: made.origin.clone() })
        })
        .collect()
}
