//! The records of one file of `reference/`: every one is checked, and every
//! fault reported at its line.

use crate::findings::{At, Finding, Findings, Known, Place};
use crate::tables::figure::{Edition, Figure, Inherits, Other, PlaceTable, Source};
use crate::tables::read_rule;
use crate::tables::thing::Thing;
use crate::tables::topic::{self, TOPICS, Topic};
use crate::tables::value::{Band, ClassStep, MonthDay, Season, Shape, ValueForm};
use crate::text::{self, Kind, Node, Walker, choice, key_of};
use crate::units::{self, SoilScale};
use std::collections::BTreeMap;

/// The file of sources, of a place or of all.
pub(super) const SOURCES: &str = "sources.yaml";
/// Where a figure's source is looked for.
const SOURCE: &str = "a key of sources.yaml";
/// Where in a source.
const AT: &str = "the section, table or page";
/// A date of a figure.
const DATE: &str = "a full date, for example 2026-11-25";
/// How a figure can be known.
const KNOWN: [Known; 4] = [Known::Read, Known::Applied, Known::Memory, Known::CommonPractice];

/// What stands in one file.
#[derive(Default)]
pub(super) struct Records {
    /// Sources by key, each with its line.
    pub(super) sources: Vec<(String, Place, Source)>,
    /// The place that the file describes.
    pub(super) place: Option<PlaceTable>,
    /// Figures of a place.
    pub(super) figures: Vec<Figure>,
    /// The sources that figures name, each with its line.
    pub(super) used: Vec<At<String>>,
    /// What is wrong.
    pub(super) findings: Findings,
}

impl Records {
    /// Reads a file by its path below `reference/`.
    pub(super) fn of(path: &str, text: &str) -> Records {
        let mut records = Records::default();
        let file = format!("reference/{path}");
        let folder = path.rsplit_once('/');
        if folder.is_none() && path != SOURCES {
            let finding = Finding::error("reference", &Place::file(&file), "a file beside the places");
            records.findings.push(finding.accepts("sources.yaml, states.yaml, or a folder a place"));
            return records;
        }
        let tree = text::parse(&file, text, &mut records.findings);
        let Some(walk) = tree.as_ref().and_then(|tree| Walker::new("the file", tree, &mut records.findings)) else {
            return records;
        };
        match folder {
            Some((place, "place.yaml")) => records.place(place, walk),
            _ => {
                for (key, line, node) in walk.entries() {
                    match folder {
                        None | Some((_, SOURCES)) => records.source(key, line, node),
                        Some((place, _)) => records.figure(place, key, line, node),
                    }
                }
            }
        }
        records
    }

    fn fault(&mut self, place: &Place, found: impl Into<String>, accepts: impl Into<String>) {
        self.findings.push(Finding::error("reference", place, found).accepts(accepts));
    }

    fn source(&mut self, key: &str, line: &Place, node: &Node) {
        let findings = &mut self.findings;
        let Some(walk) = Walker::new(format!("source `{key}`"), node, findings) else { return };
        let title = walk.need_text("title", "the title as printed", findings);
        let publisher = walk.need_text("publisher", "who published it", findings);
        let year = walk.need_text("year", "a year, a span of years, or `year not given`", findings);
        let [address, number] = ["address", "number"].map(|key| walk.text(key, findings).map(|text| text.value));
        walk.text("note", findings);
        walk.finish(findings);
        if let (Some(title), Some(publisher), Some(year)) = (title, publisher, year) {
            let [title, publisher, year] = [title, publisher, year].map(|text| text.value);
            let source = Source { title, publisher, year, address, number };
            self.sources.push((key.to_string(), line.clone(), source));
        }
    }

