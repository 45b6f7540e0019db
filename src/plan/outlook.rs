//! What the plan does to the soil: lime, zinc and copper, and where the soil
//! test is heading. All but lime are estimates.

use crate::balance::{Counts, Lime, Needed, Npk};
use crate::findings::{At, Known};
use crate::plan::answer::{Application, FieldKnown, LimeRow, MetalRow, Outlook};
use crate::plan::sight::Sight;
use crate::tables::{Classes, Of, PerUnit, Scope, topic};
use crate::units::SoilValue;

/// Lime for people.
pub(super) fn lime(sight: &Sight<'_>, lime: Lime) -> LimeRow {
    LimeRow {
        needed: sight.value(lime.needed),
        logged: lime.logged.map(|on| sight.value(on)),
        at_once: sight.value(lime.at_once),
        again_months: lime.again.map(|a| sight.value(a)),
    }
}

/// Zinc and copper of log and plan, and the years to the place's stop when all of
/// the load stays in the soil.
pub(super) fn metals(sight: &Sight<'_>, applications: &[Application]) -> Vec<MetalRow> {
    let (Some(book), Some(test)) = (sight.book, &sight.field().written.soil_test) else { return Vec::new() };
    let forage = Scope::new().forage(&sight.field().written.forage.value);
    let by = Scope::new().extractant(&test.extractant.value);
    let metal = |name: &str, soil: &Option<At<SoilValue>>, stop: Of<SoilValue>, unit: Of<PerUnit>, load: f64| {
        let soil = soil.as_ref().map(|soil| soil.value);
        let (stop, per_unit) = (book.get(stop, &forage), book.get(unit, &by));
        let known = stop.iter().map(|f| f.cite.known).chain(per_unit.iter().map(|f| f.cite.known)).max();
        let (stop, per_unit) = (stop.map(|f| f.value), per_unit.map(|f| f.value));
        // Only on one scale do the three come to years.
        let left = |soil: SoilValue, stop: SoilValue, per_unit: PerUnit| {
            Some((stop.on(soil.scale)? - soil.on(soil.scale)?) * per_unit.on(soil.scale)? / load)
        };
        let years = match (soil, stop, per_unit) {
            (Some(soil), Some(stop), Some(per_unit)) if load > 0.0 => left(soil, stop, per_unit).map(|y| y.max(0.0)),
            _ => None,
        };
        let number = |value: Option<SoilValue>| value.map(|value| value.shown().0);
        let known = known.unwrap_or_default();
        MetalRow { metal: name.to_string(), load, soil: number(soil), stop: number(stop), years, known }
    };
    let load = |counted: Counts| -> Option<f64> {
        let weighed = sight.weighed;
        let per_ton = |a: &Application| weighed.per_ton(weighed.lot(&a.lot)?, counted, None);
        let planned: Option<f64> = applications.iter().map(|a| Some(a.rate * per_ton(a)?)).sum();
        Some(planned? + weighed.told(counted).then(|| weighed.done_of(counted))?)
    };
    let zinc = load(Counts::Zinc).map(|l| metal("zinc", &test.zinc, topic::SOIL_ZINC_STOP, topic::ZINC_PER_UNIT, l));
    let copper = load(Counts::Copper);
    let copper = copper.map(|l| metal("copper", &test.copper, topic::SOIL_COPPER_STOP, topic::COPPER_PER_UNIT, l));
    zinc.into_iter().chain(copper).filter(|m| m.load > 0.0).collect()
}

/// Units of the soil test gained or lost in a year of this plan, and the years
/// until the next class: surplus over removal, by the place's pounds per unit; nothing where
/// what is carried off is not known.
pub(super) fn soil(
    sight: &Sight<'_>,
    (on, removed, years): (Npk<f64>, Needed, usize),
    known: &FieldKnown,
) -> Vec<Outlook> {
    let surplus = on.with(removed.get(), |on, off| Some(on / years.max(1) as f64 - off?));
    let (Some(book), Some(test)) = (sight.book, &sight.field().written.soil_test) else { return Vec::new() };
    let by = sight.ready.soil_scope(sight.field());
    // On, less what is carried off.
    let behind = known.done.with(known.supplied, Known::max).with(known.removed, Known::max);
    let one =
        |of: &str, value: SoilValue, classes: Of<Classes<SoilValue>>, per_unit: Of<PerUnit>, surplus: Option<f64>| {
            let per_unit = book.get(per_unit, &by)?;
            let per_year = surplus? / per_unit.value.on(value.scale)?;
            let (number, unit) = value.shown();
            let classes = book.get(classes, &by);
            let next = classes.as_ref().and_then(|classes| next_class(&classes.value, value, per_year));
            let behind = if of == "P" { behind.p2o5 } else { behind.k2o };
            Some(Outlook {
                known: behind.max(per_unit.cite.known).max(classes.map_or(Known::Read, |classes| classes.cite.known)),
                of: of.to_string(),
                per_year,
                unit: unit.to_string(),
                years: next.as_ref().map(|(edge, _)| (edge - number) / per_year),
                next_class: next.map(|(_, class)| class),
            })
        };
    let p = one("P", test.p.value, topic::SOIL_P_CLASS, topic::P2O5_PER_UNIT, surplus.p2o5);
    let k = one("K", test.k.value, topic::SOIL_K_CLASS, topic::K2O_PER_UNIT, surplus.k2o);
    p.into_iter().chain(k).collect()
}

/// The edge and the class that a value moves towards.
fn next_class(classes: &Classes<SoilValue>, value: SoilValue, per_year: f64) -> Option<(f64, String)> {
    let all: Vec<(Option<f64>, &str)> =
        classes.iter().map(|(end, is)| (end.and_then(|end| end.on(value.scale)), is)).collect();
    let here = classes.position(value)?;
    if per_year > 0.0 {
        return Some((all[here].0?, all.get(here + 1)?.1.to_string()));
    }
    let below = all.get(here.checked_sub(1)?)?;
    (per_year < 0.0).then_some((below.0?, below.1.to_string()))
}
