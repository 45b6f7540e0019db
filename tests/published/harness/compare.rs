//! The program's answer held against the printed text.

use crate::Outcome;
use serde::Deserialize;
use serde_yaml::Value;
use sward::units::{self, Quantity};

/// What is expected of one answer.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Expected {
    printed: String,
    unit: Option<String>,
    within: Option<String>,
    because: Option<String>,
    differs: Option<Differs>,
}

/// A number on which source and program part, for a reason.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Differs {
    we_get: String,
    because: String,
}

/// What the program answered.
pub(crate) enum Answer {
    Number(f64, String),
    Word(String),
}

/// An expectation is the printed text alone, or a block with more.
pub(crate) fn expected(value: &Value) -> Outcome<Expected> {
    if let Value::String(printed) = value {
        return Ok(Expected { printed: printed.clone(), unit: None, within: None, because: None, differs: None });
    }
    let expected: Expected =
        serde_yaml::from_value(value.clone()).map_err(|e| format!("expect: {e} (a printed text goes in quotes)"))?;
    if expected.within.is_some() != expected.because.is_some() {
        return Err("`within` and `because` go together".to_string());
    }
    match &expected.differs {
        Some(differs) if differs.because.trim().is_empty() => Err("`differs` without a reason".to_string()),
        _ => Ok(expected),
    }
}

/// Holds an answer against the printed text. The line for the list when they
/// stand as the case says.
pub(crate) fn compare(ours: &Answer, expected: &Expected) -> Outcome<String> {
    let (ours, ours_unit) = match ours {
        Answer::Word(word) if word.eq_ignore_ascii_case(&expected.printed) => {
            return Ok(format!("printed {} | ours {word} | same", expected.printed));
        }
        Answer::Word(word) => return Err(format!("printed `{}`, ours `{word}`", expected.printed)),
        Answer::Number(value, unit) => (*value, unit),
    };
    let unit = expected.unit.as_deref().unwrap_or(ours_unit);
    let (printed, slack) = span(&expected.printed, expected.within.as_deref(), unit, ours_unit)?;
    let agrees = near(ours, printed, slack);
    let line =
        format!("printed {} {unit} | ours {ours:.4} {ours_unit} | off by {:+.4}", expected.printed, ours - printed);
    let Some(differs) = &expected.differs else {
        return if agrees { Ok(line) } else { Err(format!("{line}, more than {slack}")) };
    };
    if agrees {
        return Err(format!("{line}: we agree now; take `differs` out"));
    }
    let (we_get, slack) = span(&differs.we_get, None, unit, ours_unit)?;
    match near(ours, we_get, slack) {
        true => Ok(format!("{line}, as `differs` says: {}", differs.because)),
        false => Err(format!("{line}, and `differs` says that we get {}", differs.we_get)),
    }
}

/// A printed number and half a unit of its last digit, in the answer's unit.
fn span(printed: &str, within: Option<&str>, unit: &str, into: &str) -> Outcome<(f64, f64)> {
    let decimals = printed.split_once('.').map_or(0, |(_, after)| after.len());
    let half = format!("0.{}5", "0".repeat(decimals));
    let plain = |text: &str| units::number(text).ok_or(format!("`{text}` is no number"));
    let turned = |text: &str| match unit == into {
        true => plain(text),
        false => Ok(kept(quantity_in(into)?, &format!("{text} {unit}"))?.0),
    };
    let value = turned(printed)?;
    // A slack may be smaller than anything that the quantity can be, so it is turned as the value is.
    let per_unit = if plain(printed)? == 0.0 { turned("1")? } else { value / plain(printed)? };
    Ok((value, plain(within.unwrap_or(&half))? * per_unit))
}

/// Within the slack, but for what a float cannot tell.
fn near(ours: f64, printed: f64, slack: f64) -> bool {
    (ours - printed).abs() <= slack + 1e-9 * printed.abs().max(1.0)
}

/// A text as the program keeps it: the number in the quantity's own unit.
pub(crate) fn kept(quantity: &str, text: &str) -> Outcome<(f64, &'static str)> {
    fn by<Q: Quantity>(text: &str) -> Outcome<(f64, &'static str)> {
        match units::quantity::<Q>(text) {
            Ok(value) => Ok((value.get(), Q::UNIT)),
            Err(refusal) => Err(format!("`{text}` is refused: {refusal:?}")),
        }
    }
    match quantity {
        "area" => by::<units::Acres>(text),
        "distance" => by::<units::Feet>(text),
        "length" => by::<units::Length>(text),
        "volume" => by::<units::CubicFeet>(text),
        "weight" => by::<units::Weight>(text),
        "density" => by::<units::Density>(text),
        "way" => by::<units::Miles>(text),
        "speed" => by::<units::MilesPerHour>(text),
        "tons" => by::<units::Tons>(text),
        "rate" => by::<units::TonsPerAcre>(text),
        "content" => by::<units::LbPerTon>(text),
        "nutrient per acre" => by::<units::LbPerAcre>(text),
        "trace content" => by::<units::Ppm>(text),
        "price of a pound" => by::<units::DollarsPerLb>(text),
        "price of a ton" => by::<units::DollarsPerTon>(text),
        other => Err(format!("the harness knows no quantity `{other}`")),
    }
}

/// The quantity whose own unit this is, to turn a printed unit into it.
pub(crate) fn quantity_in(unit: &str) -> Outcome<&'static str> {
    let all = [
        ("ac", "area"),
        ("ft", "length"),
        ("ft3", "volume"),
        ("lb", "weight"),
        ("lb/ft3", "density"),
        ("miles", "way"),
        ("mph", "speed"),
        ("tons", "tons"),
        ("tons/ac", "rate"),
        ("lb/ton", "content"),
        ("lb/ac", "nutrient per acre"),
        ("ppm", "trace content"),
    ];
    all.iter()
        .find(|(u, _)| *u == unit)
        .map(|(_, q)| *q)
        .ok_or(format!("the answer is in `{unit}`, which is not turned into others"))
}
