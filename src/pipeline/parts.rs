//! A plan that does fields in parts, where that gains: the best plan in whole fields says which
//! field lacks litter for all of it, that field is cut in two between two runs, and the farm is
//! planned again with its parts as fields of their own. So every limit holds on each part, and
//! whatever is printed of a field is printed of a part.

use crate::balance::{self, HeadedLine, Surveyed};
use crate::check::{Field, Ready};
use crate::farm::{Before, Boundary, Heading, NamedPoint, Written, WrittenField};
use crate::findings::{At, Findings};
use crate::ground;
use crate::pipeline::opened::Opened;
use crate::pipeline::stages::{Planned, Weighed};
use crate::plan::answer::{InParts, PartOf, PartedField};
use crate::plan::{self, LeastCost, Parted, Parting};
use crate::record::{Cells, What};
use crate::text::{drawn_text, same_name};
use std::collections::BTreeSet;
use std::sync::Arc;

/// What a part must gain: moving and setting up for less pays nobody. Our own choice.
const LEAST_DOLLARS: f64 = 50.0;
/// The same where the farm gives no prices, in pounds of needed nutrients.
const LEAST_POUNDS: f64 = 100.0;

impl Opened {
    /// Makes the plan and audits it.
    ///
    /// # Errors
    /// Everything that was found, when there is no plan.
    pub fn plan(&self) -> Result<Planned, Findings> {
        self.planned().map(|(_, planned)| planned)
    }

    /// Makes the plan and audits it; before it the farm as the plan has it: fields that are done
    /// in parts are cut there.
    ///
    /// # Errors
    /// Everything that was found, when there is no plan.
    pub fn planned(&self) -> Result<(Opened, Planned), Findings> {
        let whole = self.check().weigh()?.plan(&LeastCost::default())?;
        Ok(in_parts(self, &whole).unwrap_or_else(|| (self.clone(), whole)))
    }
}

/// The plan with fields done in parts, with the farm as it then stands; none where that gains too
/// little.
fn in_parts(opened: &Opened, whole: &Planned) -> Option<(Opened, Planned)> {
    let plan = whole.audited.plan();
    let proof = &plan.choice.proof;
    let gain = if plan.choice.in_dollars { LEAST_DOLLARS } else { LEAST_POUNDS };
    if proof.in_parts? - proof.worth < gain || whole.nowhere().is_some() {
        return None;
    }
    let lines = |field: usize| lines_of(whole, field);
    let problem = plan::asked(&whole.ready, &whole.tables, &whole.balance);
    let parted = plan::parted(&problem, &Parting { gain, lines: &lines });
    let all = (parted.len() > 1).then(|| parted.clone());
    let each = parted.iter().map(|one| vec![*one]);
    all.into_iter().chain(each).find_map(|cuts| {
        let least = gain * cuts.len() as f64;
        cut(opened, whole, &cuts).filter(|(_, then)| {
            let gains = then.audited.plan().in_parts.as_ref().map_or(0.0, |parts| parts.gains);
            gains >= least - 1.0
        })
    })
}

/// Acres that differ by a smaller share are those of the part.
const PART_SHARE: f64 = 0.02;

/// An entry on a part of a field, by the id that the plan gave it: it stands on the field's own id, with
/// the ground of the part where all of it was gone over. The id says how many runs lie before the
/// line, so it means the same ground on every day. Gives what was filled in.
pub(super) fn on_the_whole(opened: &Opened, what: What, cells: &mut Cells) -> Option<String> {
    let id = cells.get("field")?.to_string();
    if opened.written.field_ids().any(|own| same_name(own, &id)) {
        return None;
    }
    let (whole, side, runs) = opened.written.field_ids().find_map(|own| part_of(own, &id))?;
    let whole = whole.to_string();
    let checked = opened.check();
    let (ready, ground) = (checked.ready?, checked.ground);
    let surveyed = ground.iter().find(|surveyed| surveyed.field.id() == whole)?;
    let line = balance::line_after(&ready, surveyed, runs)?;
    let at = ground::halves::sides(line.heading).iter().position(|own| *own == side)?;
    let shape = ground::halved(&surveyed.cut.spreadable, line.heading, line.line.across_ft).ok()?[at].clone();
    let acres = if at == 0 { line.line.left_acres } else { surveyed.cut.acres - line.line.left_acres };
    cells.insert("field", whole.clone());
    if !what.is_put_on() || cells.get("ground").is_some() {
        return Some(format!("field: {id} is a part of {whole}, and the entry stands on {whole}"));
    }
    let said = cells.acres();
    if said.is_some_and(|said| (said - acres).abs() > PART_SHARE * acres) {
        return Some(format!(
            "field: {whole}; of its part {id}, {acres:.2} ac, the acres that you gave, nobody says which"
        ));
    }
    cells.insert("ground", drawn_text(&surveyed.cut.plane.shape_to_lonlat(&shape).into())?);
    Some(format!("ground: all of {id}, {acres:.2} ac of {whole}; where less was done, give `--acres` or `--ground`"))
}

