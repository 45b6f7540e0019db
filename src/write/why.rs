//! `why FIELD`: the notebook of a field, line by line.

use crate::balance::{
    Basis, FieldBalance, How, LimitKind, LotLimit, Notebook, Op, Step, StepId, StepsKnown, Trips, Worth, days_in_words,
};
use crate::findings::{Known, Origin};
use crate::plan::answer::{Application, FieldPlan, years_ahead};
use crate::units::{Quantity, at_most, number_text, rate_text, trimmed};
use crate::write::known::{legend, signed};
use crate::write::limits::held_words;
use crate::write::page::{Page, day, tons};

/// Every step of a field, its limits in order, and what the plan does there.
#[must_use]
pub fn why(field: &FieldPlan, balance: &FieldBalance, width: usize) -> String {
    let mut page = Page::new(width);
    page.line(format!("{} {}: {}, {}", field.id, field.name, field.forage, field.usage));
    page.heading("GROUND");
    ground(&mut page, field);
    soils(&mut page, field);
    rating(&mut page, field);
    page.heading("STEP BY STEP");
    let known = balance.notes.known();
    if let Some(signs) = legend(known.iter().chain(beside_the_steps(field))) {
        page.say(signs);
    }
    for ((number, step), known) in (1..).zip(balance.notes.steps()).zip(known.iter()) {
        page.wrapped(format!("{} = {}{}", step.what, worth(step), known.sign()), &format!("{number:>3}  "), DEEP);
        page.wrapped(how(&step.how, &balance.notes), DEEP, DEEP);
    }
    page.heading("WHEN");
    windows(&mut page, field);
    page.heading("LIMITS, tons per acre, smallest first");
    limits(&mut page, field, balance, &known);
    page.heading("THE PLAN");
    outcome(&mut page, field);
    page.done()
}

/// How the figures of ground, windows and hauls are known, which are no steps.
fn beside_the_steps(field: &FieldPlan) -> impl Iterator<Item = Known> {
    let ground = field.kept_off.iter().map(|k| &k.origin).chain(field.eased.iter().map(|e| &e.origin));
    let days = field.windows.iter().flat_map(|w| {
        let waits = w.before_cutting.iter().map(|before| before.wait.origin.known());
        let waits = waits.chain(w.graze_wait.iter().map(|wait| wait.cite.known));
        waits.chain(w.n_share_cite.iter().map(|cite| cite.known)).chain([w.cite.known])
    });
    let hauls = field.applications.iter().filter_map(|a| a.haul.as_ref()).map(|haul| &haul.origin);
    ground.chain(hauls).map(Origin::known).chain(days)
}

/// What stands before a line below a step.
const DEEP: &str = "       ";
/// What stands before a line below a number of acres.
const DEEPER: &str = "               ";

fn ground(page: &mut Page, field: &FieldPlan) {
    page.line(format!("  {:>9} ac inside the boundary", number_text(field.gross_acres, 2)));
    for k in &field.kept_off {
        let what = format!("within {}{} ft of {} ({})", trimmed(k.feet), k.origin.known().sign(), k.name, k.kind);
        page.wrapped(what, &format!("  {:>9} ac ", taken_off(k.acres)), DEEPER);
        page.wrapped(origin(&k.origin), DEEPER, DEEPER);
    }
    for e in &field.eased {
        let (feet, before) = (trimmed(e.feet), trimmed(e.instead_of));
        let sign = e.origin.known().sign();
        let what = format!("{} ({}): {feet}{sign} ft instead of {before}, because {}", e.name, e.kind, e.why);
        page.wrapped(what, "            ", DEEPER);
        page.wrapped(origin(&e.origin), DEEPER, DEEPER);
    }
    if field.slivers > 0 {
        let parts = if field.slivers == 1 { "part" } else { "parts" };
        let what = format!("left blank: {} {parts} into which the swath does not fit", field.slivers);
        page.wrapped(what, &format!("  {:>9} ac ", taken_off(field.sliver_acres)), DEEPER);
    }
    page.line(format!("  {:>9} spreadable acres (rounded down to 0.01)", number_text(field.acres, 2)));
}

/// Acres that are not spread, however few.
fn taken_off(acres: f64) -> String {
    match number_text(acres, 2) {
        none if none == "0.00" && acres > 0.0 => "< 0.01".to_string(),
        shown => format!("-{shown}"),
    }
}

