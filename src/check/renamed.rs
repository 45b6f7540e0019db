//! Entries of the log under the id that a field had on their day: each is put on
//! the field that it is about now, one on the whole of a split field on every part
//! by its acres.

use crate::check::done_ground;
use crate::check::names::unknown_id;
use crate::farm::{Written, WrittenField};
use crate::findings::{At, Finding, Findings};
use crate::ground::{Plane, SQUARE_FEET_PER_ACRE};
use crate::record::{Entry, Happened, KeptEntry};
use crate::units::Pounds;
use geo::{Area, MultiPolygon};
use jiff::civil::Date;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// A field that an entry names is one of the farm, or was one on the entry's day.
pub(super) fn field_known(field: &At<String>, day: Date, written: &Written, findings: &mut Findings) {
    let id = field.value.as_str();
    if written.unread.iter().any(|unread| unread == id) || !written.logged_fields(id, day).is_empty() {
        return;
    }
    let once: Vec<_> = written.once_called(id).collect();
    let Some((_, last)) = once.iter().max_by_key(|(_, before)| before.until.value) else {
        return unknown_id("field", field, written.field_ids(), findings);
    };
    let now: Vec<&str> = once.iter().map(|(field, _)| field.id.value.as_str()).collect();
    let found = format!("field `{id}` was so called until {}, and the entry is of {day}", last.until.value);
    findings.push(
        Finding::error("id-unknown", &field.place, found)
            .accepts(now.join(", "))
            .fix("name the field as it is called since; or correct the day")
            .also(&last.until.place, "until then"),
    );
}

/// An entry on all of a field that is a part of another now covered that part: how
/// many acres, nothing else says.
pub(super) fn part_has_acres(entry: &Entry, written: &Written, findings: &mut Findings) {
    let Some(id) =
        entry.field.as_ref().filter(|_| entry.what.is_put_on() && entry.acres.is_none() && entry.ground.is_none())
    else {
        return;
    };
    let whole = written.logged_fields(&id.value, entry.date);
    let Some(whole) = whole.iter().find(|whole| whole.parts_on(entry.date).contains(&id.value.as_str())) else {
        return;
    };
    let found = format!(
        "the {} of {} covered `{}`, a part of field {} now, and does not say how many acres: it counts as on all of it",
        entry.what.word(),
        entry.date,
        id.value,
        whole.id.value
    );
    findings.push(
        Finding::warning("log-part-acres", &id.place, found)
            .accepts("the acres that it covered")
            .fix(format!("`sward log correct {} --set acres=...`", entry.id)),
    );
}

/// The log with every entry on the fields that it is about.
pub(super) fn on_fields_of_now<'a>(
    written: &Written,
    shapes: &BTreeMap<String, MultiPolygon<f64>>,
    happened: &'a Happened,
) -> Cow<'a, Happened> {
    if written.fields.iter().flat_map(|field| &field.before).all(|before| before.id.is_none()) {
        return Cow::Borrowed(happened);
    }
    let mut now = Vec::new();
    for entry in happened.entries.iter() {
        let id = entry.field_id();
        let fields = if id.is_empty() { Vec::new() } else { written.logged_fields(id, entry.date) };
        if fields.is_empty() {
            now.push(entry.clone());
            continue;
        }
        now.extend(pieces(entry, &fields, (written, shapes)).into_iter().map(KeptEntry::from));
    }
    Cow::Owned(happened.of_entries(now))
}

/// The entry on each of the fields, by its ground on them, else by their acres; its pounds
/// add up.
fn pieces(
    entry: &Entry,
    fields: &[&WrittenField],
    (written, shapes): (&Written, &BTreeMap<String, MultiPolygon<f64>>),
) -> Vec<Entry> {
    let on = |field: &WrittenField| {
        let place = entry.field.as_ref().map(|id| id.place.clone()).unwrap_or_default();
        Entry { field: Some(At { value: field.id.value.clone(), place }), ..entry.clone() }
    };
    if let [one] = fields {
        return vec![on(one)];
    }
    let of = |acres: &dyn Fn(&MultiPolygon<f64>) -> Option<f64>| -> Vec<f64> {
        fields.iter().map(|field| shapes.get(&field.id.value).and_then(acres).unwrap_or(0.0)).collect()
    };
    let on_ground = of(&|shape| done_ground::acres_inside(entry, shape, written));
    let by_ground = on_ground.iter().any(|acres| *acres > 0.0);
    let acres = if by_ground { on_ground } else { of(&drawn) };
    let all: f64 = acres.iter().sum();
    let share = |own: f64| if all > 0.0 { own / all } else { 1.0 / fields.len() as f64 };
    let mut given = 0.0;
    let cut = |pounds: Pounds, before: f64, upto: f64| {
        let at = |share: f64| (pounds.0 as f64 * share).round() as i64;
        Pounds(at(upto) - at(before))
    };
    fields
        .iter()
        .zip(&acres)
        .filter(|(_, own)| !by_ground || **own > 0.0)
        .map(|(field, own)| {
            let share = share(*own);
            let before = given;
            given = (given + share).min(1.0);
            let mut piece = on(field);
            piece.amount = cut(entry.amount, before, given);
            piece.acres = entry.acres.map(|acres| acres * share);
            piece.loads = entry.loads.map(|loads| loads * share);
            piece.bales = entry.bales.map(|bales| bales * share);
            piece.head = entry.head.map(|head| head * share);
            let tickets: Pounds = entry.tickets.iter().copied().sum();
            piece.tickets = if entry.tickets.is_empty() { Vec::new() } else { vec![cut(tickets, before, given)] };
            piece
        })
        .collect()
}

/// Acres inside a boundary.
pub(super) fn drawn(shape: &MultiPolygon<f64>) -> Option<f64> {
    let feet = Plane::for_shape(shape)?.shape_to_feet(shape);
    Some(feet.unsigned_area() / SQUARE_FEET_PER_ACRE).filter(|acres| *acres > 0.0)
}
