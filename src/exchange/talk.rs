//! What an import says: the fields with their acres.

use crate::exchange::import::Field;

/// A line for every field: id, name, acres, and the acres that the file claims.
#[must_use]
pub fn talk(fields: &[Field]) -> String {
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
    let count = if fields.len() == 1 { "1 field".to_string() } else { format!("{} fields", fields.len()) };
    text.push_str(&format!("{count}, {total:.2} ac\n"));
    text
}
