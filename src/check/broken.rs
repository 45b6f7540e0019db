//! Rules that an entry of the log broke on its own day, whatever is planned:
//! stock and litter on one field, lots where they may not go, papers too old,
//! rain, closed days, cuttings, ticket numbers that stand twice.

use crate::check::aged::{Aged, last_day};
use crate::check::alike::alike;
use crate::check::open_seasons::OpenSeasons;
use crate::check::ready::{Field, Lot, Ready};
use crate::check::used::CutWait;
use crate::farm::Use;
use crate::findings::{At, Finding, Findings, Place, distinct, listed};
use crate::record::{self, Entry, What};
use crate::tables::{Book, Season, Sourced, topic};
use crate::units::{Quantity, in_days, number_text};
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

/// What to do about something that was done.
pub(super) const DONE: &str = "tell the planner; a slip of the pen is corrected with `sward log correct`";

/// Stands in a sentence for the field, until it is known for which parts of one it is so; it is
/// in no text that was read.
const FIELD: &str = "\u{0}";

/// What was found on a field, by its id, with [`FIELD`] in its sentence.
type OnField<'a> = (&'a str, Finding);

/// Everything that the entries of the last year and of the plan broke.
pub(super) fn rules(ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    let mut told: Vec<OnField<'_>> = Vec::new();
    let (rained, stops) = (rained(ready), book.all_words(topic::STOP, "when"));
    let mut by_field: BTreeMap<(&str, &str, Use), FieldRules> = BTreeMap::new();
    for entry in ready.judged().filter(|e| e.what == What::Spread) {
        let Some(field) = entry.field.as_ref().and_then(|id| ready.field(&id.value)) else { continue };
        let grew = (field.id(), field.written.forage_on(entry.date).value.as_str(), field.written.usage_on(entry.date));
        let rules = by_field.entry(grew).or_insert_with(|| FieldRules::of(ready, field, entry.date, book));
        let spread = SpreadEntry { entry, field, ready, book, stops: &stops, rules };
        let mut broken = vec![spread.test_too_old(), spread.in_closed_days(), spread.on_a_cutting()];
        broken.extend([spread.in_the_rain(&rained), spread.before_a_cutting(), spread.in_bad_weather()]);
        broken.extend(spread.around_rain().into_iter().map(Some));
        broken.extend([spread.in_the_wind(), spread.out_of_season()]);
        if let Some(lot) = ready.lot_of(entry) {
            broken.extend([spread.kept_off(lot), spread.analysis_too_old(lot)]);
        }
        told.extend(broken.into_iter().flatten().map(|finding| (field.id(), finding)));
    }
    findings.extend(ready.judged().filter_map(|entry| traded(entry, ready)).collect());
    for (field, spreads) in spread_by_field(ready) {
        grazed(ready, field, &spreads, book, &mut told);
    }
    findings.extend(by_parts(told));
    tickets(ready, findings);
}

/// What an entry broke on several parts of a field that was split is told once, with all of them.
fn by_parts(told: Vec<OnField<'_>>) -> Findings {
    let mut groups: BTreeMap<(String, Place, String), (Finding, Vec<&str>)> = BTreeMap::new();
    for (id, finding) in told {
        let key = (finding.code.to_string(), finding.place.clone(), finding.found.clone());
        groups.entry(key).or_insert_with(|| (finding, Vec::new())).1.push(id);
    }
    let one = |(finding, ids): (Finding, Vec<&str>)| {
        let found = finding.found.replace(FIELD, &listed(&distinct(ids)));
        Finding { found, ..finding }
    };
    groups.into_values().map(one).collect()
}

/// Litter of a kind that is never sold, and left the farm or came to it as litter.
fn traded(entry: &Entry, ready: &Ready) -> Option<Finding> {
    let how = match entry.what {
        What::Haul => "left the farm",
        What::Bring => "was brought to the farm",
        _ => return None,
    };
    let lot = ready.lot_of(entry)?;
    let why = lot.never_sold.as_ref()?;
    let found = format!("{} of lot `{}` {how} on {}: {}", lot.kind.replace('_', " "), lot.id, entry.date, why.value);
    let finding = Finding::warning("log-never-sold", &entry.place, found).accepts(why.cite.to_string());
    Some(finding.fix(DONE).also(&lot.place, "the lot"))
}

