//! Nitrogen and phosphorus calculated again, straight from the farm's lines and
//! the tables, as a total per acre instead of a rate per ton.

use crate::audit::{fault, season, soil};
use crate::check::{Contents, Field, Lot, Ready};
use crate::farm::{Basis, Measure, Use};
use crate::findings::Findings;
use crate::plan::answer::FieldPlan;
use crate::tables::{Book, Of, Rate, Scope, topic};
use crate::units::{Quantity, TonsPerAcre};

/// A thousandth of a pound an acre: sums of a few products stray far less.
const SLACK: f64 = 1e-3;

pub(super) fn check(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    let mut say = |what: String| findings.push(fault("nutrients", format!("field {}: {what}", plan.id)));
    if plan.applications.is_empty() {
        return;
    }
    if !field.bars.is_empty() || metals_stop(field, book) {
        say("it gets litter where none is allowed".to_string());
    }
    // What the plan puts on and what the log shows, in the year or in the days
    // of one application's season.
    let loads = |season: Option<&str>, pick: fn((f64, f64)) -> f64| -> f64 {
        let spans = season.map_or_else(|| vec![(ready.from, ready.to)], |s| season::spans(s, field, ready, book));
        let now = plan.applications.iter().filter(|a| season.is_none_or(|s| s == a.season));
        let now = now.map(|a| (a.lot.as_str(), Some(a.season.as_str()), a.rate));
        let before = spans.iter().flat_map(|days| {
            let rate = |lot: &str| ready.spread_on(&plan.id, lot, Some(*days)).tons() / plan.acres;
            ready.lots.iter().map(move |l| (l.id.as_str(), None, rate(&l.id)))
        });
        let of = |lot: &str, season: Option<&str>| holds(ready.lot(lot)?, field, season, ready, book).map(pick);
        now.chain(before).filter_map(|(id, season, rate)| Some(rate * of(id, season)?)).sum()
    };
    let Some(need) = nitrogen_need(plan, field, ready, book) else {
        return say("no nitrogen figure".to_string());
    };
    let n = loads(None, |(n, _)| n);
    if n > need + SLACK {
        say(format!("{n:.2} lb/ac of nitrogen where the crop needs {need:.2}"));
    }
    for a in &plan.applications {
        let share = book.get(topic::N_SPLIT, &ready.scope(field).season(&a.season)).map_or(1.0, |s| s.value.get());
        let n = loads(Some(&a.season), |(n, _)| n);
        if n > need * share + SLACK {
            say(format!("{n:.2} lb/ac of nitrogen in one season, which may take {:.2}", need * share));
        }
    }
    let p2o5 = loads(None, |(_, p)| p);
    if let Some(allowed) = p2o5_allowed(plan, field, ready, book).filter(|allowed| p2o5 > allowed + SLACK) {
        say(format!("{p2o5:.2} lb/ac of P2O5 where {allowed:.2} is allowed"));
    }
    let spread = ready.lots.iter().map(|l| ready.spread_on(&plan.id, &l.id, None).tons() / plan.acres);
    let rate: f64 = plan.applications.iter().map(|a| a.rate).chain(spread).sum();
    let own = field.written.most.as_ref().map(|m| m.value.get());
    let mut caps = plan.applications.iter().map(|a| most(topic::RATE_MOST_YEAR, &a.lot, field, ready, book)).chain(own);
    if let Some(cap) = caps.find(|cap| rate > cap + SLACK) {
        say(format!("{rate:.2} tons/ac where {cap} is the most"));
    }
    soil::check(plan, field, ready, book, &mut say);
    at_once(plan, field, ready, book, &mut say);
}

/// The most of one application: nitrogen, and tons of its kind of litter.
fn at_once(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>, say: &mut dyn FnMut(String)) {
    let n_at_once = book.get(topic::N_AT_ONCE, &ready.scope(field)).map_or(f64::INFINITY, |f| f.value.get());
    for a in &plan.applications {
        let n = ready
            .lot(&a.lot)
            .and_then(|l| holds(l, field, Some(&a.season), ready, book))
            .map_or(0.0, |(n, _)| n * a.rate);
        if n > n_at_once + SLACK {
            say(format!("{n:.2} lb/ac of nitrogen at once, which may be {n_at_once:.2}"));
        }
        let most = most(topic::RATE_MOST, &a.lot, field, ready, book);
        if a.rate > most + SLACK {
            say(format!("{:.2} tons/ac at once, which may be {most:.2}", a.rate));
        }
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

/// The yield goal as stated, or the mean of the best years, tons/ac. That of
/// the mapped soils is counted by itself, in `under`.
pub(super) fn yield_goal(plan: &FieldPlan, field: &Field, book: &Book<'_>) -> Option<f64> {
    let written = &field.written;
    if !written.says_yield() {
        return Some(plan.goal.tons);
    }
    if let Some(goal) = &written.yield_goal {
        return Some(goal.value.get());
    }
    if written.yields.is_empty() {
        return written.survey_yield.as_ref().map(|s| s.value.get());
    }
    let best = book.get(topic::YIELD_BEST, &Scope::new())?.value.get();
    let of = book.get(topic::YIELD_OF, &Scope::new())?.value.get();
    let last = written.yields.iter().map(|y| y.year.value).max()?;
    let mut tons: Vec<f64> = written
        .yields
        .iter()
        .filter(|y| f64::from(y.year.value) > f64::from(last) - of)
        .map(|y| match &y.measure {
            Measure::Tons(t) => t.value.get(),
            Measure::Rolls { rolls, weight, moisture, acres } => {
                let dry_pounds = rolls.value * weight.value.get() * (100.0 - moisture.value.get()) / 100.0;
                dry_pounds / 2_000.0 / acres.value.get()
            }
        })
        .collect();
    tons.sort_by(|a, b| b.total_cmp(a));
    Some(tons.iter().take(best.max(0.0) as usize).sum::<f64>() / best)
}

/// Phosphate allowed, lb/ac; none where nitrogen alone caps the rate.
pub(super) fn p2o5_allowed(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>) -> Option<f64> {
    let written = &field.written;
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

/// Phosphate of as many years of removal as are allowed at once, lb/ac.
fn removal(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>) -> Option<f64> {
    let written = &field.written;
    if written.banked_until.as_ref().is_some_and(|u| u.value >= ready.from.year()) {
        return Some(0.0);
    }
    let scope = ready.scope(field);
    let mut carried = yield_goal(plan, field, book)? * book.get(topic::P2O5_PER_TON, &scope)?.value.get();
    if written.usage.value == Use::Pasture {
        carried *= book.get(topic::GRAZING_KEEPS, &scope.nutrient("p2o5")).map_or(1.0, |f| f.value.get());
    }
    let rating = written.rating.as_ref().map(|r| r.rating.value.key()).unwrap_or_default();
    let most = book.get(topic::P_BANK_YEARS, &Scope::new().rating(rating)).map_or(1.0, |f| f.value.get());
    Some(carried * written.bank_years.as_ref().map_or(1.0, |y| f64::from(y.value).min(most)))
}

/// Phosphate, or else potash, that the soil test asks for, lb/ac.
pub(super) fn asked_by_test(field: &Field, ready: &Ready, book: &Book<'_>, phosphate: bool) -> Option<f64> {
    let test = field.written.soil_test.as_ref()?;
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
