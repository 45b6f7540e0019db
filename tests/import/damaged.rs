//! Files that were damaged on the way. Whatever comes in, an import answers with fields or
//! findings, never with a panic, and soon.

use crate::made::*;
use std::time::{Duration, Instant};
use sward::exchange::{Options, Source, geojson, import};

/// Damaged files of each kind.
const CASES: u64 = 5_000;
/// What all of them may take.
const MOST: Duration = Duration::from_secs(if cfg!(debug_assertions) { 120 } else { 10 });

/// Numbers by xorshift: the same on every machine.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % n.max(1) as u64) as usize
    }
}

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

fn damaged(bytes: &[u8], dice: &mut Dice) -> Vec<u8> {
    let mut bytes = bytes.to_vec();
    for _ in 0..=dice.below(4) {
        if bytes.is_empty() {
            break;
        }
        let at = dice.below(bytes.len());
        match dice.below(6) {
            0 => {
                bytes.remove(at);
            }
            1 => {
                let end = (at + 1 + dice.below(40)).min(bytes.len());
                bytes.drain(at..end);
            }
            2 => {
                let piece = PIECES[dice.below(PIECES.len())];
                bytes.splice(at..at, piece.iter().copied());
            }
            3 => bytes[at] = dice.below(256) as u8,
            4 => {
                // Over what is there: a binary file keeps its length.
                let piece = PIECES[dice.below(PIECES.len())];
                let end = (at + piece.len()).min(bytes.len());
                bytes[at..end].copy_from_slice(&piece[..end - at]);
            }
            _ => {
                let digits: Vec<usize> = (0..bytes.len()).filter(|i| bytes[*i].is_ascii_digit()).collect();
                if !digits.is_empty() {
                    bytes[digits[dice.below(digits.len())]] = b'0' + dice.below(10) as u8;
                }
            }
        }
    }
    bytes
}

/// Imports every damaged file; how many came through without an error.
fn tried(name: &str, damage: impl Fn(&mut Dice) -> Source) -> u64 {
    let start = Instant::now();
    let mut through = 0;
    for case in 0..CASES {
        let mut dice = Dice(0x5DEE_CE66_D1CE_4E5B ^ (case + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15));
        let own = damage(&mut dice);
        let options = Options { mend: dice.below(2) == 0, close: dice.below(2) == 0, ..Options::default() };
        let got =
            std::panic::catch_unwind(|| import(&[own], &options)).unwrap_or_else(|_| panic!("{name}: case {case}"));
        let _ = sward::write::findings(&got.findings, &|_| None, 80);
        if got.findings.has_errors() {
            continue;
        }
        through += 1;
        assert!(!got.fields.is_empty(), "{name}: case {case} came to nothing and nobody was told");
        // What is written is sound: read again it has no error and the same acres.
        let again = import(&[source("again.json", geojson(&got.fields).as_bytes())], &Options::default());
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
