//! How good the choice is and what it rests on, on a terminal.

use crate::plan::answer::{InTime, NextBest, Plan, Proof};
use crate::plan::days::Days;
use crate::units::{grouped, rate_text, to_cents, trimmed};
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
    let first = choice.proof.first.iter().filter_map(|at| Some(plan.lots.get(*at)?.id.as_str())).collect::<Vec<_>>();
    let does = plan.lots.iter().any(|lot| lot.planned.0 > 0 || lot.sold.0 > 0);
    page.item(in_words(&choice.proof, choice.in_dollars, (does, plan.in_parts.is_some()), &first));
    proof_is(plan).into_iter().for_each(|line| page.item(line));
    parts(plan).into_iter().for_each(|line| page.item(line));
    if plan.buy.is_some() && choice.in_dollars && does {
        page.item("What a plan gains is the bill without litter less the bill with it: see BUY.");
    }
    for load in &choice.loads {
        let Some(lot) = plan.lots.get(load.lot) else { continue };
        let tons = trimmed(load.pounds.tons());
        page.item(if load.worth > 0.0 {
            // Other parts of fields may take it better.
            let least = if parts_may_gain(&choice.proof) { "at least " } else { "" };
            format!("One more load ({tons} tons) of {} would gain {least}{}.", lot.id, worth(load.worth))
        } else {
            let whole = if parts_may_gain(&choice.proof) { " to fields done as here" } else { " here" };
            format!("One more load of {} would gain nothing{whole}.", lot.id)
        });
    }
    if let Some(more) = &choice.day {
        let span = format!("{} to {}", day(more.first), day(more.last));
        let unsure = days.filter(|days| days.all.inside < LIKELY).map(|days| days.all.percent());
        page.item(match (more.worth > 0.0, unsure) {
            (true, _) => format!("One more day of spreading ({span}) would gain {}.", worth(more.worth)),
            (false, None) => format!("Days do not run short: one more ({span}) would gain nothing."),
            (false, Some(chance)) => format!(
                "One more day of spreading ({span}) would gain nothing. But all of it gets done in time with {chance} chance only: `sward days` shows what runs late."
            ),
        });
    }
    if let Some(InTime { chance, costs }) = choice.in_time {
        let share = percent(chance);
        page.item(if costs > 0.0 {
            format!(
                "The plan counts only on the days that come with {share} chance; by the days of an average year it would gain {} more.",
                worth(costs)
            )
        } else {
            format!("Counting only on the days that come with {share} chance costs nothing here.")
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

/// Where the proof is. It holds of the fields as they are: what other parts could gain is none of it.
fn proof_is(plan: &Plan) -> Option<String> {
    let of = if plan.in_parts.is_some() { "these fields and parts" } else { "whole fields" };
    let text = format!("The proof for {of} is in the plan's JSON (`--json`); `sward audit` checks it.");
    plan.choice.proof.shown.as_ref().map(|_| text)
}

/// What fields done in parts could gain beyond this plan, where that is half a dollar or more.
fn parts(plan: &Plan) -> Option<String> {
    let proof = &plan.choice.proof;
    let Some(most) = proof.in_parts else {
        return Some("What fields done in parts could gain is not known here.".to_string());
    };
    let over = (most - proof.worth).ceil();
    let more = worth(over, plan.choice.in_dollars);
    let other = if plan.in_parts.is_some() { "other parts" } else { "parts" };
    parts_may_gain(proof).then(|| {
        format!("Fields done in {other} could gain {more} more at most; no such plan was found that pays for the extra work.")
    })
}

/// Whether fields done in parts could gain half a dollar more than whole ones.
fn parts_may_gain(proof: &Proof) -> bool {
    proof.in_parts.is_none_or(|most| most - proof.bound >= 0.5)
}

/// How much better another plan could be, in a sentence that holds in every case: whether
/// litter goes anywhere (`does`) or none, with the lots that go first. In fields that are done `in_parts`
/// no job on a part ends in less than half a load.
fn in_words(proof: &Proof, in_dollars: bool, (does, in_parts): (bool, bool), first: &[&str]) -> String {
    let amount = |amount: f64| worth(amount, in_dollars);
    let gain = |gain: f64| if in_dollars && gain >= 0.005 { format!("${}", to_cents(gain)) } else { amount(gain) };
    let least = if in_dollars { 0.005 } else { 0.5 };
    let over = proof.bound - proof.worth;
    // What is under half a dollar is no dollar.
    let none = over < 0.5 && proof.proven;
    // What fields done in other parts could gain stands in a line of its own.
    let (other, plan) = match (parts_may_gain(proof), in_parts) {
        (true, true) => {
            ("none in these parts, with a last load on each part of half a load or more,", "No plan in these parts")
        }
        (true, false) => ("none in whole fields", "No plan in whole fields"),
        (false, _) => ("no other", "No plan"),
    };
    let to_the = if in_dollars { "proven to the dollar" } else { "proven to the pound" };
    let more = amount(over.ceil().max(1.0));
    let spared = if proof.proven {
        format!("{other} can gain over {more} more (proven)")
    } else {
        format!("the search stopped at its effort limit: another could gain up to {more} more")
    };
    let text = match (does, none) {
        (false, true) => format!("{plan} gains more than spreading none of it ({to_the})."),
        (false, false) => format!("This plan spreads none of it; {spared}."),
        (true, true) if proof.worth <= -least => {
            format!("This plan costs {} in all; {other} costs less ({to_the}).", gain(-proof.worth))
        }
        (true, false) if proof.worth <= -least => format!("This plan costs {} in all; {spared}.", gain(-proof.worth)),
        (true, true) => format!("This plan gains {}; {other} gains more ({to_the}).", gain(proof.worth)),
        (true, false) => format!("This plan gains {}; {spared}.", gain(proof.worth)),
    };
    let verb = if first.len() == 1 { "goes" } else { "go" };
    let text = match first.is_empty() {
        true => text,
        false => {
            let costs = match proof.first_costs {
                dollars if dollars >= 0.5 => format!("; without that, another gains {} more", amount(dollars)),
                _ => String::new(),
            };
            format!(
                "{text} That is among the plans that use as much of {}, which {verb} first{costs}.",
                first.join(" and ")
            )
        }
    };
    match proof.full {
        true => format!(
            "{text} In another plan, litter that waits for its use while its storage is full counts here as if it had \
             to leave."
        ),
        false => text,
    }
}

fn percent(share: f64) -> String {
    format!("{} %", trimmed((share * 1000.0).round() / 10.0))
}

/// `$1,234`, or pounds of nutrients where there are no prices.
pub(super) fn worth(amount: f64, in_dollars: bool) -> String {
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
        let window = field.windows.get(s.window);
        let alike = |name: &str| field.windows.iter().filter(|other| other.season == name).count() > 1;
        let season = window.map_or(String::new(), |w| match alike(&w.season) {
            true => format!("{} ({} to {})", w.season, day(w.first), day(w.last)),
            false => w.season.clone(),
        });
        let rate = |rate: f64| if rate > 0.0 { rate_text(rate) } else { "none".to_string() };
        Some(format!("{} {season} {} {} instead of {}", field.id, lot.id, rate(s.instead), rate(s.rate)))
    });
    let lead = match next.roughly {
        true => "Of the other plans looked at, the best gains",
        false => "The next-best plan gains",
    };
    format!("{lead} {less} less: {}.", swaps.collect::<Vec<_>>().join("; "))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(worth: f64, bound: f64, proven: bool, (in_dollars, does): (bool, bool), first: &[&str]) -> String {
        let gap = 0.0;
        in_words(
            &Proof {
                worth,
                bound,
                gap,
                proven,
                first: vec![],
                first_costs: 0.0,
                full: false,
                in_parts: Some(bound),
                shown: None,
                not_shown: None,
            },
            in_dollars,
            (does, false),
            first,
        )
    }

    #[test]
    fn what_a_bound_counts_without_paying_is_said_with_it() {
        for first in [&[][..], &["heap"]] {
            let proof = Proof {
                shown: None,
                not_shown: None,
                worth: 7_457.2,
                bound: 7_457.6,
                gap: 0.0,
                proven: true,
                first: vec![],
                first_costs: 0.0,
                full: true,
                in_parts: Some(7_457.6),
            };
            let full = in_words(&proof, true, (true, false), first);
            let plain = in_words(&Proof { full: false, ..proof }, true, (true, false), first);
            let more = full.strip_prefix(&plain).expect("the sentence stands as it does without it");
            assert!(more.contains("waits") && more.contains("is full"), "{more}");
        }
    }

    #[test]
    fn no_more_is_claimed_of_the_choice_than_is_proven() {
        let (spreads, none) = ((true, true), (true, false));
        for (told, claim) in [
            (
                said(7_457.2, 7_457.6, true, spreads, &[]),
                "This plan gains $7,457.20; no other gains more (proven to the dollar).",
            ),
            (
                said(7_457.2, 7_459.6, true, spreads, &[]),
                "This plan gains $7,457.20; no other can gain over $3 more (proven).",
            ),
            (
                said(7_457.2, 7_457.3, false, spreads, &[]),
                "This plan gains $7,457.20; the search stopped at its effort limit: another could gain up to $1 more.",
            ),
            (
                said(-812.0, -811.9, true, spreads, &[]),
                "This plan costs $812.00 in all; no other costs less (proven to the dollar).",
            ),
            (
                said(-812.0, -800.0, true, spreads, &[]),
                "This plan costs $812.00 in all; no other can gain over $12 more (proven).",
            ),
            (said(0.0, 0.0, true, none, &[]), "No plan gains more than spreading none of it (proven to the dollar)."),
            (
                said(0.0, 9.0, false, none, &[]),
                "This plan spreads none of it; the search stopped at its effort limit: another could gain up to $9 more.",
            ),
            (
                said(300.0, 300.2, true, (false, true), &[]),
                "This plan gains 300 lb of nutrients; no other gains more (proven to the pound).",
            ),
            (
                said(9.0, 9.0, true, spreads, &["crust"]),
                "This plan gains $9.00; no other gains more (proven to the dollar). That is among the plans that use as much of crust, which goes first.",
            ),
            (
                said(9.0, 9.0, true, spreads, &["crust", "cake"]),
                "This plan gains $9.00; no other gains more (proven to the dollar). That is among the plans that use as much of crust and cake, which go first.",
            ),
        ] {
            assert_eq!(told, claim);
        }
    }
}
