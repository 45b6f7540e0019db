//! A whole year of a farm of six houses in three states, in one folder with one log: what
//! the program says at each station is reached again by hand (`walk/hand.rs`).
//!
//! Cake comes five times and two clean-outs; dead birds are composted; 50 cows graze, 700
//! rolls are cut, fertilizer is down in April, litter is sold, it stays wet for days; the
//! plan is made again in August, and for the next spring. Only the day and the plan's own
//! days move.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "walk/hand.rs"]
mod hand;
mod kit;

use hand::{Cap, Day, Ground, Hand, State, day, plus};
use kit::{page, root, sward};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::OnceLock;

/// A day on which somebody looks, and the plan's days then.
struct Station {
    on: &'static str,
    plan: (&'static str, &'static str),
}

const STATIONS: [Station; 6] = [
    Station { on: "2026-02-10", plan: ("2026-02-15", "2026-11-30") },
    // Fertilizer is down.
    Station { on: "2026-04-20", plan: ("2026-02-15", "2026-11-30") },
    // The houses were cleaned out, and 120 tons sold.
    Station { on: "2026-06-12", plan: ("2026-02-15", "2026-11-30") },
    Station { on: "2026-08-10", plan: ("2026-08-10", "2026-11-30") },
    // The tally of the year.
    Station { on: "2026-12-15", plan: ("2026-08-10", "2026-11-30") },
    Station { on: "2027-02-10", plan: ("2027-02-15", "2027-11-30") },
];

fn text(name: &str) -> String {
    std::fs::read_to_string(root().join("tests/walk").join(name)).unwrap()
}

/// farm.yaml as it stands on a day: a line waits for the report that it copies.
fn farm_yaml(state: &State, station: &Station) -> String {
    let whole = text("farm.yaml") + &text(&format!("{}.yaml", state.key));
    let there = |line: &&str| line.split("# known ").nth(1).is_none_or(|known| known.trim() <= station.on);
    let (from, to) = station.plan;
    whole.lines().filter(there).collect::<Vec<_>>().join("\n") + &format!("\nplan: {{from: {from}, to: {to}}}\n")
}

/// Squares of so many acres beside each other.
fn ground(state: &State) -> String {
    const FEET_A_DEGREE: f64 = 364_000.0;
    let (lon, lat) = state.at;
    let mut west = 0.0;
    let mut features = Vec::new();
    for field in &state.fields {
        let side = (field.drawn * 43_560.0).sqrt();
        let (lon, lat) =
            (|x: f64| lon + x / (FEET_A_DEGREE * lat.to_radians().cos()), |y: f64| lat + y / FEET_A_DEGREE);
        let corners = [(west, 0.0), (west + side, 0.0), (west + side, side), (west, side), (west, 0.0)];
        let ring: Vec<[f64; 2]> = corners.iter().map(|(x, y)| [lon(*x), lat(*y)]).collect();
        features.push(json!({"type": "Feature", "properties": {"id": field.id},
            "geometry": {"type": "Polygon", "coordinates": [ring]}}));
        west += side + 340.0;
    }
    json!({"type": "FeatureCollection", "features": features}).to_string()
}

