//! Checks of the keep-outs: every one gets its distance, from the tables or
//! from the grower, and the wider of the two holds. A rule may ease its
//! distance where a neighbor consents, or speak only of what lies below a
//! field.

use crate::check::field_there;
use crate::check::ready::{Above, KeepOut, operation};
use crate::farm::{Written, WrittenKeepOut};
use crate::findings::{At, Finding, Findings, Origin, Place};
use crate::tables::{Book, Sourced, Topic};
use crate::units::Quantity;

pub(super) fn check(written: &Written, book: &Book<'_>, findings: &mut Findings) -> Vec<KeepOut> {
    let large = written.large.as_ref().is_some_and(|l| l.value);
    written.keepouts.iter().flat_map(|k| &k.above).for_each(|field| field_there(field, written, findings));
    written.keepouts.iter().filter_map(|k| keepout(k, &Rule { book, large }, findings)).collect()
}

/// What the tables ask of a thing: its kind, and what is said of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Thing<'a> {
    /// Its kind, as a key of the tables.
    pub(super) kind: &'a str,
    /// Whether a strip of permanent vegetation lies along it.
    pub(super) strip: Option<bool>,
    /// Whether it belongs to a neighbor.
    pub(super) neighbor: Option<bool>,
}

impl WrittenKeepOut {
    fn thing(&self) -> Thing<'_> {
        let said = |at: &Option<At<bool>>| at.as_ref().map(|at| at.value);
        Thing { kind: &self.kind.value, strip: said(&self.strip), neighbor: said(&self.neighbor) }
    }
}

/// The distance of the rule in feet; 0 where it speaks of others only.
pub(super) fn ruled(thing: Thing<'_>, large: bool, book: &Book<'_>) -> Option<f64> {
    let rule = Rule { book, large };
    let said = Said::plainly(thing);
    rule.distance(thing.kind, said).map(|f| f.value).or_else(|| rule.speaks_of_others(thing.kind, said).then_some(0.0))
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

impl Said {
    fn plainly(thing: Thing<'_>) -> Said {
        let (strip, own) = (thing.strip == Some(true), thing.neighbor == Some(false));
        Said { strip, own, consent: false, above: false }
    }
}

impl Rule<'_> {
    /// The strictest published distance that fits.
    fn distance(&self, kind: &str, said: Said) -> Option<Sourced<f64>> {
        let word = |yes: bool| if yes { "yes" } else { "no" };
        let scope = [
            ("feature", kind),
            ("strip", word(said.strip)),
            ("owner", if said.own { "own" } else { "neighbor" }),
            ("consent", word(said.consent)),
            ("lies", if said.above { "above" } else { "below" }),
            ("operation", operation(self.large)),
            ("placement", "surface"),
        ];
        self.book.number(Topic::Setback, &scope)
    }

    /// Whether the rule speaks of neighbors only, or only of what lies below a
    /// field: all else then has no distance.
    fn speaks_of_others(&self, kind: &str, said: Said) -> bool {
        let others = [Said { own: false, ..said }, Said { above: false, ..said }];
        others.into_iter().any(|other| self.distance(kind, other).is_some())
    }
}

/// A distance with who says so, or `None` where nobody does.
fn settled(keep: &WrittenKeepOut, said: Said, rule: &Rule<'_>) -> Option<(f64, Origin)> {
    let own = keep
        .setback
        .as_ref()
        .map(|(feet, by)| (feet.value.get(), Origin::Said { place: feet.place.clone(), by: by.clone() }));
    let kind = keep.kind.value.as_str();
    match (rule.distance(kind, said), own) {
        (Some(figure), Some(own)) if own.0 > figure.value => Some(own),
        (Some(figure), _) => Some((figure.value, Origin::Figure(figure.cite))),
        (None, Some(own)) => Some(own),
        (None, None) => rule.speaks_of_others(kind, said).then(|| (0.0, Origin::Line(keep.place.clone()))),
    }
}

fn keepout(written: &WrittenKeepOut, rule: &Rule<'_>, findings: &mut Findings) -> Option<KeepOut> {
    let plain = Said::plainly(written.thing());
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
fn unheard(keep: &WrittenKeepOut, place: &Place, what: &str, feet: f64, book: &Book<'_>) -> Finding {
    let found = format!("{}: the rule of {} has no exception for {what}", keep.name, book.place().name);
    Finding::note("no-exception", place, found)
        .accepts(format!("the distance stays {} ft", crate::units::trimmed(feet)))
}

fn ask(keep: &WrittenKeepOut, book: &Book<'_>) -> Finding {
    unanswered(&keep.name, keep.thing(), book, &keep.kind.place)
}

/// The tables hold no distance for a thing.
pub(super) fn unanswered(name: &str, thing: Thing<'_>, book: &Book<'_>, place: &Place) -> Finding {
    let what = thing.kind.replace('_', " ");
    let strip = match thing.strip {
        Some(false) => " without a vegetated strip",
        None => " (and nothing says whether a vegetated strip lies along it)",
        Some(true) => "",
    };
    let found = format!("{name}: the tables of {} have no distance for a {what}{strip}", book.place().name);
    Finding::error("setback-asked", place, found)
        .accepts("a distance of your own, with who asked for it and when")
        .fix("ask the planner or the district, then add \"setback\": \"... ft\" and \"setback_by\": \"name, date\"")
}
