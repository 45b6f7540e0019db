//! What `limits` says of phosphorus beyond the rule: what nitrogen brings along, what goes
//! on against what comes off, and several years at once where one is too thin to spread.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, NC, PLACES, Place, flat, made, page, planned, rule, weighed_codes};
use serde_json::{Value, json};
use sward::write;

/// The table of limits in one line.
fn limits(farm: &Farm) -> String {
    let text = write::limits(&made(farm).audited, 80);
    page(&text);
    flat(&text)
}

fn limits_json(farm: &Farm) -> Value {
    serde_json::from_str(&write::limits_json(&made(farm).audited, &[])).unwrap()
}

/// A field whose rate nitrogen alone sets, with litter of much phosphate.
fn by_nitrogen(place: &'static kit::Place) -> Farm {
    Farm::new(place)
        .figure(rule("low", "rating: low", &["basis: nitrogen"]))
        .with("litter.heap.analysis.total_n", "60 lb/ton")
        .with("litter.heap.analysis.p2o5", "55 lb/ton")
}

#[test]
fn on_a_nitrogen_basis_the_phosphate_that_comes_along_is_shown() {
    for place in PLACES {
        let plan = planned(&by_nitrogen(place));
        let rate = plan.rate("A");
        assert!(rate > 1.0, "{}: {rate}", place.key);
        let n_per_ton = plan.number("A", "/supplied/n") / rate;
        let n_allowed = limits_json(&by_nitrogen(place))["fields"][0]["n_allowed"].as_f64().unwrap();
        let along = plan.number("A", "/phosphorus/with_n");
        // By the first limit that binds: the year's nitrogen, or what one season may take of it.
        assert!(along <= n_allowed / n_per_ton * 55.0 + 1e-6, "{}: {along}", place.key);
        assert!((rate..rate + 0.25).contains(&(along / 55.0)), "{}: {along} at {rate}", place.key);
        // Where it holds phosphate itself, that is the number; where none may go on, there is none.
        let held = by_nitrogen(place).figure(rule("high", "rating: high", &["basis: removal"]));
        let held = planned(&held.with("fields.A.phosphorus_rating.rating", "high"));
        assert!(held.field("A")["phosphorus"].get("with_n").is_none());
        let closed = planned(&by_nitrogen(place).with("fields.A.closed", "the ditch is open"));
        assert!(closed.field("A")["phosphorus"].get("with_n").is_none());
    }
}

/// What is on counts as much as what may still go on, on the day of an entry and later, and with
/// a limit on what goes on at once.
#[test]
fn the_phosphate_that_is_on_is_shown_with_what_may_still_come_along() {
    for place in PLACES {
        let most = kit::figure("n_at_once", "lb/ac", "forage: tall_fescue, use: hay", "value: 40");
        for (at_once, as_of) in
            [(false, "2027-02-20"), (false, "2027-03-05"), (true, "2027-02-20"), (true, "2027-03-05")]
        {
            let farm = by_nitrogen(place);
            let farm = if at_once { farm.figure(most.clone()) } else { farm };
            let farm = farm.with("plan.to", "2027-12-31").with("plan.as_of", as_of);
            let before = planned(&farm).number("A", "/phosphorus/with_n");
            let farm = farm.logged("2027-02-20", "spread", "heap", "A", "7.53");
            let plan = planned(&farm);
            let [along, on] = ["/phosphorus/with_n", "/phosphorus/planned"].map(|at| plan.number("A", at));
            assert!(plan.number("A", "/done/p2o5") > 40.0 && !plan.spread("A").is_empty(), "{}", place.key);
            let at = format!("{} {as_of}: {along} with {on} planned, {before} before", place.key);
            assert!(on <= along + 1e-6 && along <= before + 42.0, "{at}");
            // Of one lot what is on has used up what it brought.
            assert!(at_once || (along - before).abs() < 0.1, "{at}");
        }
    }
}

