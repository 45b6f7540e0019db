//! A farm planned again with a paper that it is wanting: a soil test or a sample as of the plan's
//! day that reads like the old one, a phosphorus rating that comes out low.

use crate::balance;
use crate::cores;
use crate::farm::{Rated, Rating, WrittenField};
use crate::findings::At;
use crate::pipeline::opened::Opened;
use crate::pipeline::stages::Planned;
use crate::plan::{self, Choose, Chosen, LeastCost, Mend, Mends, Outcome, Paper, Plan, Problem, Wanted, wanted};
use jiff::civil::Date;

/// So many papers are priced: each is a plan of its own.
const MOST_PRICED: usize = 12;

/// Chooses the plan alone: nobody reads what each of its limits costs.
struct Alone;

impl Choose for Alone {
    fn choose(&self, problem: &Problem) -> Chosen {
        // Nor what comes next to it.
        if problem.not.is_some() { Chosen::default() } else { LeastCost::default().choose(problem) }
    }

    fn roughly(&self, _: &Problem) -> Chosen {
        Chosen::default()
    }
}

/// What the papers that a farm is wanting would bring, each by itself.
#[must_use]
pub fn mends(opened: &Opened, planned: &Planned) -> Mends {
    let plan = planned.audited.plan();
    let mut papers = wanted(&planned.ready, &planned.balance.fields, plan);
    let others = papers.len().saturating_sub(MOST_PRICED);
    papers.truncate(MOST_PRICED);
    let priced = cores::each(&papers, |Wanted { paper, of, bars }| {
        let then = match with(opened, planned, *paper, of) {
            Some(then) => Outcome::beside(plan, &then),
            None => Outcome::NoPlan(String::new()),
        };
        (*bars, Mend { paper: *paper, of: of.clone(), then })
    });
    Mends::of(plan, priced, others)
}

/// The plan with a paper, only to be compared: what the log shows is judged, and a plan audited,
/// where it is printed.
fn with(opened: &Opened, planned: &Planned, paper: Paper, of: &str) -> Option<Plan> {
    let mut opened = opened.clone();
    let day = opened.day();
    if paper == Paper::Sample {
        let lot = opened.written.lots.iter_mut().find(|lot| lot.id.value == of)?;
        let mut new = lot.analyses.newest()?.clone();
        new.sampled.value = day;
        lot.analyses = lot.analyses.with(new.clone());
        lot.analysis = Some(new);
    } else {
        let field = opened.written.fields.iter_mut().find(|field| field.id.value == of)?;
        if paper != Paper::Rating {
            new_test(field, day)?;
        }
        if paper != Paper::SoilTest {
            low_rating(field, day);
        }
    }
    let (ready, ground) = opened.ready_on(planned)?;
    let (balance, found) = balance::weigh(&ready, &planned.tables, &ground);
    // What would then be refused is no gain.
    let refused = balance::banked_too_long(&balance, &ready.place_name);
    refused.is_empty().then(|| plan::make(&ready, &planned.tables, &balance, &Alone, &found))
}

fn new_test(field: &mut WrittenField, day: Date) -> Option<()> {
    let mut new = field.soil_tests.newest()?.clone();
    new.sampled.value = day;
    field.soil_tests = field.soil_tests.with(new.clone());
    field.soil_test = Some(new);
    Some(())
}

fn low_rating(field: &mut WrittenField, day: Date) {
    let at = field.id.place.clone();
    let new = Rated {
        rating: At { value: Rating::Low, place: at.clone() },
        tool: None,
        version: None,
        score: None,
        made_for: None,
        n_leaching: None,
        by: String::new(),
        on: At { value: day, place: at },
    };
    field.ratings = field.ratings.with(new.clone());
    field.rating = Some(new);
}
