//! What the leftover litter means: ground that it would feed, money, miles.

use crate::balance::{Balance, FieldBalance, LimitKind, LotBalance, Npk, StepId};
use crate::check::{Lot, Ready};
use crate::farm::Use;
use crate::findings::Finding;
use crate::plan::answer::{ByWhen, FieldPlan, Keeps, LeftLot, Leftover, Like, LotTally, MustGo};
use crate::units::{Pounds, Quantity};

/// Miles at which hauling eats up what a ton is worth beyond its fixed costs;
/// 0 when it is not worth those. None when hauling costs nothing, so that no
/// distance is too far.
#[must_use]
pub fn break_even_miles(worth: f64, fixed: f64, per_ton_mile: f64) -> Option<f64> {
    (per_ton_mile > 0.0).then(|| ((worth - fixed) / per_ton_mile).max(0.0))
}

/// What is left and what it means.
pub(super) fn leftover(
    ready: &Ready,
    balance: &Balance,
    fields: &[FieldPlan],
    lots: &[LotTally],
    by_when: &[ByWhen],
) -> Leftover {
    let pounds: Pounds = lots.iter().map(|l| l.left).sum();
    let applied = || fields.iter().flat_map(|f| f.applications.iter().map(move |a| (a.acres(f), a)));
    let planned: f64 = applied().map(|(_, a)| a.pounds.tons()).sum();
    let acres: f64 = applied().map(|(acres, _)| acres).sum();
    let average_rate = if acres > 0.0 { planned / acres } else { 0.0 };
    let model = model(ready, balance, fields);
    let left: Vec<LeftLot> = lots
        .iter()
        .filter(|tally| tally.left.0 > 0)
        .map(|tally| {
            let weighed = model.as_ref().and_then(|(_, weighed)| Some((*weighed, weighed.lot(&tally.id)?)));
            lot(ready, ready.lot(&tally.id), tally, model.as_ref().map(|(like, _)| like), weighed)
        })
        .collect();
    let sum = |get: &dyn Fn(&LeftLot) -> Option<f64>| -> Option<f64> {
        let parts: Option<Vec<f64>> = left.iter().map(get).collect();
        parts.filter(|p| !p.is_empty()).map(|p| p.iter().sum())
    };
    Leftover {
        pounds,
        average_rate,
        acres_more: if average_rate > 0.0 { pounds.tons() / average_rate } else { 0.0 },
        acres_wanting: fields.iter().filter(|f| f.held.by == LimitKind::TonsOnHand).map(|f| f.acres).sum(),
        sale_value: sum(&|l| l.sale_value).or(ready.prices.as_ref().map(|_| 0.0)),
        acres_by_p2o5: sum(&|l| l.acres_by_p2o5),
        acres_by_n: sum(&|l| l.acres_by_n),
        next_year: sum(&|l| l.next_year),
        keeps: ready.shop.carry_over.as_ref().map(|c| Keeps {
            percent: c.keeps.value.get(),
            by: c.by.clone(),
            on: c.on.value,
        }),
        like: model.map(|(like, _)| like),
        over: by_when.iter().filter(|row| row.why == MustGo::Room).map(|row| row.must_leave).sum(),
        stored: stored(ready, lots),
        lots: left,
        room: room(ready),
    }
}

/// Tons for which the farm has a dry place; none when it does not say.
fn room(ready: &Ready) -> Option<f64> {
    let stores = &ready.work.storage;
    (!stores.is_empty()).then(|| stores.iter().map(|store| store.room.tons()).sum())
}

/// What of the leftover lies in a storage at all.
fn stored(ready: &Ready, lots: &[LotTally]) -> Pounds {
    let inside = |id: &String| ready.work.storage.iter().any(|store| store.lots.contains(id));
    lots.iter().filter(|lot| inside(&lot.id)).map(|lot| lot.left).sum()
}

/// A carry-over that is said, where nothing is left to carry over.
pub(super) fn warning(ready: &Ready, leftover: &Leftover) -> Option<Finding> {
    let said = ready.shop.carry_over.as_ref().filter(|_| leftover.pounds <= Pounds(0))?;
    let found = "`carry_over` changes nothing, because this plan leaves no litter for next year";
    Some(
        Finding::warning("no-effect", &said.keeps.place, found)
            .fix("nothing needs to be done; or take `carry_over` out"),
    )
}

