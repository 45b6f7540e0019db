//! Nitrogen and phosphorus calculated again, straight from the farm's lines and
//! the tables, as a total per acre instead of a rate per ton.

use crate::audit::fault::fault;
use crate::audit::goal::yield_goal;
use crate::audit::log::{self, LimitLoad};
use crate::audit::{season, soil};
use crate::check::{Contents, Field, Lot, Ready};
use crate::farm::{Basis, Use};
use crate::findings::Findings;
use crate::plan::answer::FieldPlan;
use crate::record::What;
use crate::tables::{Book, Of, Rate, Scope, topic};
use crate::units::{Quantity, TonsPerAcre};

/// A thousandth of a pound an acre: sums of a few products stray far less.
const SLACK: f64 = 1e-3;

/// Two figures that are shown alike.
const SHOWN: f64 = 0.05;

pub(super) fn check(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    let mut say = |what: String| findings.push(fault("nutrients", format!("field {}: {what}", plan.id)));
    if plan.applications.is_empty() {
        return;
    }
    if !field.bars.is_empty() || metals_stop(field, book) {
        say("it gets litter where none is allowed".to_string());
    }
    if nitrogen_need(plan, field, ready, book).is_none() {
        return say("no nitrogen figure".to_string());
    }
    for load in loads(plan, field, ready, book) {
        let on = load.logged + load.planned;
        // What the log alone is over is no fault of the plan.
        if load.planned > 0.0 && on > load.allowed + SLACK {
            say(format!("{on:.2} {} {:.2}", load.what, load.allowed));
        }
    }
    soil::check(field, ready, book, &mut say);
    for a in &plan.applications {
        let lot = ready.lot(&a.lot);
        at_once((lot, Some(&a.season), a.rate), ("at once", SLACK), field, ready, book, &mut say);
    }
}

/// Where the log alone is over a limit, whatever the plan adds.
pub(super) fn log_over(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>) -> Findings {
    let mut findings = Findings::new();
    let mut say = |what: String| findings.push(fault("log-over", format!("field {}: the log puts on {what}", plan.id)));
    let logged = log::spread(field, plan.acres, (ready.from, ready.to), ready, book);
    if !logged.is_empty() && (!field.bars.is_empty() || metals_stop(field, book)) {
        say("litter where none is allowed".to_string());
    }
    for load in loads(plan, field, ready, book).iter().filter(|l| l.logged > l.allowed + SHOWN) {
        say(format!("{:.2} {} {:.2}", load.logged, load.what, load.allowed));
    }
    for s in &logged {
        let when = format!("at once on {}", s.date);
        let lot = s.of_lot(ready);
        at_once((lot.as_deref(), s.season.as_deref(), s.rate), (&when, SHOWN), field, ready, book, &mut say);
    }
    findings
}

