//! What to spread today: which field first, which not, and why, from the plan, the
//! record, the season and what the grower says of ground and weather.

use crate::balance::LimitKind;
use crate::check::Ready;
use crate::findings::{Cite, Origin};
use crate::plan::answer::{Application, Caution, FieldPlan, Plan, SCHEMA};
use crate::plan::days::{Due, lost};
use crate::plan::{Undone, undone};
use crate::record::What;
use crate::tables::{Tables, topic};
use crate::units::{Pounds, Quantity, number_text};
use jiff::ToSpan;
use jiff::civil::Date;
use serde::Serialize;

/// What the ground is like.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Ground {
    /// It carries a loaded truck.
    Dry,
    /// It may carry one.
    Moist,
    /// Saturated, or standing in water.
    Wet,
    /// Frozen.
    Frozen,
    /// Under snow.
    Snow,
}

/// What the wind is like.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Wind {
    /// None, or so little that no dust drifts.
    Calm,
    /// Some.
    Light,
    /// Dust drifts.
    Strong,
}

/// What the grower says of the day.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Weather {
    /// The ground; none where it is not said.
    pub ground: Option<Ground>,
    /// The wind; none where it is not said.
    pub wind: Option<Wind>,
    /// Whether rain is forecast.
    pub rain_ahead: bool,
}

/// What to do on a day.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Today {
    /// Version of the answer's form.
    pub schema: u32,
    /// Name of the farm.
    pub farm: String,
    /// The day.
    pub day: Date,
    /// What the grower says of it.
    pub weather: Weather,
    /// Why nothing goes on today, on any field.
    pub stops: Vec<Reason>,
    /// What can be worked on, the first one first.
    pub go: Vec<Go>,
    /// What is planned and cannot be worked on yet, or any more.
    pub wait: Vec<Wait>,
    /// What was to be done before this day and is not in the log.
    pub undone: Vec<Undone>,
    /// Fields on which nothing is planned from this day on.
    pub nothing: Vec<String>,
    /// What to watch.
    pub cautions: Vec<Reason>,
    /// The dangers on the fields that can be worked on, each with its days.
    pub dangers: Vec<Danger>,
}

/// What to watch on a field.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Danger {
    /// In a few words.
    pub about: String,
    /// Field.
    pub field: String,
    /// The sentence, and who says so.
    pub reason: Reason,
}

/// A sentence, and who says so.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reason {
    /// The sentence.
    pub text: String,
    /// Who says so; none where it follows from what the grower says.
    pub origin: Option<Origin>,
    /// The same in a few words, where the sentence is long.
    #[serde(skip)]
    pub in_short: Option<String>,
}

/// An application that can be worked on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Go {
    /// Field.
    pub field: String,
    /// Its name.
    pub name: String,
    /// Lot.
    pub lot: String,
    /// Tons an acre.
    pub rate: f64,
    /// Litter planned.
    pub pounds: Pounds,
    /// Last day of its window.
    pub last: Date,
    /// Days of work, where farm.yaml says how fast litter gets spread.
    pub work_days: Option<f64>,
    /// The day by which its lot must be gone or covered.
    pub lot_by: Option<Date>,
    /// The last day of the lot's analysis.
    pub analysis_until: Option<Date>,
    /// First day on which stock may graze it, when it is spread today.
    pub graze_from: Option<Date>,
    /// The figure for that.
    pub graze_wait: Option<Cite>,
    /// The next planned cutting.
    pub cutting: Option<Date>,
}

/// An application that has to wait.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Wait {
    /// Field.
    pub field: String,
    /// Its name.
    pub name: String,
    /// Lot.
    pub lot: String,
    /// First day on which it can be worked on; none where no day is in sight.
    pub from: Option<Date>,
    /// Why.
    pub why: String,
}

/// What to do on the day as of which a plan is made.
#[must_use]
pub fn today(plan: &Plan, ready: &Ready, tables: &Tables, weather: Weather) -> Today {
    let day = plan.as_of;
    let mut planned: Vec<(&FieldPlan, &Application)> =
        plan.fields.iter().flat_map(|f| f.applications.iter().map(move |a| (f, a))).collect();
    planned.retain(|(_, a)| a.pounds.0 > 0);
    planned.sort_by(|(f, a), (g, b)| Due::of(f, a, ready).cmp(&Due::of(g, b, ready)));
    let (mut go, mut wait) = (Vec::new(), Vec::new());
    for (field, a) in planned {
        match waits(field, a, ready, day) {
            Some((from, why)) => {
                let (field, name) = (field.id.clone(), field.name.clone());
                wait.push(Wait { field, name, lot: a.lot.clone(), from, why });
            }
            None => go.push(work(field, a, ready, tables, day)),
        }
    }
    wait.sort_by_key(|w| (w.from.is_none(), w.from));
    let nothing = plan.fields.iter().filter(|f| f.applications.iter().all(|a| a.pounds.0 <= 0));
    let (stops, told) = rules(plan, ready, weather);
    let cautions = stock_to_take_off(plan, ready, tables).into_iter().chain(told).collect();
    let dangers = on_fields(plan, &go, day);
    Today {
        schema: SCHEMA,
        farm: plan.farm.clone(),
        day,
        weather,
        stops,
        go,
        wait,
        undone: undone(plan),
        nothing: nothing.map(|f| f.id.clone()).collect(),
        cautions,
        dangers,
    }
}

