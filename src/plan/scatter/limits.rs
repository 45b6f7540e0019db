//! The chance that a field is truly over one of its limits.

use crate::balance::{Counts, Limit, Over, StepId};
use crate::plan::answer::{Application, LimitSure};
use crate::plan::jobs;
use crate::plan::scatter::band::share;
use crate::plan::scatter::content::PerTon;
use crate::plan::scatter::on_field::{Piece, Site, planned};

/// Litter on one ground of a field, as a limit counts it.
struct Ground {
    pieces: Vec<Piece>,
    exact: f64,
}

impl Ground {
    fn planned(&self) -> f64 {
        self.exact + planned(&self.pieces)
    }
}

/// Every limit that planned litter draws on, and what of them scatters by nobody's figure.
pub(super) fn of(site: &Site<'_>) -> (Vec<LimitSure>, Vec<Counts>) {
    let (mut all, mut unknown) = (Vec::new(), Vec::new());
    for limit in &site.weighed.limits {
        let jobs = drawing(site, limit);
        if jobs.is_empty() || !site.weighed.notes.knows(limit.allowed) {
            continue;
        }
        match grounds(site, limit, &jobs) {
            None => unknown.push(limit.counts),
            Some(grounds) => all.extend(most_at_risk(site, limit, &grounds)),
        }
    }
    (all, unknown)
}

/// The jobs that draw on a limit; none where it does not bind.
fn drawing<'a>(site: &Site<'a>, limit: &Limit) -> Vec<&'a Application> {
    let jobs = &site.field.applications;
    if !limit.is_met_by(jobs.iter().map(|job| job.first)) {
        return Vec::new();
    }
    let draws = |job: &&Application| {
        let (Some(window), Some(own)) = (jobs::window(site.weighed, job), site.weighed.lot(&job.lot)) else {
            return false;
        };
        let kind = site.desk.ready.lot(&job.lot).map_or("", |lot| lot.kind.as_str());
        limit.windows.contains(&window) && site.weighed.use_of(limit, own, kind, window) > 0.0
    };
    jobs.iter().filter(draws).collect()
}

/// What lies on each ground of the field, or of each job where it is set for one; none where
/// nobody knows how that scatters.
fn grounds(site: &Site<'_>, limit: &Limit, jobs: &[&Application]) -> Option<Vec<Ground>> {
    let value = |step: Option<StepId>| step.map_or(0.0, |step| site.weighed.value(step));
    let pieces = |jobs: &[&Application]| jobs.iter().map(|job| piece(site, limit, job)).collect::<Option<Vec<Piece>>>();
    let ground = |jobs: &[&Application], done: f64| {
        let mut all = pieces(jobs)?;
        let logged = limit.over.days().map(|days| site.logged(limit.counts, days, done)).unwrap_or_default();
        let exact = (done - planned(&logged)).max(0.0);
        all.extend(logged);
        Some(Ground { pieces: all, exact })
    };
    if limit.over == Over::Once {
        return jobs.iter().map(|job| ground(&[job], value(limit.done))).collect();
    }
    let whole: Vec<&Application> = jobs.iter().copied().filter(|job| job.rest_acres.is_none()).collect();
    let mut all = vec![ground(&whole, value(limit.done))?];
    if let Some(rest) = limit.on_rest {
        all.push(ground(jobs, value(rest.done))?);
    }
    Some(all)
}

fn piece(site: &Site<'_>, limit: &Limit, job: &Application) -> Option<Piece> {
    let lot = site.desk.ready.lot(&job.lot)?;
    let window = jobs::window(site.weighed, job);
    let per_ton = match limit.counts {
        Counts::N => PerTon::of_n((site.desk.ready, site.desk.book), site.weighed, lot, window),
        counts => PerTon::of(counts, site.weighed.per_ton(site.weighed.lot(&job.lot)?, counts, window)?)?,
    };
    site.job(job, per_ton, job.rate)
}

/// The ground that is over most often; of several alike the one that gets most.
fn most_at_risk(site: &Site<'_>, limit: &Limit, grounds: &[Ground]) -> Option<LimitSure> {
    let allowed = site.weighed.value(limit.allowed);
    // A limit that is used to the last pound is not passed by a rounding.
    let slack = 1e-9 * (1.0 + allowed.abs());
    let of = |ground: &Ground| {
        let put = |draw| ground.exact + ground.pieces.iter().map(|piece| site.put(piece, draw, None)).sum::<f64>();
        (share(|draw| put(draw) > allowed + slack), ground.planned())
    };
    let worst = grounds.iter().map(of).max_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let (over, planned) = worst?;
    let (counts, unit) = (limit.counts.word(), limit.counts.unit());
    Some(LimitSure { kind: limit.kind, when: limit.when.clone(), counts, unit, allowed, planned, over })
}
