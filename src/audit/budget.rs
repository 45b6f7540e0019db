//! What log and plan put on in each growing year, on each ground of a field, what of it counts
//! toward the need, and what is lacking: calculated again.

use crate::audit::rest;
use crate::audit::{held, log};
use crate::check::{Contents, Field, Lot, Ready};
use crate::plan::answer::{Application, FieldPlan, GroundBudget};
use crate::tables::{Book, Of, Scope, topic};
use crate::units::{Quantity, Share};
use jiff::civil::Date;

/// Takes one of nitrogen, phosphate and potash.
pub(super) type Pick = fn((f64, f64, f64)) -> f64;

/// Nitrogen, phosphate and potash, each alone.
pub(super) const PICKS: [Pick; 3] = [|of| of.0, |of| of.1, |of| of.2];

/// A growing year's days with its nitrogen need.
pub(super) type YearOfNeed = ((Date, Date), f64);

/// What goes on in a growing year, lb/ac of nitrogen, phosphate and potash.
pub(super) struct Budget {
    days: (Date, Date),
    /// The nitrogen that is needed in it.
    n: f64,
    bought_for: bool,
    /// By the log, on the ground that got most.
    on: [f64; 3],
    /// What of that counts toward the need.
    on_usable: [f64; 3],
    /// By the plan, beyond what the log has there.
    put: [f64; 3],
    /// The same of what counts toward the need.
    put_usable: [f64; 3],
    /// Each ground of the field: the part that is done and the rest, or all of it.
    grounds: Vec<OnGround>,
}

/// What log and plan put on a ground in a growing year, and what of it counts toward the need.
#[derive(Clone, Copy, Default)]
struct OnGround {
    on: [f64; 3],
    put: [f64; 3],
    on_usable: [f64; 3],
    put_usable: [f64; 3],
}

/// What is shown of what the plan puts on: `whole` on all of the field, and on the rest of one
/// that is done in part what is beyond the log's on the other part.
pub(super) fn put_on(plan: &FieldPlan, budgets: &[Budget], whole: [f64; 3], same: &mut dyn FnMut(&str, f64, f64)) {
    let shown = [plan.supplied.n, plan.supplied.p2o5, plan.supplied.k2o];
    for (at, what) in ["N", "P2O5", "K2O"].into_iter().enumerate() {
        let more: f64 = budgets.iter().map(|b| b.put[at] - b.grounds.first().map_or(0.0, |first| first.put[at])).sum();
        same(&format!("the {what} put on"), shown[at], whole[at] + more);
        for budget in budgets.iter().filter(|_| plan.part.is_some()) {
            let year = plan.years.iter().find(|year| year.first == budget.days.0);
            let parted = year.map_or(&[][..], |year| &year.parted);
            for (place, ground) in budget.grounds.iter().enumerate() {
                let of = |p: &GroundBudget| {
                    let (done, put) = (&p.done_usable, &p.supplied_usable);
                    [[done.n, done.p2o5, done.k2o][at], [put.n, put.p2o5, put.k2o][at]]
                };
                let [done, supplied] = parted.get(place).map_or([f64::NAN; 2], of);
                let part = if place == 0 { "the part that is done" } else { "the rest" };
                same(&format!("the {what} already on {part}"), done, ground.on_usable[at]);
                same(&format!("the {what} put on {part}"), supplied, ground.put_usable[at]);
            }
        }
    }
}

/// What is asked of a ton of a lot, by the nitrogen, phosphate and potash that it holds.
pub(super) type OfTon<'f> = &'f dyn Fn((f64, f64, f64), &Lot) -> f64;

