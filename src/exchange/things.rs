//! Gates, stacks and what litter keeps away from: points, lines and areas, put in order with the
//! same care as fields.

use crate::exchange::choices::Options;
use crate::exchange::given::{Corners, Given};
use crate::exchange::kinds::{Drawn, Goes, Kind};
use crate::exchange::phrase::{counted, listed, tidy};
use crate::exchange::{areas, rings};
use crate::findings::{Finding, Findings, Place, with_article};
use geo::{
    Contains, Coord, Geometry, GeometryCollection, LineString, MultiLineString, MultiPoint, MultiPolygon, Point,
    Polygon,
};
use serde::Serialize;
use std::collections::BTreeMap;

/// What a farm's own files say of a thing, and is carried over where a file has it.
const CARRIED: [&str; 8] = ["owner", "vegetated_strip", "setback", "setback_by", "consent", "above_by", "field", "lot"];

/// A clean thing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Thing {
    /// What it is, in the words of the farm's files.
    pub kind: String,
    /// Its name, when the file has one.
    pub name: Option<String>,
    /// What else the farm's files want to know of it and the file says.
    pub said: BTreeMap<String, String>,
    /// Where it comes from.
    pub from: Place,
    /// Whether it belongs into the fields' file: a gate or a stack.
    pub with_fields: bool,
    /// Where it is, in longitude and latitude.
    #[serde(skip)]
    pub shape: Geometry<f64>,
}

/// Puts things in order; what is changed, refused and left to fill in is told.
pub(super) fn things(
    all: Vec<(Given, &'static Kind)>,
    options: &Options,
    turned: &mut usize,
    findings: &mut Findings,
) -> Vec<Thing> {
    let mut made = Vec::new();
    let mut wanted: BTreeMap<&str, (Place, Vec<String>)> = BTreeMap::new();
    let mut told: BTreeMap<&str, (Place, Vec<String>)> = BTreeMap::new();
    let mut passed_over: Vec<String> = Vec::new();
    for (given, kind) in all {
        let Some(shape) = shape(&given, kind, options, turned, findings) else { continue };
        let said = said(&given, &mut passed_over);
        for key in kind.ask.iter().filter(|key| !said.contains_key(key.as_str())) {
            note_of(&mut wanted, key, &given);
        }
        let open = !given.chosen && !given.names().any(|name| kind.surely(name));
        if let Some(say) = kind.say.as_ref().filter(|_| open) {
            note_of(&mut told, say, &given);
        }
        made.push(Thing {
            kind: kind.kind.clone(),
            name: given.name().map(tidy),
            said,
            from: given.place,
            with_fields: kind.goes == Goes::Fields,
            shape,
        });
    }
    let whole = made.first().map_or_else(Place::default, |thing| Place::file(&thing.from.file));
    names(&mut made, &whole, findings);
    for (say, (file, labels)) in told {
        let found = format!("{say}: {}", listed(&labels));
        findings.push(
            Finding::warning("import-taken", &file, found)
                .fix("where one dries up part of the year, import it with --kind \"NAME=intermittent stream\""),
        );
    }
    for (key, (file, labels)) in wanted {
        let (what, accepted) = wanting(key);
        let found = format!("{what}: {}", listed(&labels));
        findings.push(
            Finding::warning("import-fill-in", &file, found)
                .accepts(accepted)
                .fix(format!("add \"{key}\" to the properties of each, in the file that is written")),
        );
    }
    passed_over.sort();
    passed_over.dedup();
    if !passed_over.is_empty() {
        let found = format!("properties not used: {}", listed(&passed_over));
        findings.push(Finding::note("import-properties", &whole, found));
    }
    made
}

/// Adds a thing to those of which the same is told, under the file of the first.
fn note_of<'a>(of: &mut BTreeMap<&'a str, (Place, Vec<String>)>, key: &'a str, given: &Given) {
    let (_, labels) = of.entry(key).or_insert_with(|| (Place::file(&given.place.file), Vec::new()));
    labels.push(given.label.clone());
}

/// What a key is for, and what may be filled in.
fn wanting(key: &str) -> (&'static str, &'static str) {
    match key {
        "owner" => ("no owner given", "own or neighbor; without it the setback for a neighbor's holds"),
        "vegetated_strip" => (
            "no word on a strip of permanent vegetation along the bank",
            "true or false; without it none is counted on",
        ),
        "field" => ("no field given that the gate opens to", "the id of a field"),
        _ => ("no lot given that is stacked there", "the name of a lot"),
    }
}