/// The mapped soils, where a map is given.
fn soils(page: &mut Page, field: &FieldPlan) {
    if !field.soils.is_empty() {
        page.heading("SOILS");
    }
    for soil in &field.soils {
        let said = [
            soil.tons.map(|tons| format!("{} tons/ac of hay", trimmed(tons))),
            soil.slope.map(|slope| format!("slope {} %", trimmed(slope))),
            soil.drainage.clone().map(|class| class.to_lowercase()),
            soil.hydrologic_group.as_ref().map(|group| format!("hydrologic group {group}")),
        ];
        let said: Vec<String> = said.into_iter().flatten().collect();
        let lead = format!("  {:>9} ac ", number_text(soil.acres, 2));
        page.wrapped(format!("{}: {}", soil.name, said.join(", ")), &lead, DEEPER);
    }
}

/// The planner's rating with what stands beside it on the worksheet.
fn rating(page: &mut Page, field: &FieldPlan) {
    let (Some(word), Some(rated)) = (&field.phosphorus.rating, &field.phosphorus.rated) else { return };
    page.heading("RATING, as the planner wrote it");
    page.under(format!("{word}, {}", rated.whose()));
    let found = rated.found(|own| signed(own.class.clone(), own.cite.known));
    if !found.is_empty() {
        page.under(found);
    }
    if let Some(own) = &rated.score_class {
        page.wrapped(format!("bounds: {}", own.cite), DEEP, DEEP);
    }
}

fn windows(page: &mut Page, field: &FieldPlan) {
    const BELOW: &str = "      ";
    for w in &field.windows {
        let share = if w.n_share < 1.0 {
            let known = w.n_share_cite.as_ref().map_or(Known::Read, |cite| cite.known);
            format!(", at most {}%{} of the year's N", trimmed(w.n_share * 100.0), known.sign())
        } else {
            String::new()
        };
        page.under(format!("{} {} to {}{}{share}", w.season, w.first, w.last, w.cite.known.sign()));
        page.wrapped(w.cite.to_string(), BELOW, BELOW);
        if let Some(cut) = w.after_cutting {
            page.line(format!("{BELOW}after the cutting of {cut}"));
        }
        if let Some(before) = &w.before_cutting {
            let line = format!(
                "ends {}{} {} before the cutting of {}: {}",
                before.wait.days,
                before.wait.origin.known().sign(),
                if before.wait.days == 1 { "day" } else { "days" },
                before.cutting,
                before.wait.said()
            );
            page.wrapped(line, BELOW, BELOW);
        }
        if let Some(wait) = &w.graze_wait {
            let (days, sign) = (trimmed(wait.value.get()), wait.cite.known.sign());
            let unit = if wait.value.get() == 1.0 { "day" } else { "days" };
            let line = format!("kept {days}{sign} {unit} clear of grazing: {}", wait.cite);
            page.wrapped(line, BELOW, BELOW);
        }
        if let Some(cite) = &w.n_share_cite {
            page.wrapped(format!("share: {cite}"), BELOW, BELOW);
        }
    }
    if let Some(until) = field.test_until {
        page.under(format!(
            "no litter after {until}, when the soil test expires: a new soil test by then opens the rest"
        ));
    }
    for over in &field.past {
        let (season, spread) = (&over.season, tons(over.spread));
        page.under(format!("{season} {} to {} is over; the log shows {spread} tons", over.first, over.last));
    }
}

fn worth(step: &Step) -> String {
    match &step.value {
        Worth::Number(value) if step.unit.is_empty() => trimmed(*value),
        Worth::Number(value) => format!("{} {}", trimmed(*value), step.unit),
        Worth::Word(word) => word.clone(),
    }
}

/// `[3] 157.5 lb/ac`: a step inside a formula.
fn named(id: StepId, notes: &Notebook) -> String {
    format!("[{}] {}", id.number(), worth(notes.step(id)))
}

fn how(how: &How, notes: &Notebook) -> String {
    let joined = |of: &[StepId], by: &str| of.iter().map(|id| named(*id, notes)).collect::<Vec<_>>().join(by);
    match how {
        How::From(from) => origin(from),
        How::Reckoned { op, of } => match op {
            Op::Sum => joined(of, " + "),
            Op::Less => format!("{}, not below 0", joined(of, " - ")),
            Op::Times => joined(of, " x "),
            Op::Over => joined(of, " / "),
            Op::Least => format!("the smaller of {}", joined(of, " and ")),
            Op::Greatest => format!("the larger of {}", joined(of, " and ")),
            Op::Rest => format!("(100 - {}) / 100", joined(of, " ")),
            Op::Power => joined(of, " to the power of "),
            Op::Sine => format!("sine of the angle of {}", joined(of, " ")),
            Op::By => joined(of, ", by "),
            Op::Alike => joined(of, " and "),
        },
        How::Densest { of } => format!("the most that these make on one acre: {}", joined(of, ", ")),
        How::Curve { a, b, c, at, cite } => {
            let x = notes.value(*at);
            format!(
                "{} x {}^2 - {} x {} + {}, at [{}], flat past the lowest point, not below 0; {cite}",
                trimmed(*a),
                trimmed(x),
                trimmed(*b),
                trimmed(x),
                trimmed(*c),
                at.number()
            )
        }
        How::Class { at, cite } => format!("by {}; {cite}", named(*at, notes)),
    }
}

