//! What a `.prj` file or an EPSG code says of the numbers beside it.
//!
//! Taken: degrees, UTM, State Plane and other zones in transverse Mercator or
//! Lambert conic conformal, and the web maps' Mercator, all on WGS84 or NAD83.
//! Everything else is refused by the name that stands there.

use crate::exchange::project::{Ellipsoid, Projection};
use crate::exchange::wkt::Wkt;

const WGS84: Ellipsoid = Ellipsoid { semi_major: 6_378_137.0, inverse_flattening: 298.257_223_563 };
const GRS80: Ellipsoid = Ellipsoid { semi_major: 6_378_137.0, inverse_flattening: 298.257_222_101 };
/// Degrees in radians, as files write it with more or fewer digits.
const DEGREE: f64 = 0.017_453_292_519_943_3;

/// Reads the text of a `.prj`.
///
/// # Errors
/// Says in a sentence what stands there and why it is not taken.
pub fn read(text: &str) -> Result<Projection, String> {
    let tree = Wkt::read(text.trim_start_matches('\u{feff}')).ok_or("the text is no well-known text")?;
    let tree = match tree.word.as_str() {
        "COMPD_CS" => tree.inner.iter().find(|i| i.word == "PROJCS" || i.word == "GEOGCS").unwrap_or(&tree),
        _ => &tree,
    };
    match tree.word.as_str() {
        "GEOGCS" => geographic(tree).map(|_| Projection::Degrees),
        "PROJCS" => projected(tree),
        "PROJCRS" | "GEOGCRS" | "GEODCRS" => {
            Err(format!("`{}` is written in the newer form of well-known text", tree.name()))
        }
        word => Err(format!("`{word}` is no coordinate system of the ground")),
    }
}

/// What an EPSG code says, for the few that need no table.
pub(super) fn epsg(code: u32) -> Option<Projection> {
    let utm = |zone: u32, ellipsoid, south: bool| Projection::TransverseMercator {
        ellipsoid,
        origin: (0.0, f64::from(zone) * 6.0 - 183.0),
        scale: 0.9996,
        shift: (500_000.0, if south { 10_000_000.0 } else { 0.0 }),
        unit: 1.0,
    };
    match code {
        4326 | 4269 | 4979 | 6318 => Some(Projection::Degrees),
        3857 | 900_913 | 102_100 | 102_113 => Some(Projection::WebMercator),
        32_601..=32_660 => Some(utm(code - 32_600, WGS84, false)),
        32_701..=32_760 => Some(utm(code - 32_700, WGS84, true)),
        26_901..=26_923 => Some(utm(code - 26_900, GRS80, false)),
        _ => None,
    }
}

/// Letters and digits only, in lower case: names are spelled many ways.
fn bare(name: &str) -> String {
    name.chars().filter(char::is_ascii_alphanumeric).map(|c| c.to_ascii_lowercase()).collect()
}

/// The ellipsoid of a geographic system that is taken.
fn geographic(tree: &Wkt) -> Result<Ellipsoid, String> {
    let datum = tree.get("DATUM").ok_or("no datum is named")?;
    let name = bare(datum.name());
    let taken = ["wgs1984", "wgs84", "northamerican1983", "northamericandatum1983", "nad1983", "nad83"];
    if !taken.iter().any(|t| name.contains(t)) {
        return Err(format!("`{}` stands on the datum `{}`, which lies elsewhere", tree.name(), datum.name()));
    }
    if tree.get("PRIMEM").and_then(|p| p.numbers.first()).is_some_and(|lon| *lon != 0.0) {
        return Err(format!("`{}` does not count longitude from Greenwich", tree.name()));
    }
    let unit = tree.get("UNIT").and_then(|u| u.numbers.first()).copied().unwrap_or(DEGREE);
    if (unit - DEGREE).abs() > 1e-9 {
        return Err(format!("`{}` does not count in degrees", tree.name()));
    }
    let sizes = datum.get("SPHEROID").map(|s| s.numbers.as_slice());
    let Some(&[semi_major, inverse_flattening, ..]) = sizes else {
        return Err(format!("`{}` names no ellipsoid", tree.name()));
    };
    if (semi_major - WGS84.semi_major).abs() > 0.5 || (inverse_flattening - WGS84.inverse_flattening).abs() > 1e-3 {
        return Err(format!("`{}` stands on another ellipsoid than its datum", tree.name()));
    }
    Ok(Ellipsoid { semi_major, inverse_flattening })
}

