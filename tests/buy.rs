//! Fertilizer to buy and the meaning of the leftover: the mix against another
//! method and published examples, the demo farm's bill, what farm.yaml takes.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;

use demo::{instead, made, made_with, tables_with, texts, with_main};
use proptest::prelude::*;
use sward::balance::Npk;
use sward::plan::answer::{Buy, FieldBuy, FieldPlan};
use sward::plan::{Plan, Product, break_even_miles, cheapest, implied};

fn npk(n: f64, p2o5: f64, k2o: f64) -> Npk<f64> {
    Npk { n, p2o5, k2o }
}

/// A product by its bag and its dollars a ton.
fn bag(name: &str, analysis: [f64; 3], dollars: f64) -> Product {
    let [n, p2o5, k2o] = analysis.map(|percent| percent / 100.0);
    Product { name: name.to_string(), holds: npk(n, p2o5, k2o), price: dollars / 2_000.0 }
}

fn row(npk: &Npk<f64>) -> [f64; 3] {
    [npk.n, npk.p2o5, npk.k2o]
}

/// Extension sheets that turn dollars a ton into dollars a pound of nutrient:
/// University of Kentucky 2003 (urea 199, triple superphosphate 215, potash
/// 165) and University of Georgia C 933 (urea 600, potash 960).
#[test]
fn a_price_per_pound_as_extension_reckons_it() {
    let one = npk(1.0, 1.0, 1.0);
    let kentucky = [
        bag("urea", [46.0, 0.0, 0.0], 199.0),
        bag("TSP", [0.0, 46.0, 0.0], 215.0),
        bag("potash", [0.0, 0.0, 60.0], 165.0),
    ];
    let told = implied(&kentucky, &one);
    for (found, printed) in [(told.n, 0.216), (told.p2o5, 0.234), (told.k2o, 0.1375)] {
        assert!((found.unwrap() - printed).abs() < 0.0005, "{found:?} {printed}");
    }
    let georgia = [bag("urea", [46.0, 0.0, 0.0], 600.0), bag("potash", [0.0, 0.0, 60.0], 960.0)];
    let told = implied(&georgia, &one);
    assert!((told.n.unwrap() - 0.65).abs() < 0.005 && (told.k2o.unwrap() - 0.80).abs() < 0.005, "{told:?}");
    assert_eq!(told.p2o5, None, "no product holds it");
}

/// Worked by hand: phosphate out of DAP costs what is left once its nitrogen is
/// paid for. Urea 600, DAP 800: N 0.652, P2O5 (800 - 360 x 0.652) / 920 = 0.614.
#[test]
fn the_nitrogen_in_a_blend_is_paid_for_first() {
    let products = [bag("urea", [46.0, 0.0, 0.0], 600.0), bag("DAP", [18.0, 46.0, 0.0], 800.0)];
    let told = implied(&products, &npk(100.0, 50.0, 0.0));
    assert!((told.n.unwrap() - 600.0 / 920.0).abs() < 1e-9, "{told:?}");
    assert!((told.p2o5.unwrap() - (800.0 - 360.0 * 600.0 / 920.0) / 920.0).abs() < 1e-9, "{told:?}");
    let mix = cheapest(&products, &npk(100.0, 50.0, 0.0));
    assert!((mix.pounds[1] - 50.0 / 0.46).abs() < 1e-9);
    assert!((mix.pounds[0] - (100.0 - 0.18 * 50.0 / 0.46) / 0.46).abs() < 1e-9);
}

#[test]
fn of_equal_mixes_the_first_by_name_is_taken() {
    let products = [bag("b", [46.0, 0.0, 0.0], 500.0), bag("a", [46.0, 0.0, 0.0], 500.0)];
    assert_eq!(cheapest(&products, &npk(46.0, 0.0, 0.0)).pounds, [0.0, 100.0]);
    // One product before two at the same cost.
    let products =
        [bag("b", [50.0, 0.0, 0.0], 500.0), bag("c", [0.0, 50.0, 0.0], 500.0), bag("z", [25.0, 25.0, 0.0], 500.0)];
    assert_eq!(cheapest(&products, &npk(50.0, 50.0, 0.0)).pounds, [0.0, 0.0, 200.0]);
}