/// Every limit that all of log and plan together must keep.
fn loads(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>) -> Vec<LimitLoad> {
    let logged = |days| log::spread(field, plan.acres, days, ready, book);
    let year = logged((ready.from, ready.to));
    let of = |lot: &str, season: Option<&str>| holds(ready.lot(lot)?, field, season, ready, book);
    let on = |list: &[log::LoggedSpread], pick: fn((f64, f64)) -> f64| {
        let held = |s: &log::LoggedSpread| holds(s.of_lot(ready)?.as_ref(), field, s.season.as_deref(), ready, book);
        log::densest(list, &|s| s.rate * held(s).map_or(0.0, pick))
    };
    let put = |season: Option<&str>, pick: fn((f64, f64)) -> f64| -> f64 {
        let mine = plan.applications.iter().filter(|a| season.is_none_or(|s| s == a.season));
        mine.filter_map(|a| Some(a.rate * pick(of(&a.lot, Some(&a.season))?))).fold(0.0, |sum, one| sum + one)
    };
    let load = |what: &str, logged, planned, allowed| LimitLoad { what: what.to_string(), logged, planned, allowed };
    let mut loads = Vec::new();
    if let Some(need) = nitrogen_need(plan, field, ready, book) {
        let n: fn((f64, f64)) -> f64 = |(n, _)| n;
        loads.push(load("lb/ac of nitrogen where the crop needs", on(&year, n), put(None, n), need));
        let scope = ready.scope(field);
        for (season, _) in book.seasons(&scope) {
            let Some(share) = book.get(topic::N_SPLIT, &scope.clone().season(&season)) else { continue };
            let spans = season::spans(&season, field, ready, book);
            let before: f64 = spans.into_iter().map(|days| on(&logged(days), n)).sum();
            let what = "lb/ac of nitrogen in one season, which may take";
            loads.push(load(what, before, put(Some(&season), n), need * share.value.get()));
        }
    }
    if let Some(allowed) = p2o5_allowed(plan, field, ready, book) {
        let what = "lb/ac of P2O5 where the most is";
        loads.push(load(what, on(&year, |(_, p)| p), put(None, |(_, p)| p), allowed));
    }
    let lots = plan.applications.iter().map(|a| &a.lot).chain(year.iter().map(|s| &s.lot));
    let caps = lots.map(|lot| most(topic::RATE_MOST_YEAR, lot, field, ready, book));
    let cap = caps.chain(field.written.most.as_ref().map(|m| m.value.get())).fold(f64::INFINITY, f64::min);
    let planned = plan.applications.iter().map(|a| a.rate).fold(0.0, |sum, one| sum + one);
    loads.push(load("tons/ac where the most is", log::densest(&year, &|s| s.rate), planned, cap));
    loads.extend(soil::metal_loads(plan, &year, ready, book));
    loads
}

/// The most of one application, planned or logged: nitrogen, and tons of its kind of litter.
fn at_once(
    (lot, season, rate): (Option<&Lot>, Option<&str>, f64),
    (when, slack): (&str, f64),
    field: &Field,
    ready: &Ready,
    book: &Book<'_>,
    say: &mut dyn FnMut(String),
) {
    let n_most = book.get(topic::N_AT_ONCE, &ready.scope(field)).map_or(f64::INFINITY, |f| f.value.get());
    let n = lot.and_then(|lot| holds(lot, field, season, ready, book)).map_or(0.0, |(n, _)| n * rate);
    if n > n_most + slack {
        say(format!("{n:.2} lb/ac of nitrogen {when}, which may be {n_most:.2}"));
    }
    let most = most(topic::RATE_MOST, lot.map_or("", |lot| &lot.id), field, ready, book);
    if rate > most + slack {
        say(format!("{rate:.2} tons/ac {when}, which may be {most:.2}"));
    }
}

/// The most tons per acre of a lot's kind of litter.
fn most(topic: Of<TonsPerAcre>, lot: &str, field: &Field, ready: &Ready, book: &Book<'_>) -> f64 {
    let scope = ready.scope(field).material(ready.lot(lot).map(|lot| &lot.kind));
    book.get(topic, &scope).map_or(f64::INFINITY, |f| f.value.get())
}

