//! How good the choice is and what it rests on, on a terminal.

use crate::plan::answer::{NextBest, Plan};
use crate::plan::days::Days;
use crate::units::{grouped, number_text, trimmed};
use crate::write::days::percent;
use crate::write::page::{Page, day};

/// A plan that gets done in time with less chance than this may run short of days.
const LIKELY: f64 = 0.8;

/// The proof, the worth of one more load, what limits cost, the next-best plan.
pub(super) fn choice(page: &mut Page, plan: &Plan, days: Option<&Days>) {
    let choice = &plan.choice;
    let worth = |amount: f64| worth(amount, choice.in_dollars);
    if !choice.in_dollars {
        page.item("No prices are given: litter goes where it replaces the most pounds of needed nutrients.");
    }
    page.item(proof_of(plan));
    for load in &choice.loads {
        let Some(lot) = plan.lots.get(load.lot) else { continue };
        let tons = trimmed(load.pounds.tons());
        page.item(if load.worth > 0.0 {
            format!("One more load ({tons} tons) of {} would gain {}.", lot.id, worth(load.worth))
        } else {
            format!("One more load of {} would gain nothing here.", lot.id)
        });
    }
    if let Some(more) = &choice.day {
        let span = format!("{} to {}", day(more.first), day(more.last));
        let unsure = days.filter(|days| days.all.inside < LIKELY).map(|days| percent(days.all.inside));
        page.item(match (more.worth > 0.0, unsure) {
            (true, _) => format!("One more day of spreading ({span}) would gain {}.", worth(more.worth)),
            (false, None) => format!("Days do not run short: one more ({span}) would gain nothing."),
            (false, Some(chance)) => format!(
                "In an average year days do not run short: one more ({span}) would gain nothing. But all of it gets done in time with {chance} chance only: `sward days` shows what runs late."
            ),
        });
    }
    for cost in &choice.limits {
        let fields = if cost.fields == 1 { "1 field".to_string() } else { format!("{} fields", cost.fields) };
        page.item(if cost.worth > 0.0 {
            format!("The limit \"{}\" holds on {fields} and costs about {} here.", cost.limit.word(), worth(cost.worth))
        } else {
            format!("The limit \"{}\" holds on {fields} and costs nothing.", cost.limit.word())
        });
    }
    if let Some(next) = &choice.next {
        page.item(next_best(next, plan, &worth(next.less)));
    }
}

/// How much better another plan could be, in a sentence that holds in every case.
fn proof_of(plan: &Plan) -> String {
    let (proof, in_dollars) = (&plan.choice.proof, plan.choice.in_dollars);
    let amount = |amount: f64| worth(amount, in_dollars);
    let over = proof.bound - proof.worth;
    // What is under half a dollar is no dollar.
    let none = over < 0.5 && proof.proven;
    let to_the = if in_dollars { "proven to the dollar" } else { "proven to the pound" };
    let more = amount(over.ceil().max(1.0));
    let spared = if proof.proven {
        format!("no other can gain over {more} more (proven)")
    } else {
        format!("the search stopped at its effort limit: another could gain up to {more} more")
    };
    let does = plan.lots.iter().any(|lot| lot.planned.0 > 0 || lot.sold.0 > 0);
    let text = match (does, none) {
        (false, true) => format!("No plan gains more than spreading none of it ({to_the})."),
        (false, false) => format!("This plan spreads none of it; {spared}."),
        (true, true) if proof.worth <= -0.5 => {
            format!("This plan costs {} in all; no other costs less ({to_the}).", amount(-proof.worth))
        }
        (true, false) if proof.worth <= -0.5 => format!("This plan costs {} in all; {spared}.", amount(-proof.worth)),
        (true, true) => format!("This plan gains {}; no other gains more ({to_the}).", amount(proof.worth)),
        (true, false) => format!("This plan gains {}; {spared}.", amount(proof.worth)),
    };
    let first: Vec<&str> = proof.first.iter().filter_map(|at| Some(plan.lots.get(*at)?.id.as_str())).collect();
    if first.is_empty() {
        text
    } else {
        format!("{text} That is among the plans that use as much of {}, which goes first.", first.join(" and "))
    }
}

/// `$1,234`, or pounds of nutrients where there are no prices.
fn worth(amount: f64, in_dollars: bool) -> String {
    let whole = grouped(amount.round() as i64);
    match (in_dollars, amount < 0.5) {
        (true, true) => "under $1".to_string(),
        (true, false) => format!("${whole}"),
        (false, _) => format!("{whole} lb of nutrients"),
    }
}

fn next_best(next: &NextBest, plan: &Plan, less: &str) -> String {
    let swaps = next.swaps.iter().filter_map(|s| {
        let (field, lot) = (plan.fields.get(s.field)?, plan.lots.get(s.lot)?);
        let season = field.windows.get(s.window).map_or("", |w| w.season.as_str());
        let rate = |rate: f64| if rate > 0.0 { number_text(rate, 2) } else { "none".to_string() };
        Some(format!("{} {season} {} {} instead of {}", field.id, lot.id, rate(s.instead), rate(s.rate)))
    });
    format!("The next-best plan gains {less} less: {}.", swaps.collect::<Vec<_>>().join("; "))
}