#[test]
fn what_nothing_holds_stays_unmet_and_the_rest_is_met() {
    let products = [bag("urea", [46.0, 0.0, 0.0], 500.0)];
    let mix = cheapest(&products, &npk(46.0, 10.0, 20.0));
    assert_eq!((mix.pounds[0], mix.unmet), (100.0, npk(0.0, 10.0, 20.0)));
    let mix = cheapest(&[], &npk(1.0, 2.0, 3.0));
    assert_eq!((mix.cost, mix.unmet), (0.0, npk(1.0, 2.0, 3.0)));
    assert_eq!(cheapest(&products, &npk(0.0, 0.0, 0.0)).cost, 0.0);
}

/// The most that prices of the three nutrients may make of a need, when no
/// product is worth more than it costs: another program with the same answer.
/// Its corners are where three planes meet.
fn by_prices(products: &[Product], need: [f64; 3]) -> f64 {
    let mut planes: Vec<([f64; 3], f64)> = products.iter().map(|p| (row(&p.holds), p.price)).collect();
    planes.extend([([1.0, 0.0, 0.0], 0.0), ([0.0, 1.0, 0.0], 0.0), ([0.0, 0.0, 1.0], 0.0)]);
    let cross =
        |a: [f64; 3], b: [f64; 3]| [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
    let dot = |a: [f64; 3], b: [f64; 3]| a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    let mut best = 0.0_f64;
    for i in 0..planes.len() {
        for j in i + 1..planes.len() {
            for k in j + 1..planes.len() {
                let ((a, d), (b, e), (c, f)) = (planes[i], planes[j], planes[k]);
                let volume = dot(a, cross(b, c));
                if volume.abs() < 1e-10 {
                    continue;
                }
                let (bc, ca, ab) = (cross(b, c), cross(c, a), cross(a, b));
                let y: [f64; 3] = std::array::from_fn(|x| (d * bc[x] + e * ca[x] + f * ab[x]) / volume);
                let fair = |p: &Product| dot(row(&p.holds), y) <= p.price + 1e-9;
                if y.iter().all(|y| *y >= -1e-9) && products.iter().all(fair) {
                    best = best.max(dot(y, need));
                }
            }
        }
    }
    best
}

fn some_product() -> impl Strategy<Value = Product> {
    // Whole percents and dollars, so that ties and parallel products come up.
    (0_u8..=33, 0_u8..=33, 0_u8..=33, 1_u16..=60)
        .prop_map(|(n, p, k, d)| bag(&format!("{n}-{p}-{k} {d}"), [n, p, k].map(f64::from), f64::from(d) * 20.0))
}

fn some_need() -> impl Strategy<Value = [f64; 3]> {
    let one = prop_oneof![Just(0.0), 1.0..300.0_f64, (1_u16..300).prop_map(f64::from)];
    [one.clone(), one.clone(), one]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2_000, failure_persistence: None, rng_seed: proptest::test_runner::RngSeed::Fixed(7), ..ProptestConfig::default() })]

    #[test]
    fn the_mix_is_the_cheapest(products in prop::collection::vec(some_product(), 0..8), need in some_need()) {
        let mix = cheapest(&products, &npk(need[0], need[1], need[2]));
        prop_assert!(mix.pounds.iter().all(|lb| *lb >= 0.0));
        prop_assert!(mix.pounds.iter().filter(|lb| **lb > 0.0).count() <= 3);
        let mut asked = need;
        for i in 0..3 {
            let had = products.iter().any(|p| row(&p.holds)[i] > 0.0);
            prop_assert_eq!(row(&mix.unmet)[i], if had { 0.0 } else { need[i] });
            asked[i] -= row(&mix.unmet)[i];
            let brought: f64 = products.iter().zip(&mix.pounds).map(|(p, lb)| row(&p.holds)[i] * lb).sum();
            prop_assert!(brought >= asked[i] - 1e-6, "{} of {}", brought, asked[i]);
        }
        let cost: f64 = products.iter().zip(&mix.pounds).map(|(p, lb)| p.price * lb).sum();
        prop_assert!((cost - mix.cost).abs() < 1e-6);
        let least = by_prices(&products, asked);
        prop_assert!((cost - least).abs() <= 1e-6 * least.max(1.0), "{} against {}", cost, least);
    }

    /// One more product on offer never makes it dearer, and the order in which
    /// they stand changes nothing.
    #[test]
    fn more_choice_is_never_dearer(mut products in prop::collection::vec(some_product(), 2..8), need in some_need()) {
        let need = npk(need[0], need[1], need[2]);
        let all = cheapest(&products, &need);
        products.reverse();
        let again = cheapest(&products, &need);
        prop_assert!((all.cost - again.cost).abs() < 1e-6);
        let fewer = cheapest(&products[1..], &need);
        if fewer.unmet == all.unmet {
            prop_assert!(all.cost <= fewer.cost + 1e-6);
        }
    }
}

