//! Looking a figure up: by place, date and scope.

use crate::findings::Cite;
use crate::tables::{Band, Edition, Figure, Inherits, PlaceTable, Safe, Season, Shape, Step, Tables, Thing, Topic};
use crate::text::Mark;
use jiff::civil::Date;

/// A value with its papers.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Sourced<T> {
    /// The value.
    pub value: T,
    /// Its unit.
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
    said: &'a [Said],
}

/// A figure of the farm's own, with who said so.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    /// The figure.
    pub figure: Figure,
    /// Who said so, and when.
    pub cite: Cite,
}

/// A figure that was found, in its edition of the date.
type Found<'a> = (&'a Figure, &'a Edition);

impl Tables {
    /// The tables of a place as they stood on a date.
    #[must_use]
    pub fn book(&self, place: &str, on: Date) -> Option<Book<'_>> {
        self.places.get(place).map(|place| Book { tables: self, place, on, said: &[] })
    }
}

impl Tables {
    /// One mark over the files that hold for a place: its own, those of the
    /// places it lies within, and the sources.
    #[must_use]
    pub fn mark(&self, place: &str) -> String {
        let mut folders = vec![place];
        while let Some(next) = folders.last().and_then(|last| self.places.get(*last)?.within.as_deref()) {
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
    pub fn with(self, said: &'a [Said]) -> Book<'a> {
        Book { said, ..self }
    }

    /// The place itself.
    #[must_use]
    pub fn place(&self) -> &'a PlaceTable {
        self.place
    }

    /// The day the tables are read for.
    #[must_use]
    pub fn on(&self) -> Date {
        self.on
    }

    /// The same tables as they stood on another day.
    #[must_use]
    pub fn as_on(self, on: Date) -> Book<'a> {
        Book { on, ..self }
    }

    /// The papers of a figure in one edition.
    fn cite(&self, (figure, edition): Found<'_>) -> Cite {
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
        }
    }

    fn sourced<T>(&self, found: Found<'_>, value: T) -> Sourced<T> {
        Sourced { value, unit: found.0.unit.clone(), cite: self.cite(found) }
    }

