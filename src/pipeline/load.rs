//! One more load of a job that is in the log: its ground is added to what the job covered.

use crate::ground::{self, Driven};
use crate::record::{self, Cells, Entry, What};
use crate::text;

/// Two widths nearer to each other are one: the log keeps four decimals.
const SAME_FT: f64 = 0.001;

/// The cells of a job with one more load.
#[derive(Debug)]
pub struct WithLoad {
    /// What kind of entry it is.
    pub what: What,
    /// Its cells.
    pub cells: Cells,
    /// What must be said of the load's ground.
    pub told: Option<String>,
}

/// Adds a load to a job. The ground of the job is that of all its loads together.
///
/// # Errors
/// Why the load cannot be added.
pub fn with_load(old: &Entry, load: &Cells) -> Result<WithLoad, String> {
    let mut load = load.clone();
    let unknown = old.ground.is_some() && !load.contains_key("ground");
    if let Some(both) = together(old, &load)? {
        load.insert("ground", both);
        if let Some(swath) = old.cells.get("swath").filter(|_| !load.contains_key("swath")) {
            load.insert("swath", swath.clone());
        }
    }
    let cells = record::with_load(old, &load)?;
    let told = unknown.then(|| {
        "the ground of this load is not known: its tons count on the ground that the job says so far; \
         `--ground` of a load adds its own"
            .to_string()
    });
    Ok(WithLoad { what: old.what, cells, told })
}

/// The ground of a job and of one more load in words; none where one of them says none, or
/// where what the load says cannot be read: then the entry is refused by itself.
fn together(old: &Entry, load: &Cells) -> Result<Option<String>, String> {
    let (Some(own), Some(given)) = (&old.ground, load.get("ground")) else { return Ok(None) };
    let Ok(more) = text::drawn(given) else { return Ok(None) };
    // A width that cannot be read is told with the entry.
    let is = load.get("swath").and_then(|words| record::swath(words));
    let as_wide = |is: f64| own.swath.is_some_and(|was| (was - is).abs() < SAME_FT);
    if own.is_line() != record::is_way(&more) || (own.is_line() && is.is_some_and(|is| !as_wide(is))) {
        let kind = if own.is_line() { "a driven way of one width" } else { "an area" };
        return Err(format!(
            "the ground of `{}` is {kind}, and that of the load is not: give {kind} too, or log the load as an entry of its own",
            old.id
        ));
    }
    let both = [&own.shape, &more].map(|shape| Driven { shape, swath_ft: 0.0 });
    Ok(ground::joined(both).and_then(|shape| text::drawn_text(&shape)))
}
