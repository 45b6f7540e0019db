//! Checks of the keep-outs: every one gets its distance, from the tables or
//! from the grower, and the wider of the two holds. A rule may ease its
//! distance where a neighbor consents, or speak only of what lies below a
//! field.

use crate::check::names::field_there;
use crate::check::ready::{Above, INCORPORATED, KeepOut, SURFACE};
use crate::farm::{Written, WrittenKeepOut};
use crate::findings::{At, Finding, Findings, Origin, Place, with_article};
use crate::tables::{self, Book, Scope, Sourced, topic};
use crate::text::Signed;
use crate::units::{Feet, Quantity};
use std::collections::BTreeSet;

/// `far` are the places in the list of those that were reported as lying far from every boundary.
pub(super) fn check(
    written: &Written,
    far: &BTreeSet<usize>,
    book: &Book<'_>,
    findings: &mut Findings,
) -> Vec<KeepOut> {
    let large = written.large.as_ref().is_some_and(|l| l.value);
    written.keepouts.iter().flat_map(|k| &k.above).for_each(|field| field_there(field, written, findings));
    consent_of_the_farm(written, findings);
    for keep in &written.keepouts {
        dates(keep, written, findings);
    }
    let by = |placement| Rule { book, large, placement };
    let on_top = written.fields.iter().any(|f| f.worked_in.is_none()) || written.fields.is_empty();
    let worked_in = written.fields.iter().any(|f| f.worked_in.is_some());
    let mut one = |keep: &WrittenKeepOut| match (on_top, worked_in) {
        (true, true) => either_way(keep, &by(SURFACE), &by(INCORPORATED), findings),
        (true, false) => keepout(keep, &by(SURFACE), findings),
        (false, _) => keepout(keep, &by(INCORPORATED), findings),
    };
    let all = written.keepouts.iter().enumerate();
    all.filter_map(|(number, keep)| Some(KeepOut { far: far.contains(&number), ..one(keep)? })).collect()
}

/// A keep-out of a farm with fields of both placements; what is wrong either
/// way is said once.
fn either_way(
    keep: &WrittenKeepOut,
    on_top: &Rule<'_>,
    worked_in: &Rule<'_>,
    findings: &mut Findings,
) -> Option<KeepOut> {
    let mut whole = keepout(keep, on_top, findings)?;
    let mut more = Findings::new();
    let Some(other) = keepout(keep, worked_in, &mut more) else {
        findings.extend(more);
        return None;
    };
    let distances = |keep: &KeepOut| (keep.feet, keep.full, keep.above.as_ref().map(|above| above.feet));
    if distances(&other) != distances(&whole) {
        whole.worked_in = Some(Box::new(other));
    }
    Some(whole)
}

/// What the tables ask of a thing: its kind, and what is said of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct KeepOutFacts<'a> {
    /// Its kind, as a key of the tables.
    pub(super) kind: &'a str,
    /// Whether a strip of permanent vegetation lies along it.
    pub(super) strip: Option<bool>,
    /// Whether it belongs to a neighbor.
    pub(super) neighbor: Option<bool>,
}

impl WrittenKeepOut {
    fn thing(&self) -> KeepOutFacts<'_> {
        let said = |at: &Option<At<bool>>| at.as_ref().map(|at| at.value);
        KeepOutFacts { kind: &self.kind.value, strip: said(&self.strip), neighbor: said(&self.neighbor) }
    }
}

/// The distance of the rule in feet; 0 where it speaks of others only.
pub(super) fn ruled(thing: KeepOutFacts<'_>, large: bool, book: &Book<'_>) -> Option<f64> {
    let rule = Rule { book, large, placement: SURFACE };
    let said = DistanceFacts::plainly(thing);
    rule.distance(thing.kind, said)
        .map(|f| f.value.get())
        .or_else(|| rule.speaks_of_others(thing.kind, said).then_some(0.0))
}

/// The tables, and the words that every question has in common.
struct Rule<'a> {
    book: &'a Book<'a>,
    large: bool,
    placement: &'static str,
}

