//! A rating against the rate that it was made for: its tool takes the rate as one of its
//! factors, so that above that rate nobody has rated the field.

use crate::balance::{Counts, FieldBalance, Limit, LotBalance, Over, Trips, YearNeed};
use crate::check::Ready;
use crate::farm::{MadeFor, Rated};
use crate::findings::{Finding, Findings};
use crate::units::{at_most, number_text};
use jiff::civil::Date;

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
        let years = || field.needs.iter().filter(|_| field.bars.is_empty());
        let most = ready.lots.iter().filter_map(|lot| {
            let own = field.lot(&lot.id)?;
            let per_ton = field.per_ton(own, made_for.counts(), None)?;
            let in_year = |year: &YearNeed| {
                most_in(field, (own, &lot.kind), year) * per_ton + field.on_by_log(year, made_for.counts())
            };
            let rate = years().map(in_year).max_by(f64::total_cmp)?;
            rate.is_finite().then_some((rate, lot.id.as_str()))
        });
        let most = most.max_by(|(a, _), (b, _)| a.total_cmp(b)).filter(|(rate, _)| *rate > made_for.amount() + SLACK);
        let Some((rate, lot)) = most else { continue };
        findings.push(told(
            field,
            rated,
            &format!(
                "its limits let {} on in a growing year with lot {lot}",
                in_words(made_for, |decimals| at_most(rate, decimals))
            ),
        ));
    }
}

/// Tons per acre of a lot that the limits let on in the windows of a growing year, one trip each,
/// beside what the log has on. Each trip fills what the others leave, so that all of it can go on.
fn most_in(field: &FieldBalance, lot: (&LotBalance, &str), year: &YearNeed) -> f64 {
    let (opens, closes) = year.days;
    let own = field.windows.iter().enumerate().filter(|(_, w)| w.first <= closes && opens <= w.last);
    let all: Vec<usize> = own.map(|(at, _)| at).collect();
    // What binds from a day binds nothing where all goes on before it.
    let from = field.limits.iter().filter_map(|limit| limit.from).min();
    let before = |from: Date| all.iter().copied().filter(|at| field.windows[*at].first < from).collect::<Vec<_>>();
    let whole: Vec<&Limit> = field.limits.iter().collect();
    let always: Vec<&Limit> = field.limits.iter().filter(|limit| limit.from.is_none()).collect();
    let ways = std::iter::once((all.clone(), &whole)).chain(from.map(|from| (before(from), &always)));
    let both = |(windows, limits): (Vec<usize>, &Vec<&Limit>)| {
        filled(field, lot, (&windows, limits), false).max(filled(field, lot, (&windows, limits), true))
    };
    ways.map(both).fold(0.0, f64::max)
}

/// What goes on when one window after the other is filled: first where the most goes on, or where
/// a ton uses the least nitrogen.
fn filled(
    field: &FieldBalance,
    (lot, kind): (&LotBalance, &str),
    (windows, limits): (&[usize], &[&Limit]),
    by_nitrogen: bool,
) -> f64 {
    let mut put: Vec<(usize, f64)> = Vec::new();
    let room = |at: usize, put: &[(usize, f64)]| {
        let of = |limit: &&Limit| {
            let a_ton = |at: usize| field.use_of(limit, lot, kind, at);
            let others = put.iter().filter(|_| limit.over != Over::Once);
            let used = others.map(|(other, tons)| a_ton(*other) * tons).fold(0.0, |sum, one| sum + one);
            if a_ton(at) > 0.0 { (field.value(limit.left) - used).max(0.0) / a_ton(at) } else { f64::INFINITY }
        };
        limits.iter().map(of).fold(f64::INFINITY, f64::min)
    };
    let meets = |trips: &Trips, at: usize| {
        field.windows.get(at).is_some_and(|w| w.first <= trips.last && trips.first <= w.last)
    };
    let may = |at: usize, put: &[(usize, f64)]| {
        let made = |trips: &Trips| put.iter().filter(|(other, _)| meets(trips, *other)).count();
        let full = |trips: &&Trips| meets(trips, at) && trips.most <= made(trips);
        !put.iter().any(|(other, _)| *other == at) && !field.trips.iter().chain(&field.openings).any(|t| full(&t))
    };
    loop {
        let open = windows.iter().filter(|at| may(**at, &put)).map(|at| (*at, room(*at, &put)));
        let n = |at: usize| if by_nitrogen { field.per_ton(lot, Counts::N, Some(at)).unwrap_or(0.0) } else { 0.0 };
        let next = open
            .filter(|(_, room)| *room > SLACK)
            .max_by(|(a, most), (b, other)| n(*b).total_cmp(&n(*a)).then(most.total_cmp(other)));
        let Some(next) = next else { break };
        put.push(next);
    }
    put.iter().map(|(_, tons)| tons).fold(0.0, |sum, one| sum + one)
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
