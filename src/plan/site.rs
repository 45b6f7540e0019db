//! A field as it is seen by whoever buys fertilizer for it: what is short after the litter,
//! what each season may still take, and the days on which something can go on.
//!
//! Lives here: everything of a field that fertilizer hangs on, read off once, so that a mix
//! can be asked for any jobs. Never here: the mix and its trips.

use crate::balance::{FieldBalance, Limit, LimitKind, Npk, StepId};
use crate::check::Ready;
use crate::farm::Use;
use crate::plan::answer::{Application, HayLost};
use crate::plan::blend::{Product, Shelf};
use crate::plan::growing::{Opening, Seasons};
use crate::plan::hay_lost::hay_lost;
use crate::plan::jobs;
use crate::tables::{Book, Scope, topic};
use crate::units::{POUNDS_PER_TON, Quantity};
use jiff::civil::Date;
use std::sync::Arc;

/// The fertilizers on offer, and what it costs to put them down.
#[derive(Debug)]
pub(super) struct Shop {
    /// All of them.
    pub(super) all: Shelf,
    /// Those without phosphate.
    pub(super) plain: Shelf,
    /// Those without nitrogen.
    pub(super) no_n: Shelf,
    /// Most of each at once, lb/ac.
    pub(super) most: Vec<f64>,
    /// The least product that one trip can spread, lb/ac.
    pub(super) least: f64,
    /// Dollars an acre of a trip.
    pub(super) trip: f64,
    /// Dollars a pound of what stays short.
    pub(super) pound: Npk<f64>,
    /// Dollars a pound that no mix can be below.
    pub(super) low: Npk<f64>,
    /// The dearest that a pound can be.
    pub(super) dearest: Npk<f64>,
}

/// Litter that goes on.
#[derive(Clone, Copy, Debug)]
pub(super) struct Job {
    /// Which lot of the farm.
    pub(super) lot: usize,
    /// Which window of the field.
    pub(super) window: usize,
    /// Tons per acre.
    pub(super) rate: f64,
    /// Whether it goes on the rest of a field that was done in part.
    pub(super) on_rest: bool,
}

/// A field.
#[derive(Debug)]
pub(super) struct Site {
    pub(super) shop: Arc<Shop>,
    pub(super) id: String,
    pub(super) acres: f64,
    /// The hay that a pound of nitrogen left short loses.
    pub(super) hay_lost: Option<HayLost>,
    rest_acres: Option<f64>,
    pub(super) pasture: bool,
    /// The plan's first day, and the first of those that are left of it.
    pub(super) first_days: (Date, Date),
    years: Vec<Year>,
    windows: Vec<Window>,
    /// What a ton of each lot brings, by window.
    lots: Vec<Option<Vec<Ton>>>,
    rows: Vec<Row>,
    /// The seasons with windows for litter, then those that only fertilizer can use.
    pub(super) seasons: Vec<SiteSeason>,
    /// Whether the place parts the nitrogen over its seasons.
    pub(super) shared: bool,
    /// Whether the place names any.
    pub(super) knows_seasons: bool,
    /// Whether no season is left that takes anything.
    pub(super) none_open: bool,
    /// Cuttings within the plan that something grows after.
    pub(super) cuttings: Vec<Date>,
    /// The first day on which something may go on.
    pub(super) from: Option<Date>,
    /// The first day of the next season after those that are bought for.
    pub(super) next_season: Option<Date>,
    /// Whether it comes after the growing years that are bought for: it has a need of its own, and
    /// what those are short of is lost.
    pub(super) next_is_late: bool,
    /// Whether stock is on it and nobody knows until when.
    pub(super) stock: bool,
    /// Most nitrogen at once, lb/ac.
    pub(super) once: f64,
    /// That of the log on days of the plan, where it counts at once.
    pub(super) today: Vec<(Date, f64)>,
    /// The most nitrogen at once, where there is such a limit.
    pub(super) most_once: Option<f64>,
    p2o5_to_buy: Option<f64>,
}

/// A growing year.
#[derive(Debug)]
struct Year {
    need: Npk<f64>,
    /// Of it met by the log, and on the rest of a field done in part.
    done: Npk<f64>,
    done_on_rest: Npk<f64>,
    /// Phosphate on by the log, and on that rest.
    p2o5: f64,
    p2o5_on_rest: f64,
    bought_for: bool,
}

#[derive(Debug)]
struct Window {
    first: Date,
    last: Date,
    year: Option<usize>,
}

/// What a ton brings in a window.
#[derive(Debug)]
struct Ton {
    usable: Npk<f64>,
    put: Npk<f64>,
    /// What it takes of each row.
    rows: Vec<f64>,
}

