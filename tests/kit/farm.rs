//! The builder of small invented farms.
//!
//! A farm begins as one that is in order and on which hardly anything binds:
//! weak litter, much of it, ground that may get a lot. A test tightens what it
//! is about. `farm.yaml` is written as JSON, which is YAML too.

use super::tables::all_tables;
use serde_json::{Map, Value, json};
use std::sync::Arc;
use sward::farm::{FarmText, MONTHS};
use sward::tables::Tables;

/// A state and how its laboratory reports.
#[derive(Debug)]
pub(crate) struct Place {
    pub(crate) key: &'static str,
    pub(crate) region: &'static str,
    pub(crate) extractant: &'static str,
    pub(crate) unit: &'static str,
    /// Whether its tables ask the planner what a soil test asks for.
    pub(crate) asks_needs: bool,
    /// Some longitude and latitude in it.
    pub(crate) at: (f64, f64),
}

pub(crate) const NC: Place = Place {
    key: "us-nc",
    region: "piedmont",
    extractant: "mehlich-3",
    unit: "index",
    asks_needs: false,
    at: (-79.51, 35.72),
};
pub(crate) const VA: Place = Place {
    key: "us-va",
    region: "piedmont",
    extractant: "mehlich-1",
    unit: "lb/ac",
    asks_needs: true,
    at: (-78.92, 37.31),
};
pub(crate) const GA: Place = Place {
    key: "us-ga",
    region: "piedmont",
    extractant: "mehlich-1",
    unit: "lb/ac",
    asks_needs: true,
    at: (-83.39, 33.95),
};
pub(crate) const MD: Place = Place {
    key: "us-md",
    region: "piedmont",
    extractant: "mehlich-3",
    unit: "index",
    asks_needs: true,
    at: (-77.0, 39.48),
};
pub(crate) const PLACES: [&Place; 2] = [&NC, &VA];

/// Side of every field, in feet: a square of ten acres.
const SIDE_FT: f64 = 660.0;
/// Feet from one field to the next.
const GAP_FT: f64 = 340.0;
/// Feet in a degree of latitude; fields need not be square to the inch.
const FEET_A_DEGREE: f64 = 364_000.0;

/// Whether a cell of the log is a day.
fn is_day(cell: &str) -> bool {
    cell.parse::<jiff::civil::Date>().is_ok()
}

/// Test values lie where it serves the test; somebody stands for each block.
fn sure(mut block: Value) -> Value {
    block["sure"] = json!({"by": "a planner", "on": "2026-11-09"});
    block
}

/// A figure of the farm's own, which a planner gave.
pub(crate) fn own_figure(topic: &str, value: &str) -> Value {
    json!({"topic": topic, "value": value, "by": "a planner", "on": "2026-11-09"})
}

/// Two houses under one name, with their clean-outs.
pub(crate) fn houses(clean_outs: Value) -> Value {
    json!([{"name": "north", "kind": "broiler litter", "number": 2, "birds": 24000, "flocks": 5.5,
        "clean_outs": clean_outs}])
}

/// The share of the days of every month on which one can spread.
pub(crate) fn fit(share: &str) -> Value {
    Value::Object(MONTHS.iter().map(|month| ((*month).to_string(), json!(share))).collect())
}

/// A farm folder in the making.
#[derive(Clone, Debug)]
pub(crate) struct Farm {
    pub(crate) place: &'static Place,
    /// `farm.yaml`.
    top: Value,
    /// Features of `keepouts.geojson`.
    keepouts: Vec<Value>,
    /// Gates and stacks.
    points: Vec<Value>,
    /// Lines of `log.csv` without the header.
    log: Vec<String>,
    /// Figures laid over the tables: the place, and the text.
    figures: Vec<(String, String)>,
}

