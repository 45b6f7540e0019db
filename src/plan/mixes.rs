//! The mix of fertilizers for what litter leaves short on a field, and what it costs: the one
//! ledger of the choice and of the bill.

use crate::balance::Npk;
use crate::plan::blend::{Blend, Most, Product, Shelf, row};
use crate::plan::goes::{Part, SLACK, TRIFLE, Trip, without_least};
use crate::plan::site::{Job, Left, OnGround, Shop, Site};

/// A mix for a field.
#[derive(Debug)]
pub(super) struct Mixed<'s> {
    /// The products that it may be of.
    pub(super) shelf: &'s Shelf,
    /// Pounds per acre of each.
    pub(super) mix: Blend,
    /// When it goes on.
    pub(super) trips: Vec<Trip<'s>>,
    /// What is short, without trifles.
    pub(super) short: Npk<f64>,
    /// Of it, what no season that is left takes.
    pub(super) waits: Npk<f64>,
    /// What is bought for.
    pub(super) now: Npk<f64>,
    /// Most nitrogen and phosphate that it may bring, where something says so.
    pub(super) most: (Option<f64>, Option<f64>),
}

/// Dollars of a field but for its litter.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Dollars {
    /// Products.
    pub(super) fertilizer: f64,
    /// Trips.
    pub(super) spreading: f64,
    /// What stays short.
    pub(super) short: f64,
    /// What litter already meets of a growing year that nothing is bought for.
    pub(super) ahead: f64,
}

impl Dollars {
    pub(super) fn plus(self, other: Dollars) -> Dollars {
        Dollars {
            fertilizer: self.fertilizer + other.fertilizer,
            spreading: self.spreading + other.spreading,
            short: self.short + other.short,
            ahead: self.ahead + other.ahead,
        }
    }

    pub(super) fn together(&self) -> f64 {
        self.fertilizer + self.spreading + self.short - self.ahead
    }
}

impl Mixed<'_> {
    /// What it brings, lb/ac.
    pub(super) fn brought(&self) -> Npk<f64> {
        brought(&self.shelf.products, &self.mix)
    }

    /// What was wanted of it, lb/ac.
    pub(super) fn wanted(&self) -> Npk<f64> {
        self.short.with(self.waits, |short, waits| short - waits)
    }

    fn product_dollars(&self) -> f64 {
        self.shelf.products.iter().zip(&self.mix.pounds).map(|(p, lb)| lb * p.price).sum()
    }
}

/// Of what is short as much as can be bought with no more than so much phosphate and nitrogen,
/// that most, and the products that it may be of.
fn bought_of(shop: &Shop, short: Npk<f64>, most: Most, no_n: bool) -> (&Shelf, Npk<f64>, Most) {
    // Where the stand needs no nitrogen, none is bought that the others can do without.
    if no_n && shop.no_n.holds_all(&short) && shop.no_n.meets(&short, most) {
        return (&shop.no_n, short, most);
    }
    let p2o5 = short.p2o5.min(most.p2o5);
    if (most.p2o5.is_infinite() || p2o5 >= TRIFLE)
        && let Some(met) = shop.all.as_much_as_fits(&Npk { p2o5, ..short }, most)
    {
        return (&shop.all, met, most);
    }
    // A blend must not bring phosphate to ground where it is capped.
    let met = shop.plain.as_much_as_fits(&short, most).map(|met| (met, most));
    let (met, most) = met.unwrap_or((short, Most::NONE));
    (&shop.plain, met, most)
}

fn brought(products: &[Product], mix: &Blend) -> Npk<f64> {
    let own = products.iter().zip(&mix.pounds);
    own.fold(Npk::default(), |sum: Npk<f64>, (p, lb)| sum.with(p.holds, |sum, holds| sum + lb * holds))
}

fn nitrogen(products: &[Product], mix: &Blend) -> f64 {
    products.iter().zip(&mix.pounds).map(|(p, lb)| lb * p.holds.n).sum()
}

