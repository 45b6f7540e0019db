//! The order of work: which application gets how much of which day.
//!
//! The rule: of the applications whose window is open, the one whose window
//! closes first. With one spreader and work that may be broken off, this order
//! gets everything done in its window whenever any order does (earliest due
//! date; for jobs that are all open from the start the proof by exchanging
//! neighbors was read in lecture notes on machine scheduling, section 1.3.2;
//! that it holds with opening days where work may be broken off is from
//! memory). Between windows that close on one day: the one that opened first,
//! so that no field is left half done for another; then the lot that may lie
//! uncovered for the shortest time; then by lot, so that the loader moves
//! least; then the shorter haul; then the field's id. The way between fields
//! does not count. Litter that comes later is waited for; what is there is kept
//! for the windows that close before more comes. The order is fixed beforehand, so that a faster spreader
//! never makes anything later.

/// One application as work.
#[derive(Clone, Debug)]
pub(super) struct Job {
    /// First day, counted from the first day of the calendar.
    pub(super) first: usize,
    /// Last day, within the calendar; none when the window is past.
    pub(super) last: Option<usize>,
    /// Work in days.
    pub(super) need: f64,
    /// Its lot, by its place.
    pub(super) lot: usize,
    /// Litter in tons.
    pub(super) tons: f64,
}

/// What is to be done, with what, on which days.
#[derive(Clone, Copy)]
pub(super) struct Work<'a> {
    pub(super) jobs: &'a [Job],
    pub(super) litter: &'a Litter,
    /// The part of each day's work that can be expected.
    pub(super) shares: &'a [f64],
    /// The chance that a day is as the day before, whatever its share.
    pub(super) stays: &'a [f64],
}

/// The litter of every lot.
#[derive(Clone, Debug, Default)]
pub(super) struct Litter {
    pub(super) lots: Vec<Lying>,
}

/// What lies in a lot on the first day, and what comes on later days, in tons.
#[derive(Clone, Debug, Default)]
pub(super) struct Lying {
    pub(super) tons: f64,
    pub(super) comes: Vec<(usize, f64)>,
}

impl Litter {
    /// What a job may take of its lot on a day: what is there, less what windows that
    /// close earlier still need of it before more comes. A lot to which nothing comes
    /// holds all that is planned.
    fn spare(&self, jobs: &[Job], left: &[f64], job: usize, day: usize) -> f64 {
        let lot = jobs[job].lot;
        let Some(lying) = self.lots.get(lot).filter(|lying| !lying.comes.is_empty()) else { return f64::INFINITY };
        let by = |day: usize| lying.tons + lying.comes.iter().filter(|(on, _)| *on <= day).map(|c| c.1).sum::<f64>();
        let tons =
            |job: usize, days: f64| if jobs[job].need > 0.0 { days / jobs[job].need * jobs[job].tons } else { 0.0 };
        let own = || (0..jobs.len()).filter(|j| jobs[*j].lot == lot);
        let used: f64 = own().map(|j| tons(j, jobs[j].need - left[j])).sum();
        let mut spare = by(day) - used;
        let mut earlier = 0.0;
        for other in own().take_while(|j| *j < job).filter(|j| left[*j] > 0.0) {
            // A window that is over takes no more.
            let Some(last) = jobs[other].last.filter(|last| *last >= day) else { continue };
            earlier += tons(other, left[other]);
            spare = spare.min(by(last) - used - earlier);
        }
        spare.max(0.0)
    }
}

/// Work this small is none: a millionth of a day.
pub(super) const NOTHING: f64 = 1e-6;

/// Goes through the calendar. `days` is the work that fits into each day (0
/// to 1); `jobs` stand in the order of the rule. `used` is told every piece:
/// job, day, work done in the piece, work still to do after it.
///
/// What is not done when its window closes is not done at all.
pub(super) fn work(
    jobs: &[Job],
    litter: &Litter,
    days: impl Iterator<Item = f64>,
    mut used: impl FnMut(usize, usize, f64, f64),
) {
    let mut left: Vec<f64> = jobs.iter().map(|j| j.need).collect();
    // Jobs from here on may still be open; all before are done.
    let mut start = 0;
    for (day, room) in days.enumerate() {
        if room <= NOTHING {
            continue;
        }
        let mut room = room;
        while left.get(start).is_some_and(|l| *l <= 0.0) {
            start += 1;
        }
        for job in start..jobs.len() {
            if room <= NOTHING {
                break;
            }
            let open = jobs[job].first <= day && jobs[job].last.is_some_and(|last| day <= last);
            if !open || left[job] <= 0.0 {
                continue;
            }
            // Litter that is not there yet is not spread.
            let spare = litter.spare(jobs, &left, job, day);
            let there = if spare < jobs[job].tons { spare / jobs[job].tons * jobs[job].need } else { f64::INFINITY };
            let piece = left[job].min(room).min(there);
            if piece <= NOTHING {
                continue;
            }
            room -= piece;
            left[job] -= piece;
            if left[job] <= NOTHING {
                left[job] = 0.0;
            }
            used(job, day, piece, left[job]);
        }
        if start == jobs.len() {
            break;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn done(jobs: &[Job], days: &[f64]) -> Vec<Option<usize>> {
        let mut done = vec![None; jobs.len()];
        work(jobs, &Litter::default(), days.iter().copied(), |job, day, _, left| {
            if left <= 0.0 {
                done[job] = Some(day);
            }
        });
        done
    }

    fn job(first: usize, last: usize, need: f64) -> Job {
        Job { first, last: Some(last), need, lot: 0, tons: need }
    }

    #[test]
    fn two_fields_share_a_day() {
        let jobs = [job(0, 9, 0.5), job(0, 9, 1.5)];
        assert_eq!(done(&jobs, &[1.0; 10]), [Some(0), Some(1)]);
        assert_eq!(done(&jobs, &[0.0, 1.0, 0.0, 1.0]), [Some(1), Some(3)]);
        // Half of every day: twice as long.
        assert_eq!(done(&jobs, &[0.5; 10]), [Some(0), Some(3)]);
    }

    #[test]
    fn a_window_that_closes_leaves_the_rest_undone() {
        let jobs = [job(0, 1, 3.0), job(0, 5, 2.0)];
        assert_eq!(done(&jobs, &[1.0; 6]), [None, Some(3)]);
        assert_eq!(done(&[Job { first: 0, last: None, need: 1.0, lot: 0, tons: 1.0 }], &[1.0; 6]), [None]);
    }

    #[test]
    fn a_window_that_opens_later_waits() {
        assert_eq!(done(&[job(3, 9, 1.0)], &[1.0; 10]), [Some(3)]);
    }
}
