//! Fertilizer still to buy: the cheapest mix a field, when it goes on, and what
//! the farm pays with the litter and without it.

use crate::balance::{Balance, FieldBalance, Npk};
use crate::check::Ready;
use crate::findings::Finding;
use crate::plan::answer::{Amount, Application, Bill, Bought, Buy, FieldBuy, FieldPlan, Go, LotTally, Uncounted};
use crate::plan::blend::{Product, implied};
use crate::plan::comes_and_goes::{Trade, Unspread};
use crate::plan::mixes::{Dollars, Mixed};
use crate::plan::site::{Job, Shop, Site, on_offer};
use crate::plan::trips;
use crate::tables::Book;
use crate::units::{POUNDS_PER_TON, Quantity};
use std::sync::Arc;

/// Prices further apart than this share are told: our own choice.
const APART: f64 = 0.25;

/// The fields as whoever buys fertilizer sees them; none where the farm names no products.
pub(super) fn sites(ready: &Ready, balance: &Balance, book: Option<&Book<'_>>) -> Vec<Arc<Site>> {
    let open = |field: &FieldBalance| {
        let bought = field.needs.iter().filter(|year| year.bought_for).map(|year| field.in_year(year));
        bought.fold(Npk::default(), |sum: Npk<f64>, (need, done)| {
            sum.with(need.with(done, |need, done| field.acres * (need - done).max(0.0)), |a, b| a + b)
        })
    };
    let need = balance.fields.iter().fold(Npk::default(), |sum: Npk<f64>, f| sum.with(open(f), |a, b| a + b));
    let Some(shop) = Shop::of(ready, book, &need) else { return Vec::new() };
    balance.fields.iter().map(|field| Arc::new(Site::of(ready, field, book, &shop))).collect()
}

