//! Writes made-up farms and the solver's answers for `peer.py` to compare.
//! Use: `main table|random|growth FOLDER` `main folders FOLDER FARM DAY SEEDS`
//! or `main pools FOLDER FARM DAY`; normally through `benches/choice/run`, `benches/choice/folders` and
//! `benches/choice/pools`.

#![allow(missing_docs, unreachable_pub)]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

mod farms;
mod folders;
mod pools;

use farms::{Dice, Shape, farm};
use std::path::Path;
use std::time::Instant;
use sward::solve::{Answer, Pool, Target, check, solve};

const SIZES: [usize; 8] = [12, 20, 40, 100, 200, 500, 1_000, 2_000];
const KINDS: [(&str, &[i64], &[i64], bool); 4] = [
    ("2 lots", &[30, 15], &[], false),
    ("2 lots x 2 seasons", &[30, 15], &[60, 30], false),
    ("2 lots x 2 seasons, worth by season", &[30, 15], &[60, 30], true),
    ("3 lots x 3 seasons, worth by season", &[20, 10, 15], &[40, 30, 20], true),
];

/// The answer and the seconds it took: the least of five runs where they are
/// short, since other work on the machine counts too.
fn timed(pool: &Pool, gap: u64) -> (Answer, f64) {
    let mut least = f64::INFINITY;
    for run in 0..5 {
        let start = Instant::now();
        let answer = solve(pool, &Target { gap, floor: 0, effort: 100_000_000 }).unwrap();
        least = least.min(start.elapsed().as_secs_f64());
        if run == 4 || least > 0.1 {
            assert_eq!(check(pool, &answer.taken), Ok(answer.worth));
            return (answer, least);
        }
    }
    unreachable!("the last run returns")
}

/// Solves and writes one case.
fn case(folder: &Path, name: &str, pool: &Pool, gap: u64) {
    let (answer, took) = timed(pool, gap);
    case_of(folder, name, pool, gap, (&answer, took));
}

/// Writes one case with our own answer.
pub fn case_of(folder: &Path, name: &str, pool: &Pool, gap: u64, (answer, took): (&Answer, f64)) {
    let groups: Vec<Vec<serde_json::Value>> =
        pool.iter().map(|g| g.options().map(|o| serde_json::json!([o.worth, o.uses])).collect()).collect();
    let text = serde_json::json!({
        "name": name, "fields": pool.groups(), "gap": gap as f64 / 1e9, "stock": pool.stock(), "groups": groups,
        "own": {"seconds": took, "worth": answer.worth as i64, "bound": answer.bound as i64, "reached": answer.reached},
    });
    let count = std::fs::read_dir(folder).unwrap().count();
    std::fs::write(folder.join(format!("{count:05}.json")), text.to_string()).unwrap();
}

/// The sizes, kinds, seeds and gaps of the table.
fn table(folder: &Path, seeds: u64, kinds: usize) {
    for gap in [1_000_000, 100_000] {
        for fields in SIZES {
            for (name, lots, windows, seasons_differ) in &KINDS[..kinds.min(KINDS.len())] {
                for seed in 1..=seeds {
                    let shape = Shape { fields, lots, windows, seasons_differ: *seasons_differ, limits: true };
                    case(folder, name, &farm(shape, seed), gap);
                }
            }
        }
    }
}

/// Mixed small farms, tight and loose.
fn random(folder: &Path, count: u64) {
    const LOTS: [&[i64]; 6] = [&[30], &[70], &[30, 15], &[60, 50], &[20, 10, 15], &[10, 10, 8, 12]];
    const WINDOWS: [&[i64]; 6] = [&[], &[80], &[60, 30], &[90, 60], &[40, 30, 20], &[50, 50, 50]];
    let mut dice = Dice::new(77);
    for seed in 0..count {
        let lots = LOTS[dice.pick(0, 5) as usize];
        let windows = WINDOWS[dice.pick(0, 5) as usize];
        let fields = dice.pick(2, 16) as usize;
        let shape = Shape { fields, lots, windows, seasons_differ: dice.pick(0, 1) == 0, limits: dice.pick(0, 3) > 0 };
        case(folder, &format!("{} lots x {} seasons", lots.len(), windows.len()), &farm(shape, 1_000 + seed), 100_000);
    }
}

/// How the time grows with the fields; nothing is written.
fn growth() {
    for (name, lots, windows, seasons_differ) in &KINDS[..3] {
        for fields in [40, 1_000, 3_000, 10_000, 30_000, 100_000] {
            for gap in [1_000_000, 100_000] {
                let pool = farm(Shape { fields, lots, windows, seasons_differ: *seasons_differ, limits: false }, 1);
                let (answer, took) = timed(&pool, gap);
                let width = (answer.bound - answer.worth) as f64 / answer.worth as f64;
                println!(
                    "{name}: {fields} fields, gap {:.0e}: {:.1} ms, {width:.1e}, reached {}",
                    gap as f64 / 1e9,
                    took * 1e3,
                    answer.reached
                );
            }
        }
    }
}

fn main() {
    let words: Vec<String> = std::env::args().collect();
    let number = |at: usize, or: u64| words.get(at).and_then(|w| w.parse().ok()).unwrap_or(or);
    let folder = Path::new(words.get(2).map_or(".", |w| w.as_str()));
    match words.get(1).map(String::as_str) {
        Some("table") => table(folder, number(3, 3), number(4, 3) as usize),
        Some("random") => random(folder, number(3, 500)),
        Some("growth") => growth(),
        Some("folders") => {
            let day = words.get(4).and_then(|day| day.parse().ok()).expect("a day");
            folders::write(folder, Path::new(&words[3]), day, number(5, 40));
        }
        Some("pools") => {
            let day = words.get(4).and_then(|day| day.parse().ok()).expect("a day");
            pools::write(folder, Path::new(&words[3]), day);
        }
        // `cargo bench` and `cargo test --benches` come without words.
        _ => println!("nothing to do: see benches/choice/run"),
    }
}
