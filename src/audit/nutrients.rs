//! Nitrogen and phosphorus calculated again, straight from the farm's lines and
//! the tables, as a total per acre instead of a rate per ton.

use crate::audit::{fault, season, soil};
use crate::check::{Contents, Field, Lot, Ready};
use crate::farm::{Basis, Measure, Use};
use crate::findings::Findings;
use crate::plan::answer::FieldPlan;
use crate::tables::{Book, Shape, Topic};
use crate::units::Quantity;

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
    let words = field.scope();
    for a in &plan.applications {
        let mut scope = ready.scope(&words);
        scope.push(("season", &a.season));
        let share = book.number(Topic::NSplit, &scope).map_or(1.0, |s| s.value);
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
    let mut caps = plan.applications.iter().map(|a| most(Topic::RateMostYear, &a.lot, field, ready, book)).chain(own);
    if let Some(cap) = caps.find(|cap| rate > cap + SLACK) {
        say(format!("{rate:.2} tons/ac where {cap} is the most"));
    }
    soil::check(plan, field, ready, book, &mut say);
    at_once(plan, field, ready, book, &mut say);
}

/// The most of one application: nitrogen, and tons of its kind of litter.
fn at_once(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>, say: &mut dyn FnMut(String)) {
    let words = field.scope();
    let n_at_once = book.number(Topic::NAtOnce, &ready.scope(&words)).map_or(f64::INFINITY, |f| f.value);
    for a in &plan.applications {
        let n = ready
            .lot(&a.lot)
            .and_then(|l| holds(l, field, Some(&a.season), ready, book))
            .map_or(0.0, |(n, _)| n * a.rate);
        if n > n_at_once + SLACK {
            say(format!("{n:.2} lb/ac of nitrogen at once, which may be {n_at_once:.2}"));
        }
        let most = most(Topic::RateMost, &a.lot, field, ready, book);
        if a.rate > most + SLACK {
            say(format!("{:.2} tons/ac at once, which may be {most:.2}", a.rate));
        }
    }
}

/// The most tons per acre of a lot's kind of litter.
fn most(topic: Topic, lot: &str, field: &Field, ready: &Ready, book: &Book<'_>) -> f64 {
    let words = field.scope();
    let mut scope = ready.scope(&words);
    scope.extend(ready.lot(lot).map(|lot| ("material", lot.kind.as_str())));
    book.number(topic, &scope).map_or(f64::INFINITY, |f| f.value)
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
    let share = book.number(Topic::NAvailable, &scope).map(|f| f.value);
    match &lot.contents {
        Contents::Typical(typical) => Some((typical.total_n.value * share?, typical.p2o5.value)),
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
                    let organic = book.number(Topic::NOrganicAvailable, &scope)?.value;
                    let kept = book.number(Topic::NAmmoniumKept, &scope)?.value;
                    (a.total_n.value.get() - ammonium - nitrate) * organic + ammonium * kept + nitrate
                }
            };
            Some((n * solids, a.p.value.value.get() * oxide * solids))
        }
    }
}

pub(super) fn nitrogen_need(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>) -> Option<f64> {
    let written = &field.written;
    let words = field.scope();
    let scope = ready.scope(&words);
    let legume = written.legume.as_ref().map_or(0.0, |l| l.value.get());
    let none = book.number(Topic::NLegumeNone, &[("forage", &words.forage)]);
    if written.legume.is_some() && none.is_some_and(|f| legume >= f.value) {
        return Some(0.0);
    }
    let cut = match written.usage.value {
        Use::Hay => 0.0,
        Use::Pasture | Use::HayThenGrazed => book.number(Topic::NGrazingCut, &scope).map_or(0.0, |f| f.value),
    };
    let goal = yield_goal(plan, field, book)?;
    let by_yield = book.number(Topic::NPerTon, &scope).map(|f| f.value * goal * (1.0 - cut));
    let by_rate = book.number(Topic::NRate, &scope).map(|f| f.value);
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
            let scope = [("material", e.kind.value.as_str()), ("year", year.as_str())];
            Some(e.rate.value.get() * e.organic_n.value.get() * book.number(Topic::NOrganicAvailable, &scope)?.value)
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
    let best = book.number(Topic::YieldBest, &[])?.value;
    let of = book.number(Topic::YieldOf, &[])?.value;
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
    let by_rating = rated.and_then(|r| book.words(Topic::PBasisRating, &[("rating", &r)])).map(|w| w.value);
    let by_test = written.soil_test.as_ref().and_then(|test| {
        let steps = book.steps(Topic::PBasisTest, &ready.soil_scope(field))?;
        steps.value.into_iter().find(|s| s.up_to.is_none_or(|u| test.p.value.value <= u)).map(|s| s.is)
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
    let words = field.scope();
    let mut scope = ready.scope(&words);
    let mut carried = yield_goal(plan, field, book)? * book.number(Topic::P2o5PerTon, &scope)?.value;
    if written.usage.value == Use::Pasture {
        scope.push(("nutrient", "p2o5"));
        carried *= book.number(Topic::GrazingKeeps, &scope).map_or(1.0, |f| f.value);
    }
    let rating = written.rating.as_ref().map(|r| r.rating.value.key()).unwrap_or_default();
    let most = book.number(Topic::PBankYears, &[("rating", &rating)]).map_or(1.0, |f| f.value);
    Some(carried * written.bank_years.as_ref().map_or(1.0, |y| f64::from(y.value).min(most)))
}

/// Phosphate, or else potash, that the soil test asks for, lb/ac.
pub(super) fn asked_by_test(field: &Field, ready: &Ready, book: &Book<'_>, phosphate: bool) -> Option<f64> {
    let test = field.written.soil_test.as_ref()?;
    let (value, classes, need) = if phosphate {
        (test.p.value.value, Topic::SoilPClass, Topic::P2o5Need)
    } else {
        (test.k.value.value, Topic::SoilKClass, Topic::K2oNeed)
    };
    let words = field.scope();
    let mut scope = ready.scope(&words);
    let class = book
        .steps(classes, &ready.soil_scope(field))
        .and_then(|steps| steps.value.into_iter().find(|s| s.up_to.is_none_or(|u| value <= u)))
        .map(|s| crate::text::key_of(&s.is));
    if let Some(class) = &class {
        scope.push(("class", class));
    }
    match book.shape(need, &scope)?.value {
        Shape::Number(n) => Some(n),
        // Past its lowest point the parabola would turn up again.
        Shape::Curve { a, b, c } if a > 0.0 && value > b / (2.0 * a) => Some((c - b * b / (4.0 * a)).max(0.0)),
        Shape::Curve { a, b, c } => Some((a * value * value - b * value + c).max(0.0)),
        _ => None,
    }
}

/// Zinc or copper in the soil at or past the place's stop.
fn metals_stop(field: &Field, book: &Book<'_>) -> bool {
    let Some(test) = &field.written.soil_test else {
        return false;
    };
    let forage = [("forage", field.written.forage.value.as_str())];
    [(&test.zinc, Topic::SoilZincStop), (&test.copper, Topic::SoilCopperStop)].into_iter().any(|(value, topic)| {
        let stop = book.number(topic, &forage);
        // In another unit nobody can tell, so it stops.
        matches!((value, stop), (Some(v), Some(s)) if v.value.unit != s.unit || v.value.value >= s.value)
    })
}
