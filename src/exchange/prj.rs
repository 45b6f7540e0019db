//! What a `.prj` file or an EPSG code says of the numbers beside it.
//!
//! Taken: degrees; UTM, State Plane and other grids in transverse Mercator, Lambert conic
//! conformal, Albers and Hotine's oblique Mercator; the web maps' Mercator; all on WGS84 or NAD83,
//! in both forms of well-known text. Everything else is refused by the name that stands there.

use crate::exchange::epsg::well_known_text;
use crate::exchange::grid_unit::unit_of;
use crate::exchange::project::{Ellipsoid, Grid, Method, Projection};
use crate::exchange::wkt::Wkt;
use crate::text::{Named, named};

const WGS84: Ellipsoid = Ellipsoid { semi_major: 6_378_137.0, inverse_flattening: 298.257_223_563 };
/// Degrees in radians, as files write it with more or fewer digits.
const DEGREE: f64 = 0.017_453_292_519_943_3;
/// Words for a system in degrees, in both forms of well-known text.
const GEOGRAPHIC: [&str; 4] = ["GEOGCS", "GEOGCRS", "GEODCRS", "GEOGRAPHICCRS"];
/// Words for a system in a grid.
const PROJECTED: [&str; 3] = ["PROJCS", "PROJCRS", "PROJECTEDCRS"];
/// What is taken, for a finding.
pub(super) const ACCEPTED: &str = "degrees, UTM, State Plane, Albers or web Mercator, on WGS84 or NAD83";
/// How to get a file that is taken.
const EXPORT: &str = "ask for the file in WGS84 longitude and latitude (EPSG:4326)";

/// What the numbers of a file stand for.
#[derive(Clone, Debug, PartialEq)]
pub struct System {
    /// How they become degrees.
    pub projection: Projection,
    /// The name of the NAD83 datum they stand on; none for WGS84.
    pub nad83: Option<String>,
    /// What it is called.
    pub name: String,
}

/// Why a system is not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    /// What stands there and why it is not taken.
    pub why: String,
    /// How to get a file that is.
    pub fix: &'static str,
}

impl From<String> for Refused {
    fn from(why: String) -> Refused {
        Refused { why, fix: EXPORT }
    }
}

/// Reads the text of a `.prj`.
///
/// # Errors
/// Says in a sentence what stands there and why it is not taken.
pub fn read(text: &str) -> Result<System, Refused> {
    let whole =
        Wkt::read(text.trim_start_matches('\u{feff}')).ok_or_else(|| "the text is not well-known text".to_string())?;
    // A system of ground and heights together, or one with a way to another datum.
    let mut tree = &whole;
    while let Some(inner) = match tree.word.as_str() {
        "COMPD_CS" | "COMPOUNDCRS" => {
            tree.get(&PROJECTED).or_else(|| tree.get(&GEOGRAPHIC)).or_else(|| tree.get(&["BOUNDCRS"]))
        }
        "BOUNDCRS" => tree.get(&["SOURCECRS"]),
        "SOURCECRS" => tree.inner.first(),
        _ => None,
    } {
        tree = inner;
    }
    let name = tree.name().to_string();
    if GEOGRAPHIC.contains(&tree.word.as_str()) {
        return Ok(System { nad83: geographic(tree)?.nad83, projection: Projection::Degrees, name });
    }
    if PROJECTED.contains(&tree.word.as_str()) {
        return projected(tree);
    }
    Err(format!("`{}` is not a coordinate system of the ground", whole.word).into())
}

/// What the name of a system says, as it stands in a GeoJSON file.
///
/// # Errors
/// Says in a sentence why it is not taken.
pub(super) fn by_name(name: &str) -> Result<System, Refused> {
    let degrees = |nad83| System { projection: Projection::Degrees, nad83, name: name.to_string() };
    match named(name) {
        Named::Wgs84 => return Ok(degrees(None)),
        Named::Nad83(datum) => return Ok(degrees(Some(datum))),
        Named::Other(_) => {}
    }
    if name.contains('[') {
        return read(name);
    }
    let last = name.rsplit([':', '/']).next().unwrap_or_default().trim();
    if ["3857", "900913", "102100", "102113"].contains(&last) {
        let grid =
            Grid { method: Method::WebMercator, ellipsoid: WGS84, origin: (0.0, 0.0), shift: (0.0, 0.0), unit: 1.0 };
        return Ok(System { projection: Projection::of(grid)?, nad83: None, name: name.to_string() });
    }
    if last.eq_ignore_ascii_case("crs27") {
        return Err(nad27(name));
    }
    let known = last.parse().ok().and_then(well_known_text);
    known.map_or_else(|| Err(format!("`{name}` is a system that is not known here").into()), |known| read(&known))
}

/// Letters and digits only, in lower case: names are spelled many ways.
fn bare(name: &str) -> String {
    name.chars().filter(char::is_ascii_alphanumeric).map(|c| c.to_ascii_lowercase()).collect()
}

