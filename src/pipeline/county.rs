//! Very many fields at once: their spreadable acres.
//!
//! One thread reads the fields and hands them over in batches, as they come; meanwhile the
//! keep-outs are read. Then all processors work through the batches. Fields are not kept, only
//! their acres, and these are put in the order of the file, whoever had them done first.

use crate::check::county::{self, Distances, KeepOutLies};
use crate::exchange::{self, Beside, Feature, Foreign};
use crate::farm::properties::{self, ForeignProperty};
use crate::findings::{Finding, Findings, Place};
use crate::ground::{Acres, Gathered, Surroundings};
use crate::tables::Book;
use crate::text;
use geo::{BoundingRect, Coord, CoordsIter, Geometry, MultiPolygon, Rect};
use std::collections::BTreeMap;
use std::io;
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};

/// Fields handed over at once.
const BATCH: usize = 128;
/// Batches that may wait: 16,000 fields, some 10 MB.
const WAITING: usize = 128;
/// Features of a file up to which every field's acres are held against the shape that is left,
/// and of those beyond, one of so many.
const ALL_CHECKED: usize = 100;
const ONE_CHECKED_OF: usize = 100;
/// Most findings that are told of one file.
const MOST_TOLD: usize = 100;

/// The properties of a field that are asked for. A name is for maps only, and the others belong to
/// the points of gates and stacks.
const OF_A_FIELD: &[&str] = &["id", "name", "kind", "field", "lot"];
/// Those of a keep-out that count on a farm, where somebody answers for them; here the distance of
/// the place holds.
const OF_A_FARM: &[&str] = &["consent", "above", "above_by", "setback_by"];

/// What is wrong with a feature, by its number in the file; 0 is the file itself.
type FeatureFinding = (usize, Finding);

/// A field of the file.
struct MeasuredField {
    number: usize,
    id: Option<String>,
    acres: Option<Acres>,
}

/// What one thread found out.
#[derive(Default)]
struct MeasuredFields {
    rows: Vec<MeasuredField>,
    told: Vec<FeatureFinding>,
    around: Option<Rect<f64>>,
}

/// What is to be stayed away from.
#[derive(Default)]
struct CountyKeepOuts {
    gathered: Gathered,
    told: Vec<FeatureFinding>,
    /// A corner of each.
    at: Vec<(usize, Coord<f64>)>,
}

/// A file of features: its name in messages, and how its bytes are read.
pub struct FeatureFile<'a> {
    /// Its name.
    pub name: String,
    /// Reads it; it is read again where a line of it is shown.
    pub read: Box<dyn Fn() -> io::Result<Vec<u8>> + Sync + 'a>,
}

/// Measures the spreadable acres of every field of a file outside of the keep-outs of
/// another, in the order of the file.
#[must_use]
pub fn acres(
    fields: &FeatureFile<'_>,
    keepouts: &FeatureFile<'_>,
    book: Option<Book<'_>>,
    large: bool,
) -> (Vec<(String, Acres)>, Findings) {
    let (done, things) = measured(fields, keepouts, Distances::new(book, large));
    let mut findings = Findings::new();
    let mut rows = done.rows;
    rows.sort_unstable_by_key(|row| row.number);
    let mut told = done.told;
    told.extend(twice(&rows));
    put(fields, told, &mut findings);
    put(keepouts, things.told, &mut findings);
    (rows.into_iter().filter_map(|row| Some((row.id?, row.acres?))).collect(), findings)
}

/// Reads both files and measures all fields.
fn measured(
    fields: &FeatureFile<'_>,
    keepouts: &FeatureFile<'_>,
    distances: Distances<'_>,
) -> (MeasuredFields, CountyKeepOuts) {
    let (send, receive) = sync_channel(WAITING);
    let receive = Mutex::new(receive);
    std::thread::scope(|scope| {
        let reader = scope.spawn(|| read_fields(fields, send));
        let mut things = read_things(keepouts, distances);
        let surroundings = std::mem::take(&mut things.gathered).done();
        let mut all = shared_out(&receive, &surroundings);
        all.told.extend(reader.join().unwrap_or_else(|cause| std::panic::resume_unwind(cause)));
        if let Some(around) = all.around {
            lost(around, &mut things);
        }
        (all, things)
    })
}

