//! A field: its hay, its soil test, its slope.

use crate::check::plausible::rows::{DECIMAL, Judge, JudgedValue, Overrule, TONS, shown, tidy};
use crate::farm::{Erosion, HayAnalysis, Measure, SoilTest, Sure, WrittenField, YieldYear};
use crate::findings::At;
use crate::tables::{Scope, Thing};
use crate::units::Quantity;

pub(super) fn field(field: &WrittenField, acres: Option<f64>, rows: &mut Judge<'_>) {
    let whose = format!("field {}", field.id.value);
    let whose = whose.as_str();
    let sure = Overrule::Sure(field.sure.as_ref(), "the field");
    let forage = Scope::new().forage(&field.forage.value);
    for (key, goal) in [("yield_goal", &field.yield_goal), ("survey_yield", &field.survey_yield)] {
        if let Some(goal) = goal {
            rows.quantity(Thing::HayYield, &forage, (whose, key), goal, sure);
        }
    }
    for year in &field.yields {
        one_year(whose, &forage, year, acres, sure, rows);
    }
    rows.given(Thing::LegumeShare, (whose, "legume"), field.legume.as_ref(), sure);
    rows.given(Thing::OtherN, (whose, "other_n"), field.other_n.as_ref(), sure);
    if let Some(most) = field.most.as_ref().filter(|m| m.value.get() > 0.0) {
        rows.quantity(Thing::FieldMost, &Scope::new(), (whose, "most"), most, sure);
    }
    rows.given(Thing::WorkedIn, (whose, "worked_in"), field.worked_in.as_ref(), sure);
    for (_, miles) in &field.miles {
        rows.quantity(Thing::HaulMiles, &Scope::new(), (whose, "miles"), miles, sure);
    }
    for earlier in &field.earlier {
        rows.quantity(Thing::EarlierRate, &Scope::new(), (whose, "rate"), &earlier.rate, sure);
        rows.quantity(Thing::OrganicN, &Scope::new(), (whose, "organic_n"), &earlier.organic_n, sure);
    }
    if let Some(erosion) = &field.erosion {
        slope(whose, erosion, sure, rows);
    }
    for before in &field.before {
        let forage = Scope::new().forage(&field.forage_on(before.until.value).value);
        if let Some(goal) = &before.yield_goal {
            rows.quantity(Thing::HayYield, &forage, (whose, "yield_goal"), goal, sure);
        }
    }
    for analysis in field.hays.iter() {
        hay(whose, analysis, field.sure.as_ref(), rows);
    }
    for test in field.soil_tests.iter() {
        soil(whose, test, field.sure.as_ref(), rows);
    }
}

/// One year's yield; the sum of rolls only where its parts are usual.
fn one_year(
    whose: &str,
    forage: &Scope<'_>,
    year: &YieldYear,
    drawn: Option<f64>,
    sure: Overrule<'_>,
    rows: &mut Judge<'_>,
) {
    let whose = format!("{whose}, {}", year.year.value);
    let (rolls, weight, moisture, acres) = match &year.measure {
        Measure::Tons(tons) => {
            rows.quantity(Thing::HayYield, forage, (&whose, "tons"), tons, sure);
            return;
        }
        // Entries of the log are judged one by one.
        Measure::Logged { .. } => return,
        Measure::Rolls { rolls, weight, moisture, acres } => (rolls, weight, moisture, acres),
    };
    let mut usual = rows.quantity(Thing::RollWeight, &Scope::new(), (&whose, "roll_weight"), weight, sure).usual();
    usual &= rows.quantity(Thing::RollMoisture, &Scope::new(), (&whose, "moisture"), moisture, sure).usual();
    let off = acres.value.get();
    if let Some(drawn) = drawn {
        let value = off / drawn;
        let says = format!(
            "{whose}: the rolls came off {}, {} times the {} ac of the field",
            acres.value,
            tidy(value),
            tidy(drawn)
        );
        usual &= rows
            .judge(&JudgedValue::new(Thing::YieldAcres, (value, "times"), says, &acres.place, sure).slips(&[DECIMAL]))
            .usual();
    }
    if usual && off > 0.0 {
        let dry = 1.0 - moisture.value.get() / 100.0;
        let value = rolls.value * weight.value.get() * dry / 2_000.0 / off;
        let says = format!("{whose}: {} rolls come to {} of dry hay", tidy(rolls.value), shown(value, "tons/ac"));
        rows.judge(
            &JudgedValue::new(Thing::HayYield, (value, "tons/ac"), says, &rolls.place, sure)
                .scope(forage)
                .slips(&[TONS, DECIMAL]),
        );
    }
}