/// Field, side and runs of an id such as `B2-west20`.
fn part_of<'a>(own: &'a str, id: &'a str) -> Option<(&'a str, &'a str, usize)> {
    let rest = id.strip_prefix(own)?.strip_prefix('-')?;
    let at = rest.find(|letter: char| letter.is_ascii_digit())?;
    let (side, runs) = rest.split_at(at);
    Some((own, side, runs.parse().ok()?))
}

/// The lines along which a field may be parted; none of one that is begun: it is ended as it was.
fn lines_of(whole: &Planned, field: usize) -> Vec<HeadedLine> {
    let Some(surveyed) = whole.ground.get(field) else { return Vec::new() };
    let spread = whole.ready.happened.on_field(surveyed.field.id(), What::Spread);
    let begun = spread.into_iter().any(|entry| entry.date >= whole.ready.from);
    let rest = whole.balance.fields.get(field).is_none_or(|balance| balance.rest.is_some());
    if begun || rest { Vec::new() } else { balance::run_lines(&whole.ready, surveyed) }
}

/// The farm planned with some fields cut.
fn cut(opened: &Opened, whole: &Planned, cuts: &[Parted]) -> Option<(Opened, Planned)> {
    let mut then = opened.clone();
    let parted: Vec<PartedField> = cuts
        .iter()
        .map(|Parted { field, line }| part(&mut then.written, whole.ground.get(*field)?, line, opened))
        .collect::<Option<_>>()?;
    let ready = then.ready()?;
    let ground = ground(&ready, whole, &parted)?;
    let (balance, _) = balance::weigh(&ready, &whole.tables, &ground);
    if !balance::banked_too_long(&balance, &ready.place_name).is_empty() {
        return None;
    }
    // What was found is said of the fields as farm.yaml has them.
    let (tables, findings, made) = (Arc::clone(&whole.tables), whole.findings.clone(), whole.made.clone());
    let weighed = Weighed { tables, ready, ground, balance, findings, made };
    let in_whole = &whole.audited.plan().choice.proof;
    let planned = weighed.plan_in_parts(&LeastCost::default(), |plan, balance| {
        let acres = |id: &str| balance.field(id).map_or(0.0, |field| field.acres);
        let fields = parted.into_iter().map(|mut field| {
            field.parts.iter_mut().for_each(|part| part.acres = acres(&part.id));
            field
        });
        let proof = &mut plan.choice.proof;
        // Its own ways end in no thin load on a part; what binds the whole farm binds all parts.
        proof.in_parts = in_whole.in_parts.map(|most| most.max(proof.bound));
        Some(InParts { fields: fields.collect(), gains: proof.worth - in_whole.worth })
    });
    Some((then, planned.ok()?))
}

/// The ground of a farm with parted fields: only the parts are measured. Litter goes to a part by
/// the way to its field.
fn ground(ready: &Ready, whole: &Planned, parted: &[PartedField]) -> Option<Vec<Surveyed>> {
    let known = |id: &str| whole.ground.iter().find(|surveyed| surveyed.field.id() == id);
    let new = ready.fields.iter().filter(|field| known(field.id()).is_none());
    let (parts, found) = balance::survey_some(ready, new);
    if found.has_errors() {
        return None;
    }
    let one = |field: &Arc<Field>| {
        let id = field.id();
        if let Some(old) = known(id) {
            return Some(Surveyed { field: Arc::clone(field), ..old.clone() });
        }
        let of = parted.iter().find(|whole| whole.parts.iter().any(|part| part.id == id))?;
        let own = parts.iter().find(|surveyed| surveyed.field.id() == id)?;
        Some(Surveyed { hauls: known(&of.id)?.hauls.clone(), ..own.clone() })
    };
    ready.fields.iter().map(one).collect()
}

