//! Fields that are done in parts where there is too little litter for all of one.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Dice, Farm, NC, PLACES, Place, asked, flat, made, sward};
use serde_json::{Value, json};
use sward::pipeline::{Folder, Planned, PrintedPlan};
use sward::plan::{LeastCost, Plan};
use sward::units::Quantity;

/// What the record asks of a spreading besides.
const RECORD: [&str; 14] = [
    "--method",
    "surface",
    "--operator",
    "Dell Farrow",
    "--weather",
    "fair",
    "--before",
    "dry",
    "--wind",
    "SW 5 mph",
    "--soil",
    "moist",
    "--basis",
    "plan",
];

/// Contents of good litter.
fn strong(farm: Farm, lot: &str) -> Farm {
    let of = |key: &str| format!("litter.{lot}.analysis.{key}");
    farm.with(&of("total_n"), "60 lb/ton")
        .with(&of("ammonium_n"), "12 lb/ton")
        .with(&of("p2o5"), "50 lb/ton")
        .with(&of("k2o"), "55 lb/ton")
}

/// One field of ten acres, strong litter, and less of it than the least even rate takes.
fn scarce(place: &'static Place, tons: &str) -> Farm {
    strong(Farm::new(place), "heap").with("litter.heap.on_hand", tons).with("spreader.load", "3 tons")
}

/// The best plan in whole fields.
fn whole(farm: &Farm) -> Planned {
    let weighed = asked(&farm.texts(), &farm.log_text(), farm).check().weigh();
    weighed.and_then(|weighed| weighed.plan(&LeastCost::default())).unwrap_or_else(|f| panic!("{:?}", f.sorted()))
}

fn worth(plan: &Plan) -> f64 {
    plan.choice.proof.worth
}

/// What must hold of every plan in parts, against the best one in whole fields.
fn sound(farm: &Farm) -> bool {
    let (whole, parted) = (whole(farm), made(farm));
    let (whole, plan) = (whole.audited.plan(), parted.audited.plan());
    let most = whole.choice.proof.in_parts.expect("the bound is known");
    assert!(worth(plan) >= worth(whole) - 1e-6 && worth(plan) <= most + 1.0, "{}", farm.main());
    assert!(worth(whole) <= most + 1e-6);
    let Some(parts) = &plan.in_parts else {
        assert_eq!(worth(plan), worth(whole));
        return false;
    };
    assert!((worth(plan) - worth(whole) - parts.gains).abs() < 1e-6);
    let least = if plan.choice.in_dollars { 49.0 } else { 99.0 };
    assert!(parts.gains >= least * parts.fields.len() as f64, "{}", parts.gains);
    let load = parted.ready.spreader.load.value.get() * 2000.0;
    for field in &parts.fields {
        let old = whole.fields.iter().find(|own| own.id == field.id).unwrap();
        let acres: f64 = field.parts.iter().map(|part| part.acres).sum();
        assert!((acres - old.acres).abs() <= 0.021, "{acres} of {}", old.acres);
        for part in &field.parts {
            let own = plan.fields.iter().find(|own| own.id == part.id).unwrap();
            assert_eq!((own.acres, own.need), (part.acres, old.need));
            assert!(part.acres >= 2.0);
            for job in &own.applications {
                let loads = job.pounds.0 as f64 / load;
                assert!(loads.fract() >= 0.5 || (loads.fract() <= 0.02 && loads >= 1.0), "{loads} loads");
            }
        }
    }
    true
}

#[test]
fn a_field_that_there_is_too_little_for_is_done_in_part() {
    for place in PLACES {
        let farm = scarce(place, "9 tons");
        assert_eq!(whole(&farm).audited.plan().fields[0].applications, Vec::new());
        assert!(sound(&farm), "{}", place.key);
    }
    // Where there is enough for all of it, nothing is parted.
    assert!(!sound(&scarce(&NC, "90 tons")));
}

