//! The log beside a plan that was handed out: what was done of it, what differs, what
//! is still to come, and what the plan knows nothing of.

use crate::check::Ready;
use crate::plan::answer::{Application, Plan, SCHEMA};
use crate::record::{Entry, What};
use crate::units::{Pounds, number_text, rate_text};
use geo::Centroid;
use jiff::civil::Date;
use serde::Serialize;

/// Tons that differ by less than this share are as planned: scales and spreaders are
/// no truer. Our own choice.
const AS_PLANNED: f64 = 0.05;

/// Acres that are two in a hundred more would be all of the field's: it is done.
const ALL_DONE: f64 = 1.02;

/// The log beside a plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Against {
    /// Version of the answer's form.
    pub schema: u32,
    /// Name of the farm.
    pub farm: String,
    /// The day as of which the plan was made.
    pub planned_as_of: Date,
    /// The day as of which the log is looked at.
    pub as_of: Date,
    /// Every application of the plan, by its last day.
    pub rows: Vec<AgainstRow>,
    /// What was spread since the plan was made and is on none of its rows.
    pub unplanned: Vec<Unplanned>,
}

/// An application that was planned, and what was done of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AgainstRow {
    /// Field.
    pub field: String,
    /// Lot.
    pub lot: String,
    /// First day of its window.
    pub first: Date,
    /// Last day of its window.
    pub last: Date,
    /// Tons an acre.
    pub rate: f64,
    /// Acres of the rest of a field that was done in part, where it was planned for those alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rest_acres: Option<f64>,
    /// Litter planned.
    pub planned: Pounds,
    /// Litter spread.
    pub done: Pounds,
    /// First and last day of spreading.
    pub on: Option<(Date, Date)>,
    /// How far it is.
    pub state: Progress,
    /// What differs.
    pub differs: Vec<String>,
}

/// How far an application is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Progress {
    /// As planned or more, and on all of the ground.
    Done,
    /// Less than planned, and its window is not over.
    Begun,
    /// Nothing yet, and its window is not over.
    ToCome,
    /// Less than planned when its window was over.
    Short,
    /// Nothing, and its window is over.
    NotDone,
}

impl Progress {
    /// The word for people.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Progress::Done => "done",
            Progress::Begun => "begun",
            Progress::ToCome => "to come",
            Progress::Short => "short",
            Progress::NotDone => "not done",
        }
    }
}

/// An entry that is on no row of the plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Unplanned {
    /// The day.
    pub date: Date,
    /// Field.
    pub field: String,
    /// Lot.
    pub lot: String,
    /// How much.
    pub pounds: Pounds,
    /// Line of the log.
    pub line: usize,
}

/// Sets the log since a plan was made beside it. Litter that the plan counted as done
/// already is not looked at again.
#[must_use]
pub fn against(plan: &Plan, ready: &Ready) -> Against {
    let mut rows: Vec<(AgainstRow, Vec<&Entry>)> =
        plan.fields.iter().flat_map(|f| f.applications.iter().map(|a| (row(&f.id, a), Vec::new()))).collect();
    rows.retain(|(row, _)| row.planned.0 > 0);
    rows.sort_by(|(a, _), (b, _)| (a.last, a.first, &a.field, &a.lot).cmp(&(b.last, b.first, &b.field, &b.lot)));
    let mut unplanned = Vec::new();
    // The plan knew what the log held on its own day.
    let mut entries: Vec<&Entry> = ready.happened.iter().filter(|e| e.what == What::Spread).collect();
    let mut known = Known::of(plan);
    entries.retain(|e| e.date <= plan.to && (e.date > plan.as_of || (e.date == plan.as_of && !known.has(e))));
    entries.sort_by_key(|e| e.date);
    for entry in entries {
        match best(&rows, entry, plan) {
            Some(at) => rows[at].1.push(entry),
            None => unplanned.push(Unplanned {
                date: entry.date,
                field: entry.field_id().to_string(),
                lot: entry.lot_id().to_string(),
                pounds: entry.amount,
                line: entry.place.line,
            }),
        }
    }
    // A log that goes on after the day of the farm is as of its last entry.
    let last = ready.happened.iter().map(|e| e.date).max();
    let as_of = last.map_or(ready.as_of, |last| last.max(ready.as_of));
    let rows = rows.into_iter().map(|(row, entries)| judged(row, &entries, (plan, ready), as_of)).collect();
    Against { schema: SCHEMA, farm: plan.farm.clone(), planned_as_of: plan.as_of, as_of, rows, unplanned }
}

fn row(field: &str, a: &Application) -> AgainstRow {
    AgainstRow {
        field: field.to_string(),
        lot: a.lot.clone(),
        first: a.first,
        last: a.last,
        rate: a.rate,
        rest_acres: a.rest_acres,
        planned: a.pounds,
        done: Pounds(0),
        on: None,
        state: Progress::ToCome,
        differs: Vec::new(),
    }
}

/// The part of a field in the plan that an entry's ground lies on, where it says any.
fn part_of<'p>(entry: &Entry, plan: &'p Plan) -> Option<&'p str> {
    let fields = plan.in_parts.iter().flat_map(|all| &all.fields);
    let field = fields.into_iter().find(|field| field.id == entry.field_id())?;
    let at = entry.ground.as_ref()?.shape.centroid()?;
    Some(&field.part_at([at.x(), at.y()])?.id)
}

