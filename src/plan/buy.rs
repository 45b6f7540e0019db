//! Fertilizer still to buy: the cheapest mix a field, when it goes on, and what
//! the farm pays with the litter and without it.

use crate::balance::{Balance, Npk};
use crate::check::Ready;
use crate::farm::Fertilizer;
use crate::findings::Finding;
use crate::plan::answer::{Application, Bill, Bought, Buy, FieldBuy, FieldPlan, LotTally};
use crate::plan::blend::{Blend, Most, Product, as_much_as_fits, cheapest, implied};
use crate::plan::comes_and_goes::{Trade, Unspread};
use crate::plan::goes::{SLACK, Site, TRIFLE, amounts, without_least};
use crate::plan::growing::Seasons;
use crate::tables::{Book, Scope, topic};
use crate::units::{POUNDS_PER_TON, Quantity};

/// Prices further apart than this share are told: our own choice.
const APART: f64 = 0.25;

/// What to buy; none where the farm names no products.
pub(super) fn buy(
    ready: &Ready,
    (balance, book): (&Balance, Option<&Book<'_>>),
    fields: &[FieldPlan],
    lots: &[LotTally],
    (trade, unspread): (Trade, Option<Unspread>),
) -> Option<Buy> {
    if ready.shop.products.is_empty() {
        return None;
    }
    let least = least_of(ready, book);
    let sites = || {
        fields.iter().filter_map(|plan| {
            let weighed = balance.field(&plan.id)?;
            let field = weighed.field();
            let seasons = book.and_then(|book| Seasons::of(ready, field, book, &plan.years));
            let usage = field.written.usage.value;
            Some(Site { ready, weighed, plan, usage, seasons, least })
        })
    };
    let with: Vec<FieldBuy> = sites().filter_map(|s| s.buy(*s.plan.short, s.plan.acres, true)).collect();
    let without: Vec<FieldBuy> = sites().flat_map(|s| s.without_litter()).collect();
    let planned = fields.iter().flat_map(|f| &f.applications);
    let tons = |get: &dyn Fn(&LotTally) -> crate::units::Pounds| lots.iter().map(|l| get(l).tons()).sum::<f64>();
    let prices = ready.prices.as_ref();
    let with_litter = bill(ready, &with).with(
        prices.map(|p| tons(&|l| l.planned) * p.spreading.value.get()),
        prices.map(|p| {
            let miles = |a: &Application| a.haul.as_ref().map_or(0.0, |h| h.miles);
            planned.map(|a| a.pounds.tons() * miles(a)).sum::<f64>() * p.hauling.value.get()
        }),
        prices.map(|_| lots.iter().map(|l| l.left.tons() * ready.worth_left(&l.id).unwrap_or(0.0)).sum()),
    );
    let with_litter = with_litter.trading(ready, trade);
    // Where outlets are named, what they do not take brings nothing.
    let outlets = !ready.outlets.is_empty();
    let left = unspread.map(|all| if outlets { 0.0 } else { all.brings });
    let without_litter = bill(ready, &without).with(prices.map(|_| 0.0), prices.map(|_| 0.0), left);
    let all = unspread.map(|all| Trade { sold: all.brings, bought: 0.0, disposal: all.disposal.unwrap_or(0.0) });
    let without_litter = without_litter.trading(ready, all.unwrap_or_default());
    Some(Buy {
        products: bought(ready, &with),
        waits_without: without.iter().any(|field| field.waits != Npk::default()),
        keeps_unsold: ready.lots.iter().any(|lot| lot.never_sold.is_some()),
        least,
        unmet_with: unmet(&with),
        unmet_without: unmet(&without),
        fields: with,
        saved: without_litter.total - with_litter.total,
        with_litter,
        without_litter,
    })
}

/// The least product that one trip can spread, lb/ac.
fn least_of(ready: &Ready, book: Option<&Book<'_>>) -> f64 {
    let own = ready.shop.least.as_ref().map(|least| least.value);
    let usual = || book.and_then(|book| book.get(topic::FERTILIZER_LEAST, &Scope::new())).map(|figure| figure.value);
    own.or_else(usual).map_or(0.0, Quantity::get)
}

/// What the mixes of all fields leave unmet, in pounds.
fn unmet(fields: &[FieldBuy]) -> Npk<f64> {
    fields.iter().fold(Npk::default(), |sum: Npk<f64>, f| sum.with(f.unmet, |sum, lb| sum + f.acres * lb))
}

/// A warning for every nutrient whose price in `prices` is far from what the
/// products imply, at the farm's need without litter.
pub(super) fn warnings(ready: &Ready, fields: &[FieldPlan]) -> Vec<Finding> {
    let Some(prices) = &ready.prices else { return Vec::new() };
    let need = fields.iter().fold(Npk::default(), |sum: Npk<f64>, f| sum.with(*f.need, |s, n| s + f.acres * n));
    let implied_price = implied(&on_offer(&ready.shop.products), &need);
    let one = |what: &str, written: &crate::findings::At<crate::units::DollarsPerLb>, implied_price: Option<f64>| {
        let (asked, implied_price) = (written.value.get(), implied_price?);
        let apart = (implied_price - asked).abs() > APART * asked.max(implied_price);
        apart.then(|| {
            Finding::warning(
                "prices-apart",
                &written.place,
                format!("a pound of {what} is {asked:.2} $/lb in `prices`; the fertilizers of this farm make it {implied_price:.2} $/lb"),
            )
            .accepts("prices within 25 % of each other")
            .fix("ask the dealer which is right: litter is placed by `prices`, fertilizer bought by `fertilizer`")
        })
    };
    [
        ("N", &prices.n, implied_price.n),
        ("P2O5", &prices.p2o5, implied_price.p2o5),
        ("K2O", &prices.k2o, implied_price.k2o),
    ]
    .into_iter()
    .filter_map(|(what, written, implied_price)| one(what, written, implied_price))
    .collect()
}

/// The cheapest mix of some products with no more than so much phosphate and nitrogen, the
/// products that it may use, and those left out because they hold phosphate.
fn mixed(all: Vec<Product>, short: Npk<f64>, most: Most) -> (Vec<Product>, Vec<Product>, Blend) {
    let p2o5 = short.p2o5.min(most.p2o5);
    if (most.p2o5.is_infinite() || p2o5 >= TRIFLE)
        && let Some(mix) = as_much_as_fits(&all, &Npk { p2o5, ..short }, most)
    {
        return (all, Vec::new(), mix);
    }
    // A blend must not bring phosphate to ground where it is capped.
    let (out, products): (Vec<Product>, Vec<Product>) = all.into_iter().partition(|p| p.holds.p2o5 > 0.0);
    let mix = as_much_as_fits(&products, &short, most).unwrap_or_else(|| cheapest(&products, &short));
    (products, out, mix)
}

/// The products as pounds in a pound and dollars a pound.
fn on_offer(products: &[Fertilizer]) -> Vec<Product> {
    products
        .iter()
        .map(|p| {
            let [n, p2o5, k2o] = p.analysis.value.map(|percent| percent / 100.0);
            let price = p.price.value.get() / POUNDS_PER_TON as f64;
            Product { name: p.name.value.clone(), holds: Npk { n, p2o5, k2o }, price }
        })
        .collect()
}

impl Site<'_> {
    /// The mixes if no litter were spread: on the part that is done and on the rest of a field
    /// by what litter meets there.
    fn without_litter(&self) -> Vec<FieldBuy> {
        let grounds = self.plan.met_by_ground();
        match grounds.as_slice() {
            [] | [_] => self.buy(*self.plan.left, self.plan.acres, false).into_iter().collect(),
            several => {
                let of = |(acres, met): &(f64, Npk<f64>)| {
                    self.buy(self.plan.short.with(*met, |short, met| short + met), *acres, false)
                };
                several.iter().filter_map(of).collect()
            }
        }
    }

    /// The mix for what is short on some acres here; none when nothing is.
    fn buy(&self, short: Npk<f64>, acres: f64, litter: bool) -> Option<FieldBuy> {
        let short = short.map(|lb| if lb < TRIFLE { 0.0 } else { lb });
        if acres <= 0.0 || short == Npk::default() {
            return None;
        }
        let waits = self.waits(&short, litter);
        let wanted = short.with(waits, |short, waits| short - waits);
        let litter_brings = if litter { self.plan.supplied.p2o5 } else { 0.0 };
        let most_p2o5 = self.weighed.p2o5_to_buy.map(|most| (most - litter_brings).max(0.0));
        let (mut now, mut parts) = (wanted, self.parts(wanted.n, litter));
        let most_n = self.most_n(litter).map(|most| most.max(wanted.n));
        let most = Most { n: most_n.unwrap_or(f64::INFINITY), p2o5: most_p2o5.unwrap_or(f64::INFINITY) };
        let (products, out, mix, goes) = loop {
            let n = parts.iter().map(|part| part.n).sum::<f64>();
            // What the trips that are left cannot take is not bought.
            if now.n > n + SLACK && !parts.is_empty() {
                now.n = n;
            }
            let all = on_offer(&self.ready.shop.products);
            let (products, out, mut mix) = mixed(all, now, most);
            let comes = products.iter().zip(&mix.pounds).map(|(p, lb)| lb * p.holds.n).sum();
            let along = if parts.is_empty() { self.comes_along(comes, litter) } else { Vec::new() };
            let goes = self.goes(&products, &mix, if parts.is_empty() { &along } else { &parts });
            if goes.iter().all(|go| self.worth_a_trip(go)) {
                break (products, out, mix, goes);
            }
            if parts.len() < 2 {
                mix.pounds.fill(0.0);
                now = mix.unmet;
                break (products, out, mix, Vec::new());
            }
            without_least(&mut parts);
        };
        let brought = products
            .iter()
            .zip(&mix.pounds)
            .fold(Npk::default(), |sum: Npk<f64>, (p, lb)| sum.with(p.holds, |sum, holds| sum + lb * holds));
        let beyond = |more: f64, less: f64| if more - less < 1e-6 { 0.0 } else { more - less };
        Some(FieldBuy {
            id: self.plan.id.clone(),
            acres,
            short,
            most_p2o5,
            most_n,
            apart: if litter { self.apart_from_litter(&goes) } else { None },
            over: brought.with(now, beyond),
            unmet: now.with(brought, beyond),
            waits,
            too_little: wanted.with(now, beyond),
            next_season: self.next_season().filter(|_| waits != Npk::default()),
            goes,
            mix: amounts(&products, |i| mix.pounds[i]),
            left_out: out.into_iter().map(|p| p.name).collect(),
        })
    }
}

