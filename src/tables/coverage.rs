//! What the tables of a place answer: every question that a plan may ask of
//! them, and whether the place itself answers it, the wider place, the grower
//! or nobody.

use crate::findings::Known;
use crate::tables::p_rule::PRule;
use crate::tables::{Book, Classes, Of, PlaceTable, Scope, Sourced, Tables, Thing, Topic, topic};
use crate::units::SoilValue;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// Published examples that a place needs before it counts as complete.
pub const CHECKS_NEEDED: usize = 3;

/// What forages are grown for.
const USES: [&str; 3] = ["hay", "pasture", "hay_then_grazed"];
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
/// Classes of a soil test, which a report may do without.
const CLASSES: &str = "soil classes";
/// What stops the spreader.
const STOPS: [&str; 5] = ["rain", "frozen", "saturated", "snow", "wind"];
/// How a planner rates a site.
const RATINGS: [&str; 4] = ["low", "medium", "high", "very_high"];

/// Who answers a question.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum CoverageAnswer {
    /// The place's own figure.
    Own,
    /// The figure of the place it lies within.
    Wider,
    /// The grower, whom the place says it asks.
    Asked,
    /// The grower too, and where the phosphorus rule goes by the answer the field gets no
    /// litter without it.
    Stops,
    /// Nobody.
    Nothing,
}

/// One question with its answer.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct CoverageQuestion {
    /// The subject, as `setbacks`.
    pub subject: &'static str,
    /// The topic that is looked up first.
    pub topic: &'static str,
    /// The scope in which it is asked.
    pub scope: Scope<'static>,
    /// Who answers.
    pub answer: CoverageAnswer,
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
    /// Everything is answered, nothing from memory or printed for something else, enough
    /// examples agree.
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
    /// Own figures in force that were printed for another use, place or condition.
    pub applied: usize,
    /// Own figures in force that are common practice.
    pub common_practice: usize,
    /// Own figures in force that are from memory.
    pub memory: usize,
    /// Published examples that hold the program to this place.
    pub checks: Vec<String>,
    /// Every question.
    pub questions: Vec<CoverageQuestion>,
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
            applied: count(Known::Applied),
            common_practice: count(Known::CommonPractice),
            memory: count(Known::Memory),
            checks: place.checks.clone(),
            questions: asker.questions,
        };
        let whole = coverage.count(CoverageAnswer::Nothing) == 0
            && coverage.known(Known::Memory).is_empty()
            && coverage.known(Known::Applied).is_empty()
            && coverage.checks.len() >= CHECKS_NEEDED;
        if whole {
            coverage.status = Status::Complete;
        }
        coverage
    }

    /// How many questions are answered in this way.
    #[must_use]
    pub fn count(&self, answer: CoverageAnswer) -> usize {
        self.questions.iter().filter(|q| q.answer == answer).count()
    }

    /// The questions whose answers are known in this way.
    #[must_use]
    pub fn known(&self, known: Known) -> Vec<&CoverageQuestion> {
        self.questions.iter().filter(|q| q.known == Some(known)).collect()
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
    questions: Vec<CoverageQuestion>,
}

/// A figure that answers: its key and how it is known.
type AnsweringFigure = Option<(String, Known)>;