/// A limit: what it still allows after the log, on all of the field and on its rest.
#[derive(Debug)]
struct Row {
    left: f64,
    left_on_rest: Option<f64>,
}

/// A season.
#[derive(Debug)]
pub(super) struct SiteSeason {
    pub(super) name: String,
    /// Whether litter has windows in it.
    pub(super) open_to_litter: bool,
    /// What its nitrogen keeps to: the sum of these, each the least of its rows and its share.
    keeps: Vec<(f64, Vec<usize>)>,
    /// The first day, where no cutting is waited for.
    pub(super) from: Option<Date>,
    /// The cuttings that its windows follow.
    pub(super) after: Vec<Date>,
}

/// What jobs leave of a field.
#[derive(Debug)]
pub(super) struct Left {
    /// What each row still allows.
    rooms: Vec<f64>,
    /// What is short, on the ground that gets most, lb/ac.
    pub(super) short: Npk<f64>,
    /// Phosphate that may be bought, lb/ac; any where none.
    pub(super) most_p2o5: Option<f64>,
    /// The part that is done and the rest of a field that was done in part, else all of it.
    pub(super) grounds: Vec<OnGround>,
}

/// A ground of a field.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct OnGround {
    pub(super) acres: f64,
    /// What is short, lb/ac.
    pub(super) short: Npk<f64>,
    /// What litter meets of growing years that nothing is bought for, lb/ac.
    pub(super) ahead: Npk<f64>,
}

impl Shop {
    /// None where the farm names no products. What stays short costs what the products make a
    /// pound of it, at the farm's `need` without litter; else what `prices` say.
    pub(super) fn of(ready: &Ready, book: Option<&Book<'_>>, need: &Npk<f64>) -> Option<Arc<Shop>> {
        if ready.shop.products.is_empty() {
            return None;
        }
        let all = on_offer(ready);
        let implied = crate::plan::blend::implied(&all, need);
        let implied = Npk { n: implied.n, p2o5: implied.p2o5, k2o: implied.k2o }.map(|price| price.unwrap_or(0.0));
        let written = ready.prices.as_ref().map_or(Npk::default(), |p| Npk {
            n: p.n.value.get(),
            p2o5: p.p2o5.value.get(),
            k2o: p.k2o.value.get(),
        });
        let pound = implied.with(written, |own, written| if own > 0.0 { own } else { written });
        // Out of one product alone; of what no product holds, all stays short.
        let alone = all.iter().fold(Npk::default(), |dearest: Npk<f64>, p| {
            let price = p.holds.map(|holds| if holds > 0.0 { p.price / holds } else { 0.0 });
            dearest.with(price, f64::max)
        });
        let none = alone.with(pound, |alone, pound| if alone > 0.0 { 0.0 } else { pound });
        let most = ready.shop.products.iter().map(|p| p.most.as_ref().map_or(f64::INFINITY, |most| most.value.get()));
        let plain = all.iter().filter(|p| p.holds.p2o5 <= 0.0).cloned().collect();
        Some(Arc::new(Shop {
            most: most.collect(),
            plain: Shelf::new(plain),
            no_n: Shelf::new(all.iter().filter(|p| p.holds.n <= 0.0).cloned().collect()),
            all: Shelf::new(all),
            least: least_of(ready, book),
            trip: ready.shop.spreading.as_ref().map_or(0.0, |cost| cost.value.get()),
            pound,
            low: implied.with(none, f64::max),
            dearest: alone.with(pound, f64::max),
        }))
    }

    /// Most of a product at once.
    pub(super) fn most_of(&self, name: &str) -> f64 {
        let at = self.all.products.iter().position(|p| p.name == name);
        at.and_then(|at| self.most.get(at)).copied().unwrap_or(f64::INFINITY)
    }
}

/// The products as pounds in a pound and dollars a pound.
pub(super) fn on_offer(ready: &Ready) -> Vec<Product> {
    let products = ready.shop.products.iter();
    products
        .map(|p| {
            let [n, p2o5, k2o] = p.analysis.value.map(|percent| percent / 100.0);
            let price = p.price.value.get() / POUNDS_PER_TON as f64;
            Product { name: p.name.value.clone(), holds: Npk { n, p2o5, k2o }, price }
        })
        .collect()
}

/// The least product that one trip can spread, lb/ac.
pub(super) fn least_of(ready: &Ready, book: Option<&Book<'_>>) -> f64 {
    let own = ready.shop.least.as_ref().map(|least| least.value);
    let usual = || book.and_then(|book| book.get(topic::FERTILIZER_LEAST, &Scope::new())).map(|figure| figure.value);
    own.or_else(usual).map_or(0.0, Quantity::get)
}