    fn place(&mut self, key: &str, walk: Walker<'_>) {
        let findings = &mut self.findings;
        let line = walk.place().clone();
        let name = walk.need_text("name", "the name of the place", findings);
        let decides = walk.need_text("decides", "who has the last word there", findings);
        let within = walk.text("within", findings);
        let regions = walk.words("regions", findings);
        let test = walk.block("soil_test", "`soil_test`", findings);
        let mut of_test = |key| test.as_ref().and_then(|test| test.text(key, findings));
        let [extractant, p_unit, k_unit] = ["extractant", "p_unit", "k_unit"].map(&mut of_test);
        if let Some(test) = test {
            test.finish(findings);
        }
        let exceptions = inherits(&walk, findings);
        let asks = walk.words("asks", findings).into_iter().filter_map(|word| topic_of(word, findings)).collect();
        let checks = walk.words("checks", findings).into_iter().map(|word| word.value).collect();
        walk.text("note", findings);
        walk.finish(findings);
        let (Some(name), Some(decides)) = (name, decides) else { return };
        let table = PlaceTable {
            key: key.to_string(),
            name: name.value,
            within: within.as_ref().map(|w| w.value.clone()),
            decides: decides.value,
            regions: regions.iter().map(|r| key_of(&r.value)).collect(),
            extractant: extractant.map(|e| key_of(&e.value)),
            p_unit: p_unit.and_then(|unit| scale(unit, findings)),
            k_unit: k_unit.and_then(|unit| scale(unit, findings)),
            exceptions,
            asks,
            checks,
            figures: Vec::new(),
            line: within.map_or(line, |w| w.place),
            bare: false,
        };
        self.place = Some(table);
    }

    fn figure(&mut self, of: &str, id: &str, line: &Place, node: &Node) {
        let findings = &mut self.findings;
        let Some(walk) = Walker::new(format!("figure `{id}`"), node, findings) else { return };
        let named = walk.need_text("topic", "what kind of figure it is", findings);
        let topic = named.and_then(|word| topic_of(word, findings));
        let what = walk.need_text("what", "what the figure is, in words", findings);
        let unit = walk.need_text("unit", "the unit of its value; `none` for words and days", findings);
        let unit = unit.filter(|unit| topic.is_none_or(|topic| unit_fits(&walk, topic, unit, findings)));
        let applies = applies(&walk, topic, findings);
        let seen = walk.need_date("seen", findings);
        let dated = walk.need("from", "a block of dates, each with a value and its papers", findings);
        let dated = dated.and_then(|node| Walker::new(format!("figure `{id}`: `from`"), node, findings));
        let others = walk.list("others", findings);
        let mut editions = Vec::new();
        for (date, place, node) in dated.iter().flat_map(Walker::entries) {
            let Some(edition) = self.edition(id, topic, (date, place), node) else { continue };
            if let (Some(topic), Some(unit)) = (topic, &unit)
                && edition.shape != Shape::Withdrawn
                && !topic.takes(&edition.shape, &unit.value)
            {
                let value = node.get("value");
                let written = value.and_then(Node::scalar).unwrap_or("its value in");
                let found = format!("figure `{id}` from {date}: {written} {} is out of bounds", unit.value);
                self.fault(value.map_or(place, |value| &value.place), found, topic.accepts());
            }
            editions.push(edition);
        }
        editions.sort_by_key(|e| e.from);
        let others = others.iter().filter_map(|node| self.other(id, node)).collect();
        walk.finish(&mut self.findings);
        let (Some(topic), Some(what), Some(unit), Some(seen)) = (topic, what, unit, seen) else { return };
        let [id, of] = [id, of].map(str::to_string);
        let (what, unit, seen, line) = (what.value, unit.value, seen.value, line.clone());
        let figure = Figure { id, of, topic, what, unit, applies, editions, seen, others, line };
        if let Some((found, accepts)) = (topic == topic::PLAUSIBLE).then(|| Thing::fault(&figure)).flatten() {
            self.fault(&figure.line, found, accepts);
        }
        self.figures.push(figure);
    }

    fn edition(
        &mut self,
        id: &str,
        topic: Option<Topic>,
        (date, place): (&str, &Place),
        node: &Node,
    ) -> Option<Edition> {
        let from = text::day(date);
        if from.is_none() {
            self.fault(place, format!("figure `{id}`: `{date}` is {}", text::NO_DAY), DATE);
        }
        let findings = &mut self.findings;
        let walk = Walker::new(format!("figure `{id}` from {date}"), node, findings)?;
        let shape = shape(&walk, node, topic?, findings);
        let note = walk.text("note", findings).map(|note| note.value);
        let (source, at, known) = self.papers(&walk)?;
        walk.finish(&mut self.findings);
        Some(Edition { from: from?, shape: shape?, source, at, known, note })
    }