/// What a question may say of a feature. What the grower does not say counts
/// against it: no strip, a neighbor's, no consent, below the field.
#[derive(Clone, Copy)]
struct DistanceFacts {
    strip: bool,
    own: bool,
    consent: bool,
    above: bool,
}

impl DistanceFacts {
    fn plainly(thing: KeepOutFacts<'_>) -> DistanceFacts {
        let (strip, own) = (thing.strip == Some(true), thing.neighbor == Some(false));
        DistanceFacts { strip, own, consent: false, above: false }
    }
}

impl Rule<'_> {
    /// The strictest published distance that fits.
    fn distance(&self, kind: &str, said: DistanceFacts) -> Option<Sourced<Feet>> {
        let word = |yes: bool| if yes { "yes" } else { "no" };
        let scope = Scope::new()
            .feature(kind)
            .strip(word(said.strip))
            .owner(if said.own { "own" } else { "neighbor" })
            .consent(word(said.consent))
            .lies(if said.above { "above" } else { "below" })
            .large(self.large)
            .placement(self.placement);
        self.book.get(topic::SETBACK, &scope)
    }

    /// Whether the rule speaks of neighbors only, or only of what lies below a
    /// field: all else then has no distance.
    fn speaks_of_others(&self, kind: &str, said: DistanceFacts) -> bool {
        let others = [DistanceFacts { own: false, ..said }, DistanceFacts { above: false, ..said }];
        others.into_iter().any(|other| self.distance(kind, other).is_some())
    }
}

/// A distance with who says so, or `None` where nobody does.
fn settled(keep: &WrittenKeepOut, said: DistanceFacts, rule: &Rule<'_>) -> Option<(f64, Origin)> {
    let own = keep
        .setback
        .as_ref()
        .map(|(feet, by)| (feet.value.get(), Origin::Said { place: feet.place.clone(), by: by.value.text.clone() }));
    let kind = keep.kind.value.as_str();
    match (rule.distance(kind, said), own) {
        (Some(figure), Some(own)) if own.0 > figure.value.get() => Some(own),
        (Some(figure), _) => Some((figure.value.get(), Origin::Figure(figure.cite))),
        (None, Some(own)) => Some(own),
        (None, None) => rule.speaks_of_others(kind, said).then(|| (0.0, Origin::Line(keep.place.clone()))),
    }
}

fn keepout(written: &WrittenKeepOut, rule: &Rule<'_>, findings: &mut Findings) -> Option<KeepOut> {
    let plain = DistanceFacts::plainly(written.thing());
    let said = DistanceFacts { consent: written.consent.is_some(), ..plain };
    let Some((ruled, origin)) = settled(written, said, rule) else {
        findings.push(ask(written, rule.book));
        return None;
    };
    own_setback(written, plain, rule, findings);
    unsaid(written, plain, rule, findings);
    let full = settled(written, plain, rule).map_or(ruled, |(feet, _)| feet);
    let feet = consented(written, ruled, full, rule, findings);
    let eased = full > feet;
    let above = (!written.above.is_empty())
        .then(|| settled(written, DistanceFacts { above: true, ..said }, rule))
        .flatten()
        .filter(|(lesser, _)| {
            if *lesser >= feet {
                findings.push(unheard(written, &written.place, "what lies above a field", feet, rule.book));
            }
            *lesser < feet
        })
        .map(|(feet, origin)| Above {
            fields: written.above.iter().map(|f| f.value.clone()).collect(),
            by: written.above_by.as_ref().map(|by| by.value.text.clone()).unwrap_or_default(),
            feet,
            origin,
        });
    Some(KeepOut {
        kind: written.kind.value.clone(),
        name: written.name.clone(),
        feet,
        origin,
        full,
        consent: written.consent.as_ref().filter(|_| eased).map(|c| c.by.clone()),
        above,
        far: false,
        worked_in: None,
        geometry: written.geometry.clone(),
    })
}

