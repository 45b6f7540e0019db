//! The plan on a phone's map: the ground of every job, what to keep off and
//! why, gates and stacks.

use super::jobs::{Job, fields, jobs};
use crate::audit::Audited;
use crate::balance::Surveyed;
use crate::check::Ready;
use crate::exchange::{KmlFolder, KmlLook, Marked, Placemark, kml};
use crate::ground::{Zone, written};
use crate::plan::answer::KeptOff;
use crate::units::{number_text, rate_text};
use crate::write::map::field::{distance, thing};
use crate::write::page::{plain, tons};
use crate::write::sight::FieldSight;
use crate::write::words::{day, days, days_of, one_year};
use geo::{Coord, MultiPolygon};

/// How ground to spread on and ground to keep off is drawn.
const SPREAD: KmlLook = KmlLook { id: "spread", edge: "ff1f5a3c", ground: "8066c8e6" };
const KEEP_OFF: KmlLook = KmlLook { id: "keep-off", edge: "ff2020b0", ground: "80808080" };

/// The file.
///
/// # Errors
/// Says what could not be written.
pub fn phone(audited: &Audited, ready: &Ready, ground: &[Surveyed]) -> Result<Vec<u8>, String> {
    let plan = audited.plan();
    let sights = fields(audited, ready, ground);
    let folders = [
        ("Spread here", jobs(audited, ready, ground).iter().map(|own| job(own, one_year(plan))).collect()),
        ("No litter here", sights.iter().flat_map(keep_off).collect()),
        ("Gates and stacks", spots(ready)),
    ];
    let folders = folders.map(|(name, marks): (&str, Vec<Placemark>)| KmlFolder { name: name.to_string(), marks });
    let name = format!("{}: litter plan {} to {}", plain(&plan.farm), plan.from, plan.to);
    kml(&name, &[SPREAD, KEEP_OFF], &folders)
}

/// `B1 Creek Bottom`.
fn called(sight: &FieldSight<'_>) -> String {
    plain(&format!("{} {}", sight.plan.id, sight.plan.name))
}

fn job(job: &Job<'_>, year: Option<i16>) -> Placemark {
    let (on, acres) = (job.on, number_text(job.acres(), 2));
    let (rate, lot, tons) = (rate_text(on.rate), plain(&on.lot), tons(on.pounds));
    let loads = if on.loads == 1 { "1 load".to_string() } else { format!("{} loads", on.loads) };
    let mut lines = vec![
        format!("{rate} tons per acre of {lot}."),
        format!("{tons} tons on {acres} acres, {loads}."),
        format!("{}.", days(on.starts(), on.last)),
    ];
    lines.extend(on.litter_from.map(|from| format!("Not before {}: litter for it is still to come.", day(from))));
    lines.extend(on.after_cutting.map(|cut| format!("After the cutting of {cut}.")));
    // A number without commas between thousands, for programs.
    let number = |value: f64, decimals: usize| number_text(value, decimals).replace(',', "");
    Placemark {
        // A field that is spread on twice has two of them.
        name: format!("{}: {rate} tons/ac of {lot}, {}", called(&job.sight), days_of(year, on.starts(), on.last)),
        lines,
        look: Some(SPREAD.id),
        data: vec![
            ("FIELD", plain(&job.sight.plan.id)),
            ("LOT", lot),
            ("RATE", number(on.rate, 6)),
            ("ACRES", number(job.acres(), 2)),
            ("TONS", number(on.pounds.tons(), 4)),
            ("FIRST", on.starts().to_string()),
            ("LAST", on.last.to_string()),
            ("SEASON", plain(&on.season.replace('_', " "))),
            ("JOB", job.number.to_string()),
        ],
        at: Marked::Ground(job.ground.clone()),
    }
}

/// What to keep off in a field: all of it where it gets no litter.
fn keep_off(sight: &FieldSight<'_>) -> Vec<Placemark> {
    let cut = &sight.surveyed.cut;
    let why = sight.plan.why_none();
    let mark = |name: String, lines: Vec<String>, shape: &MultiPolygon<f64>| {
        let ground = written(&cut.plane, shape).shape;
        let there = !ground.0.is_empty();
        let at = Marked::Ground(ground);
        there.then_some(Placemark { name, lines, look: Some(KEEP_OFF.id), data: Vec::new(), at })
    };
    let part = sight.plan.part_beside_why().map(|part| format!("{}.", plain(&part)));
    if !why.is_empty() {
        let lines = why.iter().map(|why| format!("{}.", plain(why).trim_end_matches('.'))).chain(part).collect();
        return mark(format!("{}: no litter", called(sight)), lines, &cut.boundary).into_iter().collect();
    }
    let zones = cut.zones.iter().zip(&sight.plan.kept_off);
    let one = |(zone, kept): (&Zone, &KeptOff)| {
        let lines = vec![
            format!("No litter: {}.", plain(&distance(kept))),
            format!("{} acres of {}.", number_text(kept.acres, 2), called(sight)),
        ];
        mark(format!("{}: {}", plain(&sight.plan.id), plain(&thing(&kept.name, &kept.kind))), lines, &zone.shape)
    };
    let done = part.zip(sight.part()).and_then(|(line, ground)| {
        mark(format!("{}: done, keep off for now", plain(&sight.plan.id)), vec![line], &ground.done)
    });
    zones.filter_map(one).chain(done).collect()
}

/// Gates, then stacks.
fn spots(ready: &Ready) -> Vec<Placemark> {
    let spot = |name: String, line: String, at: Coord<f64>| Placemark {
        name,
        lines: vec![line],
        look: None,
        data: Vec::new(),
        at: Marked::Spot(at),
    };
    let gates = ready.fields.iter().filter_map(|field| {
        let title = plain(&format!("{} {}", field.id(), field.written.name));
        Some(spot(format!("Gate: {title}"), format!("The gate of {title}."), field.gate?))
    });
    let stacks = ready.lots.iter().filter_map(|lot| {
        let kind = plain(&lot.kind.replace('_', " "));
        let line = format!("{kind}, {} tons when the plan starts.", tons(lot.on_hand));
        Some(spot(format!("Stack: {}", plain(&lot.id)), line, lot.stack?))
    });
    gates.chain(stacks).collect()
}
