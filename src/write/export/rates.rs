//! The jobs as shapes with a rate, for a rate controller.

use super::jobs::{Job, jobs};
use crate::audit::Audited;
use crate::balance::Surveyed;
use crate::check::Ready;
use crate::exchange::{DbfColumn, DbfKind, Layer, ShapeRecord, TableCell};
use crate::write::page::plain;

/// The columns: names of ten letters at most, as the format has them. RATE is
/// in tons per acre.
const COLUMNS: [DbfColumn; 8] = [
    DbfColumn { name: "NAME", kind: DbfKind::Text },
    DbfColumn { name: "FIELD", kind: DbfKind::Text },
    DbfColumn { name: "LOT", kind: DbfKind::Text },
    DbfColumn { name: "RATE", kind: DbfKind::Number(6) },
    DbfColumn { name: "ACRES", kind: DbfKind::Number(2) },
    DbfColumn { name: "TONS", kind: DbfKind::Number(4) },
    DbfColumn { name: "FIRST", kind: DbfKind::Day },
    DbfColumn { name: "LAST", kind: DbfKind::Day },
];

/// A record a job, in the order of farm.yaml. The day of the table is the plan's
/// first, since nothing here asks the clock.
#[must_use]
pub fn rates(audited: &Audited, ready: &Ready, ground: &[Surveyed]) -> Layer {
    let records = jobs(audited, ready, ground).into_iter().map(record).collect();
    Layer { columns: COLUMNS.to_vec(), records, day: audited.plan().from }
}

fn record(job: Job<'_>) -> ShapeRecord {
    let (plan, on) = (job.sight.plan, job.on);
    let row = vec![
        TableCell::Text(plain(&plan.name)),
        TableCell::Text(plain(&plan.id)),
        TableCell::Text(plain(&on.lot)),
        TableCell::Number(on.rate, 6),
        TableCell::Number(job.acres(), 2),
        TableCell::Number(on.pounds.tons(), 4),
        TableCell::Day(on.starts()),
        TableCell::Day(on.last),
    ];
    ShapeRecord { shape: job.ground, row }
}
