//! When litter gets spread, where it is kept, and what makes it.

use crate::farm::days::MONTHS;
use crate::farm::days::WEEKDAYS;
use crate::farm::schema::forms::{
    above_zero, any_of, block, by_name, date, filled, given, list, may, need, plain, quantity, sure, text, whole, words,
};
use crate::units::{DollarsPerTon, MilesPerHour, Minutes, Percent, Tons};
use serde_json::{Value, json};

/// The block `days:`.
pub(super) fn days() -> Value {
    let fit = || quantity::<Percent>("45 %");
    let by_month = |share: Value| {
        let mut months = by_name(share, "february");
        months["propertyNames"] = words(&MONTHS);
        months
    };
    let mut days = block(vec![
        need("tons_per_day", "In a day's work beside the stack", above_zero::<Tons>("32 tons")),
        may("speed", "On the road", quantity::<MilesPerHour>("18 mph")),
        may("loading", "Loading a load", quantity::<Minutes>("14 minutes")),
        may("emptying", "Spreading a load", quantity::<Minutes>("16 minutes")),
        may("fit", "Days fit to spread, of all days: of all months, or of each", any_of(vec![fit(), by_month(fit())])),
        may("in_time", "The chance with which what is planned can be done in its days", above_zero::<Percent>("80 %")),
        may(
            "wet_after_wet",
            "Of the days after one too wet to spread, the share that is too wet as well: of all months, or of each",
            any_of(vec![quantity::<Percent>("80 %"), by_month(quantity::<Percent>("80 %"))]),
        ),
        filled("not_on", "Days of the week on which nothing is spread", list(words(&WEEKDAYS.map(|(name, _)| name)))),
        sure(),
    ]);
    // A long haul takes time only where all three are known.
    let haul = ["speed", "loading", "emptying"];
    days["anyOf"] = json!([given(&haul, &haul), given(&[], &haul)]);
    days
}

/// An entry of `storage:`.
pub(super) fn storage() -> Value {
    let mut storage = block(vec![
        need("name", "Its name", text("litter shed")),
        need("room", "How much goes in", quantity::<Tons>("450 tons")),
        need("lots", "The lots that lie in it", list(text("clean-out"))),
        sure(),
    ]);
    storage["properties"]["lots"]["minItems"] = json!(1);
    storage
}

/// An entry of `houses:`.
pub(super) fn house() -> Value {
    let out = |tons: &str| {
        block(vec![
            need("date", "The day", date("2027-06-14")),
            may("tons", "How much comes out; without it, what the birds make by the tables", quantity::<Tons>(tons)),
            may(
                "flocks",
                "Flocks since litter was taken out before, where no `tons` are given",
                plain(0.1, 100.0, 5.0),
            ),
            need("lot", "The lot that it goes to", text("clean-out")),
        ])
    };
    let mut house = block(vec![
        need("name", "A name for the house, or for several together", text("1-3")),
        may("kind", "The kind of litter that it makes", text("broiler litter")),
        may("number", "How many houses", whole(1, 1_000, 3)),
        may("birds", "Birds of a flock in each house", whole(1, 1_000_000, 24_000)),
        may("flocks", "Flocks a year", plain(0.1, 20.0, 5.5)),
        may("tons_per_1000", "Litter of a flock of 1,000 birds, as you have counted it", quantity::<Tons>("1.1 tons")),
        may("made", "A year's litter by your own record", quantity::<Tons>("250 tons")),
        may("lot", "The lot into which it is carried as it is made", text("clean-out")),
        may("clean_outs", "Planned clean-outs: all of the litter", list(out("190 tons"))),
        may("cake_outs", "Planned cake-outs: the crust alone", list(out("28 tons"))),
        sure(),
    ]);
    let counted = ["number", "birds"];
    house["anyOf"] = json!([given(&counted, &counted), given(&[], &counted)]);
    house
}

/// An entry of `brought:`.
pub(super) fn brought() -> Value {
    block(vec![
        need("date", "The day", date("2027-05-03")),
        need("lot", "The lot that it comes to", text("clean-out")),
        need("tons", "How much", above_zero::<Tons>("60 tons")),
        may("price", "What a ton costs, delivered", quantity::<DollarsPerTon>("18 $/ton")),
        may("from", "Whose it was", text("the next farm")),
    ])
}

/// An entry of `outlets:`.
pub(super) fn outlet() -> Value {
    block(vec![
        need("name", "Who takes it", text("the next farm")),
        need("price", "What a ton brings", quantity::<DollarsPerTon>("12 $/ton")),
        filled("most", "The most that is taken; without it, all there is", above_zero::<Tons>("96 tons")),
        filled("from", "The first day, on which what was taken before no longer counts", date("2027-03-01")),
        filled("to", "The last day", date("2027-05-31")),
        filled("lots", "The lots that are taken; any without it", list(text("clean-out"))),
        filled("kinds", "The kinds that are taken; any without it", list(text("broiler litter"))),
    ])
}