/// Measures fields on all processors.
fn shared_out(receive: &Mutex<Receiver<Vec<Feature>>>, surroundings: &Surroundings) -> MeasuredFields {
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| {
        let workers: Vec<_> = (0..threads).map(|_| scope.spawn(|| work(receive, surroundings))).collect();
        let mut all = MeasuredFields::default();
        for worker in workers {
            let done = worker.join().unwrap_or_else(|cause| std::panic::resume_unwind(cause));
            all.rows.extend(done.rows);
            all.told.extend(done.told);
            all.around = all.around.into_iter().chain(done.around).reduce(joined);
        }
        all
    })
}

/// Reads the fields and hands them over batch by batch; gives what is wrong with the file.
fn read_fields(file: &FeatureFile<'_>, send: SyncSender<Vec<Feature>>) -> Vec<FeatureFinding> {
    let mut batch = Vec::with_capacity(BATCH);
    let wrong = each(file, OF_A_FIELD, &mut |feature| {
        batch.push(feature);
        if batch.len() == BATCH {
            // Nobody takes it only when the program ends anyway.
            let _ = send.send(std::mem::replace(&mut batch, Vec::with_capacity(BATCH)));
        }
    });
    let _ = send.send(batch);
    wrong
}

/// Reads the keep-outs, each with its distance.
fn read_things(file: &FeatureFile<'_>, mut distances: Distances<'_>) -> CountyKeepOuts {
    let mut things = CountyKeepOuts::default();
    let wrong = each(file, county::ASKED, &mut |Feature { number, geometry, properties, .. }| {
        let told = match (geometry, distances.feet(number, &properties)) {
            (Err(why), _) => feature_wrong(number, &why),
            (_, Err(finding)) => *finding,
            (Ok(geometry), Ok(feet)) => match things.gathered.add(&geometry, feet) {
                Ok(()) => {
                    things.at.extend(geometry.coords_iter().next().map(|at| (number, at)));
                    return;
                }
                Err(why) => county::unfit_thing(number, &properties, &why, geometry.coords_iter().next()),
            },
        };
        things.told.push((number, told));
    });
    things.told.extend(wrong);
    things
}

