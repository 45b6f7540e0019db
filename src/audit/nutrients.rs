//! Nitrogen and phosphorus calculated again, straight from the farm's lines and
//! the tables, as a total per acre instead of a rate per ton.

use crate::audit::fault::fault;
use crate::audit::goal::yield_goal;
use crate::audit::held::{self, advised, holds};
use crate::audit::log::{self, LimitLoad};
use crate::audit::period::{self, Days, JANUARY};
use crate::audit::rest::{self, OnGround};
use crate::audit::{p_rule, phosphorus, soil};
use crate::check::{Contents, Field, Lot, Ready};
use crate::farm::Use;
use crate::findings::Findings;
use crate::plan::answer::{Application, FieldPlan};
use crate::record::What;
use crate::tables::{Book, Of, Scope, topic};
use crate::units::{Quantity, TonsPerAcre};
use jiff::ToSpan;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// A thousandth of a pound an acre: sums of a few products stray far less.
const SLACK: f64 = 1e-3;

/// Two figures that are shown alike.
pub(super) const SHOWN: f64 = 0.05;

pub(super) fn check(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    let mut say = |what: String| findings.push(fault("nutrients", format!("field {}: {what}", plan.id)));
    if plan.applications.is_empty() {
        return;
    }
    if !field.bars.is_empty() || metals_stop(field, book) {
        say("it gets litter where none is allowed".to_string());
    }
    if needs(plan, field, ready, book).is_none() {
        return say("no nitrogen figure".to_string());
    }
    for OnGround { plan, ready } in rest::grounds(plan, field, ready) {
        for load in loads(&plan, field, &ready, book, false) {
            let on = load.logged + load.planned;
            // What the log alone is over is no fault of the plan.
            if load.planned > 0.0 && on > load.allowed + SLACK {
                say(format!("{on:.2} {} {:.2}", load.what, load.allowed));
            }
        }
        plan.applications.iter().for_each(|a| with_the_log_of_its_day(&plan, a, field, &ready, book, &mut say));
    }
    soil::check(field, ready, book, &mut say);
    for a in &plan.applications {
        at_once((ready.lot(&a.lot), Some(&a.season), a.rate), field, ready, book, &mut say);
    }
}

/// What may go on on a day on which the log shows something already, with it.
fn with_the_log_of_its_day(
    plan: &FieldPlan,
    a: &Application,
    field: &Field,
    ready: &Ready,
    book: &Book<'_>,
    say: &mut dyn FnMut(String),
) {
    let (days, Some(lot)) = ((a.first, a.first), ready.lot(&a.lot)) else { return };
    let held = |lot: &Lot, season: Option<&str>| holds(lot, field, season, ready, book).map_or(0.0, |(n, _)| n);
    let logged = log::spread(field, plan.acres, days, ready, book);
    let bags = log::besides(&[What::Fertilizer], (field, plan.acres), days, ready, book);
    let of_log = |s: &log::LoggedSpread| s.of_lot(ready).map_or(0.0, |lot| held(&lot, s.season.as_deref()) * s.rate);
    let on = log::with_besides((&logged, &of_log), (&bags, &|s| s.bag(0)));
    let (n, most_n) = (on + a.rate * held(lot, Some(&a.season)), most_n(field, ready, book));
    if on > 0.0 && n > most_n + SLACK {
        say(format!(
            "{n:.2} lb/ac of nitrogen at once on {} with what the log shows, which may be {most_n:.2}",
            a.first
        ));
    }
    let alike: Vec<log::LoggedSpread> =
        logged.into_iter().filter(|s| ready.lot(&s.lot).is_some_and(|own| own.kind == lot.kind)).collect();
    let (on, most) = (log::densest(&alike, &|s| s.rate), most(topic::RATE_MOST, &a.lot, field, ready, book));
    if on > 0.0 && on + a.rate > most + SLACK {
        let tons = on + a.rate;
        say(format!("{tons:.2} tons/ac at once on {} with what the log shows, which may be {most:.2}", a.first));
    }
}

