//! What no table by itself shows and a place still needs, as findings: file,
//! line, what was found, what is accepted, how to fix it. Whoever adds a place
//! or a figure reads them all at once.

use crate::{book, figures, root};
use jiff::civil::{Date, date};
use std::collections::{BTreeMap, BTreeSet};
use sward::farm::FEATURES;
use sward::findings::{APPLIED, Finding, Findings, Known, NO_YEAR, Place, nearest};
use sward::tables::{
    CoverageAnswer, Edition, Figure, Inherits, PlaceTable, Scope, Season, Tables, Topic, ValueForm, topic,
};

/// What a ton of hay carries off, which grasses differ in.
const REMOVAL: [&str; 3] = ["n_removed_per_ton", "p2o5_per_ton", "k2o_per_ton"];

/// Everything that is missing or wrong in the tables as a whole.
pub(crate) fn findings(tables: &Tables) -> Findings {
    let mut found = Told(Findings::new());
    for (key, figure) in figures(tables) {
        found.papers(figure);
        found.pools(tables, key, figure);
    }
    found.sources(tables);
    found.words(tables);
    for place in tables.places.values() {
        found.asked(place);
        found.examples(place);
        found.closed(tables, place);
        found.hidden(tables, place);
    }
    found.answered(tables);
    found.0
}

struct Told(Findings);

impl Told {
    fn tell(&mut self, place: &Place, found: String, accepts: &str, fix: &str) {
        self.0.push(Finding::error("reference", place, found).accepts(accepts).fix(fix));
    }

    /// The id, and what is said of how the figure is known.
    fn papers(&mut self, figure: &Figure) {
        let (line, topic) = (&figure.line, figure.topic.key());
        if figure.id.split('.').next() != Some(topic) {
            let found = format!("`{}` does not begin with its topic `{topic}`", figure.id);
            self.tell(
                line,
                found,
                "the topic, a dot, and what tells it apart",
                &format!("call it `{topic}.` and more"),
            );
        }
        for edition in &figure.editions {
            let Edition { from, source, known, .. } = edition;
            let trade = source == "trade" || source.ends_with("_trade");
            if trade != (*known == Known::CommonPractice) {
                let found = format!("`{}` from {from} is `{}` of the source `{source}`", figure.id, known.word());
                let accepts = "common practice with the source `trade` or one that ends in `_trade`, and no other so";
                self.tell(line, found, accepts, "name where it is printed, or say that it is common practice");
            }
            let applied = edition.note.as_deref().unwrap_or_default().starts_with(APPLIED);
            if applied != (*known == Known::Applied) {
                let found = format!("`{}` from {from} is `{}`, and its note says otherwise", figure.id, known.word());
                let accepts = "`known: applied` with a note that begins `applied:`, and no other so";
                self.tell(line, found, accepts, "say in the note what it was printed for");
            }
            let note = edition.note.as_deref().unwrap_or_default().to_lowercase();
            let forage = figure.applies.get("forage").map_or("", String::as_str);
            let mut own = forage.split('_').filter(|word| ["hybrid", "common", "tall"].iter().all(|w| w != word));
            let own = own.next_back().unwrap_or_default();
            if REMOVAL.contains(&topic) && *known == Known::Read && note.contains("printed for") && !note.contains(own)
            {
                let found = format!("`{}` from {from} is `read`, and printed for something else", figure.id);
                let accepts = "`known: applied` for what hay carries off, where its source does not name the forage";
                self.tell(line, found, accepts, "write `known: applied` and a note that begins `applied:`");
            }
            let honest = edition.note.as_deref().unwrap_or_default().starts_with("from memory; not read");
            if *known == Known::Memory && !honest {
                let found = format!("`{}` from {from} is from memory, and its note does not begin so", figure.id);
                self.tell(line, found, "a note that begins `from memory; not read`", "write it, and where to look");
            }
        }
    }

    /// Whoever doubts a figure that was read can find its source.
    fn sources(&mut self, tables: &Tables) {
        let editions = figures(tables).flat_map(|(_, figure)| figure.editions.iter().map(move |e| (figure, e)));
        let mut told = BTreeSet::new();
        for (figure, edition) in editions.filter(|(_, e)| matches!(e.known, Known::Read | Known::Applied)) {
            let Some(source) = tables.sources.get(&edition.source).filter(|_| told.insert(&edition.source)) else {
                continue;
            };
            let said = |text: &Option<String>| text.as_ref().is_some_and(|text| !text.trim().is_empty());
            if !said(&source.address) && !said(&source.number) {
                let found = format!(
                    "`{}` was read, and its source `{}` has neither address nor number",
                    figure.id, edition.source
                );
                let accepts = "an `address`, or the `number` of the volume, bulletin or section";
                self.tell(&figure.line, found, accepts, "write where it can be found, or say that it is from memory");
            }
            let mut years = source.year.split(|c: char| !c.is_ascii_digit());
            if source.year != NO_YEAR && !years.any(|part| part.len() == 4) {
                let found = format!("source `{}`: its year is `{}`", edition.source, source.year);
                let fix = "write the year that is printed on it, and `year not given` where none is";
                self.tell(&figure.line, found, "a year, a span of years, or `year not given`", fix);
            }
        }
    }

