//! When bought fertilizer goes on: what each season may still take, and the trips.
//!
//! Lives here: the parts of the nitrogen by seasons or cuttings, and the trips made of them.
//! Never here: which products the mix is of, and what it costs.

use crate::balance::Npk;
use crate::plan::blend::{Blend, Product};
use crate::plan::site::{Job, Left, Site, SiteSeason};
use jiff::civil::Date;

/// Less than this is not bought, lb/ac: the plan shows it as 0.
pub(super) const TRIFLE: f64 = 0.5;
/// Pounds per acre that sums of a few parts stray by.
pub(super) const SLACK: f64 = 1e-9;

/// Of trips that are more than this, no fewer ones are looked for.
const FEWER: u32 = 6;

/// A part of a field's nitrogen.
#[derive(Clone, Copy, Debug)]
pub(super) struct Part<'s> {
    season: Option<&'s str>,
    from: Option<Date>,
    after: Option<Date>,
    pub(super) n: f64,
    /// The most that it may be.
    pub(super) room: f64,
}

impl Part<'_> {
    fn open(&self) -> f64 {
        (self.room - self.n).max(0.0)
    }
}

/// Once over the field, or several times alike.
#[derive(Clone, Copy, Debug)]
pub(super) struct Trip<'s> {
    /// The season whose share of nitrogen it takes, where the place has one.
    pub(super) season: Option<&'s str>,
    /// Not before this day.
    pub(super) from: Option<Date>,
    /// The planned cutting that it follows.
    pub(super) after: Option<Date>,
    /// How often.
    pub(super) times: u32,
    /// The share of the products with nitrogen.
    share: f64,
    /// Whether the others go on with it.
    first: bool,
}

impl Trip<'_> {
    /// Pounds per acre of a product of a mix that go on in all of its times.
    pub(super) fn pounds(&self, product: &Product, in_all: f64) -> f64 {
        match product.holds.n > 0.0 {
            true => in_all * self.share,
            false if self.first => in_all,
            false => 0.0,
        }
    }

    /// What of a product, in all of a field's trips, fewer of these times can carry, lb/ac.
    pub(super) fn carries(&self, product: &Product, most: f64) -> impl Iterator<Item = f64> {
        let share = self.pounds(product, 1.0);
        let fewer = 1..if most.is_finite() && share > 0.0 { self.times.min(FEWER) } else { 1 };
        fewer.map(move |times| f64::from(times) * most / share)
    }

    fn sum(&self, products: &[Product], mix: &Blend, of: impl Fn(&Product) -> f64) -> f64 {
        products.iter().zip(&mix.pounds).map(|(p, lb)| self.pounds(p, *lb) * of(p)).sum()
    }
}

/// Of the parts the least one is left out, and the others take what they have room for: the
/// other parts of its season first.
pub(super) fn without_least(parts: &mut Vec<Part<'_>>) {
    let least = parts.iter().enumerate().min_by(|(_, a), (_, b)| a.n.total_cmp(&b.n)).map(|(at, _)| at);
    let Some(out) = least.map(|at| parts.remove(at)) else { return };
    let own = |part: &Part<'_>| part.season == out.season;
    let alike = parts.iter().filter(|part| own(part)).count() as f64;
    let mut n = out.n;
    if alike > 0.0 {
        for part in parts.iter_mut().filter(|part| own(part)) {
            (part.n, part.room) = (part.n + n / alike, part.room + out.room / alike);
        }
        return;
    }
    for part in parts.iter_mut() {
        let more = part.open().min(n);
        (part.n, n) = (part.n + more, n - more);
    }
}

