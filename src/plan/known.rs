//! How the figures behind a field's numbers are known, from its notebook.

use crate::balance::{Basis, Counts, LimitKind, Npk, StepId, StepsKnown};
use crate::findings::Known;
use crate::plan::answer::{Application, FieldKnown, HeldBy};
use crate::plan::jobs;
use crate::plan::sight::Sight;
use jiff::civil::Date;

/// First and last day.
type Span = (Date, Date);

/// How the worst known figure behind each number of a field is known.
pub(super) fn known(sight: &Sight<'_>, applications: &[Application], held: &HeldBy) -> FieldKnown {
    let weighed = sight.weighed;
    let steps = weighed.notes.known();
    let of = |step: StepId| steps.of(step);
    let or_read = |step: Option<StepId>| step.map_or(Known::Read, of);
    let basis = of(weighed.phosphorus.why);
    let allowed = weighed.limits.iter().filter(|row| row.kind == LimitKind::Phosphorus).map(|row| row.allowed);
    let held_by = |(by, days)| {
        limit(sight, applications, (by, days), &steps).max(match by {
            LimitKind::Phosphorus if weighed.phosphorus.basis != Basis::Nitrogen => basis,
            _ => Known::Read,
        })
    };
    FieldKnown {
        soil: or_read(weighed.phosphorus.soil),
        class: or_read(weighed.phosphorus.class),
        basis,
        p2o5_allowed: allowed.chain(weighed.phosphorus.allowed).map(of).fold(basis, Known::max),
        with_n: with_n(sight, applications, &steps).max(basis),
        need: Npk { n: weighed.needs.iter().map(|need| of(need.n)).max().unwrap_or_default(), ..weighed.need.map(of) },
        done: done(sight, &steps),
        supplied: supplied(sight, applications, &steps),
        total_n: total_n(sight, applications, &steps),
        removed: weighed.removed.map(of),
        held: held_by((held.by, held.days)),
        also: held.also.map_or(Known::Read, |also| held_by((also.by, also.days))),
        soil_loss: or_read(weighed.soil_loss),
        lime: weighed.lime.map_or(Known::Read, |lime| of(lime.needed)),
    }
}

/// What litter brings when it goes on up to the first limit: the limits, and what is in the litter.
fn with_n(sight: &Sight<'_>, applications: &[Application], steps: &StepsKnown) -> Known {
    let weighed = sight.weighed;
    let planned: Vec<_> = applications.iter().filter_map(|a| weighed.lot(&a.lot)).collect();
    let lots = if planned.is_empty() { weighed.lots.iter().take(1).collect() } else { planned };
    let first = lots.first().map(|lot| lot.limits.as_slice()).unwrap_or_default();
    let n = lots.iter().flat_map(|lot| lot.n_in.iter().copied().chain([lot.supply.per_ton.n]));
    let held = lots.iter().map(|lot| lot.supply.per_ton.p2o5).chain(n);
    let limits = first.iter().filter(|limit| limit.kind != LimitKind::Phosphorus).take(1).map(|limit| limit.step);
    let needs = weighed.needs.iter().map(|need| need.n);
    held.chain(limits).chain(needs).map(|step| steps.of(step)).max().unwrap_or_default()
}

/// What the log put on.
fn done(sight: &Sight<'_>, steps: &StepsKnown) -> Npk<Known> {
    let of = |counted| sight.weighed.done_steps(counted).map(|step| steps.of(step)).max().unwrap_or_default();
    Npk { n: of(Counts::N), p2o5: of(Counts::P2o5), k2o: of(Counts::K2o) }
}

/// What the plan puts on.
fn supplied(sight: &Sight<'_>, applications: &[Application], steps: &StepsKnown) -> Npk<Known> {
    let each = applications.iter().map(|application| jobs::known(sight.weighed, application, steps));
    each.fold(Npk::default(), |worst, one| worst.with(one, Known::max))
}

/// All nitrogen of log and plan: as well known as the contents are, since no share goes into it.
fn total_n(sight: &Sight<'_>, applications: &[Application], steps: &StepsKnown) -> Known {
    let planned = applications.iter().filter_map(|a| Some(sight.weighed.lot(&a.lot)?.supply.total_n));
    let all = sight.weighed.done_steps(Counts::TotalN).chain(planned);
    all.map(|step| steps.of(step)).max().unwrap_or_default()
}

/// A limit that holds, as it is on the field's main lot.
fn limit(
    sight: &Sight<'_>,
    applications: &[Application],
    (by, days): (LimitKind, Option<Span>),
    steps: &StepsKnown,
) -> Known {
    let weighed = sight.weighed;
    let main = applications.first().and_then(|a| weighed.lot(&a.lot)).or(weighed.lots.first());
    let own = main.into_iter().flat_map(|lot| &lot.limits).find(|l| l.kind == by && l.days == days);
    own.map_or(Known::Read, |own| steps.of(own.step))
}