    /// A share of a part of the nitrogen counts only beside that of the other part.
    fn pools(&mut self, tables: &Tables, key: &str, figure: &Figure) {
        let parts: [Topic; 2] = [topic::N_ORGANIC_AVAILABLE.into(), topic::N_AMMONIUM_KEPT.into()];
        // Later years go by the organic part alone, whatever the first does.
        let later = figure.applies.get("year").is_some_and(|year| year != "1");
        let asked = parts.iter().any(|part| tables.places[key].asks.contains(part));
        if !parts.contains(&figure.topic) || later || asked {
            return;
        }
        let usual = Scope::new().material("broiler_litter").placement("surface").days("none").year("1");
        let scope = figure.applies.iter().fold(usual, |scope, (key, word)| scope.with(key, word));
        if !book(tables, key, Date::MAX).by_pools(&scope) {
            let found =
                format!("`{}` is never used: the share of the other part of the nitrogen is missing", figure.id);
            let accepts = "both n_organic_available and n_ammonium_kept, or one of them under `asks`";
            self.tell(&figure.line, found, accepts, "write the other part, or ask the grower for it");
        }
    }

    /// A slip in a scope word would make a figure that nobody ever asks for.
    fn words(&mut self, tables: &Tables) {
        let known = known_words(tables);
        for (key, figure) in figures(tables) {
            for (word, value) in &figure.applies {
                let regions = || tables.places[key].regions.iter().cloned().collect();
                let own = if word == "region" { Some(regions()) } else { known.get(word.as_str()).cloned() };
                let Some(own) = own.filter(|own: &BTreeSet<String>| !own.contains(value)) else { continue };
                let near = nearest(value, own.iter().map(String::as_str)).map(|near| format!("did you mean `{near}`?"));
                let fix = match word.as_str() {
                    "region" => "write a region of the place, or add it to `regions:` of place.yaml",
                    "forage" => "a new forage needs `p2o5_per_ton` before all else",
                    "material" => "a new kind of litter needs `litter_typical` before all else",
                    _ => "see the words of reference/about.md",
                };
                let found = format!("`{}` applies to {word} `{value}`, which no farm has", figure.id);
                let accepts = own.iter().cloned().collect::<Vec<_>>().join(", ");
                self.tell(&figure.line, found, &accepts, &near.unwrap_or_else(|| fix.to_string()));
            }
        }
    }

    /// A question asked of the grower is one that he can answer.
    fn asked(&mut self, place: &PlaceTable) {
        for topic in place.asks.iter().filter(|topic| !said_by_a_farm(**topic)) {
            let found = format!("`asks` names `{}`, which no grower can write", topic.key());
            self.tell(
                &place.line,
                found,
                "topics whose figures are numbers",
                "write the figures, and take the word out",
            );
        }
    }

    /// The published examples that a place names are there.
    fn examples(&mut self, place: &PlaceTable) {
        for name in &place.checks {
            let file = format!("tests/published/{name}.yaml");
            if !root().join(&file).is_file() {
                let found = format!("`checks` names `{name}`, and {file} is not there");
                self.tell(
                    &place.line,
                    found,
                    "names of files in tests/published",
                    "write the example, or take the name out",
                );
            }
        }
    }

    /// Where nothing may be spread, no window of any forage is open.
    fn closed(&mut self, tables: &Tables, place: &PlaceTable) {
        let book = book(tables, &place.key, Date::MAX);
        for region in &place.regions {
            let Some(closed) = book.get(topic::CLOSED_DAYS, &Scope::new().region(region)) else { continue };
            for forage in book.values_of(topic::SEASON_OPEN, "forage") {
                for (_, window) in book.seasons(&Scope::new().forage(&forage).usage("hay").region(region)) {
                    let Some(day) = days(2028).find(|day| holds(closed.value, *day) && holds(window.value, *day))
                    else {
                        continue;
                    };
                    let found =
                        format!("`{}` is open on {day}, which `{}` closes", window.cite.figure, closed.cite.figure);
                    self.tell(
                        &place.line,
                        found,
                        "seasons outside the closed days",
                        "cut the season, and say so in its note",
                    );
                }
            }
        }
    }