/// The widest hay field of the farm's most common forage: its need without
/// credits of its own, as ground elsewhere would have it.
fn model<'a>(ready: &Ready, balance: &'a Balance, fields: &[FieldPlan]) -> Option<(Like, &'a FieldBalance)> {
    let acres_of = |forage: &str| fields.iter().filter(|f| f.forage == forage).map(|f| f.acres).sum::<f64>();
    let common = fields
        .iter()
        .max_by(|a, b| acres_of(&a.forage).total_cmp(&acres_of(&b.forage)).then_with(|| b.forage.cmp(&a.forage)))?;
    let written = |f: &FieldPlan| ready.field(&f.id).map(|f| &f.written);
    let rank = |f: &FieldPlan| {
        let own = written(f).is_some_and(|w| w.other_n.is_none() && w.earlier.is_empty());
        let hay = written(f).is_some_and(|w| w.usage.value == Use::Hay);
        (f.need.n > 0.0, hay, own)
    };
    let (_, plan) = fields
        .iter()
        .enumerate()
        .filter(|(_, f)| f.forage == common.forage && f.removed.known().p2o5 && f.removed.known().k2o)
        .max_by(|(i, a), (j, b)| rank(a).cmp(&rank(b)).then(a.acres.total_cmp(&b.acres)).then(j.cmp(i)))?;
    let weighed = balance.field(&plan.id)?;
    let like = Like {
        field: plan.id.clone(),
        forage: plan.forage.clone(),
        usage: plan.usage.clone(),
        goal: plan.goal.tons,
        n: plan.need.n,
        p2o5: weighed.value(weighed.counted_off),
        k2o: plan.removed.k2o,
    };
    Some((like, weighed))
}

fn lot(
    ready: &Ready,
    lot: Option<&Lot>,
    tally: &LotTally,
    like: Option<&Like>,
    weighed: Option<(&FieldBalance, &LotBalance)>,
) -> LeftLot {
    let tons = tally.left.tons();
    let of = |npk: fn(&LotBalance) -> Npk<StepId>| weighed.map(|(field, lot)| npk(lot).map(|step| field.value(step)));
    // Limits count all phosphate; its worth is what the crop can use.
    let (per_ton, usable) = (of(|lot| lot.supply.per_ton), of(|lot| lot.supply.usable));
    let rate = |of: Option<f64>, held: Option<f64>| match (of, held) {
        (Some(of), Some(held)) if of > 0.0 && held > 0.0 => Some(of / held),
        _ => None,
    };
    let rate_by_p2o5 = rate(like.map(|l| l.p2o5), per_ton.map(|t| t.p2o5));
    let rate_by_n = rate(like.map(|l| l.n), per_ton.map(|t| t.n));
    // Dollars of a ton where it goes on at the phosphate carried off: more of a
    // nutrient than the crop there uses is worth nothing.
    let worth_of = |usable: Npk<f64>| -> Option<f64> {
        let (like, rate, prices) = (like?, rate_by_p2o5?, ready.prices.as_ref()?);
        let used = Npk { n: like.n, p2o5: like.p2o5, k2o: like.k2o }.with(usable, |use_, held| use_.min(rate * held));
        let price = Npk { n: &prices.n, p2o5: &prices.p2o5, k2o: &prices.k2o };
        let dollars = used.with(price, |lb, price| lb * price.value.get());
        Some((dollars.n + dollars.p2o5 + dollars.k2o) / rate)
    };
    let worth = usable.and_then(worth_of);
    // A lot that may not be spread is worth nothing on anybody's ground yet.
    let spreadable = lot.is_some_and(|l| l.barred.is_none() && l.never_sold.is_none());
    let prices = ready.prices.as_ref();
    let keeps = ready.shop.carry_over.as_ref().map(|c| c.keeps.value.get() / 100.0);
    LeftLot {
        lot: tally.id.clone(),
        pounds: tally.left,
        where_to: lot.and_then(|lot| lot.never_sold.as_ref()).map(|why| why.value.clone()),
        rate_by_p2o5,
        acres_by_p2o5: rate_by_p2o5.map(|rate| tons / rate),
        rate_by_n,
        acres_by_n: rate_by_n.map(|rate| tons / rate),
        worth,
        break_even_miles: prices
            .filter(|_| spreadable)
            .and_then(|p| break_even_miles(worth?, p.spreading.value.get(), p.hauling.value.get())),
        sale_value: ready.worth_left(&tally.id).map(|price| tons * price),
        next_year: keeps.and_then(|keeps| Some(tons * worth_of(usable.map(|t| Npk { n: t.n * keeps, ..t })?)?)),
    }
}
