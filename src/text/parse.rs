//! Text to tree. JSON is read too, since every JSON text is YAML.

use crate::findings::{FileName, Finding, Findings, Place, hidden, visible};
use crate::text::{Kind, Node, composed, shown};
use saphyr_parser::{Event, Marker, Parser, ScalarStyle, Span};
use std::collections::BTreeMap;

/// Deepest nesting that is read; a farm file needs five levels.
const DEEPEST: usize = 64;

/// Reads one document. Everything wrong with its form is a finding; a tree
/// comes back only when the whole text could be read.
pub fn parse(file: &str, text: &str, findings: &mut Findings) -> Option<Node> {
    parse_part((file, 1), text, findings)
}

/// As [`parse`], for a part of a file that starts in a line of it.
pub fn parse_part((file, first): (&str, usize), text: &str, findings: &mut Findings) -> Option<Node> {
    let file = FileName::from(file);
    let mut builder = Builder { file, first, stack: Vec::new(), done: None, documents: 0, findings, broken: false };
    for step in Parser::new_from_str(text) {
        match step {
            Ok((event, span)) => builder.take(event, span),
            Err(error) => {
                let place = builder.place(error.marker());
                let line = text.lines().nth(error.marker().line().saturating_sub(1)).unwrap_or_default();
                let (found, fix) = closed_early(line).unwrap_or_else(|| plainly(error.info()));
                builder.findings.push(Finding::error("form", &place, found).fix(fix));
                builder.broken = true;
            }
        }
        if builder.broken {
            return None;
        }
    }
    match builder.done.take() {
        Some(node) => Some(node),
        None => {
            let found = "the file is empty";
            builder.findings.push(
                Finding::error("empty-file", &Place { file: builder.file, ..Place::default() }, found)
                    .fix("`sward start FOLDER` makes a farm folder with every key explained"),
            );
            None
        }
    }
}

/// The reader's words for the commonest slips, said plainly; its own otherwise.
fn plainly(info: &str) -> (String, String) {
    const SLIPS: [(&str, &str, &str); 5] = [
        ("tab", "a tab is here where only spaces may be", "indent with spaces"),
        (
            "mapping values are not allowed",
            "a second colon is here, or the line is indented further than the one above",
            "line it up with the lines above, or put quotes around a text that holds a colon",
        ),
        (
            "simple key expect",
            "a line above this one has no colon after its key",
            "write `key: value`, with a space after the colon",
        ),
        ("quoted scalar", "the quote that opens here is never closed", "close it with the same quote"),
        ("flow", "a bracket opened above is not closed before this place", "close every { with } and every [ with ]"),
    ];
    match SLIPS.iter().find(|(said, _, _)| info.contains(said)) {
        Some((_, found, fix)) => ((*found).to_string(), (*fix).to_string()),
        None => (
            format!("the text cannot be read here: {info}"),
            "check this line and the one above for a missing quote, colon, space or bracket".to_string(),
        ),
    }
}

/// A quoted text that its own apostrophe or inch mark ends: what to write.
fn closed_early(line: &str) -> Option<(String, String)> {
    let signs: Vec<char> = line.chars().collect();
    let after = |from: usize| signs.iter().skip(from).find(|c| !c.is_whitespace()).copied();
    let ends = |from: usize| after(from).is_none_or(|c| ",]}:#".contains(c));
    let mut at = 0;
    while at < signs.len() {
        let quote = signs[at];
        let before = signs[..at].iter().rev().find(|c| !c.is_whitespace());
        let opens = ['\'', '"'].contains(&quote) && before.is_none_or(|c| ":,[{-".contains(*c));
        let close = |from: usize| (from..signs.len()).find(|i| signs[*i] == quote);
        let Some(mut end) = close(at + 1).filter(|_| opens) else {
            at += 1;
            continue;
        };
        // A doubled quote, or one behind a backslash, stands for itself.
        while (quote == '\'' && signs.get(end + 1) == Some(&quote)) || (quote == '"' && signs[end - 1] == '\\') {
            end = close(end + if quote == '"' { 1 } else { 2 })?;
        }
        if ends(end + 1) {
            at = end + 1;
            continue;
        }
        let last = (end + 1..signs.len()).find(|i| signs[*i] == quote && ends(i + 1)).unwrap_or(signs.len());
        let words: String = signs[at + 1..last].iter().collect();
        let words = words.trim_end();
        let (other, name) = if quote == '\'' { ('"', "an apostrophe") } else { ('\'', "a quote") };
        let found = format!("{name} inside a quoted text ends it: {}", shown(&signs[at..].iter().collect::<String>()));
        let fix = match words.contains(other) {
            false => format!("write {other}{}{other}", shown(words)),
            true => "put the whole text on lines of its own below `>`, without quotes".to_string(),
        };
        return Some((found, fix));
    }
    None
}

