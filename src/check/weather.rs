//! Weather in which places have spreading stop, by the words of a spreading and by the rain that
//! was logged around it.

use crate::check::on_field::{FIELD, spread};
use crate::check::ready::Ready;
use crate::findings::Finding;
use crate::record::{Entry, What};
use crate::tables::{Book, Sourced, topic};
use crate::units::number_text;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// What falls, by the condition in which places have spreading stop.
const FALLS: [(&str, &[&str]); 2] = [
    (
        "rain",
        &[
            "rain",
            "rains",
            "raining",
            "rained",
            "rainy",
            "rainstorm",
            "shower",
            "showers",
            "drizzle",
            "drizzling",
            "downpour",
            "storm",
            "storms",
            "stormy",
            "thunderstorm",
            "thunderstorms",
        ],
    ),
    ("snow", &["snow", "snowing", "snowy", "sleet"]),
];

/// What is said of a wind that carries dust along.
const DRIFTS: &[&str] =
    &["dust", "dusty", "drift", "drifts", "drifting", "strong", "gust", "gusts", "gusty", "gale", "storm", "stormy"];

/// What is said of such a wind among the words of the weather, where `strong` may be the sun.
const DRIFTS_ALONG: &[&str] =
    &["dust", "dusty", "drift", "drifts", "drifting", "gust", "gusts", "gusty", "gale", "windy"];

/// Words before what a wind blows to.
const TOWARD: &[&str] = &["toward", "towards", "to", "at", "onto", "into", "over", "across"];

/// Words before a name of the map: a place that is named may stand over or across anything.
const TO_A_NAME: &[&str] = &["toward", "towards", "to", "at", "onto"];

/// What no dust may drift to.
const KEPT_CLEAR: &[&str] = &[
    "house",
    "houses",
    "home",
    "homes",
    "neighbor",
    "neighbors",
    "neighbour",
    "neighbours",
    "church",
    "school",
    "road",
    "roads",
    "highway",
    "street",
    "water",
    "pond",
    "lake",
    "creek",
    "stream",
    "river",
    "ditch",
    "branch",
    "brook",
    "wetland",
    "swamp",
    "dwelling",
    "dwellings",
    "barn",
    "playground",
    "cemetery",
];

/// Words of a name on the map that say nothing of the thing alone.
const OF_A_NAME: &[&str] = &[
    "the",
    "and",
    "old",
    "new",
    "big",
    "little",
    "upper",
    "lower",
    "north",
    "south",
    "east",
    "west",
    "line",
    "side",
    "field",
    "property",
    "public",
    "perennial",
    "intermittent",
];

/// Words that may stand between the two.
const BETWEEN: usize = 2;

/// The weather around the spreadings of a farm, and when its place has them stop.
pub(super) struct Weather<'a> {
    /// The conditions in which the place has spreading stop.
    stops: Vec<(String, Sourced<String>)>,
    /// The days on which it rained, with an entry that says so.
    rained: BTreeMap<Date, &'a Entry>,
    /// The words by which the farm's map calls what is kept off.
    mapped: BTreeSet<String>,
}

