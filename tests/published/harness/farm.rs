//! A small farm: one lot, one field, read and weighed as the program does it.

use crate::compare::Answer;
use crate::figure::{DAY, MADE, Row, made_tables};
use crate::{Ask, Outcome, one, told};
use serde::Deserialize;
use serde_yaml::Mapping;
use std::sync::Arc;
use sward::balance::{FieldBalance, LimitKind, Notebook, StepId, Worth};
use sward::check::Lot;
use sward::farm;
use sward::pipeline::{Day, Figures, Folder, Question};
use sward::plan::LeastCost;
use sward::tables::Tables;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Given {
    place: Option<String>,
    region: Option<String>,
    /// Longitude and latitude of the field, where it must lie in its place.
    at: Option<[f64; 2]>,
    #[serde(default)]
    tables: Vec<Row>,
    /// Lines of `analysis:` in farm.yaml; `kind` may stand among them.
    #[serde(default)]
    pub(crate) litter: Mapping,
    /// Lines of the field in farm.yaml.
    #[serde(default)]
    field: Mapping,
    /// Entries of `crops:` in farm.yaml.
    #[serde(default)]
    crops: Vec<Mapping>,
    /// Lines of the lot in farm.yaml, `on_hand` among them.
    #[serde(default)]
    lot: Mapping,
    /// Lines of `prices:` in farm.yaml.
    #[serde(default)]
    prices: Mapping,
    #[serde(default)]
    soil: Soil,
}

#[derive(Deserialize)]
#[serde(default, deny_unknown_fields)]
pub(crate) struct Soil {
    pub(crate) extractant: String,
    pub(crate) p: String,
    pub(crate) k: String,
    /// Magnesium, pH, buffer pH and acidity as the report gives them.
    mg: Option<String>,
    ph: Option<String>,
    buffer_ph: Option<String>,
    acidity: Option<String>,
}

impl Default for Soil {
    fn default() -> Soil {
        Soil {
            extractant: "mehlich-3".to_string(),
            p: "0 index".to_string(),
            k: "0 index".to_string(),
            mg: None,
            ph: None,
            buffer_ph: None,
            acidity: None,
        }
    }
}

impl Given {
    /// `farm.yaml`: what the case gives, and what the program asks for besides. What it leaves out
    /// is zero, which no farm's litter is: the case is sure of it.
    fn farm_yaml(&self) -> Outcome<String> {
        let base = format!(
            "farm: published example
place: {}
plan: {{from: {DAY}, to: 2027-10-31}}
spreader: {{swath: 30 ft, load: 8 tons, step: 0.25 tons/ac, least: 0.25 tons/ac, most: 100 tons/ac, sure: {{by: The case, on: {DAY}}}}}
litter:
- {{lot: pile, kind: broiler litter, on_hand: 400 tons, stored: shed, sure: {{by: The case, on: {DAY}}}}}
fields:
- {{id: F, forage: tall fescue, use: hay, texture: fine, yield_goal: 1 ton/ac, sure: {{by: The case, on: {DAY}}}}}
",
            self.place.as_deref().unwrap_or(MADE)
        );
        let mut farm: Mapping = serde_yaml::from_str(&base).map_err(|e| e.to_string())?;
        let mut analysis: Mapping = serde_yaml::from_str(&format!(
            "{{lab: the case, sampled: {DAY}, basis: as received, moisture: 25 %, total_n: 0 lb/ton}}"
        ))
        .map_err(|e| e.to_string())?;
        for (oxide, element) in [("p2o5", "p"), ("k2o", "k")] {
            if !self.litter.contains_key(oxide) && !self.litter.contains_key(element) {
                analysis.insert(oxide.into(), "0 lb/ton".into());
            }
        }
        analysis.extend(self.litter.clone());
        let kind = analysis.remove("kind");
        if let Some(region) = &self.region {
            farm.insert("region".into(), region.as_str().into());
        }
        if let Some(lot) = first(&mut farm, "litter") {
            lot.insert("analysis".into(), analysis.into());
            lot.extend(kind.map(|k| ("kind".into(), k)));
            lot.extend(self.lot.clone());
        }
        if !self.crops.is_empty() {
            farm.insert("crops".into(), self.crops.clone().into_iter().map(serde_yaml::Value::from).collect());
        }
        if !self.prices.is_empty() {
            farm.insert("prices".into(), self.priced()?.into());
        }
        if let Some(field) = first(&mut farm, "fields") {
            let soil = [
                ("lab", "the case"),
                ("sampled", DAY),
                ("extractant", &self.soil.extractant),
                ("p", &self.soil.p),
                ("k", &self.soil.k),
            ];
            let mut soil: Mapping = soil.iter().map(|(key, value)| ((*key).into(), (*value).into())).collect();
            let more = [
                ("mg", &self.soil.mg),
                ("ph", &self.soil.ph),
                ("buffer_ph", &self.soil.buffer_ph),
                ("acidity", &self.soil.acidity),
            ];
            for (key, value) in more {
                soil.extend(value.as_ref().map(|v| (key.into(), v.as_str().into())));
            }
            field.insert("soil_test".into(), soil.into());
            field.extend(self.field.clone());
        }
        serde_yaml::to_string(&farm).map_err(|e| e.to_string())
    }
}