/// The spreadings of every field that has one.
fn spread_by_field(ready: &Ready) -> Vec<(&Field, Vec<&Entry>)> {
    let mut by_field: BTreeMap<&str, Vec<&Entry>> = BTreeMap::new();
    for entry in ready.judged().filter(|e| e.what == What::Spread) {
        by_field.entry(entry.field_id()).or_default().push(entry);
    }
    ready.fields.iter().filter_map(|field| Some((field.as_ref(), by_field.remove(field.id())?))).collect()
}

/// What holds on a field for what grew on it on a day: asked of the place once, however
/// often litter was spread there.
struct FieldRules {
    seasons: OpenSeasons,
    closed: Option<Sourced<Season>>,
    cut_wait: Option<CutWait>,
}

impl FieldRules {
    fn of(ready: &Ready, field: &Field, day: Date, book: &Book<'_>) -> FieldRules {
        let scope = ready.scope_on(field, day);
        FieldRules {
            seasons: OpenSeasons::of(ready, field, book),
            closed: book.get(topic::CLOSED_DAYS, &scope),
            cut_wait: ready.cut_wait_by(field, &scope, book),
        }
    }
}

/// A spreading, with what its field and place say.
struct SpreadEntry<'a> {
    entry: &'a Entry,
    field: &'a Field,
    ready: &'a Ready,
    book: &'a Book<'a>,
    /// The conditions in which the place has spreading stop.
    stops: &'a [(String, Sourced<String>)],
    rules: &'a FieldRules,
}

