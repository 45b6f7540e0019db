//! The log beside a plan that was handed out.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use jiff::ToSpan;
use kit::{Farm, PLACES, planned};
use sward::plan::{Against, Plan, Progress, against};
use sward::write;

/// A plan as it was printed.
fn handed_out(farm: &Farm) -> Plan {
    serde_json::from_str(&planned(farm).text).unwrap()
}

fn beside(plan: &Plan, farm: &Farm) -> Against {
    let got = against(plan, &planned(farm).ready);
    let page = write::against(&got, 80);
    assert!(page.lines().all(|line| line.chars().count() <= 80), "{page}");
    assert!(got.rows.iter().all(|row| page.contains(row.state.word())), "{page}");
    got
}

/// Litter between two windows is of the one that lies nearer to its day.
#[test]
fn litter_after_a_window_is_of_that_window() {
    for place in PLACES {
        let farm = Farm::new(place);
        let mut plan = handed_out(&farm);
        let of = plan.fields[0].applications[0].clone();
        let mut later = of.clone();
        (later.first, later.last) = (of.last.checked_add(40.days()).unwrap(), of.last.checked_add(60.days()).unwrap());
        plan.fields[0].applications.push(later);
        plan.to = of.last.checked_add(90.days()).unwrap();
        for (days, at) in [(5, 0), (19, 0), (21, 1), (35, 1), (45, 1), (70, 1)] {
            let day = of.last.checked_add(days.days()).unwrap();
            let tons = format!("{:.2}", of.pounds.tons());
            let log = farm.clone().logged(&day.to_string(), "spread", &of.lot, &plan.fields[0].id, &tons);
            let got = against(&plan, &planned(&log.with("plan.to", "2027-12-31")).ready);
            let done: Vec<bool> = got.rows.iter().map(|row| row.done.0 > 0).collect();
            assert_eq!(done, [at == 0, at == 1], "{}: {days} days after {}", place.key, of.last);
        }
    }
}

#[test]
fn what_was_done_what_differs_and_what_is_to_come() {
    for place in PLACES {
        let farm = Farm::new(place).lot("other");
        let plan = handed_out(&farm);
        let of = plan.fields[0].applications[0].clone();
        let field = plan.fields[0].id.clone();
        let in_time = of.first.max(plan.as_of).checked_add(1.day()).unwrap();
        let other = if of.lot == "other" { "heap" } else { "other" };
        let log = |farm: Farm, day: jiff::civil::Date, lot: &str, share: f64| {
            let tons = format!("{:.2}", of.pounds.tons() * share);
            farm.logged(&day.to_string(), "spread", lot, &field, &tons)
        };
        let row = |got: &Against| got.rows.iter().find(|r| r.field == field && r.first == of.first).unwrap().clone();

        let nothing = beside(&plan, &farm);
        assert_eq!((row(&nothing).state, row(&nothing).done.0), (Progress::ToCome, 0), "{}", place.key);

        let done = row(&beside(&plan, &log(farm.clone(), in_time, &of.lot, 1.0)));
        assert_eq!((done.state, done.differs.as_slice()), (Progress::Done, &[] as &[String]), "{}", place.key);
        assert_eq!(done.on, Some((in_time, in_time)));

        let begun = row(&beside(&plan, &log(farm.clone(), in_time, &of.lot, 0.4)));
        assert_eq!(begun.state, Progress::Begun);
        assert!(begun.differs.is_empty(), "{:?}", begun.differs);

        let wrong = row(&beside(&plan, &log(farm.clone(), in_time, other, 1.0)));
        assert!(wrong.differs[0].contains(&format!("of lot {other} instead of {}", of.lot)), "{:?}", wrong.differs);

        // Half of it, and its window over.
        let late = log(farm.clone(), in_time, &of.lot, 0.5);
        let over = of.last.checked_add(1.day()).unwrap();
        if over <= plan.to {
            let short = row(&beside(&plan, &late.with("plan.as_of", over.to_string())));
            assert_eq!(short.state, Progress::Short, "{}", place.key);
            assert!(short.differs.iter().any(|d| d.contains("fewer than planned")), "{:?}", short.differs);
        }
    }
}

/// Litter on a field that the plan leaves out is told with its line.
#[test]
fn an_entry_that_is_on_no_row_is_told() {
    let farm = Farm::new(PLACES[0]);
    let mut plan = handed_out(&farm);
    plan.fields[0].applications.clear();
    let id = plan.fields[0].id.clone();
    let day = plan.as_of.checked_add(3.days()).unwrap().to_string();
    let lot = plan.lots[0].id.clone();
    let got = beside(&plan, &farm.clone().logged(&day, "spread", &lot, &id, "5"));
    assert_eq!((got.unplanned.len(), got.unplanned[0].line, got.unplanned[0].pounds.0), (1, 2, 10_000));
    assert!(write::against(&got, 80).contains("NOT IN THE PLAN"));
    // What the plan knew already is not looked at again; what came into the log later on its own day is.
    let before = plan.as_of.to_string();
    let same_day = farm.logged(&before, "spread", &lot, &id, "5");
    assert_eq!(beside(&plan, &same_day).unplanned.len(), 1);
    plan.fields[0].today = sward::units::Pounds(10_000);
    assert!(beside(&plan, &same_day).unplanned.is_empty());
    assert_eq!(beside(&plan, &same_day.logged(&before, "spread", &lot, &id, "3")).unplanned.len(), 1);
}

/// All tons on a part of the acres: the rest is still to do.
#[test]
fn a_field_done_in_part_is_not_done() {
    for place in PLACES {
        let farm = Farm::new(place);
        let plan = handed_out(&farm);
        let (of, all) = (plan.fields[0].applications[0].clone(), plan.fields[0].acres);
        let day = of.first.max(plan.as_of).checked_add(1.day()).unwrap();
        let row = |acres: f64| {
            let line = format!("{day},spread,{},A,{:.2},{acres:.2}\n", of.lot, of.pounds.tons());
            let log = farm.clone().lines(&format!("date,what,lot,field,tons,acres\n{line}"));
            beside(&plan, &log).rows.into_iter().find(|r| r.field == "A" && r.first == of.first).unwrap()
        };
        assert_eq!(row(all).state, Progress::Done, "{}", place.key);
        let part = row(all * 0.95);
        assert_eq!(part.state, Progress::Begun, "{}", place.key);
        let left = format!("{:.2} of {all:.2} ac are left", all - (all * 95.0).round() / 100.0);
        assert!(part.differs.contains(&left), "{left}: {:?}", part.differs);
    }
}
