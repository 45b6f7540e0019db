//! A field with its soil test, its years and its grazing.

use crate::farm::fields::NOT_CLOSED;
use crate::farm::rated::MOST_SCORE;
use crate::farm::schema::forms::{
    NUMBER, above_zero, any_of, at_least_one, block, by_name, date, empty, filled, like, list, may, name, need,
    one_or_several, plain, quantity, some, sure, text, text_but, whole, words, yes_no,
};
use crate::farm::words::{Basis, Endophyte, Rating, Texture, Use};
use crate::units::SoilScale;
use crate::units::{
    Acres, BushelsPerAcre, Days, Feet, LbPerAcre, LbPerTon, Miles, Percent, RollWeight, TonsPerAcre, Yield,
};
use serde_json::Value;

/// An entry of `fields:`.
pub(super) fn field() -> Value {
    let miles = || quantity::<Miles>("1.2 miles");
    block(vec![
        need("id", "A short id, the same as in fields.geojson", text("B1")),
        may("name", "The field's name", text("Creek Bottom")),
        need("forage", "The forage", text("tall fescue")),
        need("use", "What becomes of it", words(Use::WORDS)),
        may("texture", "The texture of the soil", words(Texture::WORDS)),
        filled("legume", "The share of legumes in the stand", quantity::<Percent>("30 %")),
        filled(
            "hayed",
            "The share of the growth that is cut before stock grazes the rest",
            quantity::<Percent>("60 %"),
        ),
        may("endophyte", "The fungus in a stand of tall fescue", words(Endophyte::WORDS)),
        may("yield_goal", "The yield goal in dry hay, or in grain", goal("3.5 tons/ac")),
        may("yields", "Past years, in place of a yield goal", some(year())),
        may("survey_yield", "The soil survey's yield, where nothing better is known", quantity::<Yield>("3 tons/ac")),
        may("worked_in", "Days until litter is worked in; it stays on top otherwise", quantity::<Days>("2 days")),
        filled("earlier", "Litter of earlier years that still gives nitrogen", list(earlier())),
        may("bank_years", "Years of phosphate removal put on at once", whole(1, 10, 2)),
        filled("banked_until", "The last year without phosphate", whole(1950, 2200, 2028)),
        may("erosion", "What the soil loss equation needs", erosion()),
        may(
            "soil_test",
            "The laboratory's report, as it is printed; or a list of reports, each from its day on",
            one_or_several(soil_test()),
        ),
        may(
            "hay_analysis",
            "What a laboratory found in the forage; or a list of analyses, each from its day on",
            one_or_several(hay()),
        ),
        filled(
            "phosphorus_rating",
            "The planner's site risk rating for phosphorus; or a list of ratings, each from its day on",
            one_or_several(rating()),
        ),
        filled(
            "phosphorus_rule",
            "What holds here by the phosphorus rule of the place, in its words; or a list of statements, each from its day on",
            one_or_several(rule_said()),
        ),
        may("before", "What the field was until a day: the log's entries count by it", list(before())),
        filled("other_n", "Nitrogen from anything else this year", quantity::<LbPerAcre>("20 lb/ac")),
        filled("most", "Your own most for the year", quantity::<TonsPerAcre>("3 tons/ac")),
        filled("cut_wait", "Your own days from spreading to a cutting", quantity::<Days>("28 days")),
        filled("only_lots", "The only lots that it may get", some(text("clean-out"))),
        filled("closed", "Why no litter goes on it", text_but(NOT_CLOSED, "wet until May")),
        may(
            "miles",
            "By road from the stack, of all lots or of each",
            any_of(vec![miles(), by_name(miles(), "clean-out")]),
        ),
        may("heading", "Which way it is driven", heading()),
        may("whole", "Whether it is always spread as a whole, never in parts", yes_no()),
        may("cuttings", "Planned cuttings", list(date("2027-05-14"))),
        filled("grazed", "Planned grazing", list(grazed())),
        sure(),
    ])
}

/// A yield in tons, or in bushels of a crop that `crops:` weighs.
fn goal(example: &str) -> Value {
    any_of(vec![quantity::<Yield>(example), quantity::<BushelsPerAcre>("150 bu/ac")])
}

fn heading() -> Value {
    let long_side = like("^\\s*[lL][oO][nN][gG][ _-][sS][iI][dD][eE]\\s*$", "or `long side`", "long side");
    let degrees = like(&format!("^\\s*{NUMBER}\\s*deg(rees)?\\s*$"), "also as `40 degrees`", "40 degrees");
    any_of(vec![plain(0.0, 180.0, 40.0), degrees, long_side])
}

fn grazed() -> Value {
    block(vec![need("from", "The first day", date("2027-04-12")), need("to", "The last day", date("2027-06-25"))])
}

fn before() -> Value {
    let other = || {
        vec![
            need("until", "The last day of it", date("2026-08-15")),
            may("id", "The id that the log has, of the field or of the whole that was split", text("B0")),
            may("name", "The field's name then", text("Creek Bottom")),
            may("use", "What became of it", words(Use::WORDS)),
        ]
    };
    let goal = || goal("3 tons/ac");
    let mut with_forage = other();
    with_forage.push(need("forage", "The forage then", text("orchardgrass")));
    with_forage.push(need("yield_goal", "Its yield goal in dry hay", goal()));
    let mut same_forage = other();
    same_forage.push(empty("forage", "Left out where the forage was the same"));
    same_forage.push(may("yield_goal", "The yield goal then, in dry hay", goal()));
    let same_forage = at_least_one(block(same_forage), &["id", "name", "use", "yield_goal"]);
    any_of(vec![block(with_forage), same_forage])
}

