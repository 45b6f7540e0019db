//! Random farms: what they hold, and how they are written as text.

use proptest::prelude::*;
use std::fmt::Write;

/// Forages with what they may be used for.
pub(crate) const FORAGES: [&str; 7] = [
    "tall fescue",
    "orchardgrass",
    "timothy",
    "cool-season grass with clover",
    "hybrid bermudagrass",
    "common bermudagrass",
    "bahiagrass",
];
pub(crate) const USES: [&str; 3] = ["hay", "pasture", "hay then grazed"];
pub(crate) const RATINGS: [&str; 4] = ["low", "medium", "high", "very high"];
pub(crate) const REGIONS: [&str; 3] = ["mountains", "piedmont", "coastal plain"];
pub(crate) const KINDS: [&str; 3] = ["broiler litter", "broiler cake", "turkey litter"];
/// Spans of a plan; one of them crosses the new year.
pub(crate) const SPANS: [(&str, &str); 4] = [
    ("2027-02-15", "2027-10-31"),
    ("2027-01-01", "2027-12-31"),
    ("2027-02-01", "2028-01-20"),
    ("2027-04-10", "2027-06-30"),
];
/// Kinds of keep-outs and whether the tables know their distance.
const KEEPS: [(&str, bool); 5] =
    [("well", true), ("dwelling", true), ("perennial stream", false), ("pond", false), ("sinkhole", false)];

#[derive(Clone, Debug)]
pub(crate) struct Farm {
    pub(crate) region: usize,
    pub(crate) span: usize,
    pub(crate) large: bool,
    /// N, P2O5, K2O in $/lb; sold and spreading in $/ton; hauling in $/ton-mile.
    pub(crate) prices: Option<[f64; 6]>,
    pub(crate) step: f64,
    pub(crate) least: f64,
    pub(crate) most: f64,
    pub(crate) load: f64,
    pub(crate) lots: Vec<Lot>,
    pub(crate) fields: Vec<Field>,
    pub(crate) keeps: Vec<Keep>,
}

#[derive(Clone, Debug)]
pub(crate) struct Lot {
    pub(crate) kind: usize,
    pub(crate) tons: f64,
    pub(crate) analysis: Option<Analysis>,
}

/// Contents in lb/ton, on the laboratory's basis.
#[derive(Clone, Debug)]
pub(crate) struct Analysis {
    pub(crate) dry: bool,
    pub(crate) moisture: f64,
    pub(crate) n: f64,
    pub(crate) p: f64,
    pub(crate) k: f64,
    pub(crate) elements: bool,
}

#[derive(Clone, Debug)]
pub(crate) struct Field {
    pub(crate) forage: usize,
    pub(crate) usage: usize,
    pub(crate) texture: Option<bool>,
    pub(crate) legume: Option<f64>,
    pub(crate) goal: f64,
    pub(crate) p: f64,
    pub(crate) k: f64,
    pub(crate) rating: Option<usize>,
    pub(crate) other_n: Option<f64>,
    pub(crate) most: Option<f64>,
    pub(crate) closed: bool,
    pub(crate) stale: bool,
    /// Distance of each corner from the middle, in ten thousandths of a degree.
    pub(crate) corners: Vec<f64>,
}

/// Something to keep away from, near the middle of a field.
#[derive(Clone, Debug)]
pub(crate) struct Keep {
    pub(crate) kind: usize,
    pub(crate) near: usize,
    pub(crate) east: f64,
    pub(crate) north: f64,
    pub(crate) feet: Option<f64>,
    pub(crate) strip: Option<bool>,
    pub(crate) own: Option<bool>,
}

/// How a farm is written.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Style {
    /// In kilograms, hectares and metres.
    pub(crate) metric: bool,
    /// Fields, lots and features from the last to the first.
    pub(crate) backwards: bool,
}

fn tenth(low: i32, high: i32) -> impl Strategy<Value = f64> {
    (low * 10..=high * 10).prop_map(|n| f64::from(n) / 10.0)
}

fn analysis() -> impl Strategy<Value = Analysis> {
    (any::<bool>(), tenth(5, 60), tenth(20, 90), tenth(5, 90), tenth(5, 90), any::<bool>())
        .prop_map(|(dry, moisture, n, p, k, elements)| Analysis { dry, moisture, n, p, k, elements })
}

