//! What the choice rests on: how much better another could be, what one more
//! load of a lot would bring, what each limit costs, and the next-best plan.
//!
//! Each is the same question asked again with one thing changed.

use crate::balance::LimitKind;
use crate::cores;
use crate::plan::answer::{ChoiceRow, DayWorth, FieldPlan, InTime, LimitCost, LoadWorth, NextBest, Proof, Swap};
use crate::plan::certify::Shows;
use crate::plan::choose::{Choose, Chosen};
use crate::plan::must_leave::matters;
use crate::plan::pick::Pick;
use crate::plan::problem::Problem;
use crate::plan::resources::{Draw, Resource};
use crate::units::Pounds;
use std::collections::BTreeSet;

/// The next-best plan is sought on farms of up to so many fields: each field
/// costs one more question.
const MOST_FIELDS: usize = 40;
/// A next-best plan further off than this share of the best is not told.
const NEAR: f64 = 0.01;
/// Plans that differ by less are worth the same.
const TIE: f64 = 0.02;
/// Worth that counts as none: about what a rough answer may be off on a farm.
const CENTS: f64 = 1.0;

impl Problem {
    /// The question without one kind of limit.
    #[must_use]
    pub fn without(&self, kind: LimitKind) -> Problem {
        let mut free = self.clone();
        free.lift(kind);
        free
    }

    /// Lifts one kind of limit on every field.
    pub fn lift(&mut self, kind: LimitKind) {
        let caps = self.fields.iter_mut().flat_map(|f| &mut f.caps);
        caps.filter(|cap| cap.kind == kind).for_each(|cap| cap.allowed = f64::INFINITY);
    }
}

/// Explains a choice. `load` is a spreader's load, `in_dollars` whether the
/// farm gives prices, `disposal` the dollars of what must leave as the days go.
pub(super) fn explain(
    problem: &Problem,
    chooser: &dyn Choose,
    chosen: &Chosen,
    fields: &[FieldPlan],
    load: Pounds,
    in_dollars: bool,
    disposal: f64,
) -> ChoiceRow {
    // The questions do not wait for each other.
    let (limits, next, loads) = std::thread::scope(|scope| {
        let next = scope.spawn(|| next_best(problem, chooser, chosen));
        let limits = limits(problem, chooser, chosen, fields);
        (limits, next.join().unwrap_or_default(), loads(problem, chooser, chosen, load))
    });
    ChoiceRow {
        in_dollars,
        proof: proof(problem, chosen, disposal),
        loads,
        limits,
        day: one_more_day(problem, chooser, chosen),
        in_time: problem.in_time.map(|chance| InTime { chance, costs: sure_costs(problem, chooser, chosen) }),
        next,
    }
}

/// How good the choice is. Where its days take longer than its windows would let them,
/// more must leave than the chooser counted; and less, where litter waits for its use while
/// its storage is full: the bound counts that as if it had to leave, and so it is told.
fn proof(problem: &Problem, chosen: &Chosen, disposal: f64) -> Proof {
    let worth = chosen.worth + chosen.disposal - disposal;
    let bound = chosen.bound.max(worth);
    let gap = if worth.abs() > CENTS { (bound - worth) / worth.abs() } else { 0.0 };
    let first = problem.lots.iter().enumerate().filter(|(_, lot)| lot.first).map(|(index, _)| index);
    let first_costs = (chosen.first_costs * 100.0).round() / 100.0;
    let (proven, full, in_parts) = (chosen.proven, matters(problem), chosen.in_parts.map(|most| most.max(bound)));
    let (shown, not_shown) = match &chosen.shows {
        Shows::Nothing => (None, None),
        Shows::LeftOut(why) => (None, Some(why.clone())),
        Shows::Proof(proof) => (Some(proof.clone()), None),
    };
    Proof { worth, bound, gap, proven, first: first.collect(), first_costs, full, in_parts, shown, not_shown }
}

/// What a plan gains over the one chosen, never below nothing: what is not
/// proven to the cent may come out a little lower.
fn gain(with: &Chosen, chosen: &Chosen) -> f64 {
    let gained = with.worth - chosen.worth;
    if gained > CENTS { gained } else { 0.0 }
}

/// What one more load of each lot would bring.
fn loads(problem: &Problem, chooser: &dyn Choose, chosen: &Chosen, load: Pounds) -> Vec<LoadWorth> {
    let lots = problem.lots.iter().enumerate();
    // Asked even where a load is left over: with one more a field may be done that is not done
    // with what is there.
    lots.map(|(index, _)| {
        let mut more = problem.clone();
        more.lots[index].pounds += load;
        LoadWorth { lot: index, pounds: load, worth: gain(&chooser.roughly(&more), chosen) }
    })
    .collect()
}