impl Given {
    /// The prices that the case gives; the program asks for all of them, and those that it leaves
    /// out cost nothing.
    fn priced(&self) -> Outcome<Mapping> {
        let free = "{n: 0 $/lb, p2o5: 0 $/lb, k2o: 0 $/lb, litter_sold: 0 $/ton, loading_spreading: 0 $/ton,
            hauling: 0 $/ton-mile, sure: {by: The case, on: 2027-03-01}}";
        let mut prices: Mapping = serde_yaml::from_str(free).map_err(|e| e.to_string())?;
        prices.extend(self.prices.clone());
        Ok(prices)
    }
}

fn first<'a>(farm: &'a mut Mapping, list: &str) -> Option<&'a mut Mapping> {
    farm.get_mut(list)?.as_sequence_mut()?.first_mut()?.as_mapping_mut()
}

/// Reads, checks and weighs the farm, as the program does it.
pub(crate) fn weighed(given: &Given, built_in: &Tables) -> Outcome<Ask> {
    let made = made_tables(&given.tables, given.place.as_deref(), given.region.as_deref(), &given.soil)?;
    let tables = made.as_ref().unwrap_or(built_in);
    let [west, south] = given.at.unwrap_or([-79.5, 35.7]);
    let (east, north) = (west + 0.002, south + 0.002);
    let ring = serde_json::json!([[west, south], [east, south], [east, north], [west, north], [west, south]]);
    let square = serde_json::json!({"type": "FeatureCollection", "features": [{"type": "Feature", "properties": {"id": "F"},
        "geometry": {"type": "Polygon", "coordinates": [ring]}}]});
    let texts =
        farm::FarmText { main: Some(given.farm_yaml()?), fields: Some(square.to_string()), ..Default::default() };
    let question = Question::of(Folder::memory(&texts), Day::Stated { today: DAY.parse().map_err(|_| DAY)? });
    let question = Question { figures: Figures::Loaded(Arc::new(tables.clone())), ..question };
    let mut weighed = question.check().weigh().map_err(|findings| told(&findings))?;
    if !given.prices.is_empty() {
        let planned = weighed.plan(&LeastCost::default()).map_err(|findings| told(&findings))?;
        let worth = planned.audited.plan().leftover.lots.first().and_then(|lot| lot.worth);
        let worth = worth.ok_or("the plan gives no worth of a ton")?;
        return Ok(one(move || Answer::Number(worth, "$/ton".to_string())));
    }
    let lot = weighed.ready.lots.pop().ok_or("the farm holds no lot")?;
    let field = weighed.balance.fields.pop().ok_or("the balance holds no field")?;
    Ok(Box::new(move |name| match name.starts_with("on_hand") {
        true => on_hand(&lot, name),
        false => answer(&field, name),
    }))
}

/// The tons of the lot, or their bounds.
fn on_hand(lot: &Lot, name: &str) -> Outcome<Answer> {
    let bounds = lot.counting.as_ref().map(|counting| (counting.low, counting.high));
    let pounds = match (name, bounds) {
        ("on_hand", _) => lot.on_hand,
        ("on_hand_low", Some((low, _))) => low,
        ("on_hand_high", Some((_, high))) => high,
        _ => return Err("asked of a lot are on_hand, and of a counted one on_hand_low and on_hand_high".to_string()),
    };
    Ok(Answer::Number(pounds.tons(), "tons".to_string()))
}

/// One answer of a balance: by its short name, or a step of the notebook by
/// the words that the program gives it.
fn answer(field: &FieldBalance, name: &str) -> Outcome<Answer> {
    let lot = field.lots.first().ok_or("the balance holds no lot")?;
    let (supply, need, removed) = (&lot.supply.per_ton, &field.need, &field.removed);
    let limit = |kind| lot.limits.iter().find(|l| l.kind == kind).map(|l| l.step).ok_or("no such limit on the rate");
    let id = match name {
        "total_n" => lot.supply.total_n,
        "available_n" => supply.n,
        "p2o5_per_ton" => supply.p2o5,
        "k2o_per_ton" => supply.k2o,
        "need_n" => need.n,
        "need_p2o5" => need.p2o5,
        "need_k2o" => need.k2o,
        "removed_n" => removed.n,
        "removed_p2o5" => removed.p2o5,
        "removed_k2o" => removed.k2o,
        "rate_n" => limit(LimitKind::Nitrogen)?,
        "rate_p2o5" => limit(LimitKind::Phosphorus)?,
        _ => {
            return step_named(
                &field.notes,
                match name {
                    "organic_n" => "organic N of pile",
                    "class_p" => "class of soil-test P",
                    "class_k" => "class of soil-test K",
                    words => words,
                },
            );
        }
    };
    Ok(of_step(&field.notes, id))
}

fn of_step(notes: &Notebook, id: StepId) -> Answer {
    of_worth(&notes.step(id).value, notes.step(id).unit)
}

fn of_worth(worth: &Worth, unit: &str) -> Answer {
    match worth {
        Worth::Number(value) => Answer::Number(*value, unit.to_string()),
        Worth::Word(word) => Answer::Word(word.clone()),
    }
}

fn step_named(notes: &Notebook, what: &str) -> Outcome<Answer> {
    let is = |s: &&sward::balance::Step| s.what == what || format!("{} in {}", s.what, s.unit) == what;
    let found: Vec<_> = notes.steps().iter().filter(is).collect();
    match found.as_slice() {
        [step] => Ok(of_worth(&step.value, step.unit)),
        _ => {
            let all: Vec<&str> = notes.steps().iter().map(|s| s.what.as_str()).collect();
            Err(format!("{} steps are called `{what}`; the notebook has: {}", found.len(), all.join(" | ")))
        }
    }
}
