//! What the tables of a place answer: every question that a plan may ask of
//! them, and whether the place itself answers it, the wider place, the grower
//! or nobody.

use crate::findings::Known;
use crate::tables::{Book, PlaceTable, Sourced, Tables, Thing, Topic};
use jiff::civil::Date;
use std::collections::BTreeSet;

/// Published examples that a place needs before it counts as complete.
pub const CHECKS_NEEDED: usize = 3;

/// The forages that a place should know.
const FORAGES: [&str; 8] = [
    "tall_fescue",
    "orchardgrass",
    "timothy",
    "cool_season_grass_with_clover",
    "hybrid_bermudagrass",
    "common_bermudagrass",
    "bahiagrass",
    "bermudagrass_overseeded",
];
/// What they are grown for.
const USES: [&str; 3] = ["hay", "pasture", "hay_then_grazed"];
/// The kinds of litter.
const MATERIALS: [&str; 6] =
    ["broiler_litter", "broiler_litter_stockpiled", "broiler_cake", "breeder_litter", "layer_litter", "turkey_litter"];
/// Water, of which the question is asked with and without a vegetated strip.
const WATERS: [&str; 5] = ["perennial_stream", "intermittent_stream", "ditch", "pond", "wetland"];
/// Everything else that litter keeps away from.
const FEATURES: [&str; 9] = [
    "well",
    "spring",
    "sinkhole",
    "dwelling",
    "public_building",
    "road",
    "property_line",
    "rock_outcrop",
    "steep_ground",
];
/// What a pile keeps away from.
const PILE_FEATURES: [&str; 3] = ["perennial_stream", "well", "dwelling"];
/// What stops the spreader.
const STOPS: [&str; 5] = ["rain", "frozen", "saturated", "snow", "wind"];
/// How a planner rates a site.
const RATINGS: [&str; 4] = ["low", "medium", "high", "very_high"];

/// Who answers a question.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Answer {
    /// The place's own figure.
    Own,
    /// The figure of the place it lies within.
    Wider,
    /// The grower, whom the place says it asks.
    Asked,
    /// Nobody.
    Nothing,
}

/// One question with its answer.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Question {
    /// The subject, as `setbacks`.
    pub subject: &'static str,
    /// The topic that is looked up first.
    pub topic: &'static str,
    /// The scope in which it is asked.
    pub scope: Vec<(&'static str, String)>,
    /// Who answers.
    pub answer: Answer,
    /// How the answer is known, when a figure gives it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub known: Option<Known>,
    /// The figure that gives it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub figure: Option<String>,
}

/// Whether a place can stand on its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Status {
    /// Everything is answered, nothing from memory, enough examples agree.
    Complete,
    /// Anything less.
    Partial,
}

/// What the tables of one place answer on one day.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Coverage {
    /// Key of the place.
    pub place: String,
    /// Its name.
    pub name: String,
    /// Complete or partial; calculated, never claimed.
    pub status: Status,
    /// Own figures in force that were read.
    pub read: usize,
    /// Own figures in force that are common practice.
    pub common_practice: usize,
    /// Own figures in force that are from memory.
    pub memory: usize,
    /// Published examples that hold the program to this place.
    pub checks: Vec<String>,
    /// Every question.
    pub questions: Vec<Question>,
}

impl Coverage {
    /// What the tables of one place answer.
    #[must_use]
    pub fn of(book: &Book<'_>) -> Coverage {
        let place = book.place();
        let mut asker = Asker { book, questions: Vec::new() };
        asker.forages();
        asker.soil();
        asker.litter();
        asker.phosphorus();
        asker.setbacks();
        asker.ages();
        asker.rest();
        let own: Vec<Known> =
            book.all(None).into_iter().filter(|(f, _, _)| f.of == place.key).map(|(_, _, cite)| cite.known).collect();
        let count = |known| own.iter().filter(|k| **k == known).count();
        let mut coverage = Coverage {
            place: place.key.clone(),
            name: place.name.clone(),
            status: Status::Partial,
            read: count(Known::Read),
            common_practice: count(Known::CommonPractice),
            memory: count(Known::Memory),
            checks: place.checks.clone(),
            questions: asker.questions,
        };
        let whole = coverage.count(Answer::Nothing) == 0
            && coverage.from_memory().is_empty()
            && coverage.checks.len() >= CHECKS_NEEDED;
        if whole {
            coverage.status = Status::Complete;
        }
        coverage
    }

