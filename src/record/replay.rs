//! From the lines of the log to what stands: copies counted once, corrections
//! followed, voids taken out.

use crate::findings::{Finding, Findings, Place};
use crate::record::cells::Cells;
use crate::record::columns::{Column, at};
use crate::record::entry::Entry;
use crate::record::happened::{Happened, Struck};
use crate::record::id;
use crate::record::kept::KeptEntry;
use crate::record::kinds::What;
use crate::record::loads::loads_of;
use crate::units::Pounds;
use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::Arc;

/// A line of the log. What is asked of every line stands in it: a long log's cells and
/// entries lie far apart.
#[derive(Clone, Debug)]
pub(super) struct LogLine {
    /// Its entry, or its cells when something is wrong with it.
    said: Result<KeptEntry, Cells>,
    /// Its number, from 1.
    line: usize,
    /// The mark of its id; none where it was written by hand without one.
    mark: Option<u64>,
    is_correction: bool,
    is_void: bool,
}

impl LogLine {
    pub(super) fn of(said: Result<KeptEntry, Cells>, line: usize) -> LogLine {
        let cells = cells_of(&said);
        let (mark, is_correction) = (cells.at(Column::ID).map(mark_of), cells.at(Column::CORRECTS).is_some());
        let is_void = cells.at(Column::WHAT).is_some_and(|w| w == What::Void.word());
        LogLine { mark, is_correction, is_void, said, line }
    }

    /// Where it stands.
    pub(super) fn at(&self) -> Place {
        at(self.line, 1)
    }

    /// Where it names the entry that it corrects.
    fn corrects_at(&self) -> Place {
        at(self.line, self.cells().stands_at(Column::CORRECTS).unwrap_or(1))
    }

    pub(super) fn cells(&self) -> &Cells {
        cells_of(&self.said)
    }

    /// None when something is wrong with it.
    pub(super) fn entry(&self) -> Option<&Entry> {
        self.said.as_deref().ok()
    }

    /// Its id; none where it was written by hand without one.
    pub(super) fn id(&self) -> Option<&str> {
        self.cells().at(Column::ID)
    }

    fn corrected(&self) -> Option<&str> {
        if self.is_correction { self.cells().at(Column::CORRECTS) } else { None }
    }
}

fn cells_of(said: &Result<KeptEntry, Cells>) -> &Cells {
    match said {
        Ok(entry) => &entry.cells,
        Err(cells) => cells,
    }
}

/// A number that two ids hardly share.
fn mark_of(id: &str) -> u64 {
    let mut hasher = DefaultHasher::new();
    id.hash(&mut hasher);
    hasher.finish()
}

/// The lines of the log by their ids.
struct LogBook<'a> {
    /// In the order written, with the ids of those that were written without one.
    lines: &'a [LogLine],
    own_ids: &'a [Option<String>],
    /// Marks of the ids, each with the line that has it, in their order.
    by_mark: Vec<(u64, usize)>,
    /// Which lines have the id of an earlier one.
    again: Vec<bool>,
}

impl<'a> LogBook<'a> {
    fn id(&self, at: usize) -> &'a str {
        self.own_ids[at].as_deref().or(self.lines[at].id()).unwrap_or_default()
    }

    /// The first line with an id.
    fn find(&self, id: &str) -> Option<usize> {
        let mark = mark_of(id);
        let from = self.by_mark.partition_point(|(own, _)| *own < mark);
        let same = self.by_mark[from..].iter().take_while(|(own, _)| *own == mark);
        same.map(|(_, at)| *at).find(|at| self.id(*at) == id)
    }

    /// Every line but those whose id stands already.
    fn first_ones(&self) -> impl Iterator<Item = (usize, &'a LogLine)> {
        self.lines.iter().enumerate().filter(|(at, _)| !self.again[*at])
    }
}