impl Farm {
    /// One field `A` of tall fescue hay and one lot `heap`, from mid February
    /// to the end of May: one season in either state.
    pub(crate) fn new(place: &'static Place) -> Farm {
        let top = json!({
            "version": 2,
            "farm": "Kettle Run",
            "place": place.key,
            "region": place.region,
            "plan": {"from": "2027-02-15", "to": "2027-05-31"},
            "prices": sure(json!({"n": "0.80 $/lb", "p2o5": "0.60 $/lb", "k2o": "0.40 $/lb",
                "litter_sold": "0 $/ton", "loading_spreading": "0.50 $/ton", "hauling": "0 $/ton-mile"})),
            "spreader": sure(json!({"swath": "30 ft", "load": "8 tons", "step": "0.25 tons/ac", "least": "1 ton/ac",
                "most": "6 tons/ac", "calibrated": "2026-09-14"})),
            "litter": [],
            "fields": [],
        });
        let mut farm =
            Farm { place, top, keepouts: Vec::new(), points: Vec::new(), log: Vec::new(), figures: Vec::new() };
        if place.region.is_empty() {
            farm.set("region", Value::Null);
        }
        if place.asks_needs {
            farm.set("figures", json!([own_figure("p2o5_need", "50 lb/ac"), own_figure("k2o_need", "80 lb/ac")]));
        }
        farm.lot("heap").field("A")
    }

    /// Another lot: 500 tons of weak litter in a shed.
    pub(crate) fn lot(mut self, id: &str) -> Farm {
        let lot = sure(json!({
            "lot": id, "kind": "broiler litter", "on_hand": "500 tons", "stored": "shed",
            "analysis": sure(json!({"lab": "a laboratory", "sampled": "2027-01-20", "basis": "as received",
                "moisture": "25 %", "total_n": "20 lb/ton", "ammonium_n": "4 lb/ton", "p2o5": "2 lb/ton",
                "k2o": "1 lb/ton"})),
        }));
        self.top["litter"].as_array_mut().unwrap().push(lot);
        self
    }

    /// Another field of some ten acres, east of those that are there.
    pub(crate) fn field(mut self, id: &str) -> Farm {
        let unit = self.place.unit;
        let field = sure(json!({
            "id": id, "forage": "tall fescue", "use": "hay", "texture": "fine", "yield_goal": "4 tons/ac",
            "soil_test": sure(json!({"lab": "a laboratory", "sampled": "2026-10-06",
                "extractant": self.place.extractant, "p": format!("40 {unit}"), "k": format!("60 {unit}"), "ph": "6.0"})),
            "phosphorus_rating": {"rating": "low", "by": "a planner", "on": "2026-11-09"},
        }));
        self.top["fields"].as_array_mut().unwrap().push(field);
        self
    }

    /// A value put in at a path such as `fields.A.soil_test.p`; `null` takes it out.
    pub(crate) fn with(mut self, path: &str, value: impl Into<Value>) -> Farm {
        self.set(path, value);
        self
    }

    /// The same in place.
    pub(crate) fn set(&mut self, path: &str, value: impl Into<Value>) {
        let mut keys: Vec<&str> = path.split('.').collect();
        let last = keys.pop().expect("a path has a key");
        let mut here = &mut self.top;
        for key in keys {
            here = match here {
                Value::Array(list) => list
                    .iter_mut()
                    .find(|entry| [&entry["id"], &entry["lot"]].contains(&&Value::from(key)))
                    .unwrap_or_else(|| panic!("no `{key}` in {path}")),
                map => map.as_object_mut().expect(path).entry(key).or_insert_with(|| Value::Object(Map::new())),
            };
        }
        let map = here.as_object_mut().expect(path);
        match value.into() {
            Value::Null => map.remove(last),
            value => map.insert(last.to_string(), value),
        };
    }

