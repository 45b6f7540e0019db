//! What is left of a field that was done in part in a window that is still open: ground of its
//! own, with its own limits and needs.

use crate::balance::{Balance, Counts, FieldBalance, LimitKind, Npk, YearNeed};
use crate::check::{Laid, Ready};
use crate::plan::answer::{Application, FieldPart, FieldPlan, GroundBudget, Uncounted, UndrawnPart};
use crate::plan::sight::Sight;
use crate::plan::{holds, jobs};
use crate::tables::Book;
use crate::units::{acres_left, at_most};

/// Ground that the log does not show as done in the growing years that are bought for, of fields
/// that are counted as one by what got most.
pub(super) fn uncounted(
    ready: &Ready,
    book: Option<&Book<'_>>,
    balance: &Balance,
    fields: &[FieldPlan],
) -> Vec<Uncounted> {
    let Some(book) = book else { return Vec::new() };
    let of = |(weighed, plan): (&FieldBalance, &FieldPlan)| {
        let mut own = Uncounted { field: plan.id.clone(), acres: 0.0, lacks: Npk::default() };
        for year in plan.years.iter().filter(|year| year.bought_for && plan.part.is_none()) {
            let laid = Laid::of(ready, weighed.field(), book, weighed.acres, (year.first, year.last.min(ready.as_of)));
            let Some(done) = laid.part() else { continue };
            own.acres = own.acres.max(acres_left(weighed.acres, done));
            let got = year.need.with(year.done_usable, f64::min);
            own.lacks = own.lacks.with(got, |sum, lb| sum + lb);
        }
        (own.acres > 0.0).then_some(own)
    };
    balance.fields.iter().zip(fields).filter_map(of).collect()
}