/// What to buy; none where the farm names no products.
pub(super) fn buy(
    ready: &Ready,
    (balance, sites): (&Balance, &[Arc<Site>]),
    fields: &[FieldPlan],
    lots: &[LotTally],
    (trade, unspread): (Trade, Option<Unspread>),
    uncounted: Vec<Uncounted>,
) -> Option<Buy> {
    let shop = &sites.first()?.shop;
    let (mut with, mut without) = (Vec::new(), Vec::new());
    let (mut paid, mut paid_without) = (Dollars::default(), Dollars::default());
    let mut beyond = Npk::default();
    for ((plan, site), weighed) in fields.iter().zip(sites).zip(&balance.fields) {
        let jobs = site.jobs(ready, weighed, &plan.applications);
        let left = site.left(&jobs);
        let mix = site.mix(left.short, &left);
        beyond = beyond.with(site.beyond(&left, mix.as_ref()), |sum: f64, lb| sum + lb);
        with.extend(mix.map(|mix| site.row(&mix, site.acres, Some(&jobs))));
        paid = paid.plus(site.dollars(&jobs));
        let left = site.left(&[]);
        let rows = left.grounds.iter().filter_map(|ground| Some((ground.acres, site.mix(ground.short, &left)?)));
        without.extend(rows.map(|(acres, mix)| site.row(&mix, acres, None)));
        paid_without = paid_without.plus(site.dollars_without());
    }
    let planned = || fields.iter().flat_map(|f| &f.applications);
    let tons = |get: &dyn Fn(&LotTally) -> crate::units::Pounds| lots.iter().map(|l| get(l).tons()).sum::<f64>();
    let prices = ready.prices.as_ref();
    let products = bought(ready, &with);
    // The products as they are printed, each to the cent.
    let fertilizer = products.iter().map(|row| row.dollars).fold(0.0, |sum, dollars| sum + dollars);
    let with_litter = Bill::of(Dollars { fertilizer, ..paid }).with(
        prices.map(|p| tons(&|l| l.planned) * p.spreading.value.get()),
        prices.map(|p| {
            let miles = |a: &Application| a.haul.as_ref().map_or(0.0, |h| h.miles);
            planned().map(|a| a.pounds.tons() * miles(a)).sum::<f64>() * p.hauling.value.get()
        }),
        prices.and_then(|p| trips::of_jobs(p, planned())),
        prices.map(|_| lots.iter().map(|l| l.left.tons() * ready.worth_left(&l.id).unwrap_or(0.0)).sum()),
    );
    let with_litter = with_litter.trading(ready, trade);
    // Where outlets are named, what they do not take brings nothing.
    let outlets = !ready.outlets.is_empty();
    let left = unspread.map(|all| if outlets { 0.0 } else { all.brings });
    let without_litter = Bill::of(paid_without).with(prices.map(|_| 0.0), prices.map(|_| 0.0), None, left);
    let all = unspread.map(|all| Trade { sold: all.brings, bought: 0.0, disposal: all.disposal.unwrap_or(0.0) });
    let without_litter = without_litter.trading(ready, all.unwrap_or_default());
    Some(Buy {
        products,
        waits_without: without.iter().any(|field| field.waits != Npk::default()),
        uncounted,
        keeps_unsold: ready.lots.iter().any(|lot| lot.never_sold.is_some()),
        least: shop.least,
        pound: shop.pound,
        hay_lost: sites.iter().filter_map(|site| site.hay_lost.clone()).collect(),
        unmet_with: unmet(&with).with(beyond, |all: f64, lb: f64| all + lb),
        unmet_without: unmet(&without),
        fields: with,
        fields_without: without,
        saved: cents(without_litter.total - with_litter.total),
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
    let implied_price = implied(&on_offer(ready), &need);
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

impl Site {
    /// A mix as the plan tells it; `jobs` are those of its litter.
    fn row(&self, mix: &Mixed<'_>, acres: f64, jobs: Option<&[Job]>) -> FieldBuy {
        let products = &mix.shelf.products;
        let (brought, wanted) = (mix.brought(), mix.wanted());
        let beyond = |more: f64, less: f64| if more - less < 1e-6 { 0.0 } else { more - less };
        let (most_n, most_p2o5) = mix.most;
        let goes = mix.trips.iter().map(|trip| Go {
            season: trip.season.map(str::to_string),
            from: trip.from,
            after_cutting: trip.after,
            times: trip.times,
            amounts: amounts(products, |i| trip.pounds(&products[i], mix.mix.pounds[i])),
        });
        let mut goes: Vec<Go> = goes.collect();
        goes.sort_by_key(|go| go.after_cutting.or(go.from));
        let capped = std::ptr::eq(mix.shelf, &raw const self.shop.plain);
        let all = self.shop.all.products.iter().filter(|_| capped);
        let out = all.filter(|p| products.iter().all(|own| own.name != p.name));
        FieldBuy {
            id: self.id.clone(),
            acres,
            short: mix.short,
            most_p2o5,
            most_n,
            apart: jobs.and_then(|jobs| self.apart_from_litter((products, &mix.mix), &mix.trips, jobs)),
            over: brought.with(mix.now, beyond),
            unmet: mix.now.with(brought, beyond),
            waits: mix.waits,
            too_little: wanted.with(mix.now, beyond),
            next_season: self.next_season.filter(|_| mix.waits != Npk::default()),
            lost: self.next_is_late && mix.waits != Npk::default(),
            goes,
            mix: amounts(products, |i| mix.mix.pounds[i]),
            left_out: out.map(|p| p.name.clone()).collect(),
        }
    }
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
            Bought {
                name: p.name.value.clone(),
                analysis: Npk { n, p2o5, k2o },
                price,
                tons,
                dollars: cents(tons * price),
            }
        })
        .collect()
}

/// Dollars to the cent.
pub(super) fn cents(dollars: f64) -> f64 {
    (dollars * 100.0).round() / 100.0
}

impl Bill {
    /// What the fields cost but for their litter, in the years that fertilizer is bought for.
    pub(super) fn for_now(&self) -> f64 {
        self.fertilizer + self.fertilizer_spreading + self.short
    }

    fn of(paid: Dollars) -> Bill {
        Bill {
            fertilizer: cents(paid.fertilizer),
            fertilizer_spreading: cents(paid.spreading),
            short: cents(paid.short),
            ahead: cents(paid.ahead),
            ..Bill::default()
        }
    }

    /// The bill with what comes and goes for money, where there is any.
    fn trading(self, ready: &Ready, trade: Trade) -> Bill {
        let some = |dollars: f64| (dollars != 0.0).then(|| cents(dollars));
        let litter_sold = (ready.prices.is_some() && !ready.outlets.is_empty()).then(|| cents(trade.sold));
        let priced = ready.prices.as_ref().is_some_and(|prices| prices.disposal.is_some());
        let disposal = litter_sold.filter(|_| priced).map(|_| cents(trade.disposal));
        let litter_bought = some(trade.bought);
        let get = |part: Option<f64>| part.unwrap_or(0.0);
        let total = cents(self.total - get(litter_sold) + get(litter_bought) + get(disposal));
        Bill { litter_sold, litter_bought, disposal, total, ..self }
    }

    /// The bill with its litter, added up. What is printed adds up, so every
    /// part is to the cent.
    fn with(self, spreading: Option<f64>, hauling: Option<f64>, trips: Option<f64>, left: Option<f64>) -> Bill {
        let [spreading, hauling, trips, left] = [spreading, hauling, trips, left].map(|d| d.map(cents));
        let get = |part: Option<f64>| part.unwrap_or(0.0);
        let total = cents(self.for_now() - self.ahead + get(spreading) + get(hauling) + get(trips) - get(left));
        Bill { litter_spreading: spreading, hauling, trips, litter_left: left, total, ..self }
    }
}
