//! The files in a source: one, or those that are packed in it.

use crate::exchange::given::{Bundle, Source};
use crate::exchange::{geojson_in, kml, shp, zip};
use crate::findings::{Finding, Findings, Place};
use crate::text;

/// Largest text that is read: many times a farm's, and read into memory many times its size.
const LARGEST_TEXT: usize = 48 * 1024 * 1024;
/// Most features of one file: what is checked feature against feature must come to an end.
const MOST_FEATURES: usize = 20_000;
/// Files that lie beside a shapefile and belong to it, by their endings.
pub const BESIDE: [&str; 3] = ["dbf", "prj", "cpg"];
/// Most corners of one file.
const MOST_CORNERS: usize = 2_000_000;

/// Reads a source.
pub(super) fn files(source: &Source, findings: &mut Findings) -> Vec<Bundle> {
    if !zip::is_zip(&source.bytes) {
        return file(source, &[&source.name], findings).into_iter().collect();
    }
    let ends = |name: &str, ending: &str| name.to_ascii_lowercase().ends_with(ending);
    let wanted = [".kml", ".shp", ".dbf", ".prj", ".cpg", ".geojson", ".json"];
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
    let belongs = |name: &str| BESIDE.iter().any(|ending| ends(name, &format!(".{ending}")));
    for (name, bytes) in entries.iter().filter(|(name, _)| !belongs(name)) {
        let stem = name.rsplit_once('.').map_or(name.as_str(), |(stem, _)| stem);
        let beside = BESIDE.iter().filter_map(|ending| {
            let (_, bytes) = entries.iter().find(|(own, _)| own.eq_ignore_ascii_case(&format!("{stem}.{ending}")))?;
            Some(((*ending).to_string(), bytes.clone()))
        });
        let inner = Source { name: format!("{}/{name}", source.name), bytes: bytes.clone(), beside: beside.collect() };
        read.extend(file(&inner, &[name, &source.name], findings));
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
fn file(source: &Source, names: &[&str], findings: &mut Findings) -> Option<Bundle> {
    let mut read = read(source, findings)?;
    let corners: usize = read.features.iter().map(|given| given.corners().count()).sum();
    if read.features.len() > MOST_FEATURES || corners > MOST_CORNERS {
        let found = format!("the file has {} features with {corners} corners", read.features.len());
        findings.push(too_large(source, found, format!("at most {MOST_FEATURES} features and {MOST_CORNERS} corners")));
        return None;
    }
    for given in &mut read.features {
        given.within.extend(names.iter().map(|name| stem(name)));
    }
    Some(read)
}

/// The name of a file without its folders and its ending.
fn stem(name: &str) -> String {
    let own = name.rsplit(['/', '\\']).next().unwrap_or(name);
    own.rsplit_once('.').map_or(own, |(stem, _)| stem).to_string()
}

fn too_large(source: &Source, found: String, accepted: String) -> Finding {
    Finding::error("import-too-large", &Place::file(&source.name), found)
        .accepts(accepted)
        .fix("export the farm and what lies around it alone, not the whole county")
}

fn read(source: &Source, findings: &mut Findings) -> Option<Bundle> {
    if shp::is_shapefile(&source.bytes) {
        return shp::read(source, findings);
    }
    if source.bytes.len() > LARGEST_TEXT {
        let found = format!("the file has {} MB", source.bytes.len() / 1_000_000);
        findings.push(too_large(source, found, format!("at most {} MB of KML or GeoJSON", LARGEST_TEXT / 1_000_000)));
        return None;
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
