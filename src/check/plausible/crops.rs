//! What the farm says of crops that the tables lack.

use crate::check::plausible::rows::{DECIMAL, Judge, JudgedValue, Overrule, shown};
use crate::farm::WrittenCrop;
use crate::tables::Thing;
use crate::units::Quantity;

pub(super) fn crop(crop: &WrittenCrop, rows: &mut Judge<'_>) {
    let whose = format!("crop {}", crop.crop.value.replace('_', " "));
    let sure = Overrule::Sure(crop.sure.as_ref(), "the crop");
    rows.given(Thing::BushelWeight, (&whose, "bushel"), crop.bushel.as_ref(), sure);
    let kinds = [("n", Thing::CropN), ("p2o5", Thing::CropP2o5), ("k2o", Thing::CropK2o)];
    for ((key, thing), carried) in kinds.into_iter().zip(&crop.removal) {
        let Some(carried) = carried else { continue };
        let Some(a_ton) = carried.a_ton(crop.bushel.as_ref()) else { continue };
        let says = format!("{whose}: `{key}` carried off is {}", shown(a_ton.get(), "lb/ton"));
        let row = JudgedValue::new(thing, (a_ton.get(), "lb/ton"), says, carried.place(), sure);
        rows.judge(&row.slips(&[DECIMAL]));
    }
}
