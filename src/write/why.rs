//! `why FIELD`: the notebook of a field, line by line.

use crate::balance::{Basis, FieldBalance, How, LimitKind, Notebook, Op, Step, StepId, Worth};
use crate::findings::Origin;
use crate::plan::answer::{FieldPlan, years_ahead};
use crate::units::{Quantity, number_text, trimmed};
use crate::write::page::{day, plain, tons, wrapped};

/// Every step of a field, its limits in order, and what the plan does there.
#[must_use]
pub fn why(field: &FieldPlan, balance: &FieldBalance, width: usize) -> String {
    let mut text = format!("{}: {}, {}\n\n", plain(&format!("{} {}", field.id, field.name)), field.forage, field.usage);
    text.push_str("GROUND\n");
    text.push_str(&ground(field, width));
    text.push_str(&soils(field, width));
    text.push_str("\nSTEP BY STEP\n");
    for (i, step) in balance.notes.steps().iter().enumerate() {
        text.push_str(&one(i, step, &balance.notes, width));
    }
    text.push_str("\nWHEN\n");
    for w in &field.windows {
        let share = if w.n_share < 1.0 {
            format!(", at most {}% of the year's N", trimmed(w.n_share * 100.0))
        } else {
            String::new()
        };
        text.push_str(&wrapped(&format!("{} {} to {}{share}", w.season, w.first, w.last), "  ", "    ", width));
        text.push_str(&wrapped(&w.cite.to_string(), "      ", "      ", width));
        if let Some(cut) = w.after_cutting {
            text.push_str(&format!("      after the cutting of {cut}\n"));
        }
        if let Some(wait) = &w.graze_wait {
            let line = format!("kept {} days clear of grazing: {}", trimmed(wait.value.get()), wait.cite);
            text.push_str(&wrapped(&line, "      ", "      ", width));
        }
        if let Some(cite) = &w.n_share_cite {
            text.push_str(&wrapped(&format!("share: {cite}"), "      ", "      ", width));
        }
    }
    for over in &field.past {
        let line = format!(
            "{} {} to {} is over; the log shows {} tons",
            over.season,
            over.first,
            over.last,
            tons(over.spread)
        );
        text.push_str(&wrapped(&line, "  ", "    ", width));
    }
    text.push_str("\nLIMITS, tons per acre, smallest first\n");
    text.push_str(&limits(field));
    text.push_str("\nTHE PLAN\n");
    text.push_str(&outcome(field, width));
    text
}

fn ground(field: &FieldPlan, width: usize) -> String {
    let mut text = format!("  {:>9} ac inside the boundary\n", number_text(field.gross_acres, 2));
    for k in &field.kept_off {
        let lead = format!("  {:>9} ac", taken_off(k.acres));
        let what = format!("within {} ft of {} ({})", trimmed(k.feet), plain(&k.name), k.kind);
        text.push_str(&wrapped(&what, &format!("{lead} "), "               ", width));
        text.push_str(&wrapped(&origin(&k.origin), "               ", "               ", width));
    }
    for e in &field.eased {
        let what = format!(
            "{} ({}): {} ft instead of {}, because {}",
            plain(&e.name),
            e.kind,
            trimmed(e.feet),
            trimmed(e.instead_of),
            plain(&e.why)
        );
        text.push_str(&wrapped(&what, "            ", "               ", width));
        text.push_str(&wrapped(&origin(&e.origin), "               ", "               ", width));
    }
    if field.slivers > 0 {
        let lead = format!("  {:>9} ac", taken_off(field.sliver_acres));
        let parts = if field.slivers == 1 { "part" } else { "parts" };
        let what = format!("left blank: {} {parts} into which the swath does not fit", field.slivers);
        text.push_str(&wrapped(&what, &format!("{lead} "), "               ", width));
    }
    text.push_str(&format!("  {:>9} spreadable acres (rounded down to 0.01)\n", number_text(field.acres, 2)));
    text
}

/// Acres that are not spread, however few.
fn taken_off(acres: f64) -> String {
    match number_text(acres, 2) {
        none if none == "0.00" && acres > 0.0 => "< 0.01".to_string(),
        shown => format!("-{shown}"),
    }
}

/// The mapped soils, where a map is given.
fn soils(field: &FieldPlan, width: usize) -> String {
    if field.soils.is_empty() {
        return String::new();
    }
    let mut text = "\nSOILS\n".to_string();
    for soil in &field.soils {
        let said = [
            soil.tons.map(|tons| format!("{} tons/ac of hay", trimmed(tons))),
            soil.slope.map(|slope| format!("slope {} %", trimmed(slope))),
            soil.drainage.clone().map(|class| class.to_lowercase()),
            soil.hydrologic_group.as_ref().map(|group| format!("hydrologic group {group}")),
        ];
        let said: Vec<String> = said.into_iter().flatten().collect();
        let line = plain(&format!("{}: {}", soil.name, said.join(", ")));
        let lead = format!("  {:>9} ac ", number_text(soil.acres, 2));
        text.push_str(&wrapped(&line, &lead, "               ", width));
    }
    text
}

