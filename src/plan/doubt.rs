//! What hangs on the figures that are not read as they are used: the plan with each of
//! them moved, beside the plan as it is.

use crate::balance::Balance;
use crate::check::Ready;
use crate::findings::Cite;
use crate::plan::answer::{Plan, SCHEMA};
use crate::plan::make::cites;
use crate::units::Pounds;
use serde::Serialize;

/// What hangs on the weakly known figures of a farm.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Doubts {
    /// Version of this form.
    pub schema: u32,
    /// Name of the farm.
    pub farm: String,
    /// Name of the place whose rules hold.
    pub place_name: String,
    /// The day as of which it is planned.
    pub as_of: jiff::civil::Date,
    /// Whether gains are in dollars; otherwise in pounds of needed nutrients.
    pub in_dollars: bool,
    /// Tons that the plan spreads.
    pub tons: f64,
    /// What the plan gains.
    pub gain: f64,
    /// The figures, what most hangs on first; of equal ones the worst known first.
    pub figures: Vec<Doubt>,
}

/// One weakly known figure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Doubt {
    /// Its papers.
    pub cite: Cite,
    /// The plan with it moved, up and down; nothing where it cannot be moved.
    pub moved: Vec<Moved>,
}

/// The plan with one figure moved.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Moved {
    /// How it was moved.
    pub how: String,
    /// What comes out then.
    pub then: Outcome,
}

/// What a plan with a figure moved comes to.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// Another plan, or the same.
    Plan {
        /// Tons more that it spreads, to the hundredth.
        tons: f64,
        /// Dollars or pounds more that it gains, whole.
        gain: f64,
    },
    /// No plan, with the first reason.
    NoPlan(String),
}

impl Outcome {
    /// What a plan comes to beside the plan as it is.
    #[must_use]
    pub fn beside(plan: &Plan, moved: &Plan) -> Outcome {
        // Not `-0`, which a difference of nothing may come to.
        let rounded = |value: f64, to: f64| (value / to).round() * to + 0.0;
        Outcome::Plan {
            tons: rounded(spread(moved) - spread(plan), 0.01),
            gain: rounded(moved.choice.proof.worth - plan.choice.proof.worth, 1.0),
        }
    }
}

impl Doubt {
    /// Whether any move changes the plan.
    #[must_use]
    pub fn matters(&self) -> bool {
        self.most() != (0.0, 0.0)
    }

    /// The most dollars and tons that a move changes; no plan at all is the most there is.
    fn most(&self) -> (f64, f64) {
        self.moved.iter().fold((0.0, 0.0), |(gains, tons), moved| match &moved.then {
            Outcome::Plan { tons: more, gain } => (gain.abs().max(gains), more.abs().max(tons)),
            Outcome::NoPlan(_) => (f64::INFINITY, f64::INFINITY),
        })
    }
}

impl Doubts {
    /// Sorts what was found for each figure.
    #[must_use]
    pub fn of(plan: &Plan, mut figures: Vec<Doubt>) -> Doubts {
        figures.sort_by(|a, b| {
            let ((gain_a, tons_a), (gain_b, tons_b)) = (a.most(), b.most());
            let much = gain_b.total_cmp(&gain_a).then(tons_b.total_cmp(&tons_a));
            much.then(b.cite.known.cmp(&a.cite.known)).then(a.cite.figure.cmp(&b.cite.figure))
        });
        Doubts {
            schema: SCHEMA,
            farm: plan.farm.clone(),
            place_name: plan.place_name.clone(),
            as_of: plan.as_of,
            in_dollars: plan.choice.in_dollars,
            tons: spread(plan),
            gain: plan.choice.proof.worth,
            figures,
        }
    }
}

/// Tons that a plan spreads.
fn spread(plan: &Plan) -> f64 {
    let applications = plan.fields.iter().flat_map(|field| &field.applications);
    applications.map(|application| application.pounds).sum::<Pounds>().tons()
}

/// Every figure that a plan rests on and that is not read as it is used.
#[must_use]
pub fn weakly_known(ready: &Ready, balance: &Balance) -> Vec<Cite> {
    cites(ready, balance).into_iter().filter(|cite| cite.known.is_weak()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::findings::Known;

    fn doubt(figure: &str, known: Known, then: Vec<Outcome>) -> Doubt {
        let [title, publisher, year, at] = ["", "", "", ""].map(str::to_string);
        let cite = Cite { figure: figure.to_string(), title, publisher, year, at, known, note: None };
        Doubt { cite, moved: then.into_iter().map(|then| Moved { how: String::new(), then }).collect() }
    }

    #[test]
    fn a_figure_that_cannot_be_moved_or_changes_nothing_does_not_matter() {
        let plan = |tons, gain| Outcome::Plan { tons, gain };
        assert!(!doubt("a", Known::Memory, vec![]).matters());
        assert!(!doubt("a", Known::Memory, vec![plan(0.0, 0.0)]).matters());
        assert!(doubt("a", Known::Memory, vec![plan(0.0, 0.0), plan(-0.5, 0.0)]).matters());
        assert!(doubt("a", Known::Memory, vec![Outcome::NoPlan("why".to_string())]).matters());
    }
}
