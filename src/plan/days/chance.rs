//! How sure the dates are: the season run through many times, each day fit or
//! not by a draw.
//!
//! A day is fit with its month's share, whatever the day before was. Wet days
//! come in spells, so the true spread of the dates is somewhat wider than
//! this; the middle is the same.

use crate::cores;
use crate::plan::days::calendar::{Chance, RUNS};
use crate::plan::days::order::{self, Work};
use jiff::civil::Date;

/// Numbers that look random and are the same on every machine: a counter
/// taken through a mixing function (splitmix64; constants from memory).
struct Draws(u64);

impl Draws {
    const STEP: u64 = 0x9E37_79B9_7F4A_7C15;

    /// The draws of one run. The seed is fixed, so that the same farm prints
    /// the same dates.
    fn of_run(run: u64) -> Draws {
        let mut draws = Draws(run.wrapping_mul(0xD1B5_4A32_D192_ED03));
        Draws(draws.bits())
    }

    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(Draws::STEP);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// From 0 up to, but not, 1.
    fn next(&mut self) -> f64 {
        // The upper 53 bits fill a double exactly.
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// The runs are shared out in so many parts.
const PARTS: u32 = 16;

/// The chance of every job, in their order, and of every group of them.
pub(super) fn chances(work: &Work<'_>, groups: &[Vec<usize>], dates: &[Date]) -> (Vec<Chance>, Vec<Chance>) {
    let parts: Vec<std::ops::Range<u32>> = (0..PARTS).map(|n| n * RUNS / PARTS..(n + 1) * RUNS / PARTS).collect();
    let mut each: Vec<Vec<usize>> = vec![Vec::new(); work.jobs.len()];
    let mut together: Vec<Vec<usize>> = vec![Vec::new(); groups.len()];
    for (own, of_groups) in cores::each(&parts, |runs| ends(runs.clone(), work, groups)) {
        each.iter_mut().zip(own).for_each(|(all, days)| all.extend(days));
        together.iter_mut().zip(of_groups).for_each(|(all, days)| all.extend(days));
    }
    let of = |mut days: Vec<usize>| {
        days.sort_unstable();
        Chance {
            half: by(&days, 50, dates),
            four_in_five: by(&days, 80, dates),
            inside: days.len() as f64 / f64::from(RUNS),
        }
    };
    (each.into_iter().map(of).collect(), together.into_iter().map(of).collect())
}

/// The days on which jobs and groups of them end in some of the runs; nothing
/// for a run in which one does not.
fn ends(runs: std::ops::Range<u32>, work: &Work<'_>, groups: &[Vec<usize>]) -> (Vec<Vec<usize>>, Vec<Vec<usize>>) {
    let Work { jobs, litter, shares } = *work;
    let mut each: Vec<Vec<usize>> = vec![Vec::new(); jobs.len()];
    let mut together: Vec<Vec<usize>> = vec![Vec::new(); groups.len()];
    let mut done: Vec<Option<usize>> = Vec::new();
    for run in runs {
        let mut draws = Draws::of_run(u64::from(run));
        // A draw for every day, fit or not, so that another pace meets the
        // same weather.
        let days = shares.iter().map(|share| if draws.next() < *share { 1.0 } else { 0.0 });
        done.clear();
        done.resize(jobs.len(), None);
        order::work(jobs, litter, days, |job, day, _, left| {
            if left <= 0.0 {
                done[job] = Some(day);
            }
        });
        for (days, done) in each.iter_mut().zip(&done) {
            days.extend(done);
        }
        for (days, group) in together.iter_mut().zip(groups) {
            // A group is done on the day of its last job, or not at all.
            let last = group.iter().map(|job| done[*job]).try_fold(0, |last, day| Some(day?.max(last)));
            days.extend(last);
        }
    }
    (each, together)
}

/// The day by which so many of a hundred runs are done; none when fewer are.
fn by(days: &[usize], percent: usize, dates: &[Date]) -> Option<Date> {
    let rank = (RUNS as usize * percent).div_ceil(100);
    days.get(rank.checked_sub(1)?).and_then(|day| dates.get(*day)).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn draws_are_even_and_the_same_everywhere() {
        let mut draws = Draws::of_run(0);
        let mut again = Draws::of_run(0);
        let mean = (0..20_000).map(|_| draws.next()).sum::<f64>() / 20_000.0;
        assert!((mean - 0.5).abs() < 0.01, "{mean}");
        assert_eq!(again.bits(), Draws::of_run(0).bits());
        // Known values of splitmix64 from the state 0.
        let mut known = Draws(0);
        assert_eq!(known.bits(), 0xE220_A839_7B1D_CDAF);
    }
}