/// Where a number is written or published.
pub(super) fn origin(from: &Origin) -> String {
    match from {
        Origin::Line(place) => format!("written in {place}"),
        Origin::Figure(cite) => cite.to_string(),
        Origin::Said { place, by } => format!("set by {by} ({place})"),
        Origin::Elsewhere { place, of } => format!("written in {place} [applied: {of}]"),
        Origin::Measured => "measured from the boundary and the keep-outs".to_string(),
        Origin::Definition(what) => what.to_string(),
    }
}

fn limits(page: &mut Page, field: &FieldPlan, balance: &FieldBalance, known: &StepsKnown) {
    for bar in &field.bars {
        page.line(format!("  0.00  no litter: {}", bar.why));
    }
    for lot in &field.limits {
        page.line(format!("  lot {}", lot.lot));
        for limit in &lot.limits {
            let at_once = if limit.days.is_none() && limit.kind.in_part_of_the_year() { " (at once)" } else { "" };
            let (rate, step) = (at_most(limit.rate, 2), limit.step.number());
            let season = limit.season.as_ref().map_or("the season".to_string(), |s| s.replace('_', " "));
            let word = limit.kind.word().replace("the season", &season);
            let days = if limit.when.is_empty() { String::new() } else { format!(", {}", limit.when) };
            let what = format!("{word}{at_once}{days}  [{step}]");
            let sign = known.of(limit.step).sign();
            page.wrapped(what, &format!("  {rate:>8}{sign:<1} "), DEEP);
        }
    }
    if let (Some(cite), true) = (&balance.trips_by, field.bars.is_empty()) {
        let left = |trips: &Trips| format!("{} left in {}", trips.most, trips.first.year());
        let left = balance.trips.iter().map(left).collect::<Vec<_>>().join(", ");
        let trips = format!("{}; {left} by the log ({cite})", LimitKind::Applications.word());
        page.wrapped(trips, &format!("  {:>8}{:<1} ", balance.field().applications, cite.known.sign()), DEEP);
    }
}

/// The way from the stack, and who says how long it is; once where the next job goes the same.
fn haul(page: &mut Page, a: &Application) {
    const BELOW: &str = "      ";
    let Some(haul) = &a.haul else { return };
    let miles = format!("hauled {} mi{}", number_text(haul.miles, 2), haul.origin.known().sign());
    let line = match (haul.straight, haul.detour) {
        (Some(straight), Some(times)) => {
            format!("{miles} = {} mi in a straight line x {}", number_text(straight, 2), trimmed(times))
        }
        _ => miles,
    };
    page.wrapped(line, BELOW, BELOW);
    page.wrapped(origin(&haul.origin), BELOW, BELOW);
}

