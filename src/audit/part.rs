//! A field that is done in part: what is done and left is the field and no more than the log
//! shows, and the ground left may get no more than an entry of the log put on.

use crate::audit::fault::fault;
use crate::check::{Field, Ready};
use crate::findings::Findings;
use crate::plan::answer::{Application, FieldPlan};
use crate::record::{Entry, What};

/// Acres and tons per acre are shown to the hundredth.
const SHOWN: f64 = 0.011;

pub(super) fn check(plan: &FieldPlan, field: &Field, ready: &Ready, findings: &mut Findings) {
    let Some(part) = &plan.part else { return };
    let mut say = |what: String| findings.push(fault("part", format!("field {}: {what}", plan.id)));
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
    let again = |a: &&Application| a.season == part.season && a.last <= part.until;
    if let Some(again) = plan.applications.iter().find(again) {
        say(format!("{} to {} goes over ground that is done", again.first, again.last));
    }
    let Some(rest) = &part.rest else { return };
    let put = own.iter().filter(|entry| entry.lot_id() == rest.lot).map(|entry| entry.amount.tons() / acres(entry));
    let put = put.fold(0.0, f64::max);
    let keeps = rest.rate <= put + SHOWN && rest.pounds.tons() <= rest.rate * left + SHOWN;
    if !keeps {
        say(format!("{:.2} tons/ac are shown for the rest; the log put on {put:.2}", rest.rate));
    }
}
