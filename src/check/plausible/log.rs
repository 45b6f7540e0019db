//! Entries of the log: the rate that an entry comes to, its acres and loads.

use crate::check::plausible::rows::{DECIMAL, Judge, JudgedValue, Overrule, POUNDS, Slip, TONS, shown, tidy};
use crate::farm::WrittenField;
use crate::record::{Entry, What};
use crate::tables::Thing;

pub(super) fn entry(entry: &Entry, field: Option<&WrittenField>, drawn: Option<f64>, rows: &mut Judge<'_>) {
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
    let mut say = |thing: Thing, value: f64, unit: &'static str, says: &dyn Fn() -> String| {
        judge(thing, value, unit, says, &[TONS, DECIMAL])
    };
    // Without acres it went on the whole field or on less: too thin is not known.
    let rate = entry.acres.or(drawn).map(|acres| (acres, tons / acres));
    let rate = rate.filter(|(_, rate)| entry.acres.is_some() || *rate > least);
    if let (What::Spread, Some((acres, rate)), true) = (entry.what, rate, usual) {
        let says = || format!("{} tons on {} ac are {}", tidy(tons), tidy(acres), shown(rate, "tons/ac"));
        say(Thing::LogRate, rate, "tons/ac", &says);
    }
    if moves {
        let by_count = entry.loads.filter(|n| *n > 0.0).map(|n| tons / n);
        if let Some(load) = entry.load.map(|p| p.tons()).or(by_count) {
            say(Thing::LogLoad, load, "tons", &|| format!("a load of {} tons", tidy(load)));
        }
        for ticket in &entry.tickets {
            let tons = ticket.tons();
            say(Thing::LogLoad, tons, "tons", &|| format!("a ticket over {} tons", tidy(tons)));
        }
    }
    let hay = match entry.what {
        What::Cut => Some((Thing::CutYield, "off")),
        What::FeedHay => Some((Thing::FedHay, "fed on")),
        _ => None,
    };
    if let (Some((thing, how)), Some(drawn), true) = (hay, drawn, tons > 0.0) {
        let hay = tons / drawn;
        say(thing, hay, "tons/ac", &|| format!("{} tons of hay {how} {id} are {}", tidy(tons), shown(hay, "tons/ac")));
    }
    if let (What::Cut, Some(bales), true) = (entry.what, entry.bales.filter(|n| *n > 0.0), tons > 0.0) {
        let pounds = tons * 2_000.0 / bales;
        say(Thing::RollWeight, pounds, "lb", &|| format!("{} bales of {}", tidy(bales), shown(pounds, "lb")));
    }
    if let Some(moisture) = entry.moisture {
        say(Thing::RollMoisture, moisture, "%", &|| format!("{} of moisture in the hay", shown(moisture, "%")));
    }
    if let Some(inches) = entry.inches {
        say(Thing::RainInches, inches, "inches", &|| format!("{} inches of rain", tidy(inches)));
    }
}