impl SpreadEntry<'_> {
    fn warn(&self, code: &'static str, why: &str) -> Finding {
        let found = format!("litter was spread on {FIELD} on {}, {why}", self.entry.date);
        Finding::warning(code, &self.entry.place, found).fix(DONE)
    }

    /// The lot may not go there, or nowhere, by the grower's own word.
    fn kept_off(&self, lot: &Lot) -> Option<Finding> {
        let grazed = self.field.written.usage_on(self.entry.date).is_grazed();
        let then = || {
            (lot.never_grazed.is_some() && grazed).then_some("its kind never goes where stock grazes, as it did then")
        };
        let why = lot.kept_from(self.field).or_else(then)?;
        Some(self.warn("log-kept-off", &format!("out of lot `{}`: {why}", lot.id)).also(&lot.place, "the lot"))
    }

    fn analysis_too_old(&self, lot: &Lot) -> Option<Finding> {
        let sampled = &lot.analysis_on(self.entry.date)?.sampled;
        let stop = last_day(sampled.value, topic::LITTER_SAMPLE_STOP, self.ready.large, self.book);
        if let Some(stop) = stop.filter(|stop| stop.last < self.entry.date) {
            let why = format!(
                "and nothing may rely on the analysis of lot `{}`, sampled {}, after {}",
                lot.id, stop.since, stop.last
            );
            return self
                .expired("tally-barred", &why, &stop)
                .map(|finding| finding.also(&sampled.place, "the analysis"));
        }
        let aged = last_day(sampled.value, topic::LITTER_SAMPLE_AGE, self.ready.large, self.book)?;
        let why = format!("and the analysis of lot `{}`, sampled {}, expired {}", lot.id, aged.since, aged.last);
        self.expired("log-analysis-old", &why, &aged).map(|finding| finding.also(&sampled.place, "the analysis"))
    }

    fn test_too_old(&self) -> Option<Finding> {
        let sampled = &self.field.written.soil_tests.on(self.entry.date)?.sampled;
        let aged = last_day(sampled.value, topic::SOIL_SAMPLE_AGE, self.ready.large, self.book)?;
        let why = format!("and the soil test of {} expired {}", sampled.value, aged.last);
        self.expired("log-soil-test-old", &why, &aged).map(|finding| finding.also(&sampled.place, "the soil test"))
    }

    fn expired(&self, code: &'static str, why: &str, aged: &Aged) -> Option<Finding> {
        let accepts = format!("at most {} days: {}", aged.days, aged.cite);
        (aged.last < self.entry.date).then(|| self.warn(code, why).accepts(accepts))
    }

    fn in_closed_days(&self) -> Option<Finding> {
        let closed = self.rules.closed.as_ref()?;
        let (first, last) = closed.value.around(self.entry.date)?;
        let why = format!("and the place has no litter spread from {first} to {last}");
        Some(self.warn("log-closed", &why).accepts(closed.cite.to_string()))
    }

    /// A day on which no season of what grew there is open, whatever days a plan is for.
    fn out_of_season(&self) -> Option<Finding> {
        if !self.rules.seasons.closed_on(self.entry.date) {
            return None;
        }
        let forage = &self.field.written.forage_on(self.entry.date).value;
        let why = format!("outside every season in which litter may go on {}", forage.replace('_', " "));
        Some(self.warn("log-window", &why))
    }

    fn on_a_cutting(&self) -> Option<Finding> {
        let cuttings = self.ready.happened.on_field(self.field.id(), What::Cut);
        let cut = cuttings.filter(|cut| cut.date == self.entry.date).last()?;
        Some(self.warn("log-cutting-day", "the day the field was cut").also(&cut.place, "the cutting"))
    }

    /// A cutting, logged or planned, before the days to keep are over.
    fn before_a_cutting(&self) -> Option<Finding> {
        let wait = self.rules.cut_wait.as_ref()?;
        let next = self.field.cuttings.iter().find(|cut| cut.day > self.entry.date)?;
        let days = (next.day - self.entry.date).get_days();
        if days >= wait.days {
            return None;
        }
        let at = self.entry.date;
        let accepts = format!("at least {} from spreading to cutting: {}", in_days(wait.days), wait.said());
        let finding = if next.logged {
            let found = format!("{FIELD} cut on {}, {} after litter was spread on {at}", next.day, in_days(days));
            Finding::warning("log-cut-early", &next.place, found).also(&self.entry.place, "the litter").fix(DONE)
        } else {
            let found = format!(
                "litter was spread on {FIELD} on {at}, {} before the cutting planned for {}",
                in_days(days),
                next.day
            );
            let finding = Finding::warning("log-cutting-planned", &self.entry.place, found);
            finding.also(&next.place, "the planned cutting").fix("cut later, or tell the planner")
        };
        Some(finding.accepts(accepts))
    }

    /// What the place says of spreading in some weather, where it has it stop.
    fn stops_in(&self, met: &str) -> Option<&Sourced<String>> {
        self.stops.iter().find(|(when, _)| when == met).map(|(_, words)| words)
    }

    /// Rain or snow in the entry's own words, where the place has spreading stop in it.
    fn in_bad_weather(&self) -> Option<Finding> {
        let weather = self.entry.word("weather");
        let mut met = FALLS.iter().filter(|(_, falls)| says(weather, falls)).map(|(when, _)| *when);
        let words = met.find_map(|met| self.stops_in(met))?;
        let why = format!("and its weather is written down as `{weather}`: {}", words.value.trim_end_matches('.'));
        Some(self.warn("log-weather", &why).accepts(words.cite.to_string()))
    }

    /// Rain in the 24 hours before or after, in the entry's own words: what the place says of rain
    /// is for whoever weighs it.
    fn around_rain(&self) -> Vec<Finding> {
        let rain = FALLS.iter().find(|(when, _)| *when == "rain").map_or(&[][..], |(_, falls)| falls);
        let Some(words) = self.stops_in("rain") else { return Vec::new() };
        let one = |column: &'static str| {
            let weather = self.entry.word(column);
            let found = format!(
                "litter was spread on {FIELD} on {}, and the weather of the 24 hours {column} is written down as `{weather}`: {}",
                self.entry.date,
                words.value.trim_end_matches('.')
            );
            let finding = Finding::note("log-rain-near", &self.entry.place, found).accepts(words.cite.to_string());
            says(weather, rain).then(|| finding.fix("see whether any litter ran off; if it did, tell the planner"))
        };
        ["before", "after"].into_iter().filter_map(one).collect()
    }

    /// Wind that carries dust, in the entry's own words, where the place has spreading stop.
    fn in_the_wind(&self) -> Option<Finding> {
        let wind = self.entry.word("wind");
        let words = self.stops_in("wind").filter(|_| says(wind, DRIFTS))?;
        let why = format!("and its wind is written down as `{wind}`: {}", words.value.trim_end_matches('.'));
        Some(self.warn("log-wind", &why).accepts(words.cite.to_string()))
    }

    /// Rain that was logged on the day, where the place has spreading stop in rain.
    fn in_the_rain(&self, rained: &BTreeMap<Date, &Entry>) -> Option<Finding> {
        let rain = rained.get(&self.entry.date)?;
        let words = self.stops_in("rain")?;
        let inches = rain.inches.map_or(String::new(), |inches| format!("{} inches of ", number_text(inches, 2)));
        let why = format!("and {inches}rain is logged that day: {}", words.value.trim_end_matches('.'));
        Some(self.warn("log-rain", &why).accepts(words.cite.to_string()).also(&rain.place, "the rain"))
    }
}

