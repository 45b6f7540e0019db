//! The cover and the list of fields that get no litter.

use super::words::{Said, Spot, day, days_of, one_year, rate_text, said, spot};
use crate::check::Ready;
use crate::plan::answer::{FieldPlan, Plan};
use crate::units::{Pounds, Quantity, number_text, trimmed};
use crate::write::page::tons;

/// What to do when litter spills: common practice.
const SPILL: [&str; 5] = [
    "Stop the spreader and the truck. Warn traffic.",
    "Contain it: bank soil or hay around it.",
    "Keep it out of ditches, drains, streams, ponds and wells.",
    "Call the grower. In an emergency call 911. Ask at once whether the state must be notified.",
    "Scrape it up dry, put it back on the stack, write it down.",
];

/// Somebody to call.
pub(super) struct Call {
    pub(super) part: &'static str,
    pub(super) name: String,
    pub(super) phone: String,
    pub(super) certificate: String,
}

/// One application in the order of work.
pub(super) struct Stop {
    pub(super) sheet: usize,
    pub(super) window: String,
    pub(super) id: String,
    pub(super) name: String,
    pub(super) lot: String,
    pub(super) rate: String,
    pub(super) acres: String,
    pub(super) tons: String,
    pub(super) loads: i64,
    pub(super) sample: String,
}

/// One lot.
pub(super) struct LotRow {
    pub(super) id: String,
    pub(super) kind: String,
    pub(super) stored: String,
    pub(super) on_hand: String,
    pub(super) planned: String,
    pub(super) left: String,
    pub(super) good_until: String,
    pub(super) stack: Option<Spot>,
}

/// The spreader.
pub(super) struct Machine {
    pub(super) name: String,
    pub(super) swath: String,
    pub(super) load: String,
    pub(super) calibrated: String,
}

/// The cover.
pub(super) struct Cover {
    pub(super) county: String,
    pub(super) route: Vec<Stop>,
    pub(super) tons: String,
    pub(super) loads: i64,
    pub(super) lots: Vec<LotRow>,
    pub(super) cautions: Vec<Said>,
    pub(super) record: Vec<String>,
    pub(super) spill: [&'static str; 5],
}

/// A field that gets none.
pub(super) struct Without {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) acres: String,
    pub(super) why: Vec<(String, String)>,
}

/// The cover; `sheets` are the places of the fields with pages, in order.
pub(super) fn cover(plan: &Plan, ready: &Ready, sheets: &[usize]) -> Cover {
    let mut route: Vec<(jiff::civil::Date, jiff::civil::Date, usize, Stop)> = Vec::new();
    let year = one_year(plan);
    for (n, field) in sheets.iter().enumerate().filter_map(|(n, at)| Some((n + 1, plan.fields.get(*at)?))) {
        for a in &field.applications {
            let stop = Stop {
                sheet: n,
                window: days_of(year, a.first, a.last),
                id: field.id.clone(),
                name: field.name.clone(),
                lot: a.lot.clone(),
                rate: rate_text(a.rate),
                acres: number_text(field.acres, 2),
                tons: tons(a.pounds),
                loads: a.loads,
                sample: match a.analysis_good_until {
                    Some(good) if good < a.first => "sample first".to_string(),
                    Some(good) if good < a.last => format!("to {}", day(good)),
                    Some(_) => "good".to_string(),
                    None => String::new(),
                },
            };
            route.push((a.first, a.last, n, stop));
        }
    }
    route.sort_by_key(|(first, last, n, _)| (*first, *last, *n));
    let all = || plan.fields.iter().flat_map(|f| &f.applications);
    let pounds: Pounds = all().map(|a| a.pounds).sum();
    Cover {
        county: ready.county.clone().unwrap_or_default(),
        route: route.into_iter().map(|(_, _, _, stop)| stop).collect(),
        tons: tons(pounds),
        loads: all().map(|a| a.loads).sum(),
        lots: lots(plan, ready),
        cautions: plan.cautions.iter().map(said).collect(),
        spill: SPILL,
        record: plan.record_items.iter().map(|r| r.text.clone()).collect(),
    }
}

fn lots(plan: &Plan, ready: &Ready) -> Vec<LotRow> {
    plan.lots
        .iter()
        .map(|l| {
            let lot = ready.lot(&l.id);
            LotRow {
                id: l.id.clone(),
                kind: l.kind.clone(),
                stored: lot.map(|l| l.stored.word().to_string()).unwrap_or_default(),
                on_hand: tons(l.on_hand),
                planned: tons(l.planned),
                left: tons(l.left),
                good_until: l.analysis_good_until.map(day).unwrap_or_default(),
                stack: lot.and_then(|l| l.stack).map(spot),
            }
        })
        .collect()
}

/// The spreader.
pub(super) fn machine(ready: &Ready) -> Machine {
    let spreader = &ready.spreader;
    Machine {
        name: spreader.name.clone(),
        swath: format!("{} ft", trimmed(spreader.swath.value.get())),
        load: format!("{} tons", trimmed(spreader.load.value.get())),
        calibrated: ready.calibrated().map(day).unwrap_or_default(),
    }
}

/// Whom to call.
pub(super) fn people(ready: &Ready) -> Vec<Call> {
    ready
        .people
        .iter()
        .map(|p| Call {
            part: p.part,
            name: p.name.clone(),
            phone: p.phone.clone().unwrap_or_default(),
            certificate: p.certificate.clone().unwrap_or_default(),
        })
        .collect()
}

/// The fields that get none, and why.
pub(super) fn without(plan: &Plan) -> Vec<Without> {
    plan.fields
        .iter()
        .filter(|f| f.applications.is_empty())
        .map(|f| Without { id: f.id.clone(), name: f.name.clone(), acres: number_text(f.gross_acres, 2), why: why(f) })
        .collect()
}

/// Each reason, and what would change it where the plan says so.
fn why(field: &FieldPlan) -> Vec<(String, String)> {
    if field.bars.is_empty() {
        return field.why_none().into_iter().map(|why| (why, String::new())).collect();
    }
    field.bars.iter().map(|b| (b.why.clone(), b.fix.clone())).collect()
}
