//! Days: the plan, the season, grazing, cuttings and closed days, each on its
//! last day, a day earlier and a day later, planned and audited.

use crate::kit::{Farm, PLACES, Place, Planned, figure, later, passed_limits, planned};
use serde_json::{Value, json};
use sward::tables::topic;

/// A day in the middle of the spring season of either state.
const MIDDLE: &str = "2027-03-20";

/// First and last day of the only application of field `A`.
fn days(plan: &Planned) -> (String, String) {
    let [(first, last)] = plan.days("A")[..] else { panic!("one application: {:?}", plan.days("A")) };
    (first.to_string(), last.to_string())
}

/// One application at most, so that the whole window is seen.
fn farm(place: &'static Place) -> Farm {
    let farm = Farm::new(place).with("fields.A.cut_wait", "0 days");
    farm.figure(figure("applications", "times", "forage: tall_fescue, use: hay", "value: 1"))
}

/// The first and last day of a season in 2027.
fn season(place: &'static Place, name: &str) -> (String, String) {
    let (opens, closes) = planned(&farm(place)).figures().season(name);
    (format!("2027-{opens}"), format!("2027-{closes}"))
}

fn span(farm: Farm, from: &str, to: &str) -> Farm {
    // Sampled and rated before any of these plans.
    let known = "2026-10-20";
    let farm = farm.with("litter.heap.analysis.sampled", known).with("fields.A.phosphorus_rating.on", known);
    farm.with("plan.from", from).with("plan.to", to)
}

#[test]
fn a_window_is_its_season_within_the_plan() {
    for place in PLACES {
        let (opens, closes) = season(place, "spring");
        let within = |from: &str, to: &str| days(&planned(&span(farm(place), from, to)));
        let (before, after) = (later(&opens, -1), later(&closes, 1));
        assert_eq!(within(&before, &after), (opens.clone(), closes.clone()), "{}", place.key);
        assert_eq!(within(&opens, &closes), (opens.clone(), closes.clone()), "{}", place.key);
        let (second, last_but_one) = (later(&opens, 1), later(&closes, -1));
        assert_eq!(within(&second, &last_but_one), (second, last_but_one), "{}", place.key);
        assert_eq!(days(&planned(&span(farm(place), &closes, &after))), (closes.clone(), closes.clone()));
        assert!(planned(&span(farm(place), &after, &later(&after, 20))).spread("A").is_empty(), "{}", place.key);
    }
}

/// A plan with the days of its application changed.
fn redated(plan: &Planned, first: &str, last: &str) -> String {
    let mut json: Value = plan.json.clone();
    json["fields"][0]["applications"][0]["first"] = first.into();
    json["fields"][0]["applications"][0]["last"] = last.into();
    json.to_string()
}

#[test]
fn the_audit_knows_the_first_and_last_day_of_a_season_and_of_the_plan() {
    for place in PLACES {
        let (opens, closes) = season(place, "spring");
        let wide = span(farm(place), &later(&opens, -10), &later(&closes, 10));
        let narrow = span(farm(place), &later(&opens, 5), &later(&closes, -5));
        for (farm, first, last) in
            [(wide, opens.clone(), closes.clone()), (narrow, later(&opens, 5), later(&closes, -5))]
        {
            let plan = planned(&farm);
            let audit = |first: &str, last: &str| passed_limits(&redated(&plan, first, last), &farm);
            assert!(audit(&first, &last).is_empty(), "{}: {:?}", place.key, audit(&first, &last));
            assert!(audit(&later(&first, 1), &later(&last, -1)).is_empty(), "{}", place.key);
            assert!(!audit(&later(&first, -1), &last).is_empty(), "{}: a day early", place.key);
            assert!(!audit(&first, &later(&last, 1)).is_empty(), "{}: a day late", place.key);
            assert!(!audit(&last, &first).is_empty(), "{}: turned round", place.key);
        }
    }
}

