//! What the soil report recommends, held against the field as it is planned: for another
//! crop or yield, or from a soil test that has expired. Its figures carry that wherever
//! they are shown.

use crate::balance::StepId;
use crate::balance::desk::Desk;
use crate::findings::Finding;
use crate::units::{Quantity, trimmed};

/// A yield that differs by more than this share is another one: our own measure.
const OTHER_YIELD: f64 = 0.1;

pub(super) fn check(desk: &mut Desk<'_>, goal: StepId) {
    let Some(advice) = desk.advice() else { return };
    let mut elsewhere: Vec<String> = Vec::new();
    elsewhere.extend(desk.field.test_expired.map(|last| format!("a soil test that expired {last}")));
    let (field, forage) = (desk.field.id(), &desk.field.written.forage);
    let grows = forage.value.replace('_', " ");
    if !advice.is_for(&forage.value) {
        let found = format!(
            "field {field}: the soil report recommends for {}, and {grows} grows there",
            advice.crop.value.replace('_', " ")
        );
        elsewhere.push(format!("a report for {}", advice.crop.value.replace('_', " ")));
        desk.findings.push(
            Finding::warning("report-crop", &advice.crop.place, found)
                .accepts("the recommendation for the crop that is planned")
                .fix(format!(
                    "ask the laboratory for {grows}; if it is the same crop under another name, write `crop: {grows}`"
                ))
                .also(&forage.place, "the forage"),
        );
    }
    let planned = desk.notes.value(goal);
    if let Some(yield_goal) = &advice.yield_goal {
        let advised = yield_goal.value.get();
        if planned > 0.0 && (advised - planned).abs() > OTHER_YIELD * planned + 1e-9 {
            let found = format!(
                "field {field}: the soil report recommends for {} tons/ac, and the yield goal is {} tons/ac",
                trimmed(advised),
                trimmed(planned)
            );
            elsewhere.push(format!("a report for a yield of {} tons/ac", trimmed(advised)));
            desk.findings.push(
                Finding::warning("report-yield", &yield_goal.place, found)
                    .accepts("the recommendation for the yield that is planned, 10 percent more or less")
                    .fix("ask the laboratory for that yield, or correct the yield goal"),
            );
        }
    }
    desk.elsewhere = (!elsewhere.is_empty()).then(|| elsewhere.join(", "));
}
