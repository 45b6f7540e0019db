//! The way through: files as given -> degrees -> what each is -> whereabouts -> rings -> faults ->
//! fields and things.

use crate::exchange::choices::{Options, Take};
use crate::exchange::claims::{self, Claimed};
use crate::exchange::given::{Bundle, Given, Source};
use crate::exchange::kinds::Kind;
use crate::exchange::phrase::counted;
use crate::exchange::prj::System;
use crate::exchange::project::Projection;
use crate::exchange::sort::{Sorted, sort};
use crate::exchange::things::{Thing, things};
use crate::exchange::{areas, ids, roles, unpack, whereabouts};
use crate::findings::{Finding, Findings, Place};
use crate::ground;
use geo::{Coord, CoordsIter, MultiPolygon, coord};
use serde::Serialize;

/// Overlaps below this many acres come from two people drawing one fence.
const NOTICED_ACRES: f64 = 0.05;

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
    /// Gates, stacks and what litter keeps away from, in the order of the files.
    pub things: Vec<Thing>,
    /// What was changed, refused or is worth knowing.
    pub findings: Findings,
}

/// Reads boundaries and things of any format that is taken. Never panics, whatever the bytes.
#[must_use]
pub fn import(sources: &[Source], options: &Options) -> Imported {
    let mut findings = Findings::new();
    let mut given = Vec::new();
    for source in sources {
        for file in unpack::files(source, &mut findings) {
            given.extend(in_degrees(file, &mut findings));
        }
    }
    given.iter_mut().for_each(Given::compose);
    let Sorted { fields, things: kept } = sort(given, options, &mut findings);
    let (fields, kept) = in_place(fields, kept, options, &mut findings);
    let mut turned = 0;
    let fields = clean_fields(fields, options, &mut turned, &mut findings);
    let things = things(kept, options, &mut turned, &mut findings);
    let whole = sources.first().map_or_else(Place::default, |source| Place::file(&source.name));
    if turned > 0 {
        let rings = counted(turned, "ring");
        let found = format!("{rings} ran the other way around than RFC 7946 requires; turned around");
        findings.push(Finding::note("import-turned", &whole, found));
    }
    let nothing = match options.take {
        Take::Fields => fields.is_empty(),
        Take::KeepOuts => things.is_empty(),
        Take::Both => fields.is_empty() && things.is_empty(),
    };
    if nothing && !findings.has_errors() {
        let (found, fix) = match options.take {
            Take::KeepOuts => ("nothing to keep away from was found", "see what was left out"),
            Take::Fields | Take::Both => {
                ("no boundary was found", "draw the fields as areas; --close takes lines as boundaries")
            }
        };
        findings.push(
            Finding::error("import-nothing", &whole, found)
                .accepts("features in KML, KMZ, a shapefile or GeoJSON")
                .fix(fix),
        );
    }
    Imported { fields, things, findings }
}

/// Holds all features together against where the farm lies; those that are refused are taken out.
fn in_place(
    fields: Vec<Given>,
    things: Vec<(Given, &'static Kind)>,
    options: &Options,
    findings: &mut Findings,
) -> (Vec<Given>, Vec<(Given, &'static Kind)>) {
    let of_fields = fields.into_iter().map(|given| (given, None));
    let all: Vec<_> = of_fields.chain(things.into_iter().map(|(given, kind)| (given, Some(kind)))).collect();
    let mut own = (Vec::new(), Vec::new());
    for (given, kind) in whereabouts::check(all, options.near, findings) {
        match kind {
            Some(kind) => own.1.push((given, kind)),
            None => own.0.push(given),
        }
    }
    own
}

/// The fields with their rings in order, their ids and their acres.
fn clean_fields(given: Vec<Given>, options: &Options, turned: &mut usize, findings: &mut Findings) -> Vec<Field> {
    let mut sound = Vec::new();
    for mut own in given {
        lines(&mut own, options, findings);
        if own.parts.is_empty() {
            continue;
        }
        if let Some(shape) = areas::shape(&own, options.fix, turned, findings) {
            sound.push((own, shape));
        }
    }
    let (given, shapes): (Vec<Given>, Vec<_>) = sound.into_iter().unzip();
    let called = ids::assign(&given, options.id_from.as_deref(), findings).unwrap_or_default();
    let mut fields = Vec::new();
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
    overlaps(&fields, findings);
    tell_claims(&fields, findings);
    fields
}

/// The features of a file in degrees, with the roles of their rings.
fn in_degrees(file: Bundle, findings: &mut Findings) -> Vec<Given> {
    let whole = Place::file(&file.name);
    let mut kept = Vec::new();
    let mut heights = 0;
    if let Some(datum) = file.system.as_ref().and_then(|system| system.nad83.as_ref()) {
        let found = format!("its numbers are on {datum} and were taken as WGS84, which lies a few feet from it");
        findings.push(Finding::note("import-datum", &whole, found));
    }
    for mut given in file.features {
        if let Some(system) = &file.system
            && !unprojected(&mut given, system, findings)
        {
            continue;
        }
        heights += given.heights;
        if !given.loose.is_empty() {
            roles::sort(&mut given, file.clockwise, findings);
        }
        roles::rehome(&mut given, findings);
        kept.push(given);
    }
    if heights > 0 {
        let corners = counted(heights, "corner");
        let found = format!("{corners} carried a height; a map is flat, and the heights were dropped");
        findings.push(Finding::note("import-heights", &whole, found));
    }
    kept
}

/// Turns the numbers of a feature into degrees. False where that cannot be, which is told.
fn unprojected(given: &mut Given, system: &System, findings: &mut Findings) -> bool {
    if system.projection == Projection::Degrees || given.empty() {
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

/// Lines become rings where that was asked for; lines and points that are no fields are told.
fn lines(given: &mut Given, options: &Options, findings: &mut Findings) {
    if !given.spots.is_empty() {
        let found = format!("{} has {}, and a field is an area", given.label, counted(given.spots.len(), "point"));
        let alone = given.parts.is_empty() && given.lines.is_empty();
        findings.push(if alone {
            Finding::error("import-points", &given.place, found)
                .fix(format!("draw it as an area, say what it is with --kind, or {}", given.left_out_by()))
        } else {
            Finding::note("import-points", &given.place, format!("{found}; the points were left out"))
        });
    }
    for line in std::mem::take(&mut given.lines) {
        let label = &given.label;
        if options.close {
            let found = format!("{label}: a line of {} corners was closed into a field", line.len());
            findings.push(Finding::warning("import-closed", &given.place, found).fix("check it on a map"));
            given.parts.push(vec![line]);
            continue;
        }
        let found = format!("{label} is a line of {} corners, not an area; left out", line.len());
        // Where everything is asked for, nothing is left out without the user's word.
        let finding = match options.take {
            Take::Fields => Finding::warning("import-line", &given.place, found),
            Take::KeepOuts | Take::Both => Finding::error("import-line", &given.place, found),
        };
        let fix = "if it runs around a field, --close takes it as the boundary; --keepouts takes streams and roads";
        findings.push(finding.fix(fix));
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