/// Every product with its tons and dollars.
fn bought(ready: &Ready, fields: &[FieldBuy]) -> Vec<Bought> {
    ready
        .shop
        .products
        .iter()
        .map(|p| {
            let of = |f: &FieldBuy| f.mix.iter().filter(|a| a.product == p.name.value).map(|a| a.pounds).sum::<f64>();
            let pounds = fields.iter().map(|f| f.acres * of(f)).fold(0.0, |sum, lb| sum + lb);
            let [n, p2o5, k2o] = p.analysis.value;
            let (tons, price) = (pounds / POUNDS_PER_TON as f64, p.price.value.get());
            let dollars = (tons * price).round();
            Bought { name: p.name.value.clone(), analysis: Npk { n, p2o5, k2o }, price, tons, dollars }
        })
        .collect()
}

fn bill(ready: &Ready, fields: &[FieldBuy]) -> Bill {
    let cost = ready.shop.spreading.as_ref().map_or(0.0, |c| c.value.get());
    let over = |f: &FieldBuy| f.acres * f.goes.iter().map(|g| f64::from(g.times)).sum::<f64>();
    Bill {
        fertilizer: bought(ready, fields).iter().map(|b| b.dollars).sum(),
        fertilizer_spreading: (cost * fields.iter().map(over).sum::<f64>()).round(),
        ..Bill::default()
    }
}

