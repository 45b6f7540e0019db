//! A rating against the rate that it was made for: its tool takes the rate as one of its
//! factors, so that above that rate nobody has rated the field.

use crate::balance::{Counts, FieldBalance};
use crate::check::Ready;
use crate::farm::{MadeFor, Rated};
use crate::findings::{Finding, Findings};
use crate::units::{at_most, number_text};

/// The code of what is told of it.
pub(crate) const CODE: &str = "rating-rate";
/// Slack of rounding.
const SLACK: f64 = 1e-6;

/// Where log or limits let more on than the rating was made for.
pub(super) fn check(ready: &Ready, fields: &[FieldBalance], findings: &mut Findings) {
    for field in fields {
        let Some((rated, made_for)) = field.made_for() else { continue };
        let on = field.needs.iter().map(|year| field.on_by_log(year, made_for.counts())).fold(0.0, f64::max);
        if on > made_for.amount() + SLACK {
            findings.push(told(field, rated, &format!("the log has {} on in a growing year", amount(made_for, on))));
            continue;
        }
        let most = ready.lots.iter().filter_map(|lot| {
            let own = field.lot(&lot.id)?;
            let rate = own
                .limits
                .iter()
                .filter(|limit| limit.from.is_none())
                .map(|limit| limit.rate)
                .fold(f64::INFINITY, f64::min);
            let rate = rate * field.per_ton(own, made_for.counts(), None)? + on;
            (rate.is_finite() && field.bars.is_empty()).then_some((rate, lot.id.as_str()))
        });
        let most = most.max_by(|(a, _), (b, _)| a.total_cmp(b)).filter(|(rate, _)| *rate > made_for.amount() + SLACK);
        let Some((rate, lot)) = most else { continue };
        findings.push(told(
            field,
            rated,
            &format!(
                "its limits let up to {} on with lot {lot}",
                in_words(made_for, |decimals| at_most(rate, decimals))
            ),
        ));
    }
}

/// That more is on, or may go on, than the rating was made for.
pub(crate) fn told(field: &FieldBalance, rated: &Rated, what: &str) -> Finding {
    let made_for = rated.made_for.as_ref();
    let (place, rate) = made_for.map_or((&rated.rating.place, String::new()), |at| (&at.place, at.value.in_words()));
    let id = field.field().id();
    let found = format!(
        "field {id}: its rating, {}, was made for {rate} a year, and {what}: for that nobody has rated the field",
        rated.rating.value.word()
    );
    let by = &rated.by;
    Finding::warning(CODE, place, found)
        .accepts(format!("no more than {rate} in a year"))
        .fix(format!("ask {by} to rate the field for what is to go on, or hold the field to that rate with `most:`"))
}

/// An amount of what a rating was made for.
pub(crate) fn amount(made_for: MadeFor, amount: f64) -> String {
    in_words(made_for, |decimals| number_text(amount, decimals.into()))
}

/// A number of so many decimals, in the unit of what a rating was made for.
fn in_words(made_for: MadeFor, shown: impl Fn(u8) -> String) -> String {
    match made_for {
        MadeFor::Litter(_) => format!("{} tons/ac", shown(2)),
        MadeFor::P2o5(_) => format!("{} lb/ac of P2O5", shown(1)),
    }
}

impl MadeFor {
    /// What of litter counts toward it.
    pub(crate) fn counts(self) -> Counts {
        match self {
            MadeFor::Litter(_) => Counts::Tons,
            MadeFor::P2o5(_) => Counts::P2o5,
        }
    }
}
