//! What somebody stated for the phosphorus rule, by which more may go on than without it.

use crate::balance::desk::Desk;
use crate::balance::p_rules::{self, Given, Holding, RuleRow, Statement};
use crate::findings::Place;
use crate::tables::p_rule::{PBasis, POf};

/// Slack of rounding, lb/ac.
const SLACK: f64 = 1e-9;

/// A statement with what the rows allow without it and with it.
#[derive(Clone, Debug, PartialEq)]
pub struct Loosened {
    /// What was stated.
    pub stated: Statement,
    /// The line that states it.
    pub place: Place,
    /// What the rule says without it.
    pub without: String,
    /// What it says with it.
    pub with: String,
    /// The figure by whose row it does.
    pub figure: String,
}

/// What a statement of the field loosens, if it loosens anything.
pub(super) fn of(
    desk: &mut Desk<'_>,
    (holding, rows): (&[Holding<'_>], &[RuleRow]),
    given: &Given,
) -> Option<Loosened> {
    let said = desk.field.written.rule_said.as_ref()?;
    let (stated, row) = holding.iter().find_map(|row| Some((row.stated.as_ref()?, row)))?;
    let without =
        p_rules::holding_as_of(desk, POf::Litter, (desk.field.rating, None, (desk.ready.from, desk.ready.to)));
    let own = least(desk, rows, given);
    // What does not hold stands on no page of the notebook.
    let notes = desk.notes.clone();
    let rows = p_rules::weighed(desk, &without, *given);
    let other = least(desk, &rows, given);
    desk.notes = notes;
    // Whoever a row asks first may answer: that is what it waits for.
    let asks = |asks: &&Holding<'_>| asks.says.basis == PBasis::Ask && asks.cite.figure == row.cite.figure;
    if own.0 <= other.0 + SLACK || without.iter().any(|own| asks(&own)) {
        return None;
    }
    Some(Loosened {
        stated: Statement { by: said.by.clone(), on: said.on.value, ..stated.0.clone() },
        place: stated.1.clone(),
        without: other.1,
        with: own.1,
        figure: row.cite.to_string(),
    })
}

/// The fewest pounds that rows leave, without an end where nitrogen alone caps the rate, and the
/// words of the row that leaves them.
fn least(desk: &Desk<'_>, rows: &[RuleRow], given: &Given) -> (f64, String) {
    let pounds = |row: &RuleRow| match row.pounds {
        Some(pounds) => desk.notes.value(pounds) * f64::from(row.says.years),
        // What nobody knows keeps all litter off.
        None if p_rules::is_open(row) => 0.0,
        None => f64::INFINITY,
    };
    let each = rows.iter().filter(|row| row.says.basis != PBasis::Cap);
    let each = each.map(|row| (pounds(row), format!("{} ({})", row.says.in_words(), row.what)));
    let none = (desk.notes.value(given.need), "the soil-test need, since no row speaks of the field".to_string());
    each.min_by(|(a, _), (b, _)| a.total_cmp(b)).unwrap_or(none)
}
