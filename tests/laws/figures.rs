//! The published figures read a second time, straight from `reference/`, and
//! the limits of a field calculated from them without any code of the library.

use crate::farm::{FORAGES, Farm, Field, KINDS, RATINGS, REGIONS, SPANS, USES};
use serde_yaml::Value;
use std::collections::BTreeMap;
use std::path::Path;

/// A figure as it stands in force on one day.
struct Figure {
    place: String,
    topic: String,
    applies: BTreeMap<String, String>,
    value: Value,
}

/// Every figure of `us-nc` and of `us`.
pub(crate) struct Figures {
    all: Vec<Figure>,
    inherits: BTreeMap<String, String>,
}

fn text(value: &Value) -> String {
    match value {
        Value::String(s) => s.clone(),
        Value::Number(n) => n.to_string(),
        Value::Bool(b) => b.to_string(),
        _ => String::new(),
    }
}

fn key(word: &str) -> String {
    word.replace([' ', '-'], "_")
}

impl Figures {
    /// As in force on a day; dates compare as text, year first.
    pub(crate) fn on(day: &str) -> Figures {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("reference");
        let mut all = Vec::new();
        let mut inherits = BTreeMap::new();
        for place in ["us-nc", "us"] {
            for file in std::fs::read_dir(root.join(place)).unwrap() {
                let path = file.unwrap().path();
                let read: Value = serde_yaml::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap();
                if path.ends_with("place.yaml") {
                    if let (Some(map), "us-nc") = (read["inherits"].as_mapping(), place) {
                        inherits.extend(map.iter().map(|(k, v)| (text(k), text(v))));
                    }
                    continue;
                }
                for (_, figure) in read.as_mapping().unwrap() {
                    let editions = figure["from"].as_mapping().unwrap();
                    let edition = editions
                        .iter()
                        .filter(|(from, _)| text(from).as_str() <= day)
                        .max_by_key(|(from, _)| text(from));
                    let applies = figure["applies"]
                        .as_mapping()
                        .map_or(BTreeMap::new(), |m| m.iter().map(|(k, v)| (text(k), key(&text(v)))).collect());
                    if let Some((_, edition)) = edition {
                        all.push(Figure {
                            place: place.into(),
                            topic: text(&figure["topic"]),
                            applies,
                            value: edition.clone(),
                        });
                    }
                }
            }
        }
        assert!(all.len() > 100, "reference/ was not read");
        Figures { all, inherits }
    }

    /// The figure that says most about a scope; its own place first.
    fn pick(&self, topic: &str, scope: &[(&str, &str)]) -> Option<&Value> {
        let fits = |f: &&Figure| {
            f.topic == topic && f.applies.iter().all(|(k, v)| scope.iter().any(|(sk, sv)| sk == k && key(sv) == *v))
        };
        let of = |place: &str| {
            self.all.iter().filter(|f| f.place == place).filter(fits).max_by_key(|f| f.applies.len()).map(|f| &f.value)
        };
        let wider = !self.inherits.contains_key(topic);
        of("us-nc").or_else(|| of("us").filter(|_| wider))
    }

    fn number(&self, topic: &str, scope: &[(&str, &str)]) -> Option<f64> {
        self.pick(topic, scope)?["value"].as_f64()
    }

    /// What stands on a field: of a mixed stand with too few legumes the grass that is named for it.
    fn stand(&self, field: &Field) -> &str {
        let own = FORAGES[field.forage];
        let scope = [("forage", own), ("use", USES[field.usage])];
        let (enough, grass) = (self.number("n_legume_none", &scope), self.pick("thin_stand", &scope));
        let thin = field.legume.zip(enough).is_some_and(|(legume, enough)| legume < enough);
        grass.filter(|_| thin).and_then(|grass| grass["words"].as_str()).unwrap_or(own)
    }

