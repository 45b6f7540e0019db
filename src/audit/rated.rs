//! What a rating does not answer for: no fault of the plan, which goes by the planner's word, and
//! told beside the verdict all the same.

use crate::audit::fault::fault;
use crate::audit::{held, log, nutrients, rest};
use crate::check::{Field, Ready};
use crate::farm::MadeFor;
use crate::findings::Findings;
use crate::plan::answer::FieldPlan;
use crate::tables::{Book, Scope, topic};
use crate::text::key_of;
use crate::units::{Factor, Quantity, number_text};

/// A hundredth: what strays further is more than the rating was made for.
const SLACK: f64 = 0.01;

/// A score of another class than the one written, a tool of another state, more in a growing
/// year than the rating was made for.
pub(super) fn doubts(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>) -> Findings {
    let mut findings = Findings::new();
    let Some(rated) = field.written.rating.as_ref().filter(|_| field.rating.is_some()) else { return findings };
    let mut say = |what: String| findings.push(fault("rating", format!("field {}: {what}", plan.id)));
    let tool = rated.tool.as_ref().and_then(|tool| book.names_another(&tool.value));
    if let Some(other) = &tool {
        say(format!("its rating was made with a tool of {other}"));
    }
    let score = rated.score.as_ref().filter(|_| tool.is_none()).map(|score| score.value);
    let bounds = book.get(topic::P_SCORE, &Scope::new()).map(|bounds| bounds.value);
    let class = score
        .zip(bounds)
        .and_then(|(score, bounds)| Some((score, bounds.class_of(Factor::new(score).ok()?).map(key_of)?)));
    if let Some((score, class)) = class.filter(|(_, class)| *class != rated.rating.value.key()) {
        let (word, class) = (rated.rating.value.word(), class.replace('_', " "));
        say(format!("rated {word} with a score of {score}, which the bounds of the place call {class}"));
    }
    if let Some(made_for) = rated.made_for.as_ref().map(|at| at.value) {
        let most = most_on(plan, field, made_for, (ready, book));
        if most > made_for.amount() + SLACK {
            let (most, rate) = (number_text(most, 2), made_for.in_words());
            say(format!("log and plan put on {most} in a growing year; its rating was made for {rate}"));
        }
    }
    findings
}

/// The most that a growing year gets on one spot, in what the rating was made for.
fn most_on(plan: &FieldPlan, field: &Field, made_for: MadeFor, (ready, book): (&Ready, &Book<'_>)) -> f64 {
    let of_ton = |lot: Option<&crate::check::Lot>| match made_for {
        MadeFor::Litter(_) => 1.0,
        MadeFor::P2o5(_) => lot.and_then(|lot| held::holds(lot, field, None, ready, book)).map_or(0.0, |(_, lb)| lb),
    };
    let mut most = 0.0_f64;
    let years = nutrients::years(plan, field, ready, book);
    for ground in rest::grounds(plan, field, ready) {
        for &days in &years {
            let litter = log::spread(field, plan.acres, days, &ground.ready, book);
            let bags = log::besides(log::BESIDES, (field, plan.acres), days, &ground.ready, book);
            let beside = |s: &log::LoggedSpread| if matches!(made_for, MadeFor::P2o5(_)) { s.bag(1) } else { 0.0 };
            let of = |s: &log::LoggedSpread| s.rate * of_ton(s.of_lot(&ground.ready).as_deref());
            let on = log::with_besides((&litter, &of), (&bags, &beside));
            let jobs = ground.plan.applications.iter().filter(|a| days.0 <= a.first && a.first <= days.1);
            let put: f64 = jobs.map(|a| a.rate * of_ton(ready.lot(&a.lot))).sum();
            most = most.max(on + put);
        }
    }
    most
}
