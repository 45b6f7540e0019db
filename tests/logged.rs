//! What was logged counts in full, on the acres on which it lies: the same figures
//! whether litter is planned or logged, and a word where it is over a limit.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, PLACES, Place, figure, flat, later, made, own_figure, passed_limits, planned, sward, verdict_codes};
use serde_json::{Value, json};
use sward::audit;
use sward::pipeline::{Checked, Day, Folder, Question};

/// Litter with phosphate in it, on a field that is held to removal.
fn farm(place: &'static Place) -> Farm {
    Farm::new(place).with("litter.heap.analysis.p2o5", "30 lb/ton").with("fields.A.phosphorus_rating.rating", "high")
}

/// The fields of the audit of a plan's own text, as `sward audit --json` has them.
fn audited(text: &str, farm: &Farm) -> Value {
    let kit::Checked { tables, ready, .. } = kit::checked(farm);
    let (plan, _) = audit::read("plan.json", text).unwrap();
    serde_json::to_value(audit::verdicts(&plan, &ready.unwrap(), &tables).fields).unwrap()
}

#[test]
fn the_same_litter_has_the_same_figures_planned_or_logged() {
    for place in PLACES {
        let before = planned(&farm(place).with("fields.A.most", "1.5 tons/ac"));
        let rate = before.rate("A");
        assert!(rate >= 1.0, "{}: {}", place.key, before.field("A"));
        let tons = rate * before.number("A", "/acres");
        let logged = farm(place).with("fields.A.most", "1.5 tons/ac");
        let logged = logged.logged("2027-03-01", "spread", "heap", "A", &format!("{tons:.3}"));
        let after = planned(&logged);
        assert_eq!(after.rate("A"), 0.0, "{}", place.key);
        for nutrient in ["n", "p2o5", "k2o"] {
            let on = |plan: &kit::Planned| {
                plan.number("A", &format!("/done/{nutrient}")) + plan.number("A", &format!("/supplied/{nutrient}"))
            };
            let over = |plan: &kit::Planned| plan.number("A", &format!("/over/{nutrient}"));
            assert!((on(&before) - on(&after)).abs() < 0.05, "{} {nutrient}", place.key);
            assert!((over(&before) - over(&after)).abs() < 0.05, "{} {nutrient}", place.key);
        }
        let p = |plan: &kit::Planned| plan.number("A", "/phosphorus/planned");
        assert!(p(&after) > 20.0 && (p(&before) - p(&after)).abs() < 0.05, "{}: {}", place.key, p(&after));
        let outlook = |plan: &kit::Planned| plan.field("A")["outlook"][0]["per_year"].as_f64().unwrap_or_default();
        assert!((outlook(&before) - outlook(&after)).abs() < 0.01, "{}", place.key);
    }
}

#[test]
fn litter_over_a_limit_is_told_everywhere() {
    for place in PLACES {
        let farm = farm(place).with("fields.A.phosphorus_rating.rating", "very high");
        let farm = farm.logged("2027-03-01", "spread", "heap", "A", "100");
        let plan = planned(&farm);
        let put_on = plan.number("A", "/phosphorus/planned");
        assert!((put_on - 3_000.0 / plan.number("A", "/acres")).abs() < 0.1, "{}: {put_on}", place.key);
        let told = |found: &str| {
            found.starts_with("field A: the log shows ")
                && found.contains("lb/ac of P2O5 in 2027, and 0.0? are allowed")
        };
        let found: Vec<String> = plan.findings.sorted().iter().map(|f| f.found.clone()).collect();
        assert!(found.iter().any(|f| told(f)), "{} {found:?}", place.key);
        assert!(plan.tally_codes().contains("logged-over"), "{}", plan.tally);
        let fields = audited(&plan.text, &farm);
        assert_eq!(fields[0]["passes"], true, "{fields}");
        assert!(
            fields[0]["log_over"].to_string().contains("P2O5 from 2027-01-01 to 2027-12-31 where the most is 0.00"),
            "{fields}"
        );
        let folder = farm.folder();
        for command in ["check", "plan", "limits"] {
            let out = sward(folder.path(), &[command, "--on", "2027-05-31"]).out;
            let words = flat(&out);
            assert!(words.contains("lb/ac of P2O5 in 2027, and 0.0? are allowed"), "{command}: {out}");
        }
        let out = sward(folder.path(), &["limits", "--json", "--on", "2027-05-31"]).out;
        assert!(out.contains("logged-over"), "{out}");
        let out = sward(folder.path(), &["binder", "-o", "out", "--on", "2027-05-31"]);
        let binder = std::fs::read_to_string(folder.path().join("out/binder.html"))
            .unwrap_or_else(|e| panic!("{e} {}", out.err));
        assert!(binder.contains("of P2O5 in 2027, and 0.0? are allowed"));
    }
}

