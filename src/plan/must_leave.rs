//! What it costs where more comes than goes into a storage: dollars of getting rid of it,
//! weighed in the choice.
//!
//! What must leave is the most, over the days on which something comes, of what lies
//! there, less the room, less what is out by the evening. A weight on each of these days,
//! in all no more than what getting rid of a ton costs, turns that into so much more for
//! every ton that goes out by then. Whatever the weights, the best plan by them is
//! worth no less than the best by the true cost (Lagrange; from memory): a bound. The cost is
//! that of all litter without room, as if none of it could wait for a later use.

use crate::plan::pick::Pick;
use crate::plan::problem::Problem;
use crate::plan::sales::Sold;
use crate::units::Pounds;
use jiff::civil::Date;

/// Dollars a ton for what goes out of a storage by a day.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Weights {
    /// By storage and day.
    of: Vec<Vec<f64>>,
}

/// What goes out of which lot, no sooner than on a day.
type Out = (usize, Date, Pounds);

/// What a choice takes out of the lots.
fn outs<'a>(problem: &'a Problem, entries: &'a [Pick], sales: &'a [Sold]) -> impl Iterator<Item = Out> + 'a {
    let spread = entries.iter().map(|entry| {
        let choice = &problem.choices[entry.choice];
        (choice.lot, choice.first, problem.pounds(entry))
    });
    spread.chain(sales.iter().map(|sold| (sold.lot, problem.outlets[sold.outlet].first, sold.pounds)))
}

/// What must leave, by storage and day; less than nothing where more goes out by then.
fn over(problem: &Problem, entries: &[Pick], sales: &[Sold]) -> Vec<Vec<Pounds>> {
    let outs: Vec<Out> = outs(problem, entries, sales).collect();
    let of = |lots: &[usize], day: Date| -> Pounds {
        outs.iter().filter(|(lot, first, _)| lots.contains(lot) && *first <= day).map(|(.., pounds)| *pounds).sum()
    };
    let rooms = problem.rooms.iter();
    rooms.map(|room| room.must.iter().map(|(day, must)| *must - of(&room.lots, *day)).collect()).collect()
}

/// Dollars of getting rid of what finds no room by a choice, at the least: as if all that
/// may go out by a day does. Litter that waits for its use while its storage is full counts
/// too: in the plan that is made of the choice it may wait, and then costs nothing.
pub(super) fn cost(problem: &Problem, entries: &[Pick], sales: &[Sold]) -> f64 {
    let more = over(problem, entries, sales);
    let must = more.iter().map(|more| more.iter().copied().max().unwrap_or_default().max(Pounds(0)));
    problem.rid * must.sum::<Pounds>().tons()
}

/// Whether what goes out can lessen the cost at all.
pub(super) fn matters(problem: &Problem) -> bool {
    problem.rid > 0.0 && problem.rooms.iter().any(|room| !room.must.is_empty())
}

/// The most that a ton of a lot may save that goes out no sooner than on a day.
pub(super) fn most_saved(problem: &Problem, lot: usize, first: Date) -> f64 {
    let own = problem.rooms.iter().filter(|room| room.lots.contains(&lot));
    problem.rid * own.filter(|room| room.must.iter().any(|(day, _)| first <= *day)).count() as f64
}

impl Weights {
    pub(super) fn none(problem: &Problem) -> Weights {
        Weights { of: problem.rooms.iter().map(|room| vec![0.0; room.must.len()]).collect() }
    }

    /// From the dollars by storage and day.
    pub(super) fn of_list(of: &[Vec<f64>]) -> Weights {
        Weights { of: of.to_vec() }
    }

    /// Dollars by storage and day; none where all of them are zero.
    pub(super) fn listed(&self) -> Vec<Vec<f64>> {
        let none = self.of.iter().flatten().all(|weight| *weight == 0.0);
        if none { Vec::new() } else { self.of.clone() }
    }

    /// Dollars more for what goes out of a lot no sooner than on a day, pound by pound.
    fn saved(&self, problem: &Problem, (lot, first, pounds): Out) -> f64 {
        let own = problem.rooms.iter().zip(&self.of).filter(|(room, _)| room.lots.contains(&lot));
        let days = own.flat_map(|(room, weights)| room.must.iter().zip(weights));
        pounds.tons() * days.filter(|((day, _), _)| first <= *day).map(|(_, weight)| weight).sum::<f64>()
    }

    pub(super) fn saved_by(&self, problem: &Problem, entries: &[Pick], sales: &[Sold]) -> f64 {
        outs(problem, entries, sales).map(|out| self.saved(problem, out)).sum()
    }

    /// What must leave by these weights, were nothing spread or sold, in dollars.
    pub(super) fn owed(&self, problem: &Problem) -> f64 {
        let rooms = problem.rooms.iter().zip(&self.of);
        let of = rooms.map(|(room, weights)| {
            let days = room.must.iter().zip(weights);
            days.map(|((_, must), weight)| must.tons() * weight).sum::<f64>()
        });
        of.sum()
    }

    /// Heavier on the day on which most must leave by a choice, lighter where nothing
    /// must: by a share of the whole.
    pub(super) fn moved(mut self, problem: &Problem, (entries, sales): (&[Pick], &[Sold]), share: f64) -> Weights {
        let step = problem.rid * share;
        for (weights, more) in self.of.iter_mut().zip(over(problem, entries, sales)) {
            let Some((most, pounds)) = more.into_iter().enumerate().max_by_key(|(_, pounds)| *pounds) else { continue };
            if pounds.0 > 0 {
                let others: f64 = weights.iter().enumerate().filter(|(at, _)| *at != most).map(|(_, w)| w).sum();
                weights[most] = (weights[most] + step).min(problem.rid);
                let room = problem.rid - weights[most];
                if others > room {
                    weights.iter_mut().enumerate().filter(|(at, _)| *at != most).for_each(|(_, w)| *w *= room / others);
                }
            } else {
                weights.iter_mut().for_each(|weight| *weight = (*weight - step).max(0.0));
            }
        }
        self
    }
}