    /// The best fitting figure: most scope keys named, earlier keys first.
    fn best_of(
        &self,
        figures: impl Iterator<Item = &'a Figure>,
        topic: Topic,
        scope: &[(&str, &str)],
    ) -> Option<Found<'a>> {
        figures
            .filter(|f| f.topic == topic && fits(f, scope))
            .filter_map(|f| Some((f, edition_on(f, self.on)?)))
            .max_by_key(|(f, _)| (f.applies.len(), weight(f), std::cmp::Reverse(f.id.clone())))
    }

    /// The figure in force, with the place's inheritance applied.
    fn find(&self, topic: Topic, scope: &[(&str, &str)]) -> Option<Found<'a>> {
        let own = self.best_of(self.place.figures.iter(), topic, scope);
        let within = self.place.within.as_ref().and_then(|k| self.tables.places.get(k));
        let wider = || within.and_then(|w| self.best_of(w.figures.iter(), topic, scope));
        let said = || self.best_of(self.said.iter().map(|s| &s.figure), topic, scope);
        let published = match self.place.inherits.get(&topic) {
            None | Some(Inherits::Replaces) => own,
            Some(Inherits::FromWithin) => own.or_else(wider),
            Some(Inherits::StricterOf) => match (own, wider()) {
                (Some(a), Some(b)) => Some(stricter(topic.safe(), a, b)),
                (a, b) => a.or(b),
            },
        };
        published.or_else(said)
    }

    /// Whether the available nitrogen of litter goes by its organic and its
    /// ammonium part: where both shares are known, and no share of the total
    /// is, or only a wider place's while that of the organic part is its own.
    #[must_use]
    pub fn by_pools(&self, scope: &[(&str, &str)]) -> bool {
        let own = |topic| self.find(topic, scope).map(|(figure, _)| figure.of == self.place.key);
        match (own(Topic::NAvailable), own(Topic::NOrganicAvailable), own(Topic::NAmmoniumKept)) {
            (_, None, _) | (_, _, None) => false,
            (None, ..) => true,
            (Some(total), Some(organic), Some(_)) => organic && !total,
        }
    }

    /// A number.
    #[must_use]
    pub fn number(&self, topic: Topic, scope: &[(&str, &str)]) -> Option<Sourced<f64>> {
        let found = self.find(topic, scope)?;
        match found.1.shape {
            Shape::Number(value) => Some(self.sourced(found, value)),
            _ => None,
        }
    }

    /// The least and the most of the numbers above 0 that the place, and those
    /// it lies within, hold on a topic: what is usual there.
    #[must_use]
    pub fn range_of(&self, topic: Topic) -> Option<(f64, f64)> {
        let within = self.place.within.as_ref().and_then(|key| self.tables.places.get(key));
        let figures = std::iter::once(self.place).chain(within).flat_map(|place| &place.figures);
        let numbers = figures.filter(|f| f.topic == topic).filter_map(|f| match edition_on(f, self.on)?.shape {
            Shape::Number(value) => Some(value).filter(|value| *value > 0.0),
            _ => None,
        });
        numbers
            .fold(None, |range, n| Some(range.map_or((n, n), |(least, most): (f64, f64)| (least.min(n), most.max(n)))))
    }

    /// A number, or a curve evaluated by `shape_at`.
    #[must_use]
    pub fn shape(&self, topic: Topic, scope: &[(&str, &str)]) -> Option<Sourced<Shape>> {
        let found = self.find(topic, scope)?;
        Some(self.sourced(found, found.1.shape.clone()))
    }

    /// Classes.
    #[must_use]
    pub fn steps(&self, topic: Topic, scope: &[(&str, &str)]) -> Option<Sourced<Vec<Step>>> {
        let found = self.find(topic, scope)?;
        match &found.1.shape {
            Shape::Steps(steps) => Some(self.sourced(found, steps.clone())),
            _ => None,
        }
    }

    /// A word or sentence.
    #[must_use]
    pub fn words(&self, topic: Topic, scope: &[(&str, &str)]) -> Option<Sourced<String>> {
        let found = self.find(topic, scope)?;
        match &found.1.shape {
            Shape::Words(words) => Some(self.sourced(found, words.clone())),
            _ => None,
        }
    }

    /// What a value usually is, and what it can be at all.
    #[must_use]
    pub fn band(&self, thing: Thing, scope: &[(&str, &str)]) -> Option<Sourced<Band>> {
        let mut full = vec![("thing", thing.key())];
        full.extend(scope);
        let found = self.find(Topic::Plausible, &full)?;
        match found.1.shape {
            Shape::Band(band) => Some(self.sourced(found, band)),
            _ => None,
        }
    }

    /// Every season that fits, each under its name (`spring`, `fall`): the
    /// best fitting figure of each name.
    #[must_use]
    pub fn seasons(&self, scope: &[(&str, &str)]) -> Vec<(String, Sourced<Season>)> {
        self.values_of(Topic::SeasonOpen, "season")
            .into_iter()
            .filter_map(|name| {
                let mut full = scope.to_vec();
                full.push(("season", &name));
                let found = self.find(Topic::SeasonOpen, &full)?;
                match found.1.shape {
                    Shape::Season(season) => Some((name.clone(), self.sourced(found, season))),
                    _ => None,
                }
            })
            .collect()
    }

    /// Days on which nothing is spread, whatever the season; for a region of
    /// the place where it has several.
    #[must_use]
    pub fn closed_days(&self, region: Option<&str>) -> Option<Sourced<Season>> {
        let scope: Vec<(&str, &str)> = region.iter().map(|r| ("region", *r)).collect();
        let found = self.find(Topic::ClosedDays, &scope)?;
        match found.1.shape {
            Shape::Season(season) => Some(self.sourced(found, season)),
            _ => None,
        }
    }

    /// Every sentence of a topic, under the value of one scope key, in the
    /// order of the tables: the place's own first.
    #[must_use]
    pub fn all_words(&self, topic: Topic, key: &str) -> Vec<(String, Sourced<String>)> {
        self.values_of(topic, key)
            .into_iter()
            .filter_map(|value| Some((value.clone(), self.words(topic, &[(key, &value)])?)))
            .collect()
    }

    /// Every figure in force here, the wider place's own left out where this
    /// place does not inherit them; by topic, then by id.
    #[must_use]
    pub fn all(&self, topic: Option<Topic>) -> Vec<(&'a Figure, &'a Edition, Cite)> {
        let within = self.place.within.as_ref().and_then(|k| self.tables.places.get(k));
        let inherited = |f: &&Figure| {
            matches!(self.place.inherits.get(&f.topic), Some(Inherits::FromWithin | Inherits::StricterOf))
        };
        let wider = within.into_iter().flat_map(|w| &w.figures).filter(inherited);
        let mut all: Vec<Found<'a>> = self
            .place
            .figures
            .iter()
            .chain(wider)
            .filter(|f| topic.is_none_or(|t| f.topic == t))
            .filter_map(|f| Some((f, edition_on(f, self.on)?)))
            .collect();
        all.sort_by(|(a, _), (b, _)| (a.topic, &a.of, &a.id).cmp(&(b.topic, &b.of, &b.id)));
        all.into_iter().map(|found| (found.0, found.1, self.cite(found))).collect()
    }

    /// Every value that a scope key takes in a topic, here or in the wider
    /// place where it is inherited, in the order of the tables.
    #[must_use]
    pub fn values_of(&self, topic: Topic, key: &str) -> Vec<String> {
        let within = self.place.within.as_ref().and_then(|k| self.tables.places.get(k));
        let inherits = matches!(self.place.inherits.get(&topic), Some(Inherits::FromWithin | Inherits::StricterOf));
        let wider = within.filter(|_| inherits);
        let mut values: Vec<String> = Vec::new();
        let figures = std::iter::once(self.place).chain(wider).flat_map(|p| &p.figures);
        for value in figures.filter(|f| f.topic == topic).filter_map(|f| f.applies.get(key)) {
            if !values.contains(value) {
                values.push(value.clone());
            }
        }
        values
    }
}