fn rating() -> Value {
    block(vec![
        need("rating", "The rating", words(Rating::WORDS)),
        may("tool", "The tool that it was made with", text("phosphorus index of the state")),
        may("version", "Which version of the tool", text("2013")),
        may("score", "What the tool came to", plain(0.0, MOST_SCORE, 41.0)),
        may(
            "made_for",
            "The yearly rate that it was made for, of litter or of P2O5",
            any_of(vec![above_zero::<TonsPerAcre>("3 tons/ac"), above_zero::<LbPerAcre>("150 lb/ac")]),
        ),
        may(
            "n_leaching",
            "What was found of nitrogen leaching beside it, a word or the number of an index",
            any_of(vec![words(Rating::WORDS), plain(0.0, MOST_SCORE, 6.5)]),
        ),
        need("by", "The planner who rated the field", name("Avery Lunsford")),
        need("on", "When", date("2026-11-09")),
    ])
}

fn rule_said() -> Value {
    block(vec![
        filled("farm", "What kind of farm the ground is of", text("buyer")),
        filled("plan", "Under which plan it is farmed", text("paid")),
        filled("way", "Which way was chosen, where the rule lets one choose", text("by removal")),
        filled("areas", "Watersheds and areas that it lies in", list(text("neuse"))),
        filled("saturation", "Phosphorus saturation of the soil", quantity::<Percent>("40 %")),
        filled("stated", "Conditions of the rule that hold", list(text("organic crop"))),
        filled("year", "The one year for which they hold: that in which the plan begins", whole(1990, 2200, 2027)),
        need("by", "Who says so", name("Avery Lunsford")),
        need("on", "When", date("2026-11-09")),
    ])
}

fn soil_test() -> Value {
    let units: Vec<&str> = SoilScale::SPELLINGS.iter().map(|(spelling, _)| *spelling).collect();
    let pattern = format!("^\\s*{NUMBER}\\s+({})\\s*$", units.join("|"));
    let value = || like(&pattern, &format!("a number and the unit of the report: {}", units.join(", ")), "46 index");
    block(vec![
        need("lab", "The laboratory", text("state agronomic lab")),
        need("sampled", "The day of sampling", date("2025-11-12")),
        need("extractant", "The extractant on the report", text("mehlich-3")),
        need("p", "Phosphorus", value()),
        need("k", "Potassium", value()),
        may("mg", "Magnesium", value()),
        may("ph", "pH in water", plain(2.0, 11.0, 6.1)),
        may("buffer_ph", "Buffer pH", plain(2.0, 9.0, 6.8)),
        may("acidity", "Acidity in meq/100 cm3, where the report gives it", plain(0.0, 50.0, 1.3)),
        may("zinc", "Zinc", value()),
        may("copper", "Copper", value()),
        filled("recommended", "What the report recommends: the need of the field", recommended()),
        sure(),
    ])
}

fn hay() -> Value {
    let percent = |example| quantity::<Percent>(example);
    let keys = vec![
        need("lab", "The laboratory", text("state forage lab")),
        need("sampled", "The day of sampling", date("2026-09-01")),
        need("basis", "What the contents refer to", words(Basis::WORDS)),
        need("moisture", "Moisture of what was sampled", percent("14 %")),
        filled("protein", "Crude protein", percent("11 %")),
        filled("p", "Phosphorus, the element", percent("0.30 %")),
        filled("k", "Potassium, the element", percent("2.1 %")),
        sure(),
    ];
    at_least_one(block(keys), &["protein", "p", "k"])
}

fn recommended() -> Value {
    let nutrient = |example| quantity::<LbPerAcre>(example);
    let keys = vec![
        need("crop", "The crop it is for, as on the report", text("tall fescue")),
        may("yield", "The yield it is for", goal("3.5 tons/ac")),
        filled("n", "Nitrogen", nutrient("140 lb/ac")),
        filled("p2o5", "Phosphate", nutrient("40 lb/ac")),
        filled("k2o", "Potash", nutrient("90 lb/ac")),
        filled("lime", "Lime", quantity::<TonsPerAcre>("1 ton/ac")),
    ];
    at_least_one(block(keys), &["n", "p2o5", "k2o", "lime"])
}

fn year() -> Value {
    let year = || need("year", "The year", whole(1950, 2200, 2026));
    let tons = block(vec![year(), need("tons", "Dry hay of an acre", quantity::<Yield>("3.2 tons/ac"))]);
    let rolls = block(vec![
        year(),
        empty("tons", "Left out where rolls are given"),
        need("rolls", "How many rolls", plain(0.0, 100_000.0, 192.0)),
        need("roll_weight", "Weight of a roll as baled", quantity::<RollWeight>("1020 lb")),
        need("moisture", "Moisture of the hay", quantity::<Percent>("15 %")),
        need("acres", "Acres that they came off", quantity::<Acres>("24 ac")),
    ]);
    any_of(vec![tons, rolls])
}

fn earlier() -> Value {
    block(vec![
        need("year", "The year", whole(1950, 2200, 2026)),
        need("kind", "The kind of litter", text("broiler litter")),
        need("rate", "How much went on", quantity::<TonsPerAcre>("2 tons/ac")),
        need("organic_n", "Organic nitrogen that it held as spread", quantity::<LbPerTon>("47 lb/ton")),
    ])
}

fn erosion() -> Value {
    block(vec![
        may("slope", "Slope; mapped soils may give it", quantity::<Percent>("7 %")),
        need("length", "Length of the slope", quantity::<Feet>("180 ft")),
        need("erodibility", "Soil erodibility K", plain(0.0, 1.0, 0.28)),
        need("rain", "Rainfall factor R", plain(0.0, 1_000.0, 200.0)),
        need("cover", "The share of the ground that grass covers", quantity::<Percent>("80 %")),
    ])
}