/// Cuts one field of what is written in two.
fn part(written: &mut Written, surveyed: &Surveyed, line: &HeadedLine, opened: &Opened) -> Option<PartedField> {
    let id = surveyed.field.id().to_string();
    let at = written.fields.iter().position(|field| field.id.value == id)?;
    let shapes = ground::halved(&surveyed.cut.boundary, line.heading, line.line.across_ft).ok()?;
    let sides = ground::halves::sides(line.heading);
    let ids = names(written, &id, sides, line.line.runs)?;
    let field = written.fields.remove(at);
    for (index, (new, side)) in ids.iter().zip(sides).enumerate() {
        written.fields.insert(at + index, one_part(&field, new, side, line.heading, opened));
    }
    let boundary = written.boundaries.iter().position(|boundary| boundary.id.value == id)?;
    let drawn = written.boundaries.remove(boundary);
    for (new, shape) in ids.iter().zip(&shapes) {
        let named = At { value: new.clone(), place: drawn.id.place.clone() };
        written.boundaries.push(Boundary { id: named, shape: surveyed.cut.plane.shape_to_lonlat(shape) });
    }
    on_both(written, &id, &ids);
    let parts = ids.iter().zip(sides).map(|(id, side)| PartOf { id: id.clone(), side: side.to_string(), acres: 0.0 });
    let ground::RunLine { runs, feet, .. } = line.line;
    let ends = ground::halves::ends(&surveyed.cut.boundary, line.heading, line.line.across_ft);
    let to_degrees = |end| {
        let at = surveyed.cut.plane.to_lonlat(end);
        [at.x, at.y]
    };
    let line_ends = ends.map_or(Vec::new(), |ends| ends.map(to_degrees).to_vec());
    let (heading_deg, parts) = (line.heading, parts.collect());
    Some(PartedField { id, name: field.name, heading_deg, runs, feet, line: line_ends, parts })
}

/// Ids for the two parts of a field: the side, and how many runs lie before the line. They are the same
/// for the same ground on every day, and no field's own.
fn names(written: &Written, id: &str, sides: [&str; 2], runs: usize) -> Option<[String; 2]> {
    let before = written.fields.iter().flat_map(|field| &field.before).filter_map(|before| before.id.as_ref());
    let ids = written.fields.iter().map(|field| &field.id).chain(before);
    let taken: BTreeSet<&str> = ids.map(|id| id.value.as_str()).collect();
    let new = sides.map(|side| format!("{id}-{side}{runs}"));
    new.iter().all(|new| !taken.contains(new.as_str())).then_some(new)
}

/// A part of a field: the same, of its own id; the log knows it by the whole's.
fn one_part(field: &WrittenField, id: &str, side: &str, heading: f64, opened: &Opened) -> WrittenField {
    let place = &field.place;
    let named = |value: &str| At { value: value.to_string(), place: field.id.place.clone() };
    let name = format!("{}, {side} part", field.name);
    let mut part = WrittenField { id: named(id), name: name.clone(), ..field.clone() };
    part.stand.name = name;
    part.heading = Some(At { value: Heading::PartLine(heading), place: place.clone() });
    part.before.push(Before {
        until: At { value: opened.day(), place: place.clone() },
        id: Some(named(&field.id.value)),
        name: None,
        forage: None,
        usage: None,
        yield_goal: None,
        bushels: None,
        place: place.clone(),
    });
    part.before.sort_by_key(|before| before.until.value);
    part
}

/// What names the field names both of its parts.
fn on_both(written: &mut Written, id: &str, ids: &[String; 2]) {
    let gates: Vec<NamedPoint> =
        written.points.iter().filter(|point| !point.stack && point.of.value == id).cloned().collect();
    written.points.retain(|point| point.stack || point.of.value != id);
    for gate in gates {
        let of = |new: &String| At { value: new.clone(), place: gate.of.place.clone() };
        written.points.extend(ids.iter().map(|new| NamedPoint { of: of(new), ..gate.clone() }));
    }
    for herd in &mut written.herds {
        let Some(at) = herd.fields.iter().position(|field| field.value == id) else { continue };
        let old = herd.fields.remove(at);
        herd.fields.extend(ids.iter().map(|new| At { value: new.clone(), place: old.place.clone() }));
    }
}