/// Replays the log.
pub(super) fn replay(lines: Vec<LogLine>, findings: &mut Findings) -> Happened {
    let own_ids = own_ids(&lines);
    let mut stands = vec![false; lines.len()];
    let struck = struck(&book(&lines, &own_ids, findings), &mut stands, findings);
    let mut entries = Vec::with_capacity(lines.len());
    for ((line, own_id), _) in lines.into_iter().zip(own_ids).zip(stands).filter(|(_, stands)| *stands) {
        let Ok(mut entry) = line.said else { continue };
        if let Some(id) = own_id {
            entry.change(|entry| entry.id = id);
        }
        entries.push(entry);
    }
    Happened::of(entries, Arc::new(struck))
}

/// The ids of lines that were written by hand without one: each out of the line's
/// content and of how many such lines stand before it.
fn own_ids(lines: &[LogLine]) -> Vec<Option<String>> {
    let mut alike: BTreeMap<&Cells, u64> = BTreeMap::new();
    let mut ids = vec![None; lines.len()];
    for (own, line) in ids.iter_mut().zip(lines).filter(|(_, line)| line.mark.is_none()) {
        let count = alike.entry(line.cells()).or_insert(0);
        *count += 1;
        *own = Some(id::of(line.cells(), *count));
    }
    ids
}

/// The lines that were corrected or declared void; which of the others stand is marked.
fn struck(book: &LogBook<'_>, stands: &mut [bool], findings: &mut Findings) -> Vec<Struck> {
    let by = corrections(book, findings);
    circles(book, findings);
    branches(book, &by, findings);
    voids_of_voids(book, &by, findings);
    let mut struck = Vec::new();
    for (at, line) in book.first_ones() {
        match by.get(&at).and_then(|list| list.first()) {
            Some(first) => {
                let (by, void) = (book.id(*first).to_string(), book.lines[*first].is_void);
                let (loads, amount) = line.entry().map_or((0.0, Pounds(0)), |e| (loads_of(e), e.amount));
                let day = |at: usize| book.lines[at].entry().map(|entry| entry.date);
                let (id, place, days) = (book.id(at).to_string(), line.at(), day(at).zip(day(*first)));
                let (entry, by_place) = (line.said.as_ref().ok().cloned(), book.lines[*first].at());
                struck.push(Struck { id, place, by, void, loads, amount, entry, by_place, days });
            }
            None => stands[at] = !line.is_void,
        }
    }
    struck
}

/// The lines by their ids.
fn book<'a>(lines: &'a [LogLine], own_ids: &'a [Option<String>], findings: &mut Findings) -> LogBook<'a> {
    let mark = |(at, (line, own)): (usize, (&LogLine, &Option<String>))| {
        (line.mark.unwrap_or_else(|| mark_of(own.as_deref().unwrap_or_default())), at)
    };
    let mut by_mark: Vec<(u64, usize)> = lines.iter().zip(own_ids).enumerate().map(mark).collect();
    by_mark.sort_unstable();
    let mut book = LogBook { lines, own_ids, by_mark, again: vec![false; lines.len()] };
    let mut again = Vec::new();
    // Hardly any two lines have one mark.
    for same in book.by_mark.chunk_by(|one, other| one.0 == other.0).filter(|same| same.len() > 1) {
        for (_, at) in same {
            if let Some(first) = book.find(book.id(*at)).filter(|first| first != at) {
                findings.extend(same_id(&lines[first], &lines[*at], book.id(*at)));
                again.push(*at);
            }
        }
    }
    again.into_iter().for_each(|at| book.again[at] = true);
    book
}

/// A line whose id an earlier one has: a copy of it, or a fault.
fn same_id(first: &LogLine, line: &LogLine, id: &str) -> Findings {
    if first.cells() == line.cells() {
        return Findings::new();
    }
    Finding::error("log-id-twice", &line.at(), format!("two different entries have the id `{id}`"))
        .accepts("every id once; a copy of a line counts once")
        .fix("correct an entry with `sward log correct ID`, never in its own line; put the line back as it was")
        .also(&first.at(), "the first one")
        .into()
}

