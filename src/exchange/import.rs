//! The way through: files as given -> degrees -> whereabouts -> rings -> faults -> fields.

use crate::exchange::claims::{self, Claimed};
use crate::exchange::given::{Bundle, Corners, Given, Source};
use crate::exchange::prj::System;
use crate::exchange::project::Projection;
use crate::exchange::rings::{self, Useless};
use crate::exchange::{geojson_in, ids, kml, roles, shp, whereabouts, zip};
use crate::findings::{Finding, Findings, Place};
use crate::ground::{self, ShapeFault};
use crate::text;
use crate::units::number_text;
use geo::{Coord, CoordsIter, LineString, MapCoords, MultiPolygon, Polygon, coord};
use serde::Serialize;

/// Overlaps below this many acres come from two people drawing one fence.
const NOTICED_ACRES: f64 = 0.05;

/// What the user asks for.
#[derive(Clone, Debug, Default)]
pub struct Options {
    /// The property that holds the ids.
    pub id_from: Option<String>,
    /// Longitude and latitude near which the farm lies.
    pub near: Option<Coord<f64>>,
    /// Whether boundaries that cross themselves or lie over themselves are put in order.
    pub fix: bool,
    /// Whether lines are closed into fields.
    pub close: bool,
}

/// A clean field.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Field {
    /// Its id, like no other.
    pub id: String,
    /// Its name, when the file has one.
    pub name: Option<String>,
    /// Where it comes from.
    pub from: Place,
    /// Acres inside the boundary.
    pub acres: f64,
    /// What the file itself says of its size.
    pub claimed: Option<Claimed>,
    /// The boundary in longitude and latitude.
    #[serde(skip)]
    pub shape: MultiPolygon<f64>,
}

/// What came of an import. With an error among the findings the fields are not whole.
#[derive(Clone, Debug, Default)]
pub struct Imported {
    /// The fields, in the order of the files.
    pub fields: Vec<Field>,
    /// What was changed, refused or is worth knowing.
    pub findings: Findings,
}

/// Reads boundaries of any format that is taken. Never panics, whatever the bytes.
#[must_use]
pub fn import(sources: &[Source], options: &Options) -> Imported {
    let mut findings = Findings::new();
    let mut given = Vec::new();
    for source in sources {
        for file in files(source, &mut findings) {
            given.extend(in_degrees(file, options, &mut findings));
        }
    }
    let given = whereabouts::check(given, options.near, &mut findings);
    let mut fields = Vec::new();
    let mut turned = 0;
    let mut sound = Vec::new();
    for own in given {
        if let Some(shape) = shape(&own, options, &mut turned, &mut findings) {
            sound.push((own, shape));
        }
    }
    if turned > 0 {
        let rings = if turned == 1 { "1 ring" } else { &format!("{turned} rings") };
        let place = sound.first().map_or_else(Place::default, |(own, _)| Place::file(&own.place.file));
        let found = format!("{rings} ran the other way around than RFC 7946 requires; turned around");
        findings.push(Finding::note("import-turned", &place, found));
    }
    let (given, shapes): (Vec<Given>, Vec<_>) = sound.into_iter().unzip();
    let called = ids::assign(&given, options.id_from.as_deref(), &mut findings).unwrap_or_default();
    for ((own, shape), called) in given.into_iter().zip(shapes).zip(called) {
        match ground::cut(&shape, &[], 0.0) {
            Ok(cut) => fields.push(Field {
                id: called.id,
                name: called.name,
                claimed: claims::claimed(&own, cut.gross),
                from: own.place,
                acres: cut.gross,
                shape,
            }),
            Err(why) => findings.push(Finding::error("import-shape", &own.place, format!("{}: {why}", own.label))),
        }
    }
    overlaps(&fields, &mut findings);
    tell_claims(&fields, &mut findings);
    if fields.is_empty() && !findings.has_errors() {
        let place = sources.first().map_or_else(Place::default, |source| Place::file(&source.name));
        findings.push(
            Finding::error("import-nothing", &place, "no boundary was found")
                .accepts("polygons in KML, KMZ, a shapefile or GeoJSON")
                .fix("draw the fields as areas; --close takes lines as boundaries"),
        );
    }
    Imported { fields, findings }
}