fn nad27(name: &str) -> Refused {
    Refused {
        why: format!(
            "the datum of `{name}` is NAD27, up to hundreds of feet from WGS84; the shift differs from place to place and \
             takes grid files that are not built in"
        ),
        fix: "in the program it comes from, export it as WGS84 (EPSG:4326) with the NADCON shift from NAD27",
    }
}

/// The datum and the ellipsoid of a geographic system that is taken.
struct Base {
    ellipsoid: Ellipsoid,
    nad83: Option<String>,
}

fn geographic(tree: &Wkt) -> Result<Base, Refused> {
    let name = tree.name();
    let datum =
        tree.get(&["DATUM", "GEODETICDATUM", "TRF", "ENSEMBLE"]).ok_or_else(|| format!("`{name}` names no datum"))?;
    let called = bare(datum.name());
    let says = |words: &[&str]| words.iter().any(|word| called.contains(word));
    if says(&["northamerican1927", "northamericandatum1927", "nad27", "nad1927"]) {
        return Err(nad27(name));
    }
    let wgs84 = says(&["wgs1984", "wgs84", "worldgeodeticsystem1984"]);
    let nad83 = says(&["northamerican1983", "northamericandatum1983", "northamericandatumof1983", "nad1983", "nad83"]);
    // Those of the Pacific islands move with another plate.
    let pacific = says(&["pa11", "ma11", "pacp00", "marp00"]);
    if !(wgs84 || nad83) || pacific {
        let found = format!("`{name}` is on the datum `{}`; only WGS84 and NAD83 are known here", datum.name());
        return Err(found.into());
    }
    let meridian = tree.get(&["PRIMEM", "PRIMEMERIDIAN"]).and_then(Wkt::number);
    if meridian.is_some_and(|lon| lon != 0.0) {
        return Err(format!("`{name}` does not count longitude from Greenwich").into());
    }
    let axis = || tree.inner.iter().find(|inner| inner.word == "AXIS");
    let unit = [Some(tree), axis()].into_iter().flatten().find_map(|at| at.get(&["UNIT", "ANGLEUNIT"]));
    if unit.and_then(Wkt::number).is_some_and(|unit| (unit - DEGREE).abs() > 1e-9) {
        return Err(format!("`{name}` does not count in degrees").into());
    }
    let Some(&[semi_major, inverse_flattening, ..]) =
        datum.get(&["SPHEROID", "ELLIPSOID"]).map(|s| s.numbers.as_slice())
    else {
        return Err(format!("`{name}` names no ellipsoid").into());
    };
    if (semi_major - WGS84.semi_major).abs() > 0.5 || (inverse_flattening - WGS84.inverse_flattening).abs() > 1e-3 {
        return Err(format!("`{name}` is on another ellipsoid than its datum").into());
    }
    let nad83 = nad83.then(|| datum.name().to_string());
    Ok(Base { ellipsoid: Ellipsoid { semi_major, inverse_flattening }, nad83 })
}

/// The numbers of a projection by the many names that they have.
struct GridNumbers<'a> {
    name: &'a str,
    tree: &'a Wkt,
    /// Meters in a unit of the grid.
    unit: f64,
}

impl GridNumbers<'_> {
    fn find(&self, words: &[&str]) -> Option<&Wkt> {
        words.iter().find_map(|word| self.tree.inner.iter().find(|i| i.word == "PARAMETER" && bare(i.name()) == *word))
    }

    fn angle(&self, words: &[&str]) -> Option<f64> {
        let found = self.find(words)?;
        let unit = found.get(&["ANGLEUNIT", "UNIT"]).and_then(Wkt::number).filter(|unit| (unit - DEGREE).abs() > 1e-9);
        Some(found.number()? * unit.map_or(1.0, f64::to_degrees))
    }

    fn needed(&self, what: &str, words: &[&str]) -> Result<f64, Refused> {
        self.angle(words).ok_or_else(|| format!("`{}` does not say its {what}", self.name).into())
    }

    /// A length in meters; 0 where it is not said.
    fn length(&self, words: &[&str]) -> Result<f64, Refused> {
        let Some(found) = self.find(words) else { return Ok(0.0) };
        let unit = found.get(&["LENGTHUNIT", "UNIT"]).map_or(Ok(self.unit), unit_of)?;
        Ok(found.number().unwrap_or(0.0) * unit)
    }

    fn scale(&self) -> Option<f64> {
        let found = self.find(&[
            "scalefactor",
            "scalefactoratnaturalorigin",
            "scalefactoratprojectioncentre",
            "scalefactoroninitialline",
        ])?;
        Some(found.number()? * found.get(&["SCALEUNIT"]).and_then(Wkt::number).unwrap_or(1.0))
    }

    fn latitude(&self) -> Result<f64, Refused> {
        self.needed(
            "latitude of origin",
            &[
                "latitudeoforigin",
                "latitudeofnaturalorigin",
                "latitudeoffalseorigin",
                "latitudeofcenter",
                "latitudeofprojectioncentre",
            ],
        )
    }

    fn longitude(&self) -> Result<f64, Refused> {
        self.needed(
            "central meridian",
            &[
                "centralmeridian",
                "longitudeoforigin",
                "longitudeofnaturalorigin",
                "longitudeoffalseorigin",
                "longitudeofcenter",
                "longitudeofprojectioncentre",
            ],
        )
    }

    fn parallels(&self) -> (Option<f64>, Option<f64>) {
        let one = self.angle(&["standardparallel1", "latitudeof1ststandardparallel"]);
        (one, self.angle(&["standardparallel2", "latitudeof2ndstandardparallel"]))
    }

    fn shift(&self) -> Result<(f64, f64), Refused> {
        let east = self.length(&["falseeasting", "eastingatfalseorigin", "eastingatprojectioncentre"])?;
        Ok((east, self.length(&["falsenorthing", "northingatfalseorigin", "northingatprojectioncentre"])?))
    }
}

