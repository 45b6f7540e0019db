//! The proof of a choice in the form in which others can check it: the solver's own becomes a
//! certificate, which the checker has to accept before it is told.

use crate::plan::answer::Certified;
use crate::plan::must_leave::Weights;
use crate::plan::options::FieldOption;
use crate::plan::pick::Pick;
use crate::plan::pools::{Extra, OnFarm, TRIP, UNITS, pool};
use crate::plan::sales::slack;
use crate::proof::{Certificate, MOST_LOOKED_AT, Refused, Split, Step, check, count, write};
use crate::solve::{Pool, Trace};

/// A proof with more parts than this is not told.
pub(super) const MOST_PARTS: usize = 1_000;
/// A proof of more bytes is not told.
const MOST_BYTES: usize = 40_000;

/// What a choice shows of its proof.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Shows {
    /// Nobody asked.
    #[default]
    Nothing,
    /// Why nothing can be shown.
    LeftOut(String),
    /// What the checker accepted.
    Proof(Certified),
}

/// The solver's proof as a certificate; none where a number is past any farm.
#[must_use]
pub fn certificate_of(pool: &Pool, trace: &Trace) -> Option<Certificate> {
    let mut steps = Vec::new();
    for part in &trace.parts {
        steps.extend(part.prices.iter().map(|prices| write(&Step::Prices(prices.clone()))));
        steps.push(write(&match part.split {
            Some((group, row, limit)) => Step::Split(Split { group, row, limit }),
            None => Step::End,
        }));
    }
    let Trace { rows, alike, beside, bits, bound, .. } = trace.clone();
    Some(Certificate { bound: i64::try_from(bound).ok()?, of: count(pool), rows, alike, beside, bits, steps })
}

/// The proof of one solve, not yet checked.
pub(super) fn shows(pool: &Pool, trace: Option<&Trace>, extra: &Extra<'_>) -> Shows {
    let long = || Shows::LeftOut(format!("it has more than {MOST_PARTS} parts"));
    let Some(certificate) = trace.and_then(|trace| certificate_of(pool, trace)) else { return long() };
    if certificate.steps.iter().map(|step| step.len() + 3).sum::<usize>() > MOST_BYTES {
        return Shows::LeftOut(format!("it takes more than {MOST_BYTES} bytes"));
    }
    let favored = extra.favors.iter().any(|favor| *favor > 0.0);
    let favors = if favored { extra.favors.to_vec() } else { Vec::new() };
    let weights = extra.weights.listed();
    Shows::Proof(Certified { favors, weights, adds: 0.0, looked_at: 0, certificate })
}

/// The same once the checker has accepted it, on the pool made anew.
pub(super) fn checked(farm: &OnFarm<'_>, all: &[Vec<FieldOption>], shows: Shows, entries: &[Pick], more: f64) -> Shows {
    let Shows::Proof(proof) = shows else { return shows };
    let extra = Extra { favors: &proof.favors, weights: Weights::of_list(&proof.weights) };
    let adds = adds(farm, &extra, entries) + more;
    let Some(pool) = priced_pool(farm, all, &extra) else { return Shows::Nothing };
    match check(&pool, &proof.certificate, MOST_LOOKED_AT) {
        Ok(checked) => Shows::Proof(Certified { adds, looked_at: checked.looked_at, ..proof }),
        Err(Refused::Long) => {
            Shows::LeftOut(format!("more than {MOST_LOOKED_AT} ways would have to be looked at one by one"))
        }
        Err(why) => Shows::LeftOut(format!("the checker refuses it: {}", why.in_words())),
    }
}

/// The pool of a question with what is added to the worth of what goes out.
pub(super) fn priced_pool(farm: &OnFarm<'_>, all: &[Vec<FieldOption>], extra: &Extra<'_>) -> Option<Pool> {
    pool(farm, all, &|_, mix| units(farm, mix, extra), extra)
}

/// What a way to do a field counts in the pool.
pub(super) fn units(farm: &OnFarm<'_>, mix: &FieldOption, extra: &Extra<'_>) -> i64 {
    ((mix.worth + extra.of_mix(farm.problem, mix)) * UNITS).round() as i64 - TRIP * mix.entries.len() as i64
}

/// Dollars between what the pool counts and what plans are worth, where none has more of the favors than
/// some entries.
pub(super) fn adds(farm: &OnFarm<'_>, extra: &Extra<'_>, entries: &[Pick]) -> f64 {
    let favored: f64 = entries.iter().map(|entry| extra.favor(farm.problem, entry)).sum();
    // A trip counts a cent, and another plan may have fewer or more of them.
    (TRIP * farm.most_jobs() as i64) as f64 / UNITS - favored + slack(farm.problem) - extra.weights.owed(farm.problem)
}