#[test]
fn what_goes_on_stands_against_what_comes_off_by_field_and_farm() {
    for place in PLACES {
        let farm = by_nitrogen(place).field("B").with("fields.B.use", "pasture").logged(
            "2027-02-20",
            "spread",
            "heap",
            "B",
            "12",
        );
        let (plan, json) = (planned(&farm), limits_json(&farm));
        let mut farm_on = 0.0;
        for (at, id) in ["A", "B"].into_iter().enumerate() {
            let acres = plan.number(id, "/acres");
            let logged = if id == "B" { 12.0 / acres } else { 0.0 };
            let on = (plan.rate(id) + logged) * 55.0;
            let shown = &json["fields"][at];
            assert!((shown["put_on"]["p2o5"].as_f64().unwrap() - on).abs() < 0.05, "{} {id}: {shown}", place.key);
            let years = plan.field(id)["years"].as_array().unwrap().len() as f64;
            let off = plan.number(id, "/removed/p2o5") * years;
            assert!((shown["carried_off"]["p2o5"].as_f64().unwrap() - off).abs() < 1e-6);
            farm_on += on * acres;
        }
        assert!((json["put_on"]["p2o5"].as_f64().unwrap() - farm_on).abs() < 1.0, "{} of {farm_on}", json["put_on"]);
        let of = |at: &str| json["fields"][0][at]["p2o5"].as_f64().unwrap();
        let times = format!("{:.1} x", of("put_on") / of("carried_off"));
        let text = limits(&farm);
        assert!(text.contains(&times) && text.contains("Farm "), "{times}: {text}");
    }
}

/// A field rated high, whose year of hay carries off too little for one even pass.
fn too_thin(says: &[&str]) -> Farm {
    Farm::new(&NC)
        .figure(rule("high", "rating: high", says))
        .with("fields.A.phosphorus_rating.rating", "high")
        .with("fields.A.yield_goal", "2 tons/ac")
        .with("litter.heap.analysis.p2o5", "55 lb/ton")
        .with("litter.heap.analysis.total_n", "40 lb/ton")
}

#[test]
fn several_years_at_once_are_offered_where_one_is_too_thin_to_spread() {
    let farm = too_thin(&["basis: removal", "years: 4"]);
    let plan = planned(&farm);
    assert_eq!(plan.rate("A"), 0.0, "{}", plan.field("A")["held"]);
    let bank = &plan.field("A")["phosphorus"]["bank"];
    let (years, rate) = (bank["years"].as_u64().unwrap(), bank["rate"].as_f64().unwrap());
    let a_year = plan.number("A", "/removed/p2o5") / 55.0;
    assert_eq!(years, (1.0 / a_year).ceil() as u64, "{bank}");
    assert!((rate - a_year * years as f64).abs() < 1e-6, "{bank}");
    // What is offered can be written, and plans as it says.
    let banked = farm.clone().with("fields.A.bank_years", years);
    assert!(!weighed_codes(&banked).contains("banked-too-long"));
    let after = planned(&banked);
    assert!(after.rate("A") >= 1.0 && after.rate("A") <= rate + 1e-9, "{} of {rate}", after.rate("A"));
    assert!(after.field("A")["phosphorus"].get("bank").is_none());
    assert!(after.field("A")["phosphorus"]["rests_through"].is_number());
    let said = flat(&write::plan(&made(&farm).audited, 80));
    let offer = format!("the rule lets up to 4 years' worth go on at once: with `bank_years: {years}` it may get");
    assert!(said.contains(&offer), "{said}");
    // Not where the rule has one year, nor where something else keeps the rate down as well.
    for farm in [
        too_thin(&["basis: removal"]),
        too_thin(&["basis: removal", "years: 4"]).with("fields.A.most", "0.9 tons/ac"),
        too_thin(&["basis: removal", "years: 4"]).logged("2026-04-01", "spread", "heap", "A", "6"),
    ] {
        let plan = planned(&farm);
        assert_eq!(plan.rate("A"), 0.0);
        assert!(plan.field("A")["phosphorus"].get("bank").is_none(), "{}", plan.field("A")["phosphorus"]);
    }
}

/// A factor of the rule is what goes on every year: the field does not rest after it.
#[test]
fn a_field_does_not_rest_after_a_year_by_the_factor_of_the_rule() {
    let farm = |times: &str| {
        Farm::new(&NC)
            .figure(rule("high", "rating: high", &["basis: removal", times]))
            .with("fields.A.phosphorus_rating.rating", "high")
            .with("litter.heap.analysis.p2o5", "20 lb/ton")
            .with("spreader.step", "0.05 tons/ac")
    };
    let rests = |farm: &Farm| planned(farm).field("A")["phosphorus"]["rests_through"].clone();
    let half_more = farm("times: 1.5");
    let plan = planned(&half_more);
    let (on, off) = (plan.rate("A") * 20.0, plan.number("A", "/removed/p2o5"));
    assert!(on > off * 1.4 && on <= off * 1.5 + 1e-6, "{on} of {off}");
    assert_eq!(rests(&half_more), json!(null));
    // By half of it, what went on at once is carried off in two years.
    let half = farm("times: 0.5").logged("2027-02-16", "spread", "heap", "A", "20");
    let on = planned(&half).number("A", "/done/p2o5");
    let years = (on / (off * 0.5)).ceil() as i64;
    assert!(years >= 2, "{on} of {off}");
    assert_eq!(rests(&half), json!(2026 + years));
}

