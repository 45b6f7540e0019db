//! What the log put on a field in some days, per acre of its densest ground:
//! each amount a step that rests on the log's line.

use crate::balance::desk::Desk;
use crate::balance::supply::Supplied;
use crate::balance::{Counts, Op, StepId};
use crate::check::Laid;
use crate::findings::Origin;
use crate::record::Entry;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// What the log put on in all, by what is counted. Nothing is nowhere.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PutOn {
    steps: Vec<(Counts, StepId)>,
    /// What the analysis of a logged lot does not tell.
    untold: Vec<Counts>,
    /// How often the field was gone over.
    pub trips: usize,
}

impl PutOn {
    /// So much on an acre of the densest ground; none where nothing was logged.
    #[must_use]
    pub fn get(&self, counted: Counts) -> Option<StepId> {
        self.steps.iter().find(|(own, _)| *own == counted).map(|(_, step)| *step)
    }

    /// Whether the analyses of all that was logged tell it.
    #[must_use]
    pub fn told(&self, counted: Counts) -> bool {
        !self.untold.contains(&counted)
    }
}

/// Steps of one entry: what it put on its own acres.
type Steps = Vec<(Counts, StepId)>;

/// What the log put on a field.
pub(super) struct Logged<'a> {
    pub(super) laid: Laid<'a>,
    pub(super) acres: f64,
    /// By the id of the entry.
    put: BTreeMap<&'a str, Steps>,
}

impl<'a> Logged<'a> {
    /// The entries of some days on so many acres.
    pub(super) fn of(desk: &Desk<'a>, acres: f64, days: (Date, Date)) -> Logged<'a> {
        let laid = Laid::of(desk.ready, desk.field, desk.book, acres, days);
        Logged { laid, acres, put: BTreeMap::new() }
    }

    /// Writes down what every entry put on its own acres. Nitrogen counts as in the
    /// season that was open when it went on.
    pub(super) fn write(&mut self, desk: &mut Desk<'_>, supplied: &[Supplied<'_>], counts: &[Counts]) {
        for (season, entry) in self.laid.entries() {
            let rate = rate(desk, &self.laid, entry);
            let mut steps = vec![(Counts::Tons, rate)];
            let own = Supplied::of_entry(supplied, entry);
            for counted in counts.iter().copied() {
                let per_ton = own.and_then(|own| match counted {
                    Counts::N => Some(own.n_in(season)),
                    _ => own.supply.of(counted),
                });
                let Some(per_ton) = per_ton else { continue };
                let what = format!("{} that it put on", counted.word());
                steps.push((counted, desk.notes.reckon(what, "lb/ac", Op::Times, &[rate, per_ton])));
            }
            self.put.insert(&entry.id, steps);
        }
    }

    /// What an entry put on its own acres.
    pub(super) fn of_entry(&self, entry: &Entry, counted: Counts) -> Option<StepId> {
        let steps = self.put.get(entry.id.as_str())?;
        steps.iter().find(|(own, _)| *own == counted).map(|(_, step)| *step)
    }

    /// What all entries put on.
    pub(super) fn in_all(&self, desk: &mut Desk<'_>) -> PutOn {
        let untold = |counted: &Counts| self.put.values().any(|steps| !steps.iter().any(|(own, _)| own == counted));
        let in_all = |counted: Counts| {
            let what = format!("{} that the log put on", counted.word());
            Some((counted, self.densest(desk, &self.laid, what, counted)?))
        };
        PutOn {
            untold: Counts::ALL.into_iter().filter(untold).collect(),
            steps: Counts::ALL.into_iter().filter_map(in_all).collect(),
            trips: self.laid.trips(),
        }
    }

    /// Available nitrogen put on in a season, all its openings together; none where
    /// nothing was logged in it.
    pub(super) fn n_in(&self, desk: &mut Desk<'_>, season: &str, openings: &[(Date, Date)]) -> Option<StepId> {
        let what = format!("N on in {season} already");
        let one = |days: &(Date, Date)| {
            let laid = Laid::of(desk.ready, desk.field, desk.book, self.acres, *days);
            self.densest(desk, &laid, what.clone(), Counts::N)
        };
        let steps: Vec<StepId> = openings.iter().filter_map(one).collect();
        match steps[..] {
            [] => None,
            [one] => Some(one),
            _ => Some(desk.notes.reckon(what, "lb/ac", Op::Sum, &steps)),
        }
    }

    /// The most on any acre of what some entries put on.
    pub(super) fn densest(
        &self,
        desk: &mut Desk<'_>,
        laid: &Laid<'_>,
        what: String,
        counted: Counts,
    ) -> Option<StepId> {
        let of: Vec<(&Entry, StepId)> =
            laid.entries().filter_map(|(_, entry)| Some((entry, self.of_entry(entry, counted)?))).collect();
        match of[..] {
            [] => None,
            [(_, one)] => Some(one),
            _ => Some(desk.notes.densest(what, counted.unit(), laid, &of)),
        }
    }
}

/// Tons per acre of one entry on its own acres.
fn rate(desk: &mut Desk<'_>, laid: &Laid<'_>, entry: &Entry) -> StepId {
    let line = Origin::Line(entry.place.clone());
    let covered = laid.covered(entry);
    let by = if entry.acres == Some(covered) { line.clone() } else { Origin::Measured };
    let tons = desk.notes.given(format!("litter spread on {}", entry.date), entry.amount.tons(), "tons", line);
    let acres = desk.notes.given("ground that it went on", covered, "ac", by);
    desk.notes.reckon(format!("litter spread on {}", entry.date), "tons/ac", Op::Over, &[tons, acres])
}
