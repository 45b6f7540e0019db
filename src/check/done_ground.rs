//! The ground that entries of the log say was done: its acres on the field, which entries
//! lie on each other, and what of it lies where no litter may go.
//!
//! An entry that says its ground covers the acres of it; what it says of its acres besides
//! is only compared.

use crate::check::done_parts::{DoneGround, SEAM_SHARE};
use crate::check::ready::{Field, KeepOut, Ready};
use crate::farm::Written;
use crate::findings::{Finding, Findings, Origin, Place};
use crate::ground::{self, DRAWN_FEET, Driven, GoneOver, KeepAway};
use crate::record::{Entry, GROUND_ACCEPTS, Happened, LoggedGround, What};
use crate::units::{Quantity, number_text};
use geo::{BoundingRect, Coord, CoordsIter, Geometry, Intersects, MultiPolygon};
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

/// Acres written down that lie further from those of the ground than this share are told:
/// our own measure.
const APART: f64 = 0.05;
/// Share of a way's ground that its turns may take beyond the boundary: our own measure.
const TURNS: f64 = 0.1;
/// Least ground that an entry can cover: acres are shown to the hundredth.
const LEAST_ACRES: f64 = 0.01;

/// How wide the way of an entry was: as the entry says, else of litter the spreader's swath.
pub(super) fn swath(what: What, ground: &LoggedGround, written: &Written) -> Option<f64> {
    let spreader = written.spreader.as_ref().filter(|_| what == What::Spread).map(|s| s.swath.value.get());
    ground.swath.or(spreader)
}

/// Acres that the ground of an entry has inside a boundary; none where it says no ground.
pub(super) fn acres_inside(entry: &Entry, shape: &MultiPolygon<f64>, written: &Written) -> Option<f64> {
    let own = entry.ground.as_ref()?;
    let swath_ft = swath(entry.what, own, written).unwrap_or(0.0);
    Some(ground::acres_inside(shape, &Driven { shape: &own.shape, swath_ft }))
}

/// What litter keeps away from on one field, with the distance.
#[must_use]
pub fn keep_away<'a>(keepouts: &'a [KeepOut], field: &Field) -> Vec<KeepAway<'a>> {
    let one = |(index, own): (usize, &'a KeepOut)| KeepAway { index, geometry: &own.geometry, feet: own.from(field).0 };
    keepouts.iter().enumerate().map(one).collect()
}

/// Measures the ground of every entry on its field, and puts its acres into the entry.
pub(super) fn measure(
    written: &Written,
    fields: &mut [Field],
    happened: &mut Cow<'_, Happened>,
    keepouts: &[KeepOut],
    findings: &mut Findings,
) {
    // The parts of an entry on a field that was split have the same ground.
    let mut faulty: BTreeMap<&Place, bool> = BTreeMap::new();
    let mut by_field: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (at, entry) in happened.iter().enumerate() {
        let Some(own) = &entry.ground else { continue };
        let faulty = faulty.entry(&own.place).or_insert_with(|| {
            let fault = fault(entry, own, written);
            let found = fault.is_some();
            fault.into_iter().for_each(|fault| findings.push(fault));
            found
        });
        if !*faulty {
            by_field.entry(entry.field_id()).or_default().push(at);
        }
    }
    let mut acres: BTreeMap<usize, f64> = BTreeMap::new();
    for field in fields {
        let Some(list) = by_field.get(field.id()) else { continue };
        let entries = list.iter().filter_map(|at| Some((*at, &**happened.entries.get(*at)?)));
        acres.extend(on_field(written, field, &entries.collect::<Vec<_>>(), keepouts, findings));
    }
    if acres.is_empty() {
        return;
    }
    let mut entries = happened.entries.as_ref().clone();
    for (at, acres) in acres {
        if let Some(entry) = entries.get_mut(at) {
            entry.change(|entry| entry.acres = Some(acres));
        }
    }
    *happened = Cow::Owned(happened.of_entries(entries));
}

