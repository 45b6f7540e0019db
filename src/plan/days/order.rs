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
#[derive(Clone, Copy, Debug)]
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

/// What is there of a lot, in tons.
#[derive(Clone, Debug, Default)]
pub(super) struct Lying {
    /// All that has come by each day of the calendar; nothing where no more comes, so
    /// that the lot holds all that is planned.
    pub(super) there: Vec<f64>,
    /// What outlets are to take, each with the last day for it, the first of them first.
    pub(super) sold: Vec<(usize, f64)>,
}

/// What every lot can spare while the jobs of a day are gone through in their order:
/// what is there, less what earlier jobs and outlets still need of it before more comes.
struct Stores<'a> {
    litter: &'a Litter,
    /// What the jobs have used on earlier days.
    used: Vec<f64>,
    today: Vec<Spare>,
}

#[derive(Clone, Copy, Default)]
struct Spare {
    /// What the next job may take.
    most: f64,
    /// What is used, and what the jobs and sales gone through still need.
    due: f64,
    /// So many of the sales are gone through.
    sales: usize,
}

impl<'a> Stores<'a> {
    fn of(litter: &'a Litter) -> Stores<'a> {
        Stores { litter, used: vec![0.0; litter.lots.len()], today: vec![Spare::default(); litter.lots.len()] }
    }

    /// A lot that may run short.
    fn lot(&self, lot: usize) -> Option<&'a Lying> {
        self.litter.lots.get(lot).filter(|lying| !lying.there.is_empty())
    }

    fn begin(&mut self, day: usize) {
        for (index, lot) in self.litter.lots.iter().enumerate().filter(|(_, lot)| !lot.there.is_empty()) {
            let over = lot.sold.iter().take_while(|(last, _)| *last < day);
            let (sales, gone) = over.fold((0, 0.0), |(n, sum), (_, tons)| (n + 1, sum + tons));
            let due = self.used[index] + gone;
            self.today[index] = Spare { most: lot.by(day) - due, due, sales };
        }
    }

    /// What a job may take that must be done by a day.
    fn spare(&mut self, lot: usize, last: usize) -> f64 {
        let Some(lying) = self.lot(lot) else { return f64::INFINITY };
        let today = &mut self.today[lot];
        while let Some((day, tons)) = lying.sold.get(today.sales).filter(|(day, _)| *day <= last) {
            today.sales += 1;
            today.due += tons;
            today.most = today.most.min(lying.by(*day) - today.due);
        }
        today.most.max(0.0)
    }

    /// A job that is gone through, with what it takes today of what it needs.
    fn through(&mut self, lot: usize, last: usize, (takes, needs): (f64, f64)) {
        let Some(lying) = self.lot(lot) else { return };
        self.used[lot] += takes;
        let today = &mut self.today[lot];
        today.due += needs;
        today.most = (today.most - takes).min(lying.by(last) - today.due);
    }
}

impl Lying {
    fn by(&self, day: usize) -> f64 {
        self.there.get(day).or(self.there.last()).copied().unwrap_or(f64::INFINITY)
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
    let mut stores = Stores::of(litter);
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
        if start == jobs.len() {
            break;
        }
        stores.begin(day);
        for job in start..jobs.len() {
            if room <= NOTHING {
                break;
            }
            let Job { first, last, need, lot, tons } = jobs[job];
            // A window that is over takes no more.
            let Some(last) = last.filter(|last| day <= *last && left[job] > 0.0) else { continue };
            let spare = stores.spare(lot, last);
            let needs = left[job] / need * tons;
            // Litter that is not there yet is not spread.
            let there = if spare < needs { spare / tons * need } else { left[job] };
            let piece = if first <= day { there.min(room) } else { 0.0 };
            let piece = if piece <= NOTHING { 0.0 } else { piece };
            stores.through(lot, last, (piece / need * tons, needs));
            if piece <= 0.0 {
                continue;
            }
            room -= piece;
            left[job] -= piece;
            if left[job] <= NOTHING {
                left[job] = 0.0;
            }
            used(job, day, piece, left[job]);
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
    fn litter_that_comes_later_is_waited_for() {
        // Two tons are there, two come on day 5; an outlet is to have two by day 3.
        let by = |day: usize| if day < 5 { 2.0 } else { 4.0 };
        let litter = |sold| Litter { lots: vec![Lying { there: (0..10).map(by).collect(), sold }] };
        let dates = |jobs: &[Job], sold: Vec<(usize, f64)>| {
            let mut on = Vec::new();
            work(jobs, &litter(sold), [1.0; 10].into_iter(), |job, day, _, _| on.push((job, day)));
            on
        };
        assert_eq!(dates(&[job(0, 9, 2.0)], vec![]), [(0, 0), (0, 1)]);
        assert_eq!(dates(&[job(0, 9, 2.0)], vec![(3, 2.0)]), [(0, 5), (0, 6)]);
        assert_eq!(dates(&[job(0, 9, 2.0)], vec![(9, 2.0)]), [(0, 0), (0, 1)]);
        assert_eq!(dates(&[job(0, 8, 2.0)], vec![(9, 2.0)]), [(0, 0), (0, 1)]);
        // What closes before more comes has its litter kept, though it opens later.
        assert_eq!(dates(&[job(3, 4, 2.0), job(0, 9, 2.0)], vec![]), [(0, 3), (0, 4), (1, 5), (1, 6)]);
    }

    #[test]
    fn a_window_that_opens_later_waits() {
        assert_eq!(done(&[job(3, 9, 1.0)], &[1.0; 10]), [Some(3)]);
    }
}
