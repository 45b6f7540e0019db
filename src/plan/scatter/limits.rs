//! The chance that a field is truly over one of its limits.

use crate::balance::{Counts, Limit, Npk, Over, StepId};
use crate::plan::answer::{Application, FieldBuy, Go, LimitSure};
use crate::plan::jobs;
use crate::plan::scatter::band::{DRAWS, band, share};
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
        let exact = (done - planned(&logged)).max(0.0) + bought(site, limit);
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

/// What fertilizer of the plan puts on of it: a limit binds every source. It goes on apart from
/// litter, so that what is limited at once does not count it.
fn bought(site: &Site<'_>, limit: &Limit) -> f64 {
    let (Some(buy), Some((first, last))) = (&site.desk.plan.buy, limit.over.days()) else { return 0.0 };
    let percent = |of: &Npk<f64>| match limit.counts {
        Counts::N | Counts::TotalN => of.n,
        Counts::P2o5 | Counts::UsableP2o5 => of.p2o5,
        Counts::K2o | Counts::UsableK2o => of.k2o,
        Counts::LitterN | Counts::Zinc | Counts::Copper | Counts::Tons => 0.0,
    };
    let share = |name: &str| buy.products.iter().find(|p| p.name == name).map_or(0.0, |p| percent(&p.analysis) / 100.0);
    let counts = |go: &&Go| match &limit.season {
        Some(season) => go.season.as_ref() == Some(season) && go.from.is_none_or(|from| from <= last),
        None => go.from.is_none_or(|from| (first..=last).contains(&from)),
    };
    let of_go = |go: &Go| go.amounts.iter().map(|amount| amount.pounds * share(&amount.product)).sum::<f64>();
    let of_mix = |own: &FieldBuy| own.acres * own.goes.iter().filter(counts).map(of_go).sum::<f64>();
    let pounds: f64 = buy.fields.iter().filter(|own| own.id == site.field.id).map(of_mix).sum();
    if site.field.acres > 0.0 && !limit.kind.is_at_once() { pounds / site.field.acres } else { 0.0 }
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
        let all: Vec<f64> = (0..DRAWS).map(put).collect();
        let over = share(|draw| all.get(draw).is_some_and(|put| *put > allowed + slack));
        (over, band(ground.planned(), all))
    };
    let worst = grounds.iter().map(of).max_by(|a, b| a.0.total_cmp(&b.0).then(a.1.high.total_cmp(&b.1.high)));
    let (over, put_on) = worst?;
    let (counts, unit) = (limit.counts.word(), limit.counts.unit());
    Some(LimitSure { kind: limit.kind, when: limit.when.clone(), counts, unit, allowed, put_on, over })
}