/// A consent that the grower gave himself.
fn consent_of_the_farm(written: &Written, findings: &mut Findings) {
    let words = |text: &str| -> Vec<String> {
        text.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).map(str::to_lowercase).collect()
    };
    let grower = written.people.iter().filter(|p| p.part == "grower").map(|p| p.name.as_str());
    let own: Vec<(&str, Vec<String>)> = grower.chain([written.name.as_str()]).map(|name| (name, words(name))).collect();
    for keep in &written.keepouts {
        let Some(consent) = &keep.consent else { continue };
        let by = words(&consent.by);
        // A family name alone may be the neighbor's too.
        let same = |name: &[String]| match name.len() {
            0 => false,
            1 => by.split_first().is_some_and(|(first, rest)| *first == name[0] && rest.iter().all(|w| is_number(w))),
            n => by.windows(n).any(|part| part == name),
        };
        let Some((name, _)) = own.iter().find(|(_, name)| same(name)) else { continue };
        let found = format!("{}: the consent is by `{name}`, which is this farm's own name or grower", keep.name);
        findings.push(
            Finding::warning("consent-own", &consent.on.place, found)
                .accepts("the neighbor whose house, well or line it is")
                .fix("write who signed; take `consent` out where no neighbor did"),
        );
    }
}

fn is_number(word: &str) -> bool {
    word.chars().all(|c| c.is_ascii_digit())
}

/// The distance that a consent leaves: what it names, and never less than what
/// the rule eases to. Without a rule that eases, the full distance.
fn consented(keep: &WrittenKeepOut, ruled: f64, full: f64, rule: &Rule<'_>, findings: &mut Findings) -> f64 {
    let Some(consent) = &keep.consent else { return ruled };
    if ruled >= full {
        findings.push(unheard(keep, &consent.on.place, "consent", full, rule.book));
        return full;
    }
    let Some(to) = &consent.to else { return ruled };
    let asked = to.value.get();
    let holds = asked.clamp(ruled, full);
    let said = format!("{}: the consent is to {}", keep.name, to.value);
    if asked < ruled {
        findings.push(
            Finding::warning(
                "consent-to",
                &to.place,
                format!("{said}; the rule eases to no less than {} ft", feet(ruled)),
            )
            .accepts(format!("{} ft, which holds", feet(ruled))),
        );
    } else if asked >= full {
        findings.push(
            Finding::warning(
                "consent-to",
                &to.place,
                format!("{said}, and eases nothing: {} ft hold without it", feet(full)),
            )
            .accepts(format!("from {} to {} ft", feet(ruled), feet(full))),
        );
    }
    holds
}

/// A setback of the farm's own that the rule passes over, or that is not usual.
fn own_setback(keep: &WrittenKeepOut, plain: DistanceFacts, rule: &Rule<'_>, findings: &mut Findings) {
    let Some((own, _)) = &keep.setback else { return };
    let name = &keep.name;
    let place = &rule.book.place().name;
    let width = own.value.get();
    let figure = rule.distance(&keep.kind.value, plain).map(|figure| figure.value.get());
    if let Some(ruled) = figure.filter(|ruled| width < *ruled) {
        let found = format!(
            "{name}: its setback {} is narrower than the {} ft that {place} requires, which is used instead",
            own.value,
            feet(ruled)
        );
        findings.push(
            Finding::warning("setback-narrow", &own.place, found)
                .accepts(format!("{} ft or more", feet(ruled)))
                .fix("write the wider distance, or take `setback` and `setback_by` out"),
        );
        return;
    }
    let usual = Scope::new().feature(keep.kind.value.as_str());
    let Some(band) = rule.book.band(tables::Thing::OwnSetback, Feet::UNIT, &usual) else { return };
    let (least, most) = band.value.usual;
    if (least..=most).contains(&width) {
        return;
    }
    let (looks, kind) = (if width < least { "short" } else { "wide" }, keep.kind.value.replace('_', " "));
    let found = format!("{name}: its setback {} looks too {looks} for its kind ({kind})", own.value);
    findings.push(
        Finding::warning("setback-unusual", &own.place, found)
            .accepts(format!("{} to {} ft; usual range by {}", feet(least), feet(most), band.cite))
            .fix("check the number and its unit against what the planner or the district asked for"),
    );
}

