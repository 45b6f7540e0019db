//! Tables on a page of 80 columns: no number and no word of a head is broken, however
//! large the sums are.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, PLACES, asked, fit};
use serde_json::json;
use std::collections::BTreeSet;
use sward::plan::{self, Mends, days};
use sward::write;

/// Fields of a farm on which every sum of litter goes into the millions of pounds.
const FIELDS: usize = 16;

fn farm(place: &'static kit::Place) -> Farm {
    let mut farm = (0..FIELDS).fold(Farm::new(place).lot("cake"), |farm, n| farm.field(&format!("F{n}")));
    let houses = json!([{"name": "north", "kind": "broiler litter", "number": 4, "birds": 24000, "flocks": 5.5,
        "sure": {"by": "a planner", "on": "2026-11-09"},
        "clean_outs": [{"date": "2027-08-14", "lot": "heap", "tons": "1300 tons"},
            {"date": "2027-09-14", "lot": "cake", "tons": "1100 tons"}]}]);
    for lot in ["heap", "cake"] {
        farm = farm
            .with(&format!("litter.{lot}.on_hand"), "6000 tons")
            .with(&format!("litter.{lot}.counted_on"), "2027-01-31");
    }
    farm = farm
        .with("plan.to", "2027-11-30")
        .with("houses", houses)
        .with("days", json!({"tons_per_day": "90 tons", "fit": fit("40 %")}))
        .with("prices.litter_sold", serde_json::Value::Null)
        .with("prices.disposal", "4 $/ton")
        .with("outlets", json!([{"name": "the mill", "price": "9 $/ton", "most": "2600 tons"}]))
        .logged("2027-02-16", "bring", "heap", "", "1250 tons")
        .logged("2027-02-17", "clean-out", "heap", "", "1750 tons")
        .logged("2027-02-18", "bring", "cake", "", "1450 tons")
        .logged("2027-02-19", "clean-out", "cake", "", "1150 tons")
        .logged("2027-02-20", "haul", "heap", "", "1350 tons")
        .logged("2027-02-22", "haul", "cake", "", "1500 tons");
    for n in 0..FIELDS {
        farm = farm.logged("2027-03-01", "spread", ["heap", "cake"][n % 2], &format!("F{n}"), "64 tons");
    }
    farm
}

#[test]
fn no_table_breaks_a_number() {
    let mut millions = BTreeSet::new();
    for place in PLACES {
        let farm = farm(place);
        let (texts, log) = (farm.texts(), farm.log_text());
        let checked = asked(&texts, &log, &farm).check();
        let then = checked.clone().weigh_year(2027, None).unwrap_or_else(|f| panic!("{:?}", f.sorted())).unwrap();
        let year = plan::tally_of_year(&then.ready, &then.tables, &then.balance, &then.findings);
        let made = checked.weigh().unwrap_or_else(|f| panic!("{:?}", f.sorted()));
        let made = made.plan(&plan::LeastCost::default()).unwrap_or_else(|f| panic!("{:?}", f.sorted()));
        let of = made.audited.plan();
        let sure = plan::how_sure(&made.ready, &made.tables, &made.balance, of, None).unwrap();
        let calendar = days::days(of, &made.ready, of.from, &days::lost(&made.ready)).unwrap();
        let tally = plan::tally(&made.ready, &made.tables, &made.balance, of);
        let actual = plan::actual(&made.ready, &made.balance);
        let pages = |width: usize| {
            [
                (
                    "plan",
                    write::plan_with(
                        &made.audited,
                        &write::Beside { days: Some(&calendar), mends: &Mends::default() },
                        width,
                    ),
                ),
                ("tally", write::tally(&tally, width)),
                ("tally --year", write::year_tally(&year, width)),
                ("days", write::days(&calendar, width)),
                ("sure", write::sure(&sure, width)),
                ("limits", write::limits(&made.audited, width) + &write::actual(&actual, width)),
            ]
        };
        for ((name, narrow), (_, wide)) in pages(80).into_iter().zip(pages(400)) {
            kit::page(&narrow);
            let words = |text: &str| -> BTreeSet<String> { text.split_whitespace().map(str::to_string).collect() };
            let (narrow_words, wide_words) = (words(&narrow), words(&wide));
            // Rules are as long as the page.
            let broken: Vec<&String> =
                wide_words.difference(&narrow_words).filter(|word| !word.starts_with("---")).collect();
            assert!(broken.is_empty(), "{} {name}: {broken:?}\n{narrow}", place.key);
            let large = narrow_words.iter().filter(|word| word.matches(',').count() == 2 && word.len() >= 9);
            millions.extend(large.map(|word| format!("{name} {word}")));
        }
    }
    for name in ["plan", "tally", "tally --year"] {
        assert!(millions.iter().any(|found| found.starts_with(&format!("{name} "))), "{name}: {millions:?}");
    }
}
