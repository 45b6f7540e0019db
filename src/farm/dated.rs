//! Records that each hold from a day on: soil tests, analyses, ratings. A key
//! takes one of them, or a list.

use crate::findings::{At, Finding, Findings};
use crate::text::{Kind, Node, Walker};
use jiff::civil::Date;

/// A record with the day from which on it holds.
pub trait HasDay {
    /// The day.
    fn day(&self) -> &At<Date>;
}

/// Records in the order of their days.
#[derive(Clone, Debug, PartialEq)]
pub struct Dated<T> {
    all: Vec<T>,
}

impl<T> Default for Dated<T> {
    fn default() -> Dated<T> {
        Dated { all: Vec::new() }
    }
}

impl<T: HasDay> Dated<T> {
    /// The records, whatever order they come in.
    #[must_use]
    pub fn new(mut all: Vec<T>) -> Dated<T> {
        all.sort_by_key(|record| record.day().value);
        Dated { all }
    }

    /// What is in force on a day: the newest record up to it; before the first
    /// one, the first.
    #[must_use]
    pub fn on(&self, day: Date) -> Option<&T> {
        self.all.iter().rev().find(|record| record.day().value <= day).or(self.all.first())
    }

    /// The newest of all.
    #[must_use]
    pub fn newest(&self) -> Option<&T> {
        self.all.last()
    }

    /// All of them, the oldest first.
    pub fn iter(&self) -> std::slice::Iter<'_, T> {
        self.all.iter()
    }

    /// The same with one more.
    #[must_use]
    pub fn with(&self, record: T) -> Dated<T>
    where
        T: Clone,
    {
        Dated::new(self.all.iter().cloned().chain([record]).collect())
    }

    /// The same as a list.
    #[must_use]
    pub fn into_list(self) -> Vec<T> {
        self.all
    }
}

/// The record under a key, or the list of records; none where one of them cannot
/// be read. `what` names several of them in messages.
pub(super) fn records<T: HasDay>(
    walk: &Walker<'_>,
    (key, what): (&'static str, &str),
    read: impl Fn(&Node, &mut Findings) -> Option<T>,
    findings: &mut Findings,
) -> Option<Dated<T>> {
    let Some(node) = walk.ask(key) else { return Some(Dated::default()) };
    let Kind::List(items) = &node.kind else { return read(node, findings).map(|one| Dated::new(vec![one])) };
    if items.is_empty() {
        let found = format!("{}: `{key}` is an empty list", walk.what());
        findings.push(
            Finding::error("list-empty", &node.place, found)
                .accepts("one block of keys, or a list with a block for each day")
                .fix(format!("write one, or take `{key}` out")),
        );
        return None;
    }
    let all: Vec<Option<T>> = items.iter().map(|item| read(item, findings)).collect();
    let dated = Dated::new(all.into_iter().collect::<Option<Vec<T>>>()?);
    let mut sound = true;
    for pair in dated.all.windows(2) {
        let [first, second] = [pair[0].day(), pair[1].day()];
        if first.value == second.value {
            sound = false;
            let found = format!("{}: two {what} of {}", walk.what(), second.value);
            findings.push(
                Finding::error("same-day", &second.place, found)
                    .accepts("one of a day")
                    .fix("correct one of the days, or take the wrong one out")
                    .also(&first.place, "the other one"),
            );
        }
    }
    sound.then_some(dated)
}