impl Site {
    /// The mix for what is short on an acre here; none when nothing is.
    pub(super) fn mix<'s>(&'s self, short: Npk<f64>, left: &Left) -> Option<Mixed<'s>> {
        let short = short.map(|lb| if lb < TRIFLE { 0.0 } else { lb });
        if self.acres <= 0.0 || short == Npk::default() {
            return None;
        }
        let waits = self.waits(&short, left);
        let wanted = short.with(waits, |short, waits| short - waits);
        let most_n = self.most_n(left).map(|most| most.max(wanted.n));
        // What no product holds makes no trips.
        let sold_n = self.shop.all.products.iter().any(|p| p.holds.n > 0.0);
        let (mut now, mut parts) = (wanted, self.parts(if sold_n { wanted.n } else { 0.0 }, left));
        let (shelf, mix, trips, most_n) = loop {
            let n = parts.iter().map(|part: &Part<'_>| part.n).sum::<f64>();
            // What the trips that are left cannot take is not bought.
            if now.n > n + SLACK && !parts.is_empty() {
                now.n = n;
            }
            // Nor may the others bring more nitrogen than those have room for.
            let room = parts.iter().map(|part| part.room).sum::<f64>();
            let most_n = most_n.map(|most| if parts.is_empty() { most } else { room.max(now.n) });
            let p2o5 = left.most_p2o5.unwrap_or(f64::INFINITY);
            let most = Most { n: most_n.unwrap_or(f64::INFINITY), p2o5 };
            let bought = bought_of(&self.shop, now, most, self.needs_no_n());
            let shelf = bought.0;
            let all = shelf.mixes(&bought.1, bought.2);
            let mut mix = shelf.cheapest_of(&all).unwrap_or_else(|| shelf.nothing());
            let (along, trips) = self.goes(&shelf.products, &mix, &parts, left);
            // Where the cheapest products are too few for a trip, no dearer ones are put on in their
            // place: what is short costs less.
            if trips.iter().all(|trip| self.worth_a_trip(&shelf.products, &mix, trip))
                && let Some((mix, trips)) = self.least(bought, all, &parts, left)
            {
                break (shelf, mix, trips, most_n);
            }
            if parts.is_empty() && along.len() > 1 {
                parts = along;
            }
            if parts.len() < 2 {
                // What it would bring is too little; what it would not is unmet for its own reason.
                let on = brought(&shelf.products, &mix);
                now = now.with(on, |now, on| (now - on).max(0.0));
                mix.pounds.fill(0.0);
                break (shelf, mix, Vec::new(), most_n);
            }
            without_least(&mut parts);
        };
        Some(Mixed { shelf, mix, trips, short, waits, now, most: (most_n, left.most_p2o5) })
    }

    /// When a mix goes on, by the parts of the nitrogen that is short, else by those of what comes
    /// along, which are given too.
    fn goes<'s>(
        &'s self,
        products: &[Product],
        mix: &Blend,
        parts: &[Part<'s>],
        left: &Left,
    ) -> (Vec<Part<'s>>, Vec<Trip<'s>>) {
        let along = if parts.is_empty() { self.comes_along(nitrogen(products, mix), left) } else { Vec::new() };
        let trips = self.trips(products, mix, if parts.is_empty() { &along } else { parts });
        (along, trips)
    }

    /// Of mixes that bring as much, `all` at the corners and others, that whose products and trips
    /// cost least, each trip worth one; none where no mix has such trips.
    fn least<'s>(
        &'s self,
        (shelf, need, most): (&Shelf, Npk<f64>, Most),
        all: Vec<Blend>,
        parts: &[Part<'s>],
        left: &Left,
    ) -> Option<(Blend, Vec<Trip<'s>>)> {
        let way = |mix: Blend| {
            let (_, trips) = self.goes(&shelf.products, &mix, parts, left);
            let worth = trips.iter().all(|trip| self.worth_a_trip(&shelf.products, &mix, trip));
            let times: f64 = trips.iter().map(|trip| f64::from(trip.times)).sum();
            worth.then(|| (mix.cost + times * self.shop.trip, mix, trips))
        };
        let best = shelf.least(all.into_iter().filter_map(way).collect())?;
        // Just as much of a product as fewer trips can carry, the rest of the others.
        let carried = |(at, product)| {
            let amounts = best.1.iter().flat_map(move |trip| trip.carries(product, self.shop.most_of(&product.name)));
            amounts.map(move |pounds| (at, pounds)).collect::<Vec<_>>()
        };
        let carried: Vec<(usize, f64)> = shelf.products.iter().enumerate().flat_map(carried).collect();
        if carried.is_empty() {
            return Some(best);
        }
        let all = carried.into_iter().flat_map(|of| shelf.mixes_of(of, &need, most)).chain([best.0]);
        shelf.least(all.filter_map(way).collect())
    }

    /// What the field costs but for its litter, with some jobs on it.
    pub(super) fn dollars(&self, jobs: &[Job]) -> Dollars {
        self.dollars_of(&self.left(jobs))
    }

    pub(super) fn dollars_of(&self, left: &Left) -> Dollars {
        self.with_mix(self.mix(left.short, left).as_ref(), &left.grounds)
    }

    /// The same without litter: each ground of a field that was done in part by itself.
    pub(super) fn dollars_without(&self) -> Dollars {
        let left = self.left(&[]);
        let of =
            |ground: &OnGround| self.with_mix(self.mix(ground.short, &left).as_ref(), std::slice::from_ref(ground));
        left.grounds.iter().map(of).fold(Dollars::default(), Dollars::plus)
    }

    /// Dollars of a mix on some grounds of the field.
    fn with_mix(&self, mix: Option<&Mixed<'_>>, grounds: &[OnGround]) -> Dollars {
        let acres: f64 = grounds.iter().map(|ground| ground.acres).sum();
        let brought = mix.map_or(Npk::default(), Mixed::brought);
        let short = |short: Npk<f64>| short.with(brought, |short, brought| (short - brought).max(0.0));
        let times: f64 = mix.iter().flat_map(|mix| &mix.trips).map(|trip| f64::from(trip.times)).sum();
        let pound = self.shop.pound;
        let lost = self.pound();
        Dollars {
            fertilizer: acres * mix.map_or(0.0, Mixed::product_dollars),
            spreading: acres * times * self.shop.trip,
            short: grounds.iter().map(|ground| ground.acres * worth(short(ground.short), lost)).sum(),
            ahead: grounds.iter().map(|ground| ground.acres * worth(ground.ahead, pound)).sum(),
        }
    }

    /// Pounds that are short on grounds of the field beyond what the mix is made for, which is the
    /// ground that got most: one mix goes over all of it.
    pub(super) fn beyond(&self, left: &Left, mix: Option<&Mixed<'_>>) -> Npk<f64> {
        let made_for = left.short.with(mix.map_or(Npk::default(), Mixed::brought), f64::max);
        left.grounds.iter().fold(Npk::default(), |sum: Npk<f64>, ground| {
            let more = ground.short.with(made_for, |short, made_for| ground.acres * (short - made_for).max(0.0));
            sum.with(more, |sum, lb| sum + lb)
        })
    }

    /// Dollars a pound that neither a mix nor what stays short can be below.
    fn low(&self) -> Npk<f64> {
        self.shop.low.with(self.pound(), f64::min)
    }

    /// No bill of what is left is below this.
    pub(super) fn least_of(&self, left: &Left) -> f64 {
        let low = self.low();
        let of = |ground: &OnGround| ground.acres * (worth(ground.short, low) - worth(ground.ahead, self.shop.pound));
        left.grounds.iter().map(of).sum()
    }

    /// By how much the bill of what is left, or of less, may lie above that: every pound out of
    /// the dearest product, and as many trips as there are days to begin one.
    pub(super) fn above(&self, left: &Left) -> f64 {
        let shop = &self.shop;
        let most = |short: Npk<f64>, ground: &OnGround| short.with(ground.short, f64::max);
        let short = left.grounds.iter().fold(left.short, most);
        let dearest = shop.dearest.with(self.pound(), f64::max);
        let all = worth(short, dearest.with(self.low(), |dear, low| (dear - low).max(0.0)));
        if row(&short).into_iter().all(|lb| lb < TRIFLE) {
            return self.acres * all;
        }
        let begun = self.cuttings.len() + self.seasons.iter().map(|season| season.after.len().max(1)).sum::<usize>();
        let (mut times, mut n) = (begun.max(1) as f64, 0.0);
        for (product, most) in shop.all.products.iter().zip(&shop.most) {
            let needed = short.with(product.holds, |lb, holds| if holds > 0.0 { lb / holds } else { 0.0 });
            let pounds = needed.n + needed.p2o5 + needed.k2o;
            (times, n) = (times + pounds / most, n + pounds * product.holds.n);
        }
        self.acres * (all + shop.trip * (times + n / self.once))
    }
}

fn worth(lb: Npk<f64>, price: Npk<f64>) -> f64 {
    let dollars = lb.with(price, |lb, price| lb * price);
    dollars.n + dollars.p2o5 + dollars.k2o
}
