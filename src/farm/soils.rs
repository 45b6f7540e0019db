//! `soils.geojson`: what a soil survey maps under the fields, read through the
//! names that `soils:` in farm.yaml gives to its attributes.

use crate::farm::files::{MAIN, SOILS};
use crate::farm::geometry::{FarmFeature, features};
use crate::findings::{At, Finding, Findings, Place};
use crate::text::{Kind, Node, Walker, key_of, name_in_unit};
use crate::units::{self, Percent, Quantity, Yield, number};
use geo::{Geometry, MultiPolygon};

/// How the attributes of `soils.geojson` are called.
#[derive(Clone, Debug, PartialEq)]
pub struct SoilNames {
    /// Who mapped the soils.
    pub source: String,
    /// The attribute with a soil's name.
    pub name: Option<String>,
    /// The attributes with the hay yield, each for one forage or for all.
    pub yields: Vec<(Option<String>, Attribute)>,
    /// The attribute with the slope.
    pub slope: Option<Attribute>,
    /// The attribute with the drainage class.
    pub drainage: Option<String>,
    /// The attribute with the hydrologic group.
    pub group: Option<String>,
    /// Where the block starts.
    pub place: Place,
}

/// An attribute, and the unit of its bare numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Attribute {
    /// Its name in the file.
    pub name: String,
    /// The unit; empty where the values carry their own.
    pub unit: String,
}

/// A soil as mapped.
#[derive(Clone, Debug, PartialEq)]
pub struct Soil {
    /// Its name.
    pub name: String,
    /// Hay yield for a forage, or for all.
    pub yields: Vec<(Option<String>, At<Yield>)>,
    /// Slope.
    pub slope: Option<At<Percent>>,
    /// Drainage class, as the file has it.
    pub drainage: Option<String>,
    /// Hydrologic group, as the file has it.
    pub group: Option<String>,
    /// Its polygons in longitude and latitude.
    pub shape: MultiPolygon<f64>,
    /// Where its entry starts.
    pub place: Place,
}

impl Soil {
    /// Its hay yield for a forage: one that names it before one for all.
    #[must_use]
    pub fn yield_for(&self, forage: &str) -> Option<&At<Yield>> {
        let named = self.yields.iter().find(|(of, _)| of.as_deref() == Some(forage));
        named.or_else(|| self.yields.iter().find(|(of, _)| of.is_none())).map(|(_, tons)| tons)
    }

    /// Whether water stands in it: the drainage classes poorly and very poorly
    /// drained of the national soil survey (names from memory).
    #[must_use]
    pub fn wet(&self) -> bool {
        let class = self.drainage.as_deref().map(crate::text::key_of).unwrap_or_default();
        matches!(class.as_str(), "poorly_drained" | "very_poorly_drained")
    }
}

/// The block `soils:` of farm.yaml.
pub(super) fn names(node: &Node, findings: &mut Findings) -> Option<SoilNames> {
    let walk = Walker::new("the soils", node, findings)?;
    let source = walk.need_text("source", "who mapped the soils, and which edition", findings);
    let name = walk.text("name", findings).map(|t| t.value);
    let mut yields = Vec::new();
    match walk.ask("yield").map(|n| (&n.kind, n)) {
        Some((Kind::Map(entries), _)) => {
            for (forage, _, inner) in entries {
                yields.extend(inner.scalar().map(|text| (Some(key_of(forage)), attribute(text))));
            }
        }
        Some((_, inner)) => yields.extend(inner.scalar().map(|text| (None, attribute(text)))),
        None => {}
    }
    let slope = walk.text("slope", findings).map(|t| attribute(&t.value));
    let drainage = walk.text("drainage", findings).map(|t| t.value);
    let group = walk.text("hydrologic_group", findings).map(|t| t.value);
    let place = walk.place().clone();
    walk.finish(findings);
    Some(SoilNames { source: source?.value, name, yields, slope, drainage, group, place })
}

/// `hay_tons in tons/ac`: an attribute, and the unit of its bare numbers.
fn attribute(text: &str) -> Attribute {
    let (name, unit) = name_in_unit(text);
    Attribute { name: name.to_string(), unit: unit.to_string() }
}

/// Reads the polygons.
pub(super) fn read(text: &str, names: Option<&SoilNames>, findings: &mut Findings) -> Vec<Soil> {
    let Some(names) = names else {
        findings.push(
            Finding::note("soils-unread", &Place::file(SOILS), format!("{SOILS} is not read"))
                .fix(format!("name its attributes under `soils:` in {MAIN}")),
        );
        return Vec::new();
    };
    let mut met = vec![false; names.yields.len()];
    let features = features(SOILS, text, findings).features;
    let soils = features.into_iter().filter_map(|feature| soil(feature, names, &mut met, findings)).collect();
    for ((_, attribute), met) in names.yields.iter().zip(met) {
        if !met {
            let found = format!("no soil of {SOILS} has an attribute `{}`", attribute.name);
            findings.push(
                Finding::error("soil-attribute", &names.place, found)
                    .accepts("the name of the attribute that holds the yield, as the file has it"),
            );
        }
    }
    soils
}

fn soil(feature: FarmFeature, names: &SoilNames, met: &mut [bool], findings: &mut Findings) -> Option<Soil> {
    let shape = match feature.geometry {
        Geometry::Polygon(polygon) => MultiPolygon(vec![polygon]),
        Geometry::MultiPolygon(shape) => shape,
        _ => {
            findings.push(
                Finding::error("soil-shape", &feature.place, "the soil is a point, a line or a collection")
                    .accepts("a Polygon or MultiPolygon"),
            );
            return None;
        }
    };
    let node = feature.properties.as_ref();
    let word = |key: &Option<String>| {
        let value = node?.get(key.as_deref()?)?.scalar()?.trim().to_string();
        (!value.is_empty()).then_some(value)
    };
    let mut yields = Vec::new();
    for ((forage, attribute), met) in names.yields.iter().zip(met) {
        let value = node.and_then(|n| n.get(&attribute.name));
        *met |= value.is_some();
        let value = value.and_then(|n| quantity(n, attribute, findings));
        yields.extend(value.map(|value| (forage.clone(), value)));
    }
    let slope = names.slope.as_ref().and_then(|a| quantity(node?.get(&a.name)?, a, findings));
    Some(Soil {
        name: word(&names.name).unwrap_or_else(|| "soil".to_string()),
        yields,
        slope,
        drainage: word(&names.drainage),
        group: word(&names.group),
        shape,
        place: feature.place,
    })
}

/// The value of an attribute; an empty one is a soil that the survey gives
/// none for, such as water or rock.
fn quantity<Q: Quantity>(node: &Node, attribute: &Attribute, findings: &mut Findings) -> Option<At<Q>> {
    let text = node.scalar()?.trim();
    if text.is_empty() || text == "null" {
        return None;
    }
    let with_unit = if number(text).is_some() { format!("{text} {}", attribute.unit) } else { text.to_string() };
    match units::quantity::<Q>(&with_unit) {
        Ok(value) => Some(At { value, place: node.place.clone() }),
        Err(_) => {
            let found = format!("the soil: `{}` is `{}`", attribute.name, with_unit.trim());
            findings.push(
                Finding::error("soil-value", &node.place, found).accepts(units::accepted::<Q>()).fix(format!(
                    "say the unit under `soils:`, as in `{} in {}`",
                    attribute.name,
                    Q::UNIT
                )),
            );
            None
        }
    }
}