/// A list or block that is still being filled.
struct Open {
    place: Place,
    filling: Filling,
}

enum Filling {
    List(Vec<Node>),
    Map { entries: Vec<(String, Place, Node)>, key: Option<(String, Place)>, seen: Seen },
}

/// So many keys are looked through one by one.
const FEW_KEYS: usize = 16;

/// The keys of a block so far, put in order once there are many.
#[derive(Default)]
struct Seen {
    at: BTreeMap<String, usize>,
    /// How many entries are in order.
    taken: usize,
}

impl Seen {
    /// Where a key was first written.
    fn first<'e>(&mut self, name: &str, entries: &'e [(String, Place, Node)]) -> Option<&'e Place> {
        let first = if entries.len() <= FEW_KEYS {
            entries.iter().position(|(key, _, _)| key == name)
        } else {
            for (at, (key, _, _)) in entries.iter().enumerate().skip(self.taken) {
                self.at.entry(key.clone()).or_insert(at);
            }
            self.taken = entries.len();
            self.at.get(name).copied()
        };
        entries.get(first?).map(|(_, place, _)| place)
    }
}

struct Builder<'a> {
    file: FileName,
    /// The line in which the text starts.
    first: usize,
    stack: Vec<Open>,
    done: Option<Node>,
    documents: usize,
    findings: &'a mut Findings,
    broken: bool,
}

