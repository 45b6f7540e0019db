//! The tons on hand: said outright, or a block that says what they were
//! calculated from.

use crate::farm::on_hand::WAYS;
use crate::farm::schema::forms::{
    SchemaKey, above_zero, any_of, block, date, empty, in_one_way, list, may, need, one_out_of, quantity, text, whole,
    words,
};
use crate::farm::words::{PileShape, Taken};
use crate::units::{BirdWeight, Density, Length, Tons, Weight};
use serde_json::{Value, json};

/// The value of `on_hand:`.
pub(super) fn on_hand() -> Value {
    let keys = WAYS.map(|way| match way {
        "tickets" => may(way, "The scale tickets, each once", at_least_one(ticket())),
        "loads" => may(way, "Loads that were counted", loads()),
        "pile" => may(way, "The measures of a pile", pile()),
        _ => may(way, "The birds that made it", flocks()),
    });
    let mut calculated = one_out_of(block(keys.into()), &[&WAYS]);
    calculated["description"] = json!(format!("a block with just one of {}", WAYS.join(", ")));
    any_of(vec![quantity::<Tons>("430 tons"), calculated])
}

fn at_least_one(of: Value) -> Value {
    let mut some = list(of);
    some["minItems"] = json!(1);
    some
}

/// A scale ticket: net, or gross and tare.
fn ticket() -> Value {
    let ticket = block(vec![
        need("number", "The number on the ticket", text("4417")),
        need("date", "The day of weighing", date("2027-01-06")),
        may("net", "Net weight, where gross and tare are not given", above_zero::<Weight>("15940 lb")),
        may("gross", "Weight with the load; needs the tare", above_zero::<Weight>("31.5 tons")),
        may("tare", "Weight without the load, below the gross", quantity::<Weight>("13.5 tons")),
    ]);
    in_one_way(ticket, &[&["net"], &["gross", "tare"]])
}

/// Counted loads: what one holds, or the weights of some.
fn loads() -> Value {
    let count = || need("count", "How many loads there were", whole(1, 100_000, 54));
    let said = block(vec![
        count(),
        need("load", "What a load holds", above_zero::<Tons>("8 tons")),
        may("weighed", "How many of them were weighed, no more than there were", whole(0, 100_000, 4)),
    ]);
    let weights = at_least_one(above_zero::<Tons>("7.9 tons"));
    let weighed = block(vec![
        count(),
        empty("load", "Left out where the weights of loads are given"),
        need("weighed", "The weights of the loads that were weighed, no more than there were", weights),
    ]);
    any_of(vec![said, weighed])
}

/// A measured pile: each shape has measures of its own.
fn pile() -> Value {
    let length = |key, says, example| need(key, says, above_zero::<Length>(example));
    let height = || length("height", "The height of the litter", "7 ft");
    let cone = vec![length("around", "Once around its foot", "72 ft"), height()];
    let windrow = vec![
        length("width", "The width at its foot", "24 ft"),
        may("top", "The width at the top, no more than at the foot; a ridge without it", quantity::<Length>("6 ft")),
        height(),
        length("length", "From end to end at its foot, no less than the width", "90 ft"),
    ];
    let bin = vec![
        length("width", "The width between the walls", "40 ft"),
        length("length", "The length", "60 ft"),
        length("height", "The height of the litter, leveled", "6 ft"),
    ];
    any_of(vec![
        shaped(PileShape::Cone, "A round heap", cone),
        shaped(PileShape::Windrow, "A long heap with round ends", windrow),
        shaped(PileShape::Bin, "Litter between walls", bin),
    ])
}

/// A pile of one shape; what its litter weighs is measured in one way or not
/// at all.
fn shaped(shape: PileShape, says: &str, measures: Vec<SchemaKey>) -> Value {
    let mut keys = vec![need("shape", says, words(&[shape.word()]))];
    keys.extend(measures);
    let weighs = "What a cubic foot weighs; the tables' range without it and `bucket`";
    keys.push(may("density", weighs, quantity::<Density>("30 lb/ft3")));
    keys.push(may("bucket", "Net weight of a 5-gallon bucket of it", above_zero::<Weight>("20 lb")));
    in_one_way(block(keys), &[&["density"], &["bucket"], &[]])
}

/// The birds that made it.
fn flocks() -> Value {
    block(vec![
        need("number", "How many houses", whole(1, 1_000, 3)),
        need("birds", "Birds of a flock in each house", whole(1, 1_000_000, 24_000)),
        need("flocks", "Flocks since litter was taken out before", whole(1, 100, 5)),
        may("weight", "Live weight of a bird when it is sold", quantity::<BirdWeight>("6.5 lb")),
        need("taken", "What was taken out: all of it, or the crust under the drinkers", words(Taken::WORDS)),
    ])
}
