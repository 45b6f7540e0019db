//! Soil loss, zinc and copper calculated again.

use crate::audit::held;
use crate::audit::log::{self, LimitLoad};
use crate::audit::period;
use crate::audit::under;
use crate::check::{Contents, Field, Lot, Ready};
use crate::plan::answer::FieldPlan;
use crate::record::What;
use crate::tables::{Book, Classes, Of, Rate, Scope, topic};
use crate::units::{Percent, Quantity, number};
use jiff::civil::Date;

/// Far below any limit in use.
const SLACK: f64 = 1e-3;

pub(super) fn check(field: &Field, ready: &Ready, book: &Book<'_>, say: &mut dyn FnMut(String)) {
    let most = book.get(topic::SOIL_LOSS_MOST, &Scope::new()).map_or(f64::INFINITY, |f| f.value.get());
    // A slope counted by points is not the measured one to the last figure.
    let mapped = field.written.erosion.as_ref().is_some_and(|e| e.slope.is_none());
    let slack = if mapped { 0.05 * most } else { SLACK };
    if let Some(loss) = soil_loss(field, ready, book).filter(|loss| *loss > most + slack) {
        say(format!("it loses {loss:.2} tons/ac of soil, over {most:.2}, and gets litter"));
    }
}

/// Zinc and copper of log and plan in any twelve months: those that end with a day on
/// which something goes on.
pub(super) fn metal_loads(
    plan: &FieldPlan,
    field: &Field,
    ready: &Ready,
    book: &Book<'_>,
    log_alone: bool,
) -> Vec<LimitLoad> {
    let topics = [(topic::ZINC_LOAD_YEAR, "zinc", true), (topic::COPPER_LOAD_YEAR, "copper", false)];
    let metal_of = |lot: &str, zinc| ready.lot(lot).map_or(0.0, |lot| metal(lot, zinc));
    let logged = ready.happened.on_field(field.id(), What::Spread).map(|e| e.date);
    let ends = match log_alone {
        true => period::ends_of_log(plan, ready, log::dates(field, plan.acres, ready, book).into_iter()),
        false => period::ends_of_plan(plan, ready, logged),
    };
    let mut loads = Vec::new();
    for (topic, name, zinc) in topics {
        let Some(most) = book.get(topic, &Scope::new()) else { continue };
        for day in &ends {
            let (first, _) = period::twelve_months_to(*day);
            let list = log::spread(field, plan.acres, (first, *day), ready, book);
            let mine = plan.applications.iter().filter(|a| first <= a.last && a.first <= *day);
            loads.push(LimitLoad {
                what: format!("lb/ac of {name} in the twelve months to {day} where the most is"),
                last: log::last_day(&list),
                logged: log::densest(&list, &|s| s.rate * s.of_lot(ready).map_or(0.0, |lot| metal(&lot, zinc))),
                planned: mine.map(|a| a.rate * metal_of(&a.lot, zinc)).fold(0.0, |sum, one| sum + one),
                allowed: most.value.get(),
            });
        }
    }
    loads
}

/// Zinc and copper that all of the log and the plan put on, whenever it was.
pub(super) fn metals_ever(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>) -> Vec<LimitLoad> {
    let all = log::spread(field, plan.acres, (Date::MIN, Date::MAX), ready, book);
    let of = |(name, zinc): (&str, bool)| {
        let planned = plan.applications.iter().map(|a| a.rate * ready.lot(&a.lot).map_or(0.0, |lot| metal(lot, zinc)));
        Some(LimitLoad {
            what: format!("lb/ac of {name} in all years where the most is"),
            last: log::last_day(&all),
            logged: log::densest(&all, &|s| s.rate * s.of_lot(ready).map_or(0.0, |lot| metal(&lot, zinc))),
            planned: planned.fold(0.0, |sum, one| sum + one),
            allowed: book.get(topic::METAL_LOAD_TOTAL, &ready.scope(field).nutrient(name))?.value.get(),
        })
    };
    [("zinc", true), ("copper", false)].into_iter().filter_map(of).collect()
}

/// Pounds of zinc or copper in a ton as spread.
fn metal(lot: &Lot, zinc: bool) -> f64 {
    let Contents::Analysis(a) = &lot.contents else { return 0.0 };
    let ppm = if zinc { &a.zinc } else { &a.copper };
    let solids = held::solids(a);
    ppm.as_ref().map_or(0.0, |p| p.value.get() * solids * 2_000.0 / 1_000_000.0)
}

/// The Universal Soil Loss Equation in one line.
fn soil_loss(field: &Field, ready: &Ready, book: &Book<'_>) -> Option<f64> {
    let e = field.written.erosion.as_ref()?;
    let step = |topic: Of<Classes<Percent>>, at: f64| {
        number(book.get(topic, &Scope::new())?.value.class_of(Percent::new(at).ok()?)?)
    };
    let slope = match &e.slope {
        Some(slope) => slope.value.get(),
        None => under::mean(field, ready, |soil| soil.slope.as_ref().map(|s| s.value.get()))?,
    };
    let sine = (slope / 100.0).atan().sin();
    let by_slope = match book.get(topic::SOIL_LOSS_SLOPE, &Scope::new())?.value {
        Rate::Curve { a, b, c, .. } => a * sine * sine - b * sine + c,
        Rate::Flat(factor) => factor.get(),
    };
    let by_length = (e.length.value.get() / book.get(topic::SOIL_LOSS_LENGTH, &Scope::new())?.value.get())
        .powf(step(topic::SOIL_LOSS_EXPONENT, slope)?);
    let cover = step(topic::SOIL_LOSS_COVER, e.cover.value.get())?;
    Some(e.rain.value * e.erodibility.value * by_length * by_slope * cover)
}