    fn other(&mut self, id: &str, node: &Node) -> Option<Other> {
        let findings = &mut self.findings;
        let walk = Walker::new(format!("figure `{id}`: an entry of `others`"), node, findings)?;
        let value = walk.need_text("value", "what that source says", findings);
        let why_not = walk.need_text("why_not", "why it is not the one in force", findings);
        let papers = self.papers(&walk);
        walk.finish(&mut self.findings);
        let (source, at, known) = papers?;
        Some(Other { value: value?.value, source, at, known, why_not: why_not?.value })
    }

    /// Source, place in it, and how it is known.
    fn papers(&mut self, walk: &Walker<'_>) -> Option<(String, String, Known)> {
        let findings = &mut self.findings;
        let source = walk.need_text("source", SOURCE, findings);
        let at = walk.need_text("at", AT, findings);
        let words = KNOWN.map(Known::word);
        let known = walk.need_text("known", &words.join(", "), findings).and_then(|word| {
            choice(word, "word for `known`", &words, |word| KNOWN.into_iter().find(|k| k.word() == word), findings)
        });
        self.used.extend(source.clone());
        Some((source?.value, at?.value, known?.value))
    }
}

/// A topic by its key.
fn topic_of(word: At<String>, findings: &mut Findings) -> Option<Topic> {
    // There are hundreds of figures, and nearly all name their topic rightly.
    Topic::named(&word.value).or_else(|| {
        let keys: Vec<&'static str> = TOPICS.iter().map(|t| t.key()).collect();
        choice(word, "topic", &keys, Topic::named, findings).map(|topic| topic.value)
    })
}

/// The scale of a soil test by its name.
fn scale(word: At<String>, findings: &mut Findings) -> Option<SoilScale> {
    let names = SoilScale::SPELLINGS.map(|(name, _)| name);
    choice(word, "unit of a soil test", &names, SoilScale::named, findings).map(|scale| scale.value)
}

/// Whether a figure of a topic may be written in a unit.
fn unit_fits(walk: &Walker<'_>, topic: Topic, unit: &At<String>, findings: &mut Findings) -> bool {
    let units = topic.units();
    if units.is_empty() || units::factor(units, &unit.value).is_some() {
        return true;
    }
    let found = format!("{}: `unit` is `{}`", walk.what(), unit.value);
    findings.push(
        Finding::error("unit-unknown", &unit.place, found)
            .accepts(topic.accepts())
            .fix("convert the value, or look whether the topic is the right one")
            .near(&unit.value, units.iter().map(|(name, _)| *name)),
    );
    false
}

/// The topics that stand to the wider place otherwise than most do.
fn inherits(walk: &Walker<'_>, findings: &mut Findings) -> BTreeMap<Topic, Inherits> {
    const HOW: [(&str, Inherits); 3] = [
        ("from_within", Inherits::FromWithin),
        ("stricter_of", Inherits::StricterOf),
        ("replaces", Inherits::Replaces),
    ];
    let words = HOW.map(|(word, _)| word);
    let block = walk.block("inherits", "`inherits`", findings);
    let mut inherits = BTreeMap::new();
    for (key, place, node) in block.iter().flat_map(Walker::entries) {
        let topic = topic_of(At { value: key.clone(), place: place.clone() }, findings);
        let word = At { value: node.scalar().unwrap_or_default().to_string(), place: node.place.clone() };
        let named = |word: &str| HOW.into_iter().find(|(name, _)| *name == word).map(|(_, how)| how);
        let how = choice(word, &format!("word after `{key}:`"), &words, named, findings);
        inherits.extend(topic.zip(how.map(|how| how.value)));
    }
    inherits
}

/// What a figure applies to; only the scope keys of its topic are known.
fn applies(walk: &Walker<'_>, topic: Option<Topic>, findings: &mut Findings) -> BTreeMap<String, String> {
    let Some(block) = walk.block("applies", format!("{}: `applies`", walk.what()), findings) else {
        return BTreeMap::new();
    };
    let Some(topic) = topic else { return BTreeMap::new() };
    let mut applies = BTreeMap::new();
    for key in topic.scope() {
        if let Some(word) = block.text(key, findings) {
            applies.insert((*key).to_string(), key_of(&word.value));
        }
    }
    block.finish(findings);
    applies
}