/// Why an application cannot be worked on, and from when it can.
fn waits(field: &FieldPlan, a: &Application, ready: &Ready, day: Date) -> Option<(Option<Date>, String)> {
    if let Some(good) = a.analysis_good_until.filter(|good| *good < day) {
        return Some((None, format!("the analysis of lot {} expired {good}: sample again", a.lot)));
    }
    let grazed = ready.happened.grazings(&field.id).into_iter();
    let mut grazed = grazed.filter(|(first, last)| *first <= day && last.is_none_or(|last| day <= last));
    if let Some((first, _)) = grazed.next() {
        return Some((None, format!("stock grazes it since {first}, by the log")));
    }
    let there = a.litter_from.filter(|from| day < *from);
    if day < a.first {
        // Where the litter comes after the window opens, the later day binds.
        let late = there.filter(|from| a.first < *from);
        let late_too = late.map_or(String::new(), |from| format!(", and enough of lot {} is there from {from}", a.lot));
        return Some((Some(late.unwrap_or(a.first)), format!("opens {}{late_too}", a.first)));
    }
    if a.last < day {
        return Some((None, format!("closed {}", a.last)));
    }
    let there = there?;
    Some((Some(there), format!("enough of lot {} is there from {there}", a.lot)))
}

fn work(field: &FieldPlan, a: &Application, ready: &Ready, tables: &Tables, day: Date) -> Go {
    let pace = ready.work.pace.as_ref();
    let own = ready.field(&field.id);
    let book = ready.book(tables);
    let wait = own.zip(book.as_ref()).and_then(|(own, book)| book.get(topic::GRAZE_WAIT, &ready.scope(own)));
    // Stock that is never there waits for nothing.
    let grazed = field.may_be_grazed();
    let after = |days: f64| day.checked_add((days.ceil() as i64).days()).ok();
    let lot = ready.lot(&a.lot).and_then(|lot| lot.uncovered_until.as_ref());
    Go {
        field: field.id.clone(),
        name: field.name.clone(),
        lot: a.lot.clone(),
        rate: a.rate,
        pounds: a.pounds,
        last: a.last,
        work_days: pace.map(|pace| a.pounds.tons() / pace.tons_at(a.haul.as_ref().map(|h| h.miles))),
        lot_by: lot.map(|aged| aged.last),
        analysis_until: a.analysis_good_until,
        graze_from: wait.as_ref().filter(|_| grazed).and_then(|wait| after(wait.value.get())),
        graze_wait: wait.map(|wait| wait.cite),
        cutting: field.cuttings.iter().copied().find(|cut| *cut > day),
    }
}

/// What to watch on the fields that can be worked on, danger by danger.
fn on_fields(plan: &Plan, go: &[Go], day: Date) -> Vec<Danger> {
    let mut fields: Vec<&str> = Vec::new();
    for own in go {
        if !fields.contains(&own.field.as_str()) {
            fields.push(&own.field);
        }
    }
    let of = |caution: &Caution, field: &str| -> Vec<Danger> {
        let danger = |text| Danger {
            about: caution.danger().to_string(),
            field: field.to_string(),
            reason: Reason { text, origin: Some(caution.origin.clone()), in_short: None },
        };
        caution.on_field(field, day).map(danger).collect()
    };
    plan.cautions.iter().flat_map(|caution| fields.iter().flat_map(move |field| of(caution, field))).collect()
}

/// What the log says of rain on the day and the one before it.
fn rain_before(ready: &Ready, day: Date) -> Option<String> {
    let since = day.yesterday().unwrap_or(day);
    let rain = ready.happened.iter().filter(|e| e.what == What::Rain && since <= e.date && e.date <= day);
    let of_day = |on: Date| -> f64 { rain.clone().filter(|e| e.date == on).filter_map(|e| e.inches).sum() };
    let days = [since, day].into_iter().filter(|on| of_day(*on) > 0.0);
    let days: Vec<String> = days.map(|on| format!("{} in. on {on}", number_text(of_day(on), 2))).collect();
    if days.is_empty() {
        return None;
    }
    Some(format!(
        "The log has rain of {}: check that the ground carries a loaded truck and nothing runs off.",
        days.join(" and ")
    ))
}

