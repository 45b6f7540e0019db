//! The books: what the log says counts on its first and last day, lots are
//! drawn down to the pound, trips and settings are whole.

use crate::FROM;
use crate::kit::{Farm, PLACES, Place, figure, later, passed_limits, planned};
use serde_json::json;

fn split(farm: Farm, share: f64) -> Farm {
    let scope = "forage: tall_fescue, season: spring, use: hay";
    farm.figure(figure("n_split", "share", scope, &format!("value: {share}")))
}

/// Nitrogen that the log shows in a season counts against its share: from the
/// season's first day to its last, and no other day.
#[test]
fn logged_nitrogen_counts_in_its_season() {
    for place in PLACES {
        let plain = split(Farm::new(place).with("plan.from", "2027-01-20").with("plan.to", "2027-07-31"), 0.4);
        let before = planned(&plain);
        let figures = before.figures();
        let (opens, closes) = figures.season("spring");
        let (opens, closes) = (format!("2027-{opens}"), format!("2027-{closes}"));
        let per_ton = figures.available(20.0, 4.0);
        // The season allows 4.01 tons of which 2 are on.
        let other = figures.need(4.0) - 4.01 * per_ton / 0.4;
        assert!(other > 0.0);
        let farm = plain.with("fields.A.other_n", format!("{other} lb/ac"));
        let acres = before.number("A", "/acres");
        // As of a day on which the season is still open.
        let on = |day: &str| {
            let on = farm.clone().with("plan.as_of", day.min(closes.as_str()));
            on.logged(day, "spread", "heap", "A", &format!("{:.4} tons", 2.0 * acres))
        };
        let rate = |day: &str| planned(&on(day)).rate("A");
        for (day, left) in
            // What goes on before it opens feeds it as well.
            [(later(&opens, -1), 2.0), (opens.clone(), 2.0), (closes.clone(), 2.0), (later(&closes, 1), 4.0)]
        {
            assert!((rate(&day) - left).abs() < 1e-9, "{}: {} beside what was spread {day}", place.key, rate(&day));
        }
        let alone = farm.clone().with("plan.as_of", opens.as_str());
        let text = planned(&alone).text;
        assert!(passed_limits(&text, &alone).is_empty());
        for day in [later(&opens, -1), opens.clone()] {
            assert!(!passed_limits(&text, &on(&day)).is_empty(), "{}: the audit forgets {day}", place.key);
        }
        assert!(!passed_limits(&text, &on(&closes)).is_empty(), "{}: the audit forgets the last day", place.key);
    }
}

#[test]
fn stock_counts_the_log_whatever_days_are_planned() {
    for place in PLACES {
        let to = "2027-05-31";
        for day in [later(FROM, -1), FROM.to_string(), to.to_string(), later(to, 1)] {
            let plan = planned(&Farm::new(place).logged(&day, "haul", "heap", "", "5 tons"));
            let hauled = plan.lot("heap")["hauled"].as_i64().unwrap();
            assert_eq!(hauled, 10_000, "{}: hauled {day}", place.key);
            // The tally lists all that its lots count.
            assert!(!plan.tally_codes().contains("tally-outside"), "{}: hauled {day}", place.key);
            // Spreading of the year counts, whether the plan's days hold it or not.
            let spread = planned(&Farm::new(place).logged(&day, "spread", "heap", "A", "5 tons"));
            assert!(spread.number("A", "/done/n") > 1.0, "{}: spread {day}", place.key);
        }
    }
}

