//! GeoJSON (RFC 7946) features with the place of each in the file.

use crate::findings::{Finding, Findings, Place, Severity};
use crate::text::{self, Kind, Node};
use crate::units::number_text;
use geo::{CoordsIter, Geometry};

/// A feature: its properties with places, and its geometry.
pub(super) struct FarmFeature {
    /// The properties, as a tree.
    pub(super) properties: Option<Node>,
    /// The geometry in longitude and latitude.
    pub(super) geometry: Geometry<f64>,
    /// Where the feature starts.
    pub(super) place: Place,
    /// The feature's own `id`, beside its properties.
    pub(super) own_id: Option<String>,
}

/// The features of a file.
#[derive(Default)]
pub(super) struct FarmFeatures {
    /// Those that could be read.
    pub(super) features: Vec<FarmFeature>,
    /// Ids of those that could not.
    pub(super) unread: Vec<String>,
    /// False when the file as a whole could not be read.
    pub(super) whole: bool,
    /// How many features the file lists, read or not.
    listed: usize,
    /// Features whose numbers have few decimals.
    rough: Vec<Rough>,
}

/// A feature of which a whole line or ring is written with few decimals.
struct Rough {
    /// What it is called.
    name: String,
    /// How many corners it has, and how many of them are rough.
    corners: usize,
    rough: usize,
    /// Most decimals of those that are rough; zeros at the end say nothing.
    decimals: usize,
    /// Latitude of its first corner.
    latitude: f64,
    /// Where it starts.
    place: Place,
}

/// Decimals of a degree at and below which a corner is rough: our own choice;
/// one more decimal places a corner within four feet.
const FEW_DECIMALS: usize = 4;
/// Feet in a degree of latitude: 60 nautical miles of 1,852 m, each by definition.
const FEET_PER_DEGREE: f64 = 60.0 * 1_852.0 / 0.3048;
/// Most names that a message shows.
const MOST_NAMES: usize = 4;

impl FarmFeatures {
    /// Whether the file lists nothing at all.
    pub(super) fn read_none(&self) -> bool {
        self.listed == 0
    }

    /// Tells once of all features that are drawn with few decimals.
    pub(super) fn coarse(&self, file: &str, findings: &mut Findings) {
        let (Some(first), Some(worst)) = (self.rough.first(), self.rough.iter().min_by_key(|r| r.decimals)) else {
            return;
        };
        let names: Vec<&str> = self.rough.iter().take(MOST_NAMES).map(|r| r.name.as_str()).collect();
        let more = self.rough.len().saturating_sub(MOST_NAMES);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        let sum = |of: fn(&Rough) -> usize| self.rough.iter().map(of).sum::<usize>();
        let (corners, rough) = (sum(|r| r.corners), sum(|r| r.rough));
        let are = if rough == 1 { "corner is" } else { "corners are" };
        let of = if rough == corners { format!("{rough} {are}") } else { format!("{rough} of {corners} corners are") };
        let found = format!(
            "{file}: {of} written with {FEW_DECIMALS} decimals of a degree or fewer ({}{more}); rounded to {}, a corner \
             can lie {} off",
            names.join(", "),
            decimals_text(worst.decimals),
            far_text(worst.off_feet())
        );
        findings.push(
            Finding::warning("coordinates-rough", &first.place, found)
                .accepts("6 decimals, which place a corner within a foot")
                .fix("export the file again with 6 decimals, or draw these again"),
        );
    }
}

impl Rough {
    /// Feet that a corner can lie off where it was rounded: half a step north or south, and half
    /// a step east or west.
    fn off_feet(&self) -> f64 {
        let half = FEET_PER_DEGREE / 10f64.powi(i32::try_from(self.decimals).unwrap_or_default()) / 2.0;
        half.hypot(half * self.latitude.to_radians().cos())
    }
}

fn decimals_text(decimals: usize) -> String {
    match decimals {
        0 => "whole degrees".to_string(),
        1 => "1 decimal".to_string(),
        more => format!("{more} decimals"),
    }
}

/// A distance in feet, or in miles where it is long.
fn far_text(feet: f64) -> String {
    let (value, decimals, unit) = if feet < 5_280.0 { (feet, 0, "ft") } else { (feet / 5_280.0, 1, "miles") };
    format!("{} {unit}", number_text(value, decimals))
}

/// A file without a feature: nothing is kept away from, and that is told.
pub(super) fn none_read(file: &str) -> Finding {
    Finding::warning("keepouts-none", &Place::file(file), "the file lists nothing to keep away from")
        .accepts("the wells, streams, ponds, ditches, houses, roads and property lines near the fields")
        .fix("draw them; leave the list empty only where there is truly none near any field")
}