/// The files in a source: one, or those that are packed in it.
fn files(source: &Source, findings: &mut Findings) -> Vec<Bundle> {
    if !zip::is_zip(&source.bytes) {
        return file(source, findings).into_iter().collect();
    }
    let ends = |name: &str, ending: &str| name.to_ascii_lowercase().ends_with(ending);
    let wanted = [".kml", ".shp", ".dbf", ".prj", ".geojson", ".json"];
    // What Macs add beside every file is none of it.
    let wants = |name: &str| !name.starts_with("__MACOSX") && wanted.iter().any(|ending| ends(name, ending));
    let place = Place::file(&source.name);
    let entries = match zip::entries(&source.bytes, wants) {
        Ok(entries) => entries,
        Err(why) => {
            findings.push(
                Finding::error("import-zip", &place, why).fix("unpack it, and give the files in it by themselves"),
            );
            return Vec::new();
        }
    };
    let mut read = Vec::new();
    for (name, bytes) in entries.iter().filter(|(name, _)| !ends(name, ".dbf") && !ends(name, ".prj")) {
        let stem = name.rsplit_once('.').map_or(name.as_str(), |(stem, _)| stem);
        let beside = ["dbf", "prj"].iter().filter_map(|ending| {
            let (_, bytes) = entries.iter().find(|(own, _)| own.eq_ignore_ascii_case(&format!("{stem}.{ending}")))?;
            Some(((*ending).to_string(), bytes.clone()))
        });
        let inner = Source { name: format!("{}/{name}", source.name), bytes: bytes.clone(), beside: beside.collect() };
        read.extend(file(&inner, findings));
    }
    if entries.is_empty() {
        findings.push(
            Finding::error("import-zip", &place, "the packed file has no KML, shapefile or GeoJSON")
                .accepts("a .kmz, or a .zip with a .kml, .geojson or .shp in it"),
        );
    }
    read
}

/// One file, by what its bytes begin with.
fn file(source: &Source, findings: &mut Findings) -> Option<Bundle> {
    if shp::is_shapefile(&source.bytes) {
        return shp::read(source, findings);
    }
    let text = text::decode(&source.name, source.bytes.clone()).map_err(|found| findings.push(*found)).ok()?;
    match text.trim_start().chars().next() {
        Some('<') => kml::read(&source.name, &text, findings),
        Some('{') => geojson_in::read(&source.name, &text, findings),
        other => {
            let found = if other.is_some() { "the file is of no kind that is read" } else { "the file is empty" };
            findings.push(
                Finding::error("import-kind", &Place::file(&source.name), found)
                    .accepts("KML, KMZ, a shapefile (.shp with .dbf and .prj beside it), GeoJSON"),
            );
            None
        }
    }
}

/// The features that are boundaries, in degrees, with the roles of their rings.
fn in_degrees(file: Bundle, options: &Options, findings: &mut Findings) -> Vec<Given> {
    let whole = Place::file(&file.name);
    let mut kept = Vec::new();
    let (mut points, mut heights) = (0, 0);
    if let Some(datum) = file.system.as_ref().and_then(|system| system.nad83.as_ref()) {
        let found =
            format!("its numbers are on {datum} and were taken as WGS84; the two lie within 5 ft of each other");
        findings.push(Finding::note("import-datum", &whole, found));
    }
    for mut given in file.features {
        if given.empty() {
            let found = format!("{} has no geometry", given.label);
            findings.push(
                Finding::error("import-empty", &given.place, found).fix("draw it again, or take it out of the file"),
            );
            continue;
        }
        if let Some(system) = &file.system
            && !unprojected(&mut given, system, findings)
        {
            continue;
        }
        lines(&mut given, options.close, findings);
        if given.parts.is_empty() && given.loose.is_empty() {
            points += usize::from(given.points > 0);
            continue;
        }
        heights += given.heights;
        if !given.loose.is_empty() {
            roles::sort(&mut given, file.clockwise, findings);
        }
        roles::rehome(&mut given, findings);
        kept.push(given);
    }
    if points > 0 {
        let are = if points == 1 {
            "1 feature is a point, not a field".to_string()
        } else {
            format!("{points} features are points, not fields")
        };
        let found = format!("{are}; left out");
        findings.push(Finding::note("import-points", &whole, found));
    }
    if heights > 0 {
        let corners = if heights == 1 { "1 corner".to_string() } else { format!("{heights} corners") };
        let found = format!("{corners} carried a height; a boundary is flat, and the heights were dropped");
        findings.push(Finding::note("import-heights", &whole, found));
    }
    kept
}