/// The value of an edition, in the form of its topic. `value: null` says that
/// the figure no longer holds.
fn shape(walk: &Walker<'_>, node: &Node, topic: Topic, findings: &mut Findings) -> Option<Shape> {
    if node.get("value").is_some_and(|value| value.kind == Kind::Empty) {
        walk.ask("value");
        walk.told(&["value"]);
        return Some(Shape::Withdrawn);
    }
    match topic.form() {
        ValueForm::NumberOrCurve if walk.ask("curve").is_some() => {
            let block = walk.block("curve", format!("{}: the curve", walk.what()), findings)?;
            let [a, b, c] = ["a", "b", "c"].map(|key| block.need_number(key, "a number", findings));
            // A curve over a soil test says on which scale that is.
            let over = block.need_text("over", "index, ppm or lb/ac of the soil test, or sine", findings)?;
            let over = if over.value == "sine" { None } else { Some(scale(over, findings)?) };
            block.finish(findings);
            Some(Shape::Curve { a: a?.value, b: b?.value, c: c?.value, over })
        }
        ValueForm::Number | ValueForm::NumberOrCurve => walk
            .need_number("value", "a number; its unit stands under `unit`", findings)
            .map(|n| Shape::Number(n.value)),
        ValueForm::Steps => steps(walk, findings),
        ValueForm::Season => {
            walk.need("season", "a block of `opens` and `closes`, each month-day", findings)?;
            let block = walk.block("season", format!("{}: `season`", walk.what()), findings)?;
            let [opens, closes] = ["opens", "closes"]
                .map(|key| block.need_month_day(key, findings).map(|(month, day)| MonthDay { month, day }));
            block.finish(findings);
            Some(Shape::Season(Season { opens: opens?, closes: closes? }))
        }
        ValueForm::Words => {
            walk.need_text("words", "a word or a sentence", findings).map(|words| Shape::Words(words.value))
        }
        ValueForm::Band => band(walk, findings),
        ValueForm::Rule => read_rule::rule(walk, findings),
        ValueForm::Rating => read_rule::rating(walk, findings),
    }
}

fn steps(walk: &Walker<'_>, findings: &mut Findings) -> Option<Shape> {
    const ACCEPTS: &str = "rising `up_to` values and a last step without one";
    let list = walk.need("steps", ACCEPTS, findings)?;
    let mut steps = Vec::new();
    for node in walk.list("steps", findings) {
        let step = Walker::new(format!("{}: a step", walk.what()), node, findings)?;
        let up_to = step.ask("up_to").map(|_| step.need_number("up_to", "a number", findings));
        let is = step.need_text("is", "the class", findings);
        step.finish(findings);
        steps.push(ClassStep { up_to: up_to.map(|u| u.map(|u| u.value)).unwrap_or(None), is: is?.value });
    }
    let ends: Vec<f64> = steps.iter().map(|step| step.up_to.unwrap_or(f64::INFINITY)).collect();
    if !ends.is_sorted_by(|a, b| a < b) || ends.last().is_none_or(|last| last.is_finite()) {
        let found = format!("{}: its steps overlap or leave a gap", walk.what());
        findings.push(Finding::error("reference", &list.place, found).accepts(ACCEPTS));
        return None;
    }
    Some(Shape::Steps(steps))
}

/// What is usual, which lies within what can be at all.
fn band(walk: &Walker<'_>, findings: &mut Findings) -> Option<Shape> {
    const ACCEPTS: &str = "`usual: [least, most]` within `wide: [least, most]`";
    let written = walk.need("band", ACCEPTS, findings)?;
    let block = walk.block("band", format!("{}: the band", walk.what()), findings)?;
    let pair = |key| -> Option<(f64, f64)> {
        let numbers: Vec<f64> =
            block.ask(key)?.items().iter().map(|n| units::number(n.scalar()?)).collect::<Option<_>>()?;
        <[f64; 2]>::try_from(numbers).ok().map(|[least, most]| (least, most))
    };
    let band = pair("usual").zip(pair("wide")).map(|(usual, wide)| Band { usual, wide });
    block.finish(findings);
    let rises = |b: &Band| b.wide.0 <= b.usual.0 && b.usual.0 < b.usual.1 && b.usual.1 <= b.wide.1;
    let band = band.filter(rises);
    if band.is_none() {
        let found = format!("{}: the band does not rise, or its usual range is not within the wide one", walk.what());
        findings.push(Finding::error("reference", &written.place, found).accepts(ACCEPTS));
    }
    band.map(Shape::Band)
}
