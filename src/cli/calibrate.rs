//! `sward calibrate`.

use crate::cli::args::CalibrateArgs;
use crate::cli::exit::Exit;
use crate::cli::{load, out};
use crate::farm::CALIBRATION;
use crate::findings::{Finding, Place};
use crate::plan::Plan;
use crate::write::{self, Wanted};

pub(super) fn run(args: &CalibrateArgs) -> Result<Exit, Exit> {
    let folder = &args.folder;
    let planned = load::planned_in(folder, &args.basis, args.json)?;
    let ready = &planned.ready;
    let Some(calibration) = &ready.calibration else {
        let example = "weighed: 8.02 tons, width: 30 ft, distance: 3700 ft";
        let finding =
            Finding::error("calibration-missing", &Place::file(CALIBRATION), "the folder has no calibration.yaml")
                .accepts("a file with at least one of the lists `sheets:`, `loads:` and `pans:`")
                .fix(format!(
                    "weigh a load and pace its run, then write `loads: [{{date: 2027-02-01, setting: {{gate: 6 in, speed: 8 mph}}, {example}}}]`"
                ));
        return Err(load::refuse(&finding.into(), folder, args.json));
    };
    let mut wanted = rates(planned.audited.plan());
    wanted.extend(args.rates.iter().map(|rate| Wanted { rate: *rate, goes_to: Vec::new() }));
    wanted.sort_by(|a, b| a.rate.total_cmp(&b.rate));
    wanted.dedup_by(|b, a| a.rate == b.rate && b.goes_to.is_empty());
    out::result(&if args.json {
        write::calibrated_json(&ready.name, calibration, &wanted)
    } else {
        write::calibrated(&ready.name, &ready.spreader.name, calibration, &wanted, out::width())
    });
    Ok(Exit::Done)
}

/// The rates of a plan, each with the fields that get it.
fn rates(plan: &Plan) -> Vec<Wanted> {
    let mut all: Vec<Wanted> = Vec::new();
    for field in &plan.fields {
        for a in &field.applications {
            match all.iter_mut().find(|w| w.rate == a.rate) {
                Some(there) if there.goes_to.contains(&field.id) => {}
                Some(there) => there.goes_to.push(field.id.clone()),
                None => all.push(Wanted { rate: a.rate, goes_to: vec![field.id.clone()] }),
            }
        }
    }
    all
}