impl Sight<'_> {
    /// Acres with fertilizer and fed hay of the growing years, where they are a part of the
    /// field.
    pub(super) fn besides_on(&self) -> Option<f64> {
        let laid = Laid::besides_litter(self.ready, self.field(), self.book?, self.weighed.acres);
        let parts = self.weighed.needs.iter().filter_map(|year| laid.within(year.days).part());
        parts.min_by(f64::total_cmp)
    }

    /// The part that is done; none where no window was begun.
    pub(super) fn part(&self, applications: &[Application]) -> Option<FieldPart> {
        let (weighed, windows) = (self.weighed, &self.weighed.windows);
        let rest = weighed.rest.as_ref()?;
        let pieces = || rest.windows.iter().filter_map(|at| windows.get(*at));
        Some(FieldPart {
            done: ((weighed.acres - rest.acres) * 100.0).round() / 100.0,
            left: rest.acres,
            first: rest.first,
            last: rest.last,
            season: pieces().next()?.season.clone(),
            until: pieces().map(|window| window.last).max()?,
            entries: rest.entries.clone(),
            why_not: applications.iter().all(|a| a.rest_acres.is_none()).then(|| self.why_no_rest()),
        })
    }

    /// The part that is done where nobody knows which.
    pub(super) fn undrawn(&self) -> Option<UndrawnPart> {
        let (part, windows) = (self.weighed.undrawn.as_ref()?, &self.weighed.windows);
        let pieces = || part.windows.iter().filter_map(|at| windows.get(*at));
        Some(UndrawnPart {
            done: (part.done * 100.0).round() / 100.0,
            left: part.left,
            first: part.first,
            last: part.last,
            season: pieces().next()?.season.clone(),
            until: pieces().map(|window| window.last).max()?,
            entries: part.entries.clone(),
        })
    }

    /// Why nothing goes on the rest of the field.
    fn why_no_rest(&self) -> String {
        if !self.weighed.bars.is_empty() {
            return "no litter may go on the field".to_string();
        }
        let held = holds::held_on_rest(self.question, self.resources, self.entries, self.index);
        match held.by {
            LimitKind::NoSeason => "no lot may go on them".to_string(),
            LimitKind::Value => self.weighed.as_known(Npk::default()).costs_more("litter there"),
            by if held.below_even => format!(
                "{} allows {} tons/ac, less than the spreader's lowest even rate",
                by.word(),
                at_most(held.rate.unwrap_or_default(), 2)
            ),
            by => format!("limited by {}", by.word()),
        }
    }

    /// What the plan puts on, lb/ac: on all of the field, and what the rest of one that is done
    /// in part gets beyond what the log put on the part that is done. So log and plan together
    /// are what lies on the ground that gets most.
    pub(super) fn supplied(&self, applications: &[Application]) -> Npk<f64> {
        let whole = self.put(jobs::on_all(applications), jobs::put_on);
        self.weighed.needs.iter().fold(whole, |sum, year| {
            let rest = self.put(on_rest_in(year, applications), jobs::put_on);
            sum.with(beyond(rest, self.weighed.on_rest(year), self.weighed.on_in_year(year)), |sum, more| sum + more)
        })
    }

    /// What of that counts toward the need of a growing year.
    pub(super) fn usable(&self, year: &YearNeed, applications: &[Application]) -> Npk<f64> {
        let whole = self.put(jobs::on_all(applications), jobs::usable);
        let rest = self.put(on_rest_in(year, applications), jobs::usable);
        let (_, done) = self.weighed.in_year(year);
        whole.with(beyond(rest, self.weighed.usable_on_rest(year), done), |whole, more| whole + more)
    }

    /// All nitrogen of log and plan on the ground that gets most.
    pub(super) fn total_n(&self, applications: &[Application]) -> f64 {
        let weighed = self.weighed;
        let of = |job: &Application| jobs::total_n(weighed, job);
        let whole = jobs::on_all(applications).map(of);
        let more = weighed.needs.iter().map(|year| {
            let rest = on_rest_in(year, applications).map(of).fold(0.0, |sum, one| sum + one);
            let done = year.done.get(Counts::TotalN).map_or(0.0, |step| self.value(step));
            (rest + weighed.on_rest_of(year, Counts::TotalN) - done).max(0.0)
        });
        weighed.done_of(Counts::TotalN) + whole.chain(more).fold(0.0, |sum, one| sum + one)
    }

    /// The part that is done and the rest in a growing year; nothing of a field that is one ground.
    pub(super) fn parted(&self, year: &YearNeed, applications: &[Application]) -> Vec<GroundBudget> {
        let Some(rest) = &self.weighed.rest else { return Vec::new() };
        let (_, done_usable) = self.weighed.in_year(year);
        let whole = self.put(jobs::on_all(applications), jobs::usable);
        let all = self.put(applications.iter(), jobs::usable);
        let acres = ((self.weighed.acres - rest.acres) * 100.0).round() / 100.0;
        let done_on_rest = self.weighed.usable_on_rest(year);
        vec![
            GroundBudget { acres, done_usable, supplied_usable: whole },
            GroundBudget { acres: rest.acres, done_usable: done_on_rest, supplied_usable: all },
        ]
    }

    /// What jobs bring to an acre that they go on.
    fn put<'a>(
        &self,
        jobs: impl Iterator<Item = &'a Application>,
        of: fn(&FieldBalance, &Application) -> Npk<f64>,
    ) -> Npk<f64> {
        jobs.fold(Npk::default(), |sum: Npk<f64>, job| sum.with(of(self.weighed, job), |sum, put| sum + put))
    }
}

/// What the rest of a field has beyond the part that is done.
fn beyond(put: Npk<f64>, on_rest: Npk<f64>, done: Npk<f64>) -> Npk<f64> {
    put.with(on_rest, |put, on| put + on).with(done, |rest, done| (rest - done).max(0.0))
}

/// The jobs of a growing year on the rest of a field.
fn on_rest_in<'a>(year: &YearNeed, applications: &'a [Application]) -> impl Iterator<Item = &'a Application> {
    let (first, last) = year.days;
    applications.iter().filter(move |job| job.rest_acres.is_some() && first <= job.first && job.first <= last)
}
