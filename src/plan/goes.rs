//! When bought fertilizer goes on: what each season may still take, and the trips.
//!
//! Lives here: the parts of the nitrogen by seasons or cuttings, and the trips made of them.
//! Never here: which products the mix is of, and what it costs.

use crate::balance::{FieldBalance, Limit, LimitKind, Npk, Window};
use crate::check::Ready;
use crate::farm::Use;
use crate::plan::answer::{Amount, FieldPlan, Go, YearBudget};
use crate::plan::blend::{Blend, Product};
use crate::plan::growing::{Opening, Seasons};
use crate::plan::jobs::{self, put_on};
use crate::units::Quantity;
use jiff::civil::Date;

/// Less than this is not bought, lb/ac: the plan shows it as 0.
pub(super) const TRIFLE: f64 = 0.5;
/// Pounds per acre that sums of a few parts stray by.
pub(super) const SLACK: f64 = 1e-9;

/// A field with everything known of it.
pub(super) struct Site<'a> {
    pub(super) ready: &'a Ready,
    pub(super) weighed: &'a FieldBalance,
    pub(super) plan: &'a FieldPlan,
    pub(super) usage: Use,
    /// None where the place names no season of its forage.
    pub(super) seasons: Option<Seasons>,
    /// The least product that one trip can spread, lb/ac.
    pub(super) least: f64,
}

/// A part of a field's nitrogen.
#[derive(Clone)]
pub(super) struct Part {
    season: Option<String>,
    from: Option<Date>,
    after: Option<Date>,
    pub(super) n: f64,
    /// The most that it may be.
    room: f64,
}

impl Part {
    fn open(&self) -> f64 {
        (self.room - self.n).max(0.0)
    }
}

