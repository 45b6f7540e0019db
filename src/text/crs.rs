//! What the name of a coordinate system says by itself: whether the numbers beside it are
//! longitude and latitude, and on which datum.

use crate::findings::{Finding, Place};
use serde_json::Value;

/// Degrees of WGS84, by the last part of their names.
const WGS84: [&str; 3] = ["crs84", "4326", "4979"];
/// Degrees of NAD83 in the realizations of its continent, by the last part of their names (codes
/// of the EPSG dataset).
const NAD83: [&str; 36] = [
    "crs83", "4269", "4152", "4617", "4759", "6318", "6783", "4140", "8232", "8237", "8240", "8246", "8249", "8252",
    "8255", "8449", "8545", "8860", "10414", "4359", "4361", "4893", "4955", "4957", "6319", "6782", "8231", "8235",
    "8239", "8244", "8248", "8251", "8254", "8542", "8544", "10413",
];

/// What a name says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Named {
    /// Degrees of WGS84, as RFC 7946 has them.
    Wgs84,
    /// Degrees of NAD83, by this name.
    Nad83(String),
    /// Something else, by this name.
    Other(String),
}

/// The name in the `crs` member of a GeoJSON file from before RFC 7946.
#[must_use]
pub fn crs_name(crs: &Value) -> String {
    let own = |value: &Value| match value {
        Value::String(text) => Some(text.clone()),
        Value::Number(number) => Some(number.to_string()),
        _ => None,
    };
    let named = crs.get("properties").and_then(|p| p.get("name").or_else(|| p.get("code")).or_else(|| p.get("href")));
    own(crs).or_else(|| named.and_then(own)).unwrap_or_else(|| "without a name".to_string())
}

/// What the name of a coordinate system says.
#[must_use]
pub fn named(name: &str) -> Named {
    let last = name.rsplit([':', '/']).next().unwrap_or_default().trim().to_ascii_lowercase();
    if WGS84.contains(&last.as_str()) {
        Named::Wgs84
    } else if NAD83.contains(&last.as_str()) {
        Named::Nad83(name.to_string())
    } else {
        Named::Other(name.to_string())
    }
}

/// What is to be said of the system that a file of longitude and latitude names: nothing of
/// WGS84, a note of NAD83, an error of all else.
#[must_use]
pub fn crs_finding(file: &str, said: &Named) -> Option<Finding> {
    let whole = Place::file(file);
    match said {
        Named::Wgs84 => None,
        Named::Nad83(name) => {
            let found = format!("its `crs` is `{name}`, taken as WGS84, which lies a few feet from it");
            Some(Finding::note("geojson-crs", &whole, found).accepts("WGS84 (EPSG:4326), without this note"))
        }
        Named::Other(name) => Some(
            Finding::error("geojson-crs", &whole, format!("its `crs` is `{name}`, and the numbers are read as WGS84"))
                .accepts("longitude and latitude in WGS84 or NAD83 degrees (RFC 7946)")
                .fix("turn it into WGS84 with sward ground import, or export it again as EPSG:4326"),
        ),
    }
}
