//! Laws of the replay, on random logs.

use super::{header, line};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use sward::record::{Happened, What, read_bytes, read_text};
use sward::units::Pounds;

const LOTS: [&str; 3] = ["shed", "pad", "stack, old"];
const KINDS: [What; 4] = [What::Spread, What::Haul, What::Bring, What::CleanOut];

/// One move of litter: kind, lot, pounds, day.
type Move = (usize, usize, i64, i8);

fn moves() -> impl Strategy<Value = Vec<Move>> {
    prop::collection::vec((0..KINDS.len(), 0..LOTS.len(), 1_i64..2_000_000, 1_i8..=28), 1..24)
}

fn text_of((kind, lot, pounds, day): Move, id: &str) -> String {
    let what = KINDS[kind];
    let tons = format!("{:.4}", pounds as f64 / 2_000.0);
    let date = format!("2027-03-{day:02}");
    let field = if what == What::Spread { "B1" } else { "" };
    let note = format!("größe {id}, \"said\"");
    line(&[
        ("id", id),
        ("date", &date),
        ("what", what.word()),
        ("lot", LOTS[lot]),
        ("field", field),
        ("tons", &tons),
        ("note", &note),
    ])
}

fn lines_of(moves: &[Move], prefix: &str) -> Vec<String> {
    moves.iter().enumerate().map(|(i, m)| text_of(*m, &format!("{prefix}{i}"))).collect()
}

/// Pounds of every lot in every way, calculated without the program.
fn sums(moves: &[Move]) -> Vec<Pounds> {
    let of = |kind, lot| Pounds(moves.iter().filter(|m| (m.0, m.1) == (kind, lot)).map(|m| m.2).sum());
    (0..KINDS.len()).flat_map(|kind| (0..LOTS.len()).map(move |lot| (kind, lot))).map(|(k, l)| of(k, l)).collect()
}

fn read_sums(happened: &Happened) -> Vec<Pounds> {
    KINDS.iter().flat_map(|k| LOTS.iter().map(|l| happened.moved(l, *k))).collect()
}

fn sound(text: &str) -> Happened {
    let (happened, findings) = read_text(text);
    assert!(findings.is_empty(), "{findings:?}\n{text}");
    happened
}

fn cases(cases: u32) -> ProptestConfig {
    ProptestConfig { cases, rng_seed: RngSeed::Fixed(27), failure_persistence: None, ..ProptestConfig::default() }
}

proptest! {
    #![proptest_config(cases(256))]

    /// The order of the lines means nothing.
    #[test]
    fn any_order_comes_to_the_same((moves, order) in moves().prop_flat_map(|m| {
        let order: Vec<usize> = (0..m.len()).collect();
        (Just(m), Just(order).prop_shuffle())
    })) {
        let lines = lines_of(&moves, "e");
        let shuffled: String = order.iter().map(|i| lines[*i].as_str()).collect();
        prop_assert_eq!(read_sums(&sound(&(header() + &lines.concat()))), sums(&moves));
        prop_assert_eq!(read_sums(&sound(&(header() + &shuffled))), sums(&moves));
    }

    /// A file cut at any byte holds its whole lines, and says so when it ends
    /// in half of one.
    #[test]
    fn a_cut_file_holds_its_whole_lines(moves in moves(), at in 0.0..1.0_f64) {
        let lines = lines_of(&moves, "e");
        let all = header() + &lines.concat();
        let cut = (at * (all.len() + 1) as f64) as usize;
        let (happened, findings) = read_bytes(&all.as_bytes()[..cut]);
        let mut whole = 0;
        let mut length = header().len();
        while whole < lines.len() && length + lines[whole].len() <= cut {
            length += lines[whole].len();
            whole += 1;
        }
        let on_an_end = cut == 0 || (cut >= header().len() && cut == length);
        prop_assert_eq!(read_sums(&happened), sums(&moves[..whole]));
        prop_assert_eq!(findings.has_errors(), !on_an_end, "cut at {} of {}", cut, all.len());
    }

    /// Two people's files, one behind the other in either order, with lines
    /// that both of them have.
    #[test]
    fn merging_adds_and_counts_copies_once(mine in moves(), theirs in moves(), both in moves()) {
        let (a, b, c) = (lines_of(&mine, "a"), lines_of(&theirs, "b"), lines_of(&both, "c"));
        let one = header() + &a.concat() + &c.concat();
        let two = header() + &c.concat() + &b.concat();
        let together: Vec<Move> = mine.iter().chain(&theirs).chain(&both).copied().collect();
        for merged in [one.clone() + &two, two.clone() + &one, one.clone() + &two + &one] {
            prop_assert_eq!(read_sums(&sound(&merged)), sums(&together));
        }
        // A byte order mark in front of the second file, and Windows' line ends.
        let foreign = one.clone() + "\u{feff}" + &two.replace('\n', "\r\n");
        prop_assert_eq!(read_sums(&sound(&foreign)), sums(&together));
    }

    /// Of a chain of corrections the last one counts, in whatever order the
    /// lines stand.
    #[test]
    fn the_end_of_a_chain_counts((chain, order, dead) in (1_usize..9).prop_flat_map(|n| {
        let order: Vec<usize> = (0..n).collect();
        (prop::collection::vec(1_i64..1_000_000, n), Just(order).prop_shuffle(), any::<bool>())
    })) {
        let mut lines: Vec<String> = chain.iter().enumerate().map(|(i, pounds)| {
            let old = if i == 0 { String::new() } else { format!("e{}", i - 1) };
            line(&[("id", &format!("e{i}")), ("date", "2027-03-01"), ("what", "haul"), ("lot", "shed"),
                ("tons", &format!("{pounds} lb")), ("corrects", &old)])
        }).collect();
        lines = order.iter().map(|i| lines[*i].clone()).collect();
        if dead {
            let last = format!("e{}", chain.len() - 1);
            lines.insert(0, line(&[("id", "v"), ("date", "2027-03-01"), ("what", "void"), ("corrects", &last)]));
        }
        let want = if dead { 0 } else { *chain.last().unwrap() };
        prop_assert_eq!(sound(&(header() + &lines.concat())).moved("shed", What::Haul), Pounds(want));
    }

    /// Whatever stands in the file, reading ends with an answer.
    #[test]
    fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..400), with_header in any::<bool>()) {
        let mut all = if with_header { header().into_bytes() } else { Vec::new() };
        all.extend(bytes);
        let (happened, findings) = read_bytes(&all);
        prop_assert!(happened.entries.len() <= all.len());
        prop_assert!(findings.sorted().iter().all(|f| !f.found.is_empty()));
    }
}
