//! Reading `log.csv`, line by line.

use crate::cores;
use crate::findings::{Finding, Findings, Place, nearest};
use crate::record::cells::{Cells, Page, split};
use crate::record::columns::{COLUMNS, Column, LOG, at};
use crate::record::entry::read_line;
use crate::record::happened::Happened;
use crate::record::kept::KeptEntry;
use crate::record::replay::{LogLine, replay};
use crate::text::{Cell, file};
use memchr::{memchr_iter, memchr2_iter};
use std::path::Path;
use std::sync::Arc;

/// Stands at the end of half a line that was set aside.
pub const SET_ASIDE: &str = " #set aside: half a line";

/// The bytes of a folder's log while nobody writes into it; none where nothing was
/// done yet. Where the system knows no locks, or on a disk that may not be written,
/// it is read all the same.
///
/// # Errors
/// Why it cannot be read.
pub fn bytes(folder: &Path) -> Result<Option<Vec<u8>>, Box<Finding>> {
    let read = file::open(&folder.join(LOG)).and_then(|log| {
        let _ = log.lock_shared();
        file::whole(&log, file::MOST_LOG)
    });
    match read {
        Ok(bytes) => Ok(Some(bytes)),
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => Ok(None),
        Err(e) => Err(Box::new(Finding::error("cannot-read", &Place::file(LOG), format!("{LOG} cannot be read: {e}")))),
    }
}

/// A log that is there and holds no entry: nobody makes such a file but by emptying one.
#[must_use]
pub fn emptied() -> Finding {
    Finding::warning("log-empty", &Place::file(LOG), "the file is there and has no entry: was it emptied?")
        .accepts("the entries of what was done; no file where nothing was done yet")
        .fix("put the file of before back, or delete it if nothing was done")
}

/// Reads the log of a farm folder; a farm without one has done nothing yet.
#[must_use]
pub fn read(folder: &Path) -> (Happened, Findings) {
    match bytes(folder) {
        Ok(bytes) => read_bytes(&bytes.unwrap_or_default()),
        Err(finding) => (Happened::default(), Findings::from(*finding)),
    }
}

/// Reads the log from its text.
#[must_use]
pub fn read_text(text: &str) -> (Happened, Findings) {
    read_bytes(text.as_bytes())
}

/// Reads the log from its bytes.
#[must_use]
pub fn read_bytes(bytes: &[u8]) -> (Happened, Findings) {
    let mut findings = Findings::new();
    let lines = lines(bytes, &mut findings);
    let happened = replay(lines, &mut findings);
    (happened, findings)
}

/// Why a log cannot be added to or read as it is, as a whole.
pub(super) fn not_utf8(bytes: &[u8]) -> Option<Finding> {
    let marked = bytes.starts_with(b"\xFF\xFE") || bytes.starts_with(b"\xFE\xFF");
    marked.then(|| {
        Finding::error("log-utf-16", &Place::file(LOG), "the log is saved as UTF-16 (`Unicode text`)")
            .accepts("plain text saved as UTF-8")
            .fix("open it and save it again as CSV with the encoding UTF-8")
    })
}

/// The number of the last line when it does not end, from 1.
pub(super) fn half_line(bytes: &[u8]) -> Option<usize> {
    let open = !bytes.is_empty() && !bytes.ends_with(b"\n");
    open.then(|| bytes.iter().filter(|b| **b == b'\n').count() + 1)
}

/// What to do with a last line that does not end.
pub(super) fn half_line_found(line: usize) -> Finding {
    Finding::error(
        "log-half-line",
        &at(line, 1),
        "the last line does not end: it may be half an entry, cut off when the power or the disk failed",
    )
    .accepts("lines that each end with a line break")
    .fix(
        "if the line is whole, press Enter at its end and save; if not, `sward log repair` sets it aside and the entry is logged again",
    )
}

/// Every entry of the log; a file may hold several headers, each for the
/// lines below it.
pub(super) fn lines(bytes: &[u8], findings: &mut Findings) -> Vec<LogLine> {
    let mut list = Vec::new();
    if let Some(finding) = not_utf8(bytes) {
        findings.push(finding);
        return list;
    }
    let half = half_line(bytes);
    if let Some(line) = half {
        findings.push(half_line_found(line));
    }
    let (below, nameless) = below_headers(bytes, half, findings);
    list.reserve(below.iter().map(|part| part.many).sum());
    for (lines, found) in cores::each(&below, entries) {
        list.extend(lines);
        findings.extend(found);
    }
    findings.extend(nameless.into_iter().collect());
    list
}