fn projected(tree: &Wkt) -> Result<System, Refused> {
    let name = tree.name();
    let base = tree
        .get(&["GEOGCS", "BASEGEOGCRS", "BASEGEODCRS", "GEOGCRS", "GEODCRS"])
        .ok_or_else(|| format!("`{name}` is on no geographic system"))?;
    let base = geographic(base)?;
    let axes = || tree.inner.iter().filter(|inner| inner.word == "AXIS");
    let unit = [Some(tree), axes().next()].into_iter().flatten().find_map(|at| at.get(&["UNIT", "LENGTHUNIT"]));
    let unit = unit_of(unit.ok_or_else(|| format!("`{name}` does not say its unit"))?)?;
    if axes().any(|axis| axis.texts.iter().skip(1).any(|way| ["WEST", "SOUTH"].contains(&way.to_uppercase().as_str())))
    {
        return Err(format!("`{name}` counts toward the west or the south").into());
    }
    let conversion = tree.get(&["CONVERSION"]).unwrap_or(tree);
    let called = conversion.get(&["PROJECTION", "METHOD"]).map_or("", Wkt::name);
    let numbers = GridNumbers { name, tree: conversion, unit };
    let (method, origin) = method(&numbers, called, name)?;
    let grid = Grid { method, ellipsoid: base.ellipsoid, origin, shift: numbers.shift()?, unit };
    if method == Method::WebMercator && !(grid.shift == (0.0, 0.0) && (unit - 1.0).abs() < 1e-12) {
        return Err(format!("`{name}` is an unusual web Mercator").into());
    }
    let projection = Projection::of(grid).map_err(|why| format!("`{name}`: {why}"))?;
    Ok(System { projection, nad83: base.nad83, name: name.to_string() })
}

/// How a grid is drawn, and its origin.
fn method(numbers: &GridNumbers<'_>, called: &str, name: &str) -> Result<(Method, (f64, f64)), Refused> {
    let web = ["webmercator", "pseudomercator"].iter().any(|word| bare(name).contains(word));
    let origin = || Ok::<_, Refused>((numbers.latitude()?, numbers.longitude()?));
    let no_scale = || Refused::from(format!("`{name}` does not say its scale"));
    Ok(match bare(called).as_str() {
        "mercatorauxiliarysphere" | "mercator1sp" | "mercator" | "popularvisualisationpseudomercator" if web => {
            (Method::WebMercator, (0.0, 0.0))
        }
        "transversemercator" | "gausskruger" => {
            (Method::TransverseMercator { scale: numbers.scale().ok_or_else(no_scale)? }, origin()?)
        }
        "lambertconformalconic"
        | "lambertconformalconic2sp"
        | "lambertconformalconic1sp"
        | "lambertconicconformal2sp"
        | "lambertconicconformal1sp" => {
            let origin = origin()?;
            let (one, two) = numbers.parallels();
            let one = one.unwrap_or(origin.0);
            (
                Method::LambertConic { parallels: (one, two.unwrap_or(one)), scale: numbers.scale().unwrap_or(1.0) },
                origin,
            )
        }
        "albers" | "albersconicequalarea" | "albersequalarea" => {
            let (Some(one), two) = numbers.parallels() else {
                return Err(format!("`{name}` does not say its parallels").into());
            };
            (Method::Albers { parallels: (one, two.unwrap_or(one)) }, origin()?)
        }
        kind if kind.starts_with("hotineobliquemercator") => {
            let words = ["azimuth", "azimuthatprojectioncentre", "azimuthofinitialline"];
            let azimuth = numbers.needed("azimuth", &words)?;
            let turn = numbers.angle(&["rectifiedgridangle", "anglefromrectifiedtoskewgrid"]).unwrap_or(azimuth);
            let centered = kind.ends_with("azimuthcenter") || kind.ends_with("variantb");
            let natural =
                kind.ends_with("azimuthnaturalorigin") || kind.ends_with("varianta") || kind == "hotineobliquemercator";
            if !(centered || natural) {
                return Err(format!("`{name}` is drawn in `{called}`, which is not known here").into());
            }
            let scale = numbers.scale().ok_or_else(no_scale)?;
            (Method::ObliqueMercator { azimuth, turn, scale, centered }, origin()?)
        }
        _ => return Err(format!("`{name}` is drawn in `{called}`, which is not known here").into()),
    })
}
