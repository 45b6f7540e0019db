//! Who takes litter, reached again from farm.yaml and log: what each outlet took and paid for, and
//! that the plan sells it no more than it still takes.

use crate::audit::fault::{fault, first_letters, near};
use crate::check::{Outlet, Ready};
use crate::findings::Findings;
use crate::plan::answer::Plan;
use crate::record::{Entry, What};
use crate::units::Pounds;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// An outlet, and the calendar year for which its most holds; none where its own first and last
/// day are given.
type Span<'a> = (&'a str, Option<i16>);

/// What went to outlets by the log.
pub(super) struct Took<'a> {
    ready: &'a Ready,
    /// By outlet and span.
    pounds: BTreeMap<Span<'a>, Pounds>,
    /// What each entry brought, with its day; litter that went elsewhere is none of this.
    paid: Vec<(&'a Entry, Option<f64>)>,
}

fn span(outlet: &Outlet, day: Date) -> Span<'_> {
    let own = outlet.from.is_some() && outlet.to.is_some();
    (&outlet.name, (!own).then(|| day.year()))
}

/// The outlet of a name, as farm.yaml has it.
fn named<'a>(ready: &'a Ready, name: &str) -> Option<&'a Outlet> {
    let name = name.trim().to_lowercase();
    ready.outlets.iter().find(|outlet| outlet.name.to_lowercase() == name)
}

impl<'a> Took<'a> {
    /// An outlet pays within its days, and for no more than it takes. What went before its first
    /// day but within the plan fills it all the same.
    pub(super) fn of(ready: &'a Ready) -> Took<'a> {
        let mut hauls: Vec<&Entry> = ready.happened.iter().filter(|e| e.what == What::Haul).collect();
        // Of one day in the order of the log.
        hauls.sort_by_key(|e| e.date);
        let mut took = Took { ready, pounds: BTreeMap::new(), paid: Vec::new() };
        for entry in hauls {
            let Some(outlet) = named(ready, entry.word("to")) else {
                took.paid.push((entry, None));
                continue;
            };
            let early = outlet.from.is_some_and(|from| entry.date < from);
            let late = outlet.to.is_some_and(|to| to < entry.date);
            let mut pays = Pounds(0);
            if !late && (!early || entry.date >= ready.from) {
                let before = took.pounds.entry(span(outlet, entry.date)).or_default();
                let open = outlet.most.map_or(entry.amount, |most| (most - *before).max(Pounds(0)).min(entry.amount));
                *before += entry.amount;
                pays = if early { Pounds(0) } else { open };
            }
            took.paid.push((entry, Some(pays.tons() * outlet.price)));
        }
        took
    }

    /// Dollars of what left the farm on days of the plan; `elsewhere` prices what no outlet took.
    pub(super) fn paid(&self, elsewhere: &dyn Fn(&Entry) -> f64) -> f64 {
        let days = self.ready.from..=self.ready.to;
        let within = self.paid.iter().filter(|(entry, _)| days.contains(&entry.date));
        within.map(|(entry, paid)| paid.unwrap_or_else(|| elsewhere(entry))).sum()
    }

    /// What an outlet took in a span, and its most.
    fn of_span(&self, span: Span<'_>) -> Option<(Pounds, Pounds)> {
        let most = named(self.ready, span.0)?.most?;
        Some((self.pounds.get(&span).copied().unwrap_or_default(), most))
    }
}

pub(super) fn check(plan: &Plan, ready: &Ready, findings: &mut Findings) {
    let mut say = |what: String| findings.push(fault("outlet", what));
    let mut sold: BTreeMap<Span<'_>, Pounds> = BTreeMap::new();
    for sale in &plan.sales {
        let name = first_letters(&sale.outlet);
        let Some(outlet) = ready.outlets.iter().find(|o| o.name == sale.outlet) else {
            say(format!("there is no outlet {name}"));
            continue;
        };
        let early = outlet.from.is_some_and(|from| sale.first < from) || sale.first < ready.as_of;
        let late = outlet.to.is_some_and(|to| sale.last > to) || sale.last > ready.to;
        let of = span(outlet, sale.first);
        // An amount of two years would be held by neither.
        let across = outlet.most.is_some() && of != span(outlet, sale.last);
        if early || late || across || sale.first > sale.last || !outlet.lots.contains(&sale.lot) || sale.pounds.0 <= 0 {
            say(format!("{name} does not take {} of {} from {} to {}", sale.pounds, sale.lot, sale.first, sale.last));
        }
        if !near(sale.price, outlet.price, 1e-9) {
            say(format!("{name} pays {} $/ton, not {}", outlet.price, sale.price));
        }
        *sold.entry(of).or_default() += sale.pounds;
    }
    let took = Took::of(ready);
    for (&of, &sum) in &sold {
        let Some((taken, most)) = took.of_span(of) else { continue };
        if sum > (most - taken).max(Pounds(0)) {
            say(format!("{}: {sum} is more than it takes, which has {taken} of {most} already", of.0));
        }
    }
    shown(plan, &took, &sold, &mut say);
}

/// What is shown of the outlets that took some, and that all of them are shown.
fn shown(plan: &Plan, took: &Took<'_>, sold: &BTreeMap<Span<'_>, Pounds>, say: &mut dyn FnMut(String)) {
    for row in &plan.outlets {
        let of: Span<'_> = (&row.outlet, row.year);
        let planned = sold.get(&of).copied().unwrap_or_default();
        if took.of_span(of) != Some((row.taken, row.most)) || planned != row.planned {
            let name = first_letters(&row.outlet);
            say(format!("{name} is shown to have taken {} of {}, and {} to come", row.taken, row.most, row.planned));
        }
    }
    for (&(name, year), &taken) in &took.pounds {
        let Some(outlet) = named(took.ready, name).filter(|outlet| outlet.most.is_some() && taken.0 > 0) else {
            continue;
        };
        let ends = |first: Date, last: Date| {
            let (first, last) =
                (outlet.from.map_or(first, |from| from.max(first)), outlet.to.map_or(last, |to| to.min(last)));
            first <= last && year.is_none_or(|year| first.year() <= year && year <= last.year())
        };
        let told = plan.outlets.iter().any(|row| row.outlet == name && row.year == year);
        if ends(plan.from, plan.to) && !told {
            say(format!("{name} took {taken} by the log, and the plan does not say so"));
        }
    }
}
