//! Field sheets for whoever spreads: one HTML file that needs nothing else,
//! for paper and for a phone without signal, and the same as a PDF.
//!
//! Lives here: the sheets as leaves of parts (`write::leaf`), built from the plan
//! (`cover`, `page`), and their PDF. Never here: a number that the plan does not
//! hold, but for lengths on the page.

mod cover;
mod page;
mod pdf;

use crate::audit::Audited;
use crate::balance::{Driving, Surveyed};
use crate::check::Ready;
use crate::plan::answer::FieldPlan;
use crate::write::drawing;
use crate::write::leaf::Document;
use crate::write::sight::{FieldSight, OnGround, sights};
use crate::write::words::{self, en};
pub use pdf::{Paper, Printed};

/// One self-contained HTML file: a cover, then a page for every field that
/// gets litter, then one short page listing the fields that get none and why.
/// `driving` holds the runs of every field, as `plan::driving` lays them.
#[must_use]
pub fn sheets(audited: &Audited, ready: &Ready, ground: &[Surveyed], driving: &[Vec<Driving>]) -> String {
    crate::write::leaf::html(&filled(audited, ready, ground, driving))
}

/// The same pages as a PDF.
#[must_use]
pub fn sheets_pdf(
    audited: &Audited,
    ready: &Ready,
    ground: &[Surveyed],
    driving: &[Vec<Driving>],
    paper: Paper,
) -> Printed {
    pdf::pdf(&filled(audited, ready, ground, driving), paper)
}

/// What stands on the sheets, in whatever form they come.
fn filled(audited: &Audited, ready: &Ready, ground: &[Surveyed], driving: &[Vec<Driving>]) -> Document {
    let plan = audited.plan();
    let sights = sights(audited, ready, ground, driving);
    // Jobs that go on different ground have a page each, with the picture of their own.
    let mut pages: Vec<(&FieldSight<'_>, OnGround)> =
        sights.iter().flat_map(|sight| OnGround::of(sight).into_iter().map(move |own| (sight, own))).collect();
    // In the order of work; fields that open on the same day as farm.yaml has them.
    pages.sort_by_key(|(_, own)| own.plan.applications.iter().map(|a| (a.starts(), a.last)).min());
    let page = |(n, (sight, own)): (usize, &(&FieldSight<'_>, OnGround))| {
        page::page(n + 1, pages.len(), plan, &own.sight(sight))
    };
    let order: Vec<&FieldPlan> = pages.iter().map(|(_, own)| &own.plan).collect();
    let mut leaves = vec![cover::cover(plan, ready, &order), cover::care(plan)];
    leaves.extend(pages.iter().enumerate().filter_map(page));
    leaves.extend(cover::without(plan));
    let span = words::days(plan.from, plan.to);
    Document {
        title: en::title(&plan.farm, &span),
        style: format!("{}{}", include_str!("sheet.css"), drawing::style()),
        leaves,
        foot: [
            en::rules_of(&plan.farm, &plan.place_name),
            en::plan_of(&span, words::day(plan.as_of)),
            en::DECIDE.to_string(),
        ],
    }
}