/// Turns the numbers of a feature into degrees. False where that cannot be, which is told.
fn unprojected(given: &mut Given, system: &System, findings: &mut Findings) -> bool {
    if system.projection == Projection::Degrees {
        return true;
    }
    let all: Vec<Coord<f64>> = given.corners().collect();
    // A grid counts from far away: numbers that small are degrees that were never projected.
    if all.iter().all(|at| at.x.abs() <= 180.0 && at.y.abs() <= 90.0) {
        let found =
            format!("{}: its numbers are degrees, and the file says that they are `{}`", given.label, system.name);
        findings.push(
            Finding::error("import-projected", &given.place, found)
                .fix("export the file again as WGS84 (EPSG:4326), so that numbers and system agree"),
        );
        return false;
    }
    if let Some(at) = all.iter().find(|at| system.projection.to_lonlat(**at).is_none()) {
        let found =
            format!("{}: {}, {} does not lie in `{}`, which the file names", given.label, at.x, at.y, system.name);
        findings.push(
            Finding::error("import-projected", &given.place, found)
                .fix("ask for the file in WGS84 longitude and latitude (EPSG:4326)"),
        );
        return false;
    }
    let nowhere = coord! { x: f64::NAN, y: f64::NAN };
    given.change(|at| system.projection.to_lonlat(at).unwrap_or(nowhere));
    true
}

/// Lines become rings where that was asked for, and are told where not.
fn lines(given: &mut Given, close: bool, findings: &mut Findings) {
    for line in std::mem::take(&mut given.lines) {
        let label = &given.label;
        if close {
            let found = format!("{label}: a line of {} corners was closed into a field", line.len());
            findings.push(Finding::warning("import-closed", &given.place, found).fix("check it on a map"));
            given.parts.push(vec![line]);
        } else {
            let found = format!("{label} is a line of {} corners, not an area; left out", line.len());
            findings.push(
                Finding::warning("import-line", &given.place, found)
                    .fix("if it runs around a field, --close takes it as the boundary"),
            );
        }
    }
}

/// The boundary of a feature, its rings in order and its faults fixed or told.
fn shape(given: &Given, options: &Options, turned: &mut usize, findings: &mut Findings) -> Option<MultiPolygon<f64>> {
    let parts: Option<Vec<Polygon<f64>>> =
        given.parts.iter().enumerate().map(|(i, part)| polygon(given, i, part, turned, findings)).collect();
    let shape = MultiPolygon(parts?);
    let faults: Vec<ShapeFault> = ground::faults(&shape).into_iter().filter(ShapeFault::serious).collect();
    if faults.is_empty() {
        return Some(shape);
    }
    let label = &given.label;
    let fixable = faults.iter().all(|fault| {
        use ShapeFault as F;
        matches!(
            fault,
            F::SelfCrossing { .. }
                | F::HoleOutside { .. }
                | F::HolesOverlap { .. }
                | F::PartsOverlap { .. }
                | F::Spike { .. }
        )
    });
    if let Some(cleaned) = Some(&shape).filter(|_| options.fix && fixable).and_then(cleaned) {
        let parts = cleaned.0.len();
        let into = if parts == 1 { "1 part".to_string() } else { format!("{parts} parts") };
        let why = faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ");
        let found = format!("{label}: {why}; put in order as all the ground the line runs around, in {into}");
        findings.push(
            Finding::warning("import-fixed-shape", &given.place, found)
                .fix("check it on a map: the line may have been meant another way"),
        );
        return Some(cleaned);
    }
    for fault in faults {
        let finding = Finding::error("import-shape", &given.place, format!("{label}: {fault}"));
        findings.push(match fault {
            ShapeFault::TooWide => finding.fix("fix its coordinates; no field is 34 miles wide"),
            ShapeFault::OutOfRange { .. } => finding.fix("export it again as WGS84 (EPSG:4326)"),
            _ if fixable => finding.fix("draw it again; or take all the ground it runs around, with --fix"),
            _ => finding.fix("draw it again, corner by corner around the field"),
        });
    }
    None
}

/// A shape as the ground it winds around, when that leaves nothing to refuse.
fn cleaned(shape: &MultiPolygon<f64>) -> Option<MultiPolygon<f64>> {
    let cut = ground::cut(shape, &[], 0.0).ok()?;
    let back = cut.plane.shape_to_lonlat(&cut.boundary).map_coords(rings::rounded);
    let sound = !ground::faults(&back).iter().any(ShapeFault::serious);
    (sound && back.coords_iter().next().is_some()).then_some(back)
}