fn fits(figure: &Figure, scope: &[(&str, &str)]) -> bool {
    figure.applies.iter().all(|(key, value)| scope.iter().any(|(k, v)| k == key && v == value))
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

/// The stricter of two numbers; for anything else the first.
fn stricter<'a>(safe: Safe, a: Found<'a>, b: Found<'a>) -> Found<'a> {
    let (Shape::Number(x), Shape::Number(y)) = (&a.1.shape, &b.1.shape) else {
        return a;
    };
    let second = match safe {
        Safe::Larger => y > x,
        Safe::Smaller => y < x,
        Safe::Neither => false,
    };
    if second { b } else { a }
}

impl Season {
    /// First and last day of the season that opens in `year`. A season that
    /// closes before it opens runs over new year.
    ///
    /// Returns none only past the end of the calendar.
    #[must_use]
    pub fn days_in(&self, year: i16) -> Option<(Date, Date)> {
        // February 29 is the last of February in other years.
        let day = |y: i16, d: crate::tables::MonthDay| {
            let exact = Date::new(y, d.month, d.day).ok();
            exact.or_else(|| Date::new(y, d.month, 1).ok().map(Date::last_of_month))
        };
        let opens = day(year, self.opens)?;
        let over = self.closes < self.opens;
        let closes = day(if over { year.checked_add(1)? } else { year }, self.closes)?;
        Some((opens, closes))
    }
}

/// The class of a value: the first step at or above it.
#[must_use]
pub(crate) fn class_of(steps: &[Step], value: f64) -> Option<&str> {
    steps.iter().find(|s| s.up_to.is_none_or(|u| value <= u)).map(|s| s.is.as_str())
}

/// Value of a curve at `x`: `a x^2 - b x + c`, flat past its lowest point and
/// never below zero.
#[must_use]
pub(crate) fn curve_at(a: f64, b: f64, c: f64, x: f64) -> f64 {
    // A curve that only rises or only falls has no lowest point to its right.
    let lowest = if a > 0.0 && b > 0.0 { b / (2.0 * a) } else { f64::INFINITY };
    let x = x.clamp(0.0, lowest);
    (a * x * x - b * x + c).max(0.0)
}
