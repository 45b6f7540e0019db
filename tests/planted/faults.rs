//! The faults that are planted into a printed plan, one by one.

use serde_json::{Value, json};

/// What is done, where the audit must say so, and how; none where the plan has
/// nothing of the kind.
pub(crate) type Fault = (&'static str, &'static str, fn(&mut Value) -> Option<()>);

/// Ids of the fields that get litter.
pub(crate) fn with_litter(plan: &Value) -> Vec<String> {
    let fields = plan["fields"].as_array().unwrap().iter();
    let spread = fields.filter(|f| f["applications"].as_array().is_some_and(|a| !a.is_empty()));
    spread.map(|f| f["id"].as_str().unwrap().to_string()).collect()
}

/// The first field for which something holds.
fn field(plan: &mut Value, holds: impl Fn(&Value) -> bool) -> Option<&mut Value> {
    plan["fields"].as_array_mut()?.iter_mut().find(|f| holds(f))
}

fn spread(plan: &mut Value) -> Option<&mut Value> {
    field(plan, |f| f["applications"].as_array().is_some_and(|a| !a.is_empty()))
}

/// The first application of the first field that gets litter.
fn first(plan: &mut Value) -> Option<&mut Value> {
    spread(plan)?.pointer_mut("/applications/0")
}

/// A field whose phosphorus is held to something.
fn held(plan: &mut Value) -> Option<&mut Value> {
    field(plan, |f| !f["phosphorus"]["allowed"].is_null())
}

fn set(at: Option<&mut Value>, value: Value) -> Option<()> {
    let at = at?;
    (*at != value).then(|| *at = value)
}

fn add(at: Option<&mut Value>, by: f64) -> Option<()> {
    let at = at?;
    *at = at.as_i64().map_or_else(|| at.as_f64().map(|n| json!(n + by)), |n| Some(json!(n + by as i64)))?;
    Some(())
}

fn times(at: Option<&mut Value>, by: f64) -> Option<()> {
    let at = at?;
    let was = at.as_f64().filter(|n| *n != 0.0)?;
    *at = json!(was * by);
    Some(())
}

/// The first item of a list taken out.
fn drop(at: Option<&mut Value>) -> Option<()> {
    let list = at?.as_array_mut()?;
    (!list.is_empty()).then(|| list.remove(0)).map(|_| ())
}

fn empty(at: Option<&mut Value>) -> Option<()> {
    let list = at?.as_array_mut()?;
    (!list.is_empty()).then(|| list.clear())
}