/// The acres of entries on one field, by their places in the log.
fn on_field(
    written: &Written,
    field: &mut Field,
    entries: &[(usize, &Entry)],
    keepouts: &[KeepOut],
    findings: &mut Findings,
) -> Vec<(usize, f64)> {
    let sliver = written.spreader.as_ref().map_or(0.0, |s| s.swath.value.get());
    // A field that cannot be cut is told where it is measured.
    let Ok(cut) = ground::cut(&field.shape, &keep_away(keepouts, field), sliver) else { return Vec::new() };
    let grounds = entries.iter().filter_map(|(at, entry)| Some((*at, *entry, entry.ground.as_ref()?)));
    let grounds: Vec<(usize, &Entry, &LoggedGround)> = grounds.map(|(at, entry, own)| (at, entry, &**own)).collect();
    let driven: Vec<Driven<'_>> = grounds
        .iter()
        .map(|(_, entry, own)| Driven { shape: &own.shape, swath_ft: swath(entry.what, own, written).unwrap_or(0.0) })
        .collect();
    let done = match ground::all_done(&cut, &driven) {
        Ok(done) => done,
        Err(refused) => {
            let place = grounds.first().map(|(_, _, own)| own.place.clone()).unwrap_or_default();
            let found = format!("the ground that was done on field {} cannot be measured: {refused}", field.id());
            findings.push(Finding::error("log-ground", &place, found).fix("draw it with fewer corners"));
            return Vec::new();
        }
    };
    let mut acres = Vec::new();
    for ((at, entry, own), gone) in grounds.iter().zip(&done.each) {
        if gone.inside < LEAST_ACRES {
            findings.push(elsewhere(entry, own, field));
            continue;
        }
        // All of it where no litter may go: it lies somewhere.
        acres.push((*at, if gone.acres < LEAST_ACRES { gone.inside } else { gone.acres }));
    }
    let ids: Vec<String> = grounds.iter().map(|(_, entry, _)| entry.id.clone()).collect();
    field.done = DoneGround::of(&ids, done, cut.gross);
    acres
}

/// What an entry is called in a message.
fn called(entry: &Entry) -> String {
    format!("the {} of {}", entry.what.word(), entry.date)
}

/// How the ground of an entry is put right.
fn again(entry: &Entry) -> String {
    match entry.id.as_str() {
        "" => "draw the ground again".to_string(),
        id => format!("draw the ground again: `sward log correct {id} --set ground=...`"),
    }
}

/// What is wrong with a ground by itself.
fn fault(entry: &Entry, own: &LoggedGround, written: &Written) -> Option<Finding> {
    let error = |code: &'static str, found: String| Finding::error(code, &own.place, found);
    if own.is_line() && swath(entry.what, own, written).is_none() {
        let found = format!("{} gives the way that was driven, and not how wide it was", called(entry));
        return Some(error("log-ground-swath", found).accepts("`swath`, the width that it covered, as in 40 ft").fix(
            match entry.id.as_str() {
                "" => "give `--swath`".to_string(),
                id => format!("`sward log correct {id} --set swath=...`"),
            },
        ));
    }
    let wrong = match &own.shape {
        Geometry::Polygon(one) => ground::faults(&MultiPolygon(vec![one.clone()])),
        Geometry::MultiPolygon(all) => ground::faults(all),
        line => {
            let corner = line.coords_iter().find(|at| !ground::plane::in_range(*at));
            corner.map(|at| ground::ShapeFault::OutOfRange { ring: FIRST_RING, at }).into_iter().collect()
        }
    };
    let wrong = wrong.into_iter().find(ground::ShapeFault::serious)?;
    let found = format!("the ground of {}: {wrong}", called(entry));
    Some(error("log-ground", found).accepts(GROUND_ACCEPTS).fix(again(entry)))
}

/// Lines have no ring.
const FIRST_RING: ground::RingPlace = ground::RingPlace { part: 0, ring: 0 };

/// Ground that is not on its field at all.
fn elsewhere(entry: &Entry, own: &LoggedGround, field: &Field) -> Finding {
    let found = format!("the ground of {} lies outside field {}", called(entry), field.id());
    let at = own.shape.coords_iter().next();
    let on_field = |at: Coord<f64>| field.shape.bounding_rect().is_some_and(|rect| rect.intersects(&at));
    let fix = match at {
        Some(at) if on_field(Coord { x: at.y, y: at.x }) => {
            "longitude and latitude look swapped: longitude first".to_string()
        }
        Some(at) if on_field(Coord { x: -at.x, y: at.y }) => {
            "the minus sign of the longitude seems to be missing".to_string()
        }
        _ => format!("name the field that it lies on, or {}", again(entry)),
    };
    Finding::error("log-ground-elsewhere", &own.place, found)
        .accepts("ground of the field that the entry names")
        .fix(fix)
}

/// What the grounds of the log show that somebody must look at.
pub(super) fn told(ready: &Ready, findings: &mut Findings) {
    for field in &ready.fields {
        findings.extend(seams(field, ready).into_iter().collect());
    }
    for entry in ready.judged().filter(|entry| entry.ground.is_some()) {
        let Some(field) = ready.field(entry.field_id()) else { continue };
        let Some(gone) = field.done.of_entry(entry) else { continue };
        if entry.what == What::Spread {
            findings.extend(kept_off(entry, gone, field, &ready.keepouts).into_iter().collect());
        }
        // What a part of an entry leaves out, the others have.
        if ready.fields.iter().filter(|field| field.done.knows(entry)).count() == 1 {
            findings.extend(outside(entry, gone, field).into_iter().chain(apart(entry, gone)).collect());
        }
    }
}

