//! The jobs as shapes with a rate, for a rate controller.

use super::jobs::{Job, jobs};
use crate::audit::Audited;
use crate::balance::Surveyed;
use crate::check::Ready;
use crate::exchange::{DbfColumn, DbfKind, Layer, ShapeRecord, TableCell};
use crate::write::page::plain;

/// The columns. Jobs of one field may lie on the same ground: JOB numbers them, and NAME has the days
/// of each. Names of ten letters at most, as the format has them. RATE is
/// in tons per acre.
const COLUMNS: [DbfColumn; 10] = [
    DbfColumn { name: "NAME", kind: DbfKind::Text },
    DbfColumn { name: "FIELD", kind: DbfKind::Text },
    DbfColumn { name: "LOT", kind: DbfKind::Text },
    DbfColumn { name: "RATE", kind: DbfKind::Number(6) },
    DbfColumn { name: "ACRES", kind: DbfKind::Number(2) },
    DbfColumn { name: "TONS", kind: DbfKind::Number(4) },
    DbfColumn { name: "FIRST", kind: DbfKind::Day },
    DbfColumn { name: "LAST", kind: DbfKind::Day },
    DbfColumn { name: "SEASON", kind: DbfKind::Text },
    DbfColumn { name: "JOB", kind: DbfKind::Number(0) },
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
        TableCell::Text(plain(&job.title())),
        TableCell::Text(plain(&plan.id)),
        TableCell::Text(plain(&on.lot)),
        TableCell::Number(on.rate, 6),
        TableCell::Number(job.acres(), 2),
        TableCell::Number(on.pounds.tons(), 4),
        TableCell::Day(on.starts()),
        TableCell::Day(on.last),
        TableCell::Text(plain(&on.season.replace('_', " "))),
        TableCell::Number(job.number as f64, 0),
    ];
    ShapeRecord { shape: job.ground, row }
}
