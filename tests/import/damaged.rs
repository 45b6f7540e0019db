//! Files that were damaged on the way. Whatever comes in, an import answers with fields or
//! findings, never with a panic, and soon.

use crate::kit::{self, Blow, Dice};
use crate::made::*;
use std::time::{Duration, Instant};
use sward::exchange::{Options, Source, fields_geojson, import};

/// Damaged files of each kind.
const CASES: u64 = 5_000;
/// What all of them may take.
const MOST: Duration = Duration::from_secs(if cfg!(debug_assertions) { 120 } else { 10 });

/// Pieces that damage more than any single byte does.
const PIECES: [&[u8]; 18] = [
    b"1e300",
    b"-",
    b"nan",
    b"inf",
    b",",
    b" ",
    b"<",
    b">",
    b"&x;",
    b"&#0;",
    b"</",
    b"]]>",
    b"<![CDATA[",
    b"\xff",
    b"\x7f\xff\xff\xff",
    b"\xff\xff\xff\xff",
    b"\0\0\0\0\0\0\xf8\x7f",
    b"<Placemark>",
];

const BLOWS: [Blow; 6] = [Blow::Lose, Blow::LoseRun, Blow::PutIn, Blow::Change, Blow::PutOver, Blow::Digit];

fn damaged(bytes: &[u8], dice: &mut Dice) -> Vec<u8> {
    kit::damaged(bytes, dice, &BLOWS, &PIECES)
}

/// Imports every damaged file; how many came through without an error.
fn tried(name: &str, damage: impl Fn(&mut Dice) -> Source) -> u64 {
    let start = Instant::now();
    let mut through = 0;
    for case in 0..CASES {
        let mut dice = Dice::of_case(case);
        let own = damage(&mut dice);
        let options = Options { fix: dice.below(2) == 0, close: dice.below(2) == 0, ..Options::default() };
        let got =
            std::panic::catch_unwind(|| import(&[own], &options)).unwrap_or_else(|_| panic!("{name}: case {case}"));
        let _ = sward::write::findings(&got.findings, &|_| None, 80);
        if got.findings.has_errors() {
            continue;
        }
        through += 1;
        assert!(!got.fields.is_empty(), "{name}: case {case} came to nothing and nobody was told");
        // What is written is sound: read again it has no error and the same acres.
        let again =
            import(&[source("again.json", fields_geojson(&got.fields, &got.things).as_bytes())], &Options::default());
        assert!(!again.findings.has_errors(), "{name}: case {case}: {:#?}", told(&again));
        for (one, two) in got.fields.iter().zip(&again.fields) {
            assert!((one.acres - two.acres).abs() < 0.01, "{name}: case {case}");
        }
    }
    assert!(start.elapsed() < MOST, "{name}: {:?}", start.elapsed());
    through
}

#[test]
fn damaged_kml_is_answered() {
    let marks: Vec<String> =
        (0..3).map(|i| placemark(&format!("F{i}"), &ring(f64::from(i) * 10.0, 0.0, 4.0, 3.0))).collect();
    let whole = kml(&marks.join("\n"));
    let through = tried("kml", |dice| Source { bytes: damaged(&whole.bytes, dice), ..whole.clone() });
    assert!((100..CASES - 100).contains(&through), "{through}");
}

#[test]
fn damaged_shapefiles_are_answered() {
    let whole = crate::shapefiles::farm();
    let through = tried("shapefile", |dice| {
        let mut own = whole.clone();
        match dice.below(6) {
            0 => own.beside[0].1 = damaged(&whole.beside[0].1, dice),
            1 => own.beside[1].1 = damaged(&whole.beside[1].1, dice),
            _ => own.bytes = damaged(&whole.bytes, dice),
        }
        own
    });
    assert!((100..CASES - 100).contains(&through), "{through}");
}

#[test]
fn damaged_geojson_is_answered() {
    let features: Vec<String> =
        (0..3).map(|i| feature(&format!(r#"{{"id": "F{i}"}}"#), &[ring(f64::from(i) * 10.0, 0.0, 4.0, 3.0)])).collect();
    let whole = collection(&features);
    let through = tried("geojson", |dice| Source { bytes: damaged(&whole.bytes, dice), ..whole.clone() });
    assert!((100..CASES - 100).contains(&through), "{through}");
}