/// Stock that the log has on a field on which litter went on so few days ago that it must stay off.
fn stock_to_take_off(plan: &Plan, ready: &Ready, tables: &Tables) -> Vec<Reason> {
    let (day, Some(book)) = (plan.as_of, ready.book(tables)) else { return Vec::new() };
    let one = |field: &FieldPlan| {
        let grazed = ready.happened.grazings(&field.id).into_iter();
        let (since, _) = grazed.filter(|(first, last)| *first <= day && last.is_none_or(|last| day <= last)).max()?;
        let litter = ready.happened.on_field(&field.id, What::Spread);
        let last = litter.filter(|e| e.amount.0 > 0 && e.date <= day).map(|e| e.date).max()?;
        let wait = book.get(topic::GRAZE_WAIT, &ready.scope_on(ready.field(&field.id)?, last))?;
        let days = wait.value.get().ceil();
        let until = last.checked_add((days as i64).days()).ok().filter(|until| day < *until)?;
        let text = format!(
            "{}: stock has been on it since {since}, and litter went on it on {last}: take stock off until {until}, \
             {days:.0} days after the litter.",
            field.id
        );
        Some(Reason { text, origin: Some(Origin::Figure(wait.cite.clone())), in_short: None })
    };
    plan.fields.iter().filter_map(one).collect()
}

/// What stops all work on the day, and what to watch.
fn rules(plan: &Plan, ready: &Ready, weather: Weather) -> (Vec<Reason>, Vec<Reason>) {
    let (mut stops, mut cautions) = (Vec::new(), Vec::new());
    let own = |text: String| Reason { text, origin: None, in_short: None };
    let printed = |about: &str| -> Vec<Reason> {
        let of = |c: &Caution| Reason { text: c.text.clone(), origin: Some(c.origin.clone()), in_short: None };
        plan.stops.iter().filter(|c| c.about == about).map(of).collect()
    };
    let day = plan.as_of;
    if lost(ready).iter().any(|lost| lost.on(day)) {
        stops.push(own("The log counts this day as lost to rain.".to_string()));
    }
    if ready.work.pace.as_ref().is_some_and(|pace| pace.not_on.contains(&day.weekday())) {
        stops.push(own(format!("Nothing is spread on a {:?}, by `not_on` under `days:`.", day.weekday())));
    }
    let ground = match weather.ground {
        Some(Ground::Wet) => Some(("saturated", "wet")),
        Some(Ground::Frozen) => Some(("frozen", "frozen")),
        Some(Ground::Snow) => Some(("snow", "under snow")),
        _ => None,
    };
    if let Some((about, said)) = ground {
        let rule = printed(about);
        if rule.is_empty() {
            cautions.push(own(format!(
                "The ground is {said}, and the tables of {} say nothing about that: ask before you spread.",
                plan.place_name
            )));
        }
        stops.extend(rule);
    }
    match weather.wind {
        Some(Wind::Strong) => stops.extend(printed("wind")),
        Some(Wind::Light) => cautions.extend(printed("wind")),
        _ => {}
    }
    let fell = rain_before(ready, day);
    if weather.rain_ahead || fell.is_some() {
        cautions.extend(printed("rain"));
    }
    cautions.extend(fell.map(own));
    if weather.ground == Some(Ground::Moist) {
        cautions.push(own("Check the ground before driving a loaded truck onto it.".to_string()));
    }
    let told = plan
        .findings
        .iter()
        .filter(|finding| ["log-later", "swath-changed", "swath-wide"].contains(&finding.code.as_ref()));
    cautions.extend(told.map(|finding| own(finding.in_words())));
    let parts = plan.fields.iter().filter_map(|f| Some(own(format!("{}: {}.", f.id, f.part_sentence()?))));
    cautions.extend(parts);
    // Where stock is the reason that nothing is planned, somebody must say that it left.
    let stocked = plan.fields.iter().filter(|f| f.stock_since.is_some() && f.held.by == LimitKind::NoSeason);
    cautions.extend(stocked.flat_map(|f| f.why_none().into_iter().map(|why| own(format!("{}: {why}.", f.id)))));
    let leaves = plan.by_when.iter().filter(|row| row.presses() && row.by >= day);
    cautions.extend(
        leaves.take(1).map(|row| Reason {
            in_short: Some(format!("{}.", row.in_short())),
            ..own(format!("{}.", row.sentence()))
        }),
    );
    (stops, cautions)
}
