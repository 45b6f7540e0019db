//! The keys at the top of farm.yaml, and the small blocks under them.

use crate::farm::schema::forms::{
    NUMBER, above_zero, any_of, block, by_name, date, filled, like, list, may, name, need, one_or_several, plain,
    quantity, sure, text, whole, yes_no,
};
use crate::farm::schema::{field, files, litter, work};
use crate::farm::upgrade::VERSION;
use crate::units::{
    Acres, DollarsPerAcre, DollarsPerJob, DollarsPerLb, DollarsPerLoad, DollarsPerTon, DollarsPerTonMile, Feet,
    LbPerAcre, LbPerBushel, LbPerTon, Percent, Tons, TonsPerAcre, Weight,
};
use serde_json::{Value, json};

/// All of farm.yaml.
pub(super) fn farm() -> Value {
    let person = || {
        block(vec![
            need("name", "The name", name("Dell Farrow")),
            may("phone", "Telephone", text("919-555-0114")),
            may("certificate", "Licence or certificate", text("DEMO-0000")),
        ])
    };
    let mut farm = block(vec![
        may(
            "version",
            "The version of the file's form; `sward upgrade` raises it",
            whole(1, i64::from(VERSION), VERSION.into()),
        ),
        need("farm", "The farm's name", text("Two Chimney Farm")),
        may("note", "A remark on the farm", text("hay and stockers")),
        need("place", "Whose rules hold; `sward tables` lists their figures", text("us")),
        may("region", "The region of the place", text("piedmont")),
        may("county", "The county", text("Hollin")),
        filled("large_operation", "Whether the federal rule for large operations holds here", yes_no()),
        may("grower", "Who farms", person()),
        may("applicator", "Who spreads", person()),
        may("planner", "Who plans", person()),
        need("plan", "The first and the last day of the plan, within a year, and the day it goes by", span()),
        may("prices", "Prices and costs; without them litter goes where it replaces the most nutrients", prices()),
        may("fertilizer", "Fertilizer that can be bought", list(fertilizer())),
        may("fertilizer_least", "Least fertilizer that one trip can spread", quantity::<LbPerAcre>("25 lb/ac")),
        may("fertilizer_spreading", "Going over an acre once with fertilizer", quantity::<DollarsPerAcre>("8 $/ac")),
        may("carry_over", "What share of its nitrogen litter keeps until next year", carry_over()),
        need("spreader", "The spreader", spreader()),
        may("detour", "Miles by road for a mile in a straight line", plain(1.0, 5.0, 1.3)),
        need("litter", "The lots of litter", list(litter::lot())),
        may("analyses", "Litter analyses in a laboratory's CSV file", files::one_or_more(files::analyses())),
        may("days", "When it gets spread", work::days()),
        may("storage", "Where litter is kept", list(work::storage())),
        may("houses", "What makes litter", list(work::house())),
        may("brought", "Litter that is brought to the farm", list(work::brought())),
        may("outlets", "Who takes litter, at which price; dearest first", list(work::outlet())),
        may("livestock", "Herds and flocks that graze", list(herd())),
        may("figures", "Figures that the tables of the place lack", list(figure())),
        may("crops", "Crops that the tables of the place lack", list(crop())),
        may("soils", "What soils.geojson calls things", soils()),
        may("soil_tests", "Soil tests in a laboratory's CSV file", files::one_or_more(files::soil_tests())),
        may("tickets", "What a scale's file of tickets calls things, for `sward log tickets`", files::tickets()),
        need("fields", "The fields", list(field::field())),
    ]);
    for key in ["litter", "fields"] {
        farm["properties"][key]["minItems"] = json!(1);
    }
    // Where soils are mapped, they may give a field's yield and slope.
    let some_yield: Vec<Value> =
        ["yield_goal", "yields", "survey_yield"].iter().map(|key| json!({"required": [key]})).collect();
    farm["if"] = json!({"required": ["soils"]});
    farm["else"] = json!({"properties": {"fields": {"items": {
        "anyOf": some_yield,
        "properties": {"erosion": {"if": {"type": "object"}, "then": {"required": ["slope"]}}},
    }}}});
    farm
}

fn span() -> Value {
    block(vec![
        need("from", "The first day of the plan", date("2027-02-15")),
        need("to", "The last day of the plan", date("2027-10-31")),
        may("as_of", "The day as of which the plan is made; today when not given", date("2027-02-01")),
    ])
}

fn prices() -> Value {
    block(vec![
        need("n", "A pound of nitrogen in fertilizer", quantity::<DollarsPerLb>("0.74 $/lb")),
        need("p2o5", "A pound of phosphate in fertilizer", quantity::<DollarsPerLb>("0.58 $/lb")),
        need("k2o", "A pound of potash in fertilizer", quantity::<DollarsPerLb>("0.42 $/lb")),
        may(
            "litter_sold",
            "What a ton of litter sells for; needed where no `outlets` are named, which come before it",
            quantity::<DollarsPerTon>("5 $/ton"),
        ),
        may(
            "hay",
            "What a ton of hay sells for: nitrogen left short costs the hay lost",
            quantity::<DollarsPerTon>("70 $/ton"),
        ),
        may("disposal", "What it costs to get rid of a ton that no outlet takes", quantity::<DollarsPerTon>("4 $/ton")),
        need("loading_spreading", "Loading and spreading a ton", quantity::<DollarsPerTon>("8.50 $/ton")),
        need("hauling", "Hauling a ton one mile", quantity::<DollarsPerTonMile>("0.45 $/ton-mile")),
        may("job", "Moving to a field and setting up, each time", quantity::<DollarsPerJob>("40 $/job")),
        may("load", "A load, full or not, besides what its tons cost", quantity::<DollarsPerLoad>("6 $/load")),
        sure(),
    ])
}