/// Hands over every feature of a file; gives what is wrong with the file as a whole, and which
/// properties of it are not read.
fn each(file: &FeatureFile<'_>, asked: &'static [&'static str], take: &mut dyn FnMut(Feature)) -> Vec<FeatureFinding> {
    let mut given = vec![false; asked.len()];
    let read = whole(file, asked, &mut |feature| {
        for (place, _) in &feature.properties {
            given.get_mut(*place).into_iter().for_each(|given| *given = true);
        }
        take(feature);
    });
    match read {
        Ok((crs, foreign)) => {
            let given: Vec<&str> = asked.iter().zip(given).filter(|(_, given)| *given).map(|(key, _)| *key).collect();
            crs.into_iter().map(|finding| (0, finding)).chain(unread(asked, &given, &foreign)).collect()
        }
        Err(finding) => vec![(0, *finding)],
    }
}

/// What is said of the properties that are not read. They stand at the first feature that has them.
fn unread(asked: &'static [&'static str], given: &[&'static str], foreign: &[Foreign]) -> Vec<FeatureFinding> {
    let met: Vec<ForeignProperty<'_>> = foreign
        .iter()
        .filter(|foreign| !OF_A_FARM.contains(&foreign.name.as_str()))
        // The number of the feature, until places are sought.
        .map(|own| ForeignProperty {
            name: &own.name,
            times: own.times,
            place: Place { line: own.first, ..Place::default() },
        })
        .collect();
    let mut findings = Findings::new();
    properties::unread(asked, given, &met, &mut findings);
    let farms: Vec<String> = foreign
        .iter()
        .filter(|own| OF_A_FARM.contains(&own.name.as_str()))
        .map(|own| format!("`{}`", own.name))
        .collect();
    if !farms.is_empty() && asked != OF_A_FIELD {
        let found = format!("{} count in a farm's plan only, and ease no distance here", farms.join(", "));
        findings.push(Finding::note("properties-unread", &Place::default(), found));
    }
    findings.sorted().into_iter().map(|finding| (finding.place.line, finding.clone())).collect()
}

/// What a file says of its numbers, and its properties that were not asked for.
type CrsAndForeign = (Option<Finding>, Vec<Foreign>);

/// Hands over every feature of a file.
fn whole(file: &FeatureFile<'_>, asked: &[&str], take: &mut dyn FnMut(Feature)) -> Result<CrsAndForeign, Box<Finding>> {
    let name = &file.name;
    let whole = Place::file(name);
    let text = match (file.read)().map(|bytes| text::decode(name, bytes)) {
        Ok(Ok(text)) => text,
        Ok(Err(finding)) => return Err(finding),
        Err(e) => return Err(Box::new(Finding::error("cannot-read", &whole, format!("the file cannot be read: {e}")))),
    };
    let finding = match exchange::features(&text, asked, take) {
        Ok(Beside { kind: Some(kind), listed: true, crs, foreign }) if kind == "FeatureCollection" => {
            return Ok((crs.and_then(|crs| text::crs_finding(name, &crs)), foreign));
        }
        Ok(_) => Finding::error("geojson", &whole, "the file is JSON but no FeatureCollection")
            .accepts("a FeatureCollection (RFC 7946) in longitude and latitude"),
        Err(e) => {
            let place = Place { file: name.clone().into(), line: e.line(), column: e.column().max(1) };
            let said = e.to_string();
            let said = said.split(" at line ").next().unwrap_or_default();
            Finding::error("geojson", &place, format!("the file is not GeoJSON: {said}"))
                .accepts("a FeatureCollection (RFC 7946) in longitude and latitude")
                .fix("export it again, or look near this place for a missing comma or bracket")
        }
    };
    Err(Box::new(finding))
}

/// Measures fields until there are no more.
fn work(receive: &Mutex<Receiver<Vec<Feature>>>, surroundings: &Surroundings) -> MeasuredFields {
    let mut done = MeasuredFields::default();
    loop {
        let batch = receive.lock().map(|receive| receive.recv());
        let Ok(Ok(batch)) = batch else { return done };
        for feature in batch {
            field(feature, surroundings, &mut done);
        }
    }
}

fn field(
    Feature { number, geometry, properties, id }: Feature,
    surroundings: &Surroundings,
    done: &mut MeasuredFields,
) {
    let id = county::id_of(properties.iter().find(|(place, _)| *place == 0).map(|(_, id)| id))
        .or_else(|| county::id_of(id.as_ref()));
    let name = id.as_ref().map_or_else(|| format!("feature {number}"), |id| format!("field {id}"));
    let shape = match geometry {
        // A gate or a stack, as a farm's file has them.
        Ok(Geometry::Point(_)) => return,
        Ok(Geometry::Polygon(polygon)) => MultiPolygon(vec![polygon]),
        Ok(Geometry::MultiPolygon(shape)) => shape,
        Ok(_) => {
            let found = format!("{name}: it is a line, points or a collection");
            let finding = Finding::error("boundary-shape", &Place::default(), found);
            done.told.push((number, finding.accepts("a Polygon or MultiPolygon for a field")));
            return;
        }
        Err(why) => {
            done.told.push((number, feature_wrong(number, &why)));
            return;
        }
    };
    if id.is_none() {
        let found = format!("{name}: the boundary does not say which field it is");
        let finding = Finding::error("boundary-id", &Place::default(), found);
        done.told.push((number, finding.accepts("a property `id`, different for each field")));
    }
    let checked = number <= ALL_CHECKED || number % ONE_CHECKED_OF == 0;
    let acres = if checked { surroundings.acres_checked(&shape) } else { surroundings.acres(&shape) };
    let acres = match acres {
        Ok(acres) => {
            let around = shape.bounding_rect();
            let off = around.and_then(|around| county::field_off_the_map(&name, around.center()));
            match off {
                Some(finding) => done.told.push((number, finding)),
                // Only fields in their place say where things should lie.
                None => done.around = done.around.into_iter().chain(around).reduce(joined),
            }
            Some(acres)
        }
        Err(why) => {
            done.told.extend(county::unfit(&name, &why).into_iter().map(|finding| (number, finding)));
            None
        }
    };
    done.rows.push(MeasuredField { number, id, acres });
}

fn feature_wrong(number: usize, why: &str) -> Finding {
    Finding::error("geojson", &Place::default(), format!("feature {number}: {why}"))
        .accepts("corners as [longitude, latitude]")
}

/// The box around two boxes.
fn joined(one: Rect<f64>, other: Rect<f64>) -> Rect<f64> {
    let ends = [one.min(), one.max(), other.min(), other.max()];
    let [x, y] = [ends.map(|at| at.x), ends.map(|at| at.y)];
    let low = |all: [f64; 4]| all.into_iter().fold(f64::INFINITY, f64::min);
    let high = |all: [f64; 4]| all.into_iter().fold(f64::NEG_INFINITY, f64::max);
    Rect::new(Coord { x: low(x), y: low(y) }, Coord { x: high(x), y: high(y) })
}

/// Keep-outs that lie nowhere near the fields: in the wrong place they would protect nothing.
fn lost(around: Rect<f64>, things: &mut CountyKeepOuts) {
    let mut far = Vec::new();
    for &(number, at) in &things.at {
        match county::lies(number, at, around) {
            KeepOutLies::Near => {}
            KeepOutLies::Far => far.push(number),
            KeepOutLies::Wrong(finding) => things.told.push((number, *finding)),
        }
    }
    if let Some(first) = far.first() {
        let found = match far.len() {
            1 => "a keep-out lies far from all fields and takes no ground".to_string(),
            many => format!("{many} keep-outs lie far from all fields and take no ground"),
        };
        let finding = Finding::warning("far-away", &Place::default(), found);
        things.told.push((*first, finding.fix("check this one, the first of them, on a map")));
    }
}

/// Fields that have their id from an earlier one.
fn twice(rows: &[MeasuredField]) -> Vec<FeatureFinding> {
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    let mut told = Vec::new();
    for row in rows {
        let Some(id) = row.id.as_deref() else { continue };
        let first = *seen.entry(id).or_insert(row.number);
        if first != row.number {
            let found = format!("field {id}: features {first} and {} both have this id", row.number);
            let finding = Finding::error("boundary-twice", &Place::default(), found);
            told.push((row.number, finding.fix("make them one MultiPolygon, or rename one")));
        }
    }
    told
}

/// Puts findings of a file in their places.
fn put(file: &FeatureFile<'_>, mut told: Vec<FeatureFinding>, findings: &mut Findings) {
    if told.is_empty() {
        return;
    }
    let name = &file.name;
    told.sort_by_key(|(number, finding)| (finding.severity, *number));
    let more = told.len().saturating_sub(MOST_TOLD);
    told.truncate(MOST_TOLD);
    let text = (file.read)().ok().and_then(|bytes| text::decode(name, bytes).ok()).unwrap_or_default();
    let numbers: Vec<usize> = told.iter().map(|(number, _)| *number).collect();
    let places = exchange::places(name, &text, &numbers);
    for ((number, mut finding), place) in told.into_iter().zip(places) {
        if number > 0 {
            finding.place = place;
        }
        findings.push(finding);
    }
    if more > 0 {
        let found = format!("{more} more findings of this file are not shown; fix these first");
        findings.push(Finding::error("more", &Place::file(name), found));
    }
}
