//! Of jobs worth the same, the one with more days on which it can be done.

use crate::plan::must_leave::cost;
use crate::plan::options::FieldOption;
use crate::plan::pick::Pick;
use crate::plan::problem::Problem;
use crate::plan::resources::Resource;
use crate::plan::sales::{self, Sold};
use crate::units::Pounds;

/// So many days on which one can spread are enough for any job: more of them are no reason to
/// move it. Our own measure.
const ENOUGH: f64 = 5.0;
/// Of a day on which nobody says how often it is fit, this share counts.
const FIT: f64 = 0.5;
/// Two amounts of dollars are one, a hundredth of a cent apart.
const SAME: f64 = 1e-4;

/// Jobs, what getting rid of litter costs beside them, and what they gain on those before.
pub(super) struct Likelier {
    pub(super) entries: Vec<Pick>,
    pub(super) disposal: f64,
    pub(super) gained: f64,
}

/// The choice with each job in another window where that is worth the same, takes nothing
/// that others need, and leaves more days to do it on.
pub(super) fn likelier(
    problem: &Problem,
    resources: &[Resource],
    all: &[Vec<FieldOption>],
    (taken, sales, disposal): (&[Pick], &[Sold], f64),
) -> Likelier {
    let mut chosen = Likelier { entries: taken.to_vec(), disposal, gained: 0.0 };
    for (field, mixes) in all.iter().enumerate() {
        let is_own = |pick: &Pick| problem.choices[pick.choice].field == field;
        let own: Vec<Pick> = chosen.entries.iter().copied().filter(is_own).collect();
        let Some(now) = mixes.iter().find(|mix| *mix.entries == *own).filter(|_| !own.is_empty()) else { continue };
        let at = chosen.entries.iter().position(is_own).unwrap_or_default();
        let jobs = jobs(problem, &now.entries);
        let mut others: Vec<(f64, &FieldOption)> = mixes
            .iter()
            .filter(|mix| (mix.worth - now.worth).abs() < SAME && self::jobs(problem, &mix.entries) == jobs)
            .map(|mix| (days(problem, &mix.entries), mix))
            .filter(|(days, _)| *days > self::days(problem, &now.entries) + SAME)
            .collect();
        others.sort_by(|(a, _), (b, _)| b.total_cmp(a));
        for (_, mix) in others {
            let mut entries = chosen.entries.clone();
            entries.splice(at..at + own.len(), mix.entries.iter().copied());
            let disposal = cost(problem, &entries, sales);
            if disposal <= chosen.disposal + SAME && fits(problem, resources, &entries, sales) {
                let gained = chosen.gained + mix.worth - now.worth + chosen.disposal - disposal;
                chosen = Likelier { entries, disposal, gained };
                break;
            }
        }
    }
    chosen
}

/// What goes on, wherever in the year.
pub(super) fn jobs(problem: &Problem, entries: &[Pick]) -> Vec<(usize, bool, i64)> {
    let of = |pick: &Pick| (problem.choices[pick.choice].lot, problem.choices[pick.choice].on_rest, pick.steps);
    let mut jobs: Vec<(usize, bool, i64)> = entries.iter().map(of).collect();
    jobs.sort_unstable();
    jobs
}

/// Days on which the jobs can be done, of each no more than are enough.
fn days(problem: &Problem, entries: &[Pick]) -> f64 {
    let of = |pick: &Pick| {
        let window = &problem.choices[pick.choice];
        let span = problem.spans.iter().find(|s| s.lot.is_none() && (s.first, s.last) == (window.first, window.last));
        let fit = span.zip(problem.a_day).filter(|(_, a_day)| a_day.0 > 0);
        let fit = fit.map(|(span, a_day)| span.pounds.0 as f64 / a_day.0 as f64);
        let all = f64::from((window.last - window.first).get_days() + 1);
        fit.unwrap_or(all * FIT).min(ENOUGH)
    };
    entries.iter().map(of).fold(0.0, |sum, days| sum + days)
}

/// Whether all that is drawn on is enough for some jobs and what is sold.
fn fits(problem: &Problem, resources: &[Resource], entries: &[Pick], sales: &[Sold]) -> bool {
    let sold = sales.iter().map(|sold| sales::uses(problem, resources, sold));
    let mut sold_of = vec![0_i64; resources.len()];
    for (resource, pounds) in sold.flatten() {
        sold_of[resource] += pounds;
    }
    resources.iter().zip(sold_of).all(|(resource, sold)| {
        let taken: Pounds = entries.iter().map(|entry| problem.takes(resource, entry)).sum();
        taken + Pounds(sold) <= resource.pounds
    })
}
