//! Field sheets for whoever spreads: one HTML file that needs nothing else,
//! for paper and for a phone without signal.
//!
//! Lives here: the cover, a page a field, its map, and the templates that set
//! them. Never here: a number that the plan does not hold, but for lengths on
//! the page. The file has no script, no clock and no link but to places
//! (`geo:`) and to its own pages; every word of the farm is escaped.

mod cover;
pub(super) mod frame;
pub(super) mod labels;
pub(super) mod map;
mod page;
mod pdf;
pub(super) mod runs;
pub(super) mod words;

use crate::audit::Audited;
use crate::balance::{Driving, Surveyed};
use crate::check::Ready;
use askama::Template;
use cover::{Call, Cover, Machine, Without};
use map::Sight;
use page::Page;
pub use pdf::Paper;
use words::Said;

/// The whole file.
#[derive(Template)]
#[template(path = "sheet.html", config = "src/write/sheet/askama.toml")]
struct Sheets {
    farm: String,
    place: String,
    decides: String,
    span: String,
    as_of: String,
    cover: Cover,
    machine: Machine,
    people: Vec<Call>,
    stops: Vec<Said>,
    pages: Vec<Page>,
    without: Vec<Without>,
}

/// One self-contained HTML file: a cover, then a page for every field that
/// gets litter, then one short page listing the fields that get none and why.
/// `driving` holds the runs of every field, as `plan::driving` lays them.
#[must_use]
pub fn sheets(audited: &Audited, ready: &Ready, ground: &[Surveyed], driving: &[Option<Driving>]) -> String {
    // Writing to a string does not fail; should it ever, an empty file is
    // plain to see where half a sheet is not.
    filled(audited, ready, ground, driving).render().unwrap_or_default()
}

/// The same pages as a PDF.
#[must_use]
pub fn sheets_pdf(
    audited: &Audited,
    ready: &Ready,
    ground: &[Surveyed],
    driving: &[Option<Driving>],
    paper: Paper,
) -> Vec<u8> {
    pdf::pdf(&filled(audited, ready, ground, driving), paper)
}

/// What stands on the sheets, in whatever form they come.
fn filled(audited: &Audited, ready: &Ready, ground: &[Surveyed], driving: &[Option<Driving>]) -> Sheets {
    let plan = audited.plan();
    let mut order: Vec<usize> = (0..plan.fields.len()).filter(|at| !plan.fields[*at].applications.is_empty()).collect();
    // In the order of work; fields that open on the same day as farm.yaml has them.
    order.sort_by_key(|at| plan.fields[*at].applications.iter().map(|a| (a.first, a.last)).min());
    let sight = |at: usize| {
        Some(Sight {
            plan: plan.fields.get(at)?,
            field: ready.fields.get(at)?,
            surveyed: ground.get(at)?,
            ready,
            driving: driving.get(at).and_then(Option::as_ref),
        })
    };
    let pages = order.iter().enumerate().filter_map(|(n, at)| page::page(n + 1, plan, &sight(*at)?)).collect();
    Sheets {
        farm: plan.farm.clone(),
        place: plan.place_name.clone(),
        decides: ready.decides.clone(),
        span: words::days(plan.from, plan.to),
        as_of: words::day(plan.as_of),
        cover: cover::cover(plan, ready, &order),
        machine: cover::machine(ready),
        people: cover::people(ready),
        stops: plan.stops.iter().map(words::said).collect(),
        pages,
        without: cover::without(plan),
    }
}
