//! The figures of a plan in JSON, added up again from the farm's own lines.

use crate::kit::{Farm, PLACES, Planned, planned};
use serde_json::Value;

fn number(value: &Value, at: &str) -> f64 {
    value.pointer(at).and_then(Value::as_f64).unwrap_or_else(|| panic!("no number {at}"))
}

fn list<'a>(value: &'a Value, key: &str) -> &'a Vec<Value> {
    value[key].as_array().unwrap()
}

/// A farm of two fields and two lots with a log.
fn plan(place: &'static crate::kit::Place) -> Planned {
    let farm = Farm::new(place).field("B").lot("spare").with("plan.to", "2027-12-31");
    let farm = farm.with("litter.heap.on_hand", "60 tons").with("litter.spare.on_hand", "25 tons");
    let farm = farm.with("prices.litter_sold", "3 $/ton").with("fields.B.most", "2.5 tons/ac");
    let farm = farm.logged("2027-02-20", "spread", "heap", "A", "10 tons");
    let farm = farm.logged("2027-02-21", "bring", "spare", "", "4 tons");
    let farm = farm.logged("2027-02-22", "clean-out", "heap", "", "7.5 tons");
    planned(&farm.logged("2027-02-23", "haul", "heap", "", "2.25 tons"))
}

#[test]
fn the_lots_add_up_from_the_farm_the_log_and_the_fields() {
    for place in PLACES {
        let plan = plan(place);
        let books = [("heap", 120_000, 15_000, 0, 20_000, 4_500), ("spare", 50_000, 0, 8_000, 0, 0)];
        for (id, opening, made, brought, spread, hauled) in books {
            let lot = plan.lot(id);
            let parts = ["opening", "made", "brought", "spread", "hauled"].map(|key| lot[key].as_i64().unwrap());
            assert_eq!(parts, [opening, made, brought, spread, hauled], "{}: {id}", place.key);
            let on_hand = opening + made + brought - spread - hauled;
            assert_eq!(lot["on_hand"], on_hand, "{}: {id}", place.key);
            let goes: i64 = list(&plan.json, "fields")
                .iter()
                .flat_map(|f| list(f, "applications"))
                .filter(|a| a["lot"] == id)
                .map(|a| a["pounds"].as_i64().unwrap())
                .sum();
            assert!(goes > 0, "{}: nothing of {id}", place.key);
            assert_eq!((lot["planned"].as_i64(), lot["left"].as_i64()), (Some(goes), Some(on_hand - goes)));
        }
    }
}

#[test]
fn rates_pounds_and_loads_go_together() {
    for place in PLACES {
        let plan = plan(place);
        for field in list(&plan.json, "fields") {
            assert!(!list(field, "applications").is_empty(), "{}: {}", place.key, field["id"]);
            for a in list(field, "applications") {
                let pounds = (number(a, "/rate") * number(field, "/acres") * 2_000.0 + 1e-6).floor() as i64;
                let loads = (pounds + 15_999) / 16_000;
                assert_eq!(a["pounds"], pounds, "{a}");
                assert_eq!(a["loads"], loads, "{a}");
                assert_eq!(a["last_load"], pounds - (loads - 1) * 16_000, "{a}");
            }
        }
    }
}

/// Acres to spread on are taken down to the hundredth, never up.
#[test]
fn acres_are_taken_down() {
    for place in PLACES {
        let plan = plan(place);
        for field in list(&plan.json, "fields") {
            let (gross, acres) = (number(field, "/gross_acres"), number(field, "/acres"));
            assert!((gross * 100.0).fract() > 0.5, "{gross}: the farm no longer tries it");
            assert!((acres - (gross * 100.0).floor() / 100.0).abs() < 1e-9, "{}: {acres} of {gross}", place.key);
        }
    }
}

/// What a field gets is what its lots hold, and what is short is the rest.
#[test]
fn what_goes_on_is_what_the_lots_hold() {
    for place in PLACES {
        let plan = plan(place);
        let per_ton = [("n", plan.figures().available(20.0, 4.0)), ("p2o5", 2.0), ("k2o", 1.0)];
        for field in list(&plan.json, "fields") {
            let acres = number(field, "/acres");
            let tons: f64 = list(field, "applications").iter().map(|a| number(a, "/rate")).sum();
            let done = if field["id"] == "A" { 10.0 / acres } else { 0.0 };
            for (nutrient, held) in per_ton {
                let get = |what: &str| number(field, &format!("/{what}/{nutrient}"));
                assert!((get("supplied") - tons * held).abs() < 1e-6, "{nutrient}: {field}");
                assert!((get("done") - done * held).abs() < 1e-6, "{nutrient}: {}", get("done"));
                let short = (get("need") - get("done") - get("supplied")).max(0.0);
                assert!((get("short") - short).abs() < 1e-6, "{nutrient}: {}", get("short"));
            }
            assert_eq!(number(field, "/need/n"), plan.figures().need(4.0));
        }
    }
}

#[test]
fn the_dollars_add_up() {
    for place in PLACES {
        let plan = plan(place);
        let tons =
            |key: &str| -> f64 { list(&plan.json, "lots").iter().map(|l| l[key].as_f64().unwrap() / 2_000.0).sum() };
        let money = &plan.json["money"];
        assert!((number(money, "/spreading") - 0.5 * tons("planned")).abs() < 0.01, "{money}");
        assert!((number(money, "/leftover") - 3.0 * tons("left")).abs() < 0.01, "{money}");
        let price = [("n", 0.8), ("p2o5", 0.6), ("k2o", 0.4)];
        let worth = |what: &dyn Fn(&Value, &str) -> f64| -> f64 {
            let of =
                |f: &Value| price.iter().map(|(n, dollars)| what(f, n) * dollars).sum::<f64>() * number(f, "/acres");
            list(&plan.json, "fields").iter().map(of).sum()
        };
        let still = worth(&|f, n| number(f, &format!("/short/{n}")));
        let without = worth(&|f, n| number(f, &format!("/need/{n}")) - number(f, &format!("/done/{n}")));
        assert!((number(money, "/still_to_buy") - still).abs() <= 0.51, "{money}: {still}");
        assert!((number(money, "/without_litter") - without).abs() <= 0.51, "{money}: {without}");
        let replaced = number(money, "/without_litter") - number(money, "/still_to_buy");
        assert!((number(money, "/replaced") - replaced).abs() < 0.005, "{money}");
    }
}

#[test]
fn a_metric_load_of_whole_pounds_is_so_many() {
    for place in PLACES {
        // 10,000 lb, a last bit below by the factors.
        let plan = planned(&Farm::new(place).with("spreader.load", "4.5359237 t"));
        let loads: i64 = plan.spread("A").iter().map(|a| a["loads"].as_i64().unwrap()).sum();
        assert!(loads > 1, "{}", place.key);
    }
}
