//! A lot of litter and its analysis.

use crate::farm::schema::forms::{
    block, date, filled, list, may, need, one_or_several, one_out_of, quantity, sure, text, words, yes_no,
};
use crate::farm::schema::on_hand;
use crate::farm::words::{Basis, CountOrder, Stored};
use crate::units::{LbPerTon, Percent, Ppm};
use serde_json::Value;

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

fn analysis() -> Value {
    let content = || quantity::<LbPerTon>("58 lb/ton");
    let block = block(vec![
        need("lab", "The laboratory", text("state agronomic lab")),
        need("sampled", "The day of sampling", date("2027-01-11")),
        need("basis", "What the contents refer to", words(Basis::WORDS)),
        need("moisture", "Moisture as received", quantity::<Percent>("26 %")),
        need("total_n", "Total nitrogen", content()),
        may("ammonium_n", "Ammonium nitrogen", quantity::<LbPerTon>("10 lb/ton")),
        may("nitrate_n", "Nitrate nitrogen", quantity::<LbPerTon>("1 lb/ton")),
        may("p2o5", "Phosphorus, where it is reported as the oxide", content()),
        may("p", "Phosphorus, where it is reported as the element", content()),
        may("k2o", "Potassium, where it is reported as the oxide", content()),
        may("k", "Potassium, where it is reported as the element", content()),
        may("zinc", "Zinc", quantity::<Ppm>("385 ppm")),
        may("copper", "Copper", quantity::<Ppm>("310 ppm")),
        sure(),
    ]);
    one_out_of(block, &[&["p2o5", "p"], &["k2o", "k"]])
}