fn found<T>(sourced: Option<Sourced<T>>) -> AnsweringFigure {
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

    /// The words that the tables know under a key of a topic, those of the
    /// wider place first: what has a figure there is a forage or a litter.
    fn words(&self, topic: impl Into<Topic>, key: &str) -> Vec<String> {
        let topic = topic.into();
        let rows = self.book.wider(topic).into_iter().chain([self.place()]).flat_map(|place| place.of(topic));
        let mut words: Vec<String> = Vec::new();
        for word in rows.filter_map(|figure| figure.applies.get(key)) {
            if !words.contains(word) {
                words.push(word.clone());
            }
        }
        words
    }

    fn look(&self, topic: impl Into<Topic>, scope: &Scope<'_>) -> AnsweringFigure {
        found(self.book.shape(topic.into(), scope))
    }

    /// Writes a question down with its answer. `asked` are the topics of which
    /// the grower may be asked instead.
    fn note(&mut self, subject: &'static str, scope: Scope<'static>, found: AnsweringFigure, asked: &[Topic]) {
        let answer = match &found {
            Some((figure, _)) if figure.split('/').next() == Some(self.place().key.as_str()) => CoverageAnswer::Own,
            Some(_) => CoverageAnswer::Wider,
            None if asked.iter().any(|topic| self.book.asks(*topic)) => {
                // Potash limits nothing: a need of it that nobody knows stops no field.
                let stops = asked.iter().any(|topic| *topic == topic::P2O5_NEED);
                if stops && subject != CLASSES { CoverageAnswer::Stops } else { CoverageAnswer::Asked }
            }
            None => CoverageAnswer::Nothing,
        };
        let (figure, known) = found.unzip();
        let topic = asked.first().map_or("", |topic| topic.key());
        self.questions.push(CoverageQuestion { subject, topic, scope, answer, known, figure });
    }

    /// The usual question: one topic in one scope.
    fn ask(&mut self, subject: &'static str, topic: impl Into<Topic>, scope: Scope<'static>) {
        let topic = topic.into();
        let found = self.look(topic, &scope);
        self.note(subject, scope, found, &[topic]);
    }

    fn forages(&mut self) {
        for forage in self.words(topic::P2O5_PER_TON, "forage") {
            for topic in [topic::P2O5_PER_TON, topic::K2O_PER_TON] {
                self.ask("carried off", topic, Scope::new().forage(forage.clone()));
            }
            for usage in USES {
                let scope = Scope::new().forage(forage.clone()).usage(usage);
                self.nitrogen(&scope);
                self.needs(&scope);
                self.ask("lime", topic::TARGET_PH, scope.clone());
                self.seasons(&scope);
            }
        }
        for usage in ["pasture", "hay_then_grazed"] {
            self.ask("grazing", topic::N_GRAZING_CUT, Scope::new().usage(usage));
        }
        for nutrient in ["n", "p2o5", "k2o"] {
            self.ask("grazing", topic::GRAZING_KEEPS, Scope::new().nutrient(nutrient).usage("pasture"));
        }
        self.ask("nitrogen need", topic::N_LEGUME_NONE, Scope::new().forage("tall_fescue"));
    }

    /// Nitrogen by the yield goal or by a rate.
    fn nitrogen(&mut self, scope: &Scope<'static>) {
        let by_rate = || self.look(topic::N_RATE, &scope.clone().texture("fine"));
        let found = self.look(topic::N_PER_TON, scope).or_else(by_rate);
        self.note("nitrogen need", scope.clone(), found, &[topic::N_PER_TON.into(), topic::N_RATE.into()]);
    }

    /// What the soil test asks for, in every class of the place; the first
    /// class without a figure leaves the question open.
    fn needs(&mut self, scope: &Scope<'static>) {
        for (need, class) in [(topic::P2O5_NEED, topic::SOIL_P_CLASS), (topic::K2O_NEED, topic::SOIL_K_CLASS)] {
            let by_class = || {
                let classes = self.classes(class).into_iter();
                let by_class: Vec<AnsweringFigure> =
                    classes.map(|class| self.look(need, &scope.clone().class(class))).collect();
                by_class.iter().all(Option::is_some).then(|| weakest(by_class)).flatten()
            };
            let found = self.look(need, scope).or_else(by_class);
            self.note("soil test need", scope.clone(), found, &[need.into()]);
        }
    }

    /// Every class of a soil test, over all regions.
    fn classes(&self, topic: Of<Classes<SoilValue>>) -> BTreeSet<String> {
        let all = self.regions().into_iter().filter_map(|region| self.book.get(topic, &self.soil_scope(region)));
        all.flat_map(|classes| classes.value.iter().map(|(_, is)| crate::text::key_of(is)).collect::<Vec<_>>())
            .collect()
    }

    fn soil_scope(&self, region: Option<String>) -> Scope<'static> {
        let extractant = self.place().extractant.clone().unwrap_or_else(|| "mehlich_3".to_string());
        Scope::new().extractant(extractant).region(region)
    }

    /// At least one window in every region.
    fn seasons(&mut self, scope: &Scope<'static>) {
        for region in self.regions() {
            let scope = scope.clone().region(region);
            let windows = self.book.seasons(&scope);
            let found = weakest(windows.into_iter().map(|(_, window)| found(Some(window))).collect());
            self.note("seasons", scope, found, &[topic::SEASON_OPEN.into()]);
        }
    }

    /// Classes; where the need itself is asked of the grower, so is the class.
    fn soil(&mut self) {
        for region in self.regions() {
            let scope = self.soil_scope(region);
            for (topic, need) in [(topic::SOIL_P_CLASS, topic::P2O5_NEED), (topic::SOIL_K_CLASS, topic::K2O_NEED)] {
                let found = self.look(topic, &scope);
                self.note(CLASSES, scope.clone(), found, &[topic.into(), need.into()]);
            }
            for topic in [topic::P2O5_PER_UNIT, topic::K2O_PER_UNIT] {
                self.ask("soil test change", topic, scope.clone());
            }
        }
        for topic in
            [topic::SOIL_ZINC_CAUTION, topic::SOIL_ZINC_STOP, topic::SOIL_COPPER_CAUTION, topic::SOIL_COPPER_STOP]
        {
            self.ask("soil metals", topic, Scope::new().forage("tall_fescue"));
        }
    }

    fn litter(&mut self) {
        for material in self.words(topic::LITTER_TYPICAL, "material") {
            let short = Scope::new().material(material.clone()).placement("surface");
            let scope = short.clone().year("1").days("none");
            let pools = || {
                let organic = self.look(topic::N_ORGANIC_AVAILABLE, &scope)?;
                let kept = self.look(topic::N_AMMONIUM_KEPT, &scope)?;
                weakest(vec![Some(organic), Some(kept)])
            };
            let found = self.look(topic::N_AVAILABLE, &scope).or_else(pools);
            self.note("litter nitrogen", short, found, &[topic::N_AVAILABLE.into()]);
            for nutrient in ["total_n", "p2o5", "k2o"] {
                let scope = Scope::new().material(material.clone()).nutrient(nutrient);
                self.ask("typical litter", topic::LITTER_TYPICAL, scope);
            }
        }
    }

    fn phosphorus(&mut self) {
        self.ask("phosphorus basis", topic::P_RATING, Scope::new());
        let rules = self.book.rules();
        for rating in RATINGS {
            let own = |rule: &PRule| rule.when.rating.is_empty() || rule.when.rating.iter().any(|word| word == rating);
            let found = found(rules.iter().map(|(_, rule)| rule).find(|rule| own(&rule.value)).cloned());
            self.note("phosphorus basis", Scope::new().rating(rating), found, &[topic::P_RULE.into()]);
        }
    }

    /// On top and worked in. What a rule says of a neighbor's house or well
    /// holds for both owners.
    fn setbacks(&mut self) {
        for placement in ["surface", "incorporated"] {
            let with_strip = WATERS.iter().flat_map(|f| [(*f, "no"), (*f, "yes")]);
            for (feature, strip) in with_strip.chain(FEATURES.iter().map(|f| (*f, "no"))) {
                let scope = Scope::new().feature(feature).strip(strip).owner("neighbor").large(false);
                self.ask("setbacks", topic::SETBACK, scope.placement(placement));
            }
        }
        for feature in PILE_FEATURES {
            self.ask("piles", topic::STOCKPILE_SETBACK, Scope::new().feature(feature).owner("neighbor").large(false));
        }
    }

    fn ages(&mut self) {
        let ages: [(&'static str, Topic); 4] = [
            ("ages", topic::LITTER_SAMPLE_AGE.into()),
            ("ages", topic::SOIL_SAMPLE_AGE.into()),
            ("piles", topic::STOCKPILE_DAYS.into()),
            ("records", topic::RECORDS_YEARS.into()),
        ];
        for (subject, topic) in ages {
            self.ask(subject, topic, Scope::new().large(false));
        }
    }

    fn rest(&mut self) {
        for when in STOPS {
            self.ask("stop conditions", topic::STOP, Scope::new().when(when));
        }
        let lime: [Topic; 4] =
            [topic::LIME_ZERO_PH.into(), topic::LIME_PER_PH.into(), topic::LIME_MOST.into(), topic::LIME_EVERY.into()];
        for topic in lime {
            self.ask("lime", topic, Scope::new().usage("hay"));
        }
        for topic in [topic::YIELD_BEST, topic::YIELD_OF] {
            self.ask("yield goal", topic, Scope::new());
        }
        self.ask("soil loss", topic::SOIL_LOSS_MOST, Scope::new());
        // A figure of a farm's own has its bands by topic, and stands where these lack one.
        for thing in Thing::ALL.iter().filter(|thing| **thing != Thing::SaidFigure) {
            let found = self.bands(*thing);
            self.note("what is usual", Scope::new().thing(thing.key()), found, &[topic::PLAUSIBLE.into()]);
        }
        let items = self.book.all_words(topic::PLAN_ITEM, "item");
        let found = weakest(items.into_iter().map(|(_, item)| found(Some(item))).collect());
        self.note("plan contents", Scope::new(), found, &[topic::PLAN_ITEM.into()]);
    }

    /// The bands of a thing: every unit that it is written in needs one.
    fn bands(&self, thing: Thing) -> AnsweringFigure {
        let of_unit = |unit: &&str| found(self.book.band(thing, unit, &Scope::new()));
        let all: Vec<AnsweringFigure> = thing.units().iter().map(of_unit).collect();
        all.iter().all(Option::is_some).then(|| weakest(all)).flatten()
    }
}

/// Of several figures that answer together, the one that is known worst.
fn weakest(all: Vec<AnsweringFigure>) -> AnsweringFigure {
    // Of equals the first.
    all.into_iter().flatten().rev().max_by_key(|(_, known)| *known)
}
