//! The jobs as shapes with a rate, for a rate controller.

use super::jobs::{Job, jobs};
use crate::audit::Audited;
use crate::balance::Surveyed;
use crate::check::Ready;
use crate::exchange::{Cell, Column, Kind, Layer, Record};
use crate::write::page::plain;

/// The columns: names of ten letters at most, as the format has them. RATE is
/// in tons per acre.
const COLUMNS: [Column; 8] = [
    Column { name: "NAME", kind: Kind::Text },
    Column { name: "FIELD", kind: Kind::Text },
    Column { name: "LOT", kind: Kind::Text },
    Column { name: "RATE", kind: Kind::Number(6) },
    Column { name: "ACRES", kind: Kind::Number(2) },
    Column { name: "TONS", kind: Kind::Number(4) },
    Column { name: "FIRST", kind: Kind::Day },
    Column { name: "LAST", kind: Kind::Day },
];

/// A record a job, in the order of farm.yaml. The day of the table is the plan's
/// first, since nothing here asks the clock.
#[must_use]
pub fn rates(audited: &Audited, ready: &Ready, ground: &[Surveyed]) -> Layer {
    let records = jobs(audited, ready, ground).into_iter().map(record).collect();
    Layer { columns: COLUMNS.to_vec(), records, day: audited.plan().from }
}

fn record(job: Job<'_>) -> Record {
    let (plan, on) = (job.sight.plan, job.on);
    let row = vec![
        Cell::Text(plain(&plan.name)),
        Cell::Text(plain(&plan.id)),
        Cell::Text(plain(&on.lot)),
        Cell::Number(on.rate, 6),
        Cell::Number(job.acres(), 2),
        Cell::Number(on.pounds.tons(), 4),
        Cell::Day(on.first),
        Cell::Day(on.last),
    ];
    Record { shape: job.ground, row }
}