/// All faults.
pub(crate) const FAULTS: &[Fault] = &[
    ("raise a rate", "applications", |p| add(first(p)?.get_mut("rate"), 0.25)),
    ("raise a rate with its pounds", "pounds", |p| {
        let acres = spread(p)?["acres"].as_f64()?;
        let a = first(p)?;
        let rate = a["rate"].as_f64()? + 0.25;
        let pounds = (rate * acres * 2_000.0 + 1e-6).floor() as i64;
        a["rate"] = json!(rate);
        a["pounds"] = json!(pounds);
        a["loads"] = json!((pounds + 15_999) / 16_000);
        a["last_load"] = json!(pounds - (pounds + 15_999) / 16_000 * 16_000 + 16_000);
        Some(())
    }),
    ("an application a day earlier", "first", |p| set(first(p)?.get_mut("first"), json!("2027-02-14"))),
    ("its last day in mid April", "last", |p| set(first(p)?.get_mut("last"), json!("2027-04-15"))),
    ("another season's word", "season", |p| set(first(p)?.get_mut("season"), json!("winter"))),
    ("both applications in the same window", "applications", |p| {
        let two = field(p, |f| f["applications"].as_array().is_some_and(|a| a.len() > 1))?;
        let one = two["applications"][0].clone();
        for key in ["season", "first", "last", "after_cutting"] {
            two["applications"][1][key] = one[key].clone();
        }
        Some(())
    }),
    ("a lot planned for more, with less left", "lots[", |p| {
        add(p.pointer_mut("/lots/0/planned"), 2_000.0)?;
        add(p.pointer_mut("/lots/0/left"), -2_000.0)
    }),
    ("a larger opening", "opening", |p| {
        add(p.pointer_mut("/lots/0/opening"), 10_000.0)?;
        add(p.pointer_mut("/lots/0/on_hand"), 10_000.0)
    }),
    ("a setback of ten feet", "kept_off", |p| {
        let near = field(p, |f| f["kept_off"].as_array().is_some_and(|k| !k.is_empty()))?;
        set(near.pointer_mut("/kept_off/0/feet"), json!(10.0))
    }),
    ("a setback that takes nothing", "kept_off", |p| {
        let near = field(p, |f| f["kept_off"].as_array().is_some_and(|k| !k.is_empty()))?;
        set(near.pointer_mut("/kept_off/0/acres"), json!(0.0))
    }),
    ("a setback left out", "kept_off", |p| {
        drop(field(p, |f| f["kept_off"].as_array().is_some_and(|k| !k.is_empty()))?.get_mut("kept_off"))
    }),
    ("half an acre less", "acres", |p| add(spread(p)?.get_mut("acres"), -0.5)),
    ("the lots of a field swapped", "applications", |p| {
        let lots = [p["lots"][0]["id"].clone(), p["lots"][1]["id"].clone()];
        let a = first(p)?;
        let other = if a["lot"] == lots[0] { &lots[1] } else { &lots[0] };
        set(a.get_mut("lot"), other.clone())
    }),
    ("a forged rate of what holds a field", "held.rate", |p| {
        set(field(p, |f| f["held"]["rate"].is_number())?.pointer_mut("/held/rate"), json!(9.0))
    }),
    ("another limit that holds a field", "held.by", |p| set(spread(p)?.pointer_mut("/held/by"), json!("value"))),
    ("a forged rate in the table of limits", "limits", |p| {
        set(held(p)?.pointer_mut("/limits/0/limits/0/rate"), json!(3.0))
    }),
    ("the phosphorus limits taken out", "limits", |p| {
        let field = held(p)?;
        let mut gone = false;
        for lot in field["limits"].as_array_mut()? {
            let rows = lot["limits"].as_array_mut()?;
            let before = rows.len();
            rows.retain(|row| row["kind"] != "phosphorus");
            gone |= rows.len() < before;
        }
        gone.then_some(())
    }),
    ("another phosphorus rating", "phosphorus.rating", |p| {
        let rated = field(p, |f| f["phosphorus"]["rating"].is_string())?;
        set(rated.pointer_mut("/phosphorus/rating"), json!("lowest"))
    }),
    ("phosphorus by nitrogen, all allowed", "phosphorus.", |p| {
        let field = held(p)?;
        field["phosphorus"]["basis"] = json!("nitrogen");
        field["phosphorus"]["allowed"] = Value::Null;
        Some(())
    }),
    ("a low soil test", "phosphorus.soil", |p| set(held(p)?.pointer_mut("/phosphorus/soil"), json!(2.0))),
    ("another class of soil test", "phosphorus.class", |p| {
        set(field(p, |f| f["phosphorus"]["class"].is_string())?.pointer_mut("/phosphorus/class"), json!("lowest"))
    }),
    ("another unit of soil test", "phosphorus.unit", |p| set(held(p)?.pointer_mut("/phosphorus/unit"), json!("mg"))),
    ("a forged worth", "choice.proof.worth", |p| set(p.pointer_mut("/choice/proof/worth"), json!(9_999.0))),
    ("a forged bound", "choice.proof.bound", |p| add(p.pointer_mut("/choice/proof/bound"), 1.0)),
    ("no proof", "choice.proof.proven", |p| set(p.pointer_mut("/choice/proof/proven"), json!(false))),
    ("a forged next-best plan", "choice.next", |p| {
        let next = p.pointer_mut("/choice/next")?;
        set(Some(next), json!({"less": 500.0, "swaps": []}))
    }),
    ("what a limit costs", "choice.limits", |p| set(p.pointer_mut("/choice/limits/0/worth"), json!(1.0))),
    ("what a load is worth", "choice.loads", |p| add(p.pointer_mut("/choice/loads/0/worth"), 77.0)),
    ("fewer loads", "loads", |p| add(first(p)?.get_mut("loads"), -1.0)),
    ("a fuller last load", "last_load", |p| add(first(p)?.get_mut("last_load"), 4_000.0)),
    ("a shorter haul", "haul.miles", |p| times(first(p)?.pointer_mut("/haul/miles"), 0.5)),
    ("a finding taken out", "findings", |p| drop(p.get_mut("findings"))),
    ("all cautions taken out", "cautions", |p| empty(p.get_mut("cautions"))),
    ("all stops taken out", "stops", |p| empty(p.get_mut("stops"))),
    ("all notes to the planner taken out", "planner_notes", |p| empty(p.get_mut("planner_notes"))),
    ("what to record taken out", "record_items", |p| empty(p.get_mut("record_items"))),
    ("what a caution says", "cautions", |p| set(p.pointer_mut("/cautions/0/text"), json!("Take care."))),
    ("a figure from memory told as read", "windows", |p| {
        let figure = spread(p)?.pointer_mut("/windows/0/cite/known")?;
        let other = if *figure == "read" { "memory" } else { "read" };
        set(Some(figure), json!(other))
    }),
    ("the figures from memory taken out", "from_memory", |p| empty(p.get_mut("from_memory"))),
    ("how a number is known", "known", |p| set(spread(p)?.pointer_mut("/known/need/n"), json!("said"))),
    ("a summer window added", "windows", |p| {
        let windows = spread(p)?["windows"].as_array_mut()?;
        let mut more = windows.first()?.clone();
        more["first"] = json!("2027-06-20");
        more["last"] = json!("2027-07-20");
        windows.push(more);
        Some(())
    }),
    ("a window's share of nitrogen", "n_share", |p| set(spread(p)?.pointer_mut("/windows/0/n_share"), json!(0.9))),
    ("a cheaper fertilizer", "price", |p| set(p.pointer_mut("/buy/products/0/price"), json!(200.0))),
    ("less fertilizer to buy", "tons", |p| set(p.pointer_mut("/buy/products/0/tons"), json!(1.0))),
    ("a thinner mix on a field", "mix", |p| {
        let mixed = p.pointer_mut("/buy/fields")?.as_array_mut()?;
        times(mixed.iter_mut().find_map(|f| f.pointer_mut("/mix/0/pounds")), 0.1)
    }),
    ("all fertilizer in one go", "goes", |p| {
        let mixed = p.pointer_mut("/buy/fields")?.as_array_mut()?;
        let goes = mixed.iter_mut().find(|f| !f["goes"].as_array().is_some_and(Vec::is_empty))?;
        add(goes.pointer_mut("/goes/0/amounts/0/pounds"), 300.0)
    }),
    ("no lime", "lime", |p| set(field(p, |f| !f["lime"].is_null())?.get_mut("lime"), Value::Null)),
    ("soil phosphorus that stays", "outlook", |p| {
        let moving = field(p, |f| f["outlook"].as_array().is_some_and(|o| !o.is_empty()))?;
        set(moving.pointer_mut("/outlook/0/per_year"), json!(0.0))
    }),
    ("more carried off", "removed.p2o5", |p| add(spread(p)?.pointer_mut("/removed/p2o5"), 48.0)),
    ("a higher yield goal", "goal.tons", |p| set(spread(p)?.pointer_mut("/goal/tons"), json!(6.0))),
    ("another ground for the goal", "goal.from", |p| {
        let goal = spread(p)?.pointer_mut("/goal/from")?;
        let other = if *goal == "survey" { "stated" } else { "survey" };
        set(Some(goal), json!(other))
    }),
    ("a leftover ton worth more", "leftover.lots", |p| set(p.pointer_mut("/leftover/lots/0/worth"), json!(200.0))),
    ("the leftover next year", "leftover.next_year", |p| {
        let next = p.pointer_mut("/leftover/next_year")?;
        set(Some(next), json!(1.0e6))
    }),
    ("soil loss taken out", "soil_loss", |p| {
        set(field(p, |f| f["soil_loss"].is_number())?.get_mut("soil_loss"), Value::Null)
    }),
    ("more fertilizer replaced", "money.replaced", |p| add(p.pointer_mut("/money/replaced"), 500.0)),
    ("a day more", "to", |p| set(p.get_mut("to"), json!("2027-11-01"))),
    ("who decides", "decides", |p| set(p.get_mut("decides"), json!("Nobody decides."))),
    ("another kind of litter", "kind", |p| set(p.pointer_mut("/lots/0/kind"), json!("layer litter"))),
    ("typical contents", "typical", |p| {
        let typical = p.pointer_mut("/lots/0/typical")?;
        let other = json!(!typical.as_bool()?);
        set(Some(typical), other)
    }),
    ("an analysis that is good for longer", "analysis_good_until", |p| {
        set(first(p)?.get_mut("analysis_good_until"), json!("2030-01-01"))
    }),
    ("a bar taken out", "bars", |p| {
        drop(field(p, |f| f["bars"].as_array().is_some_and(|b| !b.is_empty()))?.get_mut("bars"))
    }),
    ("another reason for a bar", "bars", |p| {
        let barred = field(p, |f| f["bars"].as_array().is_some_and(|b| !b.is_empty()))?;
        set(barred.pointer_mut("/bars/0/why"), json!("the grower wants none"))
    }),
    ("a metal's load", "metals", |p| {
        let loaded = field(p, |f| f["metals"].as_array().is_some_and(|m| !m.is_empty()))?;
        times(loaded.pointer_mut("/metals/0/load"), 0.5)
    }),
    ("a metal's stop", "metals", |p| {
        let loaded = field(p, |f| f["metals"].as_array().is_some_and(|m| !m.is_empty()))?;
        set(loaded.pointer_mut("/metals/0/stop"), Value::Null)
    }),
    ("the limit that would hold next", "next", |p| set(spread(p)?.get_mut("next"), Value::Null)),
    ("what is planned of phosphate", "phosphorus.planned", |p| add(held(p)?.pointer_mut("/phosphorus/planned"), 5.0)),
    ("a rest that ends sooner", "rests_through", |p| {
        let at = held(p)?.pointer_mut("/phosphorus/rests_through")?;
        let other = if at.is_null() { json!(2031) } else { Value::Null };
        set(Some(at), other)
    }),
    ("an item of the plan that is not there", "items", |p| {
        let item = p.pointer_mut("/items/0/state")?;
        let other = if *item == "missing" { "there" } else { "missing" };
        set(Some(item), json!(other))
    }),
    ("sheep that do not graze", "sheep", |p| {
        let sheep = spread(p)?.get_mut("sheep")?;
        let other = json!(!sheep.as_bool()?);
        set(Some(sheep), other)
    }),
    ("a field's name", "name", |p| set(spread(p)?.get_mut("name"), json!("Home Field"))),
    ("a day for the plan that is not its own", "from", |p| set(p.get_mut("from"), json!("2027-02-17"))),
    ("a key that no plan has", "approved", |p| {
        p.as_object_mut()?.insert("approved".to_string(), json!("by the planner"));
        Some(())
    }),
    ("a key taken out", "eased", |p| {
        spread(p)?;
        set(
            spread(p)?.get_mut("eased"),
            json!([{"name": "x", "kind": "well", "feet": 1.0, "instead_of": 100.0,
            "why": "none", "origin": {"definition": "none"}}]),
        )
    }),
    ("fields in another order", "fields, its order", |p| {
        p["fields"].as_array_mut()?.swap(0, 1);
        Some(())
    }),
];
