//! What was to be done before the day of a plan and the log does not show: litter that was to come, and
//! seasons that are over without any litter on a field that has room for it. One list for everything
//! that tells of it.

use crate::balance::LimitKind;
use crate::plan::answer::{FieldPlan, LotLimits, Past, Plan};
use crate::units::Pounds;
use jiff::civil::Date;
use serde::Serialize;
use std::collections::BTreeMap;

/// One thing that was not done, or not logged.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Undone {
    /// What kind of thing.
    pub kind: UndoneKind,
    /// The sentence.
    pub text: String,
    /// The same in a few words, where the sentence is long.
    #[serde(skip)]
    pub in_short: Option<String>,
    /// Fields whose window it is.
    pub fields: Vec<String>,
}

/// What was not done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum UndoneKind {
    /// Litter that was to come.
    Litter,
    /// A window in which no litter went on.
    Window,
}

/// The code of the finding on litter that was to come.
const OVERDUE: &str = "coming-overdue";

/// What was to be done before the day of a plan, litter first, windows by their days.
#[must_use]
pub fn undone(plan: &Plan) -> Vec<Undone> {
    let overdue = plan.findings.iter().filter(|finding| finding.code == OVERDUE);
    let litter = overdue.map(|finding| Undone {
        kind: UndoneKind::Litter,
        text: format!("{} No job that needs it is planned.", finding.in_words()),
        in_short: finding
            .found
            .split_once(" was due before ")
            .map(|(what, _)| format!("{what}: log it or put it off.")),
        fields: Vec::new(),
    });
    let mut windows: BTreeMap<(Date, Date, &str), Vec<String>> = BTreeMap::new();
    for field in plan.fields.iter().filter(|field| had_room(field)) {
        for season in seasons_over(field).into_values().filter(|season| season.spread.0 == 0 && season.room) {
            windows.entry((season.first, season.last, season.name)).or_default().push(field.id.clone());
        }
    }
    let window = |((first, last, season), fields): ((Date, Date, &str), Vec<String>)| Undone {
        kind: UndoneKind::Window,
        in_short: None,
        text: format!(
            "The {} window of {first} to {last} is over, and the log has no litter in it on {}: log what was spread.",
            season.replace('_', " "),
            fields.join(", ")
        ),
        fields,
    };
    litter.chain(windows.into_iter().map(window)).collect()
}

/// A season of a field that is over, however many windows it had.
struct Over<'a> {
    name: &'a str,
    first: Date,
    last: Date,
    spread: Pounds,
    /// Whether some of its windows had room for litter.
    room: bool,
}

/// The seasons of a field that are over, by name and opening day: one with a window that is open or to
/// come is not.
fn seasons_over(field: &FieldPlan) -> BTreeMap<(Date, &str), Over<'_>> {
    let mut seasons: BTreeMap<(Date, &str), Over<'_>> = BTreeMap::new();
    let to_come = |over: &Past| field.windows.iter().any(|w| w.season == over.season && w.season_days.0 == over.opens);
    for over in field.past.iter().filter(|over| !to_come(over)) {
        let none = Over { name: &over.season, first: over.first, last: over.last, spread: Pounds(0), room: false };
        let season = seasons.entry((over.opens, over.season.as_str())).or_insert(none);
        season.first = season.first.min(over.first);
        season.last = season.last.max(over.last);
        season.spread += over.spread;
        season.room |= !over.no_room;
    }
    seasons
}

/// Whether the limits left a field room for litter: where they leave none nobody has to have spread.
fn had_room(field: &FieldPlan) -> bool {
    let shut = match field.held.by {
        LimitKind::Value | LimitKind::Applications | LimitKind::NoGround => true,
        // What one season may take says nothing of another.
        LimitKind::SeasonShare => false,
        _ => field.held.below_even || field.held.rate.is_some_and(|rate| rate <= 0.0),
    };
    let open = |lot: &LotLimits| {
        lot.limits.iter().all(|l| l.kind == LimitKind::SeasonShare || l.from.is_some() || l.rate > 0.0)
    };
    field.bars.is_empty() && (!shut || !field.applications.is_empty()) && field.limits.iter().any(open)
}

/// Whether a season goes on: its days that are over say nothing where nothing was done.
#[must_use]
pub fn goes_on(field: &FieldPlan, over: &Past, as_of: Date) -> bool {
    field.windows.iter().any(|w| w.season == over.season && w.first > over.last && w.first <= as_of)
}