fn bought(plan: &Plan) -> &Buy {
    plan.buy.as_ref().expect("the demo farm names fertilizers")
}

fn of<'a>(plan: &'a Plan, id: &str) -> (&'a FieldPlan, &'a FieldBuy) {
    let field = plan.fields.iter().find(|f| f.id == id).unwrap();
    (field, bought(plan).fields.iter().find(|f| f.id == id).unwrap())
}

/// Nitrogen of one go, lb/ac.
fn n_of(plan: &Plan, go: &sward::plan::answer::Go) -> f64 {
    let share = |name: &str| bought(plan).products.iter().find(|p| p.name == name).unwrap().analysis.n / 100.0;
    go.amounts.iter().map(|a| a.pounds * share(&a.product)).sum()
}

#[test]
fn the_demo_farm_buys_what_it_is_short_of() {
    let run = made(&texts());
    let plan = run.plan();
    let buy = bought(plan);
    for field in &buy.fields {
        let (planned, _) = of(plan, &field.id);
        let mut brought = [0.0; 3];
        for amount in &field.mix {
            let product = buy.products.iter().find(|p| p.name == amount.product).unwrap();
            for (sum, percent) in brought.iter_mut().zip(row(&product.analysis)) {
                *sum += amount.pounds * percent / 100.0;
            }
            let gone: f64 = field
                .goes
                .iter()
                .flat_map(|g| &g.amounts)
                .filter(|a| a.product == amount.product)
                .map(|a| a.pounds)
                .sum();
            assert!((gone - amount.pounds).abs() < 1e-6, "{}: {}", field.id, amount.product);
        }
        let wanted = row(&planned.short).into_iter().zip(row(&field.too_little));
        for ((brought, (short, left)), over) in brought.into_iter().zip(wanted).zip(row(&field.over)) {
            let short = if short < 0.5 { 0.0 } else { short - left };
            assert!((brought - short - over).abs() < 1e-6, "{}: {brought} {short} {over}", field.id);
        }
        let capped = planned.phosphorus.allowed.is_some() && planned.short.p2o5 < 0.5;
        assert!(!capped || brought[1] == 0.0, "{}: phosphate where it is capped", field.id);
    }
    let tons: f64 = buy.fields.iter().flat_map(|f| f.mix.iter().map(move |a| f.acres * a.pounds / 2_000.0)).sum();
    let rows: f64 = buy.products.iter().map(|p| p.tons).sum();
    assert!((tons - rows).abs() < 1e-6 && rows > 10.0);
    for bill in [&buy.with_litter, &buy.without_litter] {
        let litter = bill.litter_spreading.unwrap() + bill.hauling.unwrap() - bill.litter_left.unwrap();
        let fields = bill.fertilizer + bill.fertilizer_spreading + bill.short - bill.ahead;
        assert!((bill.total - fields - litter).abs() < 0.005, "{bill:?}");
    }
    assert!((buy.saved - buy.without_litter.total + buy.with_litter.total).abs() < 0.005);
    assert!(buy.without_litter.fertilizer > buy.with_litter.fertilizer);
}

/// The place's shares of a season hold for the bag as for the spreader.
#[test]
fn nitrogen_goes_by_the_seasons_of_the_place() {
    let run = made(&texts());
    let plan = run.plan();
    let mut seen = 0;
    for field in &bought(plan).fields {
        let (planned, _) = of(plan, &field.id);
        for window in planned.windows.iter().filter(|w| w.n_share_cite.is_some()) {
            let bag: f64 =
                field.goes.iter().filter(|g| g.season.as_deref() == Some(&window.season)).map(|g| n_of(plan, g)).sum();
            let most = planned.need.n * window.n_share;
            assert!(bag <= most + 1e-6 + field.over.n, "{} {}: {bag} of {most}", field.id, window.season);
            seen += usize::from(bag > 0.0);
        }
    }
    assert!(seen > 5, "{seen}");
    // Hog Lot: before the first cutting, then after each in the summer.
    let (_, hog) = of(plan, "H1");
    let after: Vec<String> = hog.goes.iter().filter_map(|g| g.after_cutting).map(|d| d.to_string()).collect();
    assert_eq!(after, ["2027-06-08", "2027-07-13", "2027-08-20"]);
}

