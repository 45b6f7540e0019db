//! Entries of the log: the rate that an entry comes to, its acres and loads.

use crate::check::plausible::rows::{DECIMAL, Judge, JudgedValue, Overrule, POUNDS, Slip, TONS, shown, tidy};
use crate::farm::WrittenField;
use crate::record::{self, Entry, What};
use crate::tables::Thing;
use crate::units;

/// Tons below which the rest of a job is no slip of the pen. Our own measure.
const LEAST_TOLD: f64 = 1.0;

/// Nothing but a decimal point explains it.
const NO_SLIPS: &[Slip] = &[];
/// A gauge in millimeters.
const RAIN: &[Slip] = &[(1.0 / 25.4, "are they millimeters?")];

/// `spreader` is a usual load of it.
pub(super) fn entry(
    entry: &Entry,
    field: Option<&WrittenField>,
    (drawn, spreader): (Option<f64>, Option<f64>),
    rows: &mut Judge<'_>,
) {
    let least = rows.least(Thing::LogRate).unwrap_or_default();
    // What an entry says is put into words only where there is something to say of it.
    let mut judge =
        |thing: Thing, value: f64, unit: &'static str, says: &dyn Fn() -> String, slips: &[&[Slip]]| -> bool {
            if rows.is_usual(thing, value, unit) {
                return true;
            }
            let says = format!("{} of {}: {}", entry.what.word(), entry.date, says());
            rows.judge(
                &JudgedValue::new(thing, (value, unit), says, &entry.place, Overrule::Logged(entry)).slips(slips),
            )
            .usual()
        };
    let id = field.map_or("the field", |f| f.id.value.as_str());
    let tons = entry.amount.tons();
    let moves = entry.what.moves_litter();
    let says = || format!("{} tons of litter", tidy(tons));
    let mut usual = !moves || judge(Thing::LogTons, tons, "tons", &says, &[POUNDS, DECIMAL]);
    if let (What::Spread, Some(acres), Some(drawn)) = (entry.what, entry.acres, drawn) {
        let times = acres / drawn;
        let says = || format!("{} ac, {} times the {} ac of {id}", tidy(acres), tidy(times), tidy(drawn));
        usual &= judge(Thing::LogAcres, times, "times", &says, &[DECIMAL]);
    }
    // Without acres it went on the whole field or on less: too thin is not known.
    let rate = entry.acres.or(drawn).map(|acres| (acres, tons / acres));
    let rate = rate.filter(|(_, rate)| entry.acres.is_some() || *rate > least);
    if let (What::Spread, Some((acres, rate)), true) = (entry.what, rate, usual) {
        let says = || format!("{} tons on {} ac are {}", tidy(tons), tidy(acres), shown(rate, "tons/ac"));
        // The acres of a job that took in loads may still be those of its first one.
        let first = [(1.0 / record::loads_of(entry).max(1.0), "are the acres those of all its loads?")];
        let first = if record::loads_of(entry) > 1.0 { &first[..] } else { NO_SLIPS };
        judge(Thing::LogRate, rate, "tons/ac", &says, &[first, TONS, DECIMAL]);
    }
    let mut say = |thing: Thing, value: f64, unit: &'static str, says: &dyn Fn() -> String| {
        let slips = if unit == "tons" || unit == "tons/ac" { TONS } else { NO_SLIPS };
        judge(thing, value, unit, says, &[slips, DECIMAL])
    };
    loads(entry, spreader, &mut say);
    let hay = match entry.what {
        What::Cut => Some((Thing::CutYield, "off")),
        What::FeedHay => Some((Thing::FedHay, "fed on")),
        _ => None,
    };
    let on = entry.acres.filter(|_| entry.what == What::FeedHay).or(drawn);
    if let (Some((thing, how)), Some(on), true) = (hay, on, tons > 0.0) {
        let hay = tons / on;
        say(thing, hay, "tons/ac", &|| format!("{} tons of hay {how} {id} are {}", tidy(tons), shown(hay, "tons/ac")));
    }
    if let (What::Cut, Some(bales), true) = (entry.what, entry.bales.filter(|n| *n > 0.0), tons > 0.0) {
        let pounds = tons * 2_000.0 / bales;
        say(Thing::RollWeight, pounds, "lb", &|| format!("{} bales of {}", tidy(bales), shown(pounds, "lb")));
    }
    if let Some(moisture) = entry.moisture {
        say(Thing::RollMoisture, moisture, "%", &|| format!("{} of moisture in the hay", shown(moisture, "%")));
    }
    if let Some(mph) = miles_an_hour(entry.word("wind")) {
        judge(Thing::LogWind, mph, "mph", &|| format!("a wind of {} mph", tidy(mph)), &[]);
    }
    if let Some(inches) = entry.inches {
        judge(Thing::RainInches, inches, "inches", &|| format!("{} inches of rain", tidy(inches)), &[RAIN, DECIMAL]);
    }
}

