//! A document as a tree in which every value knows its place.

use crate::findings::Place;

/// One value of a document.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// What stands there.
    pub kind: Kind,
    /// Where it stands.
    pub place: Place,
}

/// What a value is.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// Nothing was written after the key.
    Empty,
    /// A piece of text, a number or a date: always as it was written.
    Scalar(String),
    /// A list.
    List(Vec<Node>),
    /// A block of keys, in the order written, each with its own place.
    Map(Vec<(String, Place, Node)>),
}

impl Node {
    /// The text of a scalar.
    #[must_use]
    pub fn scalar(&self) -> Option<&str> {
        match &self.kind {
            Kind::Scalar(text) => Some(text),
            _ => None,
        }
    }

    /// The value under a key of a block.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<&Node> {
        match &self.kind {
            Kind::Map(entries) => entries.iter().find(|(k, _, _)| k == key).map(|(_, _, n)| n),
            _ => None,
        }
    }

    /// The items of a list; none for anything else.
    #[must_use]
    pub fn items(&self) -> &[Node] {
        match &self.kind {
            Kind::List(items) => items,
            _ => &[],
        }
    }

    /// In words: what stands there.
    #[must_use]
    pub fn describe(&self) -> String {
        match &self.kind {
            Kind::Empty => "nothing".to_string(),
            Kind::Scalar(text) => format!("`{text}`"),
            Kind::List(items) => format!("a list of {}", items.len()),
            Kind::Map(entries) => format!("a block of {} keys", entries.len()),
        }
    }
}