#[test]
fn a_lot_is_overdrawn_by_the_first_pound_past_its_last() {
    for place in PLACES {
        let lot = |tons: &str| {
            let farm = Farm::new(place).with("litter.heap.on_hand", "30 tons");
            planned(&farm.logged("2027-03-05", "spread", "heap", "A", tons))
        };
        for (tons, over, on_hand) in [("29.9995 tons", false, 1), ("30 tons", false, 0), ("30.0005 tons", true, -1)] {
            let plan = lot(tons);
            assert_eq!(plan.tally_codes().contains("log-overdrawn"), over, "{}: {tons}", place.key);
            assert_eq!(plan.lot("heap")["on_hand"], on_hand, "{}: {tons}", place.key);
            assert_eq!(plan.rate("A"), 0.0, "{}: {tons}", place.key);
        }
        // What comes in on a day counts before what goes out on it; what comes
        // a day later does not.
        for (day, over) in [("2027-03-04", false), ("2027-03-05", false), ("2027-03-06", true)] {
            let farm = Farm::new(place).with("litter.heap.on_hand", "30 tons");
            let farm = farm.logged("2027-03-05", "spread", "heap", "A", "40 tons");
            let plan = planned(&farm.logged(day, "bring", "heap", "", "10 tons"));
            assert_eq!(plan.tally_codes().contains("log-overdrawn"), over, "{}: brought {day}", place.key);
            assert_eq!(plan.lot("heap")["on_hand"], 0, "{}", place.key);
        }
    }
}

/// What comes into a lot on a day is there for what goes out of it on that day, whichever was
/// written down first.
#[test]
fn what_came_in_on_a_day_counts_before_what_went_out() {
    for place in PLACES {
        for tons in 11..25 {
            let farm = Farm::new(place).with("litter.heap.on_hand", "10 tons");
            let farm = farm.logged("2027-03-01", "haul", "heap", "", &tons.to_string());
            let farm = farm.logged("2027-03-01", "bring", "heap", "", &(tons - 10).to_string());
            assert!(!planned(&farm).tally_codes().contains("log-overdrawn"), "{}: {tons}", place.key);
        }
    }
}

#[test]
fn loads_by_ticket_add_up_to_the_pound() {
    for place in PLACES {
        let spread = |tickets: &str| {
            let plan = planned(&Farm::new(place).ticketed("2027-03-05", "spread", "heap", "A", tickets));
            plan.lot("heap")["spread"].as_i64().unwrap()
        };
        assert_eq!(spread("8"), 16_000, "{}", place.key);
        assert_eq!(spread("8 + 7.9995"), 31_999, "{}", place.key);
        assert_eq!(spread("8 + 7.9995 + 0.0005"), 32_000, "{}", place.key);
        assert_eq!(spread("1.5 + 1.5 + 1.5 + 1.5"), 12_000, "{}", place.key);
    }
}

/// So many applications and no more, days of the log among them.
#[test]
fn applications_are_counted_with_the_days_of_the_log() {
    for place in PLACES {
        // Two seasons, each of which could take an application.
        let farm = |most: u32| {
            let farm = split(Farm::new(place).with("plan.to", "2027-12-31"), 0.5);
            farm.figure(figure("applications", "times", "forage: tall_fescue, use: hay", &format!("value: {most}")))
        };
        let trips = |farm: &Farm| planned(farm).spread("A").len();
        assert_eq!((trips(&farm(1)), trips(&farm(2))), (1, 2), "{}", place.key);
        let once = |most| farm(most).logged("2027-02-20", "spread", "heap", "A", "1 ton");
        assert_eq!((trips(&once(1)), trips(&once(2)), trips(&once(3))), (0, 1, 2), "{}", place.key);
        let same_day = once(2).logged("2027-02-20", "spread", "heap", "A", "2 tons");
        let two_days = once(2).logged("2027-02-21", "spread", "heap", "A", "2 tons");
        assert_eq!((trips(&same_day), trips(&two_days)), (1, 0), "{}", place.key);
        let two = planned(&farm(2)).text;
        assert!(passed_limits(&two, &farm(2)).is_empty());
        assert!(!passed_limits(&two, &farm(1)).is_empty(), "{}", place.key);
        assert!(!passed_limits(&two, &once(2)).is_empty(), "{}", place.key);
    }
}

