//! What the plan says of litter that comes and goes: what is to come, which
//! application waits for it, who takes what, and what must be gone by when.

use crate::check::Ready;
use crate::plan::answer::{ByWhen, ComingRow, FieldPlan, MustGo, Sale};
use crate::plan::choose::Chosen;
use crate::plan::days::{self, by_when};
use crate::plan::problem::Problem;
use crate::plan::stock::{LotRun, StockRun};
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
    let named = |sold: &crate::plan::sales::Sold| {
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
    chosen.sales.iter().filter_map(named).collect()
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
    let Some(prices) = &ready.prices else { return Trade::default() };
    let rid = prices.disposal.as_ref().filter(|_| !ready.outlets.is_empty()).map_or(0.0, |price| price.value.get());
    let must: f64 = by_when.iter().filter(|row| row.why == MustGo::Room).map(|row| row.must_leave.tons()).sum();
    let bought = ready.coming.iter().filter(|c| c.day <= ready.to);
    Trade {
        sold: sales.iter().map(|sale| sale.pounds.tons() * sale.price).sum(),
        bought: bought.filter_map(|c| Some(c.pounds.tons() * c.price?)).sum(),
        disposal: must * rid,
    }
}

/// What all litter would bring were none of it spread: the dearest outlet first, and
/// the rest at what litter left over brings. None without prices.
pub(super) fn all_sold(ready: &Ready, question: &Problem, run: &StockRun) -> Option<f64> {
    ready.prices.as_ref()?;
    // Nobody would bring litter to sell it on.
    let bought = |id: &str| -> Pounds {
        ready.coming.iter().filter(|c| c.lot == id && c.price.is_some() && c.day <= ready.to).map(|c| c.pounds).sum()
    };
    let all = |lot: &LotRun| lot.on_hand + lot.to_come() - bought(&lot.id);
    let mut unsold: Vec<Pounds> = run.lots.iter().map(all).collect();
    let mut dollars = 0.0;
    for outlet in &question.outlets {
        let mut room = outlet.most.unwrap_or(Pounds(i64::MAX));
        for &lot in &outlet.lots {
            let gone = all(&run.lots[lot]) - unsold[lot];
            let takes = (run.lots[lot].by(outlet.last) - gone).min(unsold[lot]).min(room).max(Pounds(0));
            unsold[lot] -= takes;
            room -= takes;
            dollars += takes.tons() * outlet.price;
        }
    }
    let left = run.lots.iter().zip(unsold).map(|(lot, left)| left.tons() * ready.worth_left(&lot.id).unwrap_or(0.0));
    Some(dollars + left.sum::<f64>())
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