/// Bahiagrass has no shares of seasons here: evenly over the cuttings.
#[test]
fn nitrogen_of_hay_goes_evenly_over_the_cuttings() {
    let main = |text: String| {
        let at = text.find("name: Hog Lot").unwrap();
        let (head, tail) = text.split_at(at);
        format!("{head}{}", instead(tail, "hybrid bermudagrass", "bahiagrass"))
    };
    let run = made(&with_main(main));
    let (field, hog) = of(run.plan(), "H1");
    assert_eq!(hog.goes.len(), 3, "{:?}", hog.goes);
    for go in &hog.goes {
        assert!((n_of(run.plan(), go) - field.short.n / 3.0).abs() < 1e-6);
        assert!(go.after_cutting.is_some() && go.times == 1);
    }
}

#[test]
fn too_much_at_once_goes_on_in_parts() {
    // By the product's own most: N1 gets some 137 lb/ac of urea in spring.
    let run = made(&with_main(|text| instead(&text, "most: 250 lb/ac", "most: 50 lb/ac")));
    let (_, far) = of(run.plan(), "N1");
    for go in &far.goes {
        let urea: f64 = go.amounts.iter().filter(|a| a.product == "urea").map(|a| a.pounds).sum();
        assert_eq!(f64::from(go.times), (urea / 50.0).ceil(), "{go:?}");
    }
    // By the place's most nitrogen at once.
    let tables = tables_with(&format!(
        "n_at_once.made_up:
  topic: n_at_once
  what: made up for this test
  unit: lb/ac
  applies: {{forage: hybrid_bermudagrass, use: hay}}
  from:
    2020-01-01: {{value: 20, source: {}, at: made up for this test, known: common practice}}
  seen: 2026-11-25
",
        demo::any_source()
    ));
    let run = made_with(&texts(), &tables);
    let (_, far) = of(run.plan(), "N1");
    for go in &far.goes {
        let n = n_of(run.plan(), go);
        assert!(n <= 20.0 * f64::from(go.times) + 1e-6 && n > 20.0 * f64::from(go.times - 1) - 1e-6, "{go:?} {n}");
    }
}

/// Without `fertilizer:` the plan reckons by the pound as ever.
#[test]
fn without_products_nothing_is_bought() {
    let run = made(&with_main(no_products));
    assert!(run.plan().buy.is_none());
    let with = made(&texts());
    let screen = sward::write::plan(&run.audited, 80);
    assert!(screen.contains("That is $") && !screen.contains("\nBUY"), "{screen}");
    let screen = sward::write::plan(&with.audited, 80);
    assert!(!screen.contains("That is $") && screen.contains("\nBUY"), "{screen}");
}

fn no_products(text: String) -> String {
    let (from, to) = (text.find("fertilizer:\n").unwrap(), text.find("fertilizer_spreading:").unwrap());
    format!("{}{}", &text[..from], &text[to..])
}

#[test]
fn a_nutrient_that_nothing_holds_is_named() {
    let run = made(&with_main(|text| {
        let text = instead(&text, "  - {name: potash, analysis: 0-0-60, price: 515 $/ton}\n", "");
        instead(&text, "  - {name: three seventeens, analysis: 17-17-17, price: 640 $/ton}\n", "")
    }));
    let (field, clover) = of(run.plan(), "C1");
    assert_eq!(clover.unmet.k2o, field.short.k2o);
    let screen = sward::write::plan(&run.audited, 80).replace("\n  ", " ");
    assert!(screen.contains("Left unmet, lb/ac, since no product here has it:"), "{screen}");
    assert!(screen.contains("C1: 60 K2O"), "{screen}");
}

fn apart(plan: &Plan) -> Vec<String> {
    plan.findings.iter().filter(|f| f.code == "prices-apart").map(|f| f.found.clone()).collect()
}

#[test]
fn prices_far_from_the_products_are_told() {
    assert_eq!(apart(made(&texts()).plan()), Vec::<String>::new());
    let run = made(&with_main(|text| instead(&text, "n: 0.74 $/lb", "n: 0.50 $/lb")));
    let told = apart(run.plan());
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].contains("a pound of N is 0.50 $/lb") && told[0].contains("0.71 $/lb"), "{told:?}");
    // 0.715 against 0.60 is 16 %.
    let run = made(&with_main(|text| instead(&text, "n: 0.74 $/lb", "n: 0.60 $/lb")));
    assert_eq!(apart(run.plan()), Vec::<String>::new());
}

/// Worked by hand: value 60, fixed 28, 0.17 a ton-mile, 188 miles; with
/// nitrogen alone worth 24 it is never hauled.
#[test]
fn hauling_breaks_even_where_it_was_worked_by_hand() {
    assert_eq!(break_even_miles(60.0, 28.0, 0.17).unwrap().round(), 188.0);
    assert_eq!(break_even_miles(24.0, 28.0, 0.17), Some(0.0));
    assert_eq!(break_even_miles(60.0, 28.0, 0.0), None, "no distance is too far");
}

