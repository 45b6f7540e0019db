//! `keepouts.geojson`: what litter keeps away from.

use crate::farm::files::KEEPOUTS;
use crate::farm::geometry::{FarmFeature, features, none_read};
use crate::farm::properties::{PropertyReader, UnreadProperties};
use crate::farm::words::FEATURES;
use crate::farm::words::{OWNERS, is_neighbor};
use crate::farm::written::{Consent, Written, WrittenKeepOut};
use crate::findings::{At, Finding, Findings, nearest};
use crate::text::{Kind, Node, Walker, choice, key_of, refuses, signed};

/// The properties that are read.
const KNOWN: &[&str] =
    &["kind", "name", "vegetated_strip", "owner", "consent", "above", "above_by", "setback", "setback_by"];

pub(super) fn read(text: &str, written: &mut Written, findings: &mut Findings) {
    let collection = features(KEEPOUTS, text, findings);
    collection.coarse(KEEPOUTS, findings);
    if collection.whole && collection.read_none() {
        findings.push(none_read(KEEPOUTS));
    }
    let mut unread = UnreadProperties::default();
    for feature in collection.features {
        // Whatever the reason: a thing that is not read is an error, or its setback would be gone.
        let (place, mut found) = (feature.place.clone(), Findings::new());
        let read = keepout(feature, &mut unread, &mut found);
        if read.is_none() && !found.has_errors() {
            let words = "a property of this feature holds nothing, so the feature cannot be read";
            let finding = Finding::error("keepout-empty", &place, words).accepts("a value for every property");
            found.push(finding.fix("write what belongs there, or take the empty property out"));
        }
        findings.extend(found);
        written.keepouts.extend(read);
    }
    unread.tell(KNOWN, findings);
}

fn keepout(feature: FarmFeature, unread: &mut UnreadProperties, findings: &mut Findings) -> Option<WrittenKeepOut> {
    let Some(node) = &feature.properties else {
        findings.push(
            Finding::error("keepout-kind", &feature.place, "the feature does not say what it is")
                .accepts(FEATURES.join(", ")),
        );
        return None;
    };
    let named = node.get("name").and_then(Node::scalar).map(str::trim).filter(|name| !name.is_empty());
    let what = named.map_or_else(|| "the keep-out".to_string(), str::to_string);
    let walk = Walker::new(what.as_str(), node, findings)?;
    let kind = walk.need_text("kind", &FEATURES.join(", "), findings).and_then(|t| kind_of(t, findings));
    let name = named.map(str::to_string);
    walk.ask("name");
    let strip = walk.yes_no("vegetated_strip", findings);
    let owner = walk.text("owner", findings).and_then(|t| owner_of(t, findings));
    let consent = walk.ask("consent").map(|node| consent(&what, node, findings));
    let above = walk.words("above", findings);
    let above_by = walk.signed("above_by", findings);
    let setback = walk.quantity("setback", findings);
    let setback_by = walk.signed("setback_by", findings);
    // What is written and could not be read was told; the feature then says
    // less than it should, and is left out.
    let mut lost = matches!(consent, Some(None));
    for (key, read) in [
        ("vegetated_strip", strip.is_some()),
        ("owner", owner.is_some()),
        ("setback", setback.is_some()),
        ("setback_by", setback_by.is_some()),
        ("above_by", above_by.is_some()),
        ("above", !above.is_empty()),
    ] {
        lost |= !read && walk.ask(key).is_some();
    }
    lost |= apart(&walk, ("setback", "setback_by"), findings) || apart(&walk, ("above", "above_by"), findings);
    let given = KNOWN.iter().copied().filter(|key| walk.ask(key).is_some()).collect();
    let (foreign, _) = walk.unread();
    unread.of(&PropertyReader { what: &what, unread: foreign, known: KNOWN, given }, findings);
    let kind = kind.filter(|_| !lost)?;
    let name = name.unwrap_or_else(|| kind.value.replace('_', " "));
    Some(WrittenKeepOut {
        kind,
        name,
        strip,
        neighbor: owner,
        consent: consent.flatten(),
        above,
        above_by,
        setback: setback.zip(setback_by),
        geometry: feature.geometry,
        place: feature.place,
    })
}

/// Whether one of two properties that go together stands alone; that is told.
fn apart(walk: &Walker<'_>, (what, by): (&'static str, &'static str), findings: &mut Findings) -> bool {
    let (node, lone, found, accepts) = match (walk.ask(what), walk.ask(by)) {
        (Some(node), None) => {
            (node, by, format!("`{what}` does not say who asked for it"), format!("`{by}` beside it"))
        }
        (None, Some(node)) => (node, what, format!("`{by}` stands without `{what}`"), format!("`{what}` beside it")),
        _ => return false,
    };
    let fix = match lone {
        "setback" => "add \"setback\": \"... ft\", or take `setback_by` out",
        "above" => "add \"above\": [\"the field's id\"], or take `above_by` out",
        "setback_by" => "add \"setback_by\": \"name, date\"",
        _ => "add \"above_by\": \"name, date\" of whoever walked the ground",
    };
    let code = if what == "setback" { "setback-by" } else { "above-by" };
    let found = format!("{}: {found}", walk.what());
    findings.push(Finding::error(code, &node.place, found).accepts(accepts).fix(fix));
    true
}

