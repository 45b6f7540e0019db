//! A lot of litter and its analysis.

use crate::farm::schema::forms::{
    block, date, filled, list, may, need, one_or_several, one_out_of, quantity, sure, text, words, yes_no,
};
use crate::farm::schema::on_hand;
use crate::farm::words::{Basis, CountOrder, Stored};
use crate::units::{Density, LbPerThousandGallons, LbPerTon, Percent, Ppm, Quantity};
use serde_json::{Value, json};

/// An entry of `litter:`.
pub(super) fn lot() -> Value {
    block(vec![
        need("lot", "A short name for the lot", text("clean-out")),
        need("kind", "The kind of litter", text("broiler litter")),
        may("from", "Which houses it came from", text("houses 1 and 2")),
        need("on_hand", "How much is there", on_hand::on_hand()),
        may("counted", "How it was counted", text("54 truckloads, four of them weighed")),
        may("counted_on", "The day of the count; `since` without it", date("2027-01-05")),
        may(
            "count_order",
            "Whether it was counted before or after what else moved on that day",
            words(CountOrder::WORDS),
        ),
        need("stored", "Where it lies", words(Stored::WORDS)),
        may("since", "Since when it lies there", date("2027-01-05")),
        may("use_first", "Whether it is to be used before the others", yes_no()),
        filled("not_on", "Ids of fields, or `grazed ground`, on which none of it may go", list(text("R2"))),
        may(
            "analysis",
            "The laboratory's report, copied as it is printed; or a list of reports, each from its day on",
            one_or_several(analysis()),
        ),
        sure(),
    ])
}

/// A content of a ton, or of a volume where `density` says what that weighs.
fn or_by_volume<Q: Quantity>(example: &str) -> Value {
    let (mut form, volume) = (quantity::<Q>(example), quantity::<LbPerThousandGallons>(""));
    let part = |form: &Value, key: &str| form[key].as_str().unwrap_or_default().to_string();
    let units: Vec<&str> = LbPerThousandGallons::SPELLINGS.iter().map(|(spelling, _)| *spelling).collect();
    let by_volume = format!("{}; or beside `density` by volume: {}", part(&form, "description"), units.join(", "));
    form["pattern"] = json!(format!("{}|{}", part(&form, "pattern"), part(&volume, "pattern")));
    form["description"] = json!(by_volume);
    form
}

fn analysis() -> Value {
    let content = || or_by_volume::<LbPerTon>("58 lb/ton");
    let block = block(vec![
        need("lab", "The laboratory", text("state agronomic lab")),
        need("sampled", "The day of sampling", date("2027-01-11")),
        need("basis", "What the contents refer to", words(Basis::WORDS)),
        need("moisture", "Moisture as received", quantity::<Percent>("26 %")),
        may("density", "What it weighs, where contents are by volume", quantity::<Density>("8.4 lb/gal")),
        need("total_n", "Total nitrogen", content()),
        may("ammonium_n", "Ammonium nitrogen", or_by_volume::<LbPerTon>("10 lb/ton")),
        may("nitrate_n", "Nitrate nitrogen", or_by_volume::<LbPerTon>("1 lb/ton")),
        may("p2o5", "Phosphorus, where it is reported as the oxide", content()),
        may("p", "Phosphorus, where it is reported as the element", content()),
        may("k2o", "Potassium, where it is reported as the oxide", content()),
        may("k", "Potassium, where it is reported as the element", content()),
        may("zinc", "Zinc", or_by_volume::<Ppm>("385 ppm")),
        may("copper", "Copper", or_by_volume::<Ppm>("310 ppm")),
        sure(),
    ]);
    one_out_of(block, &[&["p2o5", "p"], &["k2o", "k"]])
}
