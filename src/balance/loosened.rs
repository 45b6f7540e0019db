//! What somebody stated for the phosphorus rule, by which more may go on than without it.

use crate::balance::StepId;
use crate::balance::desk::Desk;
use crate::balance::p_rules::{self, Given, Holding, Statement};
use crate::findings::Place;
use crate::tables::p_rule::{PBasis, POf, POr, PSays};

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
pub(super) fn of(desk: &Desk<'_>, holding: &[Holding<'_>], given: &Given) -> Option<Loosened> {
    let said = desk.field.written.rule_said.as_ref()?;
    let (stated, row) = holding.iter().find_map(|row| Some((row.stated.as_ref()?, row)))?;
    let without =
        p_rules::holding_as_of(desk, POf::Litter, (desk.field.rating, None, (desk.ready.from, desk.ready.to)));
    let (own, other) = (least(desk, holding, given), least(desk, &without, given));
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
fn least(desk: &Desk<'_>, rows: &[Holding<'_>], given: &Given) -> (f64, String) {
    let each = rows.iter().filter(|row| row.says.basis != PBasis::Cap);
    let each = each.map(|row| (pounds(desk, &row.says, given), format!("{} ({})", row.says.in_words(), row.what)));
    let none = (desk.notes.value(given.need), "the soil-test need, since no row speaks of the field".to_string());
    each.min_by(|(a, _), (b, _)| a.total_cmp(b)).unwrap_or(none)
}

fn pounds(desk: &Desk<'_>, says: &PSays, given: &Given) -> f64 {
    let of = |basis| {
        let step: StepId = if basis == PBasis::Need { given.need } else { given.removed };
        // What nobody knows keeps all litter off.
        if desk.notes.knows(step) { desk.notes.value(step) } else { 0.0 }
    };
    match says.basis {
        PBasis::Nitrogen | PBasis::Warn | PBasis::Cap => f64::INFINITY,
        PBasis::None | PBasis::Ask => 0.0,
        basis => {
            let first = of(basis) * says.times;
            let at_once = match says.or {
                None => first,
                Some(POr::Greater(other)) => first.max(of(other)),
                Some(POr::Lesser(other)) => first.min(of(other)),
            };
            at_once * f64::from(says.years)
        }
    }
}
