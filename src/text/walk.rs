//! Walking a document: asks for keys, reads quantities, and notes every
//! problem on the way.

use crate::findings::{At, Finding, Findings, Place, nearest};
use crate::text::{Kind, NO_DAY, Node, Unsigned, day, names_somebody, signed};
use crate::units::{self, Quantity, Refusal};
use std::cell::RefCell;

/// Keys that nobody asked for, each with its place, and its value where that is kept.
pub type Unread<'a> = Vec<(&'a str, &'a Place, Option<&'a Node>)>;

/// A block of keys being read. `finish` reports every key nobody asked for.
pub struct Walker<'a> {
    what: String,
    place: Place,
    entries: &'a [(String, Place, Node)],
    asked: RefCell<Vec<&'static str>>,
    /// Keys with nothing after them that were reported already.
    told: RefCell<Vec<&'static str>>,
}

/// A line that says who said something, and when.
#[derive(Clone, Debug, PartialEq)]
pub struct Signed {
    /// The line as written.
    pub text: String,
    /// The day in it.
    pub on: jiff::civil::Date,
}

/// The key form of a word in the trade: `Tall fescue` becomes `tall_fescue`.
#[must_use]
pub fn key_of(word: &str) -> String {
    word.trim().to_lowercase().replace([' ', '-'], "_")
}

impl<'a> Walker<'a> {
    /// Starts on a node that should be a block of keys; `what` names it in
    /// messages, as in "the field".
    pub fn new(what: impl Into<String>, node: &'a Node, findings: &mut Findings) -> Option<Walker<'a>> {
        let what = what.into();
        match &node.kind {
            Kind::Map(entries) => {
                // A block starts where its first key stands.
                let place = entries.first().map_or_else(|| node.place.clone(), |(_, p, _)| p.clone());
                Some(Walker { what, place, entries, asked: RefCell::default(), told: RefCell::default() })
            }
            _ => {
                let found = format!("{what} is {}", node.describe());
                findings.push(Finding::error("not-a-block", &node.place, found).accepts("a block of keys"));
                None
            }
        }
    }

    /// What the block is called in messages.
    #[must_use]
    pub fn what(&self) -> &str {
        &self.what
    }

    /// Where the block starts.
    #[must_use]
    pub fn place(&self) -> &Place {
        &self.place
    }

    /// Every entry of the block, for one whose keys are the writer's own.
    #[must_use]
    pub fn entries(&self) -> &'a [(String, Place, Node)] {
        self.entries
    }