#[test]
fn a_season_may_run_over_new_year() {
    for place in PLACES {
        let scope = "season: winter, forage: tall_fescue, use: hay";
        let winter = figure("season", "none", scope, "season: {opens: 11-15, closes: 02-10}");
        let farm = farm(place).figure(winter);
        let within = |from: &str, to: &str| {
            let farm = span(farm.clone(), from, to);
            let plan = planned(&farm);
            assert_eq!(plan.spread("A")[0]["season"], "winter", "{}", place.key);
            // Gone over once, though New Year cuts it in two.
            let [(first, last)] = plan.days("A")[..] else { panic!("{}: {:?}", place.key, plan.days("A")) };
            let out = passed_limits(&redated(&plan, first, "2027-02-11"), &farm);
            assert!(!out.is_empty(), "{}: the audit passes a day past the season", place.key);
            (first.to_string(), last.to_string())
        };
        let day = |first: &str, last: &str| (first.to_string(), last.to_string());
        // Its second half, all of it, and the first half alone.
        assert_eq!(within("2027-01-10", "2027-02-12"), day("2027-01-10", "2027-02-10"), "{}", place.key);
        let halves = [day("2026-11-15", "2026-12-31"), day("2027-01-01", "2027-02-10")];
        assert!(halves.contains(&within("2026-11-10", "2027-02-12")), "{}", place.key);
        assert_eq!(within("2026-11-20", "2026-12-31"), day("2026-11-20", "2026-12-31"), "{}", place.key);
        let outside = planned(&span(farm.clone(), "2027-02-11", "2027-02-13"));
        assert!(outside.spread("A").is_empty(), "{}: {:?}", place.key, outside.days("A"));
    }
}

/// What the log shows before new year counts in a season that runs over it.
#[test]
fn a_season_over_new_year_is_one_season() {
    for place in PLACES {
        let scope = "season: winter, forage: tall_fescue, use: hay";
        let winter = figure("season", "none", scope, "season: {opens: 11-15, closes: 02-10}");
        let share = figure("n_split", "share", "forage: tall_fescue, season: winter, use: hay", "value: 0.25");
        let farm = span(farm(place).figure(winter).figure(share), "2026-11-01", "2027-02-12");
        let farm = farm.figure(figure("applications", "times", "forage: tall_fescue, use: hay", "value: 3"));
        let alone = planned(&farm);
        let tons = alone.number("A", "/acres");
        let logged = |day: &str| farm.clone().logged(day, "spread", "heap", "A", &format!("{tons:.3} tons"));
        let rate = |farm: &Farm| planned(farm).rate("A");
        // A ton an acre that is on leaves a ton less; also just before it opens.
        assert!((alone.rate("A") - 1.0 - rate(&logged("2026-11-15"))).abs() < 0.26, "{}", place.key);
        assert!(rate(&logged("2026-11-15")) < alone.rate("A") - 0.7, "{}", place.key);
        assert_eq!(rate(&logged("2026-11-14")), rate(&logged("2026-11-15")), "{}", place.key);
        assert!(passed_limits(&alone.text, &farm).is_empty());
        for day in ["2026-11-14", "2026-11-15"] {
            assert!(!passed_limits(&alone.text, &logged(day)).is_empty(), "{} {day}", place.key);
        }
    }
}

#[test]
fn the_wait_after_spreading_ends_with_the_first_day_of_grazing() {
    for place in PLACES {
        let wait = planned(&farm(place)).figures().hay(topic::GRAZE_WAIT, &[]).unwrap() as i32;
        assert!(wait > 1);
        let grazed = |from: &str| {
            let grazing = json!([{"from": from, "to": "2027-07-31"}]);
            farm(place).with("fields.A.grazed", grazing)
        };
        let from = later(MIDDLE, wait);
        assert_eq!(days(&planned(&grazed(&from))).1, MIDDLE, "{}", place.key);
        assert_eq!(days(&planned(&grazed(&later(&from, -1)))).1, later(MIDDLE, -1), "{}", place.key);
        assert_eq!(days(&planned(&grazed(&later(&from, 1)))).1, later(MIDDLE, 1), "{}", place.key);
        let text = planned(&grazed(&from)).text;
        assert!(passed_limits(&text, &grazed(&from)).is_empty());
        assert!(passed_limits(&text, &grazed(&later(&from, 1))).is_empty());
        assert!(!passed_limits(&text, &grazed(&later(&from, -1))).is_empty(), "{}: a day short", place.key);
    }
}