/// Miles an hour in the words for a wind: the most of them, as in `NW 15-25 mph`.
fn miles_an_hour(wind: &str) -> Option<f64> {
    let wind = wind.to_lowercase();
    let before = wind.split("mph").collect::<Vec<_>>();
    let (_, speeds) = before.split_last()?;
    let number = |text: &&str| {
        let text = text.trim_end();
        let rest = text.trim_end_matches(|c: char| c.is_ascii_digit() || c == '.').len();
        units::number(text.get(rest..)?)
    };
    speeds.iter().filter_map(number).reduce(f64::max)
}

/// Judges a value of an entry: what it is, the value, its unit, and how it is said.
type Say<'a> = &'a mut dyn FnMut(Thing, f64, &'static str, &dyn Fn() -> String) -> bool;

/// What the loads of an entry weigh.
fn loads(entry: &Entry, spreader: Option<f64>, say: Say<'_>) {
    if !entry.what.moves_litter() {
        return;
    }
    let by_count = entry.loads.filter(|n| *n > 0.0).map(|n| entry.amount.tons() / n);
    if let Some(tons) = entry.load.map(|p| p.tons()).or(by_count) {
        // The rest of a job is a load, however small.
        let rest = entry.what == What::Spread && entry.loads.is_none_or(|n| n <= 1.0);
        load((entry, "a load of"), tons, (spreader, rest), say);
    }
    let least = entry.tickets.iter().enumerate().min_by_key(|(_, ticket)| *ticket).map(|(at, _)| at);
    let rest = least.filter(|_| entry.what == What::Spread);
    for (at, ticket) in entry.tickets.iter().enumerate() {
        load((entry, "a ticket over"), ticket.tons(), (spreader, rest == Some(at)), say);
    }
}

/// One load; of one that may be the rest of a job only whether it is too heavy.
fn load((entry, word): (&Entry, &str), tons: f64, (spreader, rest): (Option<f64>, bool), say: Say<'_>) {
    let usual =
        (rest && tons < LEAST_TOLD) || say(Thing::LogLoad, tons, "tons", &|| format!("{word} {} tons", tidy(tons)));
    if let Some(own) = spreader.filter(|_| usual && entry.what == What::Spread) {
        let times = tons / own;
        let says = || format!("{word} {} tons, {} times a load of the spreader", tidy(tons), tidy(times));
        say(Thing::LogLoadOfSpreader, times, "times", &says);
    }
}

/// A load that was added to a job, which keeps the sum alone.
pub(super) fn added(entry: &Entry, tons: f64, spreader: Option<f64>, rows: &mut Judge<'_>) {
    let mut say = |thing: Thing, value: f64, unit: &'static str, says: &dyn Fn() -> String| {
        let says = format!("{} of {}: {}", entry.what.word(), entry.date, says());
        let value = JudgedValue::new(thing, (value, unit), says, &entry.place, Overrule::Logged(entry));
        rows.judge(&value.slips(&[TONS, DECIMAL])).usual()
    };
    load((entry, "a load of"), tons, (spreader, entry.what == What::Spread), &mut say);
}
