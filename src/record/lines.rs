//! Reading `log.csv`, line by line.

use crate::cores;
use crate::findings::{FileName, Finding, Findings, Place, nearest};
use crate::record::cells::{Cells, split};
use crate::record::columns::{COLUMNS, LOG};
use crate::record::entry::read_line;
use crate::record::happened::Happened;
use crate::record::replay::{LogLine, replay};
use crate::text::{Cell, file};
use std::path::Path;
use std::sync::{Arc, LazyLock};

/// Stands at the end of half a line that was set aside.
pub const SET_ASIDE: &str = " #set aside: half a line";

/// The log's name, held once: every cell knows its place.
static NAME: LazyLock<FileName> = LazyLock::new(|| LOG.into());

/// A place in the log.
pub(super) fn at(line: usize, column: usize) -> Place {
    Place { file: NAME.clone(), line, column }
}

/// The bytes of a folder's log while nobody writes into it; none where nothing was
/// done yet. Where the system knows no locks, or on a disk that may not be written,
/// it is read all the same.
///
/// # Errors
/// Why it cannot be read.
pub fn bytes(folder: &Path) -> Result<Option<Vec<u8>>, Box<Finding>> {
    let read = file::open(&folder.join(LOG)).and_then(|log| {
        let _ = log.lock_shared();
        file::limited(log, file::MOST_LOG)
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
    let happened = replay(&lines, &mut findings);
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
    let parts: Vec<&[Below<'_>]> = below.chunks(LINES_AT_ONCE).collect();
    for (lines, found) in cores::each(&parts, |part| entries(part)) {
        list.extend(lines);
        findings.extend(found);
    }
    findings.extend(nameless.into_iter().collect());
    list
}

/// How many lines one core reads at a time.
const LINES_AT_ONCE: usize = 2_000;

/// The names of the columns of a header, by place.
type Names = Arc<Vec<Option<&'static str>>>;

/// A line that stands below a header: its number, its bytes, and the columns.
type Below<'a> = (usize, &'a [u8], Names);

/// Every line but the headers, each with the columns that hold for it, and what is
/// found where the first one has none.
fn below_headers<'a>(
    bytes: &'a [u8],
    half: Option<usize>,
    findings: &mut Findings,
) -> (Vec<Below<'a>>, Option<Finding>) {
    let mut below = Vec::new();
    let mut columns: Option<Names> = None;
    for (i, raw) in bytes.split(|b| *b == b'\n').enumerate() {
        let line = i + 1;
        if half == Some(line) {
            break;
        }
        if columns.is_none() || holds_names(raw) {
            let mut found = Findings::new();
            let cells = cells_of(raw, line, &mut found);
            if let Some(cells) = cells.as_ref().filter(|cells| is_header(cells)) {
                findings.extend(found);
                columns = Some(Arc::new(header(cells, line, findings)));
                continue;
            }
            if columns.is_none() {
                findings.extend(found);
                if let Some(cells) = cells {
                    return (below, Some(no_header(&cells, line)));
                }
            }
        }
        below.extend(columns.as_ref().map(|columns| (line, raw, Arc::clone(columns))));
    }
    (below, None)
}

/// The entries of some lines.
fn entries(lines: &[Below<'_>]) -> (Vec<LogLine>, Findings) {
    let mut findings = Findings::new();
    let mut list = Vec::with_capacity(lines.len());
    for (line, raw, columns) in lines {
        let Some(cells) = cells_of(raw, *line, &mut findings) else { continue };
        list.extend(entry(&cells, columns, *line, &mut findings));
    }
    (list, findings)
}

/// The cells of a line; none for an empty line, a remark, or a broken one.
fn cells_of(raw: &[u8], line: usize, findings: &mut Findings) -> Option<Vec<Cell>> {
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
        return None;
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
        return None;
    };
    if text.trim().is_empty() || text.starts_with('#') || text.starts_with("\"#") {
        return None;
    }
    let Some(cells) = split(text) else {
        findings.push(broken(
            "a quote is opened and never closed in this line",
            "an entry on one line; a quote in a quoted cell is doubled",
            "close the quote; a cell may not run over the end of its line",
        ));
        return None;
    };
    cells.iter().any(|c| !c.text.is_empty()).then_some(cells)
}

/// Whether a line may hold the names of the columns, before its cells are parted.
pub(super) fn may_be_header(line: &str) -> bool {
    holds_names(line.as_bytes())
}

fn holds_names(line: &[u8]) -> bool {
    let holds = |name: &[u8]| line.windows(name.len()).any(|own| own.eq_ignore_ascii_case(name));
    holds(b"date") && holds(b"what")
}

/// The log with every line emptied that neither holds a word nor may name the
/// columns: what is left is read as it was, at the same places.
pub(super) fn about(log: &str, word: &str) -> String {
    let kept = |line| if line_holds(line, word) { line } else { "" };
    log.split('\n').map(kept).collect::<Vec<&str>>().join("\n")
}

fn line_holds(line: &str, word: &str) -> bool {
    line.contains(word) || may_be_header(line)
}

/// The names of the columns stand in a line that has both `date` and `what`.
fn is_header(cells: &[Cell]) -> bool {
    let holds = |name: &str| cells.iter().any(|c| c.text.eq_ignore_ascii_case(name));
    holds("date") && holds("what")
}

fn no_header(cells: &[Cell], line: usize) -> Finding {
    let text = cells.iter().map(|c| c.text.as_str()).collect::<Vec<_>>().join(",");
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
fn header(cells: &[Cell], line: usize, findings: &mut Findings) -> Vec<Option<&'static str>> {
    let mut columns: Vec<Option<&'static str>> = Vec::new();
    for cell in cells {
        let name = cell.text.to_lowercase();
        let mut known = COLUMNS.into_iter().find(|c| *c == name);
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
            known = near.and_then(|n| COLUMNS.into_iter().find(|c| *c == n)).filter(|n| !columns.contains(&Some(n)));
        }
        columns.push(known);
    }
    columns
}

