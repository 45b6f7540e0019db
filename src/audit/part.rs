//! A field that is done in part: what is done and left is the field and no more than the log
//! shows, and the job on the rest goes on ground of the window that nobody went over.

use crate::audit::fault::fault;
use crate::audit::{rest, spots};
use crate::check::{Field, Ready};
use crate::findings::Findings;
use crate::plan::answer::{Application, FieldPart, FieldPlan};
use crate::record::{Entry, What};
use crate::tables::Book;
use std::collections::BTreeSet;

/// Acres and tons per acre are shown to the hundredth.
const SHOWN: f64 = 0.011;

pub(super) fn check(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    let mut say = |what: String| findings.push(fault("part", format!("field {}: {what}", plan.id)));
    let jobs: Vec<&Application> = plan.applications.iter().filter(|a| a.rest_acres.is_some()).collect();
    undrawn(plan, field, ready, &mut say);
    let Some(part) = &plan.part else {
        if !jobs.is_empty() {
            say("a job goes on the rest of it, and no part of it is done".to_string());
        }
        return;
    };
    let (done, left) = (part.done, part.left);
    // Not `>`, which a value that is no number would pass.
    let adds_up = done >= 0.0 && left >= 0.0 && (done + left - plan.acres).abs() <= SHOWN;
    if !adds_up {
        say(format!("{done:.2} ac done and {left:.2} ac left of {:.2}", plan.acres));
    }
    let entries = ready.happened.on_field(field.id(), What::Spread);
    let own: Vec<&Entry> = entries.filter(|entry| part.entries.contains(&entry.id)).collect();
    let acres = |entry: &&Entry| entry.acres.unwrap_or(plan.acres).min(plan.acres);
    let (most, all) = (own.iter().map(acres).fold(0.0, f64::max), own.iter().map(acres).sum::<f64>());
    if own.len() != part.entries.len() || done < most - SHOWN || done > all + SHOWN {
        say(format!("{done:.2} ac are shown as done; by the log it is {most:.2} to {all:.2}"));
    }
    let again = |a: &&Application| a.rest_acres.is_none() && a.season == part.season && a.last <= part.until;
    if let Some(again) = plan.applications.iter().find(again) {
        say(format!("{} to {} goes over ground that is done", again.first, again.last));
    }
    if jobs.len() > 1 {
        say("the rest of it is gone over more than once".to_string());
    }
    if let (Some(why), [_, ..]) = (&part.why_not, jobs.as_slice()) {
        say(format!("a job goes on the rest of it, and the plan says that none does: {why}"));
    }
    for job in jobs {
        on_rest(job, part, (plan, field), &own, (ready, book)).into_iter().for_each(&mut say);
    }
}

/// What is said of a part that nobody drew: it is the log's, and an entry of it shows no ground.
fn undrawn(plan: &FieldPlan, field: &Field, ready: &Ready, say: &mut dyn FnMut(String)) {
    let Some(part) = &plan.undrawn else { return };
    if plan.part.is_some() {
        say("a part of it is drawn and not drawn".to_string());
    }
    let (done, left) = (part.done, part.left);
    let adds_up = done > 0.0 && left > 0.0 && (done + left - plan.acres).abs() <= SHOWN;
    if !adds_up {
        say(format!("{done:.2} ac done and {left:.2} ac left of {:.2}, where no ground is drawn", plan.acres));
    }
    let days = part.first..=part.last;
    let own: Vec<&Entry> =
        ready.happened.on_field(field.id(), What::Spread).filter(|entry| days.contains(&entry.date)).collect();
    let named = own.iter().filter(|entry| part.entries.contains(&entry.id) && entry.ground.is_none()).count();
    if named == 0 || named != part.entries.len() {
        say("an entry that shows no ground is named, and the log does not have it".to_string());
    }
    let acres = |entry: &&Entry| entry.acres.unwrap_or(plan.acres).min(plan.acres);
    let (most, all) = (own.iter().map(acres).fold(0.0, f64::max), own.iter().map(acres).sum::<f64>());
    if done < most - SHOWN || done > all + SHOWN {
        say(format!("{done:.2} ac are shown as done; by the log it is {most:.2} to {all:.2}"));
    }
}

/// Whether a job goes on the ground that is left, in the window of the entries and no other.
fn on_rest(
    job: &Application,
    part: &FieldPart,
    (plan, field): (&FieldPlan, &Field),
    own: &[&Entry],
    (ready, book): (&Ready, &Book<'_>),
) -> Option<String> {
    let acres = job.rest_acres.unwrap_or(f64::NAN);
    let same = (acres - part.left).abs() < 1e-6;
    if !same || job.season != part.season || job.last > part.until {
        return Some(format!("a job goes on {acres:.2} ac of the rest, where {:.2} are left", part.left));
    }
    let window = rest::in_window_of(job.first, plan, field, ready, book);
    let ids: BTreeSet<&str> = window.iter().map(|(id, _)| id.as_str()).collect();
    let told: BTreeSet<&str> = part.entries.iter().map(String::as_str).collect();
    if ids != told || window.iter().any(|(_, ground)| !ground) {
        return Some("what is done in the window of the job on the rest is not what the log shows".to_string());
    }
    let (counted, slack) = spots::left(field, ready, own)?;
    (acres > counted + slack).then(|| format!("{acres:.2} ac are left by the plan, {counted:.2} are counted"))
}