    fn scope<'a>(&'a self, farm: &'a Farm, field: &Field) -> Vec<(&'a str, &'a str)> {
        let mut scope = vec![
            ("forage", self.stand(field)),
            ("use", USES[field.usage]),
            ("region", REGIONS[farm.region]),
            ("operation", if farm.large { "large" } else { "ordinary" }),
            ("placement", "surface"),
        ];
        if let Some(sandy) = field.texture {
            scope.push(("texture", if sandy { "sandy" } else { "fine" }));
        }
        scope
    }

    /// Nitrogen that the crop may have in the plan's year, lb/ac.
    pub(crate) fn n_need(&self, farm: &Farm, field: &Field) -> f64 {
        let scope = self.scope(farm, field);
        let enough = self.number("n_legume_none", &scope);
        if let (Some(legume), Some(enough)) = (field.legume, enough)
            && legume >= enough
        {
            return 0.0;
        }
        let cut = if USES[field.usage] == "hay" { 0.0 } else { self.number("n_grazing_cut", &scope).unwrap_or(0.0) };
        let by_yield = self.number("n_per_ton", &scope).map_or(f64::INFINITY, |n| n * field.goal * (1.0 - cut));
        let by_rate = self.number("n_rate", &scope).unwrap_or(f64::INFINITY);
        let least = by_yield.min(by_rate);
        assert!(least.is_finite(), "no nitrogen figure");
        (least - field.other_n.unwrap_or(0.0)).max(0.0)
    }

    /// Share of that need which one season may take.
    pub(crate) fn season_share(&self, farm: &Farm, field: &Field, season: &str) -> f64 {
        let mut scope = self.scope(farm, field);
        scope.push(("season", season));
        self.number("n_split", &scope).unwrap_or(1.0)
    }

    /// First and last day of a season as `MM-DD`.
    pub(crate) fn season(&self, farm: &Farm, field: &Field, season: &str) -> (String, String) {
        let mut scope = self.scope(farm, field);
        scope.push(("season", season));
        let days = &self.pick("season", &scope).expect("the season is published")["season"];
        (text(&days["opens"]), text(&days["closes"]))
    }

    /// What the row of the place for a rating says, where nothing more is asked of a farm.
    fn rule_of_rating(&self, rating: &str) -> Option<String> {
        let own = |f: &&Figure| {
            let when = &f.value["when"];
            f.topic == "p_rule"
                && when.as_mapping().is_some_and(|w| w.len() == 1)
                && text(&when["rating"]) == key(rating)
        };
        let of = |place: &str| self.all.iter().filter(own).find(|f| f.place == place);
        of("us-nc").or_else(|| of("us")).map(|f| text(&f.value["basis"]))
    }

    /// Phosphate allowed in the plan's year, lb/ac.
    pub(crate) fn p2o5_allowed(&self, farm: &Farm, field: &Field) -> f64 {
        let mut scope = self.scope(farm, field);
        let Some(rating) = field.rating else {
            // A large operation rates its fields first.
            if farm.large {
                return 0.0;
            }
            // Nobody rated it: no more than the soil test calls for.
            let curve = &self.pick("p2o5_need", &scope).expect("a curve")["curve"];
            let part = |k: &str| curve[k].as_f64().unwrap();
            let (a, b, c) = (part("a"), part("b"), part("c"));
            let p = field.p.min(b / (2.0 * a));
            return (a * p * p - b * p + c).max(0.0);
        };
        match self.rule_of_rating(RATINGS[rating]).as_deref() {
            Some("nitrogen") => f64::INFINITY,
            Some("removal") => {
                let hay = field.goal * self.number("p2o5_per_ton", &scope).expect("removal");
                scope.push(("nutrient", "p2o5"));
                match USES[field.usage] {
                    "pasture" => hay * self.number("grazing_keeps", &scope).unwrap_or(1.0),
                    _ => hay,
                }
            }
            _ => 0.0,
        }
    }

    /// Available nitrogen and phosphate in a ton of a lot as it is spread, lb.
    pub(crate) fn holds(&self, farm: &Farm, lot: usize) -> (f64, f64) {
        let lot = &farm.lots[lot];
        let material = ("material", KINDS[lot.kind]);
        let share = self.number("n_available", &[material, ("placement", "surface")]).expect("availability");
        let typical =
            |nutrient| self.number("litter_typical", &[material, ("nutrient", nutrient)]).expect("typical contents");
        match &lot.analysis {
            None => (typical("total_n") * share, typical("p2o5")),
            Some(a) => {
                let wet = if a.dry { 1.0 - a.moisture / 100.0 } else { 1.0 };
                // P2O5 weighs 141.94 where its P weighs 61.95.
                let oxide = if a.elements { 141.944 / 61.948 } else { 1.0 };
                (a.n * wet * share, a.p * wet * oxide)
            }
        }
    }
}

/// The figures of each span's first day, read once.
pub(crate) fn figures(span: usize) -> &'static Figures {
    static ALL: std::sync::LazyLock<Vec<Figures>> =
        std::sync::LazyLock::new(|| SPANS.iter().map(|(from, _)| Figures::on(from)).collect());
    &ALL[span]
}