/// One entry.
fn entry(cells: &[Cell], columns: &[Option<&'static str>], line: usize, findings: &mut Findings) -> Option<LogLine> {
    let beyond = cells.iter().skip(columns.len()).find(|c| !c.text.is_empty());
    let has_id = columns.iter().position(|c| *c == Some("id")).and_then(|i| cells.get(i));
    let has_id = has_id.is_some_and(|c| !c.text.is_empty());
    // What the program writes has every cell. A hand may leave off the last
    // ones, up to the tons.
    let fewest =
        if has_id { columns.len() } else { columns.iter().position(|c| *c == Some("tons")).map_or(1, |i| i + 1) };
    if beyond.is_some() || cells.len() < fewest {
        let names: Vec<&str> = columns.iter().map(|c| c.unwrap_or("?")).collect();
        findings.push(
            Finding::error("log-line", &at(line, 1), format!("the line has {} cells", cells.len()))
                .accepts(format!("{} cells: {}", columns.len(), names.join(", ")))
                .fix("correct this line; the rest of the log counts"),
        );
        return None;
    }
    let mut named = Cells::new();
    for (cell, column) in cells.iter().zip(columns) {
        match column {
            Some(column) if !cell.text.is_empty() => {
                named.insert(column, cell.text.clone());
            }
            _ => {}
        }
    }
    let place = |column: &str| {
        let i = columns.iter().position(|c| *c == Some(column));
        at(line, i.and_then(|i| cells.get(i)).map_or(1, |c| c.column))
    };
    let named = Arc::new(named);
    let read = read_line(&named, &place, findings);
    let corrects = place("corrects");
    Some(LogLine { cells: named, entry: read, at: at(line, 1), corrects })
}