/// Which lines correct a line, by their places in the book.
fn corrections(book: &LogBook<'_>, findings: &mut Findings) -> BTreeMap<usize, Vec<usize>> {
    let mut by: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    let known: OnceCell<Vec<&str>> = OnceCell::new();
    let sorted = || {
        let mut ids: Vec<&str> = book.first_ones().map(|(at, _)| book.id(at)).collect();
        ids.sort_unstable();
        ids
    };
    for (i, line) in book.first_ones() {
        let Some(old) = line.corrected() else { continue };
        match book.find(old) {
            Some(corrected) => by.entry(corrected).or_default().push(i),
            None => {
                let found = format!("the log has no entry `{old}` to correct");
                let finding = Finding::error("log-corrects", &line.corrects_at(), found)
                    .accepts("the id of an entry")
                    .fix("name an entry of this log; `sward tally` lists their ids");
                let near = || known.get_or_init(sorted).iter().copied();
                findings.push(if findings.are_many() { finding } else { finding.near(old, near()) });
            }
        }
    }
    by
}

/// Entries that correct each other in a circle: none of them stands.
fn circles(book: &LogBook<'_>, findings: &mut Findings) {
    let older = |i: usize| book.lines[i].corrected().and_then(|old| book.find(old));
    // 0 not seen, 1 on the way being walked, 2 done.
    let mut state = vec![0_u8; book.lines.len()];
    for (start, _) in book.first_ones().filter(|(_, line)| line.is_correction) {
        let mut way = Vec::new();
        let mut here = Some(start);
        while let Some(i) = here.filter(|i| state[*i] == 0) {
            state[i] = 1;
            way.push(i);
            here = older(i);
        }
        if let Some(i) = here.filter(|i| state[*i] == 1) {
            let names: Vec<&str> = way.iter().skip_while(|w| **w != i).map(|w| book.id(*w)).collect();
            let found = format!("entries correct each other in a circle: {}", names.join(", "));
            findings.push(
                Finding::error("log-corrects", &book.lines[i].corrects_at(), found)
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
    let is_void = |i: usize| book.lines[i].is_void;
    let is_root = |i: &usize| book.lines[*i].corrected().is_none_or(|old| book.find(old).is_none());
    for root in by.keys().copied().filter(is_root) {
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
                findings.push(rivalry(book, i, (*first, *second)));
            }
        }
    }
}

fn rivalry(book: &LogBook<'_>, of: usize, (first, second): (usize, usize)) -> Finding {
    let (by, other) = (book.id(first), book.id(second));
    let found = format!("the entry `{}` was corrected twice, as `{by}` and as `{other}`", book.id(of));
    let fix = format!("say which one holds: `sward log void` the other, or name `{by}` in its `corrects`");
    Finding::error("log-corrects", &book.lines[second].at(), found)
        .accepts("one correction of an entry; a second one corrects the first correction")
        .fix(fix)
        .also(&book.lines[first].at(), "the other correction")
}

/// A void of a void brings nothing back, and whoever wrote it may think that it does.
fn voids_of_voids(book: &LogBook<'_>, by: &BTreeMap<usize, Vec<usize>>, findings: &mut Findings) {
    for (old, newer) in by.iter().filter(|(old, _)| book.lines[**old].is_void) {
        for void in newer.iter().filter(|newer| book.lines[**newer].is_void) {
            let (line, of) = (&book.lines[*void], book.id(*old));
            let taken_back = book.lines[*old].corrected().unwrap_or_default();
            let found = format!(
                "`{}` declares `{of}` void, which is a void itself: `{taken_back}` is not brought back by it",
                book.id(*void)
            );
            findings.push(
                Finding::warning("log-void-of-void", &line.corrects_at(), found)
                    .accepts("a void of an entry that stands")
                    .fix(format!("if `{taken_back}` was done after all, log it again"))
                    .also(&book.lines[*old].at(), "the first void"),
            );
        }
    }
}
