//! What a ton of a lot holds, and what the soil test asks for, straight from the farm's
//! lines and the tables.

use crate::audit::period;
use crate::check::{Contents, Field, Lot, Ready};
use crate::farm::{Analysis, Basis, Recommended};
use crate::findings::{At, Known};
use crate::tables::{Book, Classes, Of, Rate, topic};
use crate::units::{LbPerAcre, Quantity, SoilValue};

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
            let solids = solids(a);
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

/// All nitrogen in a ton of a lot as spread, lb.
pub(super) fn all_n(lot: &Lot) -> f64 {
    match &lot.contents {
        Contents::Typical(typical) => typical.total_n.value.get(),
        Contents::Analysis(a) => a.total_n.value.get() * solids(a),
    }
}

/// Whether an earlier spreading is still being carried off, on whatever basis.
pub(super) fn rests(field: &Field, ready: &Ready) -> bool {
    field.written.banked_until.as_ref().is_some_and(|u| u.value >= period::begins(ready).year())
}

/// Phosphate, or else potash, that the soil test asks for, lb/ac.
pub(super) fn asked_by_test(field: &Field, ready: &Ready, book: &Book<'_>, phosphate: bool) -> Option<f64> {
    let test = field.written.soil_test.as_ref()?;
    if phosphate && rests(field, ready) {
        return Some(0.0);
    }
    let by_report = advised(field, |advice| if phosphate { advice.p2o5.as_ref() } else { advice.k2o.as_ref() });
    let tables = if phosphate {
        (test.p.value, topic::SOIL_P_CLASS, topic::P2O5_NEED)
    } else {
        (test.k.value, topic::SOIL_K_CLASS, topic::K2O_NEED)
    };
    let by_tables = by_tables(tables, field, ready, book);
    match by_report {
        // Only what the place prints for the crop itself, or the farm gives, is below a laboratory's word.
        Some(report) if phosphate => {
            let classes = book.get(tables.1, &ready.soil_scope(field)).map(|classes| classes.value);
            let class = classes.as_ref().and_then(|classes| classes.class_of(tables.0)).map(crate::text::key_of);
            let scope = ready.scope(field).class(class);
            let read = classes_known(tables.1, field, ready, book) <= Known::Said;
            let lowers = book.is_own(tables.2, &scope) && (read || !book.names(tables.2, &scope, "class"));
            Some(by_tables.filter(|_| lowers).map_or(report, |most| most.min(report)))
        }
        Some(report) => Some(report),
        None => by_tables,
    }
}

/// What the soil report in force recommends, lb/ac.
pub(super) fn advised(field: &Field, of: impl Fn(&Recommended) -> Option<&At<LbPerAcre>>) -> Option<f64> {
    let advice = field.written.soil_test.as_ref()?.recommended.as_ref()?;
    of(advice).map(|amount| amount.value.get())
}

/// How the bounds of the classes of a soil test are known.
fn classes_known(of: Of<Classes<SoilValue>>, field: &Field, ready: &Ready, book: &Book<'_>) -> Known {
    book.get(of, &ready.soil_scope(field)).map_or(Known::Read, |classes| classes.cite.known)
}

/// The same by the tables alone.
fn by_tables(
    (value, classes, need): (SoilValue, Of<Classes<SoilValue>>, Of<Rate<LbPerAcre>>),
    field: &Field,
    ready: &Ready,
    book: &Book<'_>,
) -> Option<f64> {
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

/// The part of a ton that is solids where an analysis is of those alone; else all of it.
pub(super) fn solids(a: &Analysis) -> f64 {
    if a.basis.value == Basis::Dry { (100.0 - a.moisture.value.get()) / 100.0 } else { 1.0 }
}
