//! What grazing stock takes off the farm: so much with every head or every pound of
//! gain, over all the ground that the herd grazes, by the forage that each field carries.

use crate::balance::desk::Desk;
use crate::balance::{Op, StepId, Surveyed, goal};
use crate::check::Ready;
use crate::farm::Herd;
use crate::findings::{Finding, Findings, Origin};
use crate::tables::{Book, Scope, topic};
use crate::units::{Quantity, number_text};
use std::collections::BTreeMap;

/// The scope words of the figures.
const COW_CALF: &str = "cow_calf_pair";
const CATTLE: &str = "cattle";

/// A herd on a field.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct HerdPart {
    /// Which herd of the farm's list.
    pub herd: usize,
    /// The part of all that it grazes that grows on the field.
    pub part: f64,
}

/// The forage of the fields that herds graze.
pub(super) struct Herds {
    /// Tons in a year, by the field's id.
    carries: BTreeMap<String, f64>,
    /// Tons in a year on all that a herd grazes, of each herd of the farm's list.
    grazed: Vec<f64>,
}

impl Herds {
    pub(super) fn of(ready: &Ready, ground: &[Surveyed], book: &Book<'_>) -> Herds {
        let grazed = ground.iter().filter(|own| ready.herds.iter().any(|herd| herd.grazes(own.field.id())));
        let carries = grazed.map(|own| {
            // What the tables lack is told when the field itself is weighed.
            let mut unsaid = Findings::new();
            let mut desk = Desk::new(ready, &own.field, book, &mut unsaid);
            let goal = goal::of(&mut desk, &own.soils);
            let written = &own.field.written;
            let cut = written.hayed_of(written.usage.value).unwrap_or(0.0);
            (own.field.id().to_string(), desk.notes.value(goal) * own.cut.gross * (1.0 - cut))
        });
        let carries: BTreeMap<String, f64> = carries.collect();
        let all =
            |herd: &Herd| carries.iter().filter(|(id, _)| herd.grazes(id.as_str())).map(|(_, tons)| *tons).sum::<f64>();
        let grazed: Vec<f64> = ready.herds.iter().map(all).collect();
        Herds { carries, grazed }
    }

    /// The herds on a field, each with the part of its forage that grows there.
    pub(super) fn on(&self, ready: &Ready, field: &str) -> Vec<HerdPart> {
        let Some(own) = self.carries.get(field) else { return Vec::new() };
        let part = |(herd, (of, all)): (usize, (&Herd, &f64))| {
            of.grazes(field).then(|| HerdPart { herd, part: if *all > 0.0 { *own / *all } else { 0.0 } })
        };
        ready.herds.iter().zip(&self.grazed).enumerate().filter_map(part).collect()
    }

    /// More head than the forage of their fields can feed.
    pub(super) fn too_many(&self, ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
        for (herd, &there) in ready.herds.iter().zip(&self.grazed).filter(|(herd, _)| herd.is_cow_calf()) {
            let Some(eats) = book.get(topic::EATS_PER_HEAD, &Scope::new().animal(COW_CALF)) else { continue };
            let need = eats.value.get() * f64::from(herd.head.value);
            if need <= there || there <= 0.0 {
                continue;
            }
            let found = format!(
                "{} {} eat some {} tons of dry forage a year, and by their yield goals the fields they graze grow {}",
                herd.head.value,
                herd.kind,
                number_text(need, 0),
                number_text(there, 0)
            );
            findings.push(
                Finding::warning("herd-too-many", &herd.head.place, found)
                    .accepts(format!(
                        "about {} head on them: {}",
                        number_text((there / eats.value.get()).floor(), 0),
                        eats.cite
                    ))
                    .fix("correct `head`, `fields` or the yield goals; hay that is fed is not counted here"),
            );
        }
    }
}

