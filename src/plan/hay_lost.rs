//! What nitrogen left short loses in hay.

use crate::check::{Field, Ready};
use crate::farm::Use;
use crate::plan::answer::HayLost;
use crate::tables::{Book, topic};
use crate::units::{POUNDS_PER_TON, Quantity};

/// The hay that a pound of nitrogen left short loses; none where the farm gives no price of hay, on
/// a field that is not cut for hay alone, or where no figure says how much it is.
pub(super) fn hay_lost(ready: &Ready, field: &Field, book: Option<&Book<'_>>) -> Option<HayLost> {
    let price = ready.prices.as_ref()?.hay.as_ref()?.value.get();
    let brings = book?.get(topic::HAY_PER_N, &ready.scope(field)).filter(|_| field.written.usage.value == Use::Hay)?;
    let hay = brings.value.get();
    Some(HayLost { id: field.id().to_string(), pound: hay * price / POUNDS_PER_TON as f64, hay, cite: brings.cite })
}