#[test]
fn the_leftover_feeds_ground_elsewhere() {
    let run = made(&texts());
    let left = &run.plan().leftover;
    let like = left.like.as_ref().unwrap();
    assert_eq!((like.forage.as_str(), like.usage.as_str()), ("tall fescue", "hay"));
    assert_eq!(left.lots.iter().map(|l| l.pounds.0).sum::<i64>(), left.pounds.0);
    for lot in &left.lots {
        let (rate, acres) = (lot.rate_by_p2o5.unwrap(), lot.acres_by_p2o5.unwrap());
        assert!((rate * acres - lot.pounds.tons()).abs() < 1e-9);
        assert!(lot.acres_by_n.unwrap() < acres, "by nitrogen it goes on thicker");
    }
    // As received, 56 lb of P2O5 a ton.
    let clean = &left.lots[0];
    assert!((clean.rate_by_p2o5.unwrap() - like.p2o5 / 56.0).abs() < 1e-9);
    // Dollars by hand, at that rate: N is 29 lb a ton (58 x 0.5).
    let rate = clean.rate_by_p2o5.unwrap();
    let used = like.n.min(29.0 * rate) * 0.74 + like.p2o5 * 0.58 + like.k2o.min(58.0 * rate) * 0.42;
    assert!((clean.worth.unwrap() - used / rate).abs() < 1e-6, "{clean:?}");
    assert!((clean.break_even_miles.unwrap() - (used / rate - 8.5) / 0.45).abs() < 1e-6);
    let kept = like.n.min(29.0 * 0.8 * rate) * 0.74 + like.p2o5 * 0.58 + like.k2o.min(58.0 * rate) * 0.42;
    assert!((clean.next_year.unwrap() - clean.pounds.tons() * kept / rate).abs() < 1e-6);
}

#[test]
fn what_the_grower_does_not_say_is_left_out() {
    let run = made(&with_main(|text| text.replace("carry_over:", "# carry_over:")));
    assert_eq!(run.plan().leftover.next_year, None);
    let screen = sward::write::plan(&run.audited, 80).replace("\n  ", " ");
    assert!(screen.contains("What it is worth next year is left out"), "{screen}");
    // Hauling dearer than the litter is worth from the first mile on.
    let run = made(&with_main(|text| instead(&text, "loading_spreading: 8.50 $/ton", "loading_spreading: 90 $/ton")));
    assert!(run.plan().leftover.lots.iter().all(|l| l.break_even_miles == Some(0.0)));
    let screen = sward::write::plan(&run.audited, 80).replace("\n  ", " ");
    assert!(screen.contains("Never worth hauling"), "{screen}");
}

/// What farm.yaml does not take.
#[test]
fn a_product_that_cannot_be_is_refused() {
    let told = |old: &str, new: &str| -> String {
        let (_, found) = sward::farm::read_text(&with_main(|text| instead(&text, old, new)));
        found.sorted().iter().map(|f| format!("{} {}: {}\n", f.place, f.code, f.found)).collect()
    };
    for (old, new, code) in [
        ("analysis: 46-0-0", "analysis: 46-0", "fertilizer-analysis"),
        ("analysis: 46-0-0", "analysis: 46-0-0-2", "fertilizer-analysis"),
        ("analysis: 46-0-0", "analysis: 0-0-0", "fertilizer-analysis"),
        ("analysis: 46-0-0", "analysis: 60-50-0", "fertilizer-analysis"),
        ("analysis: 46-0-0", "analysis: urea", "fertilizer-analysis"),
        ("analysis: 46-0-0, ", "", "key-missing"),
        ("price: 655 $/ton", "price: 655", "unit-missing"),
        ("most: 250 lb/ac", "most: 0 lb/ac", "fertilizer-most"),
        ("most: 250 lb/ac", "moist: 250 lb/ac", "key-unknown"),
        ("name: DAP", "name: Urea", "fertilizer-twice"),
        ("fertilizer_spreading: 8 $/ac", "fertilizer_spreading: 8 $/ton", "unit-unknown"),
        ("keeps: 80 %, by: Dell Farrow, ", "keeps: 80 %, ", "key-missing"),
        ("keeps: 80 %", "keeps: 180 %", "out-of-range"),
    ] {
        let told = told(old, new);
        assert!(told.contains(code) && told.starts_with("farm.yaml:"), "{new}: {told}");
    }
}