#[test]
fn two_lots_lie_side_by_side() {
    let farm = strong(scarce(&NC, "9 tons").lot("stack"), "stack").with("litter.stack.on_hand", "9 tons");
    assert!(sound(&farm));
    let made = made(&farm);
    let plan = made.audited.plan();
    let mut lots: Vec<(&str, &str)> = Vec::new();
    for field in &plan.fields {
        lots.extend(field.applications.iter().map(|job| (field.id.as_str(), job.lot.as_str())));
    }
    lots.sort_unstable();
    lots.dedup();
    assert_eq!(lots.len(), 2, "{lots:?}");
    assert!(lots[0].0 != lots[1].0 && lots[0].1 != lots[1].1, "{lots:?}");
}

#[test]
fn the_grower_says_what_is_not_parted() {
    for (key, value) in [("fields.A.whole", json!(true)), ("spreader.least_part", json!("8 ac"))] {
        let farm = scarce(&NC, "9 tons").with(key, value);
        let made = made(&farm);
        assert_eq!(made.audited.plan().in_parts, None, "{key}");
        assert_eq!(worth(made.audited.plan()), 0.0);
        // What it would gain is still told.
        assert!(made.audited.plan().choice.proof.in_parts.unwrap() > 400.0);
    }
}

#[test]
fn a_plan_in_parts_comes_back_and_nothing_in_it_can_be_changed() {
    let farm = scarce(&NC, "9 tons");
    let (texts, log) = (farm.texts(), farm.log_text());
    let question = asked(&texts, &log, &farm);
    let text = sward::write::plan_json(&question.plan().unwrap().audited);
    let printed = |text: &str| PrintedPlan::read("plan.json", text).unwrap();
    let folder = || Folder::Memory { texts: &texts, log: &log };
    let day = "2027-02-15".parse().unwrap();
    let verdicts = |text: &str| sward::pipeline::audit(&printed(text), folder(), &question.figures, day).unwrap();
    assert!(verdicts(&text).passes);
    let json: Value = serde_json::from_str(&text).unwrap();
    for path in
        ["/in_parts/gains", "/in_parts/fields/0/feet", "/in_parts/fields/0/parts/0/acres", "/choice/proof/in_parts"]
    {
        let mut other = json.clone();
        let value = other.pointer_mut(path).unwrap();
        *value = json!(value.as_f64().unwrap() + 10.0);
        assert!(!verdicts(&other.to_string()).passes, "{path}");
    }
    let mut other = json;
    other["in_parts"] = Value::Null;
    assert!(!verdicts(&other.to_string()).passes);
}

#[test]
fn pages_and_sheets_say_where_the_line_lies_and_the_log_takes_a_part() {
    let farm = scarce(&NC, "9 tons");
    let folder = farm.folder();
    let at = folder.path().display().to_string();
    let run = |args: &[&str]| {
        let ended = sward(folder.path(), args);
        assert_eq!(ended.code, 0, "{args:?}\n{}{}", ended.out, ended.err);
        ended.out
    };
    let page = flat(&run(&["plan", &at]));
    assert!(
        page.contains("A is done in parts: A-north") && page.contains("runs (") && page.contains("gains $"),
        "{page}"
    );
    let json: Value = serde_json::from_str(&run(&["plan", &at, "--json"])).unwrap();
    let part = &json["in_parts"]["fields"][0]["parts"][0];
    let (id, acres) = (part["id"].as_str().unwrap(), part["acres"].as_f64().unwrap());
    run(&["sheets", &at, "-o", "out"]);
    let sheets = flat(&std::fs::read_to_string(folder.path().join("out/sheets.html")).unwrap());
    assert!(sheets.contains("Only the north part of A"), "the sheet names its part");
    let asks = sward(folder.path(), &["why", "A", &at]);
    assert!(asks.code != 0 && asks.err.contains("A-north") && asks.err.contains(" or A-south"), "{}", asks.err);
    assert!(run(&["why", id, &at]).contains(id));
    // An entry on the part stands on the field, with the ground of the part.
    let log = [
        "log",
        "spread",
        &at,
        "--lot",
        "heap",
        "--field",
        id,
        "--tons",
        "8.5",
        "--date",
        "2027-03-01",
        "--today",
        "2027-03-01",
        "--loads",
        "3",
    ];
    let done = sward(folder.path(), &[&log[..], &RECORD].concat());
    assert_eq!(done.code, 0, "{}{}", done.out, done.err);
    let lines = std::fs::read_to_string(folder.path().join("log.csv")).unwrap();
    assert!(lines.contains("POLYGON") && lines.contains(",A,"), "{lines}");
    let json: Value = serde_json::from_str(&run(&["plan", &at, "--json", "--on", "2027-03-02"])).unwrap();
    let field = json["fields"].as_array().unwrap().iter().find(|own| own["id"] == "A").unwrap();
    let done = field["part"]["done"].as_f64().unwrap();
    assert!((done - acres).abs() < 0.05, "{done} of {acres}");
}