fn fertilizer() -> Value {
    let share = "((100|[0-9]{1,2})(\\.[0-9]*)?|\\.[0-9]+)";
    let pattern = format!("^\\s*{share}\\s*-\\s*{share}\\s*-\\s*{share}\\s*$");
    block(vec![
        need("name", "The product", text("urea")),
        need("analysis", "The analysis on the bag", like(&pattern, "percent of N, P2O5 and K2O", "46-0-0")),
        need("price", "What a ton costs", quantity::<DollarsPerTon>("655 $/ton")),
        filled("most", "The most pounds per acre in one application", above_zero::<LbPerAcre>("250 lb/ac")),
        sure(),
    ])
}

fn carry_over() -> Value {
    block(vec![
        need("keeps", "The share of its nitrogen that is kept", quantity::<Percent>("80 %")),
        need("by", "Who says so", name("Dell Farrow")),
        need("on", "When", date("2027-02-01")),
    ])
}

fn spreader() -> Value {
    block(vec![
        may("name", "The spreader", text("twin-spinner truck")),
        need("swath", "The driving distance between passes", quantity::<Feet>("30 ft")),
        need("load", "A full load", quantity::<Tons>("8 tons")),
        need("step", "The distance between two settings", quantity::<TonsPerAcre>("0.25 tons/ac")),
        need("least", "The lowest rate that spreads evenly", quantity::<TonsPerAcre>("1 ton/ac")),
        need("most", "The highest rate that spreads evenly", quantity::<TonsPerAcre>("4 tons/ac")),
        may("least_part", "The smallest part of a field that may be spread by itself", quantity::<Acres>("3 ac")),
        may("calibrated", "The day of the last calibration", date("2026-09-14")),
        sure(),
    ])
}

fn herd() -> Value {
    block(vec![
        need("kind", "What grazes", text("cow-calf pairs")),
        need("head", "How many head", whole(0, i64::from(u32::MAX), 64)),
        may(
            "gain",
            "Live weight that a head gains here in a year and takes off the farm",
            quantity::<Weight>("450 lb"),
        ),
        may("fields", "Ids of the fields that it grazes", list(text("R1"))),
    ])
}

fn figure() -> Value {
    let value = like(&format!("^\\s*{NUMBER}\\s+\\S.*$"), "a number, not below 0, and its unit", "3 tons/ac");
    block(vec![
        need("topic", "The topic, as `sward tables` lists them", text("rate_most")),
        may("applies", "What it applies to", by_name(text("tall_fescue"), "forage")),
        need("value", "The figure", value),
        need("by", "Who said so", name("Avery Lunsford")),
        need("on", "When", date("2026-11-01")),
    ])
}

fn crop() -> Value {
    let carried = |example| any_of(vec![quantity::<LbPerTon>(example), quantity::<LbPerBushel>("0.35 lb/bu")]);
    let removal = block(vec![
        may("n", "Nitrogen", carried("26 lb/ton")),
        may("p2o5", "Phosphate", carried("13 lb/ton")),
        may("k2o", "Potash", carried("10 lb/ton")),
    ]);
    let day = |example| like("^\\s*(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])\\s*$", "month and day", example);
    let season =
        block(vec![need("opens", "The first day", day("03-01")), need("closes", "The last day", day("04-15"))]);
    block(vec![
        need("crop", "The crop, as its fields have it under `forage`", text("corn")),
        may("bushel", "What a bushel weighs", quantity::<Weight>("56 lb")),
        filled("removal", "What it carries off, by the ton or by the bushel", removal),
        filled(
            "season",
            "The days of a year on which litter may go on it; or a list, where it grows more than once a year",
            one_or_several(season),
        ),
        need("by", "Who said so", name("Avery Lunsford")),
        need("on", "When", date("2026-11-01")),
        sure(),
    ])
}

fn soils() -> Value {
    let hay = || text("hay_tons in tons/ac");
    block(vec![
        need("source", "Who mapped the soils, and which edition", text("soil survey of Hollin County, 2019")),
        may("name", "The attribute with a soil's name", text("soil")),
        may(
            "yield",
            "The attribute with the hay yield and its unit",
            any_of(vec![hay(), by_name(hay(), "tall fescue")]),
        ),
        may("slope", "The attribute with the slope and its unit", text("slope_pct in %")),
        may("drainage", "The attribute with the drainage class", text("drainage")),
        may("hydrologic_group", "The attribute with the hydrologic group", text("group")),
    ])
}