impl<'a> Weather<'a> {
    pub(super) fn of(ready: &'a Ready, book: &Book<'_>) -> Weather<'a> {
        let rain = ready.happened.iter().filter(|e| e.what == What::Rain && e.inches.is_some_and(|i| i > 0.0));
        let named = ready.keepouts.iter().flat_map(|keep| words_of(&format!("{} {}", keep.name, keep.kind)));
        let tells = |word: &String| {
            word.chars().count() > 2
                && word.chars().any(char::is_alphabetic)
                && !OF_A_NAME.contains(&word.as_str())
                && !TOWARD.contains(&word.as_str())
        };
        Weather {
            stops: book.all_words(topic::STOP, "when"),
            rained: rain.map(|e| (e.date, e)).collect(),
            mapped: named.filter(tells).collect(),
        }
    }

    /// All that the weather of a spreading says against it.
    pub(super) fn told(&self, entry: &Entry) -> Vec<Finding> {
        let one = [self.in_the_rain(entry), self.in_bad_weather(entry), self.in_the_wind(entry)];
        one.into_iter().flatten().chain(self.around_rain(entry)).collect()
    }

    /// What the place says of spreading in some weather, where it has it stop.
    fn stops_in(&self, met: &str) -> Option<&Sourced<String>> {
        self.stops.iter().find(|(when, _)| when == met).map(|(_, words)| words)
    }

    /// Rain or snow in the entry's own words, where the place has spreading stop in it.
    fn in_bad_weather(&self, entry: &Entry) -> Option<Finding> {
        let weather = entry.word("weather");
        let mut met = FALLS.iter().filter(|(_, falls)| says(weather, falls)).map(|(when, _)| *when);
        let words = met.find_map(|met| self.stops_in(met))?;
        let why = format!("and its weather is written down as `{weather}`: {}", words.value.trim_end_matches('.'));
        Some(spread(entry, "log-weather", &why).accepts(words.cite.to_string()))
    }

    /// Rain in the 24 hours before or after, in the entry's own words, else by the rain that was
    /// logged the day before or after: what the place says of rain is for whoever weighs it.
    fn around_rain(&self, entry: &Entry) -> Vec<Finding> {
        let rain = FALLS.iter().find(|(when, _)| *when == "rain").map_or(&[][..], |(_, falls)| falls);
        let Some(words) = self.stops_in("rain") else { return Vec::new() };
        let stop = words.value.trim_end_matches('.');
        let note = |found: String| {
            let finding = Finding::note("log-rain-near", &entry.place, found).accepts(words.cite.to_string());
            finding.fix("see whether any litter ran off; if it did, tell the planner")
        };
        let one = |(column, day): (&str, Option<Date>)| {
            let on = entry.date;
            if says(entry.word(column), rain) {
                let weather = entry.word(column);
                return Some(note(format!(
                    "litter was spread on {FIELD} on {on}, and the weather of the 24 hours {column} is written down as `{weather}`: {stop}"
                )));
            }
            let logged = *self.rained.get(&day?)?;
            let (inches, day) = (inches(logged), logged.date);
            let found = format!(
                "litter was spread on {FIELD} on {on}, and {inches}rain is logged on {day}, the day {column}: {stop}"
            );
            Some(note(found).also(&logged.place, "the rain"))
        };
        let days = [("before", entry.date.yesterday().ok()), ("after", entry.date.tomorrow().ok())];
        days.into_iter().filter_map(one).collect()
    }

    /// Wind that carries dust, in the entry's own words, where the place has spreading stop.
    fn in_the_wind(&self, entry: &Entry) -> Option<Finding> {
        let words = self.stops_in("wind")?;
        let drifts = |text: &str, any_of: &[&str]| says(text, any_of) || self.blows_to(text);
        let met = [("wind", DRIFTS), ("weather", DRIFTS_ALONG)];
        let (column, _) = met.into_iter().find(|(column, any_of)| drifts(entry.word(column), any_of))?;
        let why = format!(
            "and its {column} is written down as `{}`: {}",
            entry.word(column),
            words.value.trim_end_matches('.')
        );
        Some(spread(entry, "log-wind", &why).accepts(words.cite.to_string()))
    }

    /// Whether a wind blows to what is to be kept clear of dust, by its kind or by the name that the
    /// map has for it, and no word takes that back.
    fn blows_to(&self, text: &str) -> bool {
        let words = words_of(text);
        let is = |at: usize, list: &[&str]| words.get(at).is_some_and(|word| list.contains(&word.as_str()));
        let named = |at: usize| words.get(at).is_some_and(|word| self.mapped.contains(word));
        (0..words.len()).filter(|at| is(*at, TOWARD)).any(|at| {
            let by_name = is(at, TO_A_NAME);
            let behind = (at + 1..=at + 1 + BETWEEN).any(|to| is(to, KEPT_CLEAR) || by_name && named(to));
            behind && !(0..at).rev().take(BETWEEN).chain(at + 1..at + 1 + BETWEEN).any(|other| is(other, &TAKE_BACK))
        })
    }

    /// Rain that was logged on the day, where the place has spreading stop in rain.
    fn in_the_rain(&self, entry: &Entry) -> Option<Finding> {
        let rain = self.rained.get(&entry.date)?;
        let words = self.stops_in("rain")?;
        let why = format!("and {}rain is logged that day: {}", inches(rain), words.value.trim_end_matches('.'));
        Some(spread(entry, "log-rain", &why).accepts(words.cite.to_string()).also(&rain.place, "the rain"))
    }
}

