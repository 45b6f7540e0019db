//! Of which litter not all phosphate or potash counts toward the need, and who says so.

use crate::check::Ready;
use crate::findings::distinct;
use crate::plan::answer::NeedShare;
use crate::tables::{Book, Scope, topic};
use crate::units::Quantity;

/// One for each figure of the place, with the lots that it is for.
pub(super) fn of(ready: &Ready, book: &Book<'_>) -> Vec<NeedShare> {
    let mut shares: Vec<NeedShare> = Vec::new();
    for (nutrient, topic) in [("P2O5", topic::P_AVAILABLE), ("K2O", topic::K_AVAILABLE)] {
        for kind in distinct(ready.lots.iter().map(|lot| lot.kind.as_str())) {
            let Some(share) = book.get(topic, &Scope::new().material(kind)) else { continue };
            let lots = ready.lots.iter().filter(|lot| lot.kind == kind).map(|lot| lot.id.clone());
            match shares.iter_mut().find(|own| own.nutrient == nutrient && own.cite == share.cite) {
                Some(own) => own.lots.extend(lots),
                None => shares.push(NeedShare {
                    nutrient: nutrient.to_string(),
                    lots: lots.collect(),
                    share: share.value.get(),
                    cite: share.cite,
                }),
            }
        }
    }
    shares
}
