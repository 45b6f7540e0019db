//! A farm planned again and again, each time with one weakly known figure moved.

use crate::cores;
use crate::findings::{Cite, Findings, Known};
use crate::pipeline::opened::Opened;
use crate::pipeline::question::Question;
use crate::pipeline::stages::Planned;
use crate::plan::{Doubt, Doubts, Moved, Outcome, weakly_known};
use crate::tables::{Move, Tables, Topic, moved_number};
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

/// Moves a figure of the farm's own; none where it is not there, or its quantity cannot
/// hold so much.
fn shift_said(opened: &mut Opened, cite: &Cite, way: Move) -> Option<String> {
    let own = opened.written.figures.iter_mut().find(|own| own.topic.place.to_string() == cite.title)?;
    let (value, how) = moved_number(Topic::named(&own.topic.value)?, own.value.value, &own.unit, way)?;
    own.value.value = value;
    Some(how)
}

/// The first thing that stands in the way.
fn first_error(findings: &Findings) -> String {
    findings.sorted().first().map(|finding| finding.found.clone()).unwrap_or_default()
}