/// What fertilizer to buy must keep to: nitrogen that an opening of a season may take.
pub(super) struct SeasonLoad {
    pub(super) season: String,
    pub(super) days: Days,
    pub(super) load: LimitLoad,
}

/// The share of nitrogen of every opening that the plan's windows lie in, and of those
/// that are still to come: litter may be kept off, and fertilizer may not be.
pub(super) fn season_loads(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>) -> Vec<SeasonLoad> {
    let years = needs(plan, field, ready, book).unwrap_or_default();
    let scope = ready.scope(field);
    let mut loads = Vec::new();
    let seasons = book.seasons(&scope);
    for (season, figure) in &seasons {
        let Some(share) = book.get(topic::N_SPLIT, &scope.clone().season(season)) else { continue };
        let share = share.value.get();
        let past = plan.past.iter().filter(|w| w.season == *season).map(|w| w.first);
        // What went on after the last season of a year that is over feeds the first of the next.
        let last = if ready.is_past { ready.to.saturating_add(1.year()) } else { ready.to };
        let to_come = period::days(period::begins(ready), last);
        let mut openings: Vec<Days> = past
            .chain(to_come)
            .filter(|day| period::open_on(figure.value, *day))
            .map(|day| period::opening_around(figure.value, day))
            .collect();
        openings.sort();
        openings.dedup();
        for days in openings {
            let touches = |year: &&(Days, f64)| year.0.0 <= days.1 && days.0 <= year.0.1;
            let of_none = years.first().filter(|_| !years.iter().any(|year| touches(&year)));
            let own = years.iter().filter(touches).chain(of_none);
            let need = own.map(|(_, need)| *need).fold(f64::INFINITY, f64::min);
            // What went on when no season was open feeds the one that opens next.
            let since = period::days_before(days.0, |day| !seasons.iter().any(|(_, s)| period::open_on(s.value, day)));
            let load = n_load(
                (plan, field),
                (since, days.1),
                ("the season may take", Some(season)),
                need * share,
                (ready, book),
            );
            let what = in_season(season, days, since);
            loads.push(SeasonLoad { season: season.clone(), days, load: LimitLoad { what, ..load } });
        }
    }
    loads
}

/// How nitrogen of a season is told: by the days of the season itself, as whoever plans knows it,
/// and with the days before it that count along.
fn in_season(season: &str, (first, last): Days, since: Date) -> String {
    let before = if since < first { format!(", with what went on from {since} on,") } else { String::new() };
    format!(
        "lb/ac of nitrogen in {} from {first} to {last}{before} where the season may take",
        season.replace('_', " ")
    )
}

