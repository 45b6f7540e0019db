//! How much of a field's growth is cut before stock grazes the rest: who says so.

use crate::farm::{Use, Written};
use crate::findings::{Finding, Findings};

/// Growth that is eaten carries off far less than hay does, and no day of a cutting says
/// how much was left: the grower does, or is told what is taken.
pub(super) fn check(written: &Written, findings: &mut Findings) {
    for field in &written.fields {
        let id = &field.id.value;
        let before = field.before.iter().filter_map(|before| before.usage.as_ref());
        let mixed = before.chain([&field.usage, &field.stand.usage]).any(|usage| usage.value == Use::HayThenGrazed);
        match &field.hayed {
            None if field.usage.value == Use::HayThenGrazed => {
                let found = format!(
                    "field {id}: nothing says how much of its growth is cut for hay and how much stock eats: all of it \
                     counts as hay, which carries off more than grazing does"
                );
                findings.push(
                    Finding::note("hayed-unsaid", &field.usage.place, found)
                        .accepts("`hayed: 60 %`, the share of the year's growth that is cut")
                        .fix("add a line `hayed:` to the field"),
                );
            }
            Some(share) if !mixed => {
                let found = format!("field {id}: `hayed` changes nothing, because its use is not `hay then grazed`");
                findings
                    .push(Finding::note("no-effect", &share.place, found).fix("correct `use`, or take `hayed` out"));
            }
            _ => {}
        }
    }
}
