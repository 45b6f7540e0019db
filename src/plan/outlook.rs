//! What the plan does to the soil: lime, zinc and copper, and where the soil
//! test is heading. All but lime are estimates.

use crate::balance::{Lime, Npk};
use crate::plan::answer::{Application, LimeRow, MetalRow, Outlook};
use crate::plan::field::Sight;
use crate::tables::{Step, Topic};

/// Lime for people.
pub(super) fn lime(sight: &Sight<'_>, lime: Lime) -> LimeRow {
    LimeRow {
        needed: sight.value(lime.needed),
        at_once: sight.value(lime.at_once),
        again_months: lime.again.map(|a| sight.value(a)),
    }
}

/// Zinc and copper of the plan, and the years to the place's stop when all of
/// the load stays in the soil.
pub(super) fn metals(sight: &Sight<'_>, applications: &[Application]) -> Vec<MetalRow> {
    let (Some(book), Some(test)) = (sight.book, &sight.field.written.soil_test) else { return Vec::new() };
    let forage = [("forage", sight.field.written.forage.value.as_str())];
    let by = [("extractant", test.extractant.value.as_str())];
    let metal = |name: &'static str, soil: Option<f64>, stop: Topic, unit: Topic, load: f64| {
        let stop = book.number(stop, &forage).map(|f| f.value);
        let per_unit = book.number(unit, &by).map(|f| f.value);
        let years = match (soil, stop, per_unit) {
            (Some(soil), Some(stop), Some(per_unit)) if load > 0.0 => Some(((stop - soil) * per_unit / load).max(0.0)),
            _ => None,
        };
        MetalRow { metal: name.to_string(), load, soil, stop, years }
    };
    let load = |zinc: bool| -> Option<f64> {
        applications
            .iter()
            .map(|a| {
                let lot = sight.ready.lots.iter().position(|l| l.id == a.lot)?;
                let supply = &sight.weighed.lots.get(lot)?.supply;
                let per_ton = if zinc { supply.zinc } else { supply.copper };
                Some(a.rate * sight.value(per_ton?))
            })
            .sum()
    };
    let soil = |value: &Option<crate::findings::At<crate::farm::SoilValue>>| value.as_ref().map(|v| v.value.value);
    let zinc = load(true).map(|l| metal("zinc", soil(&test.zinc), Topic::SoilZincStop, Topic::ZincPerUnit, l));
    let copper =
        load(false).map(|l| metal("copper", soil(&test.copper), Topic::SoilCopperStop, Topic::CopperPerUnit, l));
    zinc.into_iter().chain(copper).filter(|m| m.load > 0.0).collect()
}

/// Units of the soil test gained or lost in a year of this plan, and the years
/// until the next class: surplus over removal, by the place's pounds per unit.
pub(super) fn soil(sight: &Sight<'_>, on: Npk<f64>, removed: Npk<f64>) -> Vec<Outlook> {
    let (Some(book), Some(test)) = (sight.book, &sight.field.written.soil_test) else { return Vec::new() };
    let by = sight.ready.soil_scope(sight.field);
    let one = |of: &str, value: &crate::farm::SoilValue, classes: Topic, per_unit: Topic, surplus: f64| {
        let per_unit = book.number(per_unit, &by).filter(|f| f.value > 0.0)?.value;
        let per_year = surplus / per_unit;
        let steps = book.steps(classes, &by).map(|s| s.value).unwrap_or_default();
        let next = next_class(&steps, value.value, per_year);
        Some(Outlook {
            of: of.to_string(),
            per_year,
            unit: value.unit.to_string(),
            years: next.as_ref().map(|(edge, _)| (edge - value.value) / per_year),
            next_class: next.map(|(_, class)| class),
        })
    };
    let p = one("P", &test.p.value, Topic::SoilPClass, Topic::P2o5PerUnit, on.p2o5 - removed.p2o5);
    let k = one("K", &test.k.value, Topic::SoilKClass, Topic::K2oPerUnit, on.k2o - removed.k2o);
    p.into_iter().chain(k).collect()
}

/// The edge and the class that a value moves towards.
fn next_class(steps: &[Step], value: f64, per_year: f64) -> Option<(f64, String)> {
    let here = steps.iter().position(|s| s.up_to.is_none_or(|u| value <= u))?;
    if per_year > 0.0 {
        let edge = steps[here].up_to?;
        return Some((edge, steps.get(here + 1)?.is.clone()));
    }
    let below = steps.get(here.checked_sub(1)?)?;
    (per_year < 0.0).then_some((below.up_to?, below.is.clone()))
}
