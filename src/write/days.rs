//! The calendar of the spreading: dates, chances, what to do something about,
//! and how the figures are known.

use crate::findings::Origin;
use crate::plan::days::{Chance, DayRow, Days};
use crate::units::{number_text, trimmed};
use crate::write::page::{day, drawn, plain, table, tons, widths, wrapped};
use jiff::civil::Date;

/// The whole calendar.
#[must_use]
pub fn days(days: &Days, width: usize) -> String {
    let mut text = format!("{}: days of spreading {} to {}\n", plain(&days.farm), days.from, days.to);
    text.push_str(&wrapped(&pace(days), "", "  ", width));
    text.push_str("\nEXPECTED ORDER\n");
    if days.rows.is_empty() {
        text.push_str("The plan has nothing left to spread.\n");
    } else {
        text.push_str(&calendar(days, width));
        text.push_str("\nHOW SURE THAT IS\n");
        text.push_str(&chances(days, width));
    }
    text.push_str("\nCHECK THESE\n");
    if days.flags.is_empty() {
        text.push_str("- nothing\n");
    }
    for flag in &days.flags {
        text.push_str(&wrapped(&plain(&format!("{}: {}", flag.found, flag.fix)), "- ", "  ", width));
    }
    text.push_str("\nHOW THIS IS KNOWN\n");
    text.push_str(&known(days, width));
    text
}

/// What the dates mean for a reader of the plan, in two lines at most.
#[must_use]
pub(super) fn in_short(days: &Days, width: usize) -> String {
    let of = |chance: &Chance| match (chance.half, chance.four_in_five) {
        (Some(half), Some(sure)) => format!("by {} with 50 % chance, {} with 80 %", day(half), day(sure)),
        _ => format!("in time with {} chance", percent(chance.inside)),
    };
    let parts: Vec<String> =
        days.seasons.iter().map(|s| format!("{} {}", s.season.replace('_', " "), of(&s.chance))).collect();
    match parts.len() {
        0 => String::new(),
        // More than two seasons would not go into two lines.
        1 | 2 => wrapped(&plain(&format!("Done: {}: `sward days`.", parts.join("; "))), "", "  ", width),
        _ => wrapped(&format!("Done: all {}: `sward days`.", of(&days.all)), "", "  ", width),
    }
}

/// The calendar as JSON.
#[must_use]
pub fn days_json(days: &Days) -> String {
    serde_json::to_string_pretty(days).map(|t| t + "\n").unwrap_or_default()
}

fn pace(days: &Days) -> String {
    let mut line = format!("{} tons a day at the stack", trimmed(days.tons_per_day));
    line.push_str(if days.haul_counts { ", fewer where the haul is long" } else { ", however long the haul" });
    if !days.not_on.is_empty() {
        line.push_str(&format!("; nothing on {}", days.not_on.join(", ")));
    }
    if !days.lost.is_empty() {
        let lost: Vec<String> = days.lost.iter().map(|d| day(*d)).collect();
        line.push_str(&format!("; lost to rain: {}", lost.join(", ")));
    }
    line.push_str(". One spreader.");
    line
}

fn or_dash(date: Option<Date>) -> String {
    date.map_or_else(|| "-".to_string(), day)
}

fn percent(share: f64) -> String {
    // Never 100 % of what can fail, nor 0 % of what can happen.
    let shown = match (share * 100.0).round() {
        whole if whole >= 100.0 && share < 1.0 => 99.0,
        whole if whole <= 0.0 && share > 0.0 => 1.0,
        whole => whole,
    };
    format!("{} %", number_text(shown, 0))
}

fn title(row: &DayRow) -> String {
    plain(&format!("{} {}", row.field, row.name))
}