fn slope(whose: &str, erosion: &Erosion, sure: Overrule<'_>, rows: &mut Judge<'_>) {
    rows.given(Thing::FieldSlope, (whose, "slope"), erosion.slope.as_ref(), sure);
    rows.quantity(Thing::SlopeLength, &Scope::new(), (whose, "length"), &erosion.length, sure);
    rows.number((Thing::Erodibility, "factor"), (whose, "erodibility"), &erosion.erodibility, sure);
    rows.number((Thing::RainFactor, "factor"), (whose, "rain"), &erosion.rain, sure);
    rows.quantity(Thing::GrassCover, &Scope::new(), (whose, "cover"), &erosion.cover, sure);
}

fn hay(whose: &str, analysis: &HayAnalysis, field: Option<&Sure>, rows: &mut Judge<'_>) {
    let sure = Overrule::Sure(analysis.sure.as_ref().or(field), "the hay analysis or the field");
    let whose = format!("{whose}, hay analysis");
    rows.given(Thing::ForageProtein, (&whose, "protein"), analysis.protein.as_ref(), sure);
    rows.given(Thing::ForageP, (&whose, "p"), analysis.p.as_ref(), sure);
    rows.given(Thing::ForageK, (&whose, "k"), analysis.k.as_ref(), sure);
    rows.given(Thing::ForageMoisture, (&whose, "moisture"), Some(&analysis.moisture), sure);
}

fn soil(whose: &str, test: &SoilTest, field: Option<&Sure>, rows: &mut Judge<'_>) {
    let sure = Overrule::Sure(test.sure.as_ref().or(field), "the soil test or the field");
    let whose = format!("{whose}, soil test");
    let values = [
        (Thing::SoilP, "p", Some(&test.p)),
        (Thing::SoilK, "k", Some(&test.k)),
        (Thing::SoilMg, "mg", test.mg.as_ref()),
        (Thing::SoilZinc, "zinc", test.zinc.as_ref()),
        (Thing::SoilCopper, "copper", test.copper.as_ref()),
    ];
    for (thing, key, at) in values {
        let Some(At { value: soil, place }) = at else { continue };
        let (value, unit) = soil.shown();
        let says = format!("{whose}: `{key}` is {}", shown(value, unit));
        rows.judge(&JudgedValue::new(thing, (value, unit), says, place, sure).slips(&[DECIMAL]));
    }
    if let Some(advice) = &test.recommended {
        let whose = format!("{whose}, `recommended`");
        rows.given(Thing::RecommendedN, (&whose, "n"), advice.n.as_ref(), sure);
        rows.given(Thing::RecommendedP2o5, (&whose, "p2o5"), advice.p2o5.as_ref(), sure);
        rows.given(Thing::RecommendedK2o, (&whose, "k2o"), advice.k2o.as_ref(), sure);
        rows.given(Thing::RecommendedLime, (&whose, "lime"), advice.lime.as_ref(), sure);
    }
    for (thing, unit, key, at) in [
        (Thing::SoilPh, "pH", "ph", &test.ph),
        (Thing::BufferPh, "pH", "buffer_ph", &test.buffer_ph),
        (Thing::SoilAcidity, "meq/100 cm3", "acidity", &test.acidity),
    ] {
        if let Some(at) = at {
            rows.number((thing, unit), (&whose, key), at, sure);
        }
    }
}