    /// How many questions are answered in this way.
    #[must_use]
    pub fn count(&self, answer: Answer) -> usize {
        self.questions.iter().filter(|q| q.answer == answer).count()
    }

    /// The questions that are answered from memory.
    #[must_use]
    pub fn from_memory(&self) -> Vec<&Question> {
        self.questions.iter().filter(|q| q.known == Some(Known::Memory)).collect()
    }
}

impl Tables {
    /// What the tables of every place answer on a day.
    #[must_use]
    pub fn coverage(&self, on: Date) -> Vec<Coverage> {
        self.places.keys().filter_map(|key| self.book(key, on)).map(|book| Coverage::of(&book)).collect()
    }
}

/// Asks the questions one after another.
struct Asker<'a> {
    book: &'a Book<'a>,
    questions: Vec<Question>,
}

/// A figure that answers: its key and how it is known.
type Found = Option<(String, Known)>;

fn found<T>(sourced: Option<Sourced<T>>) -> Found {
    sourced.map(|s| (s.cite.figure, s.cite.known))
}

impl Asker<'_> {
    fn place(&self) -> &PlaceTable {
        self.book.place()
    }

    /// The regions of the place; one nameless region where it has none.
    fn regions(&self) -> Vec<Option<String>> {
        let regions = &self.place().regions;
        if regions.is_empty() { vec![None] } else { regions.iter().cloned().map(Some).collect() }
    }

    fn look(&self, topic: Topic, scope: &[(&'static str, String)]) -> Found {
        let scope: Vec<(&str, &str)> = scope.iter().map(|(k, v)| (*k, v.as_str())).collect();
        found(self.book.shape(topic, &scope))
    }

    /// Writes a question down with its answer. `asked` are the topics of which
    /// the grower may be asked instead.
    fn note(
        &mut self,
        subject: &'static str,
        topic: Topic,
        scope: Vec<(&'static str, String)>,
        found: Found,
        asked: &[Topic],
    ) {
        let answer = match &found {
            Some((figure, _)) if figure.split('/').next() == Some(self.place().key.as_str()) => Answer::Own,
            Some(_) => Answer::Wider,
            None if asked.iter().any(|t| self.place().asks.contains(t)) => Answer::Asked,
            None => Answer::Nothing,
        };
        let (figure, known) = found.unzip();
        self.questions.push(Question { subject, topic: topic.key(), scope, answer, known, figure });
    }

    /// The usual question: one topic in one scope.
    fn ask(&mut self, subject: &'static str, topic: Topic, scope: &[(&'static str, &str)]) {
        let scope: Vec<(&'static str, String)> = scope.iter().map(|(k, v)| (*k, (*v).to_string())).collect();
        let found = self.look(topic, &scope);
        self.note(subject, topic, scope, found, &[topic]);
    }

    fn forages(&mut self) {
        for forage in FORAGES {
            for topic in [Topic::P2o5PerTon, Topic::K2oPerTon] {
                self.ask("carried off", topic, &[("forage", forage)]);
            }
            for usage in USES {
                let scope = vec![("forage", forage.to_string()), ("use", usage.to_string())];
                self.nitrogen(&scope);
                self.needs(&scope);
                self.ask("lime", Topic::TargetPh, &[("forage", forage), ("use", usage)]);
                self.seasons(&scope);
            }
        }
        for usage in ["pasture", "hay_then_grazed"] {
            self.ask("grazing", Topic::NGrazingCut, &[("use", usage)]);
        }
        for nutrient in ["n", "p2o5", "k2o"] {
            self.ask("grazing", Topic::GrazingKeeps, &[("nutrient", nutrient), ("use", "pasture")]);
        }
        self.ask("nitrogen need", Topic::NLegumeNone, &[("forage", "tall_fescue")]);
    }

    /// Nitrogen by the yield goal or by a rate.
    fn nitrogen(&mut self, scope: &[(&'static str, String)]) {
        let mut with_texture = scope.to_vec();
        with_texture.push(("texture", "fine".to_string()));
        let found = self.look(Topic::NPerTon, scope).or_else(|| self.look(Topic::NRate, &with_texture));
        self.note("nitrogen need", Topic::NPerTon, scope.to_vec(), found, &[Topic::NPerTon, Topic::NRate]);
    }

    /// What the soil test asks for, in every class of the place; the first
    /// class without a figure leaves the question open.
    fn needs(&mut self, scope: &[(&'static str, String)]) {
        for (need, class) in [(Topic::P2o5Need, Topic::SoilPClass), (Topic::K2oNeed, Topic::SoilKClass)] {
            let mut found = self.look(need, scope);
            if found.is_none() {
                let classes = self.classes(class);
                let by_class: Vec<Found> = classes
                    .into_iter()
                    .map(|class| {
                        let mut scope = scope.to_vec();
                        scope.push(("class", class));
                        self.look(need, &scope)
                    })
                    .collect();
                found = by_class.iter().all(Option::is_some).then(|| weakest(by_class)).flatten();
            }
            self.note("soil test need", need, scope.to_vec(), found, &[need]);
        }
    }

    /// Every class of a soil test, over all regions.
    fn classes(&self, topic: Topic) -> BTreeSet<String> {
        let mut classes = BTreeSet::new();
        for region in self.regions() {
            let scope = self.soil_scope(region);
            let scope: Vec<(&str, &str)> = scope.iter().map(|(k, v)| (*k, v.as_str())).collect();
            let steps = self.book.steps(topic, &scope).map(|s| s.value).unwrap_or_default();
            classes.extend(steps.iter().map(|s| crate::text::key_of(&s.is)));
        }
        classes
    }

    fn soil_scope(&self, region: Option<String>) -> Vec<(&'static str, String)> {
        let extractant = self.place().extractant.clone().unwrap_or_else(|| "mehlich_3".to_string());
        let mut scope = vec![("extractant", extractant)];
        scope.extend(region.map(|r| ("region", r)));
        scope
    }

    /// At least one window in every region.
    fn seasons(&mut self, scope: &[(&'static str, String)]) {
        for region in self.regions() {
            let mut scope = scope.to_vec();
            scope.extend(region.map(|r| ("region", r)));
            let words: Vec<(&str, &str)> = scope.iter().map(|(k, v)| (*k, v.as_str())).collect();
            let windows = self.book.seasons(&words);
            let found = weakest(windows.into_iter().map(|(_, s)| Some((s.cite.figure, s.cite.known))).collect());
            self.note("seasons", Topic::SeasonOpen, scope, found, &[Topic::SeasonOpen]);
        }
    }

    /// Classes; where the need itself is asked of the grower, so is the class.
    fn soil(&mut self) {
        for region in self.regions() {
            let scope = self.soil_scope(region);
            for (topic, need) in [(Topic::SoilPClass, Topic::P2o5Need), (Topic::SoilKClass, Topic::K2oNeed)] {
                let found = self.look(topic, &scope);
                self.note("soil classes", topic, scope.clone(), found, &[topic, need]);
            }
            for topic in [Topic::P2o5PerUnit, Topic::K2oPerUnit] {
                let found = self.look(topic, &scope);
                self.note("soil test change", topic, scope.clone(), found, &[topic]);
            }
        }
        for topic in [Topic::SoilZincCaution, Topic::SoilZincStop, Topic::SoilCopperCaution, Topic::SoilCopperStop] {
            self.ask("soil metals", topic, &[("forage", "tall_fescue")]);
        }
    }

    fn litter(&mut self) {
        for material in MATERIALS {
            let scope = [("material", material), ("placement", "surface"), ("year", "1"), ("days", "none")]
                .map(|(k, v)| (k, v.to_string()));
            let pools = || {
                let organic = self.look(Topic::NOrganicAvailable, &scope)?;
                let kept = self.look(Topic::NAmmoniumKept, &scope)?;
                weakest(vec![Some(organic), Some(kept)])
            };
            let found = self.look(Topic::NAvailable, &scope).or_else(pools);
            let short = scope.into_iter().take(2).collect();
            self.note("litter nitrogen", Topic::NAvailable, short, found, &[Topic::NAvailable]);
            for nutrient in ["total_n", "p2o5", "k2o"] {
                self.ask("typical litter", Topic::LitterTypical, &[("material", material), ("nutrient", nutrient)]);
            }
        }
    }

    fn phosphorus(&mut self) {
        for rating in RATINGS {
            self.ask("phosphorus basis", Topic::PBasisRating, &[("rating", rating)]);
        }
        self.ask("phosphorus basis", Topic::PBankYears, &[("rating", "low")]);
    }

    /// What a rule says of a neighbor's house or well holds for both owners.
    fn setbacks(&mut self) {
        let more = [("owner", "neighbor"), ("operation", "ordinary"), ("placement", "surface")];
        let with_strip = WATERS.iter().flat_map(|f| [(*f, "no"), (*f, "yes")]);
        for (feature, strip) in with_strip.chain(FEATURES.iter().map(|f| (*f, "no"))) {
            let mut scope = vec![("feature", feature), ("strip", strip)];
            scope.extend(more);
            self.ask("setbacks", Topic::Setback, &scope);
        }
        for feature in PILE_FEATURES {
            self.ask("piles", Topic::StockpileSetback, &[("feature", feature), ("operation", "ordinary")]);
        }
    }

    fn ages(&mut self) {
        for (subject, topic) in [
            ("ages", Topic::LitterSampleAge),
            ("ages", Topic::SoilSampleAge),
            ("piles", Topic::StockpileDays),
            ("records", Topic::RecordsYears),
        ] {
            self.ask(subject, topic, &[("operation", "ordinary")]);
        }
    }

    fn rest(&mut self) {
        for when in STOPS {
            self.ask("stop conditions", Topic::Stop, &[("when", when)]);
        }
        for topic in [Topic::LimeZeroPh, Topic::LimePerPh, Topic::LimeMost, Topic::LimeEvery] {
            self.ask("lime", topic, &[("use", "hay")]);
        }
        for topic in [Topic::YieldBest, Topic::YieldOf] {
            self.ask("yield goal", topic, &[]);
        }
        self.ask("soil loss", Topic::SoilLossMost, &[]);
        for thing in Thing::ALL {
            let scope: Vec<(&'static str, String)> = vec![("thing", thing.key().to_string())];
            let found = self.bands(*thing);
            self.note("what is usual", Topic::Plausible, scope, found, &[]);
        }
        let items = self.book.all_words(Topic::PlanItem, "item");
        let found = weakest(items.into_iter().map(|(_, s)| Some((s.cite.figure, s.cite.known))).collect());
        self.note("plan contents", Topic::PlanItem, Vec::new(), found, &[]);
    }
}

impl Asker<'_> {
    /// The bands of a thing: every unit that it is written in needs one.
    fn bands(&self, thing: Thing) -> Found {
        let of_unit = |unit: &&str| self.book.band(thing, &[("unit", unit)]).map(|b| (b.cite.figure, b.cite.known));
        let all: Vec<Found> = thing.units().iter().map(of_unit).collect();
        all.iter().all(Option::is_some).then(|| weakest(all)).flatten()
    }
}

/// Of several figures that answer together, the one that is known worst.
fn weakest(all: Vec<Found>) -> Found {
    let rank = |known: &Known| match known {
        Known::Memory => 0,
        Known::CommonPractice => 1,
        Known::Said => 2,
        Known::Read => 3,
    };
    all.into_iter().flatten().min_by_key(|(_, known)| rank(known))
}