/// Strips on which jobs lie on each other, and which hold the rest of their field to nothing.
fn seams(field: &Field, ready: &Ready) -> Vec<Finding> {
    let one = |(ids, acres): (&BTreeSet<String>, f64)| {
        let own = ready.happened.iter().filter(|entry| ids.contains(&entry.id) && entry.field_id() == field.id());
        let entries: Vec<&Entry> = own.collect();
        let judged = |entry: &&&Entry| entries.len() > 1 && entry.date >= ready.judged_from();
        let last = entries.iter().max_by_key(|entry| entry.date).filter(judged)?;
        let jobs = entries.iter().map(|entry| called(entry)).collect::<Vec<_>>().join(" and ");
        let acres = number_text(acres.max(LEAST_ACRES), 2);
        let found = format!(
            "field {}: {jobs} overlap by {acres} ac; what lies on that strip does not count against the limits \
             for the rest of the field",
            field.id()
        );
        let share = number_text(SEAM_SHARE * 100.0, 0);
        let accepts = format!(
            "jobs that overlap by no more than {share} % of the field: the seam between them, and no second trip"
        );
        let fix = format!("keep off those {acres} ac; if no ground got both, {}", again(last));
        Some(Finding::warning("log-ground-seam", &last.place, found).accepts(accepts).fix(fix))
    };
    field.done.seams().filter_map(one).collect()
}

fn outside(entry: &Entry, gone: &GoneOver, field: &Field) -> Option<Finding> {
    let found = format!(
        "the ground of {} lies outside field {} on {} ac, which are left out",
        called(entry),
        field.id(),
        number_text(gone.outside, 2)
    );
    let accepts = format!("ground inside the boundary, as drawn to {} ft", number_text(DRAWN_FEET, 0));
    let turns = entry.ground.as_ref().is_some_and(|own| own.is_line()) && gone.outside <= TURNS * gone.inside;
    let finding = if turns {
        let fix = "nothing needs to be done where the spreader turned there with its gate shut; litter beyond the \
                   boundary is for the planner";
        Finding::note("log-ground-outside", &entry.place, found).fix(fix)
    } else {
        let fix = format!("{}; or draw the boundary again", again(entry));
        Finding::warning("log-ground-outside", &entry.place, found).fix(fix)
    };
    (gone.inside >= LEAST_ACRES && gone.outside >= LEAST_ACRES).then(|| finding.accepts(accepts))
}

fn kept_off(entry: &Entry, gone: &GoneOver, field: &Field, keepouts: &[KeepOut]) -> Option<Finding> {
    let zones = gone.kept_off.iter().filter(|(_, acres)| *acres >= LEAST_ACRES);
    let zones: Vec<(&KeepOut, f64)> =
        zones.filter_map(|(index, acres)| Some((keepouts.get(*index)?, *acres))).collect();
    let zone = |(own, acres): &(&KeepOut, f64)| {
        let (feet, name) =
            (own.from(field).0, if own.name.is_empty() { own.kind.replace('_', " ") } else { own.name.clone() });
        let where_ =
            if feet > 0.0 { format!("within {} ft of {name}", number_text(feet, 0)) } else { format!("on {name}") };
        format!("{} ac {where_}", number_text(*acres, 2))
    };
    let said = zones.iter().map(zone).collect::<Vec<_>>().join(", ");
    let (first, _) = zones.first()?;
    let found =
        format!("the ground of {} on {} takes in ground that litter is kept off: {said}", called(entry), field.id());
    let finding = Finding::warning("log-ground-kept-off", &entry.place, found).accepts(match first.from(field).1 {
        Origin::Figure(cite) => format!("no litter there: {cite}"),
        _ => "no litter there, by the farm's own distance".to_string(),
    });
    Some(finding.fix(format!("tell the planner; if no litter went there, {}", again(entry))))
}

/// Acres that were written down beside the ground.
fn apart(entry: &Entry, gone: &GoneOver) -> Option<Finding> {
    let (measured, said) = (entry.acres?, entry.acres_written()?);
    let far = |acres: f64| (said - acres).abs() > APART * acres.max(said);
    let found = format!(
        "{} says {} ac, and its ground has {}: it counts on those",
        called(entry),
        number_text(said, 2),
        number_text(measured, 2)
    );
    let accepts = format!("acres within {} % of those of the ground, or none", number_text(APART * 100.0, 0));
    let finding = Finding::warning("log-ground-acres", &entry.place, found).accepts(accepts);
    (far(measured) && far(gone.inside)).then(|| finding.fix(again(entry)))
}