/// The lines, rings and points below a node, each with its corners' two numbers as they are
/// written; of a ring, the last corner repeats the first and is passed over.
fn each_line(node: &Node, each: &mut dyn FnMut(&[[&str; 2]])) {
    if let Some(point) = numbers(node) {
        each(&[point]);
        return;
    }
    match node.items().iter().map(numbers).collect::<Option<Vec<_>>>() {
        Some(line) => {
            let is_ring = line.len() > 3 && line.first() == line.last();
            each(&line[..line.len() - usize::from(is_ring)]);
        }
        None => node.items().iter().for_each(|inner| each_line(inner, each)),
    }
}

/// The two numbers of a position.
fn numbers(node: &Node) -> Option<[&str; 2]> {
    match node.items() {
        [x, y, ..] => Some([x.scalar()?, y.scalar()?]),
        _ => None,
    }
}

/// The decimals of a corner's numbers, where they are few.
fn few_decimals<'a>(numbers: &[&'a str; 2]) -> Option<[&'a str; 2]> {
    let [Some(x), Some(y)] = numbers.map(decimals) else { return None };
    (x.len().max(y.len()) <= FEW_DECIMALS).then_some([x, y])
}

/// Decimals of a number; none of one with a power of ten, which no one can count.
fn decimals(number: &str) -> Option<&str> {
    let plain = !number.contains(['e', 'E']);
    plain.then(|| number.split_once('.').map_or("", |(_, after)| after))
}

/// A feature with few decimals, when it is one. Numbers that are no degrees
/// are reported elsewhere.
fn rough(node: &Node, geometry: &Geometry<f64>, place: &Place) -> Option<Rough> {
    if geometry.coords_iter().any(|at| at.x.abs() > 180.0 || at.y.abs() > 180.0) {
        return None;
    }
    let (mut corners, mut rough, mut most) = (0, 0, 0);
    each_line(node.get("geometry")?.get("coordinates")?, &mut |line| {
        corners += line.len();
        // Some corners end in zeros that their program leaves out; all of them do not.
        let Some(all) = line.iter().map(few_decimals).collect::<Option<Vec<_>>>() else { return };
        rough += all.len();
        most = all.iter().flatten().map(|own| own.trim_end_matches('0').len()).fold(most, usize::max);
    });
    if rough == 0 {
        return None;
    }
    let of = |key: &str| node.get("properties")?.get(key)?.scalar().map(str::trim).filter(|text| !text.is_empty());
    let name = match (of("name").or_else(|| of("id")), of("kind"), of("field").or_else(|| of("lot"))) {
        (Some(name), _, _) => name.to_string(),
        (None, Some(kind), Some(what)) => format!("{kind} of {what}"),
        (None, kind, _) => kind.unwrap_or("one without a name").to_string(),
    };
    let latitude = geometry.coords_iter().next()?.y;
    Some(Rough { name, corners, rough, decimals: most, latitude, place: place.clone() })
}

/// A line that is only a dot was not drawn to its end.
fn dot_for_a_line(geometry: &Geometry<f64>) -> bool {
    let dot = |line: &geo::LineString<f64>| !line.0.iter().any(|at| Some(at) != line.0.first());
    match geometry {
        Geometry::LineString(line) => dot(line),
        Geometry::MultiLineString(lines) => lines.0.iter().any(dot),
        Geometry::GeometryCollection(all) => all.0.iter().any(dot_for_a_line),
        _ => false,
    }
}

/// Reads the features of a collection; each one that cannot be read is a
/// finding of its own.
pub(super) fn features(file: &str, text: &str, findings: &mut Findings) -> FarmFeatures {
    let collection = match text.parse::<geojson::GeoJson>() {
        Ok(geojson::GeoJson::FeatureCollection(collection)) => {
            if refused_crs(file, &collection, findings) {
                return FarmFeatures::default();
            }
            collection
        }
        Ok(_) => {
            let found = "the file holds a single feature or geometry";
            findings.push(
                Finding::error("geojson", &Place::file(file), found)
                    .accepts("a FeatureCollection (RFC 7946)")
                    .fix("put it into the list `features` of a FeatureCollection"),
            );
            return FarmFeatures::default();
        }
        Err(e) => {
            findings.push(not_geojson(file, &e.to_string()));
            return FarmFeatures::default();
        }
    };
    let tree = text::parse(file, text, findings);
    let nodes = tree.as_ref().and_then(|t| t.get("features")).map(Node::items).unwrap_or_default();
    let mut read = FarmFeatures { whole: true, listed: nodes.len(), ..FarmFeatures::default() };
    for (i, feature) in collection.features.into_iter().enumerate() {
        let node = nodes.get(i);
        let place = node.map_or_else(|| Place::file(file), |n| n.place.clone());
        match shape_of(node, feature.geometry, &place) {
            Ok(geometry) => {
                let properties = node.and_then(|n| n.get("properties")).filter(|n| n.kind != Kind::Empty).cloned();
                read.rough.extend(node.and_then(|node| rough(node, &geometry, &place)));
                let own_id = node.and_then(|n| n.get("id")?.scalar()).map(str::to_string);
                read.features.push(FarmFeature { properties, geometry, place, own_id });
            }
            Err(finding) => {
                read.unread.extend(node.and_then(id_of));
                findings.push(*finding);
            }
        }
    }
    read
}