    /// A place that takes its own figures alone of some topic answers all that the wider one
    /// does: what it has for one forage hides no limit on another.
    fn hidden(&mut self, tables: &Tables, place: &PlaceTable) {
        let Some(wider) = place.within.as_ref().and_then(|key| tables.places.get(key)) else { return };
        let book = book(tables, &place.key, Date::MAX);
        // Without a season nothing goes on, which no one can take for leave.
        let counts = |figure: &&Figure| figure.topic.key() != "season";
        let replaced = |figure: &&Figure| counts(figure) && place.inherits(figure.topic) == Inherits::Replaces;
        for figure in wider.figures.iter().filter(replaced) {
            let scope = figure.applies.iter().fold(Scope::new(), |scope, (key, word)| scope.with(key, word));
            let pools = || scope.clone().material("broiler_litter").days("none").year("1");
            let by_pools = figure.topic.key() == "n_available" && book.by_pools(&pools());
            let asked = [place, wider].iter().any(|place| place.asks.contains(&figure.topic));
            if book.shape(figure.topic, &scope).is_none() && !by_pools && !asked {
                let key = figure.topic.key();
                let found = format!("{}: `{}` does not count here, and nothing stands for it", place.name, figure.id);
                let fix = format!("write the place's own, or take `{key}: replaces` out of `inherits:`");
                self.tell(&place.line, found, "a figure of the place wherever it takes none from the wider one", &fix);
            }
        }
    }

    /// Every question is answered by the place, by the wider one or by the grower.
    fn answered(&mut self, tables: &Tables) {
        for coverage in tables.coverage(Date::MAX) {
            let place = &tables.places[&coverage.place];
            let mut open: BTreeMap<&str, Vec<String>> = BTreeMap::new();
            for question in coverage.questions.iter().filter(|question| question.answer == CoverageAnswer::Nothing) {
                let words: Vec<String> = question.scope.words().map(|(key, word)| format!("{key} {word}")).collect();
                open.entry(question.topic).or_default().push(words.join(", "));
            }
            for (key, scopes) in open {
                let topic = Topic::named(key).unwrap();
                let more = if scopes.len() > 1 { format!(", and {} more", scopes.len() - 1) } else { String::new() };
                let found = format!("{}: no figure of `{key}` for {}{more}", place.name, scopes[0]);
                let mut fix = format!("write it as reference/_template/{} shows", template_of(key));
                if place.inherits(topic) == Inherits::Replaces {
                    fix.push_str(&format!(", or take `{key}: replaces` out of `inherits:`"));
                }
                if said_by_a_farm(topic) {
                    fix.push_str(&format!(", or add `{key}` to `asks:`"));
                }
                self.tell(
                    &place.line,
                    found,
                    "a figure of the place, of the one it is within, or a word of `asks`",
                    &fix,
                );
            }
        }
    }
}

/// Whether a farm can give a figure of a topic itself.
fn said_by_a_farm(topic: Topic) -> bool {
    matches!(topic.form(), ValueForm::Number | ValueForm::NumberOrCurve)
}

/// The file of the template that shows a topic.
fn template_of(key: &str) -> String {
    let files = crate::template::files().into_iter();
    let file = files.filter(|(_, text)| text.contains(&format!("  topic: {key}\n"))).map(|(name, _)| name).next();
    file.unwrap_or_default()
}

/// The words that a farm may have under the keys whose words are fixed.
fn known_words(tables: &Tables) -> BTreeMap<&'static str, BTreeSet<String>> {
    let mut known: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    // A kind with a rule of its own may have no typical contents.
    for place in tables.places.keys() {
        let ruled = book(tables, place, Date::MAX).values_of(sward::tables::topic::NOT_ON_GRAZED, "material");
        known.entry("material").or_default().extend(ruled);
    }
    for coverage in tables.coverage(Date::MAX) {
        for (key, value) in coverage.questions.iter().flat_map(|question| question.scope.words()) {
            known.entry(key).or_default().insert(value.to_string());
        }
    }
    for (key, more) in [
        ("feature", FEATURES),
        ("season", &["spring", "summer", "fall"]),
        ("strip", &["yes"]),
        ("owner", &["own"]),
        ("operation", &["large"]),
        ("placement", &["incorporated", "directed"]),
        ("nutrient", &["ammonium_n", "zinc", "copper"]),
    ] {
        known.entry(key).or_default().extend(more.iter().map(|word| word.replace(' ', "_")));
    }
    let fixed = [
        "season",
        "forage",
        "use",
        "material",
        "feature",
        "strip",
        "owner",
        "operation",
        "placement",
        "nutrient",
        "rating",
    ];
    known.retain(|key, _| fixed.contains(key));
    known
}

fn days(year: i16) -> impl Iterator<Item = Date> {
    let first = date(year, 1, 1);
    std::iter::successors(Some(first), |day| day.tomorrow().ok()).take_while(move |day| day.year() == year)
}

fn holds(season: Season, day: Date) -> bool {
    let years = [day.year() - 1, day.year()].into_iter();
    years.filter_map(|year| season.days_in(year)).any(|(opens, closes)| opens <= day && day <= closes)
}
