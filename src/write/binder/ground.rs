//! People, period, maps, soils, setbacks and slopes.

use super::block::Block;
use super::papers::{Papers, or_dash, shown};
use crate::check::{KeepOut, Ready};
use crate::findings::Origin;
use crate::plan::answer::{FieldPlan, Plan};
use crate::units::{Quantity, number_text, trimmed};
use crate::write::map::Picture;
use crate::write::sheet::words::{day, xml};

/// Part, name, telephone, certificate.
pub(super) fn people(ready: &Ready) -> Vec<Vec<String>> {
    let text = |t: &Option<String>| t.as_deref().map(xml).unwrap_or_default();
    ready.people.iter().map(|p| vec![p.part.to_string(), xml(&p.name), text(&p.phone), text(&p.certificate)]).collect()
}

fn person(ready: &Ready, part: &str) -> Option<Block> {
    let rows: Vec<Vec<String>> = people(ready).into_iter().filter(|p| p[0] == part).collect();
    (!rows.is_empty()).then(|| Block::table("", &["", "Name", "Telephone", "Certificate"], rows))
}

pub(super) fn operator(ready: &Ready) -> Vec<Block> {
    let farm = format!("Farm: {}, {}.", xml(&ready.name), ready.place_name);
    let mut blocks = vec![Block::Say(farm)];
    blocks.extend(person(ready, "grower"));
    blocks.push(Block::Wanting("address, which farm.yaml does not keep".to_string()));
    blocks
}

pub(super) fn planner(ready: &Ready) -> Vec<Block> {
    let mut blocks: Vec<Block> = person(ready, "planner").into_iter().collect();
    if blocks.is_empty() {
        blocks.push(Block::Wanting("name and certificate of the planner".to_string()));
    }
    blocks.push(Block::Sign(vec!["Planner", "Date of review"]));
    blocks
}

pub(super) fn period(plan: &Plan) -> Vec<Block> {
    vec![Block::Say(format!("{} to {}, first and last day included.", day(plan.from), day(plan.to)))]
}

/// The overview, and the acres of every field.
pub(super) fn map(plan: &Plan, pictures: &[Picture]) -> Vec<Block> {
    let mut blocks: Vec<Block> = pictures
        .first()
        .map(|p| Block::picture(&p.svg, format!("Map of {}, north up", xml(&plan.farm)), true))
        .into_iter()
        .collect();
    let row = |f: &FieldPlan| {
        let kept: f64 = f.kept_off.iter().map(|k| k.acres).fold(0.0, |sum, acres| sum + acres);
        vec![
            shown(&f.id, &f.name),
            number_text(f.gross_acres, 2),
            number_text(kept, 2),
            number_text(f.sliver_acres, 2),
            number_text(f.acres, 2),
        ]
    };
    let mut rows: Vec<Vec<String>> = plan.fields.iter().map(row).collect();
    let total = |get: &dyn Fn(&FieldPlan) -> f64| number_text(plan.fields.iter().map(get).sum(), 2);
    rows.push(vec!["All".to_string(), total(&|f| f.gross_acres), String::new(), String::new(), total(&|f| f.acres)]);
    let heads = ["Field", "Acres in all>", "Setbacks>", "Too narrow>", "Spreadable>"];
    blocks.push(Block::table("Acres of every field", &heads, rows));
    blocks
}

pub(super) fn soil_map(plan: &Plan) -> Vec<Block> {
    let rows = plan
        .fields
        .iter()
        .flat_map(|f| f.soils.iter().map(|s| vec![shown(&f.id, &f.name), xml(&s.name), number_text(s.acres, 2)]));
    let by = plan.soils_by.as_deref().map(|by| format!("As mapped in soils.geojson, after: {}.", xml(by)));
    let heads = ["Field", "Soil", "Acres>"];
    let wanting = "no soils.geojson in the farm folder; put the soil survey's map here";
    by.map(Block::Say).into_iter().chain([Block::table_or(wanting, "", &heads, rows.collect())]).collect()
}