fn calendar(days: &Days, width: usize) -> String {
    let head = ["From", "To", "Field", "Lot", "Tons", "Loads", "Miles", "Days of\nwork", "Window\ncloses"];
    let mut t = table(&head, &[4, 5, 6, 7], width);
    let field = u16::try_from(width.saturating_sub(60)).unwrap_or(20);
    widths(&mut t, &[7, 7, field, 11, 7, 6, 6, 8, 8]);
    let mut order: Vec<&DayRow> = days.rows.iter().collect();
    // A row without a day comes last; the sort keeps the order of work.
    order.sort_by_key(|r| (r.begins.is_none(), r.begins));
    for row in &order {
        t.add_row(vec![
            or_dash(row.begins),
            or_dash(row.ends),
            title(row),
            plain(&row.lot),
            tons(row.pounds),
            row.loads.to_string(),
            row.miles.map_or_else(|| "-".to_string(), |m| number_text(m, 1)),
            number_text(row.work_days, 1),
            day(row.last),
        ]);
    }
    let tons: f64 = order.iter().map(|r| r.pounds.tons()).sum();
    let loads: i64 = order.iter().map(|r| r.loads).sum();
    let work: f64 = order.iter().map(|r| r.work_days).sum();
    let all = ["", "", "all", "", &number_text(tons, 2), &loads.to_string(), "", &number_text(work, 1), ""];
    t.add_row(all.map(String::from).to_vec());
    drawn(&t, 2, width)
}

fn chances(days: &Days, width: usize) -> String {
    let head = ["Field", "Window", "50 %:\ndone by", "80 %:\ndone by", "Chance in\nwindow"];
    let mut t = table(&head, &[4], width);
    let row = |name: String, window: String, chance: &Chance| {
        vec![name, window, or_dash(chance.half), or_dash(chance.four_in_five), percent(chance.inside)]
    };
    for r in &days.rows {
        t.add_row(row(title(r), format!("{} - {}", day(r.first), day(r.last)), &r.chance));
    }
    if days.seasons.len() > 1 {
        for season in &days.seasons {
            t.add_row(row(
                plain(&format!("all of {}", season.season.replace('_', " "))),
                String::new(),
                &season.chance,
            ));
        }
    }
    t.add_row(row("all".to_string(), String::new(), &days.all));
    let mut text = drawn(&t, 2, width);
    let line = format!(
        "The season run through {} times, each day fit or not by its month's share, always the same draws. Wet days come in spells, which is left out: late dates may run later.",
        number_text(f64::from(days.runs), 0)
    );
    text.push_str(&wrapped(&line, "", "  ", width));
    text
}

fn origin(origin: &Origin) -> String {
    match origin {
        Origin::Line(place) => format!("your own, {}", place.file),
        Origin::Figure(cite) => cite.to_string(),
        Origin::Said { place, by } => format!("{by}, {place}"),
        Origin::Measured => "measured".to_string(),
        Origin::Definition(what) => (*what).to_string(),
    }
}

/// Each source once, with the months it speaks of.
fn known(days: &Days, width: usize) -> String {
    let mut groups: Vec<(String, Vec<String>)> = Vec::new();
    for share in &days.shares {
        let month: String =
            share.month.chars().enumerate().map(|(i, c)| if i == 0 { c.to_ascii_uppercase() } else { c }).collect();
        let said = format!("{month} {} %", number_text(share.share * 100.0, 0));
        let by = origin(&share.origin);
        match groups.iter_mut().find(|(known, _)| *known == by) {
            Some((_, months)) => months.push(said),
            None => groups.push((by, vec![said])),
        }
    }
    let mut text = String::new();
    for (by, months) in groups {
        text.push_str(&wrapped(&plain(&format!("Days fit: {} ({by})", months.join(", "))), "- ", "  ", width));
    }
    for house in &days.made {
        let line = format!(
            "House {} makes {} tons a year ({})",
            house.name,
            number_text(house.tons, 0),
            origin(&house.origin)
        );
        text.push_str(&wrapped(&plain(&line), "- ", "  ", width));
    }
    let order = "Order: the window that closes first comes first, then stack by stack, the short haul first. With one spreader that gets everything done in time whenever any order does.";
    text.push_str(&wrapped(order, "- ", "  ", width));
    text
}
