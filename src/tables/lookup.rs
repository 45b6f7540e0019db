//! Looking a figure up: by place, date and scope.

use crate::findings::{Cite, Known};
use crate::tables::p_rule::PRule;
use crate::tables::{
    Band, Edition, Figure, Inherits, Of, PlaceTable, Safe, Scope, Season, Shape, TOPICS, Tables, Thing, Topic, Value,
    topic,
};
use crate::text::{Mark, key_of};
use jiff::civil::Date;
use std::collections::BTreeSet;

/// A value with its papers.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Sourced<T> {
    /// The value.
    pub value: T,
    /// The unit that the figure is written in.
    pub unit: String,
    /// Its papers.
    pub cite: Cite,
}

/// The tables of one place on one date.
#[derive(Clone, Copy, Debug)]
pub struct Book<'a> {
    tables: &'a Tables,
    place: &'a PlaceTable,
    on: Date,
    /// Figures that the farm gives where the tables hold none.
    said: &'a [SaidFigure],
    /// Whether a figure without an edition yet counts by its first.
    reaches_back: bool,
}

/// A figure of the farm's own, with who said so.
#[derive(Clone, Debug, PartialEq)]
pub struct SaidFigure {
    /// The figure.
    pub figure: Figure,
    /// Who said so, and when.
    pub cite: Cite,
}

/// A figure that was found, in its edition of the date.
type InForce<'a> = (&'a Figure, &'a Edition);

impl Tables {
    /// The tables of a place as they stood on a date.
    #[must_use]
    pub fn book(&self, place: &str, on: Date) -> Option<Book<'_>> {
        self.place(place).map(|place| Book { tables: self, place, on, said: &[], reaches_back: false })
    }
}

impl Tables {
    /// One mark over the files that hold for a place: its own, those of the
    /// places it lies within, and the sources.
    #[must_use]
    pub fn mark(&self, place: &str) -> String {
        let mut folders = vec![place];
        while let Some(next) = folders.last().and_then(|last| self.place(last)?.within.as_deref()) {
            if folders.contains(&next) {
                break;
            }
            folders.push(next);
        }
        let holds = |file: &str| file.rsplit_once('/').is_none_or(|(folder, _)| folders.contains(&folder));
        let files: Vec<Mark> = self.files.iter().filter(|mark| holds(&mark.file)).cloned().collect();
        Mark::over(&files)
    }
}

impl<'a> Book<'a> {
    /// The same tables with the farm's own figures, which count only where the
    /// tables hold none.
    #[must_use]
    pub fn with(self, said: &'a [SaidFigure]) -> Book<'a> {
        Book { said, ..self }
    }

    /// The place itself.
    #[must_use]
    pub fn place(&self) -> &'a PlaceTable {
        self.place
    }

    /// The state that a text names, where it is another than the place and it does not name the
    /// place too. Of names within one another the longest is meant; a county's is none.
    #[must_use]
    pub fn names_another(&self, text: &str) -> Option<String> {
        let text = format!(" {} ", text.to_lowercase().replace(|c: char| !c.is_alphanumeric(), " "));
        let names = |name: &str| {
            let name = name.to_lowercase();
            text.contains(&format!(" {name} ")) && !text.contains(&format!(" {name} county "))
        };
        let outlined = self.tables.outlines.names().into_iter().map(|(_, name)| name);
        let all = outlined.chain(self.tables.places.values().map(|place| place.name.as_str()));
        let found: Vec<&str> = all.filter(|name| names(name)).collect();
        let longest = found.into_iter().max_by_key(|name| name.len())?;
        (!names(&self.place.name) || longest.contains(&self.place.name) && longest != self.place.name)
            .then(|| longest.to_string())
    }

    /// The day the tables are read for.
    #[must_use]
    pub fn on(&self) -> Date {
        self.on
    }