/// What some jobs put on of something that a ton holds, lb/ac.
pub(super) fn put(
    plan: &FieldPlan,
    (field, ready, book): (&Field, &Ready, &Book<'_>),
    of_ton: OfTon<'_>,
    own: &dyn Fn(&Application) -> bool,
) -> f64 {
    let per_ton = |a: &Application| {
        let lot = ready.lot(&a.lot)?;
        Some(of_ton(holds(lot, field, Some(&a.season), ready, book)?, lot))
    };
    let jobs = plan.applications.iter().filter(|a| own(a));
    jobs.filter_map(|a| Some(a.rate * per_ton(a)?)).fold(0.0, |sum, one| sum + one)
}

/// What a field needs, gets and lacks: of each of its growing years, and in all. Nothing
/// is over a need that is not known.
pub(super) fn sums(plan: &FieldPlan, budgets: &[Budget], known: [bool; 3], same: &mut dyn FnMut(&str, f64, f64)) {
    let FieldPlan { need, done, left, short, over, .. } = plan;
    let of = budgets.iter().filter(|budget| budget.bought_for).count() as f64;
    for (what, [need, done, left, short, over], nutrient) in [
        ("N", [need.n, done.n, left.n, short.n, over.n], 0),
        ("P2O5", [need.p2o5, done.p2o5, left.p2o5, short.p2o5, over.p2o5], 1),
        ("K2O", [need.k2o, done.k2o, left.k2o, short.k2o, over.k2o], 2),
    ] {
        // Nitrogen is asked of each year by itself; the others are the same every year.
        let (mut logged, mut open, mut missing, mut beyond) = (0.0, 0.0, 0.0, 0.0);
        for budget in budgets {
            let asked = if nutrient == 0 { budget.n } else { need / of };
            let (all, on, put) = (budget.on[nutrient], budget.on_usable[nutrient], budget.put_usable[nutrient]);
            let first = budget.days.0;
            let lacks = (asked - on - put).max(0.0);
            if budget.bought_for {
                (open, missing) = (open + (asked - on).max(0.0), missing + lacks);
            }
            let over = if known[nutrient] { (on + put - asked).max(0.0) } else { 0.0 };
            (logged, beyond) = (logged + all, beyond + over);
            // Dollars go by what is shown of a year.
            let shown = plan.years.iter().find(|year| year.first == first);
            let [row_need, row_on, row_usable, row_put, row_short] = shown.map_or([f64::NAN; 5], |row| {
                let (need, on, short) = (&row.need, &row.done, &row.short);
                let (usable, put) = (&row.done_usable, &row.supplied_usable);
                [
                    [need.n, need.p2o5, need.k2o],
                    [on.n, on.p2o5, on.k2o],
                    [usable.n, usable.p2o5, usable.k2o],
                    [put.n, put.p2o5, put.k2o],
                    [short.n, short.p2o5, short.k2o],
                ]
                .map(|of| of[nutrient])
            });
            same(&format!("the {what} need of the year from {first}"), row_need, asked);
            same(&format!("the {what} already on in the year from {first}"), row_on, all);
            same(&format!("the {what} of it toward the need in the year from {first}"), row_usable, on);
            same(&format!("the {what} of the plan toward the need in the year from {first}"), row_put, put);
            same(&format!("the {what} short in the year from {first}"), row_short, lacks);
        }
        same(&format!("the {what} already on"), done, logged);
        same(&format!("the {what} that the log leaves to meet"), left, open);
        same(&format!("the {what} short"), short, missing);
        same(&format!("the {what} over"), over, beyond);
    }
}

/// What log and plan put on in each growing year.
pub(super) fn budgets(
    (plan, field): (&FieldPlan, &Field),
    years: &[YearOfNeed],
    bought: &[bool],
    (ready, book): (&Ready, &Book<'_>),
) -> Vec<Budget> {
    let places = rest::grounds(plan, field, ready);
    let one = |((days, n), bought): (&YearOfNeed, &bool)| {
        let on = |of: &rest::OnGround<'_>| on_ground((&of.plan, field), *days, (&of.ready, book));
        let grounds: Vec<OnGround> = places.iter().map(on).collect();
        let first = grounds.first().copied().unwrap_or_default();
        let OnGround { on, on_usable, mut put, mut put_usable } = first;
        if let Some(rest) = grounds.get(1) {
            // On both grounds goes what goes on all of the field.
            put = [0, 1, 2].map(|i| put[i] + (rest.on[i] + rest.put[i] - put[i] - on[i]).max(0.0));
            let usable = |i: usize| rest.on_usable[i] + rest.put_usable[i] - put_usable[i] - on_usable[i];
            put_usable = [0, 1, 2].map(|i| put_usable[i] + usable(i).max(0.0));
        }
        Budget { days: *days, n: *n, bought_for: *bought, on, on_usable, put, put_usable, grounds }
    };
    years.iter().zip(bought).map(one).collect()
}

/// What log and plan put on a ground in some days.
fn on_ground((plan, field): (&FieldPlan, &Field), days: (Date, Date), (ready, book): (&Ready, &Book<'_>)) -> OnGround {
    let mine = |a: &Application| days.0 <= a.first && a.first <= days.1;
    let of = (field, ready, book);
    let list = log::spread(field, plan.acres, days, ready, book);
    let held = |s: &log::LoggedSpread| holds(&*s.of_lot(ready)?, field, s.season.as_deref(), ready, book);
    let besides = log::besides(log::BESIDES, (field, plan.acres), days, ready, book);
    let bags = |s: &log::LoggedSpread| (s.bag(0), s.bag(1), s.bag(2));
    OnGround {
        on: PICKS.map(|pick| {
            log::with_besides((&list, &|s| s.rate * held(s).map_or(0.0, pick)), (&besides, &|s| pick(bags(s))))
        }),
        put: PICKS.map(|pick| put(plan, of, &|held, _| pick(held), &mine)),
        on_usable: PICKS.map(|pick| {
            let usable = |s: &log::LoggedSpread| Some(pick(toward_need(held(s)?, s.of_lot(ready)?.as_ref(), book)));
            log::with_besides((&list, &|s| s.rate * usable(s).unwrap_or(0.0)), (&besides, &|s| pick(bags(s))))
        }),
        put_usable: PICKS.map(|pick| put(plan, of, &|held, lot| pick(toward_need(held, lot, book)), &mine)),
    }
}

/// What of a ton counts toward the need: the place's shares of phosphate and potash.
pub(super) fn toward_need((n, p2o5, k2o): (f64, f64, f64), lot: &Lot, book: &Book<'_>) -> (f64, f64, f64) {
    let share =
        |topic: Of<Share>| book.get(topic, &Scope::new().material(&lot.kind)).map_or(1.0, |share| share.value.get());
    (n, p2o5 * share(topic::P_AVAILABLE), k2o * share(topic::K_AVAILABLE))
}

/// For which of the growing years fertilizer is bought: those of which the plan holds more
/// than half of the days, else the first that it holds most of.
pub(super) fn bought_for(years: &[((Date, Date), f64)], ready: &Ready) -> Vec<bool> {
    let held = |days: &(Date, Date)| {
        let all = std::iter::successors(Some(days.0), |day| day.tomorrow().ok()).take_while(|day| *day <= days.1);
        let (out, own): (Vec<Date>, Vec<Date>) = all.partition(|day| *day < ready.from || *day > ready.to);
        (own.len() > out.len(), own.len())
    };
    let held: Vec<(bool, usize)> = years.iter().map(|(days, _)| held(days)).collect();
    let half = held.iter().any(|(more, _)| *more);
    let most = held.iter().map(|(_, own)| *own).max();
    let only = held.iter().position(|(_, own)| Some(*own) == most);
    held.iter().enumerate().map(|(at, (more, _))| if half { *more } else { only == Some(at) }).collect()
}

/// Nitrogen, phosphate and potash of a ton of a lot as spread, lb.
pub(super) fn holds(
    lot: &Lot,
    field: &Field,
    season: Option<&str>,
    ready: &Ready,
    book: &Book<'_>,
) -> Option<(f64, f64, f64)> {
    let (n, p2o5) = held::holds(lot, field, season, ready, book)?;
    let k2o = match &lot.contents {
        Contents::Typical(typical) => typical.k2o.value.get(),
        Contents::Analysis(a) => {
            let solids = held::solids(a);
            // 94.1960 g of K2O hold 78.1966 g of K.
            let oxide = if a.k.oxide { 1.0 } else { 94.196 / 78.196_6 };
            a.k.value.value.get() * oxide * solids
        }
    };
    Some((n, p2o5, k2o))
}
