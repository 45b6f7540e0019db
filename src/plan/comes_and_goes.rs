//! What the plan says of litter that comes and goes: what is to come, which
//! application waits for it, who takes what, and what must be gone by when.

use crate::check::{Outlet, Ready};
use crate::plan::answer::{ByWhen, ComingRow, FieldPlan, MustGo, OutletRow, Sale};
use crate::plan::choose::Chosen;
use crate::plan::days::{self, by_when};
use crate::plan::problem::Problem;
use crate::plan::sales::{self, Sold};
use crate::plan::stock::StockRun;
use crate::units::{Pounds, Quantity};
use jiff::civil::Date;

/// Litter that comes within the plan.
pub(super) fn coming(ready: &Ready) -> Vec<ComingRow> {
    let within = ready.coming.iter().filter(|coming| coming.day <= ready.to);
    within
        .map(|c| ComingRow {
            day: c.day,
            lot: c.lot.clone(),
            pounds: c.pounds,
            what: c.what,
            from: c.from.clone(),
            price: c.price,
        })
        .collect()
}

/// Dates every application that waits for litter: what is there goes to the window
/// that closes first, an outlet's too.
pub(super) fn wait_for_litter(fields: &mut [FieldPlan], sales: &[Sale], run: &StockRun, open: Date) {
    for lot in run.lots.iter().filter(|lot| !lot.comes.is_empty()) {
        let mut own: Vec<(usize, usize)> = Vec::new();
        for (f, field) in fields.iter().enumerate() {
            own.extend((0..field.applications.len()).filter(|a| field.applications[*a].lot == lot.id).map(|a| (f, a)));
        }
        own.sort_by_key(|(f, a)| {
            let application = &fields[*f].applications[*a];
            (application.last, application.first, *f)
        });
        let mut spread = Pounds(0);
        for (f, a) in own {
            let application = &mut fields[f].applications[a];
            spread += application.pounds;
            let before = sales.iter().filter(|sale| sale.lot == lot.id && sale.last <= application.last);
            let due = spread + before.map(|sale| sale.pounds).sum();
            let first = application.first.max(open);
            if lot.by(first) < due {
                application.litter_from = lot.comes.iter().map(|(day, _)| *day).find(|day| lot.by(*day) >= due);
            }
        }
    }
}

/// What the outlets take by the choice.
pub(super) fn sales(ready: &Ready, question: &Problem, chosen: &Chosen) -> Vec<Sale> {
    named(ready, question, &chosen.sales)
}

/// Sales with the names of the farm.
fn named(ready: &Ready, question: &Problem, sales: &[Sold]) -> Vec<Sale> {
    let named = |sold: &Sold| {
        let (outlet, days) = (ready.outlets.get(sold.outlet)?, question.outlets.get(sold.outlet)?);
        Some(Sale {
            outlet: outlet.name.clone(),
            lot: ready.lots.get(sold.lot)?.id.clone(),
            pounds: sold.pounds,
            price: outlet.price,
            first: days.first,
            last: days.last,
        })
    };
    sales.iter().filter_map(named).collect()
}

/// What outlets took by the log of the most that they take on days of the plan, where they
/// took any.
pub(super) fn outlets(ready: &Ready, sales: &[Sale]) -> Vec<OutletRow> {
    let row = |outlet: &Outlet| {
        let (first, last) = outlet.days(ready.from, ready.to);
        let (most, taken) = (outlet.most?, outlet.taken);
        let within = |sale: &&Sale| sale.outlet == outlet.name && (first..=last).contains(&sale.first);
        let planned = sales.iter().filter(within).map(|sale| sale.pounds).sum();
        let &Outlet { year, from, to, .. } = outlet;
        let told = first <= last && taken.0 > 0;
        told.then(|| OutletRow { outlet: outlet.name.clone(), year, from, to, most, taken, planned })
    };
    ready.outlets.iter().filter_map(row).collect()
}

/// Dollars of litter that comes and goes.
#[derive(Clone, Copy, Default)]
pub(super) struct Trade {
    /// What the outlets pay.
    pub(super) sold: f64,
    /// Litter that is brought.
    pub(super) bought: f64,
    /// What must leave and nobody takes.
    pub(super) disposal: f64,
}

/// The dollars of what comes and goes; nothing without prices. Where no outlet is
/// named, what must leave sells as all litter does.
pub(super) fn trade(ready: &Ready, sales: &[Sale], by_when: &[ByWhen]) -> Trade {
    if ready.prices.is_none() {
        return Trade::default();
    }
    let bought = ready.coming.iter().filter(|c| c.day <= ready.to);
    Trade {
        sold: paid(sales),
        bought: bought.filter_map(|c| Some(c.pounds.tons() * c.price?)).sum(),
        disposal: rid(ready, by_when).unwrap_or(0.0),
    }
}

fn paid(sales: &[Sale]) -> f64 {
    sales.iter().map(|sale| sale.pounds.tons() * sale.price).sum()
}

/// Dollars of getting rid of what must leave; none where farm.yaml says no price of it.
fn rid(ready: &Ready, by_when: &[ByWhen]) -> Option<f64> {
    let price = ready.prices.as_ref()?.disposal.as_ref().filter(|_| !ready.outlets.is_empty())?.value.get();
    Some(price * by_when.iter().filter(|row| row.why == MustGo::Room).map(|row| row.must_leave.tons()).sum::<f64>())
}

/// What all litter would bring and cost were none of it spread.
#[derive(Clone, Copy)]
pub(super) struct Unspread {
    /// What outlets pay, and what the rest sells for.
    pub(super) brings: f64,
    /// Getting rid of what must leave; none where farm.yaml says no price of it.
    pub(super) disposal: Option<f64>,
}

/// The outlets take what they can and pay most for, and the rest brings what litter left over
/// does. None without prices.
pub(super) fn unspread(ready: &Ready, question: &Problem, run: &StockRun) -> Option<Unspread> {
    ready.prices.as_ref()?;
    // Nobody would bring litter to sell it on.
    let mut run = run.clone();
    for bought in ready.coming.iter().filter(|c| c.price.is_some()) {
        let lot = run.lots.iter_mut().find(|lot| lot.id == bought.lot);
        let on = lot.and_then(|lot| lot.comes.iter_mut().find(|(day, _)| *day == bought.day));
        on.into_iter().for_each(|(_, pounds)| *pounds -= bought.pounds);
    }
    let mut unsold: Vec<Pounds> = run.lots.iter().map(|lot| lot.by(ready.to)).collect();
    let sold = sales::all_sold(&question.outlets, &run);
    sold.iter().for_each(|sold| unsold[sold.lot] -= sold.pounds);
    let sales = named(ready, question, &sold);
    let left = run.lots.iter().zip(unsold).map(|(lot, left)| left.tons() * ready.worth_left(&lot.id).unwrap_or(0.0));
    let brings = paid(&sales) + left.sum::<f64>();
    let out = by_when::at_the_opening(&[], &sales, &run, ready.open_from());
    Some(Unspread { brings, disposal: rid(ready, &by_when::by_when(ready, &run, &out)) })
}

/// What must be gone by when, with the spreading of the plan as it is expected.
pub(super) fn by_when(ready: &Ready, run: &StockRun, fields: &[FieldPlan], sales: &[Sale]) -> Vec<ByWhen> {
    let rows = days::expected(fields, sales, ready);
    let out = match &rows {
        Some(rows) => by_when::by_calendar(rows, sales, run),
        None => by_when::at_the_opening(fields, sales, run, ready.open_from()),
    };
    by_when::by_when(ready, run, &out)
}