/// The folder on a day; the log is the whole one from the first day on.
fn visit(folder: &Path, state: &State, station: &Station) {
    std::fs::write(folder.join("farm.yaml"), farm_yaml(state, station)).unwrap();
    std::fs::write(folder.join("fields.geojson"), ground(state)).unwrap();
    std::fs::write(folder.join("keepouts.geojson"), r#"{"type": "FeatureCollection", "features": []}"#).unwrap();
    std::fs::write(folder.join("log.csv"), text(&format!("{}.csv", state.key))).unwrap();
}

fn json_of(folder: &Path, args: &[&str]) -> Value {
    let ended = sward(folder, args);
    assert_eq!(ended.code, 0, "{args:?}: {}\n{}", ended.out, ended.err);
    serde_json::from_str(&ended.out).unwrap()
}

/// What the program says at a station, and the farm by hand.
struct Seen {
    plan: Value,
    hand: Hand,
    station: &'static Station,
    /// Where it is, for a message.
    at: String,
}

impl Seen {
    fn of(folder: &Path, state: &'static State, station: &'static Station) -> Seen {
        visit(folder, state, station);
        let plan = json_of(folder, &["plan", "--json", "--on", station.on]);
        let fields = plan["fields"].as_array().unwrap().iter();
        let acres = |key: &str| -> BTreeMap<String, f64> {
            fields.clone().map(|f| (word(f, "id").to_string(), number(f, key))).collect()
        };
        let (acres, drawn) = (acres("acres"), acres("gross_acres"));
        let on = day(station.on);
        let mut log = hand::lines(&text(&format!("{}.csv", state.key)));
        log.retain(|line| line.on() <= on);
        let hand = Hand { state, log, on, plan: (day(station.plan.0), day(station.plan.1)), acres, drawn };
        Seen { plan, hand, station, at: format!("{} on {}", state.key, station.on) }
    }

    fn field(&self, id: &str) -> &Value {
        self.plan["fields"].as_array().unwrap().iter().find(|f| f["id"] == id).unwrap()
    }

    fn applications(&self, id: &str) -> &Vec<Value> {
        self.field(id)["applications"].as_array().unwrap()
    }

    /// A number of a field against the one by hand.
    fn same(&self, field: &str, pointer: &str, want: f64) {
        let got = self.field(field).pointer(pointer).and_then(Value::as_f64);
        let got = got.unwrap_or_else(|| panic!("{}: {field} has no {pointer}", self.at));
        assert!((got - want).abs() < 0.005, "{}: {field}{pointer} is {got}, by hand {want}", self.at);
    }

    /// What a field costs but for its litter: its bags, its trips at 7 $/ac, and each pound that
    /// stays short at what the bags make it.
    fn field_bill(&self, ground: &Ground, short: &str, rows: &str) -> f64 {
        let bags =
            [("urea", 520.0, [46.0, 0.0, 0.0]), ("DAP", 640.0, [18.0, 46.0, 0.0]), ("potash", 410.0, [0.0, 0.0, 60.0])];
        let n = 520.0 / 920.0;
        let pound = [n, (640.0 - 360.0 * n) / 920.0, 410.0 / 1_200.0];
        let rows = self.plan["buy"][rows].as_array().unwrap().iter().filter(|row| row["id"] == ground.id);
        let (mut dollars, mut on) = (0.0, [0.0; 3]);
        for row in rows {
            let trips: f64 = row["goes"].as_array().unwrap().iter().map(|go| number(go, "times")).sum();
            dollars += number(row, "acres") * trips * 7.0;
            for amount in row["mix"].as_array().unwrap() {
                let lb = number(amount, "pounds") * number(row, "acres");
                let (_, price, bag) = bags.iter().find(|(name, ..)| *name == word(amount, "product")).unwrap();
                dollars += lb * price / 2_000.0;
                on.iter_mut().zip(bag).for_each(|(on, percent)| *on += lb * percent / 100.0);
            }
        }
        let asked = ["n", "p2o5", "k2o"].map(|n| number(&self.field(ground.id)[short], n) * self.hand.acres[ground.id]);
        dollars + asked.iter().zip(on).zip(pound).map(|((asked, on), price)| (asked - on).max(0.0) * price).sum::<f64>()
    }

    fn dollars(&self, what: &str, got: &Value, want: f64, within: f64) {
        let got = got.as_f64().unwrap_or_else(|| panic!("{}: no {what}: {got}", self.at));
        assert!((got - want).abs() <= within, "{}: {what} is {got}, by hand {want}", self.at);
    }
}

fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or_else(|| panic!("no {key}: {value}"))
}

fn word<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().unwrap_or_else(|| panic!("no {key}: {value}"))
}