/// What the file says that the farm's files want to know.
fn said(given: &Given, passed_over: &mut Vec<String>) -> BTreeMap<String, String> {
    let mut said = BTreeMap::new();
    let name = given.name().map(str::to_string);
    for (key, value) in &given.properties {
        let value = value.trim();
        let own = key.to_lowercase();
        // A parcel's owner is a person; whose a well is, is own or a neighbor's.
        let fits = match own.as_str() {
            "owner" => matches!(value.to_lowercase().as_str(), "own" | "neighbor" | "neighbour"),
            "vegetated_strip" => matches!(value.to_lowercase().as_str(), "true" | "false" | "yes" | "no"),
            _ => CARRIED.contains(&own.as_str()),
        };
        if fits && !value.is_empty() {
            said.insert(own, tidy(value));
        } else if !value.is_empty() && own != "id" && own != "kind" && name.as_deref() != Some(value) {
            passed_over.push(key.clone());
        }
    }
    said
}

/// Numbers things without a name, and tells names that stand twice.
fn names(made: &mut [Thing], whole: &Place, findings: &mut Findings) {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    let mut numbered = Vec::new();
    for thing in made.iter_mut().filter(|thing| thing.name.is_none() && !thing.with_fields) {
        let count = counts.entry(thing.kind.clone()).or_insert(0);
        *count += 1;
        let name = format!("{} {count}", thing.kind);
        numbered.push(name.clone());
        thing.name = Some(name);
    }
    if !numbered.is_empty() {
        let found = format!("without a name, numbered in the order of the file: {}", listed(&numbered));
        findings.push(Finding::warning("import-id", whole, found).fix("give them names by which a driver knows them"));
    }
    let mut called: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    for thing in made.iter() {
        *called.entry((&thing.kind, thing.name.as_deref().unwrap_or_default())).or_insert(0) += 1;
    }
    let twice: Vec<String> = called
        .iter()
        .filter(|((_, name), count)| **count > 1 && !name.is_empty())
        .map(|((kind, name), count)| format!("{name} ({kind}, {count} times)"))
        .collect();
    if !twice.is_empty() {
        let found = format!("the same name more than once, all kept: {}", listed(&twice));
        findings.push(Finding::note("import-twice", whole, found));
    }
}

/// Where a thing is. `None` where it cannot be used, which is told.
fn shape(
    given: &Given,
    kind: &Kind,
    options: &Options,
    turned: &mut usize,
    findings: &mut Findings,
) -> Option<Geometry<f64>> {
    let mut own = given.clone();
    let has = |drawn: Drawn| kind.shapes.contains(&drawn);
    if !has(Drawn::Line) && has(Drawn::Area) {
        close(&mut own, options.close, findings);
    }
    let areas = if own.parts.is_empty() {
        MultiPolygon(Vec::new())
    } else {
        areas::shape(&own, options.fix, turned, findings)?
    };
    let lines = lines(&own, findings)?;
    let mut spots = spots(&own, findings)?;
    let before = spots.len();
    spots.retain(|at| !areas.contains(at));
    if spots.len() < before {
        let found = format!("{}: a point in its own area adds nothing; left out", own.label);
        findings.push(Finding::note("import-points", &own.place, found));
    }
    let mut parts: Vec<Geometry<f64>> = Vec::new();
    if !areas.0.is_empty() {
        parts.push(area(areas, &own, kind, findings)?);
    }
    if !lines.is_empty() {
        if !has(Drawn::Line) {
            findings.push(misdrawn(&own, kind, "a line"));
            return None;
        }
        parts.push(single(lines, Geometry::LineString, |all| Geometry::MultiLineString(MultiLineString(all))));
    }
    if !spots.is_empty() {
        if !has(Drawn::Point) {
            findings.push(misdrawn(&own, kind, "a point"));
            return None;
        }
        parts.push(single(spots, Geometry::Point, |all| Geometry::MultiPoint(MultiPoint(all))));
    }
    (!parts.is_empty()).then(|| single(parts, |one| one, |all| Geometry::GeometryCollection(GeometryCollection(all))))
}

/// One as it is, several as a collection of them.
fn single<T>(
    mut all: Vec<T>,
    one: impl Fn(T) -> Geometry<f64>,
    many: impl Fn(Vec<T>) -> Geometry<f64>,
) -> Geometry<f64> {
    match (all.len(), all.pop()) {
        (1, Some(own)) => one(own),
        (_, last) => {
            all.extend(last);
            many(all)
        }
    }
}

