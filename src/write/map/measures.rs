//! The measures of every field, as JSON. Names stay; new ones may come.

use crate::audit::Audited;
use crate::balance::{Driving, Surveyed};
use crate::check::Ready;
use crate::plan::answer::SCHEMA;
use crate::write::sight::{FieldSight, sights};
use serde_json::{Value, json};

/// Ground, zones, miles and runs of every field. Acres are as measured; `acres`
/// alone is what the plan spreads on, taken down to the hundredth.
#[must_use]
pub fn map_json(audited: &Audited, ready: &Ready, ground: &[Surveyed], driving: &[Vec<Driving>]) -> String {
    let plan = audited.plan();
    let fields: Vec<Value> = sights(audited, ready, ground, driving).iter().map(field).collect();
    let whole = json!({
        "schema": SCHEMA,
        "farm": plan.farm,
        "place": plan.place,
        "from": plan.from,
        "to": plan.to,
        "fields": fields,
    });
    serde_json::to_string_pretty(&whole).map(|text| text + "\n").unwrap_or_default()
}

fn field(sight: &FieldSight<'_>) -> Value {
    let FieldSight { plan, surveyed, ready, .. } = *sight;
    let cut = &surveyed.cut;
    let hauls: Vec<Value> =
        ready.lots.iter().map(|lot| json!({ "lot": lot.id, "haul": surveyed.hauls.get(&lot.id) })).collect();
    json!({
        "id": plan.id,
        "name": plan.name,
        "gross_acres": cut.gross,
        "spreadable_acres": cut.acres,
        "acres": plan.acres,
        "zones": plan.kept_off,
        "slivers": {
            "count": plan.slivers,
            "acres": plan.sliver_acres,
            "why": "parts into which the swath does not fit are left blank",
        },
        "eased": plan.eased,
        "hauls": hauls,
        "no_litter": plan.why_none(),
        "driving": sight.driving().map(|d| drive(d, sight)),
        "then_driving": sight.drivings.iter().skip(1).map(|d| drive(d, sight)).collect::<Vec<_>>(),
    })
}

fn drive(driving: &Driving, sight: &FieldSight<'_>) -> Value {
    let pieces: Vec<Value> = driving
        .pieces
        .iter()
        .map(|p| json!({ "heading_deg": p.heading_deg, "runs": p.runs.len(), "run_ft": p.run_ft, "turns": p.turns }))
        .collect();
    let jobs = driving.loads.iter().filter_map(|loads| Some((sight.plan.applications.get(loads.job)?, loads)));
    let applications: Vec<Value> = jobs
        .map(|(a, loads)| {
            let ends: Vec<Value> = loads
                .ends
                .iter()
                .map(|e| {
                    json!({
                        "load": e.load,
                        "lon": e.place.x,
                        "lat": e.place.y,
                        "run": e.run,
                        "ft_along_run": e.feet,
                        "runs_out": e.empty,
                    })
                })
                .collect();
            json!({
                "lot": a.lot,
                "season": a.season,
                "rate_tons_per_acre": a.rate,
                "loads": a.loads,
                "rate_over_runs": loads.rate,
                "tons_on_runs": loads.on_runs.tons(),
                "tons_left": loads.left.unwrap_or_default().tons(),
                "ft_per_load": loads.feet_per_load,
                "load_ends": ends,
            })
        })
        .collect();
    let throws = |(to, feet): (&str, f64)| json!({ "to": to, "ft": feet });
    let narrow: Vec<Value> = driving
        .narrow()
        .map(|(at, run)| json!({ "run": at, "throw_ft": run.throw_ft(), "throws": run.throws().map(throws) }))
        .collect();
    let left: Vec<Value> =
        driving.left.iter().map(|l| json!({ "side": l.way, "ft": l.feet, "acres": l.acres })).collect();
    json!({
        "swath_ft": driving.swath_ft,
        "narrow_runs": narrow,
        "strips_left": left,
        "thrown_acres": driving.thrown_acres,
        "reached_acres": driving.reached_acres,
        "missed_acres": driving.missed_acres,
        "heading_by": driving.heading_by,
        "pieces": pieces,
        "runs": driving.runs,
        "run_ft": driving.run_ft,
        "turns": driving.turns,
        "applications": applications,
    })
}
