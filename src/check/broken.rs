//! Rules that an entry of the log broke on its own day, whatever is planned:
//! stock and litter on one field, lots where they may not go, papers too old,
//! weather, closed days, cuttings, ticket numbers that stand twice.

use crate::check::aged::{Aged, last_day};
use crate::check::on_field::{DONE, FIELD, OnField, by_parts, spread};
use crate::check::open_seasons::OpenSeasons;
use crate::check::ready::{Field, Lot, Ready};
use crate::check::tickets;
use crate::check::used::CutWait;
use crate::check::weather::Weather;
use crate::farm::Use;
use crate::findings::{At, Finding, Findings};
use crate::record::{Entry, What};
use crate::tables::{Book, Season, Sourced, topic};
use crate::units::{Quantity, in_days};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// Everything that the entries of the last year and of the plan broke.
pub(super) fn rules(ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    let mut told: Vec<OnField<'_>> = Vec::new();
    let weather = Weather::of(ready, book);
    let mut by_field: BTreeMap<(&str, &str, Use), FieldRules> = BTreeMap::new();
    for entry in ready.judged().filter(|e| e.what == What::Spread) {
        let Some(field) = entry.field.as_ref().and_then(|id| ready.field(&id.value)) else { continue };
        let grew = (field.id(), field.written.forage_on(entry.date).value.as_str(), field.written.usage_on(entry.date));
        let rules = by_field.entry(grew).or_insert_with(|| FieldRules::of(ready, field, entry.date, book));
        let spread = SpreadEntry { entry, field, ready, book, rules };
        let mut broken = vec![spread.test_too_old(), spread.in_closed_days(), spread.on_a_cutting()];
        broken.extend([spread.before_a_cutting(), spread.out_of_season()]);
        broken.extend(weather.told(entry).into_iter().map(Some));
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
    tickets::check(ready, findings);
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
    rules: &'a FieldRules,
}

impl SpreadEntry<'_> {
    fn warn(&self, code: &'static str, why: &str) -> Finding {
        spread(self.entry, code, why)
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
