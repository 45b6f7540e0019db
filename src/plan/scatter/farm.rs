//! How sure the rates of a whole farm are.

use crate::balance::{Balance, Counts, FieldBalance};
use crate::check::Ready;
use crate::cores;
use crate::findings::Cite;
use crate::plan::answer::{FieldPlan, FieldSure, LotSure, Plan, SCHEMA, SpreadFrom, Sure};
use crate::plan::draws::Bell;
use crate::plan::scatter::band::DRAWS;
use crate::plan::scatter::content::LotDraws;
use crate::plan::scatter::limits;
use crate::plan::scatter::on_field::{Desk, Site};
use crate::plan::scatter::spread::{self, Cited};
use crate::tables::Tables;
use crate::units::Quantity;
use std::collections::BTreeSet;

/// A field's bands, what being off its need costs by each lot on it now and with one more sample,
/// and what stands behind them.
struct Found {
    field: FieldSure,
    costs: Vec<(usize, [f64; 2])>,
    cite: Option<Cite>,
    unknown: Vec<Counts>,
}

/// How sure the rates of a plan are, of all fields or of one. None where the place has no tables,
/// which no plan is made of.
#[must_use]
pub fn how_sure(ready: &Ready, tables: &Tables, balance: &Balance, plan: &Plan, only: Option<&str>) -> Option<Sure> {
    let book = ready.book(tables)?;
    let bell = Bell::of(DRAWS);
    let lots: Vec<LotDraws> = cores::each(&ready.lots, |lot| LotDraws::of(ready, &book, lot, &bell));
    let (rate, placement) = (spread::of_rate(&book), spread::of_placement(ready, &book));
    let desk = Desk { ready, book: &book, plan, bell: &bell, lots: &lots, rate: &rate, placement: &placement };
    let fields: Vec<(&FieldPlan, &FieldBalance)> = plan
        .fields
        .iter()
        .filter(|field| only.is_none_or(|id| field.id == id))
        .filter_map(|field| Some((field, balance.field(&field.id)?)))
        .collect();
    let found = cores::each(&fields, |(field, weighed)| one(&desk, field, weighed));
    let own_lots = of_lots(&desk, &found);
    let mut figures: Vec<Cite> = Vec::new();
    let of_lot = own_lots.iter().filter_map(|own| ready.lots.iter().position(|lot| lot.id == own.id));
    let cited: Vec<&Cited> = of_lot.flat_map(|at| &lots[at].spreads).chain([&rate, &placement]).collect();
    let cites = cited.iter().filter_map(|own| own.cite.clone()).chain(found.iter().filter_map(|own| own.cite.clone()));
    for cite in cites {
        if !figures.contains(&cite) {
            figures.push(cite);
        }
    }
    let not_counted = not_counted(&cited, &found);
    Some(Sure {
        schema: SCHEMA,
        farm: plan.farm.clone(),
        place_name: plan.place_name.clone(),
        as_of: plan.as_of,
        draws: DRAWS,
        in_dollars: plan.choice.in_dollars,
        fields: found.into_iter().map(|own| own.field).collect(),
        lots: own_lots,
        rate: rate.spread,
        placement: placement.spread,
        not_counted,
        figures,
    })
}

fn one(desk: &Desk<'_>, field: &FieldPlan, weighed: &FieldBalance) -> Found {
    let site = Site::of(desk, field, weighed);
    let years = site.years();
    let (limits, unknown) = limits::of(&site);
    let prices = prices(desk, field);
    let here = |lot: usize| years.iter().any(|year| year.has(lot));
    let costs = |lot: usize| {
        let sum = |more: Option<usize>| years.iter().map(|year| year.costs(prices, more)).sum::<f64>();
        (lot, [sum(None), sum(Some(lot))])
    };
    let costs = (0..desk.lots.len()).filter(|lot| here(*lot)).map(costs).collect();
    let mut most: Option<(usize, f64)> = None;
    for (at, limit) in limits.iter().enumerate() {
        if most.is_none_or(|(_, over)| limit.over > over) {
            most = Some((at, limit.over));
        }
    }
    let field = FieldSure {
        id: field.id.clone(),
        name: field.name.clone(),
        yields: site.yields.spread.clone(),
        years: years.iter().map(|year| year.bands()).collect(),
        limits,
        most_at_risk: most.map(|(at, _)| at),
    };
    Found { field, costs, cite: site.yields.cite.clone(), unknown }
}

/// Dollars of a pound of nitrogen short, and of one over, which is a pound of fertilizer wasted;
/// without prices both are pounds.
fn prices(desk: &Desk<'_>, field: &FieldPlan) -> (f64, f64) {
    if !desk.plan.choice.in_dollars {
        return (1.0, 1.0);
    }
    let written = desk.ready.prices.as_ref().map_or(0.0, |prices| prices.n.value.get());
    let Some(buy) = &desk.plan.buy else { return (written, written) };
    let pound = buy.pound.n;
    let hay = buy.hay_lost.iter().find(|lost| lost.id == field.id).map(|lost| lost.pound);
    (hay.unwrap_or(pound), pound)
}

/// The lots that are on some field.
fn of_lots(desk: &Desk<'_>, found: &[Found]) -> Vec<LotSure> {
    let one = |(at, lot): (usize, &LotDraws)| {
        let mine = found.iter().flat_map(|own| &own.costs).filter(|(own, _)| *own == at);
        let (count, [costs, with]) =
            mine.fold((0, [0.0; 2]), |(count, sum), (_, own)| (count + 1, [sum[0] + own[0], sum[1] + own[1]]));
        (count > 0).then(|| LotSure {
            id: desk.ready.lots[at].id.clone(),
            samples: lot.samples,
            contents: lot.contents(),
            costs,
            costs_with_one_more: with,
            one_more: costs - with,
        })
    };
    desk.lots.iter().enumerate().filter_map(one).collect()
}

/// What is not counted, a sentence each.
fn not_counted(cited: &[&Cited], found: &[Found]) -> Vec<String> {
    let nobody = cited.iter().map(|own| &own.spread).chain(found.iter().map(|own| &own.field.yields));
    let nobody: BTreeSet<&str> =
        nobody.filter(|spread| spread.from == SpreadFrom::Nobody).map(|spread| spread.of.as_str()).collect();
    let of_limits: BTreeSet<&str> = found.iter().flat_map(|own| &own.unknown).map(|counts| counts.word()).collect();
    let exact = nobody.into_iter().map(|of| format!("The tables have no scatter of {of}: it is counted as exact."));
    let left = of_limits.into_iter().map(|of| format!("Nobody knows how {of} scatters: its limits are not looked at."));
    exact.chain(left).collect()
}