fn lot() -> impl Strategy<Value = Lot> {
    (0..KINDS.len(), tenth(0, 600), proptest::option::weighted(0.8, analysis()))
        .prop_map(|(kind, tons, analysis)| Lot { kind, tons, analysis })
}

fn field() -> impl Strategy<Value = Field> {
    let stand = (
        0..FORAGES.len(),
        0..USES.len(),
        proptest::option::of(any::<bool>()),
        proptest::option::weighted(0.3, tenth(0, 60)),
        tenth(1, 9),
    );
    let soil = (tenth(0, 260), tenth(0, 260), proptest::option::weighted(0.7, 0..RATINGS.len()));
    let own = (
        proptest::option::weighted(0.2, tenth(0, 120)),
        proptest::option::weighted(0.2, tenth(0, 5)),
        proptest::bool::weighted(0.08),
        proptest::bool::weighted(0.08),
    );
    let corners = prop_oneof![
        // A rectangle, and any shape whose corners go round its middle.
        tenth(5, 20).prop_map(|r| vec![r; 4]),
        proptest::collection::vec(tenth(4, 25), 3..12),
    ];
    (stand, soil, own, corners).prop_map(|(stand, soil, own, corners)| Field {
        forage: stand.0,
        usage: stand.1,
        texture: stand.2,
        legume: stand.3,
        goal: stand.4,
        p: soil.0,
        k: soil.1,
        rating: soil.2,
        other_n: own.0,
        most: own.1,
        closed: own.2,
        stale: own.3,
        corners,
    })
}

fn keep() -> impl Strategy<Value = Keep> {
    (
        0..KEEPS.len(),
        0..6_usize,
        tenth(-30, 30),
        tenth(-30, 30),
        proptest::option::of(tenth(0, 300)),
        proptest::option::of(any::<bool>()),
        proptest::option::of(any::<bool>()),
    )
        .prop_map(|(kind, near, east, north, feet, strip, own)| Keep { kind, near, east, north, feet, strip, own })
}

/// Any farm.
pub(crate) fn farm() -> impl Strategy<Value = Farm> {
    let prices = [tenth(0, 2), tenth(0, 2), tenth(0, 2), tenth(0, 30), tenth(0, 20), tenth(0, 2)];
    // Settings such as 0.05 and 0.3 that no binary fraction hits.
    let step = proptest::sample::select(vec![0.05, 0.1, 0.25, 0.3, 0.5]);
    (
        (0..REGIONS.len(), 0..SPANS.len(), proptest::bool::weighted(0.1)),
        proptest::option::of(prices),
        (step, 1..8_i32, 0..30_i32, tenth(2, 20)),
        proptest::collection::vec(lot(), 1..=3),
        proptest::collection::vec(field(), 1..=6),
        proptest::collection::vec(keep(), 0..=5),
    )
        .prop_map(|(where_when, prices, spreader, lots, fields, keeps)| {
            let (step, least, more, load) = spreader;
            Farm {
                region: where_when.0,
                span: where_when.1,
                large: where_when.2,
                prices,
                step,
                least: step * f64::from(least),
                most: step * f64::from(least + more),
                load,
                lots,
                fields,
                keeps,
            }
        })
}

/// Hectares in an acre, metric tons in a short ton, kilograms in a pound,
/// metres in a foot: exact by definition.
const HA: f64 = 0.404_685_642_24;
const TONNE: f64 = 0.907_184_74;
const KG: f64 = 0.453_592_37;
const METRE: f64 = 0.304_8;

/// Any farm holds values far from what is usual.
const SURE: &str = "sure: {by: any, on: 2026-11-01}\n";

impl Farm {
    pub(crate) fn field_id(i: usize) -> String {
        format!("F{i}")
    }

    pub(crate) fn lot_id(i: usize) -> String {
        format!("lot{i}")
    }

    /// The farm as its three files.
    pub(crate) fn text(&self, style: Style) -> sward::farm::FarmText {
        sward::farm::FarmText {
            main: Some(self.main(style)),
            fields: Some(self.boundaries(style)),
            keepouts: Some(self.keepouts(style)),
            ..Default::default()
        }
    }

