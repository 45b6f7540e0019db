//! Fields that wait for a rating or for somebody's decision: told once for all that wait for
//! the same.

use crate::balance::FieldBalance;
use crate::balance::phosphorus::ASKS_FIRST;
use crate::check::Bar;
use crate::findings::{Finding, Findings, Origin, listed, together};

/// One warning for each row of the rule that asks first.
pub(super) fn tell(fields: &[FieldBalance], findings: &mut Findings) {
    let waits = |field: &FieldBalance| -> Vec<Bar> {
        field.bars.iter().filter(|bar| bar.why.starts_with(ASKS_FIRST)).cloned().collect()
    };
    let all = fields.iter().flat_map(|field| {
        let one = |bar: Bar| match bar.origin {
            Origin::Figure(cite) => Some(((bar.why, bar.fix, cite.to_string()), field)),
            _ => None,
        };
        waits(field).into_iter().filter_map(one).collect::<Vec<_>>()
    });
    for ((why, fix, cite), fields) in together(all) {
        let ids: Vec<&str> = fields.iter().map(|field| field.field().id()).collect();
        let word = if ids.len() == 1 { "field" } else { "fields" };
        let Some(written) = fields.first().map(|field| &field.field().written) else { continue };
        let place = written.rating.as_ref().map_or(&written.place, |rated| &rated.rating.place);
        let found = format!("{word} {}: no litter: {why}", listed(&ids));
        findings.push(Finding::warning("phosphorus-ask", place, found).accepts(cite).fix(fix));
    }
}
