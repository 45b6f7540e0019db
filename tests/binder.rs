//! The binder of the demo farm: every item of the list in its order, every
//! rate, limit, source and form, and what is missing marked as missing.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;

use demo::{Made, instead};
use sward::farm::FarmText;
use sward::plan::answer::ItemState;
use sward::plan::{self, Plan, days};
use sward::units::number_text;
use sward::write::{self, Papers};

fn binder(change: impl Fn(String) -> String) -> (Plan, String) {
    of_farm(&demo::with_main(change))
}

fn of_farm(texts: &FarmText) -> (Plan, String) {
    let tables = demo::tables_with("");
    let Made { ready, ground, weighed, audited, driving } = demo::made_with(texts, &tables);
    let plan = audited.plan();
    let calendar = days::days(plan, &ready, plan.from, &days::lost(&ready));
    let html = write::binder(&Papers {
        audited: &audited,
        ready: &ready,
        balance: &weighed,
        ground: &ground,
        driving: &driving,
        days: calendar.as_ref(),
        tally: &plan::tally(&ready, &tables, &weighed, plan),
        actual: &plan::actual(&ready, &weighed),
        cites: &plan::cites(&ready, &weighed),
    });
    assert!(!html.is_empty());
    (plan.clone(), html)
}

/// One section, by its id.
fn section<'a>(html: &'a str, id: &str) -> &'a str {
    let open = format!("<section id=\"{id}\">");
    html.split_once(&open).unwrap_or_else(|| panic!("no `{open}`")).1.split_once("</section>").unwrap().0
}

/// The number of an item in the list.
fn number(plan: &Plan, item: &str) -> usize {
    plan.items.iter().position(|i| i.item == item).unwrap() + 1
}

fn of<'a>(plan: &Plan, html: &'a str, item: &str) -> &'a str {
    section(html, &format!("item-{}", number(plan, item)))
}

#[test]
fn every_item_stands_in_its_order_with_its_state_and_source() {
    let (plan, html) = binder(|main| main);
    assert!(plan.items.len() > 20);
    let mut last = 0;
    for (at, item) in plan.items.iter().enumerate() {
        let open = format!("<section id=\"item-{}\">", at + 1);
        let place = html.find(&open).unwrap_or_else(|| panic!("no {open}"));
        assert!(place > last, "{} is out of order", item.item);
        last = place;
        let own = section(&html, &format!("item-{}", at + 1));
        assert!(own.contains(&format!("<span class=\"state {0}\">{0}</span>", item.state.word())), "{}", item.item);
        assert!(own.contains(&item.cite.publisher.replace('\'', "&#39;")), "{}", item.item);
        // Something is said under each: a table, a list, a form, or room to write.
        assert!(
            ["<table", "<p", "<ul", "wanting"].iter().any(|tag| own.split_once("</header>").unwrap().1.contains(tag))
        );
    }
    let wanting = plan.items.iter().filter(|i| matches!(i.state, ItemState::Missing | ItemState::Stale)).count();
    assert!(wanting > 0, "the demo farm lacks some items");
    assert!(section(&html, "front").contains(&format!("<b>{wanting}</b> of {}", plan.items.len())));
}

