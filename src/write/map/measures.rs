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
pub fn map_json(audited: &Audited, ready: &Ready, ground: &[Surveyed], driving: &[Option<Driving>]) -> String {
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
    let FieldSight { plan, surveyed, ready, driving, .. } = *sight;
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
        "driving": driving.map(|d| drive(d, sight)),
    })
}

fn drive(driving: &Driving, sight: &FieldSight<'_>) -> Value {
    let pieces: Vec<Value> = driving
        .pieces
        .iter()
        .map(|p| json!({ "heading_deg": p.heading_deg, "runs": p.lines.len(), "run_ft": p.run_ft, "turns": p.turns }))
        .collect();
    let applications: Vec<Value> = sight
        .plan
        .applications
        .iter()
        .zip(&driving.loads)
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
                "ft_per_load": loads.feet_per_load,
                "load_ends": ends,
            })
        })
        .collect();
    json!({
        "swath_ft": driving.swath_ft,
        "heading_by": driving.heading_by,
        "pieces": pieces,
        "runs": driving.runs,
        "run_ft": driving.run_ft,
        "turns": driving.turns,
        "applications": applications,
    })
}
