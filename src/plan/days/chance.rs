//! How sure the dates are: the season run through many times, each day fit or
//! not by a draw.
//!
//! Wet days come in spells. Every run has a weather, a number from 0 to 1, and a day
//! is fit where it lies below the day's share. It stays as it was the day before with
//! a chance of the month, else it is drawn anew. So each day is fit with its month's
//! share, and within a month fit days and others follow each other as in a chain of
//! two states. Where nothing says how wet days follow each other, every day is drawn
//! anew.

use crate::cores;
use crate::plan::days::calendar::{Chance, RUNS};
use crate::plan::days::order::{self, Work};
use crate::plan::draws::Draws;
use jiff::civil::Date;

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
    let Work { jobs, litter, shares, stays } = *work;
    let mut each: Vec<Vec<usize>> = vec![Vec::new(); jobs.len()];
    let mut together: Vec<Vec<usize>> = vec![Vec::new(); groups.len()];
    let mut done: Vec<Option<usize>> = Vec::new();
    for run in runs {
        let mut draws = Draws::of_run(u64::from(run));
        let mut weather = draws.next();
        // Two draws for every day, used or not, so that another pace or share meets
        // the same weather.
        let days = shares.iter().zip(stays).map(|(share, stays)| {
            let (changes, new) = (draws.next(), draws.next());
            if changes >= *stays {
                weather = new;
            }
            if weather < *share { 1.0 } else { 0.0 }
        });
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
    use crate::plan::days::order::{Job, Litter};

    /// Chance that so many of the days are fit, by the chain of two states: from a day
    /// that is not fit, and from one that is, with the share of the day and the
    /// persistence, one day after another.
    fn by_the_chain(needed: usize, shares: &[f64], stays: f64) -> f64 {
        // Chances of (count of fit days so far, last day fit).
        let mut at = vec![[0.0; 2]; needed + 1];
        let first = shares[0];
        at[0][0] = 1.0 - first;
        at[1.min(needed)][1] = first;
        for share in &shares[1..] {
            let (fit_after_wet, fit_after_fit) = (share * (1.0 - stays), share + stays * (1.0 - share));
            let mut next = vec![[0.0; 2]; needed + 1];
            for (count, [wet, fit]) in at.iter().enumerate() {
                next[count][0] += wet * (1.0 - fit_after_wet) + fit * (1.0 - fit_after_fit);
                next[(count + 1).min(needed)][1] += wet * fit_after_wet + fit * fit_after_fit;
            }
            at = next;
        }
        at[needed].iter().sum()
    }

    fn inside(needed: usize, shares: &[f64], stays: f64) -> f64 {
        let jobs = [Job { first: 0, last: Some(shares.len() - 1), need: needed as f64, lot: 0, tons: 1.0 }];
        let stays = vec![stays; shares.len()];
        let litter = Litter::default();
        let work = Work { jobs: &jobs, litter: &litter, shares, stays: &stays };
        let dates = vec![Date::MIN; shares.len()];
        chances(&work, &[], &dates).0[0].inside
    }

    #[test]
    fn wet_spells_come_as_in_the_chain_of_two_states() {
        // By hand: 3 fit days of 3 at 0.6 and 0.5 are 0.6 x 0.8 x 0.8.
        assert!((by_the_chain(3, &[0.6; 3], 0.5) - 0.384).abs() < 1e-12);
        let error = 4.0 * 0.5 / f64::from(RUNS).sqrt();
        for (needed, days, share, stays) in [
            (1, 5, 0.3, 0.7),
            (3, 10, 0.5, 0.7),
            (5, 12, 0.5, 0.2),
            (8, 30, 0.4, 0.44),
            (8, 30, 0.4, 0.0),
            (20, 25, 0.9, 0.6),
        ] {
            let (got, exact) =
                (inside(needed, &vec![share; days], stays), by_the_chain(needed, &vec![share; days], stays));
            assert!((got - exact).abs() < error, "{needed} of {days} at {share}, {stays}: {got} for {exact}");
        }
    }

    #[test]
    fn a_months_share_is_kept_whatever_the_spells() {
        // One day alone, after days of another share.
        for (before, share, stays) in [(0.9, 0.2, 0.7), (0.1, 0.7, 0.9), (0.0, 0.5, 0.5)] {
            let shares: Vec<f64> = std::iter::repeat_n(before, 20).chain([share]).collect();
            let jobs = [Job { first: 20, last: Some(20), need: 1.0, lot: 0, tons: 1.0 }];
            let each = [stays; 21];
            let work = Work { jobs: &jobs, litter: &Litter::default(), shares: &shares, stays: &each };
            let got = chances(&work, &[], &[Date::MIN; 21]).0[0].inside;
            assert!((got - share).abs() < 4.0 * 0.5 / f64::from(RUNS).sqrt(), "{before} {share} {stays}: {got}");
        }
    }

    #[test]
    fn spells_make_a_likely_date_less_sure() {
        let sure = |stays| inside(8, &[0.5; 28], stays);
        assert!(sure(0.0) > 0.99 && sure(0.7) < 0.9, "{} {}", sure(0.0), sure(0.7));
    }
}