/// Every day of a span.
fn days(first: Day, last: Day) -> Vec<Day> {
    let mut all = vec![first];
    while *all.last().unwrap() < last {
        all.push(plus(*all.last().unwrap(), 1));
    }
    all
}

/// Every station of the year in every state, each planned once.
fn walk() -> &'static [Seen] {
    static WALK: OnceLock<Vec<Seen>> = OnceLock::new();
    WALK.get_or_init(|| {
        let a_state = |state: &'static State| -> Vec<Seen> {
            let folder = tempfile::tempdir().unwrap();
            STATIONS.iter().map(|station| Seen::of(folder.path(), state, station)).collect()
        };
        std::thread::scope(|scope| {
            let year: Vec<_> = states().iter().map(|state| scope.spawn(move || a_state(state))).collect();
            year.into_iter().flat_map(|state| state.join().unwrap()).collect()
        })
    })
}

fn states() -> &'static [State; 3] {
    static STATES: OnceLock<[State; 3]> = OnceLock::new();
    STATES.get_or_init(hand::states)
}

#[test]
fn a_lot_holds_its_count_and_what_moved_since() {
    let counted = [("cake", 40.0), ("whole", 60.0), ("compost", 12.0)];
    for seen in walk() {
        for lot in seen.plan["lots"].as_array().unwrap() {
            let id = word(lot, "id");
            let pounds = |key: &str| number(lot, key);
            let same = |key: &str, tons: f64| {
                assert_eq!(pounds(key), (tons * 2_000.0).round(), "{}: {key} of {id}", seen.at);
            };
            let opening = counted.iter().find(|(own, _)| *own == id).unwrap().1;
            let [made, spread, hauled] = seen.hand.moved(id);
            same("opening", opening);
            same("made", made);
            same("spread", spread);
            same("hauled", hauled);
            same("on_hand", opening + made - spread - hauled);
            let coming = seen.hand.coming().into_iter().filter(|(_, lot, _)| *lot == id);
            same("coming", coming.map(|(_, _, tons)| tons).sum());
            let all = seen.hand.state.fields.iter().flat_map(|field| seen.applications(field.id));
            let planned: f64 = all.filter(|a| a["lot"] == id).map(|a| number(a, "pounds")).sum();
            assert_eq!(pounds("planned"), planned, "{}: {id}", seen.at);
            assert_eq!(pounds("on_hand") + pounds("coming"), planned + pounds("sold") + pounds("left"), "{}", seen.at);
        }
    }
}

/// Litter that a window takes is there on its last day, with what is sold by then.
#[test]
fn nothing_is_used_before_it_came() {
    for seen in walk() {
        for lot in ["cake", "whole", "compost"] {
            let on_hand = seen.plan["lots"].as_array().unwrap().iter().find(|l| l["id"] == lot).unwrap();
            let all: Vec<&Value> = seen
                .hand
                .state
                .fields
                .iter()
                .flat_map(|f| seen.applications(f.id))
                .filter(|a| a["lot"] == lot)
                .collect();
            for last in all.iter().map(|a| day(word(a, "last"))) {
                let used: f64 = all.iter().filter(|a| day(word(a, "last")) <= last).map(|a| number(a, "pounds")).sum();
                let came = seen.hand.coming().into_iter().filter(|(day, of, _)| *of == lot && *day <= last);
                let there = number(on_hand, "on_hand") + came.map(|(_, _, tons)| tons * 2_000.0).sum::<f64>();
                assert!(used <= there, "{}: {used} of {lot} by {last}, and {there} are there", seen.at);
            }
        }
    }
}

