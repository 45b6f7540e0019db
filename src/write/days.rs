//! The calendar of the spreading: dates, chances, what to do something about,
//! and how the figures are known.

use crate::findings::{Origin, together};
use crate::plan::days::{Chance, DayRow, Days, MonthShare};
use crate::units::{number_text, trimmed};
use crate::write::findings::warnings;
use crate::write::json::text;
use crate::write::page::{Page, day, named, or_dash, tons, whole};

/// The whole calendar.
#[must_use]
pub fn days(days: &Days, width: usize) -> String {
    let mut page = Page::new(width);
    page.say(format!("{}: days of spreading {} to {}, as of {}", days.farm, days.from, days.to, days.as_of));
    page.say(pace(days));
    page.heading("EXPECTED ORDER");
    if days.rows.is_empty() {
        page.line("The plan has nothing left to spread.");
    } else {
        calendar(&mut page, days);
        page.heading("HOW SURE THAT IS");
        chances(&mut page, days);
    }
    page.heading("CHECK THESE");
    let mut flags = Page::new(width);
    days.flags.iter().for_each(|flag| flags.item(format!("{}: {}", flag.found, flag.fix)));
    warnings(&mut flags, &days.warnings);
    page.list(flags);
    page.heading("HOW THIS IS KNOWN");
    known(&mut page, days);
    page.done()
}

/// What the dates mean for a reader of the plan, in two lines at most.
pub(super) fn in_short(page: &mut Page, days: &Days) {
    let of = |chance: &Chance| match (chance.half, chance.four_in_five) {
        (Some(half), Some(sure)) => format!("by {} with 50 % chance, {} with 80 %", day(half), day(sure)),
        _ => format!("in time with {} chance", chance.percent()),
    };
    let parts: Vec<String> =
        days.seasons.iter().map(|s| format!("{} {}", s.season.replace('_', " "), of(&s.chance))).collect();
    match parts.len() {
        0 => {}
        // More than two seasons would not go into two lines.
        1 | 2 => page.say(format!("Done: {}: `sward days`.", parts.join("; "))),
        _ => page.say(format!("Done: all {}: `sward days`.", of(&days.all))),
    }
}

/// The calendar as JSON.
#[must_use]
pub fn days_json(days: &Days) -> String {
    text(days)
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

fn title(row: &DayRow) -> String {
    named(&row.field, &row.name)
}

fn calendar(page: &mut Page, days: &Days) {
    let mut order: Vec<&DayRow> = days.rows.iter().collect();
    // A row without a day comes last; the sort keeps the order of work.
    order.sort_by_key(|r| (r.begins.is_none(), r.begins));
    let rows = order.iter().map(|row| {
        vec![
            or_dash(row.begins.map(day)),
            or_dash(row.ends.map(day)),
            title(row),
            row.lot.clone(),
            tons(row.pounds),
            row.loads.to_string(),
            or_dash(row.miles.map(|m| number_text(m, 1))),
            number_text(row.work_days, 1),
            day(row.last),
        ]
    });
    let tons: f64 = order.iter().map(|r| r.pounds.tons()).sum();
    let loads: i64 = order.iter().map(|r| r.loads).sum();
    let work: f64 = order.iter().map(|r| r.work_days).sum();
    let all = ["", "", "all", "", &number_text(tons, 2), &loads.to_string(), "", &number_text(work, 1), ""];
    let heads = ["From", "To", "Field", "Lot", "Tons>", "Loads>", "Miles>", "Days of\nwork>", "Window\ncloses"];
    page.table_of(&heads, &[7, 7, 0, 11, 7, 6, 6, 8, 8], rows.chain([all.map(String::from).to_vec()]));
}

fn chances(page: &mut Page, days: &Days) {
    let row = |name: String, window: String, chance: &Chance| {
        let [half, sure] = [chance.half, chance.four_in_five].map(|on| or_dash(on.map(day)));
        vec![name, window, half, sure, chance.percent()]
    };
    let each = days.rows.iter().map(|r| row(title(r), format!("{} - {}", day(r.first), day(r.last)), &r.chance));
    let seasons = days.seasons.iter().filter(|_| days.seasons.len() > 1);
    let seasons = seasons.map(|s| row(format!("all of {}", s.season.replace('_', " ")), String::new(), &s.chance));
    let all = row("all".to_string(), String::new(), &days.all);
    let heads = ["Field", "Window", "50 %:\ndone by", "80 %:\ndone by", "Chance in\nwindow>"];
    page.table(&heads, each.chain(seasons).chain([all]));
    let spells = days.shares.iter().filter(|s| s.share > 0.0 && s.share < 1.0);
    let (known, unknown): (Vec<&MonthShare>, Vec<&MonthShare>) = spells.partition(|s| s.spell.is_some());
    let how = match (known.is_empty(), unknown.is_empty()) {
        (_, true) => "Wet days come in spells as shown below.".to_string(),
        (true, false) => "Days are drawn independently. Real wet days come in spells, so late dates may run later and chances may be lower: give your own `wet_after_wet:` under `days:`.".to_string(),
        (false, false) => {
            let months: Vec<String> = unknown.iter().map(|s| capital(s.month)).collect();
            format!("Wet days come in spells as shown below, but {} days are drawn independently: late dates there may run later.", months.join(", "))
        }
    };
    page.say(format!(
        "The season run through {} times, each day fit or not by its month's share, always the same draws. {how}",
        whole(f64::from(days.runs))
    ));
}

fn origin(origin: &Origin) -> String {
    match origin {
        Origin::Line(place) => format!("your own, {}", place.file),
        Origin::Figure(cite) => cite.to_string(),
        Origin::Said { place, by } => format!("{by}, {place}"),
        Origin::Elsewhere { place, of } => format!("{of}, {place}"),
        Origin::Measured => "measured".to_string(),
        Origin::Definition(what) => (*what).to_string(),
    }
}

/// Shares of months, each source once with the months it speaks of.
fn by_source<'a>(page: &mut Page, what: &str, shares: impl Iterator<Item = (&'a str, f64, &'a Origin)>) {
    let said = |month, share: f64| format!("{} {} %", capital(month), whole(share * 100.0));
    for (by, months) in together(shares.map(|(month, share, by)| (origin(by), said(month, share)))) {
        page.item(format!("{what}: {} ({by})", months.join(", ")));
    }
}

fn capital(month: &str) -> String {
    month.chars().enumerate().map(|(i, c)| if i == 0 { c.to_ascii_uppercase() } else { c }).collect()
}

fn known(page: &mut Page, days: &Days) {
    let fit = days.shares.iter().map(|s| (s.month, s.share, &s.origin));
    by_source(page, "Days fit", fit);
    let spells = days.shares.iter().filter_map(|s| s.spell.as_ref().map(|spell| (s.month, spell)));
    let spells = spells.map(|(month, spell)| (month, spell.wet_after_wet, &spell.origin));
    by_source(page, "Of the days after one too wet to spread, too wet as well", spells.clone());
    if spells.clone().any(|(.., by)| matches!(by, Origin::Figure(_))) {
        page.item("The figures for spells count rain alone. Ground stays wet after it, so real spells may be longer: your own `wet_after_wet:` under `days:` comes first.");
    }
    for house in &days.made {
        let (tons, by) = (whole(house.tons), origin(&house.origin));
        page.item(format!("House {} makes {tons} tons a year ({by})", house.name));
    }
    page.item("Order: the window that closes first comes first, then stack by stack, the short haul first. With one spreader that gets everything done in time whenever any order does.");
}