/// Whether one of some words stands in a text, and no word that takes it back.
fn says(text: &str, any_of: &[&str]) -> bool {
    let text = text.to_lowercase();
    let words: Vec<&str> = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let falls = |word: &str| FALLS.iter().any(|(_, falls)| falls.contains(&word));
    // `no drizzle or rain` takes back both.
    let linked = |word: &&&str| ["or", "nor", "and", "any"].contains(*word) || falls(word);
    let taken_back = |at: usize| {
        let before = words[..at].iter().rev().find(|word| !linked(word));
        before.is_some_and(|word| ["no", "not", "without", "never"].contains(word))
    };
    words.iter().enumerate().any(|(at, word)| any_of.contains(word) && !taken_back(at))
}

/// The days on which it rained, with an entry that says so.
fn rained(ready: &Ready) -> BTreeMap<Date, &Entry> {
    let rain = ready.happened.iter().filter(|e| e.what == What::Rain && e.inches.is_some_and(|i| i > 0.0));
    rain.map(|e| (e.date, e)).collect()
}

/// The wait between litter and stock on a field.
struct Wait {
    days: i32,
    accepts: String,
}

impl Wait {
    /// For what grew on a day.
    fn of(ready: &Ready, field: &Field, day: Date, book: &Book<'_>) -> Wait {
        match book.get(topic::GRAZE_WAIT, &ready.scope_on(field, day)) {
            Some(wait) => {
                let days = wait.value.get().ceil() as i32;
                Wait { days, accepts: format!("at least {} from spreading to grazing: {}", in_days(days), wait.cite) }
            }
            None => Wait { days: 0, accepts: "litter on ground without stock".to_string() },
        }
    }
}

/// Litter and stock on one field: stock before the wait is over, and litter onto
/// ground that is being grazed, logged or planned.
fn grazed<'a>(ready: &Ready, field: &'a Field, spreads: &[&Entry], book: &Book<'_>, told: &mut Vec<OnField<'a>>) {
    let mut waits: BTreeMap<(&str, Use), Wait> = BTreeMap::new();
    let ends: BTreeMap<Date, Date> = ready
        .happened
        .grazings(field.id())
        .into_iter()
        .map(|(first, last)| (first, last.unwrap_or(Date::MAX)))
        .collect();
    let entries = [What::Graze, What::Head].into_iter().flat_map(|what| ready.happened.on_field(field.id(), what));
    // Animals that were counted while they grazed are told by the entry of the grazing.
    let began = |e: &&Entry| e.head != Some(0.0) && (e.what == What::Graze || ends.contains_key(&e.date));
    let logged: Vec<&Entry> = entries.filter(began).collect();
    for spread in spreads {
        let grew = (field.written.forage_on(spread.date).value.as_str(), field.written.usage_on(spread.date));
        let wait = &*waits.entry(grew).or_insert_with(|| Wait::of(ready, field, spread.date, book));
        for graze in &logged {
            let last = graze.until.or(ends.get(&graze.date).copied()).unwrap_or(Date::MAX);
            told.extend(stock_and_litter(spread, graze, last, wait).map(|finding| (field.id(), finding)));
        }
        // What was grazed after all is told by its own entry.
        if !logged.iter().any(|graze| graze.date >= spread.date) {
            told.extend(before_planned_grazing(spread, field, wait).map(|finding| (field.id(), finding)));
        }
    }
}

/// A spreading and a grazing that were logged, told at the later of the two.
fn stock_and_litter(spread: &Entry, graze: &Entry, last: Date, wait: &Wait) -> Option<Finding> {
    let first = graze.date;
    let apart = (first - spread.date).get_days();
    let (code, found, at, other) = if (first..=last).contains(&spread.date) {
        let found =
            format!("litter was spread on {FIELD} on {}, while stock grazed there (since {first})", spread.date);
        ("log-onto-stock", found, spread, graze)
    } else if apart >= 0 && apart < wait.days {
        let found = format!("stock grazed {FIELD} from {first}, {}", after(apart, spread.date));
        ("log-grazed-early", format!("{found}, and the wait is {}", in_days(wait.days)), graze, spread)
    } else {
        return None;
    };
    let finding = Finding::warning(code, &at.place, found).accepts(wait.accepts.clone());
    Some(finding.fix(DONE).also(&other.place, "the other entry"))
}