    /// The block of keys under `key`, when there is one; `what` names it in messages.
    pub fn block(&self, key: &'static str, what: impl Into<String>, findings: &mut Findings) -> Option<Walker<'a>> {
        self.ask(key).and_then(|node| Walker::new(what, node, findings))
    }

    /// The value under `key`, when anything is written there.
    pub fn ask(&self, key: &'static str) -> Option<&'a Node> {
        let mut asked = self.asked.borrow_mut();
        if !asked.contains(&key) {
            asked.push(key);
        }
        self.entries.iter().find(|(k, _, _)| k == key).map(|(_, _, node)| node).filter(|node| node.kind != Kind::Empty)
    }

    /// The value under `key`; its absence is an error that says `accepts`.
    pub fn need(&self, key: &'static str, accepts: &str, findings: &mut Findings) -> Option<&'a Node> {
        let node = self.ask(key);
        if node.is_none() {
            let empty = self.entries.iter().find(|(k, _, _)| k == key).map(|(_, p, _)| p);
            self.told(&[key]);
            let found = match empty {
                Some(_) => format!("{}: nothing is written after `{key}:`", self.what),
                None => format!("{}: `{key}:` is missing", self.what),
            };
            let fix = match empty {
                Some(_) => format!("write it after `{key}:`, or see what is accepted"),
                None if self.place.file.ends_with(".geojson") => {
                    format!("add \"{key}\": \"...\" to the feature's properties")
                }
                None => format!("add a line `{key}: ...`"),
            };
            findings.push(Finding::error("key-missing", empty.unwrap_or(&self.place), found).accepts(accepts).fix(fix));
        }
        node
    }

    /// The text under `key`, when there is any.
    pub fn text(&self, key: &'static str, findings: &mut Findings) -> Option<At<String>> {
        let node = self.ask(key)?;
        self.text_of(key, node, findings)
    }

    /// The text under `key`, which must be there.
    pub fn need_text(&self, key: &'static str, accepts: &str, findings: &mut Findings) -> Option<At<String>> {
        let node = self.need(key, accepts, findings)?;
        self.text_of(key, node, findings)
    }

    fn text_of(&self, key: &str, node: &Node, findings: &mut Findings) -> Option<At<String>> {
        match node.scalar() {
            Some(text) if text.trim().is_empty() => {
                let found = format!("{}: `{key}` is empty", self.what);
                findings.push(
                    Finding::error("empty-text", &node.place, found)
                        .accepts("a word or a line of text")
                        .fix(format!("write it, or take `{key}` out")),
                );
                None
            }
            Some(text) => Some(At { value: text.trim().to_string(), place: node.place.clone() }),
            None => {
                let found = format!("{}: `{key}` is {}", self.what, node.describe());
                findings.push(Finding::error("not-text-value", &node.place, found).accepts("a word or a line of text"));
                None
            }
        }
    }

    /// Who says so, under `key`, which must be there and name somebody.
    pub fn need_name(&self, key: &'static str, accepts: &str, findings: &mut Findings) -> Option<At<String>> {
        let text = self.need_text(key, accepts, findings)?;
        if names_somebody(&text.value) {
            return Some(text);
        }
        let found = format!("{}: `{key}` is `{}`, which names nobody", self.what, text.value);
        findings
            .push(Finding::error("name-missing", &text.place, found).accepts(accepts).fix("write the person's name"));
        None
    }

    /// Who says so, and when, in one line under `key`, when there is any.
    pub fn signed(&self, key: &'static str, findings: &mut Findings) -> Option<At<Signed>> {
        let text = self.text(key, findings)?;
        match signed(&text.value) {
            Ok(on) => Some(At { value: Signed { text: text.value, on }, place: text.place }),
            Err(lacks) => {
                findings.push(unsigned(&self.what, key, &text, lacks));
                None
            }
        }
    }

    /// The quantity under `key`, when there is one.
    pub fn quantity<Q: Quantity>(&self, key: &'static str, findings: &mut Findings) -> Option<At<Q>> {
        let node = self.ask(key)?;
        self.quantity_of(key, node, findings)
    }

    /// The quantity under `key`, which must be there.
    pub fn need_quantity<Q: Quantity>(&self, key: &'static str, findings: &mut Findings) -> Option<At<Q>> {
        let node = self.need(key, &units::accepted::<Q>(), findings)?;
        self.quantity_of(key, node, findings)
    }

    /// The quantity that a node holds, named by `key` in messages: for the
    /// entries of a list.
    pub fn quantity_of<Q: Quantity>(&self, key: &str, node: &Node, findings: &mut Findings) -> Option<At<Q>> {
        let text = self.text_of(key, node, findings)?;
        match units::quantity::<Q>(&text.value) {
            Ok(value) => {
                if units::says_t(&text.value) {
                    findings.push(metric(&self.what, key, &text, &value));
                }
                Some(At { value, place: text.place })
            }
            Err(refusal) => {
                findings.push(refused::<Q>(&self.what, key, &text, &refusal));
                None
            }
        }
    }

    /// One quantity under `key` for everything, or a block with one for each
    /// name.
    pub fn quantities<Q: Quantity>(
        &self,
        key: &'static str,
        findings: &mut Findings,
    ) -> Vec<(Option<At<String>>, At<Q>)> {
        match self.ask(key).map(|node| (node, &node.kind)) {
            None => Vec::new(),
            Some((_, Kind::Map(entries))) => entries
                .iter()
                .filter_map(|(name, place, node)| {
                    let quantity = self.quantity_of(name, node, findings)?;
                    Some((Some(At { value: name.clone(), place: place.clone() }), quantity))
                })
                .collect(),
            Some((node, _)) => self.quantity_of(key, node, findings).map(|one| (None, one)).into_iter().collect(),
        }
    }

    /// The date under `key`, when there is one.
    pub fn date(&self, key: &'static str, findings: &mut Findings) -> Option<At<jiff::civil::Date>> {
        let text = self.text(key, findings)?;
        self.date_of(key, text, findings)
    }

    /// The date under `key`, which must be there.
    pub fn need_date(&self, key: &'static str, findings: &mut Findings) -> Option<At<jiff::civil::Date>> {
        let text = self.need_text(key, "a day of the calendar, written as 2027-03-15", findings)?;
        self.date_of(key, text, findings)
    }

    fn date_of(&self, key: &str, text: At<String>, findings: &mut Findings) -> Option<At<jiff::civil::Date>> {
        match day(&text.value) {
            Some(value) => Some(At { value, place: text.place }),
            None => {
                let found = format!("{}: `{key}` is `{}`, which is {NO_DAY}", self.what, text.value);
                findings.push(
                    Finding::error("date", &text.place, found).accepts("a day of the calendar, for example 2027-03-15"),
                );
                None
            }
        }
    }

    /// Month and day of any year under `key`, as in `03-15`; it must be there.
    pub fn need_month_day(&self, key: &'static str, findings: &mut Findings) -> Option<(i8, i8)> {
        const ACCEPTS: &str = "month and day, for example 03-15";
        let text = self.need_text(key, ACCEPTS, findings)?;
        // A leap year takes every day that exists in any year.
        let day = format!("2024-{}", text.value).parse::<jiff::civil::Date>().ok().filter(|_| text.value.len() == 5);
        if day.is_none() {
            let found = format!("{}: `{key}` is `{}`, which is no day of a year", self.what, text.value);
            findings.push(Finding::error("date", &text.place, found).accepts(ACCEPTS));
        }
        day.map(|day| (day.month(), day.day()))
    }

    /// `yes` or `no` under `key`, when there is one.
    pub fn yes_no(&self, key: &'static str, findings: &mut Findings) -> Option<At<bool>> {
        let text = self.text(key, findings)?;
        let value = match text.value.to_lowercase().as_str() {
            "yes" | "true" => true,
            "no" | "false" => false,
            _ => {
                let found = format!("{}: `{key}` is `{}`", self.what, text.value);
                findings.push(Finding::error("yes-no", &text.place, found).accepts("yes or no"));
                return None;
            }
        };
        Some(At { value, place: text.place })
    }

    /// The plain number under `key`, which must be there: one whose unit stands
    /// elsewhere.
    pub fn need_number(&self, key: &'static str, accepts: &str, findings: &mut Findings) -> Option<At<f64>> {
        let text = self.need_text(key, accepts, findings)?;
        let value = units::number(&text.value);
        if value.is_none() {
            let found = format!("{}: `{key}` is `{}`", self.what, text.value);
            findings.push(Finding::error("not-a-number", &text.place, found).accepts(accepts));
        }
        value.map(|value| At { value, place: text.place })
    }

    /// The list under `key`; an empty list when there is none.
    pub fn list(&self, key: &'static str, findings: &mut Findings) -> &'a [Node] {
        match self.ask(key) {
            None => &[],
            Some(node) => match &node.kind {
                Kind::List(items) => items,
                _ => {
                    let found = format!("{}: `{key}` is {}", self.what, node.describe());
                    let finding = Finding::error("not-a-list", &node.place, found);
                    // A change by its path gets here where the file has no entry to change.
                    findings.push(
                        match node.place.file.as_str().starts_with("--") && matches!(node.kind, Kind::Map(_)) {
                            true => Finding {
                                found: format!("{}: `{key}` has no entry yet to change", self.what),
                                ..finding
                            }
                            .accepts(format!("the path to an entry that the file has: `{key}.NAME.KEY=VALUE`"))
                            .fix(format!("write the entry under `{key}:` in farm.yaml first")),
                            false => finding.accepts("a list, each entry on a line that starts with `- `"),
                        },
                    );
                    &[]
                }
            },
        }
    }

    /// The words of the list under `key`; an empty list when there is none.
    pub fn words(&self, key: &'static str, findings: &mut Findings) -> Vec<At<String>> {
        let mut words = Vec::new();
        for node in self.list(key, findings) {
            match node.scalar() {
                Some(text) => words.push(At { value: text.trim().to_string(), place: node.place.clone() }),
                None => {
                    let found = format!("{}: `{key}` holds {}", self.what, node.describe());
                    findings.push(Finding::error("not-text-value", &node.place, found).accepts("a list of words"));
                }
            }
        }
        words
    }

    /// The keys that nobody asked for, each with its place and value, and those that
    /// somebody did: for files that other programs write too.
    #[must_use]
    pub fn unread(self) -> (Unread<'a>, Vec<&'static str>) {
        let asked = self.asked.into_inner();
        let entries = self.entries.iter().filter(|(key, _, _)| !asked.contains(&key.as_str()));
        (entries.map(|(key, place, node)| (key.as_str(), place, Some(node))).collect(), asked)
    }

    /// Where a key stands that has nothing after it. What a change took away
    /// stands in no line.
    fn started(&self, key: &str) -> Option<&'a Place> {
        let entry = self.entries.iter().find(|(own, _, node)| own == key && node.kind == Kind::Empty);
        entry.map(|(_, place, _)| place).filter(|place| place.line > 0)
    }

    /// Takes note of keys whose absence was reported.
    pub fn told(&self, keys: &[&'static str]) {
        self.told.borrow_mut().extend(keys);
    }

    /// Keys that keep litter off or lessen it: one that was started and has
    /// nothing after it is an error, since whoever began it counts on it.
    pub fn filled(&self, keys: &[&'static str], findings: &mut Findings) {
        for key in keys {
            let Some(place) = self.started(key) else { continue };
            self.told(&[key]);
            let found = format!("{}: nothing is written after `{key}:`, so it would limit nothing", self.what);
            findings.push(
                Finding::error("limit-empty", place, found).fix(format!("write it, or take the line `{key}:` out")),
            );
        }
    }

    /// Reports keys with nothing after them, and every key that nobody asked
    /// for, with the nearest known one.
    pub fn finish(self, findings: &mut Findings) {
        for key in self.asked.borrow().iter().filter(|key| !self.told.borrow().contains(key)) {
            if let Some(place) = self.started(key) {
                let found = format!("{}: nothing is written after `{key}:`, so it changes nothing", self.what);
                findings
                    .push(Finding::note("key-empty", place, found).fix("write it, or put `#` in front of the line"));
            }
        }
        let asked = self.asked.borrow();
        for (key, place, _) in self.entries {
            if asked.contains(&key.as_str()) {
                continue;
            }
            let finding = Finding::error("key-unknown", place, format!("{}: the key `{key}` is not known", self.what));
            if findings.are_many() {
                findings.push(finding);
                continue;
            }
            let known = asked.iter().copied().collect::<Vec<_>>();
            let finding = finding.accepts(format!("one of {}", known.join(", ")));
            let fix = "take the line out, or put `#` in front of it to keep it as a remark";
            findings.push(finding.fix(fix).near(key, known.iter().copied()));
        }
    }
}

/// One of the words of a list, with what it stands for.
pub fn choice<T>(
    text: At<String>,
    what: &str,
    words: &[&'static str],
    named: impl Fn(&str) -> Option<T>,
    findings: &mut Findings,
) -> Option<At<T>> {
    let value = named(&text.value);
    if value.is_none() {
        let found = format!("the {what} `{}` is not known", text.value);
        let finding = Finding::error("word-unknown", &text.place, found).accepts(words.join(", "));
        findings.push(finding.near(&text.value, words.iter().copied()));
    }
    value.map(|value| At { value, place: text.place })
}

/// A line that should say who and when, and does not.
fn unsigned(what: &str, key: &str, text: &At<String>, lacks: Unsigned) -> Finding {
    let found = format!("{what}: `{key}` is `{}`, without {}", text.value, lacks.missing());
    Finding::error("who-when", &text.place, found)
        .accepts("who said so and on which day, as in `Dell Farrow, 2026-10-20`")
        .fix("write the person's name and the date")
}

/// A `t`, which was taken for what it is.
fn metric<Q: Quantity>(what: &str, key: &str, text: &At<String>, value: &Q) -> Finding {
    let written = &text.value;
    let digits = written.trim_end_matches(['t', 'T']).trim_end();
    let found = format!(
        "{what}: `{key}` is `{written}`, and t is the metric ton: that is {} {}",
        units::number_text(value.get(), 2),
        Q::UNIT
    );
    Finding::warning("unit-metric-ton", &text.place, found)
        .accepts("tons of 2,000 lb; or tonnes, which are 1,000 kg")
        .fix(format!("write `{key}: {digits} tons` if short tons are meant, else `{key}: {digits} tonnes`"))
}

fn refused<Q: Quantity>(what: &str, key: &str, text: &At<String>, refusal: &Refusal) -> Finding {
    let written = &text.value;
    let (code, found, fix) = match refusal {
        Refusal::NotANumber => (
            "not-a-number",
            format!("{what}: `{key}` is `{written}`, which does not start with a plain number"),
            format!("write a number and its unit, for example `{key}: {} {}`", example::<Q>(), Q::UNIT),
        ),
        Refusal::NoUnit => (
            "unit-missing",
            format!("{what}: `{key}` is `{written}`, without a unit"),
            format!("if {} are meant, write `{key}: {written} {}`", Q::UNIT, Q::UNIT),
        ),
        Refusal::ForeignUnit(unit) => {
            let near = nearest(unit, Q::SPELLINGS.iter().map(|(s, _)| *s));
            (
                "unit-unknown",
                format!("{what}: `{key}` is `{written}`; {} is not measured in `{unit}`", Q::WORD),
                near.map_or_else(|| format!("convert it to {}", Q::UNIT), |near| format!("did you mean `{near}`?")),
            )
        }
        Refusal::OutOfRange { least, most, unit } => (
            "out-of-range",
            format!(
                "{what}: `{key}` is `{written}`, which does not lie between {} and {} {unit}",
                units::trimmed(*least),
                units::trimmed(*most)
            ),
            "compare the number and its unit with where it came from".to_string(),
        ),
    };
    Finding::error(code, &text.place, found).accepts(units::accepted::<Q>()).fix(fix)
}

/// A number that `Q` accepts, for an example in a message.
fn example<Q: Quantity>() -> String {
    units::trimmed((Q::LEAST.max(0.0) + 4.0).min(Q::MOST))
}
