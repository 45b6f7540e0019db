//! A farm planned again and again, each time with one weakly known figure moved.

use crate::cores;
use crate::farm::{Carried, CropSeason};
use crate::findings::{Cite, Findings, Known, Place};
use crate::pipeline::opened::Opened;
use crate::pipeline::question::Question;
use crate::pipeline::stages::Planned;
use crate::plan::{Doubt, Doubts, Moved, Outcome, weakly_known};
use crate::tables::{MonthDay, Move, Season, Tables, Topic, moved_number, moved_season, shift_quantity, topic};
use std::sync::Arc;

/// What hangs on each figure that the plan of a farm rests on and that is not read as
/// it is used.
///
/// # Errors
/// Everything that was found, when the farm has no plan as it is.
pub fn doubts(question: &Question<'_>) -> Result<Doubts, Findings> {
    let opened = question.open();
    let planned = opened.plan()?;
    let (plan, tables) = (planned.audited.plan(), &planned.tables);
    let weak = weakly_known(&planned.ready, &planned.balance);
    let moves: Vec<(&Cite, Move)> = weak.iter().flat_map(|cite| Move::BOTH.map(|way| (cite, way))).collect();
    let again = cores::each(&moves, |(cite, way)| {
        let (how, moved) = plan_with(&opened, tables, cite, *way)?;
        let then = match moved {
            Ok(moved) => Outcome::beside(plan, moved.audited.plan()),
            Err(findings) => Outcome::NoPlan(first_error(&findings)),
        };
        Some(Moved { how, then })
    });
    let mut again = again.into_iter();
    let doubt = |cite: &Cite| {
        let moved = again.by_ref().take(Move::BOTH.len()).flatten().collect();
        Doubt { cite: cite.clone(), moved }
    };
    let figures = weak.iter().map(doubt).collect();
    Ok(Doubts::of(plan, figures))
}

/// The plan with one figure moved, and how it was; none where it cannot be.
fn plan_with(opened: &Opened, tables: &Tables, cite: &Cite, way: Move) -> Option<(String, Result<Planned, Findings>)> {
    let mut opened = opened.clone();
    let how = if cite.known == Known::Said {
        shift_said(&mut opened, cite, way)?
    } else {
        let (moved, how) = tables.moved(&cite.figure, way)?;
        opened.tables = Arc::new(moved);
        how
    };
    Some((how, opened.plan()))
}

/// Moves a figure of the farm's own, of `figures:` or of `crops:`; none where it is not there,
/// or its quantity cannot hold so much.
fn shift_said(opened: &mut Opened, cite: &Cite, way: Move) -> Option<String> {
    let there = |place: &Place| place.to_string() == cite.title;
    if let Some(own) = opened.written.figures.iter_mut().find(|own| there(&own.topic.place)) {
        let (value, how) = moved_number(Topic::named(&own.topic.value)?, own.value.value, &own.unit, way)?;
        own.value.value = value;
        return Some(how);
    }
    let mut carried = opened.written.crops.iter_mut().flat_map(|crop| crop.removal.iter_mut().flatten());
    if let Some(own) = carried.find(|own| there(own.place())) {
        return match own {
            Carried::Ton(at) => shift_quantity(&mut at.value, way),
            Carried::Bushel(at) => shift_quantity(&mut at.value, way),
        };
    }
    // The year of a crop begins with its season, and is no figure of its own.
    if cite.figure.rsplit('/').next() != Some(topic::SEASON_OPEN.key()) {
        return None;
    }
    opened.written.crops.iter_mut().find_map(|crop| {
        let at = crop.seasons.iter().position(|season| there(&season.place))?;
        let mut seasons: Vec<Season> = crop.seasons.iter().map(|season| of_days(season.value)).collect();
        let (moved, how) = moved_season(seasons.get(at)?, way)?;
        *seasons.get_mut(at)? = moved;
        // Two that share days are none.
        let apart = |(at, one): (usize, &Season)| seasons[..at].iter().all(|other| !one.meets(*other));
        if !seasons.iter().enumerate().all(apart) {
            return None;
        }
        crop.seasons.get_mut(at)?.value = [moved.opens, moved.closes].map(|day| (day.month, day.day));
        Some(how)
    })
}

fn of_days([opens, closes]: CropSeason) -> Season {
    let day = |(month, day): (i8, i8)| MonthDay { month, day };
    Season { opens: day(opens), closes: day(closes) }
}

/// The first thing that stands in the way.
fn first_error(findings: &Findings) -> String {
    findings.sorted().first().map(|finding| finding.found.clone()).unwrap_or_default()
}