/// One part with its holes. `None` when its outer ring is unusable, which is told.
fn polygon(
    given: &Given,
    part: usize,
    rings: &[Corners],
    turned: &mut usize,
    findings: &mut Findings,
) -> Option<Polygon<f64>> {
    let mut made = Vec::new();
    for (number, corners) in rings.iter().enumerate() {
        let of = match (part, number) {
            (0, 0) => given.label.clone(),
            (_, 0) => format!("{}, part {}", given.label, part + 1),
            _ => format!("{}, hole {number}", given.label),
        };
        let ring = match rings::fix(corners) {
            Ok(ring) => ring,
            Err(Useless::TooFew(count)) if number > 0 => {
                let found = format!("{of}: a ring of {count} different corners encloses no ground; left out");
                findings.push(Finding::note("import-ring", &given.place, found));
                continue;
            }
            Err(why) => {
                findings.push(useless(&of, &why, &given.place));
                return None;
            }
        };
        tell_ring(&of, &ring, &given.place, findings);
        let mut corners = ring.corners;
        let clockwise = rings::twice_area(&corners) < 0.0;
        // Outer rings run counter-clockwise and holes clockwise.
        if clockwise == (number == 0) {
            corners.reverse();
            // Where the format asks for the other way, turning is no change worth telling.
            *turned += usize::from(given.place.line > 0);
        }
        made.push(LineString(corners));
    }
    let mut made = made.into_iter();
    Some(Polygon::new(made.next()?, made.collect()))
}

fn useless(of: &str, why: &Useless, place: &Place) -> Finding {
    match why {
        Useless::NotANumber(corner) => {
            Finding::error("import-ring", place, format!("{of}: corner {corner} is not a number"))
                .accepts("longitude and latitude in degrees")
        }
        Useless::TooFew(count) => Finding::error(
            "import-ring",
            place,
            format!("{of}: a ring of {count} different corners encloses no ground"),
        )
        .accepts("at least three different corners")
        .fix("draw it again, or take it out of the file"),
    }
}

/// What was changed in a ring.
fn tell_ring(of: &str, ring: &rings::Ring, place: &Place, findings: &mut Findings) {
    if let Some(feet) = ring.open {
        let found = format!("{of}: the ring was open, its ends {} ft apart; closed", number_text(feet, 0));
        findings.push(Finding::note("import-closed", place, found));
    }
    if ring.doubles > 0 {
        let corners = if ring.doubles == 1 { "1 corner".to_string() } else { format!("{} corners", ring.doubles) };
        findings.push(Finding::note(
            "import-doubles",
            place,
            format!("{of}: {corners} repeated the one before; taken out"),
        ));
    }
    if let Some(tip) = ring.spikes.first() {
        let more = if ring.spikes.len() > 1 { format!(" and {} more", ring.spikes.len() - 1) } else { String::new() };
        let found = format!(
            "{of}: the line ran out and straight back at longitude {:.6}, latitude {:.6}{more}; taken out",
            tip.x, tip.y
        );
        findings.push(Finding::note("import-spikes", place, found));
    }
}

/// Refuses fields that lie over each other. They are sorted by their western end, and each is
/// held against those that begin before it ends.
fn overlaps(fields: &[Field], findings: &mut Findings) {
    let reach = |field: &Field| {
        let xs = || field.shape.coords_iter().map(|at| at.x);
        (xs().fold(f64::INFINITY, f64::min), xs().fold(f64::NEG_INFINITY, f64::max))
    };
    let mut order: Vec<((f64, f64), &Field)> = fields.iter().map(|f| (reach(f), f)).collect();
    order.sort_by(|a, b| a.0.0.total_cmp(&b.0.0));
    for (i, ((_, east), one)) in order.iter().enumerate() {
        for (_, other) in order.iter().skip(i + 1).take_while(|((west, _), _)| west <= east) {
            let acres = ground::overlap_acres(&one.shape, &other.shape);
            if acres > NOTICED_ACRES {
                let found = format!("fields {} and {} overlap by {acres:.2} ac", one.id, other.id);
                findings.push(
                    Finding::error("import-overlap", &other.from, found)
                        .accepts("fields that do not share ground")
                        .fix("move one boundary back to the fence, or take one of the two out")
                        .also(&one.from, format!("field {}", one.id)),
                );
            }
        }
    }
}

/// Warns where the acres measured are not those that the file claims.
fn tell_claims(fields: &[Field], findings: &mut Findings) {
    for field in fields {
        let Some(claimed) = &field.claimed else { continue };
        if claimed.difference.abs() > 0.1 && claimed.difference.abs() > 0.02 * claimed.acres {
            let found = format!(
                "field {} measures {:.2} ac, and its property `{}` says {:.2} ac",
                field.id, field.acres, claimed.property, claimed.acres
            );
            findings.push(
                Finding::warning("import-acres", &field.from, found)
                    .fix("ask where the other figure comes from: rented, tillable and deeded acres differ"),
            );
        }
    }
}