/// Of the parts the least one is left out, and the others take what they have room for: the
/// other parts of its season first.
pub(super) fn without_least(parts: &mut Vec<Part>) {
    let least = parts.iter().enumerate().min_by(|(_, a), (_, b)| a.n.total_cmp(&b.n)).map(|(at, _)| at);
    let Some(out) = least.map(|at| parts.remove(at)) else { return };
    let own = |part: &Part| part.season == out.season;
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

impl Site<'_> {
    /// What a limit still allows after the log, and after the litter of the plan where
    /// it counts.
    fn room(&self, limit: &Limit, litter: bool) -> f64 {
        jobs::room_after(self.weighed, limit, if litter { &self.plan.applications } else { &[] })
    }

    /// When the mix goes on. Products with nitrogen go by the parts of what is
    /// short of it; the others all go first.
    pub(super) fn goes(&self, products: &[Product], mix: &Blend, parts: &[Part]) -> Vec<Go> {
        let n: f64 = products.iter().zip(&mix.pounds).map(|(p, lb)| lb * p.holds.n).sum();
        let mut parts = if n > 0.0 { parts.to_vec() } else { Vec::new() };
        if parts.is_empty() {
            let opens = self.seasons.iter().flat_map(|seasons| &seasons.open).map(|opening| opening.first);
            let window = self.weighed.windows.iter().map(|w| w.first).find(|first| self.buys_in(*first));
            let from = window.or_else(|| opens.min());
            parts.push(Part { season: None, from, after: None, n: 1.0, room: 1.0 });
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

    /// The trip of nitrogen that comes with phosphate or potash where none is short: in the
    /// season that has room for all of it, else shared out like any other.
    pub(super) fn comes_along(&self, n: f64, litter: bool) -> Vec<Part> {
        if n <= SLACK || !self.shared() {
            return Vec::new();
        }
        let mut parts = self.parts(n, litter);
        let roomy = parts.iter().position(|part| part.room + SLACK >= n);
        if let Some(at) = roomy {
            parts = vec![Part { n, ..parts.swap_remove(at) }];
        }
        parts
    }

    /// The nitrogen that all seasons with a share may still take; none where they have none.
    pub(super) fn most_n(&self, litter: bool) -> Option<f64> {
        self.shared().then(|| self.rooms(f64::INFINITY, litter).iter().map(|(_, room)| room).sum())
    }

    /// The most nitrogen at once, where a trip on a day of the plan's litter, or of the log's
    /// on the plan's first day, would pass it with that litter.
    pub(super) fn apart_from_litter(&self, goes: &[Go]) -> Option<f64> {
        let once = self.weighed.limits.iter().filter(|limit| limit.kind == LimitKind::NAtOnce);
        let most = once.clone().map(|limit| self.weighed.value(limit.allowed)).reduce(f64::min)?;
        let today = once.filter_map(|limit| Some((limit.over.days()?.0, self.weighed.value(limit.done?))));
        let today: Vec<(Date, f64)> = today.collect();
        let passes = |go: &Go| {
            let begins = go.from.or(go.after_cutting).unwrap_or(self.ready.from);
            let n: f64 = go.amounts.iter().map(|a| a.pounds * self.n_share(&a.product)).sum::<f64>();
            let a_trip = n / f64::from(go.times.max(1));
            let of_plan = self.plan.applications.iter().filter(|a| begins <= a.last).map(|a| put_on(self.weighed, a).n);
            let logged = today.iter().filter(|(day, _)| begins <= *day).map(|(_, n)| *n);
            n > SLACK && of_plan.chain(logged).any(|litter| litter + a_trip > most + SLACK)
        };
        goes.iter().any(passes).then_some(most)
    }

    /// Nitrogen in a pound of a product.
    fn n_share(&self, name: &str) -> f64 {
        let product = self.ready.shop.products.iter().find(|product| product.name.value == name);
        product.map_or(0.0, |product| product.analysis.value[0] / 100.0)
    }

    /// Whether a trip is not below what a spreader can put down evenly. One that is gone over
    /// several times is as much at once as may be.
    pub(super) fn worth_a_trip(&self, go: &Go) -> bool {
        let pounds: f64 = go.amounts.iter().map(|a| a.pounds).sum();
        go.times > 1 || pounds + 1e-6 >= self.least
    }

    /// Whether fertilizer is bought for the growing year of a day.
    fn buys_in(&self, day: Date) -> bool {
        let own = |year: &&YearBudget| year.first <= day && day <= year.last;
        self.plan.years.iter().find(own).is_none_or(|year| year.bought_for)
    }

    /// The parts of the nitrogen: by the place's shares of seasons where it has them, else
    /// evenly over the cuttings of hay.
    pub(super) fn parts(&self, n: f64, litter: bool) -> Vec<Part> {
        if n <= 0.0 {
            return Vec::new();
        }
        if !self.shared() {
            let within = self.ready.open_from()..=self.ready.to;
            let grows = |cut: &Date| self.seasons.as_ref().is_none_or(|seasons| seasons.grows_after(*cut));
            let cuttings: Vec<Date> =
                self.plan.cuttings.iter().copied().filter(|cut| within.contains(cut) && grows(cut)).collect();
            if self.usage == Use::Pasture || cuttings.len() < 2 {
                return Vec::new();
            }
            let each = n / cuttings.len() as f64;
            let one = |c: Date| Part { season: None, from: None, after: Some(c), n: each, room: n };
            return cuttings.into_iter().map(one).collect();
        }
        let rooms = self.rooms(n, litter);
        let all: f64 = rooms.iter().map(|(_, room)| room).sum();
        let fits = if all > 0.0 { (n / all).min(1.0) } else { 0.0 };
        let mut parts = Vec::new();
        for (season, room) in rooms.into_iter().filter(|(_, room)| *room * fits > 0.0) {
            let mine = || self.windows().filter(move |w| w.season == season);
            let mut after: Vec<Date> = mine().filter_map(|w| w.after_cutting).collect();
            after.dedup();
            let opens = self.openings(season).map(|opening| opening.first).next();
            let season = Some(season.to_string());
            if after.is_empty() {
                let from = mine().map(|w| w.first).next().or(opens);
                parts.push(Part { season, from, after: None, n: room * fits, room });
            } else {
                let (each, room) = (room * fits / after.len() as f64, room / after.len() as f64);
                // A cutting that is over is no date to wait for any more.
                let open = self.ready.open_from();
                parts.extend(after.iter().map(|c| Part {
                    season: season.clone(),
                    from: (*c < open).then_some(open),
                    after: (*c >= open).then_some(*c),
                    n: each,
                    room,
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
                    let room = self.openings(&opening.season).map(|own| self.room_while_shut(own, litter)).sum();
                    rooms.push((&opening.season, room));
                }
            }
        }
        rooms
    }

    /// Nitrogen that an opening may still take in which no litter may go on: by its own row
    /// of the limits, which counts what the log has in it.
    fn room_while_shut(&self, opening: &Opening, litter: bool) -> f64 {
        let rows = self.weighed.limits.iter().filter(|limit| {
            let over = |(first, last)| first <= opening.first && opening.first <= last;
            limit.season.as_ref() == Some(&opening.season) && limit.over.days().is_some_and(over)
        });
        let share = self.plan.need.n * opening.n_share.unwrap_or(1.0);
        rows.map(|limit| self.room(limit, litter)).fold(share, f64::min)
    }

    /// The first day of the next season of the forage after those that are bought for.
    pub(super) fn next_season(&self) -> Option<Date> {
        self.seasons.as_ref().and_then(|seasons| seasons.next).filter(|_| self.plan.stock_since.is_none())
    }

    /// Of what is short, what no season left in the plan's days can take; all of it where
    /// stock is on the field and nobody knows until when.
    pub(super) fn waits(&self, short: &Npk<f64>, litter: bool) -> Npk<f64> {
        if self.plan.stock_since.is_some() {
            return *short;
        }
        let Some(seasons) = &self.seasons else { return Npk::default() };
        if seasons.open.is_empty() {
            return *short;
        }
        let all: f64 = self.rooms(short.n, litter).iter().map(|(_, room)| room).sum();
        let over = short.n - all;
        Npk { n: if self.shared() && over > SLACK { over } else { 0.0 }, ..Npk::default() }
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

/// The products of which there is something.
pub(super) fn amounts(products: &[Product], pounds: impl Fn(usize) -> f64) -> Vec<Amount> {
    let all = products.iter().enumerate().map(|(i, p)| Amount { product: p.name.clone(), pounds: pounds(i) });
    all.filter(|a| a.pounds > 0.0).collect()
}
