//! What may go on which ground of a field: done in part, grazed or cut; and the sentence that tells it.

use crate::balance::{LimitKind, Npk};
use crate::farm::Use;
use crate::plan::answer::{Application, FieldPlan, GroundBudget, UndrawnPart, YearBudget};
use crate::units::{number_text, rate_text};
use jiff::civil::Date;

impl Application {
    /// The first day on which it can be done: in its window, with enough of its lot there.
    #[must_use]
    pub fn starts(&self) -> Date {
        self.litter_from.unwrap_or(self.first)
    }

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

    /// What is short on a ground, lb/ac.
    fn short_on(&self, ground: &GroundBudget) -> Npk<f64> {
        let on = ground.done_usable.with(ground.supplied_usable, |done, put| done + put);
        self.need.with(on, |need, on| (need - on).max(0.0))
    }
}

impl FieldPlan {
    /// Pounds that are short in the growing years that fertilizer is bought for, each ground of a
    /// field that was done in part by what lies on it.
    #[must_use]
    pub fn short_pounds(&self) -> Npk<f64> {
        let mut pounds = Npk::default();
        for year in self.years.iter().filter(|year| year.bought_for) {
            for ground in year.grounds(self.acres) {
                pounds = pounds.with(year.short_on(&ground), |sum: f64, lb: f64| sum + ground.acres * lb);
            }
        }
        pounds
    }
}

impl UndrawnPart {
    /// What is done, why nothing is planned for the rest alone, and what draws it.
    fn sentence(&self, acres: f64) -> String {
        let [done, left, all] = [self.done, self.left, acres].map(|acres| number_text(acres, 2));
        let days = days_of_part(self.first, self.last);
        let (entry, more) = match self.entries.as_slice() {
            [one] => (one.as_str(), String::new()),
            [first, others @ ..] => (first.as_str(), format!(", and the same for {}", others.join(", "))),
            [] => ("ID", String::new()),
        };
        let says = if self.entries.len() == 1 {
            "an entry does not say its ground"
        } else {
            "entries do not say their ground"
        };
        format!(
            "{done} of {all} acres are done ({days}), and {says}, so nothing is planned for the other {left} acres alone \
             until {}: draw it with `sward log correct {entry} --set ground=...`{more}, then re-run the plan",
            self.until
        )
    }
}

/// The day or the days on which a part was done.
fn days_of_part(first: Date, last: Date) -> String {
    if first == last { last.to_string() } else { format!("{first} to {last}") }
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

    /// That nothing goes on because it is not known which part is done; none where what holds the
    /// field would hold the rest of it as well.
    pub(super) fn undrawn_and(&self, held: LimitKind) -> Option<String> {
        let litter = [LimitKind::NoSeason, LimitKind::TonsOnHand, LimitKind::LitterLate, LimitKind::Days];
        let part = self.undrawn.as_ref().filter(|_| !litter.contains(&held))?;
        Some(part.sentence(self.acres))
    }

    /// The same, where it is not told by [`FieldPlan::why_none`] already.
    #[must_use]
    pub fn part_beside_why(&self) -> Option<String> {
        self.part_sentence().filter(|_| !self.waits_for_ground())
    }

    /// Whether nothing goes on the field because nobody knows which part of it is done.
    #[must_use]
    pub fn waits_for_ground(&self) -> bool {
        self.applications.is_empty() && self.bars.is_empty() && self.undrawn_and(self.held.by).is_some()
    }

    /// Of a field that is done in part, what is done, what is left, and what goes on it.
    #[must_use]
    pub fn part_sentence(&self) -> Option<String> {
        let Some(part) = self.part.as_ref() else { return self.undrawn.as_ref().map(|part| part.sentence(self.acres)) };
        let days = days_of_part(part.first, part.last);
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
