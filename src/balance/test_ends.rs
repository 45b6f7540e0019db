//! A soil test that expires within the plan: what would be open after it waits for a new one, or
//! goes by the place's row for fields without one.

use crate::balance::desk::Desk;
use crate::balance::windows;
use crate::findings::Finding;

/// Says which days are lost, and by when the soil is to be sampled again.
pub(super) fn check(desk: &mut Desk<'_>) {
    let (ready, field) = (desk.ready, desk.field);
    let (Some(aged), Some(test)) = (&field.good_until, &field.written.soil_test) else { return };
    if !desk.bars.is_empty() {
        return;
    }
    let lost = windows::past_the_test(ready, field, desk.book);
    if lost.is_empty() {
        return;
    }
    let days: Vec<String> =
        lost.iter().map(|w| format!("{} {} to {}", w.season.replace('_', " "), w.first, w.last)).collect();
    let then = match &field.after_test {
        Some(row) => format!(
            "from the next day on phosphate is limited to {} ({}), all that is on in the year counted",
            row.value.says.in_words(),
            row.cite
        ),
        None => "no litter is planned there after that day".to_string(),
    };
    let found = format!(
        "field {}: the soil test of {} expires {}, within the plan, and {then}: {}",
        field.id(),
        aged.since,
        aged.last,
        days.join(", ")
    );
    desk.findings.push(
        Finding::warning("soil-test-ends", &test.sampled.place, found)
            .accepts(format!("at most {} days: {}", aged.days, aged.cite))
            .fix(format!("sample the field again by {}, write the report in, and re-run the plan", aged.last)),
    );
}
