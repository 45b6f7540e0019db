//! Fertilizer still to buy: the cheapest mix a field, when it goes on, and what
//! the farm pays with the litter and without it.

use crate::balance::{Balance, FieldBalance, Limit, LimitKind, Npk, Window};
use crate::check::Ready;
use crate::farm::{Fertilizer, Use};
use crate::findings::Finding;
use crate::plan::answer::{Amount, Application, Bill, Bought, Buy, FieldBuy, FieldPlan, Go, LotTally, YearBudget};
use crate::plan::blend::{Blend, Product, cheapest, cheapest_within, implied};
use crate::plan::comes_and_goes::Trade;
use crate::plan::growing::{Opening, Seasons};
use crate::tables::Book;
use crate::units::{POUNDS_PER_TON, Quantity};
use jiff::civil::Date;

/// Less than this is not bought, lb/ac: the plan shows it as 0.
const TRIFLE: f64 = 0.5;
/// Prices further apart than this share are told: our own choice.
const APART: f64 = 0.25;

/// A field with everything known of it.
struct Site<'a> {
    ready: &'a Ready,
    weighed: &'a FieldBalance,
    plan: &'a FieldPlan,
    usage: Use,
    /// None where the place names no season of its forage.
    seasons: Option<Seasons>,
}

/// What to buy; none where the farm names no products.
pub(super) fn buy(
    ready: &Ready,
    (balance, book): (&Balance, Option<&Book<'_>>),
    fields: &[FieldPlan],
    lots: &[LotTally],
    (trade, all_sold): (Trade, Option<f64>),
) -> Option<Buy> {
    if ready.shop.products.is_empty() {
        return None;
    }
    let sites = || {
        fields.iter().filter_map(|plan| {
            let weighed = balance.field(&plan.id)?;
            let field = weighed.field();
            let seasons = book.and_then(|book| Seasons::of(ready, field, book, &plan.years));
            Some(Site { ready, weighed, plan, usage: field.written.usage.value, seasons })
        })
    };
    let with: Vec<FieldBuy> = sites().filter_map(|s| s.buy(*s.plan.short, true)).collect();
    let without: Vec<FieldBuy> = sites().filter_map(|s| s.buy(*s.plan.left, false)).collect();
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
    let left = all_sold.map(|dollars| if outlets { 0.0 } else { dollars });
    let mut without_litter = bill(ready, &without).with(prices.map(|_| 0.0), prices.map(|_| 0.0), left);
    without_litter.litter_sold = all_sold.filter(|_| outlets).map(f64::round);
    without_litter.total -= without_litter.litter_sold.unwrap_or(0.0);
    Some(Buy {
        products: bought(ready, &with),
        waits_without: without.iter().any(|field| field.waits != Npk::default()),
        keeps_unsold: ready.lots.iter().any(|lot| lot.never_sold.is_some()),
        unmet_with: unmet(&with),
        unmet_without: unmet(&without),
        fields: with,
        saved: without_litter.total - with_litter.total,
        with_litter,
        without_litter,
    })
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

/// The cheapest mix of some products with no more than so much phosphate, the
/// products that it may use, and those left out because they hold phosphate.
fn mixed(all: Vec<Product>, short: Npk<f64>, most_p2o5: f64) -> (Vec<Product>, Vec<Product>, Blend) {
    let p2o5 = short.p2o5.min(most_p2o5);
    if (most_p2o5.is_infinite() || p2o5 >= TRIFLE)
        && let Some(mix) = cheapest_within(&all, &Npk { p2o5, ..short }, most_p2o5)
    {
        return (all, Vec::new(), mix);
    }
    // A blend must not bring phosphate to ground where it is capped.
    let (out, products): (Vec<Product>, Vec<Product>) = all.into_iter().partition(|p| p.holds.p2o5 > 0.0);
    let mix = cheapest(&products, &short);
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
    /// The mix for what is short here; none when nothing is.
    fn buy(&self, short: Npk<f64>, litter: bool) -> Option<FieldBuy> {
        let short = short.map(|lb| if lb < TRIFLE { 0.0 } else { lb });
        if self.plan.acres <= 0.0 || short == Npk::default() {
            return None;
        }
        let waits = self.waits(&short, litter);
        let now = short.with(waits, |short, waits| short - waits);
        let litter_brings = if litter { self.plan.supplied.p2o5 } else { 0.0 };
        let most_p2o5 = self.weighed.p2o5_to_buy.map(|most| (most - litter_brings).max(0.0));
        let all = on_offer(&self.ready.shop.products);
        let (products, out, mix) = mixed(all, now, most_p2o5.unwrap_or(f64::INFINITY));
        let brought = products
            .iter()
            .zip(&mix.pounds)
            .fold(Npk::default(), |sum: Npk<f64>, (p, lb)| sum.with(p.holds, |sum, holds| sum + lb * holds));
        let beyond = |more: f64, less: f64| if more - less < 1e-6 { 0.0 } else { more - less };
        Some(FieldBuy {
            id: self.plan.id.clone(),
            acres: self.plan.acres,
            short,
            most_p2o5,
            over: brought.with(now, beyond),
            unmet: now.with(brought, beyond),
            waits,
            next_season: self.seasons.as_ref().and_then(|seasons| seasons.next).filter(|_| waits != Npk::default()),
            goes: self.goes(&products, &mix, now.n, litter),
            mix: amounts(&products, |i| mix.pounds[i]),
            left_out: out.into_iter().map(|p| p.name).collect(),
        })
    }

    /// What a limit still allows after the log, and after the litter of the plan where
    /// it counts.
    fn room(&self, limit: &Limit, litter: bool) -> f64 {
        let put = |a: &Application| {
            let lot = self.weighed.lot(&a.lot)?;
            let window = self.weighed.windows.iter().position(|w| w.season == a.season && w.first == a.first)?;
            Some(a.rate * self.weighed.per_ton(lot, limit.counts, Some(window))?)
        };
        let within = |a: &&Application| {
            litter && limit.over.holds((a.first, a.last)) && limit.season.as_ref().is_none_or(|s| *s == a.season)
        };
        let planned: f64 = self.plan.applications.iter().filter(within).filter_map(put).sum();
        (self.weighed.value(limit.left) - planned).max(0.0)
    }

    /// When the mix goes on. Products with nitrogen go by the parts of what is
    /// short of it; the others all go first.
    fn goes(&self, products: &[Product], mix: &Blend, short: f64, litter: bool) -> Vec<Go> {
        let n: f64 = products.iter().zip(&mix.pounds).map(|(p, lb)| lb * p.holds.n).sum();
        let mut parts = if n > 0.0 && short > 0.0 { self.parts(short, litter) } else { Vec::new() };
        if parts.is_empty() {
            let opens = self.seasons.iter().flat_map(|seasons| &seasons.open).map(|opening| opening.first);
            let window = self.weighed.windows.iter().map(|w| w.first).find(|first| self.buys_in(*first));
            let from = window.or_else(|| opens.min());
            parts.push(Part { season: None, from, after: None, n: 1.0 });
        }
        let whole: f64 = parts.iter().map(|p| p.n).sum();
        let at_once = self.weighed.limit(LimitKind::NAtOnce);
        let at_once = at_once.map_or(f64::INFINITY, |limit| self.weighed.value(limit.allowed));
        let go = |(index, part): (usize, &Part)| {
            let share = part.n / whole;
            let pounds = |i: usize| match products[i].holds.n > 0.0 {
                true => mix.pounds[i] * share,
                false if index == 0 => mix.pounds[i],
                false => 0.0,
            };
            let most = |p: &Product| {
                let written = self.ready.shop.products.iter().find(|w| w.name.value == p.name);
                written.and_then(|w| w.most.as_ref()).map_or(f64::INFINITY, |m| m.value.get())
            };
            let times =
                products.iter().enumerate().map(|(i, p)| pounds(i) / most(p)).fold(n * share / at_once, f64::max);
            Go {
                season: part.season.clone(),
                from: part.from,
                after_cutting: part.after,
                // Past a hundred times nobody goes; the bound keeps a hostile figure out.
                times: (times - 1e-9).ceil().clamp(1.0, 100.0) as u32,
                amounts: amounts(products, pounds),
            }
        };
        parts.iter().enumerate().map(go).filter(|go| !go.amounts.is_empty()).collect()
    }

    /// Whether fertilizer is bought for the growing year of a day.
    fn buys_in(&self, day: Date) -> bool {
        let own = |year: &&YearBudget| year.first <= day && day <= year.last;
        self.plan.years.iter().find(own).is_none_or(|year| year.bought_for)
    }

    /// The parts of the nitrogen: by the place's shares of seasons where it has
    /// them, else evenly over the cuttings of hay.
    fn parts(&self, n: f64, litter: bool) -> Vec<Part> {
        if !self.shared() {
            let within = self.ready.open_from()..=self.ready.to;
            let grows = |cut: &Date| self.seasons.as_ref().is_none_or(|seasons| seasons.grows_after(*cut));
            let cuttings: Vec<Date> =
                self.plan.cuttings.iter().copied().filter(|cut| within.contains(cut) && grows(cut)).collect();
            if self.usage == Use::Pasture || cuttings.len() < 2 {
                return Vec::new();
            }
            let each = n / cuttings.len() as f64;
            return cuttings.into_iter().map(|c| Part { season: None, from: None, after: Some(c), n: each }).collect();
        }
        let rooms = self.rooms(n, litter);
        let all: f64 = rooms.iter().map(|(_, room)| room).sum();
        let fits = if all > 0.0 { n / all } else { 0.0 };
        let mut parts = Vec::new();
        for (season, room) in rooms.into_iter().filter(|(_, room)| *room * fits > 0.0) {
            let mine = || self.windows().filter(move |w| w.season == season);
            let mut after: Vec<Date> = mine().filter_map(|w| w.after_cutting).collect();
            after.dedup();
            let opens = self.openings(season).map(|opening| opening.first).next();
            let season = Some(season.to_string());
            if after.is_empty() {
                let from = mine().map(|w| w.first).next().or(opens);
                parts.push(Part { season, from, after: None, n: room * fits });
            } else {
                let each = room * fits / after.len() as f64;
                // A cutting that is over is no date to wait for any more.
                let open = self.ready.open_from();
                parts.extend(after.iter().map(|c| Part {
                    season: season.clone(),
                    from: (*c < open).then_some(open),
                    after: (*c >= open).then_some(*c),
                    n: each,
                }));
            }
        }
        parts
    }

    /// The windows of what fertilizer is bought for.
    fn windows(&self) -> impl Iterator<Item = &Window> {
        self.weighed.windows.iter().filter(|w| self.buys_in(w.first))
    }

    fn openings(&self, season: &str) -> impl Iterator<Item = &Opening> {
        self.seasons.iter().flat_map(|seasons| &seasons.open).filter(move |opening| opening.season == season)
    }

    /// Whether the place parts the nitrogen over its seasons.
    fn shared(&self) -> bool {
        self.windows().any(|w| w.n_share_cite.is_some()) || self.seasons.as_ref().is_some_and(Seasons::shared)
    }

    /// The nitrogen that each season may still take: of those with windows for litter,
    /// and where that is less than is short, also of those that stock keeps litter off.
    fn rooms(&self, n: f64, litter: bool) -> Vec<(&str, f64)> {
        let mut rooms: Vec<(&str, f64)> = Vec::new();
        for window in self.windows() {
            if rooms.iter().all(|(season, _)| *season != window.season) {
                rooms.push((&window.season, self.room_in(&window.season, litter)));
            }
        }
        if n - rooms.iter().map(|(_, room)| room).sum::<f64>() > TRIFLE {
            for opening in self.seasons.iter().flat_map(|seasons| &seasons.open) {
                if rooms.iter().all(|(season, _)| *season != opening.season) {
                    let share: f64 = self.openings(&opening.season).map(|o| o.n_share.unwrap_or(1.0)).sum();
                    rooms.push((&opening.season, self.plan.need.n * share));
                }
            }
        }
        rooms
    }

    /// Of what is short, what no season left in the plan's days can take.
    fn waits(&self, short: &Npk<f64>, litter: bool) -> Npk<f64> {
        let Some(seasons) = &self.seasons else { return Npk::default() };
        if seasons.open.is_empty() {
            return *short;
        }
        let all: f64 = self.rooms(short.n, litter).iter().map(|(_, room)| room).sum();
        let n = match short.n - all {
            over if !self.shared() || over <= TRIFLE => 0.0,
            _ if all < TRIFLE => short.n,
            over => over,
        };
        Npk { n, ..Npk::default() }
    }

    /// Nitrogen that a season may still take: of the whole year where it has no share
    /// of its own.
    fn room_in(&self, season: &str, litter: bool) -> f64 {
        let rooms = |own: &dyn Fn(&Limit) -> bool| -> Vec<f64> {
            self.weighed.limits.iter().filter(|limit| own(limit)).map(|limit| self.room(limit, litter)).collect()
        };
        let of_year = |limit: &Limit| {
            let first = |at: &usize| self.weighed.windows.get(*at).is_some_and(|w| self.buys_in(w.first));
            limit.windows.iter().any(first)
        };
        let own = rooms(&|limit| limit.season.as_deref() == Some(season) && of_year(limit));
        let all =
            if own.is_empty() { rooms(&|limit| limit.kind == LimitKind::Nitrogen && of_year(limit)) } else { own };
        all.into_iter().fold(0.0, |sum, room| sum + room)
    }
}

/// A part of a field's nitrogen.
struct Part {
    season: Option<String>,
    from: Option<Date>,
    after: Option<Date>,
    n: f64,
}

/// The products of which there is something.
fn amounts(products: &[Product], pounds: impl Fn(usize) -> f64) -> Vec<Amount> {
    let all = products.iter().enumerate().map(|(i, p)| Amount { product: p.name.clone(), pounds: pounds(i) });
    all.filter(|a| a.pounds > 0.0).collect()
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
        let (litter_bought, disposal) = (some(trade.bought), some(trade.disposal));
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