/// How many lines one core reads at a time.
const LINES_AT_ONCE: usize = 2_000;

/// The columns of a header.
struct Names {
    /// In the order of the header; none where a name is not known.
    columns: Vec<Option<Column>>,
    /// Where each column stands first.
    places: [Option<usize>; Column::MANY],
    /// Each place with its column, in the order of the columns' names.
    by_name: Vec<(usize, Column)>,
}

impl Names {
    fn of(columns: Vec<Option<Column>>) -> Names {
        let mut places = [None; Column::MANY];
        let mut by_name: Vec<(usize, Column)> = Vec::new();
        for (place, column) in columns.iter().enumerate().filter_map(|(place, column)| Some((place, (*column)?))) {
            places[column.at()].get_or_insert(place);
            by_name.push((place, column));
        }
        by_name.sort_by_key(|(place, column)| (column.name(), *place));
        Names { columns, places, by_name }
    }

    /// Where the cell under a column begins in a line whose cells are not at hand.
    fn seek(&self, column: Column, raw: &[u8]) -> usize {
        let mut cells = Vec::new();
        cells_of(raw, 0, &mut cells, &mut Findings::new());
        self.stands_at(column, &cells)
    }

    /// The cell of a line under a column.
    fn cell<'a, 'b>(&self, column: Column, cells: &'b [Cell<'a>]) -> Option<&'b Cell<'a>> {
        cells.get(self.places[column.at()]?)
    }

    /// Puts the cells of a line that are filled on a page. Of two columns of one name the
    /// last one counts.
    fn put(&self, cells: &[Cell<'_>], page: &mut Page) {
        let text = |place: usize| cells.get(place).map_or("", |cell| cell.text.as_ref());
        let again = |at: usize, column: Column| {
            let later = self.by_name.iter().skip(at + 1).take_while(|(_, own)| *own == column);
            later.into_iter().any(|(place, _)| !text(*place).is_empty())
        };
        let named = self.by_name.iter().enumerate().map(|(at, (place, column))| (at, *column, text(*place)));
        for (_, column, words) in named.filter(|(at, column, words)| !words.is_empty() && !again(*at, *column)) {
            page.put(column, words, self.stands_at(column, cells));
        }
    }

    /// Where the cell of a line under a column begins.
    fn stands_at(&self, column: Column, cells: &[Cell<'_>]) -> usize {
        self.cell(column, cells).map_or(1, |cell| cell.column)
    }
}

/// Lines that stand below a header one after the other.
struct Below<'a> {
    /// The number of the first one, and how many there are.
    first: usize,
    many: usize,
    /// Where they begin in the log, and their bytes.
    start: usize,
    bytes: &'a [u8],
    names: Arc<Names>,
}

/// The lines of some bytes, each with where it begins; the last one may be empty.
pub(super) fn lines_of(bytes: &[u8]) -> impl Iterator<Item = (usize, &[u8])> {
    let mut start = 0;
    memchr_iter(b'\n', bytes).chain(std::iter::once(bytes.len())).map(move |end| {
        let from = std::mem::replace(&mut start, end + 1);
        (from, bytes.get(from..end).unwrap_or_default())
    })
}