impl Bill {
    /// The bill with what comes and goes for money, where there is any.
    fn trading(self, ready: &Ready, trade: Trade) -> Bill {
        let some = |dollars: f64| (dollars != 0.0).then(|| dollars.round());
        let litter_sold = (ready.prices.is_some() && !ready.outlets.is_empty()).then(|| trade.sold.round());
        let priced = ready.prices.as_ref().is_some_and(|prices| prices.disposal.is_some());
        let disposal = litter_sold.filter(|_| priced).map(|_| trade.disposal.round());
        let litter_bought = some(trade.bought);
        let get = |part: Option<f64>| part.unwrap_or(0.0);
        let total = self.total - get(litter_sold) + get(litter_bought) + get(disposal);
        Bill { litter_sold, litter_bought, disposal, total, ..self }
    }

    /// The bill with its litter, added up. What is printed adds up, so every
    /// part is whole dollars.
    fn with(self, spreading: Option<f64>, hauling: Option<f64>, left: Option<f64>) -> Bill {
        let [spreading, hauling, left] = [spreading, hauling, left].map(|d| d.map(f64::round));
        let get = |part: Option<f64>| part.unwrap_or(0.0);
        let total = self.fertilizer + self.fertilizer_spreading + get(spreading) + get(hauling) - get(left);
        Bill { litter_spreading: spreading, hauling, litter_left: left, total, ..self }
    }
}