    /// The same tables for days before they were kept: a figure that has no edition
    /// yet counts by its first.
    #[must_use]
    pub fn reaching_back(self) -> Book<'a> {
        Book { reaches_back: true, ..self }
    }

    /// The edition of a figure that is in force. What is common practice came into force on
    /// no day: before its first one it holds too, or a limit would be none in an earlier plan.
    fn edition(&self, figure: &'a Figure) -> Option<&'a Edition> {
        let reaches = |first: &&Edition| self.reaches_back || first.known == Known::CommonPractice;
        let first = figure.editions.first().filter(|first| self.on < first.from).filter(reaches);
        first.filter(|first| first.shape != Shape::Withdrawn).or_else(|| edition_on(figure, self.on))
    }

    /// The same tables as they stood on another day.
    #[must_use]
    pub fn as_on(self, on: Date) -> Book<'a> {
        Book { on, ..self }
    }

    /// The papers of a figure in one edition.
    fn cite(&self, (figure, edition): InForce<'_>) -> Cite {
        if let Some(said) = self.said.iter().find(|s| std::ptr::eq(&s.figure, figure)) {
            return said.cite.clone();
        }
        let source = self.tables.sources.get(&edition.source);
        let part = |get: fn(&crate::tables::Source) -> &String| source.map(|s| get(s).clone()).unwrap_or_default();
        Cite {
            figure: format!("{}/{}", figure.of, figure.id),
            title: part(|s| &s.title),
            publisher: part(|s| &s.publisher),
            year: part(|s| &s.year),
            at: edition.at.clone(),
            known: edition.known,
            note: edition.note.clone().filter(|_| edition.known == Known::Applied),
        }
    }

    fn sourced<T>(&self, found: InForce<'_>, value: T) -> Sourced<T> {
        Sourced { value, unit: found.0.unit.clone(), cite: self.cite(found) }
    }

    /// The best fitting figure: most scope keys named, earlier keys first.
    fn best_of(&self, figures: impl Iterator<Item = &'a Figure>, scope: &Scope<'_>) -> Option<InForce<'a>> {
        figures
            .filter(|f| fits(f, scope))
            .filter_map(|f| Some((f, self.edition(f)?)))
            .max_by_key(|&(f, _)| (f.applies.len(), weight(f), std::cmp::Reverse(&f.id)))
    }

    /// The wider place, if figures of a topic are taken from there.
    pub(super) fn wider(&self, topic: Topic) -> Option<&'a PlaceTable> {
        let wider = self.tables.places.get(self.place.within.as_ref()?)?;
        (self.place.inherits(topic) != Inherits::Replaces).then_some(wider)
    }

    /// The figure in force, with the place's inheritance applied.
    fn find(&self, topic: Topic, scope: &Scope<'_>) -> Option<InForce<'a>> {
        let own = self.best_of(self.place.of(topic).iter(), scope);
        let wider = || self.wider(topic).and_then(|wider| self.best_of(wider.of(topic).iter(), scope));
        let said = || self.best_of(self.said.iter().map(|s| &s.figure).filter(|f| f.topic == topic), scope);
        let published = match own {
            Some(own) if self.place.inherits(topic) == Inherits::StricterOf => {
                Some(wider().map_or(own, |wider| stricter(topic, own, wider)))
            }
            own => own.or_else(wider),
        };
        published.or_else(said)
    }

    /// Whether the grower is asked about a topic where no figure answers.
    pub(super) fn asks(&self, topic: Topic) -> bool {
        let wider = self.place.within.as_ref().and_then(|key| self.tables.places.get(key));
        std::iter::once(self.place).chain(wider).any(|place| place.asks.contains(&topic))
    }

    /// Whether the available nitrogen of litter goes by its organic and its
    /// ammonium part: where both shares are known, and no share of the total
    /// is, or only a wider place's while that of the organic part is its own.
    #[must_use]
    pub fn by_pools(&self, scope: &Scope<'_>) -> bool {
        let own = |topic: Topic| self.find(topic, scope).map(|(figure, _)| figure.of == self.place.key);
        match (
            own(topic::N_AVAILABLE.into()),
            own(topic::N_ORGANIC_AVAILABLE.into()),
            own(topic::N_AMMONIUM_KEPT.into()),
        ) {
            (_, None, _) | (_, _, None) => false,
            (None, ..) => true,
            (Some(total), Some(organic), Some(_)) => organic && !total,
        }
    }

    /// The value of a topic for a question, in the topic's own unit.
    #[must_use]
    pub fn get<T: Value>(&self, of: Of<T>, scope: &Scope<'_>) -> Option<Sourced<T>> {
        let found = self.find(of.into(), scope)?;
        let value = T::of(&found.1.shape, &found.0.unit)?;
        Some(self.sourced(found, value))
    }

    /// Whether the figure that answers is the place's own, read as it is used here, or the farm's
    /// own: only such a one may lower what a laboratory found out for a field.
    #[must_use]
    pub fn is_own(&self, topic: impl Into<Topic>, scope: &Scope<'_>) -> bool {
        self.find(topic.into(), scope).is_some_and(|found| match self.cite(found).known {
            Known::Said => true,
            known => known == Known::Read && found.0.of == self.place.key,
        })
    }

    /// Whether the figure that answers holds for some value of a scope key alone.
    #[must_use]
    pub fn names(&self, topic: impl Into<Topic>, scope: &Scope<'_>, key: &str) -> bool {
        self.find(topic.into(), scope).is_some_and(|(figure, _)| figure.applies.contains_key(key))
    }

    /// Every word that the figures at hand hold under a scope key, classes too.
    #[must_use]
    pub fn words_of(&self, key: &str) -> BTreeSet<String> {
        let figures = || self.tables.places.values().flat_map(|place| &place.figures);
        let mut words: BTreeSet<String> = figures().filter_map(|f| f.applies.get(key)).cloned().collect();
        if key == "class" {
            let steps = figures().flat_map(|f| &f.editions).filter_map(|e| match &e.shape {
                Shape::Steps(steps) => Some(steps),
                _ => None,
            });
            words.extend(steps.flatten().map(|step| key_of(&step.is)));
        }
        words
    }

    /// What is written of a topic for a question, in the unit it is written in.
    #[must_use]
    pub fn shape(&self, topic: Topic, scope: &Scope<'_>) -> Option<Sourced<Shape>> {
        let found = self.find(topic, scope)?;
        Some(self.sourced(found, found.1.shape.clone()))
    }

    /// What a value usually is, and what it can be at all, in a unit that it
    /// is written in.
    #[must_use]
    pub fn band(&self, thing: Thing, unit: &str, scope: &Scope<'_>) -> Option<Sourced<Band>> {
        let scope = scope.clone().thing(thing.key()).unit(key_of(unit));
        self.get(topic::PLAUSIBLE, &scope).filter(|band| band.unit == unit)
    }

    /// Every season that fits, each under its name (`spring`, `fall`): the
    /// best fitting figure of each name.
    #[must_use]
    pub fn seasons(&self, scope: &Scope<'_>) -> Vec<(String, Sourced<Season>)> {
        let own = self.said.iter().map(|said| &said.figure).filter(|f| f.topic == topic::SEASON_OPEN);
        let own = own.filter(|figure| fits(figure, &scope.clone().season(&figure.applies["season"])));
        let mut names = self.values_of(topic::SEASON_OPEN, "season");
        names.extend(own.map(|figure| figure.applies["season"].clone()));
        let season = |name: String| {
            let found = self.get(topic::SEASON_OPEN, &scope.clone().season(&name))?;
            Some((name, found))
        };
        names.into_iter().filter_map(season).collect()
    }

    /// Every row of the phosphorus rule that is in force: the place's own, then those of
    /// the wider place whose ids the place does not have, each with what it is for.
    #[must_use]
    pub fn rules(&self) -> Vec<(&'a str, Sourced<PRule>)> {
        let of = Topic::from(topic::P_RULE);
        let own = |id: &str| self.place.of(of).iter().any(|figure| figure.id == id);
        let wider = self.wider(of).into_iter().flat_map(|wider| wider.of(of)).filter(|figure| !own(&figure.id));
        let figures = self.place.of(of).iter().chain(wider);
        let row = |figure: &'a Figure| {
            let found = (figure, self.edition(figure)?);
            Some((figure.what.as_str(), self.sourced(found, PRule::of(&found.1.shape, &figure.unit)?)))
        };
        figures.filter_map(row).collect()
    }

    /// Every sentence of a topic, under the value of one scope key, in the
    /// order of the tables: the place's own first.
    #[must_use]
    pub fn all_words(&self, topic: Of<String>, key: &str) -> Vec<(String, Sourced<String>)> {
        self.all_words_of(topic, key, false)
    }

    /// The same, where a large operation may have sentences of its own.
    #[must_use]
    pub fn all_words_of(&self, topic: Of<String>, key: &str, large: bool) -> Vec<(String, Sourced<String>)> {
        let said = |value: String| {
            let found = self.get(topic, &Scope::new().large(large).with(key, &value))?;
            Some((value, found))
        };
        self.values_of(topic, key).into_iter().filter_map(said).collect()
    }

    /// Every figure in force here, the wider place's own left out where this
    /// place does not inherit them; by topic, the place's own first, then by id.
    #[must_use]
    pub fn all(&self, topic: Option<Topic>) -> Vec<(&'a Figure, &'a Edition, Cite)> {
        let topics = TOPICS.iter().copied().filter(|t| topic.is_none_or(|topic| topic == *t));
        let figures = topics.flat_map(|topic| self.rows(topic));
        let mut all: Vec<InForce<'a>> = figures.filter_map(|f| Some((f, self.edition(f)?))).collect();
        let order = |figure: &'a Figure| (figure.topic, figure.of != self.place.key, &figure.of, &figure.id);
        all.sort_by(|(a, _), (b, _)| order(a).cmp(&order(b)));
        all.into_iter().map(|found| (found.0, found.1, self.cite(found))).collect()
    }

    /// The figures of a topic: the place's own, then those of the wider place
    /// where they are taken from there.
    fn rows(&self, topic: Topic) -> impl Iterator<Item = &'a Figure> + use<'a> {
        std::iter::once(self.place).chain(self.wider(topic)).flat_map(move |place| place.of(topic))
    }

    /// Every value that a scope key takes in a topic, here or in the wider
    /// place where it is inherited, in the order of the tables.
    #[must_use]
    pub fn values_of(&self, topic: impl Into<Topic>, key: &str) -> Vec<String> {
        let mut values: Vec<String> = Vec::new();
        for value in self.rows(topic.into()).filter_map(|f| f.applies.get(key)) {
            if !values.contains(value) {
                values.push(value.clone());
            }
        }
        values
    }
}