impl Builder<'_> {
    fn place(&self, mark: &Marker) -> Place {
        Place { file: self.file.clone(), line: mark.line() + self.first - 1, column: mark.col() + 1 }
    }

    fn take(&mut self, event: Event<'_>, span: Span) {
        let place = self.place(&span.start);
        match event {
            Event::DocumentStart(_) => {
                self.documents += 1;
                if self.documents > 1 {
                    self.refuse(
                        "second-document",
                        &place,
                        "a second document starts here (`---`)",
                        "one document in the file",
                    );
                }
            }
            Event::Alias(_) => {
                self.refuse("alias", &place, "an alias (`*name`) is here", "every value written out");
            }
            Event::Scalar(text, style, anchor, _) => {
                self.no_anchor(anchor, &place);
                self.no_hidden(&text, &place);
                let plain = style == ScalarStyle::Plain;
                let empty = plain && (text.is_empty() || text == "~" || text == "null");
                let kind = if empty { Kind::Empty } else { Kind::Scalar(composed(text)) };
                self.value(Node { kind, place });
            }
            Event::SequenceStart(anchor, _) => self.open(anchor, place, Filling::List(Vec::new())),
            Event::MappingStart(anchor, _) => {
                self.open(anchor, place, Filling::Map { entries: Vec::new(), key: None, seen: Seen::default() });
            }
            Event::SequenceEnd | Event::MappingEnd => self.close(),
            Event::Nothing | Event::StreamStart | Event::StreamEnd | Event::DocumentEnd => {}
        }
    }

    fn refuse(&mut self, code: &'static str, place: &Place, found: &str, accepts: &str) {
        self.findings.push(Finding::error(code, place, found).accepts(accepts));
        self.broken = true;
    }

    fn no_anchor(&mut self, anchor: usize, place: &Place) {
        if anchor != 0 {
            self.refuse("anchor", place, "an anchor (`&name`) is here", "every value written out");
        }
    }

    /// Said of every value and key, also where they are written with escapes.
    fn no_hidden(&mut self, text: &str, place: &Place) {
        if let Some(what) = hidden(text) {
            let found = format!("`{}` holds the character {what}", shown(&visible(text)));
            let finding =
                Finding::error("hidden-character", place, found).accepts("letters and signs that can be seen");
            self.findings.push(finding.fix("type the text again; a copied one may carry such characters along"));
        }
    }

    fn open(&mut self, anchor: usize, place: Place, filling: Filling) {
        self.no_anchor(anchor, &place);
        if self.stack.len() >= DEEPEST {
            self.refuse("too-deep", &place, "lists or blocks are nested too deep", "at most 64 levels");
            return;
        }
        self.stack.push(Open { place, filling });
    }

    fn close(&mut self) {
        let Some(open) = self.stack.pop() else { return };
        let kind = match open.filling {
            Filling::List(items) => Kind::List(items),
            Filling::Map { entries, .. } => Kind::Map(entries),
        };
        self.value(Node { kind, place: open.place });
    }

    fn value(&mut self, node: Node) {
        let Some(open) = self.stack.last_mut() else {
            self.done = Some(node);
            return;
        };
        match &mut open.filling {
            Filling::List(items) => items.push(node),
            Filling::Map { entries, key, seen } => match key.take() {
                Some((name, at)) => {
                    // A block's own mark lies past its first key's colon: the key is the place to show.
                    entries.push((name, at, node));
                }
                None => {
                    let name = match &node.kind {
                        Kind::Scalar(text) => text.clone(),
                        Kind::Empty => "null".to_string(),
                        _ => {
                            self.refuse(
                                "key",
                                &node.place,
                                "a list or block is where a key should be",
                                "a word as key",
                            );
                            return;
                        }
                    };
                    if let Some(first) = seen.first(&name, entries) {
                        let found = format!("the key `{name}` is written twice");
                        let finding = Finding::error("key-twice", &node.place, found)
                            .fix("keep one of the two")
                            .also(first, "first written here");
                        self.findings.push(finding);
                    }
                    *key = Some((name, node.place));
                }
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> (Option<Node>, Findings) {
        let mut findings = Findings::new();
        let node = parse("farm.yaml", text, &mut findings);
        (node, findings)
    }

    #[test]
    fn every_value_knows_its_place() {
        let (node, findings) = read("farm: Hill\nfields:\n  - id: \"A #1\"\n    acres: 12\n");
        assert!(findings.is_empty());
        let node = node.unwrap();
        let field = &node.get("fields").unwrap().items()[0];
        assert_eq!(field.get("id").unwrap().scalar(), Some("A #1"));
        assert_eq!(field.get("acres").unwrap().place.to_string(), "farm.yaml:4:12");
    }

    #[test]
    fn hostile_text_is_refused_without_a_panic() {
        let deep = "[".repeat(100_000);
        for text in [
            "",
            "a: [",
            "a: \"b",
            "a:\n\tb: x",
            "a: *b",
            "a: &x 1\nb: *x",
            "? [a]\n: b",
            "---\na: 1\n---\nb: 2\n",
            &deep,
        ] {
            let (node, findings) = read(text);
            assert!(node.is_none(), "{text:.20}");
            assert!(findings.has_errors(), "{text:.20}");
        }
    }

    #[test]
    fn a_key_written_twice_names_both_places() {
        let (_, findings) = read("a: 1\nb: 2\na: 3\n");
        let all = findings.sorted();
        assert_eq!(all[0].place.line, 3);
        assert_eq!(all[0].also.as_ref().unwrap().0.line, 1);
    }
}