/// What a plan knew of the litter that went on on its own day: so many pounds by field, the first that
/// the log has.
struct Known<'p>(Vec<(&'p str, Pounds)>);

impl Known<'_> {
    fn of(plan: &Plan) -> Known<'_> {
        let today = plan.fields.iter().filter(|field| field.today.0 > 0);
        Known(today.map(|field| (plan.whole_of(&field.id), field.today)).collect())
    }

    /// Whether an entry of the day is among them; it is then counted.
    fn has(&mut self, entry: &Entry) -> bool {
        let own = self.0.iter_mut().find(|(field, pounds)| *field == entry.field_id() && pounds.0 > 0);
        own.is_some_and(|(_, pounds)| {
            *pounds -= entry.amount;
            true
        })
    }
}

/// The row that an entry is of: the one of its field whose window lies nearest to its day,
/// and of its lot before of another; of equals the one that is still short.
fn best(rows: &[(AgainstRow, Vec<&Entry>)], entry: &Entry, plan: &Plan) -> Option<usize> {
    let lot = entry.lot_id();
    let part = part_of(entry, plan);
    let own = rows.iter().enumerate().filter(|(_, (row, _))| match part {
        Some(part) => row.field == part,
        None => plan.whole_of(&row.field) == entry.field_id(),
    });
    own.max_by_key(|(at, (row, entries))| {
        let days = |from: Date, to: Date| (to - from).get_days().max(0);
        let off = days(entry.date, row.first) + days(row.last, entry.date);
        let done: Pounds = entries.iter().map(|e| e.amount).sum();
        (std::cmp::Reverse(off), row.lot == lot, done < row.planned, std::cmp::Reverse(*at))
    })
    .map(|(at, _)| at)
}

/// Of the acres of a row those that its entries leave, and all of them; none where they cover
/// them, or one of them says neither its ground nor its acres.
fn left_of((field, acres): (&str, f64), ready: &Ready, entries: &[&Entry]) -> Option<(f64, f64)> {
    let now = ready.field(field)?;
    let done = match entries.iter().all(|entry| now.done.knows(entry)) {
        true => now.done.together(entries),
        false => entries.iter().map(|entry| entry.acres).sum::<Option<f64>>()?,
    };
    (done > 0.0 && done * ALL_DONE < acres).then_some((acres - done, acres))
}

fn judged(mut row: AgainstRow, entries: &[&Entry], (plan, ready): (&Plan, &Ready), as_of: Date) -> AgainstRow {
    let field = plan.fields.iter().find(|f| f.id == row.field);
    row.done = entries.iter().map(|e| e.amount).sum();
    row.on = entries.first().zip(entries.last()).map(|(first, last)| (first.date, last.date));
    let (done, planned) = (row.done.tons(), row.planned.tons());
    let planned_on = row.rest_acres.or(field.map(|f| f.acres));
    let acres_left =
        planned_on.and_then(|acres| left_of((plan.whole_of(&row.field), acres), ready, entries)).filter(|_| done > 0.0);
    let whole = done >= planned * (1.0 - AS_PLANNED) && acres_left.is_none();
    let over = as_of > row.last;
    row.state = match (whole, done > 0.0, over) {
        (true, ..) => Progress::Done,
        (_, true, true) => Progress::Short,
        (_, true, false) => Progress::Begun,
        (_, false, true) => Progress::NotDone,
        (_, false, false) => Progress::ToCome,
    };
    let mut lots: Vec<String> = entries.iter().map(|e| e.lot_id().to_string()).filter(|lot| *lot != row.lot).collect();
    lots.sort();
    lots.dedup();
    if !lots.is_empty() {
        row.differs.push(format!("of lot {} instead of {}", lots.join(", "), row.lot));
    }
    for entry in entries {
        if entry.date < row.first || entry.date > row.last {
            row.differs.push(format!("{} is outside its window, {} to {}", entry.date, row.first, row.last));
        }
    }
    if done > planned * (1.0 + AS_PLANNED) {
        row.differs.push(format!("{} tons more than planned", number_text(done - planned, 1)));
    }
    if let Some((left, of)) = acres_left {
        row.differs.push(format!("{} of {} ac are left", number_text(left, 2), number_text(of, 2)));
    }
    if row.state == Progress::Short && done < planned * (1.0 - AS_PLANNED) {
        row.differs.push(format!("{} tons fewer than planned", number_text(planned - done, 1)));
    }
    for entry in entries {
        let acres = entry.acres.or(planned_on).filter(|acres| *acres > 0.0);
        // A field done in part says nothing of its rate unless its acres are given.
        let said = acres.filter(|_| entry.acres.is_some() || row.state == Progress::Done && entries.len() == 1);
        let Some(rate) = said.map(|acres| entry.amount.tons() / acres) else { continue };
        if (rate - row.rate).abs() > row.rate * AS_PLANNED {
            let (rate, planned) = (number_text(rate, 2), rate_text(row.rate));
            row.differs.push(format!("{}: {rate} tons/ac instead of {planned}", entry.date));
        }
    }
    row
}