/// What the grower does not say and the rule asks for counts against the farm;
/// that is told.
fn unsaid(keep: &WrittenKeepOut, plain: DistanceFacts, rule: &Rule<'_>, findings: &mut Findings) {
    let kind = keep.kind.value.as_str();
    let distance = |said| rule.distance(kind, said).map(|figure| figure.value.get());
    let own_word = keep.setback.as_ref().map(|(own, _)| own.value.get());
    let Some(held) = distance(plain).filter(|held| own_word.is_none_or(|own| own < *held)) else { return };
    let asked = [
        (
            keep.neighbor.is_none(),
            DistanceFacts { own: true, ..plain },
            "whose it is",
            "a neighbor's",
            "\"owner\": \"own\"",
        ),
        (
            keep.strip.is_none(),
            DistanceFacts { strip: true, ..plain },
            "whether a vegetated strip lies along it",
            "without one",
            "\"vegetated_strip\": true",
        ),
    ];
    for (unsaid, other, what, taken, write) in asked {
        if let Some(less) = distance(other).filter(|less| unsaid && *less < held) {
            let found = format!("{}: it does not say {what}; taken as {taken}, {} ft", keep.name, feet(held));
            findings.push(
                Finding::warning("keepout-unsaid", &keep.place, found)
                    .accepts(format!("{write}, where it is so: then {} ft", feet(less)))
                    .fix("say it either way"),
            );
        }
    }
}

/// First year of which a written word is still believed.
const FIRST_YEAR: i16 = 1950;

/// A word that somebody gave after the plan ends, or long before anyone's time.
fn dates(keep: &WrittenKeepOut, farm: &Written, findings: &mut Findings) {
    let Some((_, last)) = &farm.span else { return };
    let signed = |by: &At<Signed>, what| (what, At { value: by.value.on, place: by.place.clone() });
    let said = [
        keep.consent.as_ref().map(|consent| ("consent", consent.on.clone())),
        keep.setback.as_ref().map(|(_, by)| signed(by, "setback_by")),
        keep.above_by.as_ref().map(|by| signed(by, "above_by")),
    ];
    for (what, on) in said.into_iter().flatten() {
        let why = if on.value > last.value {
            format!("after the plan ends ({})", last.value)
        } else if on.value.year() < FIRST_YEAR {
            format!("before {FIRST_YEAR}")
        } else {
            continue;
        };
        let found = format!("{}: `{what}` is dated {}, {why}", keep.name, on.value);
        findings.push(Finding::error("who-when", &on.place, found).fix("check the year"));
    }
}

/// Feet as a person writes them.
fn feet(feet: f64) -> String {
    crate::units::trimmed(feet)
}

/// A condition that the place's rule does not know changes nothing.
fn unheard(keep: &WrittenKeepOut, place: &Place, what: &str, feet: f64, book: &Book<'_>) -> Finding {
    let found = format!("{}: the rule of {} has no exception for {what}", keep.name, book.place().name);
    Finding::warning("no-exception", place, found)
        .accepts(format!("the distance stays {} ft", crate::units::trimmed(feet)))
        .fix("take it out, or ask the planner whether a rule allows it")
}

fn ask(keep: &WrittenKeepOut, book: &Book<'_>) -> Finding {
    unanswered(&keep.name, keep.thing(), book, &keep.kind.place)
}

/// The tables hold no distance for a thing.
pub(super) fn unanswered(name: &str, thing: KeepOutFacts<'_>, book: &Book<'_>, place: &Place) -> Finding {
    let what = thing.kind.replace('_', " ");
    // A strip along the bank matters only to water for which the place has a distance with one.
    let eased = ruled(KeepOutFacts { strip: Some(true), ..thing }, false, book).is_some();
    let strip = match thing.strip {
        Some(false) if eased => " without a vegetated strip",
        None if eased => " (and nothing says whether a vegetated strip lies along it)",
        _ => "",
    };
    let found =
        format!("{name}: the tables of {} have no distance for {}{strip}", book.place().name, with_article(&what));
    Finding::error("setback-asked", place, found)
        .accepts("a distance of your own, with who asked for it and when")
        .fix("ask the planner or the district, then add \"setback\": \"... ft\" and \"setback_by\": \"name, date\"")
}