impl Site {
    pub(super) fn of(ready: &Ready, weighed: &FieldBalance, book: Option<&Book<'_>>, shop: &Arc<Shop>) -> Site {
        let field = weighed.field();
        let seasons = book.and_then(|book| Seasons::of(ready, field, book, &weighed.needs));
        let open_from = ready.open_from();
        let buys_in = |day: Date| {
            let own = weighed.needs.iter().find(|year| year.days.0 <= day && day <= year.days.1);
            own.is_none_or(|year| year.bought_for)
        };
        let windows = || weighed.windows.iter().filter(|w| buys_in(w.first));
        let stock = field.stock_since(ready).is_some();
        let next_season = seasons.as_ref().and_then(|seasons| seasons.next).filter(|_| !stock);
        let needed_to = weighed.needs.iter().filter(|year| year.bought_for).map(|year| year.days.1).max();
        let opens = seasons.iter().flat_map(|seasons| &seasons.open).map(|opening| opening.first);
        let grows = |cut: &Date| seasons.as_ref().is_none_or(|seasons| seasons.grows_after(*cut));
        let cuttings = field.cuttings.iter().map(|c| c.day).filter(|day| (open_from..=ready.to).contains(day));
        let once = weighed.limits.iter().filter(|limit| limit.kind == LimitKind::NAtOnce);
        let first_once = weighed.limit(LimitKind::NAtOnce).map(|limit| weighed.value(limit.allowed));
        let today = once.clone().filter_map(|limit| Some((limit.over.days()?.0, weighed.value(limit.done?))));
        Site {
            shop: Arc::clone(shop),
            id: field.id().to_string(),
            acres: weighed.acres,
            hay_lost: hay_lost(ready, field, book),
            rest_acres: weighed.rest.as_ref().map(|rest| rest.acres),
            pasture: field.written.usage.value == Use::Pasture,
            first_days: (ready.from, open_from),
            years: weighed.needs.iter().map(|year| Year::of(weighed, year)).collect(),
            windows: weighed
                .windows
                .iter()
                .map(|w| Window { first: w.first, last: w.last, year: year_of(weighed, w.first) })
                .collect(),
            lots: ready.lots.iter().map(|lot| tons(weighed, &lot.id)).collect(),
            rows: weighed.limits.iter().map(|limit| Row::of(weighed, limit)).collect(),
            seasons: site_seasons(weighed, seasons.as_ref(), &buys_in),
            shared: windows().any(|w| w.n_share_cite.is_some()) || seasons.as_ref().is_some_and(Seasons::shared),
            knows_seasons: seasons.is_some(),
            none_open: seasons.as_ref().is_some_and(|seasons| seasons.open.is_empty()),
            cuttings: cuttings.filter(grows).collect(),
            from: windows().map(|w| w.first).next().or_else(|| opens.min()),
            next_season,
            next_is_late: !stock && needed_to.is_some_and(|to| next_season.is_none_or(|next| to < next)),
            stock,
            once: first_once.unwrap_or(f64::INFINITY),
            most_once: once.map(|limit| weighed.value(limit.allowed)).reduce(f64::min),
            today: today.collect(),
            p2o5_to_buy: weighed.p2o5_to_buy,
        }
    }

    /// Dollars a pound of what stays short here: the hay that nitrogen loses, else as the products
    /// make it.
    pub(super) fn pound(&self) -> Npk<f64> {
        let n = self.hay_lost.as_ref().map_or(self.shop.pound.n, |lost| lost.pound);
        Npk { n, ..self.shop.pound }
    }

    /// The plan's applications on the field as jobs.
    pub(super) fn jobs(&self, ready: &Ready, weighed: &FieldBalance, applications: &[Application]) -> Vec<Job> {
        let one = |a: &Application| {
            let lot = ready.lots.iter().position(|lot| lot.id == a.lot)?;
            Some(Job { lot, window: jobs::window(weighed, a)?, rate: a.rate, on_rest: a.rest_acres.is_some() })
        };
        applications.iter().filter_map(one).collect()
    }

    /// The window of a job: its first and last day.
    pub(super) fn days(&self, job: &Job) -> (Date, Date) {
        self.windows.get(job.window).map_or((Date::MIN, Date::MIN), |w| (w.first, w.last))
    }

    /// Nitrogen that a job puts on, lb/ac.
    pub(super) fn n_of(&self, job: &Job) -> f64 {
        self.ton(job).map_or(0.0, |ton| job.rate * ton.put.n)
    }