#[test]
fn nothing_goes_on_while_stock_grazes() {
    for place in PLACES {
        let grazed = |to: &str| farm(place).with("fields.A.grazed", json!([{"from": "2027-01-05", "to": to}]));
        let first = |to: &str| days(&planned(&grazed(to))).0;
        assert_eq!(first(MIDDLE), later(MIDDLE, 1), "{}", place.key);
        assert_eq!(first(&later(MIDDLE, -1)), MIDDLE, "{}", place.key);
        let (opens, _) = season(place, "spring");
        assert_eq!(first(&opens), later(&opens, 1), "{}: grazed on the season's first day", place.key);
        assert_eq!(first(&later(&opens, -1)), opens, "{}: grazed to the day before", place.key);
        let text = planned(&grazed(MIDDLE)).text;
        assert!(passed_limits(&text, &grazed(MIDDLE)).is_empty());
        assert!(!passed_limits(&text, &grazed(&later(MIDDLE, 1))).is_empty(), "{}: on its last day", place.key);
    }
}

#[test]
fn nothing_goes_on_on_the_day_of_a_cutting() {
    for place in PLACES {
        let cut = |day: &str| farm(place).with("fields.A.cuttings", json!([day]));
        let (first, last) = days(&planned(&farm(place)));
        let whole = planned(&farm(place)).text;
        for (day, meets) in
            [(later(&first, -1), false), (first.clone(), true), (last.clone(), true), (later(&last, 1), false)]
        {
            let refused = !passed_limits(&whole, &cut(&day)).is_empty();
            assert_eq!(refused, meets, "{}: cut on {day}, spread {first} to {last}", place.key);
        }
        let (from, to) = days(&planned(&cut(MIDDLE)));
        assert!(to.as_str() < MIDDLE || from.as_str() > MIDDLE, "{}: {from} to {to}", place.key);
        assert!(to == later(MIDDLE, -1) || from == later(MIDDLE, 1), "{}: {from} to {to}", place.key);
        // Cut on the first or the last day: the rest of the season is left.
        assert_eq!(days(&planned(&cut(&first))), (later(&first, 1), last.clone()), "{}", place.key);
        assert_eq!(days(&planned(&cut(&last))), (first, later(&last, -1)), "{}", place.key);
    }
}

#[test]
fn closed_days_close_every_season() {
    for place in PLACES {
        let closed = |opens: &str, closes: &str| {
            let days = format!("season: {{opens: {}, closes: {}}}", &opens[5..], &closes[5..]);
            farm(place).figure(figure("closed_days", "none", &format!("region: {}", place.region), &days))
        };
        let (first, last) = days(&planned(&farm(place)));
        let whole = planned(&farm(place)).text;
        for (opens, closes, window) in [
            (later(&last, 1), "2027-10-31".to_string(), (first.clone(), last.clone())),
            (last.clone(), "2027-10-31".to_string(), (first.clone(), later(&last, -1))),
            // Over new year, shut to the day before and to the first.
            ("2026-12-01".to_string(), later(&first, -1), (first.clone(), last.clone())),
            ("2026-12-01".to_string(), first.clone(), (later(&first, 1), last.clone())),
        ] {
            let farm = closed(&opens, &closes);
            assert_eq!(days(&planned(&farm)), window, "{}: closed {opens} to {closes}", place.key);
            let refused = !passed_limits(&whole, &farm).is_empty();
            assert_eq!(refused, window != (first.clone(), last.clone()), "{}: closed {opens} to {closes}", place.key);
        }
        // A single closed day in the middle is met too.
        assert!(!passed_limits(&whole, &closed(MIDDLE, MIDDLE)).is_empty(), "{}", place.key);
    }
}