fn outcome(page: &mut Page, field: &FieldPlan) {
    for (at, a) in field.applications.iter().enumerate() {
        page.under(format!(
            "{}: {} tons/ac of {} on {} ac = {} tons ({}), {} to {}",
            a.season,
            rate_text(a.rate),
            a.lot,
            number_text(a.acres(field), 2),
            tons(a.pounds),
            a.pounds,
            day(a.first),
            day(a.last)
        ));
        let before = at.checked_sub(1).map(|before| &field.applications[before].haul);
        if before != Some(&a.haul) {
            haul(page, a);
        }
    }
    if field.applications.is_empty() {
        page.under("no litter");
    }
    field.part_sentence().into_iter().for_each(|part| page.under(format!("{part}.")));
    let rate = field.held.rate.map_or(String::new(), |r| format!(" at {} tons/ac", at_most(r, 2)));
    let even = if field.held.below_even { ", below the spreader's lowest even rate" } else { "" };
    let own = |limit: &&LotLimit| limit.kind == field.held.by && limit.days == field.held.days;
    let held = field.limits.iter().flat_map(|lot| &lot.limits).find(own).filter(|limit| !limit.when.is_empty());
    let days = match (held, field.held.days) {
        (Some(limit), _) => format!(", {}", limit.when),
        (None, days) => days.map_or(String::new(), |days| format!(", {}", days_in_words(days))),
    };
    let by = held_words(field).join(" and ");
    page.under(format!("limited by: {by}{rate}{days}{even}"));
    if let Some(next) = &field.next {
        let (rate, further) = (at_most(next.rate, 2), at_most(next.further, 2));
        page.under(match further.as_str() {
            "0.00" => format!("next: {} at the same rate", next.kind.word()),
            _ => format!("next: {} at {rate} tons/ac, {further} further", next.kind.word()),
        });
    }
    for o in &field.outlook {
        let next = o.next_in_words().map_or_else(String::new, |next| format!("; {next}"));
        page.under(format!(
            "soil-test {}, year after year like this: {} {} a year{next} (a straight-line estimate)",
            o.of,
            o.a_year(),
            o.unit
        ));
    }
    for m in &field.metals {
        let years = m.years.map_or(String::new(), |y| format!("; {} years of it to the place's stop", years_ahead(y)));
        page.under(format!("{}: {} lb/ac this year{years}", m.metal, number_text(m.load, 2)));
    }
    let more = field.bars.iter().map(|bar| bar.fix.as_str()).chain(for_more(field));
    more.for_each(|more| page.under(format!("for more: {more}")));
}

/// What would have to change for a higher rate.
fn for_more(field: &FieldPlan) -> Option<&'static str> {
    // Another window helps where one is open, and nothing else binds at the same rate.
    let same = field.next.as_ref().is_some_and(|next| next.further < 0.005 && !next.kind.in_part_of_the_year());
    let by = match (&field.next, field.held.by) {
        (Some(next), by) if same && by.in_part_of_the_year() => next.kind,
        (_, by) => by,
    };
    // The same season of another year is another one.
    let mut openings = field.windows.iter().map(|window| (&window.season, window.season_days));
    let first = openings.next();
    let last = openings.all(|opening| Some(opening) == first);
    Some(match by {
        LimitKind::SeasonShare | LimitKind::SpreaderMost if last => {
            "a plan whose days reach another season: this one has no other that is still open"
        }
        LimitKind::Barred => return None,
        LimitKind::NoGround => "a setback that the planner agrees to narrow, such as one with a vegetated strip",
        LimitKind::NoSeason if field.stock_since.is_some() => "stock off the field, and the log saying so",
        LimitKind::NoSeason if field.test_until.is_some() => "a new soil test",
        LimitKind::NoSeason if field.seasons_from.is_some() => "a plan that begins once the tables name a season",
        LimitKind::NoSeason => "a plan whose days reach a season of the forage",
        LimitKind::Nitrogen => "a higher yield goal that past yields bear out, or less nitrogen from elsewhere",
        LimitKind::SeasonShare => "the rest in another season of this plan",
        LimitKind::NAtOnce => "a second application after a cutting",
        LimitKind::Phosphorus => match field.phosphorus.basis {
            Basis::SoilTest if field.phosphorus.rating.is_none() => "a site risk rating by the planner",
            Basis::SoilTest => "a soil test that asks for more, or litter with less phosphate",
            Basis::Removal => {
                "litter with less phosphate, more hay carried off, or several years at once where allowed"
            }
            Basis::Rests => "the end of the rest, which `banked_until` in farm.yaml sets",
            Basis::None | Basis::Nitrogen => "years of hay without phosphate, then a new soil test and rating",
        },
        LimitKind::Zinc | LimitKind::Copper | LimitKind::ZincTotal | LimitKind::CopperTotal => "litter with less of it",
        LimitKind::YearMost | LimitKind::YearsMost | LimitKind::ApplicationMost => "nothing: the place sets it",
        LimitKind::GrowerMost => "your own `most` in farm.yaml",
        LimitKind::SpreaderMost => "a second pass in another season",
        LimitKind::Applications if field.applications.is_empty() => {
            "the next year: the trips of this one are made, and a figure of the farm's own would have to allow more"
        }
        LimitKind::Applications => "a heavier rate in the trips there are",
        LimitKind::Days => "more tons a day, or a second spreader",
        LimitKind::TonsOnHand => "more litter",
        LimitKind::LitterLate => "litter that is there before the window ends",
        LimitKind::Value => "costlier fertilizer, or litter that costs less to spread or brings less when sold",
    })
}