    fn ton(&self, job: &Job) -> Option<&Ton> {
        self.lots.get(job.lot)?.as_ref()?.get(job.window)
    }

    /// Whether the stand needs no nitrogen in any of the years that are bought for.
    pub(super) fn needs_no_n(&self) -> bool {
        self.years.iter().filter(|year| year.bought_for).all(|year| year.need.n <= 0.0)
    }

    /// What some jobs leave.
    pub(super) fn left(&self, jobs: &[Job]) -> Left {
        let sum = |of: &dyn Fn(&Job) -> bool, get: &dyn Fn(&Ton) -> Npk<f64>| -> Npk<f64> {
            jobs.iter().filter(|job| of(job)).fold(Npk::default(), |sum: Npk<f64>, job| {
                let lb = self.ton(job).map_or(Npk::default(), |ton| get(ton).map(|lb| lb * job.rate));
                sum.with(lb, |sum, lb| sum + lb)
            })
        };
        let (mut short, mut p2o5) = (Npk::default(), sum(&|job| !job.on_rest, &|ton| ton.put).p2o5);
        let mut grounds = [OnGround::default(); 2];
        for (at, year) in self.years.iter().enumerate() {
            let own = |job: &Job| self.windows.get(job.window).is_some_and(|w| w.year == Some(at));
            let whole = sum(&|job| own(job) && !job.on_rest, &|ton| ton.usable);
            let (rest, put) = match self.rest_acres {
                Some(_) => (
                    sum(&|job| own(job) && job.on_rest, &|ton| ton.usable),
                    sum(&|job| own(job) && job.on_rest, &|ton| ton.put).p2o5,
                ),
                None => (Npk::default(), 0.0),
            };
            p2o5 += (put + year.p2o5_on_rest - year.p2o5).max(0.0);
            let open = |done: Npk<f64>| year.need.with(done, |need, done| (need - done).max(0.0));
            let beyond =
                rest.with(year.done_on_rest, |a, b| a + b).with(year.done, |rest, done| (rest - done).max(0.0));
            let add = |to: &mut Npk<f64>, lb: Npk<f64>| *to = to.with(lb, |a, b| a + b);
            let less = |open: Npk<f64>, on: Npk<f64>| open.with(on, |open, on| (open - on).max(0.0));
            let all = whole.with(rest, |a, b| a + b);
            let on_grounds = [(open(year.done), whole), (open(year.done_on_rest), all)];
            if year.bought_for {
                let densest = whole.with(beyond, |a, b| a + b);
                add(&mut short, less(open(year.done), densest));
            }
            for ((open, on), ground) in on_grounds.into_iter().zip(&mut grounds) {
                match year.bought_for {
                    true => add(&mut ground.short, less(open, on)),
                    false => add(&mut ground.ahead, open.with(on, f64::min)),
                }
            }
        }
        let rest_acres = self.rest_acres.unwrap_or(0.0);
        let mut grounds: Vec<OnGround> = grounds.to_vec();
        grounds.truncate(if self.rest_acres.is_some() { 2 } else { 1 });
        for (ground, acres) in grounds.iter_mut().zip([self.acres - rest_acres, rest_acres]) {
            ground.acres = acres;
        }
        let most_p2o5 = self.p2o5_to_buy.map(|most| (most - p2o5).max(0.0));
        Left { rooms: self.rooms_of(jobs), short, most_p2o5, grounds }
    }

    /// What litter can be worth at most to growing years that nothing is bought for, dollars.
    pub(super) fn most_ahead(&self) -> f64 {
        let years = self.years.iter().filter(|year| !year.bought_for);
        let pound = self.shop.pound;
        years
            .map(|year| year.need.with(pound, |lb, price| lb * price))
            .map(|d| self.acres * (d.n + d.p2o5 + d.k2o))
            .sum()
    }

    /// What each row still allows after some jobs, on the ground that has least room.
    fn rooms_of(&self, jobs: &[Job]) -> Vec<f64> {
        let one = |(at, row): (usize, &Row)| {
            let taken = |of: &dyn Fn(&Job) -> bool| -> f64 {
                let takes = |job: &Job| self.ton(job).map_or(0.0, |ton| job.rate * ton.rows[at]);
                jobs.iter().filter(|job| of(job)).map(takes).fold(0.0, |sum, one| sum + one)
            };
            let whole = row.left - taken(&|job| !job.on_rest);
            row.left_on_rest.map_or(whole, |left| (left - taken(&|_| true)).min(whole)).max(0.0)
        };
        self.rows.iter().enumerate().map(one).collect()
    }
}