pub(super) fn soil_properties(plan: &Plan) -> Vec<Block> {
    let mut rows: Vec<Vec<String>> = plan
        .fields
        .iter()
        .flat_map(|f| &f.soils)
        .map(|s| {
            vec![
                xml(&s.name),
                or_dash(s.slope.map(|v| format!("{} %", trimmed(v)))),
                or_dash(s.drainage.as_ref().map(|d| xml(&d.to_lowercase()))),
                or_dash(s.hydrologic_group.as_deref().map(xml)),
                if s.wet { "yes" } else { "no" }.to_string(),
            ]
        })
        .collect();
    rows.sort();
    rows.dedup();
    let heads = ["Soil", "Slope", "Drainage", "Hydrologic group", "Water stands"];
    vec![
        Block::table_or("no soils.geojson in the farm folder", "", &heads, rows),
        Block::Wanting("depth to the water table and flooding, which the farm folder does not keep".to_string()),
    ]
}

fn distance(keep: &KeepOut) -> Vec<String> {
    let by = match &keep.origin {
        Origin::Figure(cite) => cite.to_string(),
        Origin::Said { by, .. } => format!("set by {by}"),
        _ => "keepouts.geojson".to_string(),
    };
    let consent = keep.consent.as_ref().map(|who| format!("; {} ft but for the consent of {who}", trimmed(keep.full)));
    let what = keep.kind.replace('_', " ");
    vec![xml(&keep.name), what, trimmed(keep.feet), xml(&format!("{by}{}", consent.unwrap_or_default()))]
}

fn lived_in(keep: &&KeepOut) -> bool {
    keep.kind == "dwelling" || keep.kind == "public_building"
}

const KEEPS: [&str; 4] = ["Name", "What it is", "Feet>", "Who says so"];

/// The distances, then the map of every field.
pub(super) fn sensitive_areas(papers: &Papers<'_>, pictures: &[Picture]) -> Vec<Block> {
    let rows = papers.ready.keepouts.iter().filter(|k| !lived_in(k)).map(distance).collect();
    let mut blocks = vec![Block::table_or("nothing drawn in keepouts.geojson", "What litter keeps off", &KEEPS, rows)];
    for (picture, field) in pictures.iter().skip(1).zip(&papers.plan().fields) {
        let shows = format!("Map of {}, north up", shown(&field.id, &field.name));
        blocks.push(Block::picture(&picture.svg, shows, false));
    }
    blocks
}

pub(super) fn dwellings(ready: &Ready) -> Vec<Block> {
    let rows = ready.keepouts.iter().filter(lived_in).map(distance).collect();
    vec![Block::table_or("no house drawn in keepouts.geojson", "", &KEEPS, rows)]
}

pub(super) fn slope(papers: &Papers<'_>) -> Vec<Block> {
    let rows = papers.ready.fields.iter().zip(&papers.plan().fields).map(|(field, planned)| {
        let erosion = field.written.erosion.as_ref();
        let mapped: Vec<String> =
            planned.soils.iter().filter_map(|s| s.slope).map(|slope| format!("{} %", trimmed(slope))).collect();
        let slope = match erosion.and_then(|e| e.slope.as_ref()) {
            Some(stated) => format!("{} %", trimmed(stated.value.get())),
            None if !mapped.is_empty() => format!("{} (soil map)", mapped.join(", ")),
            None => "MISSING".to_string(),
        };
        vec![
            shown(&planned.id, &planned.name),
            slope,
            or_dash(erosion.map(|e| format!("{} ft", trimmed(e.length.value.get())))),
            or_dash(planned.soil_loss.map(|loss| number_text(loss, 2))),
        ]
    });
    vec![Block::table("", &["Field", "Slope", "Length", "Soil loss, tons/ac a year>"], rows.collect())]
}
