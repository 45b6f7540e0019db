//! Whether the fields lie where the farm says that its rules come from: in the
//! state of `place`, or close enough to its line that nobody can tell.

use crate::check::lonlat::unsigned;
use crate::check::names::few;
use crate::farm::{Boundary, Written};
use crate::findings::{At, Finding, Findings};
use crate::ground::lonlat::{most_lie, near};
use crate::ground::region::Lie;
use crate::ground::{lie, plane};
use crate::tables::{Outline, Tables};
use crate::units::{number_text, trimmed};
use geo::{BoundingRect, Coord, coord};

/// Miles outside its place past which a field cannot be meant: an error.
const FAR_MILES: f64 = 25.0;
/// Miles outside up to which a farm on the line is let be, if all of it lies there.
const LINE_MILES: f64 = 5.0;
/// Degrees around a place in which neighbors are looked for: more than the
/// miles above come to, as far north as hay is cut.
const AROUND_DEGREES: f64 = 1.0;

/// The place whose rules hold, as an outline or, for a country, as those of its states.
struct Own {
    key: String,
    name: String,
    /// One outline; none where every state is meant.
    outline: Option<Outline>,
}

impl Own {
    /// How a spot lies to the place.
    fn lie(&self, at: Coord<f64>, around: &[Outline]) -> Lie {
        match &self.outline {
            Some(outline) => lie(at, &outline.rings),
            None => {
                let nothing = Lie { inside: false, edge_miles: f64::INFINITY };
                let parts = around.iter().filter(|outline| self.holds(&outline.key)).map(|o| lie(at, &o.rings));
                parts.reduce(|a, b| if b.outside() < a.outside() { b } else { a }).unwrap_or(nothing)
            }
        }
    }

    fn holds(&self, key: &str) -> bool {
        key == self.key || key.strip_prefix(self.key.as_str()).is_some_and(|rest| rest.starts_with('-'))
    }
}

/// The outline of a place, or of the wider one that has any; none where nobody drew one.
fn own(key: &str, tables: &Tables, findings: &mut Findings) -> Option<Own> {
    let mut next = Some(key);
    let mut seen: Vec<&str> = Vec::new();
    while let Some(key) = next.filter(|key| !seen.contains(key)) {
        seen.push(key);
        let table = tables.place(key);
        let outline = tables.outlines.of(key, findings);
        if outline.is_some() || tables.outlines.has_parts(key) {
            let name = outline.as_ref().map(|o| o.name.clone()).or_else(|| Some(table?.name.clone()));
            return Some(Own { key: key.to_string(), name: name.unwrap_or_default(), outline });
        }
        next = table.and_then(|table| table.within.as_deref());
    }
    None
}

/// A field that does not lie well inside the place.
struct Stray<'a> {
    boundary: &'a Boundary,
    at: Coord<f64>,
    /// Miles outside, 0 inside.
    outside: f64,
    /// The other state that it lies in, or near.
    other: Option<String>,
}

pub(super) fn check(written: &Written, tables: &Tables, findings: &mut Findings) {
    let Some(place) = &written.place else { return };
    let Some(own) = own(&tables.key_of(&place.value), tables, findings) else { return };
    let true_to = tables.outlines.true_to();
    let fields = together(written);
    let mut strays = Vec::new();
    for (boundary, at) in &fields {
        let quick = own.outline.as_ref().map(|outline| lie(*at, &outline.rings));
        if quick.is_some_and(|lie| lie.inside && lie.edge_miles > true_to) {
            continue;
        }
        let around = tables.outlines.around(*at, AROUND_DEGREES, findings);
        let outside = own.lie(*at, &around).outside();
        let others = around.iter().filter(|o| !own.holds(&o.key));
        let nearest = others.map(|o| (lie(*at, &o.rings).outside(), o)).filter(|(far, _)| *far <= true_to);
        let other = nearest.min_by(|(a, _), (b, _)| a.total_cmp(b)).map(|(_, o)| o.name.clone());
        if outside > 0.0 || other.is_some() {
            strays.push(Stray { boundary, at: *at, outside, other });
        }
    }
    let inside = fields.len() - strays.iter().filter(|stray| stray.outside > true_to).count();
    told(&own, place, &strays, (inside, true_to), findings);
}

/// The fields that lie together, with their middles: the others are told elsewhere.
fn together(written: &Written) -> Vec<(&Boundary, Coord<f64>)> {
    let middle = |boundary: &Boundary| boundary.shape.bounding_rect().map(|rect| rect.center());
    let known = written.boundaries.iter().filter(|b| written.field_ids().any(|id| id == b.id.value));
    let all: Vec<(&Boundary, Coord<f64>)> =
        known.filter_map(|b| Some((b, middle(b).filter(|at| plane::in_range(*at))?))).collect();
    let Some(farm) = most_lie(&all.iter().map(|(_, at)| *at).collect::<Vec<_>>()) else { return Vec::new() };
    all.into_iter().filter(|(_, at)| near(*at, farm)).collect()
}