    fn main(&self, style: Style) -> String {
        let unit = |value: f64, customary: &str, factor: f64, metric: &str| {
            if style.metric { format!("{} {metric}", value * factor) } else { format!("{value} {customary}") }
        };
        let per_acre = |v: f64| unit(v, "tons/ac", TONNE / HA, "t/ha");
        let tons = |v: f64| unit(v, "tons", TONNE, "t");
        let content = |v: f64| unit(v, "lb/ton", 0.5, "kg/t");
        let (from, to) = SPANS[self.span];
        let mut text = format!(
            "farm: Any Farm\nplace: us-nc\nregion: {}\nlarge_operation: {}\nplan: {{from: {from}, to: {to}}}\n",
            REGIONS[self.region],
            if self.large { "yes" } else { "no" },
        );
        if let Some([n, p2o5, k2o, sold, spreading, hauling]) = self.prices {
            let pound = |v: f64| unit(v, "$/lb", 1.0 / KG, "$/kg");
            let ton = |v: f64| unit(v, "$/ton", 1.0 / TONNE, "$/t");
            write!(
                text,
                "prices:\n  n: {}\n  p2o5: {}\n  k2o: {}\n  litter_sold: {}\n  loading_spreading: {}\n  hauling: {hauling} $/ton-mile\n  {SURE}",
                pound(n), pound(p2o5), pound(k2o), ton(sold), ton(spreading),
            )
            .unwrap();
        }
        write!(
            text,
            "spreader:\n  swath: {}\n  load: {}\n  step: {}\n  least: {}\n  most: {}\n  {SURE}litter:\n",
            unit(30.0, "ft", METRE, "m"),
            tons(self.load),
            per_acre(self.step),
            per_acre(self.least),
            per_acre(self.most),
        )
        .unwrap();
        for i in order(self.lots.len(), style) {
            let lot = &self.lots[i];
            write!(
                text,
                "  - lot: {}\n    kind: {}\n    on_hand: {}\n    stored: shed\n    {SURE}",
                Farm::lot_id(i),
                KINDS[lot.kind],
                tons(lot.tons),
            )
            .unwrap();
            if let Some(a) = &lot.analysis {
                let (p, k) = if a.elements { ("p", "k") } else { ("p2o5", "k2o") };
                write!(
                    text,
                    "    analysis:\n      lab: any\n      sampled: 2027-01-11\n      basis: {}\n      moisture: {} %\n      total_n: {}\n      {p}: {}\n      {k}: {}\n",
                    if a.dry { "dry" } else { "as received" },
                    a.moisture,
                    content(a.n),
                    content(a.p),
                    content(a.k),
                )
                .unwrap();
            }
        }
        text.push_str("fields:\n");
        for i in order(self.fields.len(), style) {
            let f = &self.fields[i];
            write!(
                text,
                "  - id: {}\n    forage: {}\n    use: {}\n    yield_goal: {}\n",
                Farm::field_id(i),
                FORAGES[f.forage],
                USES[f.usage],
                per_acre(f.goal),
            )
            .unwrap();
            let mut line = |key: &str, value: Option<String>| {
                if let Some(value) = value {
                    writeln!(text, "    {key}: {value}").unwrap();
                }
            };
            line("texture", f.texture.map(|s| if s { "sandy" } else { "fine" }.into()));
            line("legume", f.legume.map(|l| format!("{l} %")));
            line("other_n", f.other_n.map(|n| unit(n, "lb/ac", KG / HA, "kg/ha")));
            line("most", f.most.map(per_acre));
            line("closed", f.closed.then(|| "wet".into()));
            line("phosphorus_rating", f.rating.map(|r| format!("{{rating: {}, by: any, on: 2026-06-01}}", RATINGS[r])));
            write!(
                text,
                "    {SURE}    soil_test:\n      lab: any\n      sampled: {}\n      extractant: mehlich-3\n      p: {} index\n      k: {} index\n",
                if f.stale { "2020-01-10" } else { "2025-11-12" },
                f.p,
                f.k,
            )
            .unwrap();
        }
        text
    }