#[test]
fn maps_budgets_limits_and_rates_of_every_field_are_in_it() {
    let (plan, html) = binder(|main| main);
    let maps = of(&plan, &html, "sensitive_areas");
    assert_eq!(maps.matches("<img").count(), plan.fields.len());
    assert_eq!(of(&plan, &html, "map").matches("<img").count(), 1);
    // Without the signs of how a number is known.
    let budget = ["?", "~", "^", "@"]
        .iter()
        .fold(of(&plan, &html, "budget").to_string(), |text, sign| text.replace(&format!("{sign}</td>"), "</td>"));
    let rates = of(&plan, &html, "rates");
    for field in &plan.fields {
        let name = format!("{} {}", field.id, field.name);
        assert!(maps.contains(&format!("alt=\"Map of {name}, north up\"")), "{name}");
        let need = [field.need.n, field.need.p2o5, field.need.k2o].map(|v| number_text(v, 0));
        let row = format!(
            "<td>{name}</td><td class=\"r\">{}</td><td class=\"r\">{}</td><td class=\"r\">{}</td>",
            need[0], need[1], need[2]
        );
        assert!(budget.contains(&row), "{row}");
        assert!(budget.contains(field.held.by.word().replace('\'', "&#39;").as_str()), "{name}");
        assert!(rates.contains(&format!("<td>{name}</td>")), "{name}");
        for a in &field.applications {
            assert!(rates.contains(&format!("<td class=\"r\">{:.2}</td>", a.rate)), "{name}");
            assert!(rates.contains(&number_text(a.pounds.tons(), 2)), "{name}");
        }
        assert!(section(&html, "notebooks").contains(&format!("{name}: ")), "{name}");
    }
    assert!(rates.contains("Done with 80 % chance"));
    for cite in &plan.from_memory {
        assert!(section(&html, "sources").contains(&cite.figure), "{}", cite.figure);
    }
}

#[test]
fn what_is_missing_is_marked_where_it_would_stand() {
    let change = |main: String| {
        let main = instead(&main, "planner: {name: Avery Lunsford", "# planner: {name: Avery Lunsford");
        instead(&main, "  calibrated: 2026-09-14\n", "")
    };
    let (plan, html) = of_farm(&FarmText { calibration: None, ..demo::with_main(change) });
    for item in ["planner", "calibration"] {
        let own = of(&plan, &html, item);
        assert!(own.contains("state missing") && own.contains("<b>MISSING</b>"), "{item}");
    }
    // N2 is not rated, D1's soil test is too old.
    assert!(of(&plan, &html, "risk").contains("<td>N2 Ridge Piece</td><td>MISSING</td>"));
    assert!(of(&plan, &html, "soil_tests").contains("a new soil test of D1"));
}

#[test]
fn the_forms_hold_every_item_a_record_must_hold_and_lines_to_sign() {
    let (plan, html) = binder(|main| main);
    let records = of(&plan, &html, "records");
    assert!(!plan.record_items.is_empty());
    for item in &plan.record_items {
        assert!(records.contains(&item.text.replace('\'', "&#39;")), "{}", item.text);
    }
    assert_eq!(records.matches("class=\"form\"").count(), 2);
    let close = section(&html, "close");
    assert!(close.contains("<div>Grower</div>") && close.contains("<div>Planner</div>"));
    assert!(close.contains(&plan.decides.replace('\'', "&#39;")));
    for stop in &plan.stops {
        assert!(of(&plan, &html, "guidance").contains(&stop.text.replace('\'', "&#39;")), "{}", stop.text);
    }
}

#[test]
fn nothing_a_grower_writes_breaks_out_and_nothing_points_outside() {
    let (_, html) = binder(|main| {
        let main = instead(&main, "name: Creek Bottom", "name: '<script>alert(1)</script>\"''&'");
        let main = instead(&main, "farm: Two Chimney Farm", "farm: '</title><img src=x onerror=y>'");
        instead(&main, "name: Dell Farrow", "name: '<b onclick=z>'")
    });
    for broken in ["<script", "<img src=x", "<b onclick", "</title><img"] {
        assert!(!html.contains(broken), "{broken}");
    }
    assert_eq!(html.matches("</title>").count(), 1);
    assert!(!html.contains("src=\"http") && !html.contains("href=\"http") && !html.contains("url("));
    // The address of a picture ends where its quotes do.
    for address in html.split("src=\"").skip(1).map(|rest| rest.split_once('"').unwrap().0) {
        assert!(address.starts_with("data:image/svg+xml,%3Csvg") && !address.contains(['<', '>']));
    }
}
