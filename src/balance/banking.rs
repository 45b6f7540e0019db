//! Whether the rows of the place's rule that hold on a field let it get as many years'
//! phosphate at once as the grower wrote.

use crate::balance::{Balance, Basis, FieldBalance};
use crate::findings::{Finding, Findings};

/// An error for each field with more `bank_years` than the rows that hold there allow. A field
/// that gets no litter for want of something is judged once it can.
#[must_use]
pub fn banked_too_long(balance: &Balance, place: &str) -> Findings {
    balance.fields.iter().filter_map(|field| too_long(field, place)).collect()
}

fn too_long(field: &FieldBalance, place: &str) -> Option<Finding> {
    let years = field.field().written.bank_years.as_ref()?;
    let phosphorus = &field.phosphorus;
    let most = phosphorus.years;
    // Where the forage carries nothing off, so many times nothing is no more.
    let nothing =
        phosphorus.basis == Basis::Removal && phosphorus.a_year.is_some_and(|lb| field.notes.value(lb) <= 0.0);
    if years.value <= u32::from(most) || nothing || !field.bars.is_empty() {
        return None;
    }
    let binds = phosphorus.rows.iter().find(|row| phosphorus.binding.contains(&row.why));
    let cite = binds.map_or(String::new(), |row| format!(": {}", row.cite));
    let (accepts, fix) = match phosphorus.basis {
        Basis::Nitrogen => (
            format!("nothing under `bank_years`: here nitrogen alone limits litter{cite}"),
            "take `bank_years` out: no phosphate limit is left to bank under",
        ),
        Basis::SoilTest => (format!("1: what the soil test calls for is for one year{cite}"), "take `bank_years` out"),
        _ if most > 1 => (format!("at most {most}{cite}"), "write that many or fewer"),
        _ => (
            format!("1: the phosphorus rule of {place} allows no more years for this field{cite}"),
            "take `bank_years` out",
        ),
    };
    let found = format!("field {}: phosphate of {} years at once", field.field().id(), years.value);
    Some(Finding::error("banked-too-long", &years.place, found).accepts(accepts).fix(fix))
}