/// What each kind of limit that holds somewhere costs the farm.
fn limits(problem: &Problem, chooser: &dyn Choose, chosen: &Chosen, fields: &[FieldPlan]) -> Vec<LimitCost> {
    let held = |kind: LimitKind| fields.iter().filter(|f| f.held.by == kind).count();
    let caps = problem.fields.iter().flat_map(|f| &f.caps).map(|cap| cap.kind);
    // The need is no limit that could go; phosphorus first.
    let holding: BTreeSet<(bool, LimitKind)> = caps
        .filter(|kind| *kind != LimitKind::Nitrogen && held(*kind) > 0)
        .map(|kind| (kind != LimitKind::Phosphorus, kind))
        .collect();
    cores::each(&holding.into_iter().collect::<Vec<_>>(), |(_, limit)| {
        let gained = gain(&chooser.roughly(&problem.without(*limit)), chosen);
        LimitCost { limit: *limit, fields: held(*limit), worth: gained }
    })
}

/// What is left of each span of days that is drawn on, with its place among them.
fn room_in_spans(problem: &Problem, chosen: &Chosen) -> Vec<(Pounds, usize)> {
    let takes = |resource: &Resource| chosen.entries.iter().map(|e| problem.takes(resource, e)).sum::<Pounds>();
    let room = |resource: &Resource| match resource.of {
        Draw::Days { span } => Some((resource.pounds - takes(resource), span)),
        _ => None,
    };
    problem.resources().iter().filter_map(room).collect()
}

/// What one more day of spreading in the tightest span would bring.
fn one_more_day(problem: &Problem, chooser: &dyn Choose, chosen: &Chosen) -> Option<DayWorth> {
    let a_day = problem.a_day?;
    let (room, tightest) = room_in_spans(problem, chosen).into_iter().min_by_key(|(room, _)| *room)?;
    let worth = if room < a_day {
        let mut more = problem.clone();
        more.spans.iter_mut().for_each(|span| span.pounds += a_day);
        gain(&chooser.roughly(&more), chosen)
    } else {
        0.0
    };
    let span = &problem.spans[tightest];
    Some(DayWorth { first: span.first, last: span.last, pounds: a_day, worth })
}

/// What it costs to count on fewer days than come in an average year: nothing where no days run short.
fn sure_costs(problem: &Problem, chooser: &dyn Choose, chosen: &Chosen) -> f64 {
    let a_day = problem.a_day.unwrap_or_default();
    let tight = |(room, span): &(Pounds, usize)| {
        let span = &problem.spans[*span];
        span.average > span.pounds && *room < a_day
    };
    if !room_in_spans(problem, chosen).iter().any(tight) {
        return 0.0;
    }
    let mut average = problem.clone();
    average.spans.iter_mut().for_each(|span| span.pounds = span.pounds.max(span.average));
    gain(&chooser.roughly(&average), chosen)
}

/// The best plan that is not the one chosen, when it comes near. It differs in
/// at least one field: for each field in turn that field's choice is forbidden.
fn next_best(problem: &Problem, chooser: &dyn Choose, chosen: &Chosen) -> Option<NextBest> {
    if problem.fields.len() > MOST_FIELDS || chosen.worth <= CENTS {
        return None;
    }
    // Sales by the pound make very many plans worth nearly the same: one of the best will do.
    let roughly = !problem.outlets.is_empty();
    let mut best: Option<Chosen> = None;
    for field in 0..problem.fields.len() {
        // A plan worth the same is not to be bettered.
        if best.as_ref().is_some_and(|best| best.worth >= chosen.worth - TIE) {
            break;
        }
        let mut other = problem.clone();
        other.not = Some((field, on_field(problem, &chosen.entries, field)));
        let found = if roughly { chooser.roughly(&other) } else { chooser.choose(&other) };
        if best.as_ref().is_none_or(|best| found.worth > best.worth) {
            best = Some(found);
        }
    }
    let best = best.filter(|b| b.worth >= chosen.worth * (1.0 - NEAR))?;
    let rates = |entries: &[Pick]| -> Vec<(usize, usize, usize, f64)> {
        let row = |e: &Pick| {
            let c = &problem.choices[e.choice];
            (c.field, c.lot, c.window, problem.rate(e.steps))
        };
        entries.iter().map(row).collect()
    };
    let (ours, theirs) = (rates(&chosen.entries), rates(&best.entries));
    let rate_in = |list: &[(usize, usize, usize, f64)], key: (usize, usize, usize)| {
        list.iter().find(|(f, l, w, _)| (*f, *l, *w) == key).map_or(0.0, |(_, _, _, rate)| *rate)
    };
    let mut keys: Vec<(usize, usize, usize)> = ours.iter().chain(&theirs).map(|(f, l, w, _)| (*f, *l, *w)).collect();
    keys.sort_unstable();
    keys.dedup();
    let swaps = keys.into_iter().map(|key| Swap {
        field: key.0,
        lot: key.1,
        window: key.2,
        rate: rate_in(&ours, key),
        instead: rate_in(&theirs, key),
    });
    Some(NextBest {
        less: (chosen.worth - best.worth).max(0.0),
        roughly,
        swaps: swaps.filter(|s| (s.rate - s.instead).abs() > 1e-9).collect(),
    })
}

/// What is chosen on one field, in order.
fn on_field(problem: &Problem, entries: &[Pick], field: usize) -> Vec<Pick> {
    let mut own: Vec<Pick> = entries.iter().copied().filter(|e| problem.choices[e.choice].field == field).collect();
    own.sort_by_key(|e| (e.choice, e.steps));
    own
}
