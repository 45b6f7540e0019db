//! What an import says: the fields with their acres, and what each thing was taken as.

use crate::exchange::import::Field;
use crate::exchange::phrase::counted;
use crate::exchange::things::Thing;
use geo::Geometry;

/// A line for every field, and for every thing what it is and how it is drawn.
#[must_use]
pub fn talk(fields: &[Field], things: &[Thing]) -> String {
    let mut text = if fields.is_empty() && !things.is_empty() { String::new() } else { fields_talk(fields) };
    let wide = |of: fn(&Thing) -> &str| things.iter().map(|thing| of(thing).chars().count()).max().unwrap_or(0);
    let kind: fn(&Thing) -> &str = |thing| &thing.kind;
    let name: fn(&Thing) -> &str = |thing| thing.name.as_deref().unwrap_or_default();
    let (kinds, names) = (wide(kind), wide(name));
    for thing in things {
        let gap = |own: &str, width: usize| " ".repeat(width.saturating_sub(own.chars().count()));
        let (kind, name) = (kind(thing), name(thing));
        text.push_str(&format!("{kind}{}  {name}{}  {}\n", gap(kind, kinds), gap(name, names), drawn(&thing.shape)));
    }
    let out = things.iter().filter(|thing| !thing.with_fields).count();
    let points = things.len() - out;
    if out > 0 {
        text.push_str(&format!("{}\n", counted(out, "keep-out")));
    }
    if points > 0 {
        text.push_str(&if points == 1 {
            "1 gate or stack\n".to_string()
        } else {
            format!("{points} gates and stacks\n")
        });
    }
    text
}

fn drawn(shape: &Geometry<f64>) -> &'static str {
    match shape {
        Geometry::Point(_) => "point",
        Geometry::MultiPoint(_) => "points",
        Geometry::LineString(_) => "line",
        Geometry::MultiLineString(_) => "lines",
        Geometry::Polygon(_) => "area",
        Geometry::MultiPolygon(_) => "areas",
        _ => "several shapes",
    }
}

/// A line for every field: id, name, acres, and the acres that the file claims.
fn fields_talk(fields: &[Field]) -> String {
    let width = fields.iter().map(|f| f.id.chars().count()).max().unwrap_or(0);
    let mut text = String::new();
    for field in fields {
        let gap = " ".repeat(width.saturating_sub(field.id.chars().count()));
        let name =
            field.name.as_deref().filter(|name| *name != field.id).map_or_else(String::new, |n| format!("  {n}"));
        let claimed = field.claimed.as_ref().map_or_else(String::new, |claimed| {
            let way = if claimed.difference < 0.0 { "less" } else { "more" };
            format!(" (the file says {:.2} ac: {:.2} ac {way})", claimed.acres, claimed.difference.abs())
        });
        text.push_str(&format!("{}{gap}  {:>9.2} ac{claimed}{name}\n", field.id, field.acres));
    }
    let total: f64 = fields.iter().map(|f| f.acres).sum();
    let count = counted(fields.len(), "field");
    text.push_str(&format!("{count}, {total:.2} ac\n"));
    text
}