impl Site {
    /// When a mix goes on. Products with nitrogen go by the parts of what is
    /// short of it; the others all go first.
    pub(super) fn trips<'s>(&'s self, products: &[Product], mix: &Blend, parts: &[Part<'s>]) -> Vec<Trip<'s>> {
        let n: f64 = products.iter().zip(&mix.pounds).map(|(p, lb)| lb * p.holds.n).sum();
        let whole = [Part { season: None, from: self.from, after: None, n: 1.0, room: 1.0 }];
        let parts = if n > 0.0 && !parts.is_empty() { parts } else { &whole };
        let sum = |of: fn(&Part<'_>) -> f64| parts.iter().map(of).sum::<f64>();
        // What comes with phosphate or potash beyond what is short goes where there is room.
        let beyond = n > sum(|part| part.n) + SLACK && parts.len() > 1;
        let weight: fn(&Part<'_>) -> f64 = if beyond { |part| part.room } else { |part| part.n };
        let all = sum(weight);
        let trip = |(index, part): (usize, &Part<'s>)| {
            let &Part { season, from, after, .. } = part;
            let mut trip = Trip { season, from, after, times: 1, share: weight(part) / all, first: index == 0 };
            let most = |(p, lb): (&Product, &f64)| trip.pounds(p, *lb) / self.shop.most_of(&p.name);
            let times = products.iter().zip(&mix.pounds).map(most).fold(n * trip.share / self.once, f64::max);
            // Past a hundred times nobody goes; the bound keeps a hostile figure out.
            trip.times = (times - 1e-9).ceil().clamp(1.0, 100.0) as u32;
            trip
        };
        let trips = parts.iter().enumerate().map(trip);
        trips.filter(|trip| trip.sum(products, mix, |_| 1.0) > 0.0).collect()
    }

    /// The trip of nitrogen that comes with phosphate or potash where none is short: in the
    /// season that has room for all of it, else shared out like any other.
    pub(super) fn comes_along<'s>(&'s self, n: f64, left: &Left) -> Vec<Part<'s>> {
        if n <= SLACK || !self.shared {
            return Vec::new();
        }
        let mut parts = self.parts(n, left);
        let roomy = parts.iter().position(|part| part.room + SLACK >= n);
        if let Some(at) = roomy {
            parts = vec![Part { n, ..parts.swap_remove(at) }];
        }
        parts
    }

    /// The nitrogen that all seasons with a share may still take; none where they have none.
    pub(super) fn most_n(&self, left: &Left) -> Option<f64> {
        self.shared.then(|| self.rooms(f64::INFINITY, left).iter().map(|(_, room)| room).sum())
    }

    /// The most nitrogen at once, where a trip on a day of some litter, or of the log's on the
    /// plan's first day, would pass it with that litter.
    pub(super) fn apart_from_litter(
        &self,
        (products, mix): (&[Product], &Blend),
        trips: &[Trip<'_>],
        jobs: &[Job],
    ) -> Option<f64> {
        let most = self.most_once?;
        let passes = |trip: &Trip<'_>| {
            let begins = trip.from.or(trip.after).unwrap_or(self.first_days.0);
            let n = trip.sum(products, mix, |p| p.holds.n);
            let a_trip = n / f64::from(trip.times.max(1));
            let of_plan = jobs.iter().filter(|job| begins <= self.days(job).1).map(|job| self.n_of(job));
            let logged = self.today.iter().filter(|(day, _)| begins <= *day).map(|(_, n)| *n);
            n > SLACK && of_plan.chain(logged).any(|litter| litter + a_trip > most + SLACK)
        };
        trips.iter().any(passes).then_some(most)
    }

    /// Whether a trip is not below what a spreader can put down evenly. One that is gone over
    /// several times is as much at once as may be.
    pub(super) fn worth_a_trip(&self, products: &[Product], mix: &Blend, trip: &Trip<'_>) -> bool {
        trip.times > 1 || trip.sum(products, mix, |_| 1.0) + 1e-6 >= self.shop.least
    }

    /// The parts of the nitrogen: by the place's shares of seasons where it has them, else
    /// evenly over the cuttings of hay.
    pub(super) fn parts<'s>(&'s self, n: f64, left: &Left) -> Vec<Part<'s>> {
        if n <= 0.0 {
            return Vec::new();
        }
        if !self.shared {
            if self.pasture || self.cuttings.len() < 2 {
                return Vec::new();
            }
            let each = n / self.cuttings.len() as f64;
            let one = |c: &Date| Part { season: None, from: None, after: Some(*c), n: each, room: n };
            return self.cuttings.iter().map(one).collect();
        }
        let rooms = self.rooms(n, left);
        let all: f64 = rooms.iter().map(|(_, room)| room).sum();
        let fits = if all > 0.0 { (n / all).min(1.0) } else { 0.0 };
        let mut parts = Vec::new();
        for (own, room) in rooms.into_iter().filter(|(_, room)| *room * fits > 0.0) {
            let season = Some(own.name.as_str());
            if own.after.is_empty() {
                parts.push(Part { season, from: own.from, after: None, n: room * fits, room });
                continue;
            }
            let cuttings = own.after.len() as f64;
            let (each, room) = (room * fits / cuttings, room / cuttings);
            // A cutting that is over is no date to wait for any more.
            let open = self.first_days.1;
            parts.extend(own.after.iter().map(|c| Part {
                season,
                from: (*c < open).then_some(open),
                after: (*c >= open).then_some(*c),
                n: each,
                room,
            }));
        }
        parts
    }

    /// The nitrogen that each season may still take: of those with windows for litter,
    /// and where that is less than is short, also of those that stock keeps litter off.
    fn rooms<'s>(&'s self, n: f64, left: &Left) -> Vec<(&'s SiteSeason, f64)> {
        let of = |open: bool| {
            let own = self.seasons.iter().filter(move |season| season.open_to_litter == open);
            own.map(|season| (season, season.room(left)))
        };
        let mut rooms: Vec<(&SiteSeason, f64)> = of(true).collect();
        if n - rooms.iter().map(|(_, room)| room).sum::<f64>() > TRIFLE {
            rooms.extend(of(false));
        }
        rooms
    }

    /// Of what is short, what no season left in the plan's days can take; all of it where
    /// stock is on the field and nobody knows until when.
    pub(super) fn waits(&self, short: &Npk<f64>, left: &Left) -> Npk<f64> {
        if self.stock || self.none_open {
            return *short;
        }
        if !self.knows_seasons {
            return Npk::default();
        }
        let all: f64 = self.rooms(short.n, left).iter().map(|(_, room)| room).sum();
        let over = short.n - all;
        Npk { n: if self.shared && over > SLACK { over } else { 0.0 }, ..Npk::default() }
    }
}