/// A part is no nearer to the stack than its field: what parts can gain at most counts one way.
#[test]
fn a_part_is_hauled_to_as_its_field_is() {
    let farm = scarce(&NC, "9 tons").with("prices.hauling", "60 $/ton-mile");
    let farm = farm.point(json!({"kind": "stack", "lot": "heap"}));
    assert!(sound(&farm));
    let (whole, parted) = (whole(&farm), made(&farm));
    let miles = |id: &str| {
        let ground = whole.ground.iter().chain(&parted.ground).find(|own| own.field.id() == id);
        ground.unwrap().hauls["heap"].miles
    };
    for part in &parted.audited.plan().in_parts.as_ref().unwrap().fields[0].parts {
        assert_eq!(miles(&part.id), miles("A"), "{}", part.id);
    }
}

/// A lot that is nearly gone has no say in how the other one is spread.
#[test]
fn a_lot_that_is_nearly_gone_stands_in_no_ones_way() {
    let alone = worth(made(&scarce(&NC, "9 tons")).audited.plan());
    for rest in ["0 tons", "0.5 tons", "1 ton", "2 tons", "2.6 tons"] {
        let farm = strong(scarce(&NC, "9 tons").lot("stack"), "stack").with("litter.stack.on_hand", rest);
        assert!(sound(&farm), "{rest}");
        let made = made(&farm);
        let plan = made.audited.plan();
        assert!(worth(plan) >= alone - 0.01, "{rest}: {} and {alone} without it", worth(plan));
        // A ton of this litter gains under $70 anywhere: so much more, and no more, may be claimed.
        let most = whole(&farm).audited.plan().choice.proof.in_parts.unwrap();
        assert!(most < alone + 3.0 * 70.0 + 70.0, "{rest}: {most}");
    }
}

/// A second lot that is too small for a load on its own part is no reason to part nothing: the best
/// plan without such a load is made.
#[test]
fn a_thin_load_of_one_lot_stands_in_no_ones_way() {
    for place in PLACES {
        let alone = worth(made(&scarce(place, "9 tons")).audited.plan());
        for rest in ["3.3 tons", "4 tons", "5 tons", "7 tons"] {
            let farm = strong(scarce(place, "9 tons").lot("stack"), "stack").with("litter.stack.on_hand", rest);
            assert!(sound(&farm), "{}: {rest}", place.key);
            let made = made(&farm);
            assert!(worth(made.audited.plan()) >= alone - 0.01, "{}: {rest}", place.key);
        }
    }
}

