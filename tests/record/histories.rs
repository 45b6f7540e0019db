//! Simulated histories of two phones and a paper list: entries, corrections, voids,
//! power cuts, torn writes, a clock set back, files copied over; merged in any order
//! they are the same record, with nothing lost and nothing twice.

use super::cells;
use crate::kit::Dice;
use std::collections::BTreeMap;
use sward::record::{Cells, Happened, SET_ASIDE, What, addition, read_bytes};
use sward::units::Pounds;

/// How many histories a plain run goes through; `.ci/full` asks for 100,000.
const PLAIN: u64 = 300;
const LOTS: [&str; 3] = ["shed", "pad", "stack"];
const KINDS: [What; 3] = [What::Haul, What::Bring, What::CleanOut];

/// What a person knows to have logged: kind, lot and pounds of every entry in force.
type Truth = BTreeMap<String, (What, &'static str, i64)>;

/// A phone with its copy of the log.
struct Phone {
    log: Vec<u8>,
    /// The day that it takes for today.
    day: i64,
    salt: u64,
    /// Entries that it made and may still correct.
    own: Vec<String>,
}

impl Phone {
    fn new(salt: u64) -> Phone {
        Phone { log: Vec::new(), day: 10, salt, own: Vec::new() }
    }

    /// Writes an entry as the program does: all of it, or a part when the power goes.
    /// Half a line is set aside and the entry is logged again.
    fn write(&mut self, mut entry: Cells, dice: &mut Dice) -> String {
        entry.insert("date", format!("2027-03-{:02}", self.day));
        loop {
            let (id, text) = addition(&self.log, &entry, self.salt).unwrap();
            self.salt += 1;
            // A clock that was set back gives a number twice.
            if dice.below(6) == 0 {
                self.salt -= 1;
            }
            let written = if dice.below(5) == 0 { dice.below(text.len() + 1) } else { text.len() };
            self.log.extend(&text.as_bytes()[..written]);
            if written == text.len() {
                return id;
            }
            if !self.log.is_empty() && !self.log.ends_with(b"\n") {
                let refused = addition(&self.log, &entry, self.salt).unwrap_err();
                assert_eq!(refused.code, "log-half-line");
                self.log.extend(format!("{SET_ASIDE}\n").as_bytes());
            }
        }
    }
}

fn entry(dice: &mut Dice) -> ((What, &'static str, i64), Cells) {
    let (kind, lot, pounds) = (KINDS[dice.below(3)], LOTS[dice.below(3)], dice.pick(1, 60) * 500);
    let tons = format!("{:.4}", pounds as f64 / 2_000.0);
    ((kind, lot, pounds), cells(&[("what", kind.word()), ("lot", lot), ("tons", &tons), ("note", "größe, \"so\"")]))
}

/// One step on one phone.
fn step(phone: &mut Phone, truth: &mut Truth, dice: &mut Dice) {
    match dice.below(8) {
        0 => phone.day = dice.pick(1, 28),
        1 | 2 if !phone.own.is_empty() => {
            let old = phone.own.swap_remove(dice.below(phone.own.len()));
            let (what, mut line) = entry(dice);
            line.insert("corrects", old.clone());
            let id = phone.write(line, dice);
            truth.remove(&old).unwrap();
            truth.insert(id.clone(), what);
            phone.own.push(id);
        }
        3 if !phone.own.is_empty() => {
            let old = phone.own.swap_remove(dice.below(phone.own.len()));
            phone.write(cells(&[("what", "void"), ("corrects", &old), ("note", "no")]), dice);
            truth.remove(&old).unwrap();
        }
        _ => {
            let (what, line) = entry(dice);
            let id = phone.write(line, dice);
            assert!(truth.insert(id.clone(), what).is_none(), "the id {id} was given twice");
            phone.own.push(id);
        }
    }
}

/// Lines of a paper list, typed in without ids.
fn paper(truth: &mut Truth, dice: &mut Dice) -> Vec<u8> {
    let mut text = "date,what,lot,tons\n".to_string();
    for i in 0..dice.below(4) {
        let ((what, lot, pounds), _) = entry(dice);
        text.push_str(&format!("2027-03-0{},{},{lot},{pounds} lb\n", dice.pick(1, 9), what.word()));
        truth.insert(format!("paper {i}"), (what, lot, pounds));
    }
    text.into_bytes()
}

fn sums(truth: &Truth) -> Vec<Pounds> {
    let of = |kind, lot| Pounds(truth.values().filter(|t| (t.0, t.1) == (kind, lot)).map(|t| t.2).sum());
    KINDS.iter().flat_map(|kind| LOTS.iter().map(|lot| of(*kind, *lot))).collect()
}

fn read_sums(happened: &Happened) -> Vec<Pounds> {
    KINDS.iter().flat_map(|kind| LOTS.iter().map(|lot| happened.moved(lot, *kind))).collect()
}

fn history(case: u64) {
    let mut dice = Dice::of_case(case);
    let mut truth = Truth::new();
    let mut phones = [Phone::new(1), Phone::new(1_000_000)];
    for _ in 0..dice.pick(2, 14) {
        let turn = dice.below(2);
        step(&mut phones[turn], &mut truth, &mut dice);
        // One file is copied behind the other's now and then.
        if dice.below(6) == 0 {
            let other = phones[1 - turn].log.clone();
            phones[turn].log.extend(other);
        }
    }
    let paper = paper(&mut truth, &mut dice);
    let [one, two] = phones.map(|phone| phone.log);
    let orders: [Vec<&[u8]>; 4] =
        [vec![&one, &two, &paper], vec![&paper, &two, &one], vec![&two, &paper, &one], vec![&one, &two, &one, &paper]];
    for order in orders {
        let merged = order.concat();
        let (happened, findings) = read_bytes(&merged);
        let text = || String::from_utf8_lossy(&merged).into_owned();
        assert!(!findings.has_errors(), "case {case}: {:?}\n{}", findings.sorted(), text());
        assert_eq!(happened.entries.len(), truth.len(), "case {case}\n{}", text());
        assert_eq!(read_sums(&happened), sums(&truth), "case {case}\n{}", text());
        for (id, (what, lot, pounds)) in truth.iter().filter(|(id, _)| !id.starts_with("paper")) {
            let entry = happened.entry(id).unwrap_or_else(|| panic!("case {case}: {id} is lost\n{}", text()));
            assert_eq!((entry.what, entry.word("lot"), entry.amount), (*what, *lot, Pounds(*pounds)), "case {case}");
        }
    }
}

#[test]
fn two_phones_and_a_paper_list_come_to_one_record() {
    let cases = std::env::var_os("SWARD_HISTORIES").map_or(PLAIN, |many| many.to_str().unwrap().parse().unwrap());
    (0..cases).for_each(history);
}