/// A lot that holds just what a rate takes, and a pound less.
#[test]
fn a_lot_is_spread_to_its_last_pound() {
    for place in PLACES {
        let farm = Farm::new(place).with("fields.A.most", "3 tons/ac");
        let pounds = planned(&farm).spread("A")[0]["pounds"].as_i64().unwrap();
        let rate = |pounds: i64| {
            let tons = format!("{:.4} tons", pounds as f64 / 2_000.0);
            planned(&farm.clone().with("litter.heap.on_hand", tons)).rate("A")
        };
        assert_eq!((rate(pounds - 1), rate(pounds), rate(pounds + 1)), (2.75, 3.0, 3.0), "{}", place.key);
    }
}

/// The spreader's least: ground that may take just that gets it, ground that
/// may take less gets none.
#[test]
fn nothing_goes_on_thinner_than_the_spreader_spreads() {
    for place in PLACES {
        let most = |tons: f64, least: &str| {
            let farm = Farm::new(place).with("spreader.least", format!("{least} ton/ac"));
            planned(&farm.with("fields.A.most", format!("{tons} tons/ac")))
        };
        for (may, gets) in [(0.99, 0.0), (1.0, 1.0), (1.01, 1.0), (1.24, 1.0), (1.25, 1.25)] {
            let plan = most(may, "1");
            assert!((plan.rate("A") - gets).abs() < 1e-9, "{}: {} of {may}", place.key, plan.rate("A"));
            assert_eq!(plan.field("A")["held"]["below_even"], json!(gets == 0.0), "{}: {may}", place.key);
        }
        // The least lies between two settings: the next one up is the lowest.
        for (may, gets) in [(1.0, 0.0), (1.24, 0.0), (1.25, 1.25)] {
            assert!((most(may, "1.1").rate("A") - gets).abs() < 1e-9, "{}: {may}", place.key);
        }
        let thin = most(1.0, "1").text;
        let farm = |least: &str| Farm::new(place).with("spreader.least", least).with("fields.A.most", "1 ton/ac");
        assert!(passed_limits(&thin, &farm("1 ton/ac")).is_empty());
        assert!(!passed_limits(&thin, &farm("1.01 tons/ac")).is_empty(), "{}", place.key);
    }
}

/// A setting lies on the spreader's grid.
#[test]
fn rates_lie_on_the_grid() {
    for place in PLACES {
        let farm = |step: &str| {
            let farm = Farm::new(place).with("spreader.step", format!("{step} tons/ac"));
            farm.with("fields.A.most", "3.3 tons/ac")
        };
        for (step, gets) in [("0.25", 3.25), ("0.5", 3.0), ("0.3", 3.3), ("0.1", 3.3), ("2", 2.0)] {
            let rate = planned(&farm(step)).rate("A");
            assert!((rate - gets).abs() < 1e-9, "{}: {rate} in steps of {step}", place.key);
        }
        let text = planned(&farm("0.25")).text;
        assert!(!passed_limits(&text, &farm("0.5")).is_empty(), "{}: 3.25 in steps of 0.5", place.key);
    }
}

fn two_lots(place: &'static Place) -> Farm {
    Farm::new(place).lot("spare").with("litter.heap.on_hand", "12 tons").field("B")
}

#[test]
fn a_lot_goes_only_where_it_may() {
    for place in PLACES {
        let lots = |farm: &Farm, field: &str| -> Vec<String> {
            let plan = planned(farm);
            plan.spread(field).iter().map(|a| a["lot"].as_str().unwrap().to_string()).collect()
        };
        let plain = two_lots(place).with("fields.A.only_lots", json!(["spare"]));
        assert_eq!(lots(&plain, "A"), ["spare"], "{}", place.key);
        let kept = two_lots(place).with("litter.spare.not_on", json!(["B"]));
        assert!(!lots(&kept, "B").contains(&"spare".to_string()), "{}", place.key);
        let text = planned(&two_lots(place)).text;
        assert!(passed_limits(&text, &two_lots(place)).is_empty());
        let nowhere = two_lots(place).with("litter.spare.not_on", json!(["A", "B"]));
        assert!(!passed_limits(&text, &nowhere).is_empty(), "{}", place.key);
        let grazed = two_lots(place).with("litter.spare.not_on", json!(["grazed ground"]));
        assert!(passed_limits(&text, &grazed).is_empty(), "{}: hay is no grazed ground", place.key);
    }
}