#[test]
fn needs_and_what_was_put_on_are_those_of_the_year() {
    for seen in walk() {
        for ground in &seen.hand.state.fields {
            let id = ground.id;
            seen.same(id, "/goal/tons", seen.hand.goal(ground));
            let (need, done) = (seen.hand.need(ground), seen.hand.put_on(id, seen.hand.year()));
            let planned = seen
                .applications(id)
                .iter()
                .map(|a| seen.hand.content(word(a, "lot"), seen.hand.on).map(|lb| lb * number(a, "rate")));
            let planned = planned.fold([0.0; 3], |sum, one| [0, 1, 2].map(|n| sum[n] + one[n]));
            for (n, key) in ["n", "p2o5", "k2o"].into_iter().enumerate() {
                let at = |of: &str| format!("/{of}/{key}");
                seen.same(id, &at("need"), need[n]);
                seen.same(id, &at("done"), done[n]);
                seen.same(id, &at("left"), (need[n] - done[n]).max(0.0));
                seen.same(id, &at("supplied"), planned[n]);
                seen.same(id, &at("short"), (need[n] - done[n] - planned[n]).max(0.0));
                seen.same(id, &at("over"), (done[n] + planned[n] - need[n]).max(0.0));
            }
            seen.same(id, "/n_allowed", need[0]);
            match seen.hand.p_allowed(ground) {
                None => assert!(seen.field(id)["phosphorus"]["allowed"].is_null(), "{}: {id}", seen.at),
                Some(_) if seen.hand.on > 20_270_000 => {}
                Some(allowed) => seen.same(id, "/phosphorus/allowed", allowed),
            }
        }
    }
}

#[test]
fn windows_are_the_days_that_seasons_cuttings_and_grazing_leave() {
    for seen in walk() {
        for ground in &seen.hand.state.fields {
            let windows = seen.field(ground.id)["windows"].as_array().unwrap().iter();
            let mut got: Vec<Day> = windows.flat_map(|w| days(day(word(w, "first")), day(word(w, "last")))).collect();
            got.sort_unstable();
            let year = days(seen.hand.plan.0, seen.hand.plan.1);
            let want: Vec<Day> = year.into_iter().filter(|on| seen.hand.open(ground, *on)).collect();
            assert_eq!(got, want, "{}: {}", seen.at, ground.id);
        }
    }
}

/// What a limit still lets on is what it allows in its days less what went on in them.
#[test]
fn limits_still_allow_what_is_left_in_their_own_days() {
    for seen in walk() {
        for ground in &seen.hand.state.fields {
            for own in seen.field(ground.id)["limits"].as_array().unwrap() {
                let content = seen.hand.content(word(own, "lot"), seen.hand.on);
                for row in own["limits"].as_array().unwrap() {
                    if let Some(want) = still_allowed(seen, ground, row, content) {
                        let got = number(row, "rate");
                        assert!((got - want).abs() < 0.0005, "{}: {} {row}: by hand {want}", seen.at, ground.id);
                    }
                }
            }
        }
    }
}

/// Tons per acre that a row of a limit leaves, by hand.
fn still_allowed(seen: &Seen, ground: &Ground, row: &Value, [n, p2o5, _]: [f64; 3]) -> Option<f64> {
    let span = row["days"].as_array().map(|days| (day(days[0].as_str().unwrap()), day(days[1].as_str().unwrap())));
    let on = |of: usize| seen.hand.put_on(ground.id, span.unwrap())[of];
    let need = seen.hand.need(ground)[0];
    match word(row, "kind") {
        "nitrogen" => {
            assert_eq!(span, Some(seen.hand.year()), "{}: {}", seen.at, ground.id);
            Some((need - on(0)).max(0.0) / n)
        }
        // Half of the year's nitrogen in a season (n_split).
        "season_share" => Some((need / 2.0 - on(0)).max(0.0) / n),
        "n_at_once" => Some(ground.at_once.unwrap() / n),
        "phosphorus" => {
            let (first, last) = span.unwrap();
            // So many years' phosphate as growing years lie in the days; twelve months
            // reach into two of them and are one.
            let years = match ground.cap {
                Cap::SoilTest(_) if first == 20_251_110 => last / 10_000 - 2025,
                _ if first % 10_000 == 101 && last % 10_000 == 1231 => last / 10_000 - first / 10_000 + 1,
                _ => 1,
            };
            Some((seen.hand.p_allowed(ground).unwrap() * f64::from(years) - on(1)).max(0.0) / p2o5)
        }
        "spreader_most" => Some(4.0),
        other => panic!("{}: {} is limited by {other}", seen.at, ground.id),
    }
}

