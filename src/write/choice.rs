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
    let proof = &choice.proof;
    let worth = |amount: f64| worth(amount, choice.in_dollars);
    if !choice.in_dollars {
        page.item("No prices are given: litter goes where it replaces the most pounds of needed nutrients.");
    }
    page.item(if proof.worth <= 0.0 {
        "No plan is worth more than spreading nothing.".to_string()
    } else if proof.proven && proof.gap < 0.000_001 {
        format!("This plan gains {}; no other gains more (proven).", worth(proof.worth))
    } else {
        let word = if proof.proven { "proven" } else { "proven so far; the search stopped at its effort limit" };
        let gap = number_text(proof.gap * 100.0, 4);
        format!("This plan gains {}; no other gains {gap} % more ({word}).", worth(proof.worth))
    });
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