fn projected(tree: &Wkt) -> Result<Projection, String> {
    let name = tree.name();
    let base = tree.get("GEOGCS").ok_or_else(|| format!("`{name}` stands on no geographic system"))?;
    let ellipsoid = geographic(base).map_err(|why| format!("`{name}`: {why}"))?;
    let unit = tree.get("UNIT").and_then(|u| u.numbers.first()).copied().unwrap_or(1.0);
    if !(0.1..=1.1).contains(&unit) {
        return Err(format!("`{name}` counts in a unit of {unit} m"));
    }
    let method = tree.get("PROJECTION").map_or("", Wkt::name);
    let ask = |word: &str| {
        let found = tree.inner.iter().find(|i| i.word == "PARAMETER" && bare(i.name()) == word);
        found.and_then(|p| p.numbers.first()).copied().filter(|v| v.is_finite())
    };
    let need = |word: &str| ask(word).ok_or_else(|| format!("`{name}` does not say its {word}"));
    let shift = (ask("falseeasting").unwrap_or(0.0) * unit, ask("falsenorthing").unwrap_or(0.0) * unit);
    let web = ["webmercator", "pseudomercator"].iter().any(|w| bare(name).contains(w));
    match bare(method).as_str() {
        "mercatorauxiliarysphere" | "mercator1sp" | "mercator" | "popularvisualisationpseudomercator" if web => {
            let plain = shift == (0.0, 0.0) && unit == 1.0 && ask("auxiliaryspheretype").unwrap_or(0.0) == 0.0;
            if plain { Ok(Projection::WebMercator) } else { Err(format!("`{name}` is an unusual web Mercator")) }
        }
        "transversemercator" | "gausskruger" => Ok(Projection::TransverseMercator {
            ellipsoid,
            origin: (need("latitudeoforigin")?, need("centralmeridian")?),
            scale: need("scalefactor")?,
            shift,
            unit,
        }),
        "lambertconformalconic" | "lambertconformalconic2sp" | "lambertconformalconic1sp" => {
            let origin = (need("latitudeoforigin")?, need("centralmeridian")?);
            let one = ask("standardparallel1").unwrap_or(origin.0);
            let two = ask("standardparallel2").unwrap_or(one);
            let scale = ask("scalefactor").unwrap_or(1.0);
            // A cone needs a parallel off the equator.
            if (one + two).abs() < 1.0 || one.abs() > 80.0 || two.abs() > 80.0 {
                return Err(format!("`{name}` has parallels that make no cone"));
            }
            Ok(Projection::Lambert { ellipsoid, origin, parallels: (one, two), scale, shift, unit })
        }
        _ => Err(format!("`{name}` is drawn in `{method}`")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const GEOGCS: &str = "GEOGCS[\"GCS_North_American_1983\",DATUM[\"D_North_American_1983\",\
        SPHEROID[\"GRS_1980\",6378137.0,298.257222101]],PRIMEM[\"Greenwich\",0.0],UNIT[\"Degree\",0.0174532925199433]]";

    #[test]
    fn what_is_taken_and_what_is_refused_by_name() {
        assert_eq!(read(GEOGCS), Ok(Projection::Degrees));
        let albers = format!(
            "PROJCS[\"USA_Contiguous_Albers\",{GEOGCS},PROJECTION[\"Albers\"],PARAMETER[\"False_Easting\",0.0],UNIT[\"Meter\",1.0]]"
        );
        let why = read(&albers).unwrap_err();
        assert!(why.contains("USA_Contiguous_Albers") && why.contains("Albers"), "{why}");
        let old = GEOGCS.replace("D_North_American_1983", "D_North_American_1927");
        assert!(read(&old).unwrap_err().contains("1927"));
        for broken in ["", "[", "GEOGCS", "GEOGCS[", "GEOGCS[\"a\"", &"A[".repeat(10_000), "GEOGCS[\"a\"]x", "é["] {
            assert!(read(broken).is_err(), "{broken:.20}");
        }
    }

    #[test]
    fn codes_agree_with_the_text() {
        let utm = format!(
            "PROJCS[\"NAD_1983_UTM_Zone_17N\",{GEOGCS},PROJECTION[\"Transverse_Mercator\"],\
             PARAMETER[\"False_Easting\",500000.0],PARAMETER[\"False_Northing\",0.0],\
             PARAMETER[\"Central_Meridian\",-81.0],PARAMETER[\"Scale_Factor\",0.9996],\
             PARAMETER[\"Latitude_Of_Origin\",0.0],UNIT[\"Meter\",1.0]]"
        );
        assert_eq!(read(&utm).ok(), epsg(26_917));
    }
}
