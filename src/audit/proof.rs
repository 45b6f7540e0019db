//! The proof of a printed plan: its certificate is checked again, on the ways to do the fields as
//! the farm has them now, and must lead to the very bound that the plan prints.

use crate::audit::fault::near;
use crate::audit::verdict::{Seen, Verdicts};
use crate::plan::answer::{Certified, Plan};
use crate::proof::{MOST_LOOKED_AT, Pool, check};

/// What a certificate is of, from whoever made the plan.
pub struct Asked<'a> {
    /// The ways to do each field, with what they are worth and use.
    pub pool: &'a Pool,
    /// From a bound of the pool and what the plan says that it gains: the dollars by which no plan gains
    /// more than it, and those between the bound and what plans gain.
    pub dollars: &'a dyn Fn(i64, f64) -> Result<(f64, f64), String>,
}

/// To the cent: what is rounded for itself may stray by half of one.
const CENT: f64 = 0.005;

/// What the checker says of the proof of a plan, if the plan holds one.
///
/// # Errors
/// Why there is none, in the plan's words.
pub fn held(plan: &Plan) -> Result<&Certified, String> {
    let said = &plan.choice.proof;
    let none = || said.not_shown.clone().unwrap_or_else(|| "the plan says nothing of it".to_string());
    said.shown.as_ref().ok_or_else(none)
}

/// Adds to the verdicts that a plan holds no proof.
#[must_use]
pub fn no_proof(verdicts: Verdicts, why: String) -> Verdicts {
    Verdicts { proof: Some(Seen::NotThere(why)), ..verdicts }
}

/// Adds to the verdicts what the checker says of the proof of a plan; or why nobody could ask it.
#[must_use]
pub fn proof(verdicts: Verdicts, plan: &Plan, of: Result<Asked<'_>, String>) -> Verdicts {
    let seen = of.and_then(|asked| reached(plan, held(plan)?, &asked)).unwrap_or_else(Seen::Refused);
    let passes = verdicts.passes && !matches!(seen, Seen::Refused(_));
    Verdicts { passes, proof: Some(seen), ..verdicts }
}

fn reached(plan: &Plan, shown: &Certified, asked: &Asked<'_>) -> Result<Seen, String> {
    let said = &plan.choice.proof;
    let checked = check(asked.pool, &shown.certificate, MOST_LOOKED_AT)
        .map_err(|why| format!("the checker refuses the proof: {}", why.in_words()))?;
    let (over, adds) = (asked.dollars)(checked.bound, said.worth)?;
    let printed = said.bound - said.worth;
    if !near(printed, over, CENT) {
        return Err(format!("the plan says that no other gains over {printed:.2} more; its proof leads to {over:.2}"));
    }
    if !near(shown.adds, adds, CENT) {
        return Err(format!("its proof adds {:.2} to what is counted; recalculated it is {adds:.2}", shown.adds));
    }
    Ok(Seen::Reached { bound: said.bound, parts: checked.parts, looked_at: checked.looked_at })
}
