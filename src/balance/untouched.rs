//! Keep-outs that take nothing of any field: told once, with how far the
//! farthest of them lie, because one in the wrong place protects nothing.

use crate::balance::Surveyed;
use crate::check::{Field, KeepOut, Ready};
use crate::farm::KEEPOUTS;
use crate::findings::{Finding, Place};
use crate::ground::{self, Plane};
use crate::units::number_text;
use geo::{BoundingRect, Contains, Geometry, Point, Rect};
use std::collections::BTreeSet;
use std::sync::Arc;

/// Miles from every field past which a keep-out looks misplaced: our own choice.
const FAR_MILES: f64 = 1.0;
/// Most names that the message shows.
const MOST_NAMES: usize = 4;

/// The keep-outs that touch no field, if any. All fields of the farm must have
/// been read and measured: one that is missing may be the one that is touched.
#[must_use]
pub fn idle_keepouts(ready: &Ready, surveyed: &[Surveyed]) -> Option<Finding> {
    // Ground within two distances is charged to one of them only.
    let charged: BTreeSet<usize> = surveyed.iter().flat_map(|s| s.cut.zones.iter().map(|zone| zone.index)).collect();
    let touches = |index: usize, keep: &KeepOut| charged.contains(&index) || alone(ready, keep);
    // A line without a distance takes nothing wherever it lies.
    let takes = |keep: &KeepOut| ready.fields.iter().any(|f| keep.of(f).feet > 0.0) || area(&keep.geometry);
    let idle =
        ready.keepouts.iter().enumerate().filter(|(index, keep)| takes(keep) && !keep.far && !touches(*index, keep));
    let fields: Vec<Rect<f64>> = ready.fields.iter().filter_map(|field| field.shape.bounding_rect()).collect();
    let mut idle: Vec<(f64, &str)> = idle.map(|(_, keep)| (miles_off(keep, &fields), keep.name.as_str())).collect();
    // The farthest first; those equally far as the file has them.
    idle.sort_by(|a, b| b.0.total_cmp(&a.0));
    let farthest = idle.first()?.0;
    let far =
        |miles: f64| if miles > FAR_MILES { format!(", {} miles off", number_text(miles, 1)) } else { String::new() };
    let shown: Vec<String> =
        idle.iter().take(MOST_NAMES).map(|(miles, name)| format!("{name}{}", far(*miles))).collect();
    let more = idle.len().saturating_sub(MOST_NAMES);
    let more = if more > 0 { format!("; and {more} more") } else { String::new() };
    let touch = if idle.len() == 1 { "keep-out touches" } else { "keep-outs touch" };
    let found = format!("{} {touch} no field: {}{more}", idle.len(), shown.join("; "));
    let place = Place::file(KEEPOUTS);
    Some(if farthest > FAR_MILES {
        Finding::warning("keepouts-idle", &place, found)
            .fix("check those that lie far off on a map: in the wrong place they protect nothing")
    } else {
        Finding::note("keepouts-idle", &place, found).accepts("their distances end before the nearest field begins")
    })
}

/// Points in a field that keep no litter off, because nothing asks a distance of
/// them: a house of the farm's own is such a one.
#[must_use]
pub fn bare_keepouts(ready: &Ready) -> Option<Finding> {
    let within = |keep: &KeepOut| {
        let points = spots(&keep.geometry);
        let fields = ready.fields.iter().filter(|field| keep.from(field).0 <= 0.0);
        fields.into_iter().find(|field| points.iter().any(|at| field.shape.contains(at))).map(|field| field.id())
    };
    let named = ready.keepouts.iter().filter_map(|keep| {
        let field = within(keep)?;
        Some(format!("{} ({}, in field {field})", keep.name, keep.kind.replace('_', " ")))
    });
    let named: Vec<String> = named.collect();
    let more = named.len().saturating_sub(MOST_NAMES);
    let shown = named.iter().take(MOST_NAMES).cloned().collect::<Vec<_>>().join("; ");
    let more = if more > 0 { format!("; and {more} more") } else { String::new() };
    let found = match named.len() {
        0 => return None,
        1 => format!("1 keep-out in a field keeps no litter off, since its distance is 0 ft: {shown}"),
        n => format!("{n} keep-outs in fields keep no litter off, since their distance is 0 ft: {shown}{more}"),
    };
    Some(Finding::note("keepouts-bare", &Place::file(KEEPOUTS), found).fix(
        "to keep litter off, draw the outline as a Polygon, or add \"setback\": \"... ft\" and \"setback_by\": \"name, date\"",
    ))
}

/// The points of a geometry.
fn spots(geometry: &Geometry<f64>) -> Vec<Point<f64>> {
    match geometry {
        Geometry::Point(point) => vec![*point],
        Geometry::MultiPoint(points) => points.0.clone(),
        Geometry::GeometryCollection(all) => all.0.iter().flat_map(spots).collect(),
        _ => Vec::new(),
    }
}

/// Whether it would take ground of some field if nothing else did.
fn alone(ready: &Ready, keep: &KeepOut) -> bool {
    let near = |field: &&Arc<Field>| {
        let reach = keep.from(field).0 * 1.01 + 1.0;
        field.shape.bounding_rect().is_some_and(|rect| miles_off(keep, &[rect]) * 5_280.0 <= reach)
    };
    ready.fields.iter().filter(near).any(|field| {
        let one = [ground::KeepAway { index: 0, geometry: &keep.geometry, feet: keep.from(field).0 }];
        ground::cut(&field.shape, &one, 0.0).is_ok_and(|cut| !cut.zones.is_empty())
    })
}

fn area(geometry: &Geometry<f64>) -> bool {
    match geometry {
        Geometry::Polygon(_) | Geometry::MultiPolygon(_) => true,
        Geometry::GeometryCollection(all) => all.0.iter().any(area),
        _ => false,
    }
}

/// Miles between a keep-out's box and the nearest field's, 0 where they meet.
fn miles_off(keep: &KeepOut, fields: &[Rect<f64>]) -> f64 {
    let Some(own) = keep.geometry.bounding_rect() else { return 0.0 };
    let plane = Plane::at(own.center().x, own.center().y);
    let (low, high) = (plane.to_feet(own.min()), plane.to_feet(own.max()));
    let gap = |field: &Rect<f64>| {
        let (other_low, other_high) = (plane.to_feet(field.min()), plane.to_feet(field.max()));
        let apart =
            |low: f64, high: f64, other_low: f64, other_high: f64| (other_low - high).max(low - other_high).max(0.0);
        apart(low.x, high.x, other_low.x, other_high.x).hypot(apart(low.y, high.y, other_low.y, other_high.y)) / 5_280.0
    };
    let nearest = fields.iter().map(gap).fold(f64::INFINITY, f64::min);
    if nearest.is_finite() { nearest } else { 0.0 }
}
