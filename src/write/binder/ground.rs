//! People, period, maps, soils, setbacks and slopes.

use super::papers::{Papers, or_dash, say, shown, table, table_or};
use crate::check::{KeepOut, Ready};
use crate::findings::Origin;
use crate::plan::answer::{FieldPlan, Plan};
use crate::units::{Quantity, number_text, trimmed};
use crate::write::leaf::Part;
use crate::write::map::Picture;
use crate::write::words::{day, en};

/// Part, name, telephone, certificate.
pub(super) fn people(ready: &Ready) -> Vec<Vec<String>> {
    let text = |t: &Option<String>| t.clone().unwrap_or_default();
    ready
        .people
        .iter()
        .map(|p| vec![p.part.to_string(), p.name.clone(), text(&p.phone), text(&p.certificate)])
        .collect()
}

/// Whoever plays a part.
fn person(ready: &Ready, part: &str) -> Option<Part> {
    let rows: Vec<Vec<String>> = people(ready).into_iter().filter(|p| p[0] == part).collect();
    (!rows.is_empty()).then(|| table("", en::PERSON, rows))
}

pub(super) fn operator(ready: &Ready) -> Vec<Part> {
    let mut parts = vec![say(en::farm_at(&ready.name, &ready.place_name))];
    parts.extend(person(ready, "grower"));
    parts.push(Part::Wanting(en::NO_ADDRESS.to_string()));
    parts
}

pub(super) fn planner(ready: &Ready) -> Vec<Part> {
    let planner = person(ready, "planner").unwrap_or_else(|| Part::Wanting(en::NO_PLANNER.to_string()));
    vec![planner, Part::Sign(en::REVIEWED_BY)]
}

pub(super) fn period(plan: &Plan) -> Vec<Part> {
    vec![say(en::period(day(plan.from), day(plan.to)))]
}

/// A picture of the maps. Each stands in an address of its own, so that no
/// name or style of one drawing reaches another.
fn shown_whole(picture: &Picture, of: &str, wide: bool) -> Part {
    let mut address = String::from("data:image/svg+xml,");
    for byte in picture.svg.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b' ' | b'-' | b'.' | b'_' | b'/' | b':' | b'=' | b';' => {
                address.push(char::from(byte));
            }
            _ => address.push_str(&format!("%{byte:02X}")),
        }
    }
    Part::Picture { address, shows: en::map_north_up(of), wide }
}

/// The overview, and the acres of every field.
pub(super) fn map(plan: &Plan, pictures: &[Picture]) -> Vec<Part> {
    let row = |f: &FieldPlan| {
        let kept: f64 = f.kept_off.iter().map(|k| k.acres).fold(0.0, |sum, acres| sum + acres);
        let acres = [f.gross_acres, kept, f.sliver_acres, f.acres].map(|acres| number_text(acres, 2));
        std::iter::once(shown(&f.id, &f.name)).chain(acres).collect()
    };
    let total = |get: fn(&FieldPlan) -> f64| number_text(plan.fields.iter().map(get).sum(), 2);
    let all = vec![en::ALL.to_string(), total(|f| f.gross_acres), String::new(), String::new(), total(|f| f.acres)];
    let rows = plan.fields.iter().map(row).chain([all]);
    let overview = pictures.first().map(|p| shown_whole(p, &plan.farm, true));
    overview.into_iter().chain([table(en::ACRES_OF_FIELDS, en::ACRE_HEADS, rows)]).collect()
}

pub(super) fn soil_map(plan: &Plan) -> Vec<Part> {
    let rows = plan
        .fields
        .iter()
        .flat_map(|f| f.soils.iter().map(|s| vec![shown(&f.id, &f.name), s.name.clone(), number_text(s.acres, 2)]));
    let by = plan.soils_by.as_ref().map(|by| say(en::mapped_by(by)));
    by.into_iter().chain([table_or(en::NO_SOIL_MAP, "", en::SOIL_HEADS, rows)]).collect()
}

pub(super) fn soil_properties(plan: &Plan) -> Vec<Part> {
    let soils = plan.fields.iter().flat_map(|f| &f.soils).map(|s| {
        vec![
            s.name.clone(),
            or_dash(s.slope.map(|v| en::percent(trimmed(v)))),
            or_dash(s.drainage.as_ref().map(|d| d.to_lowercase())),
            or_dash(s.hydrologic_group.clone()),
            if s.wet { en::YES } else { en::NO }.to_string(),
        ]
    });
    let mut rows: Vec<Vec<String>> = soils.collect();
    rows.sort();
    rows.dedup();
    vec![table_or(en::NO_SOILS, "", en::PROPERTY_HEADS, rows), Part::Wanting(en::NO_WATER_TABLE.to_string())]
}

fn distance(keep: &KeepOut) -> Vec<String> {
    let by = match &keep.origin {
        Origin::Figure(cite) => cite.to_string(),
        Origin::Said { by, .. } => en::set_by(by),
        _ => en::IN_KEEPOUTS.to_string(),
    };
    let consent = keep.consent.as_ref().map(|who| en::but_for(trimmed(keep.full), who));
    vec![keep.name.clone(), keep.kind.replace('_', " "), trimmed(keep.feet), by + &consent.unwrap_or_default()]
}

fn lived_in(keep: &&KeepOut) -> bool {
    keep.kind == "dwelling" || keep.kind == "public_building"
}

/// The distances, then the map of every field.
pub(super) fn sensitive_areas(papers: &Papers<'_>, pictures: &[Picture]) -> Vec<Part> {
    let rows = papers.ready.keepouts.iter().filter(|k| !lived_in(k)).map(distance);
    let maps = pictures.iter().skip(1).zip(&papers.plan().fields);
    let maps = maps.map(|(picture, field)| shown_whole(picture, &shown(&field.id, &field.name), false));
    std::iter::once(table_or(en::NO_KEEPOUTS, en::KEPT_OFF, en::KEEP_HEADS, rows)).chain(maps).collect()
}

pub(super) fn dwellings(ready: &Ready) -> Vec<Part> {
    vec![table_or(en::NO_HOUSE, "", en::KEEP_HEADS, ready.keepouts.iter().filter(lived_in).map(distance))]
}

pub(super) fn slope(papers: &Papers<'_>) -> Vec<Part> {
    let rows = papers.fields().map(|(field, planned)| {
        let erosion = field.written.erosion.as_ref();
        let mapped: Vec<String> =
            planned.soils.iter().filter_map(|s| s.slope).map(|slope| en::percent(trimmed(slope))).collect();
        let slope = match erosion.and_then(|e| e.slope.as_ref()) {
            Some(stated) => en::percent(trimmed(stated.value.get())),
            None if !mapped.is_empty() => en::percent_by_map(mapped.join(", ")),
            None => en::MISSING.to_string(),
        };
        vec![
            shown(&planned.id, &planned.name),
            slope,
            or_dash(erosion.map(|e| en::feet(trimmed(e.length.value.get())))),
            or_dash(planned.soil_loss.map(|loss| number_text(loss, 2))),
        ]
    });
    vec![table("", en::SLOPE_HEADS, rows)]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_of_a_drawing_can_end_its_address() {
        let picture = Picture { name: String::new(), svg: "<svg a=\"1\">'é%</svg>".to_string() };
        let Part::Picture { address, .. } = shown_whole(&picture, "", false) else { panic!("a picture is a picture") };
        assert!(!address.contains(['<', '>', '"', '\'']), "{address}");
        assert!(address.contains("%C3%A9%25"), "{address}");
    }
}
