//! What may go on which ground of a field: done in part, grazed or cut; and the sentence that tells it.

use crate::balance::Npk;
use crate::farm::Use;
use crate::plan::answer::{Application, FieldPlan, GroundBudget, YearBudget};
use crate::units::{number_text, rate_text};

impl Application {
    /// Acres of its field that it goes on.
    #[must_use]
    pub fn acres(&self, field: &FieldPlan) -> f64 {
        self.rest_acres.unwrap_or(field.acres)
    }
}

impl YearBudget {
    /// The grounds of a field of so many acres.
    #[must_use]
    pub fn grounds(&self, acres: f64) -> Vec<GroundBudget> {
        match self.parted.as_slice() {
            [] => vec![GroundBudget { acres, done_usable: self.done_usable, supplied_usable: self.supplied_usable }],
            parted => parted.to_vec(),
        }
    }

    /// Of what the crop asks for on a ground and the log has not met, what the plan's litter
    /// meets, lb/ac.
    #[must_use]
    pub fn met_on(&self, ground: &GroundBudget) -> Npk<f64> {
        let left = self.need.with(ground.done_usable, |need, on| (need - on).max(0.0));
        left.with(ground.supplied_usable, f64::min)
    }
}

impl FieldPlan {
    /// Whether stock may come on it: all but what is only cut, for hay or for its grain.
    #[must_use]
    pub fn may_be_grazed(&self) -> bool {
        Use::named(&self.usage).is_some_and(Use::is_grazed) || !self.grazed.is_empty()
    }

    /// The job on the rest of a field that is done in part.
    #[must_use]
    pub fn rest_job(&self) -> Option<&Application> {
        self.applications.iter().find(|job| job.rest_acres.is_some())
    }

    /// Acres that get litter.
    #[must_use]
    pub fn acres_spread(&self) -> f64 {
        self.applications.iter().map(|job| job.acres(self)).fold(0.0, f64::max)
    }

    /// Of the years that fertilizer is bought for, what the plan's litter meets on each ground
    /// of the field, with its acres, lb/ac.
    #[must_use]
    pub fn met_by_ground(&self) -> Vec<(f64, Npk<f64>)> {
        let mut sums: Vec<(f64, Npk<f64>)> = Vec::new();
        for year in self.years.iter().filter(|year| year.bought_for) {
            let met = year.grounds(self.acres).into_iter().map(|ground| (ground.acres, year.met_on(&ground)));
            for (at, (acres, met)) in met.enumerate() {
                match sums.get_mut(at) {
                    Some((_, sum)) => *sum = sum.with(met, |sum, met| sum + met),
                    None => sums.push((acres, met)),
                }
            }
        }
        sums
    }

    /// Of a field that is done in part, what is done, what is left, and what goes on it.
    #[must_use]
    pub fn part_sentence(&self) -> Option<String> {
        let part = self.part.as_ref()?;
        let days =
            if part.first == part.last { part.last.to_string() } else { format!("{} to {}", part.first, part.last) };
        let [done, left, all] = [part.done, part.left, self.acres].map(|acres| number_text(acres, 2));
        let rest = match (self.rest_job(), &part.why_not) {
            (Some(job), _) => format!(
                "The plan finishes the other {left} acres with {} tons/ac of {}, {} tons, {} to {}",
                rate_text(job.rate),
                job.lot,
                number_text(job.pounds.tons(), 2),
                job.first,
                job.last
            ),
            (None, Some(why)) => format!("The other {left} acres get no litter until then: {why}"),
            (None, None) => format!("The other {left} acres get no litter until then"),
        };
        Some(format!("{done} of {all} acres are done ({days}); keep off them until {}. {rest}", part.until))
    }
}
