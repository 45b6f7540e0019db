//! Figures: of the built-in tables, or of tables that a case brings along.

use crate::compare::{Answer, kept, quantity_in};
use crate::farm::Soil;
use crate::{Ask, Outcome, one, told};
use serde::Deserialize;
use serde_yaml::{Mapping, Value};
use std::collections::BTreeMap;
use sward::balance::Notebook;
use sward::findings::Origin;
use sward::tables::{self, Scope, Shape, Tables, Topic, topic};

/// One row of a case's own tables: a figure without its papers.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Row {
    topic: String,
    unit: Option<String>,
    #[serde(default)]
    applies: Mapping,
    value: Option<Value>,
    steps: Option<Value>,
    curve: Option<Value>,
    words: Option<Value>,
    /// The keys of a row of a phosphorus rule.
    row: Option<Mapping>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Given {
    place: Option<String>,
    #[serde(default)]
    tables: Vec<Row>,
    topic: String,
    #[serde(default)]
    scope: BTreeMap<String, String>,
    on: Option<String>,
    /// The soil-test value at which a curve is read.
    at: Option<f64>,
}

pub(crate) fn looked_up(given: &Given, built_in: &Tables) -> Outcome<Ask> {
    let made = made_tables(&given.tables, given.place.as_deref(), None, &Soil::default())?;
    let tables = made.as_ref().unwrap_or(built_in);
    let place = given.place.as_deref().unwrap_or(MADE);
    let on = given.on.as_deref().unwrap_or(DAY).parse().map_err(|_| "`on` is no date")?;
    let book = tables.book(place, on).ok_or(format!("no tables of `{place}`"))?;
    let topic = Topic::named(&given.topic).ok_or(format!("no topic `{}`", given.topic))?;
    let scope: Scope<'_> = given.scope.iter().collect();
    let found = book.shape(topic, &scope).ok_or("the tables have no such figure")?;
    let unit = found.unit.clone();
    if let Shape::Words(words) = found.value {
        return Ok(one(move || Answer::Word(words.clone())));
    }
    let mut notes = Notebook::default();
    let at = notes.given("read at", given.at.unwrap_or(0.0), "", Origin::Definition("the case".into()));
    let rates = [topic::P2O5_NEED, topic::K2O_NEED].into_iter().filter(|rate| topic == *rate);
    let rate = rates.filter_map(|rate| book.get(rate, &scope)).map(|rate| notes.rate("figure", &rate, at)).next();
    let slope = (topic == topic::SOIL_LOSS_SLOPE).then(|| book.get(topic::SOIL_LOSS_SLOPE, &scope)).flatten();
    let step = rate.or_else(|| slope.map(|slope| notes.rate("figure", &slope, at)));
    let value = match (step, found.value) {
        (Some(step), _) => notes.value(step),
        (None, Shape::Number(value)) => value,
        _ => return Err("neither a number nor a curve; a class is asked for with `field`".to_string()),
    };
    Ok(one(move || Answer::Number(value, unit.clone())))
}

/// The place of a case that brings its own tables, and the day of all cases.
pub(crate) const MADE: &str = "made";
pub(crate) const DAY: &str = "2027-03-01";

/// The tables that a case brings along, loaded as a folder of `reference/`
/// would be. None when it goes by the built-in tables of a place.
pub(crate) fn made_tables(
    rows: &[Row],
    place: Option<&str>,
    region: Option<&str>,
    soil: &Soil,
) -> Outcome<Option<Tables>> {
    match (place, rows.is_empty()) {
        (Some(_), true) => return Ok(None),
        (Some(_), false) => return Err("`place` or `tables`, not both".to_string()),
        (None, _) => {}
    }
    let mut figures = Mapping::new();
    let has = |topics: [&str; 2]| rows.iter().any(|r| topics.contains(&r.topic.as_str()));
    let mut fill = Vec::new();
    // The program asks every place for these two; a case about something else
    // leaves them out.
    if !has(["n_available", "n_organic_available"]) {
        fill.push(Row::number("n_available", 1.0));
    }
    if !has(["n_rate", "n_per_ton"]) {
        fill.push(Row::number("n_rate", 0.0));
    }
    for (number, row) in rows.iter().chain(&fill).enumerate() {
        figures.insert(format!("{}.{number}", row.topic).into(), row.written()?);
    }
    let text = |map: &Mapping| serde_yaml::to_string(map).map_err(|e| e.to_string());
    let regions = region.map(|r| format!("regions: [{r}]\n")).unwrap_or_default();
    let unit = |value: &str| value.split_once(' ').map_or("index", |(_, unit)| unit).to_string();
    let soil = format!(
        "soil_test: {{extractant: {}, p_unit: {}, k_unit: {}}}\n",
        soil.extractant,
        unit(&soil.p),
        unit(&soil.k)
    );
    let files = [
        ("sources.yaml".to_string(), "case: {title: the case, publisher: the case, year: 2027}\n".to_string()),
        (format!("{MADE}/place.yaml"), format!("name: the case\ndecides: nobody\n{regions}{soil}")),
        (format!("{MADE}/figures.yaml"), text(&figures)?),
    ];
    let (tables, faults) = tables::load(&files);
    if faults.has_errors() {
        return Err(told(&faults));
    }
    Ok(Some(tables))
}

impl Row {
    fn number(topic: &str, value: f64) -> Row {
        Row {
            topic: topic.to_string(),
            unit: None,
            applies: Mapping::new(),
            value: Some(value.into()),
            steps: None,
            curve: None,
            words: None,
            row: None,
        }
    }

    /// As `reference/` has it, with the papers that the loader asks for.
    fn written(&self) -> Outcome<Value> {
        let topic = Topic::named(&self.topic).ok_or(format!("no topic `{}`", self.topic))?;
        let unit =
            self.unit.clone().unwrap_or_else(|| topic.units().first().map_or("none", |(unit, _)| unit).to_string());
        let mut edition = Mapping::new();
        for (key, value) in [("steps", &self.steps), ("curve", &self.curve), ("words", &self.words)] {
            if let Some(value) = value {
                edition.insert(key.into(), value.clone());
            }
        }
        edition.extend(self.row.clone().into_iter().flatten());
        match &self.value {
            // The source's own unit is turned into the table's by the program.
            Some(Value::String(text)) => edition.insert("value".into(), kept(quantity_in(&unit)?, text)?.0.into()),
            Some(value) => edition.insert("value".into(), value.clone()),
            None => None,
        };
        for (key, value) in [("source", "case"), ("at", "the case"), ("known", "read")] {
            edition.insert(key.into(), value.into());
        }
        let mut figure = Mapping::new();
        for (key, value) in
            [("topic", self.topic.as_str()), ("what", "given by the case"), ("unit", &unit), ("seen", DAY)]
        {
            figure.insert(key.into(), value.into());
        }
        figure.insert("applies".into(), self.applies.clone().into());
        figure.insert("from".into(), Mapping::from_iter([("2000-01-01".into(), edition.into())]).into());
        Ok(figure.into())
    }
}