fn one(i: usize, step: &Step, notes: &Notebook, width: usize) -> String {
    let number = format!("{:>3}  ", i + 1);
    let mut text = wrapped(&plain(&format!("{} = {}", step.what, worth(step))), &number, "       ", width);
    text.push_str(&wrapped(&plain(&how(&step.how, notes)), "       ", "       ", width));
    text
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
            Op::Rest => format!("(100 - {}) / 100", joined(of, " ")),
            Op::Power => joined(of, " to the power of "),
            Op::Sine => format!("sine of the angle of {}", joined(of, " ")),
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
        Origin::Measured => "measured from the boundary and the keep-outs".to_string(),
        Origin::Definition(what) => what.to_string(),
    }
}

fn limits(field: &FieldPlan) -> String {
    let mut text = String::new();
    for bar in &field.bars {
        text.push_str(&format!("  0.00  no litter: {}\n", plain(&bar.why)));
    }
    for lot in &field.limits {
        text.push_str(&format!("  lot {}\n", plain(&lot.lot)));
        for limit in &lot.limits {
            let at_once = if limit.kind.in_part_of_the_year() { " (at once)" } else { "" };
            text.push_str(&format!(
                "  {:>8}  {}{at_once}  [{}]\n",
                number_text(limit.rate, 2),
                limit.kind.word(),
                limit.step.number()
            ));
        }
    }
    text
}

fn outcome(field: &FieldPlan, width: usize) -> String {
    let mut text = String::new();
    for a in &field.applications {
        let line = format!(
            "{}: {} tons/ac of {} on {} ac = {} tons ({}), {} to {}",
            a.season,
            number_text(a.rate, 2),
            plain(&a.lot),
            number_text(field.acres, 2),
            tons(a.pounds),
            a.pounds,
            day(a.first),
            day(a.last)
        );
        text.push_str(&wrapped(&line, "  ", "    ", width));
    }
    if field.applications.is_empty() {
        text.push_str("  no litter\n");
    }
    let rate = field.held.rate.map_or(String::new(), |r| format!(" at {} tons/ac", number_text(r, 2)));
    let even = if field.held.below_even { ", below the spreader's lowest even rate" } else { "" };
    text.push_str(&wrapped(&format!("limited by: {}{rate}{even}", field.held.by.word()), "  ", "    ", width));
    if let Some(next) = &field.next {
        let line = format!(
            "next: {} at {} tons/ac, {} further",
            next.kind.word(),
            number_text(next.rate, 2),
            number_text(next.further, 2)
        );
        text.push_str(&wrapped(&line, "  ", "    ", width));
    }
    for o in &field.outlook {
        let next = o.next_in_words().map_or_else(String::new, |next| format!("; {next}"));
        let line = format!(
            "soil-test {}, year after year like this: {} {} a year{next} (estimate)",
            o.of,
            number_text(o.per_year, 1),
            o.unit
        );
        text.push_str(&wrapped(&line, "  ", "    ", width));
    }
    for m in &field.metals {
        let years = m.years.map_or(String::new(), |y| format!("; {} years of it to the place's stop", years_ahead(y)));
        text.push_str(&wrapped(
            &format!("{}: {} lb/ac this year{years}", m.metal, number_text(m.load, 2)),
            "  ",
            "    ",
            width,
        ));
    }
    for bar in &field.bars {
        text.push_str(&wrapped(&plain(&format!("for more: {}", bar.fix)), "  ", "    ", width));
    }
    if let Some(more) = for_more(field) {
        text.push_str(&wrapped(&format!("for more: {more}"), "  ", "    ", width));
    }
    text
}

/// What would have to change for a higher rate.
fn for_more(field: &FieldPlan) -> Option<&'static str> {
    Some(match field.held.by {
        LimitKind::Barred => return None,
        LimitKind::NoGround => "a setback that the planner agrees to narrow, such as one with a vegetated strip",
        LimitKind::NoSeason => "a plan whose days reach a season of the forage",
        LimitKind::Nitrogen => "a higher yield goal that past yields bear out, or less nitrogen from elsewhere",
        LimitKind::SeasonShare => "the rest in another season of this plan",
        LimitKind::NAtOnce => "a second application after a cutting",
        LimitKind::Phosphorus => match field.phosphorus.basis {
            Basis::SoilTest => "a site risk rating by the planner",
            Basis::Removal => {
                "litter with less phosphate, more hay carried off, or several years at once where allowed"
            }
            Basis::Rests => "the end of the rest, which `banked_until` in farm.yaml sets",
            Basis::None | Basis::Nitrogen => "years of hay without phosphate, then a new soil test and rating",
        },
        LimitKind::Zinc | LimitKind::Copper => "litter with less of it",
        LimitKind::YearMost | LimitKind::ApplicationMost => "nothing: the place sets it",
        LimitKind::GrowerMost => "your own `most` in farm.yaml",
        LimitKind::SpreaderMost => "a second pass in another season",
        LimitKind::Applications => "a heavier rate in the trips there are",
        LimitKind::Days => "more tons a day, or a second spreader",
        LimitKind::TonsOnHand => "more litter",
        LimitKind::Value => "costlier fertilizer, or litter that costs less to spread or brings less when sold",
    })
}