/// Whether the file names a system of coordinates, from before RFC 7946, in which nothing of it
/// can be read.
fn refused_crs(file: &str, collection: &geojson::FeatureCollection, findings: &mut Findings) -> bool {
    let crs = collection.foreign_members.as_ref().and_then(|members| members.get("crs")).filter(|crs| !crs.is_null());
    let found = crs.and_then(|crs| text::crs_finding(file, &text::named(&text::crs_name(crs))));
    let refused = found.as_ref().is_some_and(|finding| finding.severity == Severity::Error);
    if let Some(finding) = found {
        findings.push(finding);
    }
    refused
}

/// The geometry of a feature, or why there is none.
fn shape_of(
    node: Option<&Node>,
    geometry: Option<geojson::Geometry>,
    place: &Place,
) -> Result<Geometry<f64>, Box<Finding>> {
    if let Some(place) = node.and_then(|n| short_position(n.get("geometry")?)) {
        return Err(Box::new(
            Finding::error("geojson", place, "a corner of the feature has fewer than two numbers")
                .accepts("longitude and latitude, as in [-79.5, 35.7]"),
        ));
    }
    let error = |found: String| Box::new(Finding::error("geojson", place, found));
    let again = "draw it again or take it out";
    let Some(geometry) = geometry else {
        return Err(Box::new(error("the feature has no geometry".to_string()).fix(again)));
    };
    let geometry = Geometry::<f64>::try_from(geometry.value)
        .map_err(|e| error(format!("the feature's geometry cannot be read: {e}")))?;
    if dot_for_a_line(&geometry) {
        let found = "a line of the feature has a single corner or none".to_string();
        let finding = error(found).accepts("two corners or more in every line; a Point for a single place");
        return Err(Box::new(finding.fix("draw the line again, or make it a Point")));
    }
    if geometry.coords_iter().next().is_none() {
        return Err(Box::new(error("the feature's geometry has no corner at all".to_string()).fix(again)));
    }
    Ok(geometry)
}

/// A position with fewer than two numbers, on which the conversion would fail.
fn short_position(geometry: &Node) -> Option<&Place> {
    if let Some(inner) = geometry.get("geometries") {
        return inner.items().iter().find_map(short_position);
    }
    // How many lists stand around a position.
    let around = match geometry.get("type")?.scalar()? {
        "Point" => 0,
        "MultiPoint" | "LineString" => 1,
        "Polygon" | "MultiLineString" => 2,
        "MultiPolygon" => 3,
        _ => return None,
    };
    short_inside(geometry.get("coordinates")?, around)
}

fn short_inside(node: &Node, around: usize) -> Option<&Place> {
    if around > 0 {
        return node.items().iter().find_map(|inner| short_inside(inner, around - 1));
    }
    (node.items().len() < 2).then_some(&node.place)
}

/// The property `id` of a feature.
pub(super) fn id_of(feature: &Node) -> Option<String> {
    let id = feature.get("properties")?.get("id")?.scalar()?;
    Some(id.trim().to_string())
}

/// The parser's message, with the line and column that it ends on as a place.
fn not_geojson(file: &str, message: &str) -> Finding {
    let message = message.strip_prefix("Error while deserializing GeoJSON: ").unwrap_or(message);
    let split = message.rsplit_once(" at line ").and_then(|(what, at)| {
        let (line, column) = at.split_once(" column ")?;
        Some((what, line.parse().ok()?, column.parse().ok()?))
    });
    let (what, line, column) = split.unwrap_or((message, 0, 0));
    let place = Place { file: file.into(), line, column: column.max(usize::from(line > 0)) };
    Finding::error("geojson", &place, format!("the file is not GeoJSON: {what}"))
        .accepts("a FeatureCollection (RFC 7946) in longitude and latitude")
        .fix("export it again, or look near this place for a missing comma or bracket")
}