/// The binder shows the same pounds as `limits`, on a nitrogen basis too.
#[test]
fn limits_and_binder_show_the_same_pounds() {
    let folder = kit::demo_folder();
    let run = |args: &[&str]| {
        let ended = kit::sward(folder.path(), args);
        assert_eq!(ended.code, 0, "{}{}", ended.out, ended.err);
        ended.out
    };
    let limits = run(&["limits", "."]);
    run(&["binder", ".", "-o", "out"]);
    let binder = std::fs::read_to_string(folder.path().join("out/binder.html")).unwrap();
    let (_, table) = binder.split_once("Next limit, tons/ac").unwrap();
    let (table, _) = table.split_once("</table>").unwrap();
    let mut compared = 0;
    for id in ["B1", "B2", "H1", "N1", "R1", "R2"] {
        let line = limits.lines().find(|line| line.starts_with(&format!("{id} "))).unwrap();
        let row = table.split("<tr").find(|row| row.contains(id)).unwrap();
        let cells: Vec<&str> = row.split("<td").skip(1).map(|cell| cell.split_once('>').unwrap().1).collect();
        let cells: Vec<&str> = cells.iter().map(|cell| cell.split('<').next().unwrap().trim()).collect();
        // Its pounds stand in the same order: allowed, planned.
        let of = |text: &str| text.trim_end_matches(['?', '~', '^']).to_string();
        let pair = format!("{} {}", of(cells[4]), of(cells[5]));
        let words: Vec<String> = line.split_whitespace().map(of).collect();
        assert!(words.windows(2).any(|two| two.join(" ") == pair), "{id}: {pair}\n{line}");
        compared += 1;
    }
    assert_eq!(compared, 6);
}

/// Over two growing years, what comes along with one year's nitrogen stands beside what log and
/// plan put on in that year, never beside the sum of both.
#[test]
fn what_comes_along_and_what_goes_on_are_of_the_same_days() {
    let mut seen = 0;
    for place in PLACES {
        let year =
            kit::figure("growing_year", "month-day", "forage: tall_fescue", "season: {opens: 07-01, closes: 06-30}");
        for farm in [by_nitrogen(place), by_nitrogen(place).figure(year)] {
            for (from, to) in [("2027-02-15", "2027-05-31"), ("2027-03-15", "2028-03-14")] {
                let farm = farm.clone().with("plan.from", from).with("plan.to", to);
                let plan = planned(&farm);
                let p = plan.field("A")["phosphorus"].clone();
                let of = |key: &str| p[key].as_f64().unwrap_or_else(|| panic!("{}: {key}: {p}", place.key));
                assert!(of("with_n_on") <= of("with_n") + 1e-6, "{}: {p}", place.key);
                assert!(of("with_n_on") <= of("planned") + 1e-6, "{}: {p}", place.key);
                seen += usize::from(of("planned") > of("with_n") + 1.0);
            }
        }
    }
    assert!(seen > 0, "no plan put on more in two years than one allows");
}

/// The list of what a plan must hold and the table under its item name the same fields.
#[test]
fn the_binder_misses_the_same_ratings_in_list_and_table() {
    for place in PLACES {
        let farm = Farm::new(place).field("B").field("C").with("fields.B.phosphorus_rating", json!(null)).with(
            "fields.C.phosphorus_rating",
            json!({"rating": "low", "by": "a planner", "on": "2026-11-09", "n_leaching": "low"}),
        );
        let said = flat(&kit::binder(&farm));
        for words in [
            "no phosphorus rating of B; no nitrogen leaching rating of A, B; no soil loss of any field",
            "the nitrogen leaching risk of A, B,",
        ] {
            assert!(said.contains(words), "{}: {words}", place.key);
        }
        // Nitrogen that may go on and that goes on stand side by side, both as it is available.
        assert!(said.contains("N allowed") && said.contains("N planned") && said.contains("All N on"), "{}", place.key);
    }
}