/// The id of a part says its line, so the log has the same ground on every day, whatever the plan
/// of the day does; and what was done is held against the part on which it lies.
#[test]
fn a_part_of_the_log_is_the_ground_of_its_id() {
    let farm = scarce(&NC, "9 tons");
    let folder = farm.folder();
    let at = folder.path().display().to_string();
    let plan = sward(folder.path(), &["plan", &at, "--json"]).out;
    std::fs::write(folder.path().join("plan.json"), &plan).unwrap();
    let json: Value = serde_json::from_str(&plan).unwrap();
    let parts = json["in_parts"]["fields"][0]["parts"].as_array().unwrap();
    let [one, other] =
        [0, 1].map(|part| (parts[part]["id"].as_str().unwrap().to_string(), parts[part]["acres"].as_f64().unwrap()));
    let log = |what: &str, more: &[&str]| {
        let base = ["log", what, &at, "--date", "2027-03-01", "--today", "2027-03-01"];
        sward(folder.path(), &[&base[..], more].concat())
    };
    let spread = |id: &str, tons: &str, more: &[&str]| {
        let base = ["--lot", "heap", "--field", id, "--tons", tons, "--loads", "1"];
        let done = log("spread", &[&base[..], &RECORD, more].concat());
        assert_eq!(done.code, 0, "{}{}", done.out, done.err);
        flat(&(done.out + &done.err))
    };
    // The part that the plan gives nothing has an id too, and both lie side by side.
    assert!(spread(&other.0, "2", &[]).contains("ground: all of A-"));
    spread(&one.0, "6", &[]);
    let tally: Value =
        serde_json::from_str(&sward(folder.path(), &["plan", &at, "--json", "--on", "2027-03-02"]).out).unwrap();
    let field = tally["fields"].as_array().unwrap().iter().find(|own| own["id"] == "A").unwrap();
    assert!(field["part"].is_null(), "all of it is done: {field}");
    // Of the two only the one that was planned there is done.
    let against = sward(folder.path(), &["tally", &at, "--against", "plan.json", "--json", "--on", "2027-03-02"]);
    let against: Value = serde_json::from_str(&against.out).unwrap();
    let row = against["rows"].as_array().unwrap().iter().find(|row| row["field"] == one.0.as_str()).unwrap();
    assert_eq!(row["done"], 12_000, "{against}");
    assert!(one.1 > 2.0 && other.1 > 2.0);
    // Fewer acres than the part has stand without its ground; what is no spreading stands on the field.
    let told = spread(&one.0, "1", &["--acres", "1.5"]);
    assert!(told.contains("nobody says which") && !told.contains("ground: all"), "{told}");
    // The acres of the part are those of it in another unit too.
    let hectares = format!("{:.4} ha", one.1 / 2.471_054);
    assert!(spread(&one.0, "1", &["--acres", &hectares]).contains("ground: all of A-"));
    let cut = log("cut", &["--field", &one.0, "--tons", "9", "--moisture", "15 %"]);
    assert!(
        cut.code == 0 && flat(&(cut.out.clone() + &cut.err)).contains("the entry stands on A"),
        "{}{}",
        cut.out,
        cut.err
    );
}

/// Farms drawn by lot: the audit passes each plan on the way.
#[test]
fn parts_never_lose_and_never_pass_what_is_proven() {
    let cases = std::env::var_os("SWARD_CASES").map_or(24, |cases| cases.to_str().unwrap().parse().unwrap());
    let mut parted = 0;
    for case in 0..cases {
        let mut dice = Dice::of_case(case);
        let place = PLACES[dice.below(2)];
        let mut farm = scarce(place, &format!("{} tons", dice.pick(3, 40)));
        farm.set("spreader.load", format!("{} tons", dice.pick(2, 8)));
        for id in ["B", "C"].iter().take(dice.below(3)) {
            farm = farm.field(id);
            let unit = place.unit;
            farm.set(&format!("fields.{id}.soil_test.p"), format!("{} {unit}", dice.pick(5, 60)));
            farm.set(&format!("fields.{id}.yield_goal"), format!("{} tons/ac", dice.pick(2, 5)));
        }
        if dice.below(3) == 0 {
            farm =
                strong(farm.lot("stack"), "stack").with("litter.stack.on_hand", format!("{} tons", dice.pick(0, 20)));
        }
        if dice.below(4) == 0 {
            farm.set("prices", Value::Null);
        } else if dice.below(2) == 0 {
            farm.set("prices.job", format!("{} $/job", dice.below(60)));
            farm.set("prices.load", format!("{} $/load", dice.below(20)));
        }
        parted += usize::from(sound(&farm));
    }
    assert!(parted * 4 >= cases as usize, "{parted} of {cases} were parted");
}