/// What a consent must say.
const CONSENT: &str = "{\"by\": \"R. Swink\", \"on\": \"2026-10-01\", \"to\": \"100 ft\"}; without `to`, the eased \
                       distance of the rule holds";

/// Who consented in writing to a smaller distance, when, and to which. A line
/// of text is taken when it holds a name and a date and no word of refusal.
fn consent(what: &str, node: &Node, findings: &mut Findings) -> Option<Consent> {
    let refused = |found: String| {
        Finding::error("consent", &node.place, found)
            .accepts(CONSENT)
            .fix("write who signed and on which day; take `consent` out where nobody did")
    };
    match &node.kind {
        Kind::Map(_) => {
            let walk = Walker::new(format!("{what}: the consent"), node, findings)?;
            let by = walk.need_name("by", "the name of whoever signed", findings);
            let on = walk.need_date("on", findings);
            let asked = walk.ask("to").is_some();
            let to = walk.quantity("to", findings);
            walk.finish(findings);
            let (by, on) = (by?, on?);
            if refuses(&by.value) {
                findings.push(refused(format!("{what}: the consent is by `{}`, which reads as none", by.value)));
                return None;
            }
            (!asked || to.is_some()).then(|| Consent { by: format!("{}, {}", by.value, on.value), on, to })
        }
        Kind::Scalar(text) => match signed(text) {
            Ok(on) if !refuses(text) => {
                let by = text.trim().to_string();
                Some(Consent { by, on: At { value: on, place: node.place.clone() }, to: None })
            }
            Ok(_) => {
                findings.push(refused(format!("{what}: `consent` is `{text}`, which reads as a refusal")));
                None
            }
            Err(lacks) => {
                findings.push(refused(format!("{what}: `consent` is `{text}`, without {}", lacks.missing())));
                None
            }
        },
        _ => {
            findings.push(refused(format!("{what}: `consent` is {}", node.describe())));
            None
        }
    }
}

/// Words in use for what a thing is, and the kinds they may mean.
const ALSO_CALLED: &[(&str, &str)] = &[
    ("brook", "perennial stream, or intermittent stream where it dries up"),
    ("creek", "perennial stream, or intermittent stream where it dries up"),
    ("river", "perennial stream"),
    ("branch", "perennial stream, or intermittent stream where it dries up"),
    ("stream", "perennial stream, or intermittent stream where it dries up"),
    ("canal", "ditch"),
    ("swale", "ditch"),
    ("lake", "pond"),
    ("reservoir", "pond"),
    ("lagoon", "pond"),
    ("swamp", "wetland"),
    ("marsh", "wetland"),
    ("borehole", "well"),
    ("sink", "sinkhole"),
    ("inlet", "tile intake"),
    ("tile_inlet", "tile intake"),
    ("standpipe", "tile intake"),
    ("house", "dwelling"),
    ("home", "dwelling"),
    ("residence", "dwelling"),
    ("trailer", "dwelling"),
    ("school", "public building"),
    ("church", "public building"),
    ("highway", "road"),
    ("street", "road"),
    ("fence", "property line"),
    ("boundary", "property line"),
    ("rock", "rock outcrop"),
    ("slope", "steep ground"),
];

fn kind_of(text: At<String>, findings: &mut Findings) -> Option<At<String>> {
    let key = key_of(&text.value);
    if let Some(kind) = feature_key(&key) {
        return Some(At { value: kind, place: text.place });
    }
    let meant = ALSO_CALLED.iter().find(|(word, _)| *word == key || *word == key.trim_end_matches('s'));
    let near = nearest(&text.value, FEATURES.iter().copied());
    let finding = Finding::error("word-unknown", &text.place, format!("the kind `{}` is not known", text.value))
        .accepts(FEATURES.join(", "));
    findings.push(match meant.map(|(_, kind)| *kind).or(near) {
        Some(kind) => finding.fix(format!("did you mean `{kind}`?")),
        None => finding,
    });
    None
}

fn owner_of(text: At<String>, findings: &mut Findings) -> Option<At<bool>> {
    choice(text, "owner", OWNERS, is_neighbor, findings)
}

/// The key of a word of [`FEATURES`].
#[must_use]
pub fn feature_key(word: &str) -> Option<String> {
    let key = key_of(word);
    FEATURES.iter().any(|f| key_of(f) == key).then_some(key)
}