/// The areas of a kind that is drawn otherwise.
fn area(areas: MultiPolygon<f64>, given: &Given, kind: &Kind, findings: &mut Findings) -> Option<Geometry<f64>> {
    let has = |drawn: Drawn| kind.shapes.contains(&drawn);
    if has(Drawn::Area) {
        return Some(single(areas.0, Geometry::Polygon, |all| Geometry::MultiPolygon(MultiPolygon(all))));
    }
    if has(Drawn::Outline) {
        let found = format!("{}: drawn as an area; the line around it was taken as the {}", given.label, kind.kind);
        findings.push(Finding::warning("import-outline", &given.place, found).fix("check it on a map"));
        let rings = |part: Polygon<f64>| {
            let (outer, inner) = part.into_inner();
            std::iter::once(outer).chain(inner)
        };
        let lines: Vec<LineString<f64>> = areas.0.into_iter().flat_map(rings).collect();
        return Some(single(lines, Geometry::LineString, |all| Geometry::MultiLineString(MultiLineString(all))));
    }
    if has(Drawn::Loose) {
        let found = format!("{}: {} is a point, and this is an area", given.label, with_article(&kind.kind));
        findings.push(
            Finding::warning("import-drawn", &given.place, found)
                .accepts("a point; the distance now counts from the edge of the area")
                .fix("put a point where it is, if the area is much larger"),
        );
        return Some(single(areas.0, Geometry::Polygon, |all| Geometry::MultiPolygon(MultiPolygon(all))));
    }
    findings.push(misdrawn(given, kind, "an area"));
    None
}

/// A thing drawn so that it would protect too little.
fn misdrawn(given: &Given, kind: &Kind, drawn: &str) -> Finding {
    let word = |own: &Drawn| match own {
        Drawn::Point | Drawn::Loose => "a point",
        Drawn::Line => "a line",
        Drawn::Area | Drawn::Outline => "an area",
    };
    let mut ways: Vec<&str> = kind.shapes.iter().map(word).collect();
    ways.dedup();
    let found = format!("{} is {} drawn as {drawn}", given.label, with_article(&kind.kind));
    let close =
        if drawn == "a line" && ways.contains(&"an area") { "; --close closes lines that run around it" } else { "" };
    Finding::error("import-drawn", &given.place, found)
        .accepts(format!("{} for {}", ways.join(" or "), with_article(&kind.kind)))
        .fix(format!("draw it again{close}; or {}", given.left_out_by()))
}

/// Turns lines that run back to where they began, or all lines where that is asked for, into areas.
fn close(given: &mut Given, all: bool, findings: &mut Findings) {
    for line in std::mem::take(&mut given.lines) {
        if all || rings::closed(&line) {
            let found = format!("{}: a line of {} corners was closed into an area", given.label, line.len());
            findings.push(Finding::warning("import-closed", &given.place, found).fix("check it on a map"));
            given.parts.push(vec![line]);
        } else {
            given.lines.push(line);
        }
    }
}

fn not_a_number(given: &Given) -> Finding {
    Finding::error("import-ring", &given.place, format!("{}: a corner is not a number", given.label))
        .accepts("longitude and latitude in degrees")
}

fn rounded(given: &Given, corners: &Corners, findings: &mut Findings) -> Option<Vec<Coord<f64>>> {
    if corners.iter().any(|at| !at.x.is_finite() || !at.y.is_finite()) {
        findings.push(not_a_number(given));
        return None;
    }
    Some(corners.iter().map(|at| rings::rounded(*at)).collect())
}

/// The lines, without repeated corners.
fn lines(given: &Given, findings: &mut Findings) -> Option<Vec<LineString<f64>>> {
    let mut all = Vec::new();
    let mut doubles = 0;
    for line in &given.lines {
        let mut corners = rounded(given, line, findings)?;
        let before = corners.len();
        corners.dedup();
        doubles += before - corners.len();
        if corners.len() < 2 {
            let found = format!("{}: a line of a single place has no length", given.label);
            findings.push(
                Finding::error("import-ring", &given.place, found)
                    .accepts("at least two different corners")
                    .fix(format!("draw it again, or {}", given.left_out_by())),
            );
            return None;
        }
        all.push(LineString(corners));
    }
    if doubles > 0 {
        let corners = counted(doubles, "corner");
        let found = format!("{}: {corners} repeated the one before; taken out", given.label);
        findings.push(Finding::note("import-doubles", &given.place, found));
    }
    Some(all)
}

fn spots(given: &Given, findings: &mut Findings) -> Option<Vec<Point<f64>>> {
    let mut all: Vec<Point<f64>> = Vec::new();
    for at in rounded(given, &given.spots, findings)? {
        if !all.contains(&Point(at)) {
            all.push(Point(at));
        }
    }
    Some(all)
}
