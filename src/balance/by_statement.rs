//! Fields on which more may go on by what somebody stated: told once for all of the same statement,
//! so that nothing is ever loosened in silence.

use crate::balance::FieldBalance;
use crate::findings::{Finding, Findings, listed, together};

/// One warning for each statement that loosens the rule in the same way.
pub(super) fn tell(fields: &[FieldBalance], findings: &mut Findings) {
    let all = fields.iter().filter_map(|field| {
        let own = field.phosphorus.loosened.as_ref()?;
        let key = (&own.stated, &own.without, &own.with, &own.figure);
        Some((key, (field.field().id(), &own.place)))
    });
    for ((stated, without, with, figure), fields) in together(all) {
        let ids: Vec<&str> = fields.iter().map(|(id, _)| *id).collect();
        let word = if ids.len() == 1 { "field" } else { "fields" };
        let Some((_, place)) = fields.first() else { continue };
        let found = format!(
            "{word} {}: more phosphate may go on by what {} stated on {}, {}: without it the rule says {without}, with \
             it {with}",
            listed(&ids),
            stated.by,
            stated.on,
            stated.words
        );
        findings.push(
            Finding::warning("rule-loosened", place, found)
                .accepts(format!("what is true of the field and the farm: {figure}"))
                .fix("keep the paper that says so; where it is not so, take the statement out"),
        );
    }
}