/// Nitrogen of log and plan in some days.
fn n_load(
    (plan, field): (&FieldPlan, &Field),
    (first, last): Days,
    (what, season): (&str, Option<&str>),
    allowed: f64,
    (ready, book): (&Ready, &Book<'_>),
) -> LimitLoad {
    let n: fn((f64, f64)) -> f64 = |(n, _)| n;
    let of = |lot: &str, season: Option<&str>| holds(ready.lot(lot)?, field, season, ready, book);
    let held = |s: &log::LoggedSpread| holds(s.of_lot(ready)?.as_ref(), field, s.season.as_deref(), ready, book);
    let list = log::spread(field, plan.acres, (first, last), ready, book);
    let bags = log::besides(log::BESIDES, (field, plan.acres), (first, last), ready, book);
    let own = |a: &&Application| first <= a.last && a.first <= last && season.is_none_or(|s| s == a.season);
    let put = plan.applications.iter().filter(own).filter_map(|a| Some(a.rate * of(&a.lot, Some(&a.season))?.0));
    LimitLoad {
        what: format!("lb/ac of nitrogen from {first} to {last} where {what}"),
        last: log::last_day(list.iter().chain(bags.iter().filter(|s| s.bag(0) > 0.0))),
        logged: log::with_besides((&list, &|s| s.rate * held(s).map_or(0.0, n)), (&bags, &|s| s.bag(0))),
        planned: put.fold(0.0, |sum, one| sum + one),
        allowed,
    }
}

/// Every limit that all of log and plan together must keep over some days; `log_alone`:
/// over those for which the log is looked at by itself.
pub(super) fn loads(
    plan: &FieldPlan,
    field: &Field,
    ready: &Ready,
    book: &Book<'_>,
    log_alone: bool,
) -> Vec<LimitLoad> {
    let mut loads = phosphorus::loads(plan, field, ready, book, log_alone);
    let load = |days: Days, what: &str, allowed: f64| n_load((plan, field), days, (what, None), allowed, (ready, book));
    let years = needs(plan, field, ready, book).unwrap_or_default();
    if period::growing(field, ready, book).is_some() {
        loads.extend(years.iter().map(|(days, need)| load(*days, "the crop needs", *need)));
    } else if let Some((_, need)) = years.first() {
        let put_on = [What::Spread, What::Fertilizer, What::FeedHay].into_iter();
        let logged = put_on.flat_map(|what| ready.happened.on_field(field.id(), what)).map(|e| e.date);
        let ends = match log_alone {
            true => period::ends_of_log(plan, ready, log::dates(field, plan.acres, ready, book).into_iter()),
            false => period::ends_of_plan(plan, ready, logged),
        };
        let months = ends.into_iter().map(period::twelve_months_to);
        loads.extend(months.map(|days| load(days, "the crop needs in twelve months", *need)));
    }
    loads.extend(season_loads(plan, field, ready, book).into_iter().map(|of| of.load));
    for days in period::touched(plan, ready, JANUARY) {
        loads.push(of_year(plan, field, days, ready, book));
    }
    loads.extend(soil::metal_loads(plan, field, ready, book, log_alone));
    loads.extend(soil::metals_ever(plan, field, ready, book));
    loads
}

/// Tons of one calendar year.
fn of_year(plan: &FieldPlan, field: &Field, days: Days, ready: &Ready, book: &Book<'_>) -> LimitLoad {
    let year = log::spread(field, plan.acres, days, ready, book);
    let mine = || plan.applications.iter().filter(|a| days.0 <= a.last && a.first <= days.1);
    let lots = mine().map(|a| &a.lot).chain(year.iter().map(|s| &s.lot));
    let caps = lots.map(|lot| most(topic::RATE_MOST_YEAR, lot, field, ready, book));
    let allowed = caps.chain(field.written.most.as_ref().map(|m| m.value.get())).fold(f64::INFINITY, f64::min);
    LimitLoad {
        what: format!("tons/ac in {} where the most is", days.0.year()),
        last: log::last_day(&year),
        logged: log::densest(&year, &|s| s.rate),
        planned: mine().map(|a| a.rate).fold(0.0, |sum, one| sum + one),
        allowed,
    }
}

/// The most of one planned application: nitrogen, and tons of its kind of litter.
fn at_once(
    (lot, season, rate): (Option<&Lot>, Option<&str>, f64),
    field: &Field,
    ready: &Ready,
    book: &Book<'_>,
    say: &mut dyn FnMut(String),
) {
    let n_most = most_n(field, ready, book);
    let n = lot.and_then(|lot| holds(lot, field, season, ready, book)).map_or(0.0, |(n, _)| n * rate);
    if n > n_most + SLACK {
        say(format!("{n:.2} lb/ac of nitrogen at once, which may be {n_most:.2}"));
    }
    let most = most(topic::RATE_MOST, lot.map_or("", |lot| &lot.id), field, ready, book);
    if rate > most + SLACK {
        say(format!("{rate:.2} tons/ac at once, which may be {most:.2}"));
    }
}

/// The same of all litter and fertilizer that the log has on one day.
pub(super) fn day_at_once(
    (litter, bags): (&[log::LoggedSpread], &[log::LoggedSpread]),
    day: Date,
    field: &Field,
    ready: &Ready,
    book: &Book<'_>,
    say: &mut dyn FnMut(String, (f64, f64)),
) {
    let n_in = |s: &log::LoggedSpread| holds(s.of_lot(ready)?.as_ref(), field, s.season.as_deref(), ready, book);
    let n = log::with_besides((litter, &|s| n_in(s).map_or(0.0, |(n, _)| n * s.rate)), (bags, &|s| s.bag(0)));
    let n_most = most_n(field, ready, book);
    if n > n_most + SHOWN {
        say(format!("{n:.2} lb/ac of nitrogen at once on {day}, which may be {n_most:.2}"), (n, n_most));
    }
    let kind = |s: &log::LoggedSpread| ready.lot(&s.lot).map_or("", |lot| lot.kind.as_str());
    for of in litter.iter().map(kind).collect::<BTreeSet<&str>>() {
        let alike: Vec<log::LoggedSpread> = litter.iter().filter(|s| kind(s) == of).cloned().collect();
        let (tons, most) = (
            log::densest(&alike, &|s| s.rate),
            most(topic::RATE_MOST, alike.first().map_or("", |s| &s.lot), field, ready, book),
        );
        if tons > most + SHOWN {
            say(format!("{tons:.2} tons/ac at once on {day}, which may be {most:.2}"), (tons, most));
        }
    }
}

/// Nitrogen of an application of the plan, lb/ac.
pub(super) fn n_of(a: &Application, field: &Field, ready: &Ready, book: &Book<'_>) -> f64 {
    let held = ready.lot(&a.lot).and_then(|lot| holds(lot, field, Some(&a.season), ready, book));
    held.map_or(0.0, |(n, _)| n * a.rate)
}

/// Nitrogen of the log on some days, on the ground that got most, lb/ac.
pub(super) fn n_logged(plan: &FieldPlan, field: &Field, days: Days, ready: &Ready, book: &Book<'_>) -> f64 {
    let litter = log::spread(field, plan.acres, days, ready, book);
    let bags = log::besides(&[What::Fertilizer], (field, plan.acres), days, ready, book);
    let n_in = |s: &log::LoggedSpread| holds(s.of_lot(ready)?.as_ref(), field, s.season.as_deref(), ready, book);
    log::with_besides((&litter, &|s| n_in(s).map_or(0.0, |(n, _)| n * s.rate)), (&bags, &|s| s.bag(0)))
}

/// The most nitrogen at once.
pub(super) fn most_n(field: &Field, ready: &Ready, book: &Book<'_>) -> f64 {
    book.get(topic::N_AT_ONCE, &ready.scope(field)).map_or(f64::INFINITY, |f| f.value.get())
}

/// The most tons per acre of a lot's kind of litter.
fn most(topic: Of<TonsPerAcre>, lot: &str, field: &Field, ready: &Ready, book: &Book<'_>) -> f64 {
    let scope = ready.scope(field).material(ready.lot(lot).map(|lot| &lot.kind));
    book.get(topic, &scope).map_or(f64::INFINITY, |f| f.value.get())
}

/// The growing years that the plan touches.
pub(super) fn years(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>) -> Vec<Days> {
    match period::growing(field, ready, book) {
        Some(year) => period::grown_in(plan, (field, ready, book), year),
        None => {
            let first = plan.windows.iter().map(|w| w.first).min().unwrap_or(period::begins(ready));
            vec![(first.checked_sub(1.year()).and_then(Date::tomorrow).unwrap_or(first), ready.to)]
        }
    }
}

/// The growing years that the plan touches, with the nitrogen that the crop needs in
/// each, lb/ac; none where there is no figure.
pub(super) fn needs(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>) -> Option<Vec<(Days, f64)>> {
    let years = years(plan, field, ready, book);
    let written = &field.written;
    let scope = ready.scope(field);
    let legume = written.legume.as_ref().map_or(0.0, |l| l.value.get());
    let none = book.get(topic::N_LEGUME_NONE, &scope);
    if written.legume.is_some() && none.is_some_and(|f| legume >= f.value.get()) {
        return Some(years.into_iter().map(|days| (days, 0.0)).collect());
    }
    let cut = match written.usage.value {
        Use::Hay | Use::Grain => 0.0,
        Use::Pasture | Use::HayThenGrazed => book.get(topic::N_GRAZING_CUT, &scope).map_or(0.0, |f| f.value.get()),
    };
    let goal = yield_goal(plan, field, book)?;
    let by_yield = book.get(topic::N_PER_TON, &scope).map(|f| f.value.get() * goal * (1.0 - cut));
    let by_rate = book.get(topic::N_RATE, &scope).map(|f| f.value.get());
    let by_report = advised(field, |advice| advice.n.as_ref());
    // Whichever there are, the least of them; a report gives way to the place's own for the crop alone.
    let own_cut = cut == 0.0 || book.is_own(topic::N_GRAZING_CUT, &scope);
    let counts = |own: bool| by_report.is_none() || own;
    let by_yield = by_yield.filter(|_| counts(own_cut && book.is_own(topic::N_PER_TON, &scope)));
    let by_rate = by_rate.filter(|_| counts(book.is_own(topic::N_RATE, &scope)));
    let gross = [by_report, by_yield, by_rate].into_iter().flatten().reduce(f64::min)?;
    let other = written.other_n.as_ref().map_or(0.0, |o| o.value.get());
    let share = p_rule::most_n(field, ready, book);
    let need = |days: Days| (days, (gross - other - released(plan, field, days, ready, book)).max(0.0) * share);
    Some(years.into_iter().map(need).collect())
}

/// Nitrogen that litter of earlier years gives in a growing year: by the grower's lines,
/// and by the log where no line speaks of the same year and kind.
fn released(plan: &FieldPlan, field: &Field, year: Days, ready: &Ready, book: &Book<'_>) -> f64 {
    let earlier = &field.written.earlier;
    let share = |kind: &str, of: i16| {
        let age = (i32::from(year.1.year()) - i32::from(of) + 1).to_string();
        book.get(topic::N_ORGANIC_AVAILABLE, &Scope::new().material(kind).year(age)).map_or(0.0, |f| f.value.get())
    };
    let lines =
        earlier.iter().map(|e| e.rate.value.get() * e.organic_n.value.get() * share(&e.kind.value, e.year.value));
    let begins = period::growing(field, ready, book).unwrap_or(JANUARY);
    let before = ready.happened.on_field(field.id(), What::Spread).filter(|e| e.date < year.0 && plan.acres > 0.0);
    let logged = before.filter_map(|entry| {
        let spread = log::spread(field, plan.acres, (entry.date, entry.date), ready, book);
        let lot = spread.iter().find(|s| entry.lot_id() == s.lot)?.of_lot(ready)?;
        let of = period::year_around(entry.date, begins).1.year();
        if earlier.iter().any(|e| e.year.value == of && e.kind.value == lot.kind) {
            return None;
        }
        let Contents::Analysis(a) = &lot.contents else { return None };
        let solids = held::solids(a);
        let mineral = a.ammonium_n.as_ref()?.value.get() + a.nitrate_n.as_ref().map_or(0.0, |n| n.value.get());
        let organic = (a.total_n.value.get() - mineral).max(0.0) * solids;
        Some(entry.amount.tons() / plan.acres * organic * share(&lot.kind, of))
    });
    lines.chain(logged).fold(0.0, |sum, one| sum + one)
}

/// Zinc or copper in the soil at or past the place's stop.
pub(super) fn metals_stop(field: &Field, book: &Book<'_>) -> bool {
    let Some(test) = &field.written.soil_test else {
        return false;
    };
    let forage = Scope::new().forage(&field.written.forage.value);
    [(&test.zinc, topic::SOIL_ZINC_STOP), (&test.copper, topic::SOIL_COPPER_STOP)].into_iter().any(|(value, topic)| {
        let (Some(value), Some(stop)) = (value, book.get(topic, &forage)) else { return false };
        let stop = stop.value;
        // On another scale nobody can tell, so it stops.
        value.value.on(stop.scale).zip(stop.on(stop.scale)).is_none_or(|(value, stop)| value >= stop)
    })
}