/// What stock takes off a field; none where a herd does not tell, or none is written.
pub(super) fn leaves(desk: &mut Desk<'_>, parts: &[HerdPart], (word, key): (&str, &str), gross: f64) -> Option<StepId> {
    let ready = desk.ready;
    let herds: Vec<(&Herd, f64)> =
        parts.iter().filter_map(|own| Some((ready.herds.get(own.herd)?, own.part))).collect();
    if herds.is_empty() || !herds.iter().all(|(herd, _)| tells(desk, herd, key)) {
        return None;
    }
    let each: Vec<StepId> = herds.iter().map(|(herd, part)| with_herd(desk, herd, *part, (word, key))).collect();
    let all = match each[..] {
        [one] => one,
        _ => desk.notes.reckon(format!("{word} that leaves with all stock"), "lb", Op::Sum, &each),
    };
    let acres = desk.notes.given("ground inside the boundary", gross, "ac", Origin::Measured);
    Some(desk.notes.reckon(format!("{word} that leaves with the stock"), "lb/ac", Op::Over, &[all, acres]))
}

/// Whether the farm and the tables say what leaves with a herd.
fn tells(desk: &Desk<'_>, herd: &Herd, key: &str) -> bool {
    let by_gain = || desk.book.get(topic::LEAVES_PER_GAIN, &Scope::new().animal(CATTLE).nutrient(key)).is_some();
    let by_head = || desk.book.get(topic::LEAVES_PER_HEAD, &Scope::new().animal(COW_CALF).nutrient(key)).is_some();
    match &herd.gain {
        _ if herd.head.value == 0 => true,
        Some(_) => herd.is_cattle() && by_gain(),
        None => herd.is_cow_calf() && by_head(),
    }
}

/// What leaves with a herd in a year, of what grew on one field.
fn with_herd(desk: &mut Desk<'_>, herd: &Herd, part: f64, (word, key): (&str, &str)) -> StepId {
    let kind = &herd.kind;
    let mut of = vec![desk.notes.written(kind.clone(), f64::from(herd.head.value), "head", &herd.head)];
    if let Some(gain) = &herd.gain {
        of.push(desk.notes.written(format!("gain of a head of {kind} in a year"), gain.value.get(), "lb", gain));
        let figure = desk.book.get(topic::LEAVES_PER_GAIN, &Scope::new().animal(CATTLE).nutrient(key));
        of.extend(figure.map(|figure| desk.notes.figure(format!("{word} in a pound of gain"), &figure)));
    } else {
        let figure = desk.book.get(topic::LEAVES_PER_HEAD, &Scope::new().animal(COW_CALF).nutrient(key));
        of.extend(figure.map(|figure| desk.notes.figure(format!("{word} that leaves with a pair in a year"), &figure)));
    }
    let by = Origin::Definition("acres times yield goal, of all the fields they graze".into());
    of.push(desk.notes.given("part of their forage that grows here", part, "", by));
    desk.notes.reckon(format!("{word} that leaves with {kind} in a year"), "lb", Op::Times, &of)
}

/// What is assumed where a herd does not tell what leaves, or none grazes, in words.
pub(super) fn assumed(desk: &Desk<'_>, parts: &[HerdPart], key: &str) -> String {
    let mut herds = parts.iter().filter_map(|own| desk.ready.herds.get(own.herd));
    match herds.find(|herd| !tells(desk, herd, key)) {
        None => "all of the forage is eaten, as no herd in farm.yaml grazes here".to_string(),
        Some(herd) if herd.gain.is_none() && herd.is_cattle() && !herd.is_cow_calf() => {
            format!(
                "all of the forage is eaten, as farm.yaml does not state the `gain` of {}",
                trimmed_kind(&herd.kind)
            )
        }
        Some(herd) => {
            format!("all of the forage is eaten, as no figure says what leaves with {}", trimmed_kind(&herd.kind))
        }
    }
}

/// The start of a kind, which may be of any length.
fn trimmed_kind(kind: &str) -> String {
    kind.chars().take(40).collect()
}
