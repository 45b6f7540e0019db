//! Field sheets for whoever spreads: one HTML file that needs nothing else,
//! for paper and for a phone without signal, and the same as a PDF.
//!
//! Lives here: the sheets once as leaves of blocks (`model`), built from the
//! plan (`cover`, `page`, `map`), their words (`words::en`), and two ways to
//! write them (`html`, `pdf`). Never here: a number that the plan does not
//! hold, but for lengths on the page.

mod cover;
pub(super) mod drawing;
pub(super) mod frame;
mod html;
pub(super) mod labels;
pub(super) mod map;
mod model;
mod page;
mod pdf;
pub(super) mod runs;
pub(super) mod signs;
pub(super) mod words;

use crate::audit::Audited;
use crate::balance::{Driving, Surveyed};
use crate::check::Ready;
use crate::write::sight::sights;
use model::Sheets;
pub use pdf::{Paper, Printed};
use words::en;

/// One self-contained HTML file: a cover, then a page for every field that
/// gets litter, then one short page listing the fields that get none and why.
/// `driving` holds the runs of every field, as `plan::driving` lays them.
#[must_use]
pub fn sheets(audited: &Audited, ready: &Ready, ground: &[Surveyed], driving: &[Option<Driving>]) -> String {
    html::html(&filled(audited, ready, ground, driving))
}

/// The same pages as a PDF.
#[must_use]
pub fn sheets_pdf(
    audited: &Audited,
    ready: &Ready,
    ground: &[Surveyed],
    driving: &[Option<Driving>],
    paper: Paper,
) -> Printed {
    pdf::pdf(&filled(audited, ready, ground, driving), paper)
}

/// What stands on the sheets, in whatever form they come.
fn filled(audited: &Audited, ready: &Ready, ground: &[Surveyed], driving: &[Option<Driving>]) -> Sheets {
    let plan = audited.plan();
    let mut order: Vec<usize> = (0..plan.fields.len()).filter(|at| !plan.fields[*at].applications.is_empty()).collect();
    // In the order of work; fields that open on the same day as farm.yaml has them.
    order.sort_by_key(|at| plan.fields[*at].applications.iter().map(|a| (a.first, a.last)).min());
    let sights = sights(audited, ready, ground, driving);
    let page = |(n, at): (usize, &usize)| page::page(n + 1, order.len(), plan, sights.get(*at)?);
    let mut leaves = vec![cover::cover(plan, ready, &order), cover::care(plan)];
    leaves.extend(order.iter().enumerate().filter_map(page));
    leaves.extend(cover::without(plan));
    let span = words::days(plan.from, plan.to);
    Sheets {
        title: en::title(&plan.farm, &span),
        leaves,
        foot: [
            en::rules_of(&plan.farm, &plan.place_name),
            en::plan_of(&span, words::day(plan.as_of)),
            en::DECIDE.to_string(),
        ],
    }
}
