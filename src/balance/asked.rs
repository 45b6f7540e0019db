//! Fields that wait for a rating or for somebody's decision: told once for all that wait for
//! the same.

use crate::balance::FieldBalance;
use crate::balance::phosphorus::ASKS_FIRST;
use crate::findings::{Finding, Findings, Origin, listed, together};

/// One warning for each row of the rule that asks first.
pub(super) fn tell(fields: &[FieldBalance], findings: &mut Findings) {
    let waits = fields.iter().flat_map(|field| {
        let own = field.bars.iter().filter(|bar| bar.why.starts_with(ASKS_FIRST));
        own.filter_map(move |bar| match &bar.origin {
            Origin::Figure(cite) => Some(((&bar.why, &bar.fix, cite.to_string()), field)),
            _ => None,
        })
    });
    for ((why, fix, cite), fields) in together(waits) {
        let ids: Vec<&str> = fields.iter().map(|field| field.field().id()).collect();
        let word = if ids.len() == 1 { "field" } else { "fields" };
        let Some(written) = fields.first().map(|field| &field.field().written) else { continue };
        let place = written.rating.as_ref().map_or(&written.place, |rated| &rated.rating.place);
        let found = format!("{word} {}: no litter: {why}", listed(&ids));
        findings.push(Finding::warning("phosphorus-ask", place, found).accepts(cite).fix(fix.clone()));
    }
}