    /// Fields lie in a chequer of squares, so that none lies over another.
    fn middle(&self, i: usize) -> (f64, f64) {
        (-79.5 + 0.006 * (i % 3) as f64, 35.7 + 0.006 * (i / 3) as f64)
    }

    /// The corners of a field, the first one again at the end.
    pub(crate) fn ring(&self, i: usize) -> Vec<(f64, f64)> {
        let corners = &self.fields[i].corners;
        let (lon, lat) = self.middle(i);
        let mut ring: Vec<(f64, f64)> = corners
            .iter()
            .enumerate()
            .map(|(c, r)| {
                let angle = std::f64::consts::TAU * c as f64 / corners.len() as f64;
                (lon + r * 1e-4 * angle.cos(), lat + r * 1e-4 * angle.sin())
            })
            .collect();
        ring.push(ring[0]);
        ring
    }

    fn boundaries(&self, style: Style) -> String {
        let mut features: Vec<String> = order(self.fields.len(), style)
            .map(|i| {
                let ring: Vec<String> = self.ring(i).iter().map(|(lon, lat)| format!("[{lon},{lat}]")).collect();
                feature(
                    &format!(r#""id":"{}""#, Farm::field_id(i)),
                    &format!(r#"{{"type":"Polygon","coordinates":[[{}]]}}"#, ring.join(",")),
                )
            })
            .collect();
        features.extend(order(self.lots.len(), style).map(|i| {
            feature(
                &format!(r#""kind":"stack","lot":"{}""#, Farm::lot_id(i)),
                &format!(r#"{{"type":"Point","coordinates":[{},35.6961]}}"#, -79.51 + 0.02 * i as f64),
            )
        }));
        collection(&features)
    }

    fn keepouts(&self, style: Style) -> String {
        let features: Vec<String> = order(self.keeps.len(), style)
            .map(|i| {
                let k = &self.keeps[i];
                let (kind, known) = KEEPS[k.kind];
                let (lon, lat) = self.middle(k.near);
                let (x, y) = (lon + k.east * 1e-4, lat + k.north * 1e-4);
                let mut properties = format!(r#""kind":"{kind}","name":"k{i}""#);
                if let Some(strip) = k.strip {
                    write!(properties, r#","vegetated_strip":{strip}"#).unwrap();
                }
                if let Some(own) = k.own {
                    let owner = if own { "own" } else { "neighbor" };
                    write!(properties, r#","owner":"{owner}""#).unwrap();
                }
                // Where the tables hold no distance the grower must give one.
                if let Some(feet) = k.feet.or((!known).then_some(35.0)) {
                    let (value, unit) = if style.metric { (feet * METRE, "m") } else { (feet, "ft") };
                    write!(properties, r#","setback":"{value} {unit}","setback_by":"Any One, 2026-01-15""#).unwrap();
                }
                let geometry = match kind {
                    "perennial stream" => format!(
                        r#"{{"type":"LineString","coordinates":[[{},{y}],[{x},{}],[{},{}]]}}"#,
                        x - 0.004,
                        y + 0.0007,
                        x + 0.003,
                        y + 0.003
                    ),
                    "pond" => format!(
                        r#"{{"type":"Polygon","coordinates":[[[{x},{y}],[{0},{y}],[{0},{1}],[{x},{y}]]]}}"#,
                        x + 0.0006,
                        y + 0.0005
                    ),
                    _ => format!(r#"{{"type":"Point","coordinates":[{x},{y}]}}"#),
                };
                feature(&properties, &geometry)
            })
            .collect();
        collection(&features)
    }
}

fn order(count: usize, style: Style) -> Box<dyn Iterator<Item = usize>> {
    if style.backwards { Box::new((0..count).rev()) } else { Box::new(0..count) }
}

fn feature(properties: &str, geometry: &str) -> String {
    format!(r#"{{"type":"Feature","properties":{{{properties}}},"geometry":{geometry}}}"#)
}

fn collection(features: &[String]) -> String {
    format!(r#"{{"type":"FeatureCollection","features":[{}]}}"#, features.join(",\n"))
}