fn told(own: &Own, place: &At<String>, strays: &[Stray<'_>], (inside, true_to): (usize, f64), findings: &mut Findings) {
    let far: Vec<&Stray<'_>> = strays.iter().filter(|stray| stray.outside > FAR_MILES).collect();
    if let Some(first) = far.first() {
        let mirrored = coord! { x: -first.at.x, y: first.at.y };
        let sign = own.outline.as_ref().is_some_and(|o| lie(mirrored, &o.rings).outside() <= FAR_MILES);
        if sign && inside == 0 {
            return findings.push(unsigned(&format!("the farm ({})", names(&far)), &first.boundary.id.place, first.at));
        }
    }
    // A whole farm beyond the line is told once; else field by field.
    let beyond: Vec<&Stray<'_>> = strays.iter().filter(|stray| stray.outside > true_to).collect();
    let groups: Vec<Vec<&Stray<'_>>> =
        if inside == 0 { vec![beyond] } else { beyond.into_iter().map(|stray| vec![stray]).collect() };
    for group in groups.iter().filter(|group| !group.is_empty()) {
        findings.push(outside(own, place, group, inside > 0));
    }
    let close: Vec<&Stray<'_>> = strays.iter().filter(|stray| stray.outside <= true_to).collect();
    findings_of_the_line(own, place, &close, true_to, findings);
}

/// Fields that lie in another state, or in none.
fn outside(own: &Own, place: &At<String>, group: &[&Stray<'_>], parted: bool) -> Finding {
    let most = group.iter().map(|stray| stray.outside).fold(0.0, f64::max);
    let other = group.iter().find_map(|stray| stray.other.as_deref());
    let first = group.first().map(|stray| stray.boundary.id.place.clone()).unwrap_or_default();
    let lies = if group.len() == 1 { "lies" } else { "lie" };
    let ground = other.map_or_else(|| "no state that is drawn here".to_string(), str::to_string);
    let miles = number_text(most, if most < 10.0 { 1 } else { 0 });
    let miles = if miles == "-" { "very many".to_string() } else { miles };
    let found =
        format!("{} {lies} in {ground}, {miles} miles outside {} (`place: {}`)", names(group), own.name, place.value);
    let rules = format!("fields in {}, whose rules the farm is planned by", own.name);
    let fix = match other {
        Some(state) if parted => format!(
            "the rules of {state} may apply there, and `place` holds for the whole farm: put the fields that lie in \
             {state} into a farm folder of their own with its `place:`"
        ),
        Some(state) => format!("write the `place:` of {state}, or draw the fields where they lie"),
        None => "fix the coordinates: are longitude and latitude in degrees, in that order, west with a minus sign?"
            .to_string(),
    };
    let finding = if most > FAR_MILES {
        Finding::error("place-elsewhere", &first, found)
    } else if parted || most > LINE_MILES {
        Finding::warning("place-elsewhere", &first, found)
    } else {
        Finding::note("place-elsewhere", &first, found)
    };
    finding.accepts(rules).fix(fix).also(&place.place, "the place")
}

/// Fields so close to a state line that the outlines here cannot tell the side.
fn findings_of_the_line(own: &Own, place: &At<String>, close: &[&Stray<'_>], true_to: f64, findings: &mut Findings) {
    let mut states: Vec<&str> = close.iter().filter_map(|stray| stray.other.as_deref()).collect();
    states.sort_unstable();
    states.dedup();
    let (Some(first), false) = (close.first(), states.is_empty()) else { return };
    let lies = if close.len() == 1 { "lies" } else { "lie" };
    let found = format!(
        "{} {lies} within {} miles of the line between {} and {}, closer than the outlines here can tell",
        names(close),
        trimmed(true_to),
        own.name,
        states.join(" and ")
    );
    findings.push(
        Finding::note("place-line", &first.boundary.id.place, found)
            .accepts(format!("fields in {}: its rules are used for all of them", own.name))
            .fix(
                "check on a map which side each field lies on; one beyond the line belongs in a farm folder of its own",
            )
            .also(&place.place, "the place"),
    );
}

fn names(strays: &[&Stray<'_>]) -> String {
    let ids: Vec<&str> = strays.iter().map(|stray| stray.boundary.id.value.as_str()).collect();
    format!("{} {}", if ids.len() == 1 { "field" } else { "fields" }, few(&ids))
}
