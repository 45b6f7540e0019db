//! The log beside a plan that was handed out, on a terminal.

use crate::plan::{Against, AgainstRow};
use crate::units::{number_text, rate_text};
use crate::write::json::text;
use crate::write::page::{Page, day, tons};

/// The log beside a plan.
#[must_use]
pub fn against(against: &Against, width: usize) -> String {
    let title =
        format!("{}: the log as of {} beside the plan of {}", against.farm, against.as_of, against.planned_as_of);
    let mut page = Page::titled(title, width);
    let row = |r: &AgainstRow| {
        let on = r.on.map_or("-".to_string(), |(first, last)| match first == last {
            true => day(first),
            false => format!("{} - {}", day(first), day(last)),
        });
        vec![
            r.field.clone(),
            r.lot.clone(),
            format!("{} - {}", day(r.first), day(r.last)),
            rate_text(r.rate),
            tons(r.planned),
            tons(r.done),
            on,
            r.state.word().to_string(),
        ]
    };
    if against.rows.is_empty() {
        page.say("The plan spreads nothing.");
    } else {
        let heads = ["Field", "Lot", "Window", "Tons/ac>", "Tons\nplanned>", "Tons\ndone>", "On", "State"];
        page.table(&heads, against.rows.iter().map(row));
    }
    let differs: Vec<&AgainstRow> = against.rows.iter().filter(|r| !r.differs.is_empty()).collect();
    if !differs.is_empty() {
        page.heading("WHAT DIFFERS");
        for r in differs {
            page.item(format!("{} {}: {}", r.field, day(r.first), r.differs.join("; ")));
        }
    }
    if !against.unplanned.is_empty() {
        page.heading("NOT IN THE PLAN");
        for u in &against.unplanned {
            let (tons, on) = (number_text(u.pounds.tons(), 1), day(u.date));
            page.item(format!("{on}: {tons} tons of {} on {} (line {} of the log)", u.lot, u.field, u.line));
        }
    }
    page.done()
}

/// The same as JSON.
#[must_use]
pub fn against_json(against: &Against) -> String {
    text(against)
}