/// Available nitrogen and phosphate in a ton of a lot as spread, lb.
pub(super) fn holds(
    lot: &Lot,
    field: &Field,
    season: Option<&str>,
    ready: &Ready,
    book: &Book<'_>,
) -> Option<(f64, f64)> {
    let scope = field.availability(lot, ready.large, season);
    let share = book.get(topic::N_AVAILABLE, &scope).map(|f| f.value.get());
    match &lot.contents {
        Contents::Typical(typical) => Some((typical.total_n.value.get() * share?, typical.p2o5.value.get())),
        Contents::Analysis(a) => {
            let solids = if a.basis.value == Basis::Dry { (100.0 - a.moisture.value.get()) / 100.0 } else { 1.0 };
            // 141.9446 g of P2O5 hold 61.9476 g of P.
            let oxide = if a.p.oxide { 1.0 } else { 141.944_6 / 61.947_6 };
            let by_pools = book.by_pools(&scope) && a.ammonium_n.is_some();
            let n = match share.filter(|_| !by_pools) {
                Some(share) => a.total_n.value.get() * share,
                None => {
                    let get = |part: &Option<crate::findings::At<crate::units::LbPerTon>>| {
                        part.as_ref().map_or(0.0, |p| p.value.get())
                    };
                    let (ammonium, nitrate) = (get(&a.ammonium_n), get(&a.nitrate_n));
                    let organic = book.get(topic::N_ORGANIC_AVAILABLE, &scope)?.value.get();
                    let kept = book.get(topic::N_AMMONIUM_KEPT, &scope)?.value.get();
                    (a.total_n.value.get() - ammonium - nitrate) * organic + ammonium * kept + nitrate
                }
            };
            Some((n * solids, a.p.value.value.get() * oxide * solids))
        }
    }
}

pub(super) fn nitrogen_need(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>) -> Option<f64> {
    let written = &field.written;
    let scope = ready.scope(field);
    let legume = written.legume.as_ref().map_or(0.0, |l| l.value.get());
    let none = book.get(topic::N_LEGUME_NONE, &scope);
    if written.legume.is_some() && none.is_some_and(|f| legume >= f.value.get()) {
        return Some(0.0);
    }
    let cut = match written.usage.value {
        Use::Hay => 0.0,
        Use::Pasture | Use::HayThenGrazed => book.get(topic::N_GRAZING_CUT, &scope).map_or(0.0, |f| f.value.get()),
    };
    let goal = yield_goal(plan, field, book)?;
    let by_yield = book.get(topic::N_PER_TON, &scope).map(|f| f.value.get() * goal * (1.0 - cut));
    let by_rate = book.get(topic::N_RATE, &scope).map(|f| f.value.get());
    let gross = match (by_yield, by_rate) {
        (Some(a), Some(b)) => a.min(b),
        (a, b) => a.or(b)?,
    };
    let other = written.other_n.as_ref().map_or(0.0, |o| o.value.get());
    let released: f64 = written
        .earlier
        .iter()
        .filter_map(|e| {
            let year = (i32::from(ready.from.year()) - i32::from(e.year.value) + 1).to_string();
            let scope = Scope::new().material(&e.kind.value).year(year);
            let released = book.get(topic::N_ORGANIC_AVAILABLE, &scope)?.value.get();
            Some(e.rate.value.get() * e.organic_n.value.get() * released)
        })
        .sum();
    Some((gross - other - released).max(0.0))
}

/// Phosphate allowed, lb/ac; none where nitrogen alone caps the rate.
pub(super) fn p2o5_allowed(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>) -> Option<f64> {
    let written = &field.written;
    if rests(field, ready) {
        return Some(0.0);
    }
    let rated = written.rating.as_ref().map(|r| r.rating.value.key());
    let by_rating = rated.and_then(|r| book.get(topic::P_BASIS_RATING, &Scope::new().rating(r))).map(|w| w.value);
    let by_test = written.soil_test.as_ref().and_then(|test| {
        let basis = book.get(topic::P_BASIS_TEST, &ready.soil_scope(field))?.value;
        // On another scale nobody can tell, so it allows nothing.
        Some(basis.class_of(test.p.value).unwrap_or_default().to_string())
    });
    let words: Vec<String> = by_rating.into_iter().chain(by_test).collect();
    if words.is_empty() {
        return Some(asked_by_test(field, ready, book, true).unwrap_or(0.0));
    }
    // The strictest word holds; a word nobody knows allows nothing.
    if words.iter().any(|w| w != "nitrogen" && w != "removal") {
        return Some(0.0);
    }
    words.iter().any(|w| w == "removal").then(|| removal(plan, field, ready, book).unwrap_or(0.0))
}

