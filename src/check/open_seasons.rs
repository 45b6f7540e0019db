//! The season that was open on a field on a day, for what grew on it then.

use crate::check::ready::{Field, Ready};
use crate::tables::{Book, Season, Sourced};
use jiff::civil::Date;

/// The seasons of a forage, by name.
type Seasons = Vec<(String, Sourced<Season>)>;

/// The seasons of a field, of its forages one after the other.
#[derive(Clone, Debug)]
pub struct OpenSeasons {
    /// The last day of a forage with its seasons; those of now have none.
    by_forage: Vec<(Option<Date>, Seasons)>,
}

impl OpenSeasons {
    /// Those of a field.
    #[must_use]
    pub fn of(ready: &Ready, field: &Field, book: &Book<'_>) -> OpenSeasons {
        let untils = field.written.before.iter().map(|before| Some(before.until.value));
        let until = |until: Option<Date>| (until, book.seasons(&ready.scope_on(field, until.unwrap_or(Date::MAX))));
        OpenSeasons { by_forage: untils.chain([None]).map(until).collect() }
    }

    fn of_day(&self, day: Date) -> Option<&Seasons> {
        let then = self.by_forage.iter().find(|(until, _)| until.is_none_or(|until| day <= until));
        then.map(|(_, seasons)| seasons)
    }

    /// Whether the place names seasons for what grew on a day, and none of them is open.
    #[must_use]
    pub fn closed_on(&self, day: Date) -> bool {
        self.of_day(day).is_some_and(|seasons| !seasons.is_empty()) && self.on(day).is_none()
    }

    /// The season that is open on a day, with the day it opened.
    #[must_use]
    pub fn on(&self, day: Date) -> Option<(Date, String)> {
        self.of_day(day)?
            .iter()
            .find_map(|(name, season)| season.value.around(day).map(|(opens, _)| (opens, name.clone())))
    }
}