/// The plan and the log together keep every limit, on each first day that it names.
#[test]
fn what_is_planned_on_what_is_done_keeps_every_limit() {
    let most = |sum: f64, allowed: f64, what: &str| assert!(sum <= allowed + 0.005, "{what}: {sum} of {allowed}");
    for seen in walk() {
        for ground in &seen.hand.state.fields {
            let (id, need) = (ground.id, seen.hand.need(ground)[0]);
            let all = seen.applications(id);
            let put = |a: &Value, n: usize| number(a, "rate") * seen.hand.content(word(a, "lot"), seen.hand.on)[n];
            let planned = |n: usize| all.iter().map(|a| put(a, n)).sum::<f64>();
            if all.is_empty() {
                continue;
            }
            most(planned(0) + seen.hand.put_on(id, seen.hand.year())[0], need, &format!("{}: N on {id}", seen.at));
            for a in all {
                let (first, last) = (day(word(a, "first")), day(word(a, "last")));
                let at = format!("{}: {id} from {first}", seen.at);
                assert!(days(first, last).iter().all(|on| seen.hand.open(ground, *on)), "{at}");
                assert!(a["lot"] != "compost" || ground.grazed.is_empty(), "{at}: compost where stock grazes");
                let year = first / 10_000 * 10_000;
                let month_day = |text: &str| day(&format!("2026-{text}")) - 20_260_000 + year;
                let (_, opens, closes) = ground.seasons.iter().find(|(name, ..)| *name == word(a, "season")).unwrap();
                let season = (month_day(opens), month_day(closes));
                let same: f64 = all.iter().filter(|b| b["season"] == a["season"]).map(|b| put(b, 0)).sum();
                most(same + seen.hand.put_on(id, season)[0], need / 2.0, &format!("{at}, season"));
                most(put(a, 0), ground.at_once.unwrap_or(f64::MAX), &format!("{at}, at once"));
                if let Some(allowed) = seen.hand.p_allowed(ground) {
                    let twelve_months = (first - 10_000 + 1, first);
                    most(planned(1) + seen.hand.put_on(id, twelve_months)[1], allowed, &format!("{at}, phosphate"));
                }
                let rate = number(a, "rate");
                assert!((1.0..=4.0).contains(&rate) && rate % 0.25 == 0.0, "{at}: {rate}");
                let pounds = (rate * seen.hand.acres[id] * 2_000.0).round();
                assert_eq!(number(a, "pounds"), pounds, "{at}");
            }
        }
    }
}

