//! What a column may hold, and one cell of it turned into what a person would
//! write: with the unit that farm.yaml states, or refused.

use crate::findings::{At, Finding, Findings};
use crate::text::{Column, DAY_FORMS, Sheet, day_in, measured, shown};
use crate::units::SoilScale;
use crate::units::{
    Density, LbPerAcre, LbPerThousandGallons, LbPerTon, Percent, Ppm, Quantity, TonsPerAcre, Yield, quantity,
};

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Takes {
    /// Words, as they stand.
    Words,
    /// A day.
    Day,
    /// A number that has no unit, such as a pH.
    Bare,
    /// Acidity, which may state its one unit.
    Acidity,
    /// A soil-test result.
    Soil,
    /// A share.
    Share,
    /// What a ton of litter holds.
    Content,
    /// What a gallon or a cubic foot weighs.
    Density,
    /// A trace.
    Trace,
    /// A yield of an acre.
    Yield,
    /// A nutrient on an acre.
    Nutrient,
    /// Lime on an acre.
    Lime,
}

/// How the unit of acidity is written.
const ACIDITY: [&str; 2] = ["meq/100 cm3", "meq/100cm3"];

impl Takes {
    /// The units that may be stated after ` in `; none at all is a unit of a
    /// column that may go without.
    pub(crate) fn units(self) -> Vec<&'static str> {
        fn of<Q: Quantity>() -> Vec<&'static str> {
            Q::SPELLINGS.iter().map(|(spelling, _)| *spelling).collect()
        }
        match self {
            Takes::Words | Takes::Bare => Vec::new(),
            Takes::Day => DAY_FORMS.to_vec(),
            Takes::Acidity => ACIDITY.to_vec(),
            Takes::Soil => SoilScale::SPELLINGS.iter().map(|(spelling, _)| *spelling).collect(),
            Takes::Share => of::<Percent>(),
            Takes::Density => of::<Density>(),
            Takes::Content => [of::<LbPerTon>(), of::<LbPerThousandGallons>()].concat(),
            Takes::Trace => [of::<Ppm>(), of::<LbPerThousandGallons>()].concat(),
            Takes::Yield => of::<Yield>(),
            Takes::Nutrient => of::<LbPerAcre>(),
            Takes::Lime => of::<TonsPerAcre>(),
        }
    }

    /// Whether the unit must be stated.
    pub(crate) fn needs_unit(self) -> bool {
        !matches!(self, Takes::Words | Takes::Day | Takes::Bare | Takes::Acidity)
    }

    /// Whether two spellings mean one unit of this.
    fn same(self, a: &str, b: &str) -> bool {
        fn one<Q: Quantity>(unit: &str) -> Option<f64> {
            quantity::<Q>(&format!("1 {unit}")).ok().map(Quantity::get)
        }
        fn both<Q: Quantity>(a: &str, b: &str) -> bool {
            one::<Q>(a).is_some() && one::<Q>(a) == one::<Q>(b)
        }
        match self {
            Takes::Words | Takes::Bare | Takes::Day => false,
            Takes::Acidity => ACIDITY.contains(&a),
            Takes::Soil => SoilScale::named(a).is_some() && SoilScale::named(a) == SoilScale::named(b),
            Takes::Share => both::<Percent>(a, b),
            Takes::Density => both::<Density>(a, b),
            Takes::Content => both::<LbPerTon>(a, b) || both::<LbPerThousandGallons>(a, b),
            Takes::Trace => both::<Ppm>(a, b) || both::<LbPerThousandGallons>(a, b),
            Takes::Yield => both::<Yield>(a, b),
            Takes::Nutrient => both::<LbPerAcre>(a, b),
            Takes::Lime => both::<TonsPerAcre>(a, b),
        }
    }

    /// Something sound in the place of a cell that was told already, so that
    /// the rest of its row can be looked at.
    pub(super) fn stand_in(self, unit: &str) -> String {
        match self {
            Takes::Words => "?".to_string(),
            Takes::Day => "2000-01-01".to_string(),
            Takes::Bare | Takes::Acidity => "7".to_string(),
            _ => format!("0 {unit}"),
        }
    }
}

/// The stated unit is one that the column can have.
pub(super) fn unit_fits(takes: Takes, column: &Column, unit: &str, findings: &mut Findings) -> bool {
    if unit.is_empty() && !takes.needs_unit() || takes.units().iter().any(|u| *u == unit || takes.same(unit, u)) {
        return true;
    }
    let (found, fix) = if unit.is_empty() {
        let unit = takes.units().first().copied().unwrap_or_default();
        let fix = format!("say the unit of the report, for example `{}: {} in {unit}`", column.key, column.name);
        (format!("`{}`: the unit of the column `{}` is not stated", column.key, column.name), fix)
    } else {
        let fix = "write the unit as on the laboratory's report".to_string();
        (format!("`{}` is not written in `{}`", column.key, shown(unit)), fix)
    };
    let accepts = match takes.units().as_slice() {
        [] => "no unit".to_string(),
        units => format!("one of {}", units.join(", ")),
    };
    findings.push(Finding::error("column-unit", &column.place, found).accepts(accepts).fix(fix));
    false
}

/// A filled cell as a person would write it under `soil_test:` or `analysis:`.
pub(super) fn cell(
    takes: Takes,
    column: &Column,
    unit: &str,
    cell: &At<String>,
    sheet: &Sheet,
    findings: &mut Findings,
) -> Option<String> {
    match takes {
        Takes::Words => return Some(cell.value.clone()),
        Takes::Day => return day_in(unit, cell, findings),
        _ => {}
    }
    let same = |own: &str| takes.same(own, unit);
    let digits = measured(column, unit, cell, sheet, &same, findings)?;
    Some(if takes.needs_unit() { format!("{digits} {unit}") } else { digits })
}