fn fits(figure: &Figure, scope: &Scope<'_>) -> bool {
    figure.applies.iter().all(|(key, value)| scope.get(key) == Some(value))
}

/// Earlier scope keys weigh more.
fn weight(figure: &Figure) -> u32 {
    let keys = figure.topic.scope();
    keys.iter()
        .enumerate()
        .filter(|(_, key)| figure.applies.contains_key(**key))
        .map(|(i, _)| 1 << (keys.len() - i))
        .sum()
}

/// The edition in force on a day; none before the first or once withdrawn.
fn edition_on(figure: &Figure, on: Date) -> Option<&Edition> {
    figure.editions.iter().rfind(|e| e.from <= on).filter(|e| e.shape != Shape::Withdrawn)
}

/// The stricter of two numbers, each in its own unit; for anything else the first.
fn stricter<'a>(topic: Topic, a: InForce<'a>, b: InForce<'a>) -> InForce<'a> {
    let units = topic.units();
    let number = |(figure, edition): InForce<'_>| match edition.shape {
        Shape::Number(number) => Some(number * crate::units::factor(units, &figure.unit)?),
        _ => None,
    };
    let (Some(x), Some(y)) = (number(a), number(b)) else { return a };
    let second = match topic.safe() {
        Safe::Larger => y > x,
        Safe::Smaller => y < x,
        Safe::Neither => false,
    };
    if second { b } else { a }
}
