//! One line of `farm.yaml` as if it read otherwise: `KEY=VALUE`, put into the
//! tree before anything is read from it, so that every check sees it.

use crate::findings::{Finding, Findings, Place};
use crate::text::{self, Kind, Node, same_name};

/// One change.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// The path, with dots: `fields.B1.yield_goal`.
    pub key: String,
    /// What is to stand there, as in the file; nothing takes the key away.
    pub value: String,
}

/// By these an entry of a list is called, the first that it has.
const NAMES: [&str; 9] = ["id", "lot", "name", "year", "topic", "kind", "sampled", "until", "on"];
/// A path has no more parts than this: a farm file is five levels deep.
const DEEPEST: usize = 16;

impl std::str::FromStr for Change {
    type Err = String;

    fn from_str(given: &str) -> Result<Change, String> {
        let (key, value) = given.split_once('=').ok_or("KEY=VALUE, for example prices.n=0.70 $/lb")?;
        let key = key.trim();
        if key.is_empty() || key.split('.').any(str::is_empty) || key.split('.').count() > DEEPEST {
            return Err(format!("`{key}` is not a path of keys such as fields.B1.yield_goal"));
        }
        Ok(Change { key: text::composed(key), value: value.trim().to_string() })
    }
}

impl std::fmt::Display for Change {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}={}", self.key, self.value)
    }
}

impl Change {
    /// What findings name in place of a file.
    #[must_use]
    pub fn file(&self) -> String {
        format!("--with {}", self.key)
    }
}

/// Makes the changes, one after the other.
pub(super) fn all(tree: &mut Node, changes: &[Change], findings: &mut Findings) {
    for change in changes {
        let file = change.file();
        let value = if change.value.is_empty() {
            Some(Node { kind: Kind::Empty, place: Place::file(&file) })
        } else {
            let mut wrong = Findings::new();
            let value = text::parse(&file, &change.value, &mut wrong);
            for finding in wrong.sorted() {
                findings.push(Finding { place: Place::file(&file), ..finding.clone() });
            }
            value
        };
        let Some(mut value) = value else { continue };
        placed(&mut value, &Place::file(&file));
        let parts: Vec<&str> = change.key.split('.').collect();
        if let Err(finding) = put(tree, &parts, value, &file) {
            findings.push(*finding);
        }
    }
}

/// Everything in the value stands at the change: it has no line.
fn placed(node: &mut Node, place: &Place) {
    node.place = place.clone();
    match &mut node.kind {
        Kind::List(items) => items.iter_mut().for_each(|item| placed(item, place)),
        Kind::Map(entries) => {
            for (_, at, item) in entries {
                *at = place.clone();
                placed(item, place);
            }
        }
        Kind::Empty | Kind::Scalar(_) => {}
    }
}

fn put(node: &mut Node, parts: &[&str], value: Node, file: &str) -> Result<(), Box<Finding>> {
    let Some((first, rest)) = parts.split_first() else {
        *node = value;
        return Ok(());
    };
    let place = Place::file(file);
    // A key that is allowed but absent is added; the reader says when it is
    // not known.
    if node.kind == Kind::Empty {
        *node = Node { kind: Kind::Map(Vec::new()), place: place.clone() };
    }
    match &mut node.kind {
        Kind::Map(entries) => {
            let at = match entries.iter().position(|(key, _, _)| key == first) {
                Some(at) => at,
                None => {
                    let empty = Node { kind: Kind::Empty, place: place.clone() };
                    entries.push(((*first).to_string(), place, empty));
                    entries.len() - 1
                }
            };
            if rest.is_empty() {
                entries[at].1 = Place::file(file);
            }
            put(&mut entries[at].2, rest, value, file)
        }
        Kind::List(items) => {
            // A name may hold dots itself: the longest that fits is meant.
            let known: Vec<String> = items.iter().filter_map(name).collect();
            let fits = (1..=parts.len()).rev().find_map(|n| {
                let called = parts[..n].join(".");
                let at = items.iter().position(|i| name(i).is_some_and(|own| same_name(&own, &called)))?;
                Some((at, n))
            });
            match fits {
                Some((at, n)) => put(&mut items[at], &parts[n..], value, file),
                None => {
                    let finding = Finding::error("with-entry", &place, format!("no entry is called `{first}`"));
                    let finding = finding.accepts(format!("one of {}", known.join(", ")));
                    Err(Box::new(finding.near(first, known.iter().map(String::as_str))))
                }
            }
        }
        Kind::Scalar(_) | Kind::Empty => {
            let found = format!("`{first}` is looked for inside {}", node.describe());
            Err(Box::new(Finding::error("with-path", &place, found).accepts("a path that ends at a value")))
        }
    }
}

/// What an entry of a list is called.
fn name(node: &Node) -> Option<String> {
    NAMES.iter().find_map(|key| node.get(key)?.scalar().map(|text| text.trim().to_string()))
}