/// A spreading with planned grazing before its wait is over.
fn before_planned_grazing(spread: &Entry, field: &Field, wait: &Wait) -> Option<Finding> {
    let soon = |(from, to): &&(At<Date>, At<Date>)| {
        spread.date <= to.value && (from.value - spread.date).get_days() < wait.days
    };
    let (from, to) = field.written.grazed.iter().find(soon)?;
    let found = format!(
        "litter was spread on {FIELD} on {}, and farm.yaml has it grazed {} to {}: the wait is {}",
        spread.date,
        from.value,
        to.value,
        in_days(wait.days)
    );
    let finding = Finding::warning("log-grazing-planned", &spread.place, found).accepts(wait.accepts.clone());
    Some(finding.fix("keep stock off until the wait is over").also(&from.place, "the planned grazing"))
}

fn after(days: i32, spread: Date) -> String {
    format!("{} after litter was spread on {spread}", in_days(days))
}

/// One scale ticket in two entries.
fn tickets(ready: &Ready, findings: &mut Findings) {
    let happened = &ready.happened;
    for entry in happened.asked() {
        findings.extend(unpaired(entry).into_iter().collect());
    }
    let of = |entry| record::numbers(entry).into_iter();
    let new: Option<BTreeSet<&str>> = happened.asks_of_new().then(|| happened.asked().flat_map(of).collect());
    if new.as_ref().is_some_and(BTreeSet::is_empty) {
        return;
    }
    let is_asked = |number: &&str| new.as_ref().is_none_or(|new| new.contains(number));
    let all = happened.iter().flat_map(|entry| of(entry).filter(is_asked).map(move |number| (number, entry)));
    let all: Vec<(&str, &Entry)> = all.collect();
    for same in alike(&all, |(number, _)| number) {
        let mut seen: BTreeMap<&str, &Entry> = BTreeMap::new();
        for (number, entry) in same {
            let first: &Entry = seen.entry(number).or_insert(entry);
            // A line that names it twice, and the parts of an entry on a field that was split.
            if first.place == entry.place || !happened.is_asked(entry) {
                continue;
            }
            let found = format!("the scale ticket `{number}` stands in two entries, `{}` and this one", first.id);
            let finding = Finding::warning("log-ticket-twice", &entry.place, found).accepts("every ticket once");
            findings.push(finding.fix(one_of_two(entry)).also(&first.place, "the first of them"));
        }
    }
}

/// How a ticket that stands in two entries is put right: which of them is wrong nobody knows,
/// and the later one more likely is.
fn one_of_two(entry: &Entry) -> String {
    let later = match entry.id.as_str() {
        "" => "this entry (`sward log void`, with its id)".to_string(),
        id => format!("this one (`sward log void {id}`)"),
    };
    format!(
        "compare the paper ticket: if the load was logged twice, void {later}, else correct the number in the entry \
         that has the wrong one (`sward log correct ID --set ticket_number=...`)"
    )
}

/// Scale tickets and their numbers of one entry, where there are not as many of both.
fn unpaired(entry: &Entry) -> Option<Finding> {
    let tickets = entry.tickets.len();
    // Most entries have none.
    if tickets == 0 {
        return None;
    }
    let numbers = record::numbers(entry).len();
    if numbers == 0 || tickets == numbers {
        return None;
    }
    let many = |n: usize, what: &str| if n == 1 { format!("1 {what}") } else { format!("{n} {what}s") };
    let (number, ticket) = (many(numbers, "ticket number"), many(tickets, "scale ticket"));
    let found = format!("the {} of {} has {ticket} and {number}", entry.what.word(), entry.date);
    let id = if entry.id.is_empty() { "ID" } else { &entry.id };
    Some(
        Finding::warning("log-ticket-numbers", &entry.place, found)
            .accepts("a number for every ticket, in the same order")
            .fix(format!(
                "`sward log correct {id} --set tickets=\"8.1 + 7.9\" --set \"ticket_number=1201, 1202\"`, with your own"
            )),
    )
}