/// How much it rained, before the word.
fn inches(rain: &Entry) -> String {
    rain.inches.map_or(String::new(), |inches| format!("{} inches of ", number_text(inches, 2)))
}

/// The words of a text, in small letters; a decimal number is one.
fn words_of(text: &str) -> Vec<String> {
    let letters: Vec<char> = text.chars().collect();
    let digit = |at: Option<usize>| at.and_then(|at| letters.get(at)).is_some_and(char::is_ascii_digit);
    let point = |at: usize| letters[at] == '.' && digit(at.checked_sub(1)) && digit(Some(at + 1));
    let kept = |at: usize| if letters[at].is_alphanumeric() || point(at) { letters[at] } else { ' ' };
    let spaced: String = (0..letters.len()).map(kept).collect();
    spaced.split_whitespace().map(str::to_lowercase).collect()
}

/// Words that take back what follows them.
const TAKE_BACK: [&str; 4] = ["no", "not", "without", "never"];

/// Words between an amount and what fell.
const OF_AN_AMOUNT: [&str; 4] = ["in", "inch", "inches", "of"];
/// Words behind what falls that say that none did.
const NONE_FELL: [&str; 5] = ["none", "nil", "zero", "free", "missed"];
/// What stays or goes where it does not fall on the field.
const ELSEWHERE: [&str; 8] = ["north", "south", "east", "west", "away", "off", "clear", "elsewhere"];
const STAYED: [&str; 5] = ["stayed", "stay", "kept", "passed", "went"];

/// A number, with or without its unit.
fn number(word: &str) -> Option<f64> {
    let digits = word.trim_end_matches(char::is_alphabetic);
    let unit = &word[digits.len()..];
    (unit.is_empty() || OF_AN_AMOUNT.contains(&unit)).then(|| digits.parse().ok()).flatten()
}

/// Whether what falls is said to have been none: `rain 0.0 in`, `0 in of rain`, `rain: none`, `rain-free`,
/// `showers stayed north`.
fn none_fell(words: &[&str], at: usize) -> bool {
    let word = |at: usize| words.get(at).copied().unwrap_or_default();
    // `rain 0 to 0.2 in` may have been some.
    let more = |at: usize| {
        let range = if ["to", "or"].contains(&word(at)) { at + 1 } else { at };
        number(word(range)).is_some_and(|more| more > 0.0)
    };
    let zero = |at: usize| number(word(at)).is_some_and(|amount| amount <= 0.0);
    let amount_behind = zero(at + 1) && !more(at + 2);
    let before = words[..at].iter().rposition(|word| !OF_AN_AMOUNT.contains(word));
    let amount_before = before.is_some_and(|before| zero(before) || ["zero", "free"].contains(&word(before)));
    let none = NONE_FELL.contains(&word(at + 1)) && word(at + 2) != "of";
    let last_no = word(at + 1) == "no" && at + 2 == words.len();
    let elsewhere = STAYED.contains(&word(at + 1)) && ELSEWHERE.contains(&word(at + 2));
    amount_behind || amount_before || none || last_no || elsewhere
}

/// Whether one of some words stands in a text, and no word that takes it back.
fn says(text: &str, any_of: &[&str]) -> bool {
    let words = words_of(text);
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let falls = |word: &str| FALLS.iter().any(|(_, falls)| falls.contains(&word));
    // `no drizzle or rain` takes back both.
    let linked = |word: &&&str| ["or", "nor", "and", "any"].contains(*word) || falls(word);
    let taken_back = |at: usize| {
        let before = words[..at].iter().rev().find(|word| !linked(word));
        before.is_some_and(|word| TAKE_BACK.contains(word)) || none_fell(&words, at)
    };
    words.iter().enumerate().any(|(at, word)| any_of.contains(word) && !taken_back(at))
}