#[test]
fn half_a_field_keeps_its_limit_on_the_half_that_was_done() {
    for place in PLACES {
        let whole = planned(&farm(place));
        let allowed = whole.number("A", "/phosphorus/allowed");
        // Nine tenths of what is allowed, on half of the field.
        let tons = 0.9 * allowed / 30.0 * 5.0;
        let half = farm(place).part("2027-03-01", "heap", "A", &format!("{tons:.2}"), "5");
        let plan = planned(&half);
        let on = plan.number("A", "/done/p2o5");
        assert!((on - 0.9 * allowed).abs() < 0.2, "{}: {on} of {allowed}", place.key);
        assert_eq!(plan.rate("A"), 0.0, "{}: {}", place.key, plan.field("A"));
        assert!(plan.codes().contains("logged-part") && !plan.codes().contains("logged-over"), "{:?}", plan.codes());
        assert_eq!(verdict_codes(&plan.text, &half).len(), 0);
        // The plan as if the half were spread over all is refused.
        let passed = verdict_codes(&whole.text, &half);
        assert!(passed.contains("nutrients"), "{}: {passed:?}", place.key);
        // Twice what is allowed on the half is told, though the field's mean is not over.
        let double = farm(place).part("2027-03-01", "heap", "A", &format!("{:.2}", 2.0 * allowed / 30.0 * 5.0), "5");
        let plan = planned(&double);
        assert!(
            plan.codes().contains("logged-over") && plan.tally_codes().contains("logged-over"),
            "{:?}",
            plan.codes()
        );
        assert!(audited(&plan.text, &double)[0]["log_over"].to_string().contains("P2O5"));
        // The other half, side by side: the densest counts. Once more: both.
        let both = half.clone().part("2027-03-02", "heap", "A", &format!("{tons:.2}"), "4.9");
        let beside = planned(&both).number("A", "/done/p2o5");
        assert!((beside - 0.9 * allowed * 5.0 / 4.9).abs() < 0.3, "{}: {beside}", place.key);
        let again = planned(&both.part("2027-03-03", "heap", "A", &format!("{tons:.2}"), "5"));
        assert!(again.number("A", "/done/p2o5") > 2.6 * allowed, "{}: {}", place.key, again.field("A"));
    }
}

#[test]
fn two_days_of_one_job_are_one_trip() {
    for place in PLACES {
        let most = figure("applications", "times", "forage: tall_fescue, use: hay", "value: 2");
        // The cutting parts the season: one trip before it, one after.
        let farm = Farm::new(place).figure(most).with("fields.A.cuttings", json!(["2027-04-10"]));
        let farm = farm.with("plan.as_of", "2027-02-17");
        let once = farm.clone().logged("2027-02-16", "spread", "heap", "A", "20");
        let twice = farm.part("2027-02-16", "heap", "A", "10", "4.95").part("2027-02-17", "heap", "A", "10", "4.95");
        let (once, plan) = (planned(&once), planned(&twice));
        assert_eq!(once.spread("A").len(), 1, "{}", once.field("A"));
        assert_eq!(plan.days("A"), once.days("A"), "{}: {}", place.key, plan.field("A"));
    }
}

/// Acres that are as good as the field's are the whole of it.
#[test]
fn a_fiftieth_of_a_field_less_is_still_all_of_it() {
    for place in PLACES {
        let acres = planned(&farm(place)).number("A", "/acres");
        for (share, part) in [(0.97, true), (0.985, false), (1.0, false)] {
            let farm = farm(place).part("2027-03-01", "heap", "A", "3", &format!("{:.3}", share * acres));
            assert_eq!(planned(&farm).codes().contains("logged-part"), part, "{}: {share}", place.key);
        }
        let half = format!("{:.3}", 0.4925 * acres);
        let both = farm(place).part("2027-03-01", "heap", "A", "3", &half).part("2027-03-02", "heap", "A", "3", &half);
        assert!(!planned(&both).codes().contains("logged-part"), "{}", place.key);
    }
}