/// What a soil test gains in a year is the same number with the same sign wherever it stands.
#[test]
fn the_outlook_is_the_same_in_every_report() {
    let mut rising = 0;
    for place in PLACES {
        for p2o5 in ["2 lb/ton", "20 lb/ton", "40.5 lb/ton"] {
            let farm = Farm::new(place).with("litter.heap.analysis.p2o5", p2o5);
            let made = made(&farm);
            let field = &made.audited.plan().fields[0];
            for outlook in field.outlook.iter().filter(|own| own.of == "P") {
                let told = outlook.a_year();
                rising += usize::from(told.starts_with('+'));
                let why = flat(&write::why(field, made.balance.field("A").unwrap(), 80));
                assert!(why.contains(&format!("year after year like this: {told} ")), "{told}: {why}");
                assert!(flat(&write::limits(&made.audited, 80)).contains(&format!(" {told} ")), "{told}");
                assert!(kit::binder(&farm).contains(&format!(">{told}</td>")), "{told}");
            }
        }
    }
    assert!(rising > 0, "no soil test rises");
    let half = sward::plan::answer::Outlook {
        of: "P".into(),
        per_year: 6.35,
        unit: "ppm".into(),
        next_class: None,
        years: None,
        known: sward::findings::Known::Memory,
    };
    assert_eq!(half.a_year(), "+6.4?");
    assert_eq!(sward::plan::answer::Outlook { per_year: 0.04, ..half.clone() }.a_year(), "0.0?");
    assert_eq!(sward::plan::answer::Outlook { per_year: -0.04, ..half }.a_year(), "0.0?");
}

/// Where a plan touches two growing years, what comes off in both is not left to be read as one
/// year's.
#[test]
fn several_growing_years_are_said_where_both_sides_count_them() {
    for place in PLACES {
        let year =
            kit::figure("growing_year", "month-day", "forage: tall_fescue", "season: {opens: 07-01, closes: 06-30}");
        let farm = by_nitrogen(place).figure(year).with("plan.to", "2027-10-31");
        let plan = planned(&farm);
        let off = plan.number("A", "/removed/p2o5");
        let two = plan.field("A")["years"].as_array().unwrap().len() == 2;
        assert!(two, "{}", place.key);
        let said = limits(&farm);
        let told = "A: both count 2 growing years, 2026-07-01 to 2028-06-30; off is what is carried off in all of \
                    them, also of the days after 2027-10-31, for which nothing is planned.";
        assert!(said.contains(told), "{said}");
        assert!(said.contains(&sward::units::number_text(2.0 * off, 0)), "{off}: {said}");
        assert!(!limits(&by_nitrogen(place)).contains("both count"), "{}", place.key);
    }
}

const PA: Place = Place { key: "us-pa", region: "", unit: "ppm", asks_needs: true, at: (-77.6, 40.8), ..NC };

/// A soil test that has expired is marked where its number stands, and wanted, also where a row of
/// the place lets the field go without one.
#[test]
fn an_expired_soil_test_is_marked_and_wanted() {
    for (place, p) in [(&PA, "100 ppm"), (&NC, "100 index")] {
        let farm = Farm::new(place).field("B").field("C").with("fields.B.soil_test", json!(null));
        let farm = farm.with("fields.A.soil_test.p", p).with("fields.A.soil_test.sampled", "2021-03-01");
        let made = made(&farm);
        let table = write::limits(&made.audited, 80);
        let row = |id: &str| table.lines().find(|line| line.starts_with(&format!("{id} "))).unwrap();
        assert!(row("A").contains(" 100~ ") && row("C").contains(" 40 "), "{table}");
        assert!(flat(&table).contains("none for B; too old for A"), "{table}");
        let binder = kit::binder(&farm);
        for words in [
            "a new soil test of A A: soil test of 2021-03-01 is too old (expired 202".to_string(),
            "a new soil test of B B: no soil test".to_string(),
            "Mar 1, 2021, a laboratory; expired ".to_string(),
            format!(">{p}~</td>"),
        ] {
            assert!(flat(&binder).contains(&words), "{}: {words}", place.key);
        }
    }
}

/// A row that goes by a soil test which has expired says so wherever it is printed: by the test
/// itself, or by what that asks for.
#[test]
fn a_row_by_an_expired_test_says_so() {
    for place in [&PA, &NC, &kit::MD, &kit::GA] {
        for (sampled, old) in [("2020-10-05", true), ("2026-10-06", false)] {
            let farm = Farm::new(place).field("B").with("fields.A.soil_test.sampled", sampled);
            let farm = farm.with("fields.A.phosphorus_rating", json!(null));
            let made = made(&farm);
            let field = &made.audited.plan().fields[0];
            let by_test = field.phosphorus.rows.iter().any(|row| row.test_expired.is_some());
            // Pennsylvania goes by a row without a test.
            assert_eq!(by_test, old && place.key != "us-pa", "{}: {:?}", place.key, field.phosphorus.rows);
            let told = flat(&write::limits(&made.audited, 80));
            let why = flat(&write::why(field, made.balance.field("A").unwrap(), 80));
            for page in [told, why, flat(&kit::binder(&farm))] {
                assert_eq!(page.contains("; by a soil test that expired 20"), by_test, "{}: {page}", place.key);
            }
        }
    }
}
