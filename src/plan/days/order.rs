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
//! does not count. The order is fixed beforehand, so that a faster spreader
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
}

/// Work this small is none: a millionth of a day.
pub(super) const NOTHING: f64 = 1e-6;

/// Goes through the calendar. `days` is the work that fits into each day (0
/// to 1); `jobs` stand in the order of the rule. `used` is told every piece:
/// job, day, work done in the piece, work still to do after it.
///
/// What is not done when its window closes is not done at all.
pub(super) fn work(jobs: &[Job], days: impl Iterator<Item = f64>, mut used: impl FnMut(usize, usize, f64, f64)) {
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
            let piece = left[job].min(room);
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
        work(jobs, days.iter().copied(), |job, day, _, left| {
            if left <= 0.0 {
                done[job] = Some(day);
            }
        });
        done
    }

    fn job(first: usize, last: usize, need: f64) -> Job {
        Job { first, last: Some(last), need }
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
        assert_eq!(done(&[Job { first: 0, last: None, need: 1.0 }], &[1.0; 6]), [None]);
    }

    #[test]
    fn a_window_that_opens_later_waits() {
        assert_eq!(done(&[job(3, 9, 1.0)], &[1.0; 10]), [Some(3)]);
    }
}