#[test]
fn money_done_and_to_come_is_that_of_the_log_and_of_the_plan() {
    for seen in walk() {
        let (hand, money) = (&seen.hand, &seen.plan["money"]);
        let sum = |of: &dyn Fn(&Ground) -> f64| hand.state.fields.iter().map(of).sum::<f64>();
        let (without, to_buy) =
            (sum(&|g| seen.field_bill(g, "left", "fields_without")), sum(&|g| seen.field_bill(g, "short", "fields")));
        seen.dollars("without litter", &money["without_litter"], without, 0.5);
        seen.dollars("still to buy", &money["still_to_buy"], to_buy, 0.5);
        seen.dollars("replaced", &money["replaced"], without - to_buy, 1.0);
        let a_ton = |ground: &Ground| 9.5 + 0.45 * ground.miles;
        let tons = |a: &Value| number(a, "pounds") / 2_000.0;
        let spread = sum(&|g| seen.applications(g.id).iter().map(|a| tons(a) * a_ton(g)).sum());
        seen.dollars("spreading", &money["spreading"], spread, 0.005);
        let sales = seen.plan["sales"].as_array().unwrap();
        let sold = sales.iter().map(|sale| tons(sale) * number(sale, "price")).sum();
        seen.dollars("sold", &money["sold"], sold, 0.005);
        // The row-crop farm takes 300 tons of whole until the end of 2026.
        let hauled: f64 = hand.of("haul", "to", "Hutto row crops").map(|line| line.tons()).sum();
        let more: f64 = sales.iter().filter(|s| s["outlet"] == "Hutto row crops").map(tons).sum();
        assert!(hauled + more <= 300.0, "{}: {hauled} and {more}", seen.at);
        assert!(hand.on < 20_270_000 || more == 0.0, "{}: sold after the last day: {more}", seen.at);
        let in_plan = |line: &&hand::Line| (hand.plan.0..=hand.plan.1).contains(&line.on());
        let done: Vec<&hand::Line> = hand.log.iter().filter(in_plan).collect();
        if !done.iter().any(|line| ["spread", "haul", "clean-out"].iter().any(|what| line.is(what))) {
            assert!(money["done"].is_null(), "{}", seen.at);
            continue;
        }
        let of = |what: &str, a_ton: &dyn Fn(&hand::Line) -> f64| {
            done.iter().filter(|line| line.is(what)).map(|line| line.tons() * a_ton(line)).sum::<f64>()
        };
        let ground = |id: &str| hand.state.fields.iter().find(|g| g.id == id).unwrap();
        seen.dollars("sold by now", &money["done"]["sold"], of("haul", &|_| 12.0), 0.005);
        let spread = of("spread", &|line| a_ton(ground(line.get("field"))));
        seen.dollars("spread by now", &money["done"]["spreading"], spread, 0.005);
        let replaced = sum(&|g| hand.met_by_litter(g));
        seen.dollars("replaced by now", &money["done"]["replaced"], replaced, 0.005);
    }
}

/// What is written down later changes nothing: the plan of a day is the plan of that day.
#[test]
fn the_plan_of_a_day_knows_nothing_of_later_days() {
    for seen in walk().iter().filter(|seen| ["2026-04-20", "2026-08-10"].contains(&seen.station.on)) {
        let folder = tempfile::tempdir().unwrap();
        visit(folder.path(), seen.hand.state, seen.station);
        kit::change(folder.path(), "log.csv", |whole| {
            let by_now = |line: &&str| line.starts_with("date") || &line[..10] <= seen.station.on;
            whole.lines().filter(by_now).collect::<Vec<_>>().join("\n") + "\n"
        });
        let mut plan = json_of(folder.path(), &["plan", "--json", "--on", seen.station.on]);
        let mut known = seen.plan.clone();
        for plan in [&mut plan, &mut known] {
            plan["made"] = Value::Null;
            plan["findings"] = Value::Null;
        }
        assert_eq!(plan, known, "{}", seen.at);
    }
}

/// Every command at every station: a page that names its day; and the audit passes.
fn screens(of: &str) {
    for (turn, seen) in walk().iter().enumerate().filter(|(_, seen)| seen.hand.state.key == of) {
        // Each state at every other station, so that each station has its turn.
        if !(turn / STATIONS.len() + turn).is_multiple_of(2) {
            continue;
        }
        let folder = tempfile::tempdir().unwrap();
        visit(folder.path(), seen.hand.state, seen.station);
        let run = |args: &[&str]| {
            let ended = sward(folder.path(), &[args, &["--on", seen.station.on]].concat());
            assert_eq!(ended.code, 0, "{}: {args:?}: {}{}", seen.at, ended.out, ended.err);
            page(&ended.out);
            ended.out
        };
        for command in ["plan", "tally", "limits", "days", "today"] {
            let out = run(&[command]);
            assert!(out.contains(seen.station.on), "{}: {command} names its day: {out}", seen.at);
        }
        run(&["check"]);
        run(&["why", seen.hand.state.fields[turn % 4].id]);
        std::fs::write(folder.path().join("plan.json"), seen.plan.to_string()).unwrap();
        let audit = sward(folder.path(), &["audit", "plan.json", "."]);
        assert_eq!(audit.code, 0, "{}: {}{}", seen.at, audit.out, audit.err);
    }
}