/// What went on when the soil was sampled is in the test; what went on a day later is not.
#[test]
fn litter_of_the_day_of_sampling_is_in_the_soil_test() {
    let told = |place, day: &str| {
        let farm = Farm::new(place).logged(day, "spread", "heap", "A", "10");
        planned(&farm).codes().contains("spread-since-test")
    };
    assert!(PLACES.iter().all(|place| !told(place, "2026-10-06")));
    // By removal it is taken off, and not told.
    assert!(told(PLACES[0], "2026-10-07"));
}

/// Two weights of one entry are told where they are more than a twentieth apart.
#[test]
fn weights_a_twentieth_apart_are_told() {
    for place in PLACES {
        for (tickets, told) in [("20900 lb", false), ("21200 lb", true), ("19100 lb", false), ("18900 lb", true)] {
            let plan = planned(&Farm::new(place).weighed("2027-03-01", "10", tickets));
            assert_eq!(plan.tally_codes().contains("tally-weights"), told, "{}: {tickets}", place.key);
        }
    }
}

/// Scale tickets count the loads: only an entry without them lacks their number.
#[test]
fn loads_are_asked_where_no_ticket_counts_them() {
    for place in PLACES {
        let lacks = |farm: Farm| planned(&farm).tally["gaps"][0]["columns"].to_string().contains("\"loads\"");
        assert!(lacks(Farm::new(place).logged("2027-03-01", "spread", "heap", "A", "10")), "{}", place.key);
        assert!(!lacks(Farm::new(place).ticketed("2027-03-01", "spread", "heap", "A", "20000 lb")), "{}", place.key);
    }
}

/// Where a place tells seasons apart, the tally counts nitrogen as in the season of the day.
#[test]
fn the_tally_counts_nitrogen_as_in_its_season() {
    for place in PLACES {
        let share = |season: &str, value: &str| {
            figure(
                "n_available",
                "share",
                &format!("material: broiler_litter, placement: surface, season: {season}"),
                value,
            )
        };
        let farm = Farm::new(place).logged("2027-03-01", "spread", "heap", "A", "10");
        let plain = planned(&farm);
        let plan = planned(&farm.figure(share("spring", "value: 0.2")));
        let on = |plan: &kit::Planned| plan.tally["fields"][0]["on"]["n"].as_f64().unwrap();
        assert!((on(&plan) - plan.number("A", "/done/n")).abs() < 1e-6, "{}: {}", place.key, on(&plan));
        assert!((on(&plan) - on(&plain)).abs() > 1.0, "{}: {} and {}", place.key, on(&plan), on(&plain));
    }
}

/// What lies on the field from several years ago is carried off by each year's hay since.
#[test]
fn every_year_in_between_carries_phosphate_off() {
    for place in PLACES {
        let bare = planned(&farm(place));
        let a_year = bare.number("A", "/removed/p2o5");
        let tons = |years: f64| format!("{:.3}", years * a_year / 30.0 * bare.number("A", "/acres"));
        // 2.6 years' worth in 2024 are 0.6 at the end of 2025; 0.8 more in 2026 leave 0.4.
        let farm = farm(place).logged("2024-03-01", "spread", "heap", "A", &tons(2.6)).logged(
            "2026-03-01",
            "spread",
            "heap",
            "A",
            &tons(0.8),
        );
        let allowed = planned(&farm).number("A", "/phosphorus/allowed");
        assert!((allowed - 0.6 * a_year).abs() < 0.1, "{}: {allowed} of {a_year}", place.key);
    }
}

/// Three halves of a field in one season that runs over New Year lie on each other, whichever
/// side of it they fell: three trips, and what all of them put on.
#[test]
fn what_lies_on_each_other_over_new_year_is_one_window() {
    for place in PLACES {
        let scope = "forage: tall_fescue, season: winter, use: hay";
        let farm = Farm::new(place)
            .figure(figure("season", "none", scope, "season: {opens: 11-15, closes: 02-10}"))
            .figure(figure("n_split", "share", scope, "value: 0.9"))
            .figure(figure("applications", "times", "forage: tall_fescue, use: hay", "value: 9"))
            .with("plan.from", "2026-11-10")
            .with("plan.to", "2027-02-12")
            .with("litter.heap.analysis.sampled", "2026-10-20")
            .with("fields.A.phosphorus_rating.on", "2026-10-20");
        let halves = |days: [&str; 3]| {
            let farm = days.iter().fold(farm.clone(), |farm, day| farm.part(day, "heap", "A", "5", "5"));
            planned(&farm).number("A", "/windows/0/n_done")
        };
        let (before, over) =
            (halves(["2026-11-20", "2026-12-01", "2026-12-10"]), halves(["2026-11-20", "2026-12-01", "2027-01-10"]));
        assert!(before > 5.9 && (before - over).abs() < 1e-6, "{}: {before} and {over}", place.key);
    }
}

