//! From the lines of the log to what stands: copies counted once, corrections
//! followed, voids taken out.

use crate::findings::{Finding, Findings, Place};
use crate::record::cells::Cells;
use crate::record::entry::Entry;
use crate::record::happened::{Happened, Struck};
use crate::record::id;
use crate::record::kinds::What;
use crate::record::loads::loads_of;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A line of the log.
#[derive(Clone, Debug)]
pub(super) struct LogLine {
    pub(super) cells: Arc<Cells>,
    /// None when something is wrong with it.
    pub(super) entry: Option<Entry>,
    pub(super) at: Place,
    /// Where it names the entry that it corrects.
    pub(super) corrects: Place,
}

impl LogLine {
    fn corrected(&self) -> Option<&str> {
        self.cells.get("corrects").map(String::as_str)
    }

    fn is_void(&self) -> bool {
        self.cells.get("what").is_some_and(|w| w == What::Void.word())
    }
}

/// The lines by id, copies left out.
struct LogBook<'a> {
    /// In the order written.
    lines: Vec<(String, &'a LogLine)>,
    by_id: BTreeMap<String, usize>,
}

/// Replays the log.
pub(super) fn replay(lines: &[LogLine], findings: &mut Findings) -> Happened {
    let book = book(lines, findings);
    let by = corrections(&book, findings);
    circles(&book, findings);
    branches(&book, &by, findings);
    let (mut entries, mut struck) = (Vec::new(), Vec::new());
    for (i, (id, line)) in book.lines.iter().enumerate() {
        match by.get(&i).and_then(|list| list.first()) {
            Some(first) => {
                let (by, newer) = &book.lines[*first];
                let (by, void) = (by.clone(), newer.is_void());
                let loads = line.entry.as_ref().map_or(0.0, loads_of);
                struck.push(Struck { id: id.clone(), place: line.at.clone(), by, void, loads });
            }
            None if line.is_void() => {}
            None => {
                entries.extend(line.entry.clone().map(|e| Entry { id: id.clone(), ..e }));
            }
        }
    }
    Happened::of(entries, Arc::new(struck))
}

/// The id of every line. A line without one, written by hand, gets one out of
/// its content and of how many such lines stand before it.
fn book<'a>(lines: &'a [LogLine], findings: &mut Findings) -> LogBook<'a> {
    let mut book = LogBook { lines: Vec::new(), by_id: BTreeMap::new() };
    let mut alike: BTreeMap<&Cells, u64> = BTreeMap::new();
    for line in lines {
        let own = line.cells.get("id");
        let id = own.cloned().unwrap_or_else(|| {
            let count = alike.entry(line.cells.as_ref()).or_insert(0);
            *count += 1;
            id::of(&line.cells, *count)
        });
        let Some(first) = book.by_id.get(&id).and_then(|i| book.lines.get(*i)) else {
            book.by_id.insert(id.clone(), book.lines.len());
            book.lines.push((id, line));
            continue;
        };
        if first.1.cells != line.cells {
            findings.push(
                Finding::error("log-id-twice", &line.at, format!("two different entries have the id `{id}`"))
                    .accepts("every id once; a copy of a line counts once")
                    .fix("correct an entry with `sward log correct ID`, never in its own line; put the line back as it was")
                    .also(&first.1.at, "the first one"),
            );
        }
    }
    book
}

/// Which lines correct a line, by their places in the book.
fn corrections(book: &LogBook<'_>, findings: &mut Findings) -> BTreeMap<usize, Vec<usize>> {
    let mut by: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (i, (_, line)) in book.lines.iter().enumerate() {
        let Some(old) = line.corrected() else { continue };
        match book.by_id.get(old) {
            Some(corrected) => by.entry(*corrected).or_default().push(i),
            None => {
                let found = format!("the log has no entry `{old}` to correct");
                let finding = Finding::error("log-corrects", &line.corrects, found)
                    .accepts("the id of an entry")
                    .fix("name an entry of this log; `sward tally` lists their ids");
                let known = book.by_id.keys().map(String::as_str);
                findings.push(if findings.are_many() { finding } else { finding.near(old, known) });
            }
        }
    }
    by
}

/// Entries that correct each other in a circle: none of them stands.
fn circles(book: &LogBook<'_>, findings: &mut Findings) {
    let older = |i: usize| book.lines[i].1.corrected().and_then(|old| book.by_id.get(old)).copied();
    // 0 not seen, 1 on the way being walked, 2 done.
    let mut state = vec![0_u8; book.lines.len()];
    for start in 0..book.lines.len() {
        let mut way = Vec::new();
        let mut here = Some(start);
        while let Some(i) = here.filter(|i| state[*i] == 0) {
            state[i] = 1;
            way.push(i);
            here = older(i);
        }
        if let Some(i) = here.filter(|i| state[*i] == 1) {
            let names: Vec<&str> = way.iter().skip_while(|w| **w != i).map(|w| book.lines[*w].0.as_str()).collect();
            let found = format!("entries correct each other in a circle: {}", names.join(", "));
            findings.push(
                Finding::error("log-corrects", &book.lines[i].1.corrects, found)
                    .accepts("a correction that names an earlier entry")
                    .fix("take the `corrects` out of the one that was written first"),
            );
        }
        for i in way {
            state[i] = 2;
        }
    }
}

/// Two people corrected the same entry: which of the two holds is not for the
/// program to say. A correction that was itself declared void is out of the
/// way; a void beside a correction is not.
fn branches(book: &LogBook<'_>, by: &BTreeMap<usize, Vec<usize>>, findings: &mut Findings) {
    let newer = |i: usize| by.get(&i).map(Vec::as_slice).unwrap_or_default();
    let is_void = |i: usize| book.lines[i].1.is_void();
    for root in 0..book.lines.len() {
        let is_root = book.lines[root].1.corrected().is_none_or(|old| !book.by_id.contains_key(old));
        if !is_root || newer(root).is_empty() {
            continue;
        }
        // Older before newer; a circle has no root and is never entered.
        let mut order = vec![root];
        let mut next = 0;
        while let Some(i) = order.get(next).copied() {
            order.extend(newer(i));
            next += 1;
        }
        let mut dead: BTreeMap<usize, bool> = BTreeMap::new();
        for i in order.iter().rev() {
            let all_dead = newer(*i).iter().all(|n| dead.get(n) == Some(&true));
            dead.insert(*i, if newer(*i).is_empty() { is_void(*i) } else { all_dead });
        }
        let is_dead = |i: usize| dead.get(&i) == Some(&true);
        for i in order {
            let rivals: Vec<usize> = newer(i).iter().copied().filter(|n| is_void(*n) || !is_dead(*n)).collect();
            if let ([first, second, ..], true) = (rivals.as_slice(), rivals.iter().any(|n| !is_dead(*n))) {
                findings.push(rivalry(&book.lines[i].0, &book.lines[*first], &book.lines[*second]));
            }
        }
    }
}

fn rivalry(id: &str, first: &(String, &LogLine), second: &(String, &LogLine)) -> Finding {
    let found = format!("the entry `{id}` was corrected twice, as `{}` and as `{}`", first.0, second.0);
    let fix = format!("say which one holds: `sward log void` the other, or name `{}` in its `corrects`", first.0);
    Finding::error("log-corrects", &second.1.at, found)
        .accepts("one correction of an entry; a second one corrects the first correction")
        .fix(fix)
        .also(&first.1.at, "the other correction")
}
