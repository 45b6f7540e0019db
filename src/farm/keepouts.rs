//! `keepouts.geojson`: what litter keeps away from.

use crate::farm::geometry::{Feature, features};
use crate::farm::litter::choice;
use crate::farm::written::{Written, WrittenKeepOut};
use crate::farm::{FEATURES, KEEPOUTS};
use crate::findings::{Finding, Findings};
use crate::text::{Walker, key_of};

pub(super) fn read(text: &str, written: &mut Written, findings: &mut Findings) {
    for feature in features(KEEPOUTS, text, findings).features {
        written.keepouts.extend(keepout(feature, findings));
    }
}

fn keepout(feature: Feature, findings: &mut Findings) -> Option<WrittenKeepOut> {
    let Some(node) = &feature.properties else {
        findings.push(
            Finding::error("keepout-kind", &feature.place, "the feature does not say what it is")
                .accepts(FEATURES.join(", ")),
        );
        return None;
    };
    let walk = Walker::new("the keep-out", node, findings)?;
    let kind = walk
        .need_text("kind", &FEATURES.join(", "), findings)
        .and_then(|t| choice(t, "kind", FEATURES, feature_key, findings));
    let name = walk.text("name", findings).map(|t| t.value);
    let strip = walk.yes_no("vegetated_strip", findings);
    let owner = walk.text("owner", findings).and_then(|t| choice(t, "owner", OWNERS, is_neighbor, findings));
    let consent = walk.text("consent", findings);
    let above = walk.words("above", findings);
    let above_by = walk.text("above_by", findings).map(|t| t.value);
    let setback = walk.quantity("setback", findings);
    let by = walk.text("setback_by", findings);
    let unread = [("vegetated_strip", strip.is_none()), ("owner", owner.is_none()), ("setback", setback.is_none())]
        .iter()
        .any(|(key, none)| *none && walk.ask(key).is_some());
    walk.finish_loosely(findings);
    let kind = kind?;
    if unread {
        return None;
    }
    let setback = match (setback, by) {
        (Some(feet), Some(by)) => Some((feet, by.value)),
        (Some(feet), None) => {
            let found = "a setback of the farm's own does not say who asked for it";
            findings.push(
                Finding::error("setback-by", &feet.place, found)
                    .accepts("`setback_by` with who asked for it, and when"),
            );
            return None;
        }
        (None, _) => None,
    };
    if !above.is_empty() && above_by.is_none() {
        let found = "the feature lies `above` fields, and nobody says who saw it";
        findings.push(
            Finding::error("above-by", &feature.place, found)
                .accepts("`above_by` with who walked the ground, and when"),
        );
        return None;
    }
    let name = name.unwrap_or_else(|| kind.value.replace('_', " "));
    Some(WrittenKeepOut {
        kind,
        name,
        strip,
        neighbor: owner,
        consent,
        above,
        above_by,
        setback,
        geometry: feature.geometry,
        place: feature.place,
    })
}

/// The words for whose a thing is.
pub const OWNERS: &[&str] = &["own", "neighbor"];

/// What a word of [`OWNERS`] says.
#[must_use]
pub fn is_neighbor(word: &str) -> Option<bool> {
    match word {
        "own" => Some(false),
        "neighbor" | "neighbour" => Some(true),
        _ => None,
    }
}

/// The key of a word of [`FEATURES`].
#[must_use]
pub fn feature_key(word: &str) -> Option<String> {
    let key = key_of(word);
    FEATURES.iter().any(|f| key_of(f) == key).then_some(key)
}