/// Litter that goes nowhere saves nothing, and is said to.
#[test]
fn litter_that_stays_where_it_is_changes_no_bill() {
    for place in PLACES {
        let urea = json!([{"name": "urea", "analysis": "46-0-0", "price": "500 $/ton"}]);
        let farm = Farm::new(place).with("fertilizer", urea).with("litter.heap.not_on", json!(["A"]));
        let plan = planned(&farm);
        assert_eq!(plan.json["buy"]["saved"].as_f64(), Some(0.0), "{}", place.key);
        let out = sward(farm.folder().path(), &["plan", "--on", "2027-02-15"]).out;
        assert!(out.contains("With or without litter, it costs the same."), "{out}");
    }
}

/// An analysis that is good to the last day of the window is good for all of it; a day less
/// and plan and sheets say so.
#[test]
fn an_analysis_good_to_the_windows_last_day_is_good_for_all_of_it() {
    let mut seen = 0;
    for place in PLACES {
        let plan = planned(&Farm::new(place));
        let Some(good) = plan.spread("A")[0]["analysis_good_until"].as_str() else { continue };
        let days = |day: &str| day.parse::<jiff::civil::Date>().unwrap();
        let more = (days(plan.days("A")[0].1) - days(good)).get_days();
        for (day, enough) in [(more, true), (more - 1, false)] {
            let farm = Farm::new(place).with("litter.heap.analysis.sampled", later("2027-01-20", day));
            let folder = farm.folder();
            let out = flat(&sward(folder.path(), &["plan"]).out);
            assert_eq!(!out.contains("analysis runs out before the window closes"), enough, "{}: {out}", place.key);
            assert_eq!(sward(folder.path(), &["sheets", "-o", "out"]).code, 0);
            let sheets = std::fs::read_to_string(folder.path().join("out/sheets.html")).unwrap();
            assert_eq!(sheets.contains(">good<"), enough, "{}: {day}", place.key);
        }
        seen += 1;
    }
    assert!(seen > 0);
}

#[test]
fn what_is_bought_keeps_the_phosphorus_limit() {
    for place in PLACES {
        let said = json!([own_figure("p2o5_need", "300 lb/ac"), own_figure("k2o_need", "80 lb/ac")]);
        let farm = match place.asks_needs {
            true => farm(place).with("figures", said),
            false => farm(place).with("fields.A.soil_test.p", "2 index").with("fields.A.most", "1 ton/ac"),
        };
        let products = json!([
            {"name": "urea", "analysis": "46-0-0", "price": "500 $/ton"},
            {"name": "DAP", "analysis": "18-46-0", "price": "700 $/ton"},
            {"name": "potash", "analysis": "0-0-60", "price": "450 $/ton"}]);
        let farm = farm.with("fertilizer", products);
        let plan = planned(&farm);
        let allowed = plan.number("A", "/phosphorus/allowed");
        let short = plan.number("A", "/short/p2o5");
        let on = plan.number("A", "/done/p2o5") + plan.number("A", "/supplied/p2o5");
        assert!(short > allowed - on + 1.0, "{}: {}", place.key, plan.field("A"));
        let field = &plan.json["buy"]["fields"][0];
        let of = |name: &str| {
            let mix = field["mix"].as_array().unwrap();
            mix.iter().find(|m| m["product"] == name).map_or(0.0, |m| m["pounds"].as_f64().unwrap())
        };
        assert!(of("DAP") * 0.46 <= allowed - on + 0.01, "{}: {field}", place.key);
        let folder = farm.folder();
        let out = sward(folder.path(), &["plan", "--on", "2027-02-15"]).out;
        let words = flat(&out);
        assert!(words.contains("because the phosphorus limit allows no more: A: "), "{out}");
        // A plan that buys more is refused.
        let mut json: Value = plan.json.clone();
        json["buy"]["fields"][0]["mix"] = json!([{"product": "DAP", "pounds": 400.0}]);
        assert!(verdict_codes(&json.to_string(), &farm).contains("buy"));
    }
}