    /// The text at a path.
    pub(crate) fn get(&self, path: &str) -> &str {
        let pick = |here: &'_ Value, key: &str| match here {
            Value::Array(list) => list.iter().position(|e| e["id"] == key || e["lot"] == key).map(|i| i.to_string()),
            _ => Some(key.to_string()),
        };
        let mut here = &self.top;
        for key in path.split('.') {
            let key = pick(here, key).expect(path);
            here = match here {
                Value::Array(list) => &list[key.parse::<usize>().unwrap()],
                map => &map[&key],
            };
        }
        here.as_str().expect(path)
    }

    /// A line of the log: date, what, lot, field, tons.
    pub(crate) fn logged(mut self, date: &str, what: &str, lot: &str, field: &str, tons: &str) -> Farm {
        self.log.push(format!("{date},{what},{lot},{field},{tons},,,"));
        self
    }

    /// A line of the log that covered so many acres of the field.
    pub(crate) fn part(mut self, date: &str, lot: &str, field: &str, tons: &str, acres: &str) -> Farm {
        self.log.push(format!("{date},spread,{lot},{field},{tons},,,{acres}"));
        self
    }

    /// A line of the log that says its ground, and how wide its way was.
    pub(crate) fn on_ground(mut self, date: &str, tons: &str, ground: &str, swath: &str) -> Farm {
        self.log.push(format!("{date},spread,heap,A,{tons},,,,\"{ground}\",{swath}"));
        self
    }

    /// An area of the first field, in feet from the farm's corner: west, south, east, north.
    pub(crate) fn area(&self, [west, south, east, north]: [f64; 4]) -> String {
        let ring = [[west, south], [east, south], [east, north], [west, north], [west, south]];
        format!("POLYGON(({}))", self.corners(&ring))
    }

    /// A way over it.
    pub(crate) fn way(&self, corners: &[[f64; 2]]) -> String {
        format!("LINESTRING({})", self.corners(corners))
    }

    fn corners(&self, feet: &[[f64; 2]]) -> String {
        let corner = |at: &[f64; 2]| {
            let [lon, lat] = self.degrees(*at);
            format!("{lon:.9} {lat:.9}")
        };
        feet.iter().map(corner).collect::<Vec<_>>().join(", ")
    }

    /// A line of the log that goes by scale tickets.
    pub(crate) fn ticketed(mut self, date: &str, what: &str, lot: &str, field: &str, tickets: &str) -> Farm {
        self.log.push(format!("{date},{what},{lot},{field},,{tickets},\"a planner, 2026-11-09\","));
        self
    }

    /// A line of the log with tons and scale tickets.
    pub(crate) fn weighed(mut self, date: &str, tons: &str, tickets: &str) -> Farm {
        self.log.push(format!("{date},spread,heap,A,{tons},{tickets},\"a planner, 2026-11-09\","));
        self
    }

    /// Lines of the log just as they stand, with a line of names of their own.
    pub(crate) fn lines(mut self, lines: &str) -> Farm {
        self.log.extend(lines.lines().map(str::to_string));
        self
    }

    /// A keep-out with these properties: a point so many feet east of the
    /// middle of the first field.
    pub(crate) fn keepout(mut self, east_ft: f64, properties: Value) -> Farm {
        let middle = [SIDE_FT / 2.0 + east_ft, SIDE_FT / 2.0];
        let geometry = json!({"type": "Point", "coordinates": self.degrees(middle)});
        self.keepouts.push(json!({"type": "Feature", "properties": properties, "geometry": geometry}));
        self
    }

    /// The same as a line that runs north, so many feet east of the first field's east side.
    pub(crate) fn keepout_along(mut self, east_ft: f64, properties: Value) -> Farm {
        let ends = [-500.0, SIDE_FT + 500.0].map(|north| self.degrees([SIDE_FT + east_ft, north]));
        let geometry = json!({"type": "LineString", "coordinates": ends});
        self.keepouts.push(json!({"type": "Feature", "properties": properties, "geometry": geometry}));
        self
    }

    /// A gate or a stack in `fields.geojson` with these properties.
    pub(crate) fn point(mut self, properties: Value) -> Farm {
        let geometry = json!({"type": "Point", "coordinates": self.degrees([100.0, -50.0])});
        self.points.push(json!({"type": "Feature", "properties": properties, "geometry": geometry}));
        self
    }

    /// A figure of the test's own, laid over the tables of the place; it takes
    /// the place of an earlier one of the same topic and scope.
    pub(crate) fn figure(self, text: String) -> Farm {
        let place = self.place.key;
        self.figure_in(place, text)
    }

    /// The same, laid over the tables of a wider place.
    pub(crate) fn figure_in(mut self, place: &str, text: String) -> Farm {
        self.figures.retain(|(of, old)| of != place || old.lines().next() != text.lines().next());
        self.figures.push((place.to_string(), text));
        self
    }

    /// The tables with the figures of the test.
    pub(crate) fn tables(&self) -> Arc<Tables> {
        all_tables(self.place, &self.figures)
    }

    /// `farm.yaml`.
    pub(crate) fn main(&self) -> String {
        let mut top = self.top.clone();
        // Made on its first day, or on the last day of its log, unless a test says otherwise.
        if top["plan"]["as_of"].is_null() {
            let first = top["plan"]["from"].as_str().unwrap();
            let logged = self.log.iter().filter_map(|line| line.split(',').find(|cell| is_day(cell)));
            top["plan"]["as_of"] = json!(logged.fold(first, |last, day| last.max(day)));
        }
        serde_json::to_string_pretty(&top).unwrap()
    }

    /// `log.csv`; empty where nothing was logged.
    pub(crate) fn log_text(&self) -> String {
        if self.log.is_empty() {
            return String::new();
        }
        format!("date,what,lot,field,tons,tickets,sure,acres,ground,swath,grade,rate\n{}\n", self.log.join("\n"))
    }

    /// The files as text.
    pub(crate) fn texts(&self) -> FarmText {
        let collection = |features: &[Value]| json!({"type": "FeatureCollection", "features": features}).to_string();
        let ids = self.top["fields"].as_array().unwrap().iter().map(|f| f["id"].clone());
        let mut squares: Vec<Value> = ids.enumerate().map(|(i, id)| self.square(i, &id)).collect();
        squares.extend(self.points.iter().cloned());
        FarmText {
            main: Some(self.main()),
            fields: Some(collection(&squares)),
            keepouts: Some(collection(&self.keepouts)),
            ..FarmText::default()
        }
    }

    /// The farm as a folder.
    pub(crate) fn folder(&self) -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        let texts = self.texts();
        let files = [("farm.yaml", texts.main), ("fields.geojson", texts.fields), ("keepouts.geojson", texts.keepouts)];
        for (name, text) in files {
            std::fs::write(folder.path().join(name), text.unwrap()).unwrap();
        }
        if !self.log.is_empty() {
            std::fs::write(folder.path().join("log.csv"), self.log_text()).unwrap();
        }
        folder
    }

    fn square(&self, number: usize, id: &Value) -> Value {
        let west = number as f64 * (SIDE_FT + GAP_FT);
        let (east, north) = (west + SIDE_FT, SIDE_FT);
        let corners = [[west, 0.0], [east, 0.0], [east, north], [west, north], [west, 0.0]];
        let ring: Vec<[f64; 2]> = corners.into_iter().map(|c| self.degrees(c)).collect();
        json!({"type": "Feature", "properties": {"id": id}, "geometry": {"type": "Polygon", "coordinates": [ring]}})
    }

    /// Longitude and latitude of feet east and north of the farm's corner.
    fn degrees(&self, [east, north]: [f64; 2]) -> [f64; 2] {
        let (lon, lat) = self.place.at;
        [lon + east / (FEET_A_DEGREE * lat.to_radians().cos()), lat + north / FEET_A_DEGREE]
    }
}