impl SiteSeason {
    /// Nitrogen that it may still take.
    pub(super) fn room(&self, left: &Left) -> f64 {
        let least = |(share, rows): &(f64, Vec<usize>)| rows.iter().map(|at| left.rooms[*at]).fold(*share, f64::min);
        self.keeps.iter().map(least).fold(0.0, |sum, room| sum + room)
    }
}

impl Year {
    fn of(weighed: &FieldBalance, year: &crate::balance::YearNeed) -> Year {
        let (need, done) = weighed.in_year(year);
        Year {
            need,
            done,
            done_on_rest: weighed.usable_on_rest(year),
            p2o5: weighed.on_in_year(year).p2o5,
            p2o5_on_rest: weighed.on_rest(year).p2o5,
            bought_for: year.bought_for,
        }
    }
}

impl Row {
    fn of(weighed: &FieldBalance, limit: &Limit) -> Row {
        let value = |step: StepId| weighed.value(step);
        Row { left: value(limit.left), left_on_rest: limit.on_rest.map(|on| value(on.left)) }
    }
}

fn year_of(weighed: &FieldBalance, day: Date) -> Option<usize> {
    weighed.needs.iter().position(|year| year.days.0 <= day && day <= year.days.1)
}

/// What a ton of a lot brings in each window; none where the field does not get it.
fn tons(weighed: &FieldBalance, lot: &str) -> Option<Vec<Ton>> {
    let own = weighed.lot(lot)?;
    let of = |window: usize| {
        let takes = |limit: &Limit| {
            let counted = limit.windows.contains(&window).then(|| weighed.per_ton(own, limit.counts, Some(window)));
            counted.flatten().unwrap_or(0.0)
        };
        Ton {
            usable: weighed.usable_per_ton(own, Some(window)),
            put: weighed.npk_per_ton(own, Some(window)),
            rows: weighed.limits.iter().map(takes).collect(),
        }
    };
    Some((0..weighed.windows.len()).map(of).collect())
}

/// The seasons that something is bought for: those with windows for litter, then those that
/// stock or a cutting keeps litter off.
fn site_seasons(weighed: &FieldBalance, seasons: Option<&Seasons>, buys_in: &dyn Fn(Date) -> bool) -> Vec<SiteSeason> {
    let windows = || weighed.windows.iter().filter(|w| buys_in(w.first));
    let openings = || seasons.iter().flat_map(|seasons| &seasons.open);
    let rows = |own: &dyn Fn(&Limit) -> bool| -> Vec<usize> {
        weighed.limits.iter().enumerate().filter(|(_, limit)| own(limit)).map(|(at, _)| at).collect()
    };
    let of_year =
        |limit: &Limit| limit.windows.iter().any(|at| weighed.windows.get(*at).is_some_and(|w| buys_in(w.first)));
    let mut all: Vec<SiteSeason> = Vec::new();
    for window in windows() {
        if all.iter().any(|season| season.name == window.season) {
            continue;
        }
        let own = rows(&|limit| limit.season.as_ref() == Some(&window.season) && of_year(limit));
        let whole_year = || rows(&|limit| limit.kind == LimitKind::Nitrogen && of_year(limit));
        let own = if own.is_empty() { whole_year() } else { own };
        let mine = || windows().filter(|w| w.season == window.season);
        let mut after: Vec<Date> = mine().filter_map(|w| w.after_cutting).collect();
        after.dedup();
        let opens = openings().find(|opening| opening.season == window.season).map(|opening| opening.first);
        all.push(SiteSeason {
            name: window.season.clone(),
            open_to_litter: true,
            keeps: own.into_iter().map(|at| (f64::INFINITY, vec![at])).collect(),
            from: mine().map(|w| w.first).next().or(opens),
            after,
        });
    }
    let need = |year: &crate::balance::YearNeed| weighed.value(year.n);
    let n: f64 = weighed.needs.iter().filter(|year| year.bought_for).map(need).sum();
    for opening in openings() {
        if all.iter().any(|season| season.name == opening.season) {
            continue;
        }
        let own = || openings().filter(|other| other.season == opening.season);
        let keeps = |opening: &Opening| {
            let over = |(first, last): (Date, Date)| first <= opening.first && opening.first <= last;
            let rows =
                rows(&|limit| limit.season.as_ref() == Some(&opening.season) && limit.over.days().is_some_and(over));
            (n * opening.n_share.unwrap_or(1.0), rows)
        };
        all.push(SiteSeason {
            name: opening.season.clone(),
            open_to_litter: false,
            keeps: own().map(keeps).collect(),
            from: Some(opening.first),
            after: Vec::new(),
        });
    }
    all
}