#[test]
fn phosphate_of_several_years_is_not_forgotten() {
    for place in PLACES {
        let allowed = |farm: &Farm| planned(farm).number("A", "/phosphorus/allowed");
        let a_year = allowed(&farm(place));
        let tons = |years: f64| format!("{:.3}", years * a_year / 30.0 * planned(&farm(place)).number("A", "/acres"));
        let earlier = |day: &str, years: f64| farm(place).logged(day, "spread", "heap", "A", &tons(years));
        // A year's removal and less is nobody's business now.
        assert!((allowed(&earlier("2026-04-10", 1.0)) - a_year).abs() < 0.1);
        // Of two and a half years' half a year's is left in the third year.
        assert!((allowed(&earlier("2025-04-10", 2.5)) - 0.5 * a_year).abs() < 0.1, "{}", place.key);
        let farm = earlier("2026-04-10", 2.5);
        let plan = planned(&farm);
        assert_eq!(plan.number("A", "/phosphorus/allowed"), 0.0, "{}", place.key);
        assert_eq!(plan.rate("A"), 0.0);
        assert_eq!(plan.field("A")["phosphorus"]["rests_through"], 2028, "{}", plan.field("A"));
        assert!(plan.codes().contains("log-banked"), "{:?}", plan.codes());
        assert_eq!(verdict_codes(&plan.text, &farm).len(), 0);
        let why = sward(farm.folder().path(), &["why", "A", "--on", "2027-02-15"]).out;
        let words = why.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains("litter spread on 2026-04-10 = ") && words.contains("written in log.csv:2"), "{why}");
        assert!(words.contains("P2O5 of earlier years, not carried off yet = "), "{why}");
        // A plan that forgets it is refused.
        let forgetful = planned(&self::farm(place));
        assert!(verdict_codes(&forgetful.text, &farm).contains("nutrients"));
        // Rested off, by the grower's word.
        let rested = farm.with("fields.A.banked_until", 2026);
        assert!((allowed(&rested) - a_year).abs() < 0.1, "{}", place.key);
    }
}

#[test]
fn every_logged_amount_is_a_line_of_the_walk() {
    for place in PLACES {
        let farm = farm(place).with("fields.A.most", "3 tons/ac");
        let farm =
            farm.part("2027-03-01", "heap", "A", "5", "5").logged("2027-03-02", "spread", "heap", "A", "10 tons");
        let plan = planned(&farm);
        let logged = 10.0 / plan.number("A", "/acres") + 1.0;
        // What may still go on, here as for nitrogen and phosphate.
        let limits = plan.field("A")["limits"][0]["limits"].as_array().unwrap();
        let most = limits.iter().find(|l| l["kind"] == "grower_most").unwrap()["rate"].as_f64().unwrap();
        assert!((most - (3.0 - logged)).abs() < 1e-9, "{}: {most}", place.key);
        let folder = farm.folder();
        let out = sward(folder.path(), &["why", "A", "--on", "2027-03-31"]).out;
        let words = out.split_whitespace().collect::<Vec<_>>().join(" ");
        for line in [
            "litter spread on 2027-03-01 = 5 tons written in log.csv:2",
            "litter spread on 2027-03-02 = 10 tons written in log.csv:3",
            "P2O5 that it put on = 30 lb/ac",
            "the most that these make on one acre: [",
            "N need, still open = ",
            "grower's own most, still open = ",
        ] {
            assert!(words.contains(line), "{}, {line}: {out}", place.key);
        }
    }
}

#[test]
fn a_metal_is_counted_in_pounds_whichever_lot_brings_it() {
    for place in PLACES {
        // 500 ppm of a ton are a pound; two pounds an acre are allowed.
        let farm = Farm::new(place).lot("pile").with("litter.heap.on_hand", "2 tons");
        let farm = farm.figure(figure("zinc_load_year", "lb/ac", "", "value: 2"));
        let metal = |farm: Farm, heap: &str, pile: &str| {
            farm.with("litter.heap.analysis.zinc", heap).with("litter.pile.analysis.zinc", pile)
        };
        let rate = |farm: Farm| planned(&farm).rate("A");
        assert_eq!(rate(metal(farm.clone(), "500 ppm", "500 ppm")), 2.0, "{}", place.key);
        // A lot that is not spread there lowers nothing.
        assert_eq!(rate(metal(farm.clone(), "500 ppm", "250 ppm")), 4.0, "{}", place.key);
        // A pound is on already, whatever a ton of the other lot holds.
        let tons = format!("{:.4}", planned(&farm).number("A", "/acres"));
        let logged = metal(farm.with("litter.heap.on_hand", "50 tons"), "500 ppm", "250 ppm");
        let logged = logged.logged("2027-02-20", "spread", "heap", "A", &tons).with("litter.heap.not_on", json!(["A"]));
        assert_eq!(rate(logged.with("plan.as_of", "2027-03-01")), 2.0, "{}", place.key);
    }
}

