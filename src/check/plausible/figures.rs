//! Figures that the farm gives itself.

use crate::check::plausible::rows::{DECIMAL, Judge, JudgedValue, Overrule, shown};
use crate::farm::WrittenFigure;
use crate::tables::{Scope, Thing, Topic};
use crate::units::{self, SoilScale};

pub(super) fn figure(figure: &WrittenFigure, rows: &mut Judge<'_>) {
    let (key, unit) = (figure.topic.value.as_str(), figure.unit.as_str());
    let units = Topic::named(key).map(Topic::units).unwrap_or_default();
    let Some(factor) = units::factor(units, unit) else { return };
    // The bands are in the unit in which the values are kept; those of soil tests
    // are kept on the scale of their laboratory.
    let scale = SoilScale::named(unit).filter(|_| units.iter().any(|(name, _)| *name == SoilScale::Index.word()));
    let kept = units.iter().filter(|(_, factor)| *factor == 1.0).map(|(name, _)| *name);
    let kept: Vec<&str> = match scale {
        Some(scale) => vec![scale.word()],
        None => kept.map(|name| name.split(" per ").next().unwrap_or(name)).collect(),
    };
    let scope = Scope::new().topic(key);
    let banded = |name: &&&str| rows.book.band(Thing::SaidFigure, name, &scope).is_some();
    let Some(kept) = kept.iter().find(banded) else { return };
    let says = format!("the figure: {key} is {}", shown(figure.value.value, unit));
    let row = JudgedValue::new(
        Thing::SaidFigure,
        (figure.value.value * factor, kept),
        says,
        &figure.value.place,
        Overrule::Never,
    );
    rows.judge(&row.scope(&scope).slips(&[DECIMAL]));
}
