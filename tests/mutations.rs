//! Files that were damaged on the way: bytes lost, put in or swapped. Whatever
//! comes in, the program answers with findings or a plan, never with a panic.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Blow, Dice, damaged};
use std::path::Path;
use std::sync::{Arc, LazyLock};
use sward::farm::FarmText;
use sward::pipeline::{Day, Figures, Folder, Question};
use sward::plan::LeastCost;
use sward::tables::Tables;

static TABLES: LazyLock<Arc<Tables>> = LazyLock::new(|| Arc::new(sward::tables::load(&sward::tables::built_in()).0));

/// Damaged farms that are tried.
const CASES: u64 = 2_000;

/// Pieces that damage more than any single byte does.
const PIECES: [&[u8]; 24] = [
    b"-",
    b"0",
    b"9",
    b"1e999",
    b"-1e308",
    b".nan",
    b"\t",
    b"\n",
    b"\r",
    b"\0",
    b"{",
    b"}",
    b"[",
    b"]",
    b":",
    b": ",
    b"\"",
    b"'",
    b"&a ",
    b"*a",
    b"\xff",
    b"\xe2\x80\xae",
    b"null",
    b"%",
];

const BLOWS: [Blow; 7] =
    [Blow::Lose, Blow::LoseRun, Blow::PutIn, Blow::Change, Blow::Swap, Blow::Digit, Blow::LineTwice];

/// The whole way; true when a plan came out.
fn planned([main, fields, keepouts, soils, calibration]: [Vec<u8>; 5]) -> bool {
    let text = |name: &str, bytes| sward::text::decode(name, bytes).ok();
    let texts = FarmText {
        main: text("farm.yaml", main),
        fields: text("fields.geojson", fields),
        keepouts: text("keepouts.geojson", keepouts),
        soils: text("soils.geojson", soils),
        calibration: text("calibration.yaml", calibration),
        ..FarmText::default()
    };
    let today = jiff::civil::date(2027, 2, 1);
    let question = Question::of(Folder::memory(&texts), Day::Stated { today });
    let checked = Question { figures: Figures::Loaded(Arc::clone(&TABLES)), ..question }.check();
    let _ = sward::write::findings(&checked.findings, &|_| None, 80);
    let Ok(weighed) = checked.weigh() else {
        return false;
    };
    match weighed.plan(&LeastCost::default()) {
        Ok(planned) => {
            let _ = sward::write::plan(&planned.audited, 80);
            true
        }
        Err(faults) => panic!("the audit refuses the plan: {:?}", faults.sorted()),
    }
}

#[test]
fn damaged_files_are_answered_without_a_panic() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fields");
    let read = |name: &str| std::fs::read(folder.join(name)).unwrap();
    let whole = ["farm.yaml", "fields.geojson", "keepouts.geojson", "soils.geojson", "calibration.yaml"].map(read);
    let threads = std::thread::available_parallelism().map_or(1, |n| n.get() as u64);
    let plans: u64 = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..threads)
            .map(|thread| {
                let whole = &whole;
                scope.spawn(move || {
                    let cases = (thread..CASES).step_by(threads as usize);
                    cases.map(|case| u64::from(tried(case, whole))).sum::<u64>()
                })
            })
            .collect();
        workers.into_iter().map(|w| w.join().unwrap()).sum()
    });
    // Both ways must have been gone: refused, and planned all the same.
    assert!(plans > 100, "only {plans} plans");
    assert!(plans < CASES - 100, "{plans} plans");
}

/// One case; true when a plan came out of it.
fn tried(case: u64, whole: &[Vec<u8>; 5]) -> bool {
    let mut dice = Dice::of_case(case);
    let mut files = whole.clone();
    let which = dice.below(5);
    files[which] = damaged(&whole[which], &mut dice, &BLOWS, &PIECES);
    let broken = files.clone();
    std::panic::catch_unwind(|| planned(broken)).unwrap_or_else(|_| {
        let kept = std::env::temp_dir().join(format!("sward-case-{case}"));
        std::fs::write(&kept, &files[which]).unwrap();
        panic!("case {case}, file {which}; the damaged file is {}", kept.display());
    })
}