/// Every line but the headers, with the columns that hold for it, and what is found
/// where the first one has none.
fn below_headers<'a>(
    bytes: &'a [u8],
    half: Option<usize>,
    findings: &mut Findings,
) -> (Vec<Below<'a>>, Option<Finding>) {
    let mut below: Vec<Below<'a>> = Vec::new();
    let mut columns: Option<Arc<Names>> = None;
    let mut cells = Vec::new();
    for (i, (start, raw)) in lines_of(bytes).enumerate() {
        let line = i + 1;
        if half == Some(line) {
            break;
        }
        if columns.is_none() || holds_names(raw) {
            let mut found = Findings::new();
            let sound = cells_of(raw, line, &mut cells, &mut found);
            if sound && is_header(&cells) {
                findings.extend(found);
                columns = Some(Arc::new(Names::of(header(&cells, line, findings))));
                continue;
            }
            if columns.is_none() {
                findings.extend(found);
                if sound {
                    return (below, Some(no_header(&cells, line)));
                }
            }
        }
        let Some(names) = &columns else { continue };
        match below.last_mut().filter(|part| part.many < LINES_AT_ONCE && part.first + part.many == line) {
            Some(part) => {
                part.many += 1;
                part.bytes = bytes.get(part.start..start + raw.len()).unwrap_or_default();
            }
            None => below.push(Below { first: line, many: 1, start, bytes: raw, names: Arc::clone(names) }),
        }
    }
    (below, None)
}

/// The entries of some lines.
fn entries(part: &Below<'_>) -> (Vec<LogLine>, Findings) {
    let mut findings = Findings::new();
    let mut page = Page::for_text(part.bytes.len());
    let mut rows = Vec::with_capacity(part.many);
    let mut cells = Vec::new();
    for (i, (_, raw)) in lines_of(part.bytes).enumerate() {
        let line = part.first + i;
        if cells_of(raw, line, &mut cells, &mut findings) && fits(&cells, &part.names, line, &mut findings) {
            let from = page.len();
            part.names.put(&cells, &mut page);
            rows.push((line, raw, from..page.len()));
        }
    }
    let page = Arc::new(page);
    let (mut read, mut said) = (Vec::with_capacity(rows.len()), Vec::with_capacity(rows.len()));
    for (line, raw, own) in rows {
        let cells = Cells::of(&page, own);
        // An empty cell is sought only where something is wrong with it.
        let place = |c: Column| at(line, cells.stands_at(c).unwrap_or_else(|| part.names.seek(c, raw)));
        let entry = read_line(&cells, &place, &mut findings);
        said.push((line, entry.is_none().then_some(cells)));
        read.extend(entry);
    }
    let mut read = KeptEntry::all(read);
    let said = said.into_iter().filter_map(|(line, wrong)| {
        let said = wrong.map_or_else(|| read.next().map(Ok), |cells| Some(Err(cells)))?;
        Some(LogLine::of(said, line))
    });
    (said.collect(), findings)
}

/// Takes the cells of a line; false for an empty line, a remark, or a broken one.
fn cells_of<'a>(raw: &'a [u8], line: usize, cells: &mut Vec<Cell<'a>>, findings: &mut Findings) -> bool {
    let raw = raw.strip_suffix(b"\r").unwrap_or(raw);
    let raw = raw.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(raw);
    // A spreadsheet that saved the file again has put commas behind it.
    let mut bare = raw;
    while let Some(rest) = bare.strip_suffix(b",") {
        bare = rest;
    }
    if bare.ends_with(SET_ASIDE.as_bytes()) {
        findings.push(
            Finding::warning("log-set-aside", &at(line, 1), "half a line was set aside here and does not count")
                .fix("see whether its entry was logged again, then take the line out"),
        );
        return false;
    }
    let broken = |found: &str, accepts: &str, fix: &str| {
        Finding::error("log-line", &at(line, 1), found).accepts(accepts).fix(fix)
    };
    let Ok(text) = std::str::from_utf8(raw) else {
        findings.push(broken(
            "the line is not saved as UTF-8 text",
            "plain text saved as UTF-8",
            "open the log in an editor and save it again with the encoding UTF-8",
        ));
        return false;
    };
    if text.trim_start().is_empty() || text.starts_with('#') || text.starts_with("\"#") {
        return false;
    }
    if !split(text, cells) {
        findings.push(broken(
            "a quote is opened and never closed in this line",
            "an entry on one line; a quote in a quoted cell is doubled",
            "close the quote; a cell may not run over the end of its line",
        ));
        return false;
    }
    cells.iter().any(|c| !c.text.is_empty())
}

/// Whether a line may hold the names of the columns, before its cells are parted.
pub(super) fn holds_names(line: &[u8]) -> bool {
    let stands = |at: usize, name: &[u8]| line.get(at..at + name.len()).is_some_and(|n| n.eq_ignore_ascii_case(name));
    // Hardly any other line has the first letter of the rarer name.
    memchr2_iter(b'w', b'W', line).any(|at| stands(at, b"what"))
        && memchr2_iter(b'd', b'D', line).any(|at| stands(at, b"date"))
}

