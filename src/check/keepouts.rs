//! Checks of the keep-outs: every one gets its distance, from the tables or
//! from the grower, and the wider of the two holds. A rule may ease its
//! distance where a neighbor consents, or speak only of what lies below a
//! field.

use crate::check::ready::{Above, KeepOut, operation};
use crate::check::unknown_id;
use crate::farm::{Written, WrittenKeepOut};
use crate::findings::{Finding, Findings, Origin};
use crate::tables::{Book, Sourced, Topic};
use crate::units::Quantity;

pub(super) fn check(written: &Written, book: &Book<'_>, findings: &mut Findings) -> Vec<KeepOut> {
    let large = written.large.as_ref().is_some_and(|l| l.value);
    for field in written.keepouts.iter().flat_map(|k| &k.above) {
        let known =
            || written.fields.iter().map(|f| f.id.value.as_str()).chain(written.unread.iter().map(String::as_str));
        if !known().any(|id| id == field.value) {
            findings.push(unknown_id("field", &field.value, &field.place, known()));
        }
    }
    written.keepouts.iter().filter_map(|k| keepout(k, &Rule { book, large }, findings)).collect()
}

/// The tables, and the words that every question has in common.
struct Rule<'a> {
    book: &'a Book<'a>,
    large: bool,
}

/// What a question may say of a feature. What the grower does not say counts
/// against it: no strip, a neighbor's, no consent, below the field.
#[derive(Clone, Copy)]
struct Said {
    strip: bool,
    own: bool,
    consent: bool,
    above: bool,
}

impl Rule<'_> {
    /// The strictest published distance that fits.
    fn distance(&self, keep: &WrittenKeepOut, said: Said) -> Option<Sourced<f64>> {
        let word = |yes: bool| if yes { "yes" } else { "no" };
        let scope = [
            ("feature", keep.kind.value.as_str()),
            ("strip", word(said.strip)),
            ("owner", if said.own { "own" } else { "neighbor" }),
            ("consent", word(said.consent)),
            ("lies", if said.above { "above" } else { "below" }),
            ("operation", operation(self.large)),
            ("placement", "surface"),
        ];
        self.book.number(Topic::Setback, &scope)
    }
}

/// A distance with who says so, or `None` where nobody does.
fn settled(keep: &WrittenKeepOut, said: Said, rule: &Rule<'_>) -> Option<(f64, Origin)> {
    let own = keep
        .setback
        .as_ref()
        .map(|(feet, by)| (feet.value.get(), Origin::Said { place: feet.place.clone(), by: by.clone() }));
    match (rule.distance(keep, said), own) {
        (Some(figure), Some(own)) if own.0 > figure.value => Some(own),
        (Some(figure), _) => Some((figure.value, Origin::Figure(figure.cite))),
        (None, Some(own)) => Some(own),
        // Where the rule speaks of neighbors only, or only of what lies below
        // a field, all else has no distance.
        (None, None) => [Said { own: false, ..said }, Said { above: false, ..said }]
            .into_iter()
            .find_map(|wider| rule.distance(keep, wider))
            .map(|_| (0.0, Origin::Line(keep.place.clone()))),
    }
}

fn keepout(written: &WrittenKeepOut, rule: &Rule<'_>, findings: &mut Findings) -> Option<KeepOut> {
    let plain = Said {
        strip: written.strip.as_ref().is_some_and(|s| s.value),
        own: written.neighbor.as_ref().is_some_and(|n| !n.value),
        consent: false,
        above: false,
    };
    let said = Said { consent: written.consent.is_some(), ..plain };
    let Some((feet, origin)) = settled(written, said, rule) else {
        findings.push(ask(written, rule.book));
        return None;
    };
    let full = settled(written, plain, rule).map_or(feet, |(feet, _)| feet);
    let eased = full > feet;
    if let Some(consent) = written.consent.as_ref().filter(|_| !eased) {
        findings.push(unheard(written, &consent.place, "consent", feet, rule.book));
    }
    let above = (!written.above.is_empty())
        .then(|| settled(written, Said { above: true, ..said }, rule))
        .flatten()
        .filter(|(lesser, _)| {
            if *lesser >= feet {
                findings.push(unheard(written, &written.place, "what lies above a field", feet, rule.book));
            }
            *lesser < feet
        })
        .map(|(feet, origin)| Above {
            fields: written.above.iter().map(|f| f.value.clone()).collect(),
            by: written.above_by.clone().unwrap_or_default(),
            feet,
            origin,
        });
    Some(KeepOut {
        kind: written.kind.value.clone(),
        name: written.name.clone(),
        feet,
        origin,
        full,
        consent: written.consent.as_ref().filter(|_| eased).map(|c| c.value.clone()),
        above,
        geometry: written.geometry.clone(),
    })
}

/// A condition that the place's rule does not know changes nothing.
fn unheard(keep: &WrittenKeepOut, place: &crate::findings::Place, what: &str, feet: f64, book: &Book<'_>) -> Finding {
    let found = format!("{}: the rule of {} knows no exception for {what}", keep.name, book.place().name);
    Finding::note("no-exception", place, found)
        .accepts(format!("the distance stays {} ft", crate::units::trimmed(feet)))
}

fn ask(keep: &WrittenKeepOut, book: &Book<'_>) -> Finding {
    let what = keep.kind.value.replace('_', " ");
    let strip = match &keep.strip {
        Some(strip) if !strip.value => " without a vegetated strip",
        None => " (and whether a vegetated strip lies along it is not said)",
        Some(_) => "",
    };
    Finding::error(
        "setback-asked",
        &keep.kind.place,
        format!("{}: the tables of {} hold no distance for a {what}{strip}", keep.name, book.place().name),
    )
    .accepts("a distance of your own, with who asked for it and when")
    .mend("ask the planner or the district, then add \"setback\": \"... ft\" and \"setback_by\": \"name, date\"")
}
