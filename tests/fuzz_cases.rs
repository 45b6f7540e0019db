//! The kept cases of the fuzzer, and cases made from them, without a fuzzer.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "fuzz/harness.rs"]
#[allow(unreachable_pub)]
mod harness;
mod kit;

use kit::{Blow, Dice, damaged};
use std::path::Path;

/// Cases made from each kept one.
const MADE: u64 = 300;

fn cases(kind: &str) -> Vec<(String, Vec<u8>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/regressions").join(kind);
    let mut found: Vec<_> = std::fs::read_dir(&folder)
        .unwrap_or_else(|e| panic!("{}: {e}", folder.display()))
        .map(|entry| {
            let path = entry.unwrap().path();
            (path.file_name().unwrap().to_string_lossy().into_owned(), std::fs::read(&path).unwrap())
        })
        .collect();
    found.sort();
    assert!(!found.is_empty(), "no case of {kind} is kept");
    found
}

/// A case with a few bytes changed; the same on every run.
fn made(case: &[u8], seed: u64) -> Vec<u8> {
    let any: Vec<[u8; 1]> = (0..=u8::MAX).map(|byte| [byte]).collect();
    let any: Vec<&[u8]> = any.iter().map(|byte| &byte[..]).collect();
    damaged(case, &mut Dice::of_case(seed), &[Blow::Change, Blow::Lose, Blow::PutIn, Blow::Again], &any)
}

#[test]
fn kept_cases_and_those_made_from_them_keep_the_laws() {
    for (kind, harness) in harness::KINDS {
        for (name, case) in cases(kind) {
            let tried = |bytes: &[u8], which: String| {
                std::panic::catch_unwind(|| harness(bytes)).unwrap_or_else(|_| panic!("{kind}/{name}, {which}"));
            };
            tried(&case, "as kept".to_string());
            for seed in 0..MADE {
                tried(&made(&case, seed), format!("change {seed}"));
            }
        }
    }
}