/// Check refuses a lot of which nothing says how much nitrogen counts; the balance by
/// itself leaves it out, and the lots after it keep their own.
#[test]
fn a_lot_without_a_supply_shifts_no_other() {
    let farm = farm(PLACES[1]).lot("pile").with("litter.pile.analysis.p2o5", "20 lb/ton");
    let farm = farm.logged("2027-03-01", "spread", "pile", "A", "10 tons");
    let (texts, log) = (farm.texts(), farm.log_text());
    let checked = || {
        let today = jiff::civil::date(2027, 12, 31);
        Question::of(Folder::Memory { texts: &texts, log: &log }, Day::Stated { today }).check()
    };
    let weighed = |checked: Checked| checked.weigh().unwrap().balance.fields.remove(0);
    let before = weighed(checked());
    let mut without = checked();
    let lot = &mut without.ready.as_mut().unwrap().lots[0];
    lot.kind = "unheard of".to_string();
    if let sward::check::Contents::Analysis(analysis) = &mut lot.contents {
        analysis.ammonium_n = None;
    }
    let after = weighed(without);
    assert!(after.lot("heap").is_none() && before.lots.len() == 2 && after.lots.len() == 1);
    let rates = |field: &sward::balance::FieldBalance| {
        let limits = field.lot("pile").unwrap().limits.iter();
        limits.map(|l| (l.kind, l.rate)).collect::<Vec<_>>()
    };
    assert_eq!(rates(&before), rates(&after));
    assert_eq!(before.done(), after.done());
}

/// Nitrogen that goes on after one season and before the next feeds the next one: it counts in
/// its share, from litter and from a bag, and the audit counts it too.
#[test]
fn what_went_on_before_a_season_opens_counts_in_it() {
    for place in PLACES {
        let farm = Farm::new(place).figure(figure(
            "n_split",
            "share",
            "forage: tall_fescue, season: spring, use: hay",
            "value: 0.25",
        ));
        let fresh = planned(&farm);
        let window = &fresh.field("A")["windows"][0];
        let opens = window["season_days"][0].as_str().expect("a day").to_string();
        let most = fresh.rate("A");
        let litter = |day: &str| farm.clone().logged(day, "spread", "heap", "A", "20");
        let bag = |day: &str| {
            farm.clone().lines(&format!("date,what,lot,field,tons,grade,rate\n{day},fertilizer,,A,,46-0-0,40 lb/ac\n"))
        };
        for put_on in [&litter as &dyn Fn(&str) -> Farm, &bag] {
            let farm = put_on(&later(&opens, -1));
            let plan = planned(&farm);
            assert!(plan.number("A", "/windows/0/n_done") > 9.0, "{}", place.key);
            assert!(plan.rate("A") < most, "{}: {}", place.key, plan.rate("A"));
            let why = sward(farm.folder().path(), &["why", "A", "--on", "2027-03-05"]).out;
            assert!(flat(&why).contains("with what went on before it opened"), "{}: {why}", place.key);
            let faults = audit::faults(made(&farm).audited.plan(), &plan.ready, &plan.tables);
            assert!(faults.is_empty(), "{}: {:?}", place.key, faults.sorted());
            assert!(passed_limits(&fresh.text, &farm).contains("nutrients"), "{}", place.key);
            // What went on in the season before is that one's.
            let own = planned(&put_on("2026-09-10"));
            assert_eq!(own.number("A", "/windows/0/n_done"), 0.0, "{}", place.key);
        }
    }
}

/// A field that was done as a whole in one window, and in part in the next one, which is open.
#[test]
fn a_part_done_in_the_second_window_is_named() {
    for place in PLACES {
        let farm = || {
            let farm = Farm::new(place).with("plan.to", "2027-10-31").with("plan.as_of", "2027-09-10");
            farm.logged("2027-03-01", "spread", "heap", "A", "10")
        };
        assert!(!planned(&farm()).codes().contains("logged-part"), "{}", place.key);
        let part = farm().part("2027-09-06", "heap", "A", "4", "3").part("2027-09-07", "heap", "A", "2", "2");
        let plan = planned(&part);
        let found = plan.findings.sorted().into_iter().find(|f| f.code == "logged-part").map(|f| f.found.clone());
        let found = found.unwrap_or_default();
        assert!(found.contains("5.00 of 10.0") && found.contains("since 2027-09-06"), "{}: {found}", place.key);
    }
}
