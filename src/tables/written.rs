//! The records of `reference/` as they are written, before they are checked.
//! Everything is optional here, so that each missing part is reported by
//! name instead of stopping the reading; and the small words in them.

use crate::findings::Known;
use crate::tables::{Band, MonthDay};
use jiff::civil::Date;
use serde::{Deserialize, Deserializer};
use std::collections::BTreeMap;

/// One source.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenSource {
    pub(super) title: Option<String>,
    pub(super) publisher: Option<String>,
    pub(super) year: Option<serde_yaml::Value>,
    pub(super) address: Option<String>,
    #[serde(rename = "note")]
    pub(super) _note: Option<String>,
}

/// One place.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenPlace {
    pub(super) name: Option<String>,
    pub(super) within: Option<String>,
    pub(super) decides: Option<String>,
    #[serde(default)]
    pub(super) regions: Vec<String>,
    pub(super) soil_test: Option<WrittenSoilTest>,
    #[serde(default)]
    pub(super) inherits: BTreeMap<String, String>,
    #[serde(default)]
    pub(super) asks: Vec<String>,
    #[serde(default)]
    pub(super) checks: Vec<String>,
    #[serde(rename = "note")]
    pub(super) _note: Option<String>,
}

/// How the place's laboratory reports.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenSoilTest {
    pub(super) extractant: Option<String>,
    pub(super) p_unit: Option<String>,
    pub(super) k_unit: Option<String>,
}

/// One figure.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenFigure {
    pub(super) topic: Option<String>,
    pub(super) what: Option<String>,
    pub(super) unit: Option<String>,
    #[serde(default)]
    pub(super) applies: BTreeMap<String, serde_yaml::Value>,
    #[serde(default)]
    pub(super) from: BTreeMap<String, WrittenEdition>,
    pub(super) seen: Option<String>,
    #[serde(default)]
    pub(super) others: Vec<WrittenOther>,
}

/// One dated value of a figure. `value: null` says that it no longer holds.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenEdition {
    #[serde(default, deserialize_with = "written")]
    pub(super) value: Option<serde_yaml::Value>,
    pub(super) steps: Option<Vec<WrittenStep>>,
    pub(super) curve: Option<WrittenCurve>,
    pub(super) season: Option<WrittenSeason>,
    pub(super) words: Option<String>,
    pub(super) band: Option<WrittenBand>,
    pub(super) source: Option<String>,
    pub(super) at: Option<String>,
    pub(super) known: Option<String>,
    pub(super) note: Option<String>,
}

/// Keeps "written as null" apart from "not written".
fn written<'de, D: Deserializer<'de>>(d: D) -> Result<Option<serde_yaml::Value>, D::Error> {
    serde_yaml::Value::deserialize(d).map(Some)
}

/// One class.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenStep {
    pub(super) up_to: Option<f64>,
    pub(super) is: String,
}

/// A curve over the soil-test value.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenCurve {
    pub(super) a: f64,
    pub(super) b: f64,
    pub(super) c: f64,
}

/// Least and most, twice.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenBand {
    pub(super) usual: [f64; 2],
    pub(super) wide: [f64; 2],
}

impl WrittenBand {
    /// The band, when it rises and the usual lies within the wide.
    pub(super) fn band(&self) -> Option<Band> {
        let ([least, most], [lowest, highest]) = (self.usual, self.wide);
        let rises = lowest <= least && least < most && most <= highest && (highest - lowest).is_finite();
        rises.then_some(Band { usual: (least, most), wide: (lowest, highest) })
    }
}

/// Days of the year, `02-15`.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenSeason {
    pub(super) opens: String,
    pub(super) closes: String,
}

/// What another source says.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenOther {
    pub(super) value: serde_yaml::Value,
    pub(super) source: Option<String>,
    pub(super) at: Option<String>,
    pub(super) known: Option<String>,
    pub(super) why_not: Option<String>,
}

/// How a figure is known, by its word.
pub(super) fn known(word: &str) -> Option<Known> {
    [Known::Read, Known::Memory, Known::CommonPractice].into_iter().find(|k| k.word() == word)
}

/// A day of any year, as in `03-15`.
pub(super) fn month_day(text: &str) -> Option<MonthDay> {
    let (month, day) = text.split_once('-')?;
    let found = MonthDay { month: month.parse().ok()?, day: day.parse().ok()? };
    // A leap year takes every day that exists in any year.
    Date::new(2024, found.month, found.day).ok().map(|_| found)
}

/// A value as text; yes and no as such.
pub(super) fn scalar_text(value: &serde_yaml::Value) -> String {
    match value {
        serde_yaml::Value::String(s) => s.clone(),
        serde_yaml::Value::Bool(b) => (if *b { "yes" } else { "no" }).to_string(),
        other => serde_yaml::to_string(other).unwrap_or_default().trim().to_string(),
    }
}