/// The log with every line emptied that neither holds a word nor may name the
/// columns: what is left is read as it was, at the same places.
pub(super) fn about(log: &str, word: &str) -> String {
    let kept = |line| if line_holds(line, word) { line } else { "" };
    log.split('\n').map(kept).collect::<Vec<&str>>().join("\n")
}

fn line_holds(line: &str, word: &str) -> bool {
    line.contains(word) || holds_names(line.as_bytes())
}

/// The names of the columns stand in a line that has both `date` and `what`.
fn is_header(cells: &[Cell<'_>]) -> bool {
    let holds = |name: &str| cells.iter().any(|c| c.text.eq_ignore_ascii_case(name));
    holds("date") && holds("what")
}

fn no_header(cells: &[Cell<'_>], line: usize) -> Finding {
    let text = cells.iter().map(|c| c.text.as_ref()).collect::<Vec<&str>>().join(",");
    let short: String = text.chars().take(120).collect();
    let fix = if text.contains([';', '\t']) {
        "separate the cells with commas, and put the names of the columns into the first line"
    } else {
        "put the names of the columns into the first line"
    };
    Finding::error("log-header", &at(line, 1), format!("the first line is `{short}`"))
        .accepts(format!("the columns that are used, in any order, with commas between: {}", COLUMNS.join(", ")))
        .fix(fix)
}

/// A column that many would look for: a part is known by its ground, not by a name.
const PART: &str = "part";

/// The columns of a header; none where a name is not known.
fn header(cells: &[Cell<'_>], line: usize, findings: &mut Findings) -> Vec<Option<Column>> {
    let mut columns: Vec<Option<Column>> = Vec::new();
    for cell in cells {
        let name = cell.text.to_lowercase();
        let mut known = Column::named(&name);
        let place = at(line, cell.column);
        if known.is_some() && columns.contains(&known) {
            findings.push(
                Finding::error("log-header", &place, format!("two columns are called `{name}`"))
                    .accepts("every column once")
                    .fix("take one of them out"),
            );
        } else if known.is_none() && !name.is_empty() {
            let found = format!("no column of the log is called `{}`", cell.text);
            let finding = Finding::error("log-header", &place, found).accepts(COLUMNS.join(", "));
            let near = nearest(&name, COLUMNS).filter(|_| name != PART);
            findings.push(match near {
                None if name == PART => finding.fix(
                    "say in `acres` how much of the field was done, or in `ground` where, as POLYGON((lon lat, ...)); a part by itself is a field of farm.yaml with its own boundary, and its id may stand in `field`, also for days before the field was split",
                ),
                Some(near) => finding.fix(format!("did you mean `{near}`?")),
                None => finding.fix("take the column out, or put its words into `note`"),
            });
            // Read on as if it were the near one, so that no line below is
            // blamed for the slip.
            known = near.and_then(Column::named).filter(|near| !columns.contains(&Some(*near)));
        }
        columns.push(known);
    }
    columns
}

/// Whether a line has a cell for every column that it must have, and none beyond.
fn fits(cells: &[Cell<'_>], names: &Names, line: usize, findings: &mut Findings) -> bool {
    let columns = &names.columns;
    let beyond = cells.iter().skip(columns.len()).find(|c| !c.text.is_empty());
    let has_id = names.cell(Column::ID, cells).is_some_and(|c| !c.text.is_empty());
    // What the program writes has every cell. A hand may leave off the last
    // ones, up to the tons.
    let fewest = if has_id { columns.len() } else { names.places[Column::TONS.at()].map_or(1, |i| i + 1) };
    if beyond.is_none() && cells.len() >= fewest {
        return true;
    }
    let names: Vec<&str> = columns.iter().map(|c| c.map_or("?", Column::name)).collect();
    findings.push(
        Finding::error("log-line", &at(line, 1), format!("the line has {} cells", cells.len()))
            .accepts(format!("{} cells: {}", columns.len(), names.join(", ")))
            .fix("correct this line; the rest of the log counts"),
    );
    false
}