/// Whether an earlier spreading is still being carried off, on whatever basis.
fn rests(field: &Field, ready: &Ready) -> bool {
    field.written.banked_until.as_ref().is_some_and(|u| u.value >= ready.from.year())
}

/// Phosphate of as many years of removal as are allowed at once, lb/ac.
fn removal(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>) -> Option<f64> {
    let written = &field.written;
    let scope = ready.scope(field);
    let mut carried = yield_goal(plan, field, book)? * book.get(topic::P2O5_PER_TON, &scope)?.value.get();
    if written.usage.value == Use::Pasture {
        carried *= book.get(topic::GRAZING_KEEPS, &scope.nutrient("p2o5")).map_or(1.0, |f| f.value.get());
    }
    let rating = written.rating.as_ref().map(|r| r.rating.value.key()).unwrap_or_default();
    let most = book.get(topic::P_BANK_YEARS, &Scope::new().rating(rating)).map_or(1.0, |f| f.value.get());
    let at_once = carried * written.bank_years.as_ref().map_or(1.0, |y| f64::from(y.value).min(most));
    Some((at_once - left_of_earlier_years(plan, field, carried, ready, book)).max(0.0))
}

/// Phosphate of earlier years that is not carried off when the plan's year begins:
/// whichever year one starts from, what went on since less what came off since.
fn left_of_earlier_years(plan: &FieldPlan, field: &Field, a_year: f64, ready: &Ready, book: &Book<'_>) -> f64 {
    let (from, rested) = (ready.from.year(), field.written.banked_until.as_ref().map_or(i16::MIN, |u| u.value));
    let mut years: Vec<i16> = ready.happened.on_field(field.id(), What::Spread).map(|e| e.date.year()).collect();
    years.retain(|year| *year < from && *year > rested);
    years.sort_unstable_by(|a, b| b.cmp(a));
    years.dedup();
    let (mut on, mut most) = (0.0, 0.0_f64);
    for year in years {
        let day = |month, day| jiff::civil::Date::new(year, month, day).unwrap_or(ready.from);
        let logged = log::spread(field, plan.acres, (day(1, 1), day(12, 31)), ready, book);
        let p2o5 = |s: &log::LoggedSpread| holds(s.of_lot(ready)?.as_ref(), field, None, ready, book);
        on += log::densest(&logged, &|s| s.rate * p2o5(s).map_or(0.0, |(_, p)| p));
        most = most.max(on - a_year * f64::from(from - year));
    }
    most
}

/// Phosphate, or else potash, that the soil test asks for, lb/ac.
pub(super) fn asked_by_test(field: &Field, ready: &Ready, book: &Book<'_>, phosphate: bool) -> Option<f64> {
    let test = field.written.soil_test.as_ref()?;
    if phosphate && rests(field, ready) {
        return Some(0.0);
    }
    let (value, classes, need) = if phosphate {
        (test.p.value, topic::SOIL_P_CLASS, topic::P2O5_NEED)
    } else {
        (test.k.value, topic::SOIL_K_CLASS, topic::K2O_NEED)
    };
    let classes = book.get(classes, &ready.soil_scope(field)).map(|classes| classes.value);
    let class = classes.as_ref().and_then(|classes| classes.class_of(value)).map(crate::text::key_of);
    let (a, b, c, over) = match book.get(need, &ready.scope(field).class(class))?.value {
        Rate::Flat(rate) => return Some(rate.get()),
        Rate::Curve { a, b, c, over } => (a, b, c, over),
    };
    let value = value.on(over?)?;
    // Past its lowest point the parabola would turn up again.
    let past = a > 0.0 && value > b / (2.0 * a);
    let asked = if past { c - b * b / (4.0 * a) } else { a * value * value - b * value + c };
    Some(asked.max(0.0))
}

/// Zinc or copper in the soil at or past the place's stop.
fn metals_stop(field: &Field, book: &Book<'_>) -> bool {
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