#[test]
fn every_screen_of_the_year_in_north_carolina() {
    screens("us-nc");
}

#[test]
fn every_screen_of_the_year_in_georgia() {
    screens("us-ga");
}

#[test]
fn every_screen_of_the_year_in_virginia() {
    screens("us-va");
}

/// The tally of the year, to the pound, at its end and in the next spring.
#[test]
fn the_tally_of_the_year_is_the_sum_of_its_entries() {
    for seen in walk().iter().filter(|seen| seen.station.on > "2026-12-01") {
        let folder = tempfile::tempdir().unwrap();
        visit(folder.path(), seen.hand.state, seen.station);
        let hand = &seen.hand;
        let tally = json_of(folder.path(), &["tally", "--year", "2026", "--json", "--on", seen.station.on]);
        for lot in tally["lots"].as_array().unwrap() {
            let [made, spread, hauled] = hand.moved(word(lot, "id")).map(|tons| (tons * 2_000.0).round());
            let got = ["made", "spread", "hauled"].map(|key| number(lot, key));
            assert_eq!(got, [made, spread, hauled], "{}: {lot}", seen.at);
        }
        let mut all = [0.0; 4];
        for ground in &hand.state.fields {
            let spread: Vec<&hand::Line> = hand.of("spread", "field", ground.id).collect();
            let own = spread.iter().map(|line| {
                let [n, p2o5, k2o] = hand.content(line.get("lot"), line.on());
                [n, p2o5, k2o, hand.all_n(line.get("lot"), line.on())].map(|lb| lb * line.tons())
            });
            let own = own.fold([0.0; 4], |sum, one| [0, 1, 2, 3].map(|n| sum[n] + one[n]));
            all = [0, 1, 2, 3].map(|n| all[n] + own[n]);
            let Some(row) = tally["fields"].as_array().unwrap().iter().find(|f| f["field"] == ground.id) else {
                assert!(spread.is_empty() && hand.of("fertilizer", "field", ground.id).count() <= 1, "{}", seen.at);
                continue;
            };
            let pounds: f64 = spread.iter().map(|line| line.tons() * 2_000.0).sum();
            assert_eq!(number(row, "pounds"), pounds, "{}: {}", seen.at, ground.id);
            for (n, key) in ["n", "p2o5", "k2o"].into_iter().enumerate() {
                let got = number(&row["on"], key) * hand.acres[ground.id];
                assert!((got - own[n]).abs() < 0.5, "{}: {key} on {} {got}, by hand {}", seen.at, ground.id, own[n]);
            }
            let rolls: f64 = hand.of("cut", "field", ground.id).filter_map(|line| line.number("bales")).sum();
            let told: f64 = row["cut"].as_array().unwrap().iter().filter_map(|cut| cut[2].as_f64()).sum();
            assert_eq!(told, rolls, "{}: rolls of {}", seen.at, ground.id);
        }
        let on = ["n", "p2o5", "k2o"].map(|key| number(&tally["pounds_on"], key));
        for (got, want) in on.into_iter().chain([number(&tally, "total_n_on")]).zip(all) {
            assert!((got - want).abs() < 0.5, "{}: {got}, by hand {want}", seen.at);
        }
        let rained =
            |column: &str| hand.log.iter().filter(|l| l.is("rain")).filter_map(|l| l.number(column)).sum::<f64>();
        assert_eq!(tally["rain"], json!([rained("inches"), rained("days")]), "{}", seen.at);
        let left: f64 = tally["hauled"].as_array().unwrap().iter().map(|h| number(h, "pounds")).sum();
        assert_eq!(
            left,
            hand.log.iter().filter(|l| l.is("haul")).map(|l| l.tons() * 2_000.0).sum::<f64>(),
            "{}",
            seen.at
        );
    }
}
