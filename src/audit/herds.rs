//! What grazing stock takes off a field, calculated again.

use crate::audit::fault::fault;
use crate::audit::goal::yield_goal;
use crate::check::Ready;
use crate::farm::{Herd, Use};
use crate::findings::Findings;
use crate::plan::answer::{FieldPlan, Plan};
use crate::tables::{Book, Scope, topic};
use crate::units::Quantity;

/// A millionth part: sums of a few products stray far less.
const SLACK: f64 = 1e-6;

/// Every herd's forage is parted over its fields by what grows on each.
pub(super) fn check(plan: &Plan, ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    let grows = |id: &str| {
        let own = plan.fields.iter().find(|field| field.id == id)?;
        let written = &ready.field(id)?.written;
        let mixed = written.usage.value == Use::HayThenGrazed;
        let cut = written.hayed.as_ref().filter(|_| mixed).map_or(0.0, |share| share.value.get() / 100.0);
        Some(own.gross_acres * yield_goal(own, ready.field(id)?, book)? * (1.0 - cut))
    };
    let of_herd = |herd: &Herd| {
        let mut ids: Vec<&str> = herd.fields.iter().map(|id| id.value.as_str()).collect();
        ids.sort_unstable();
        ids.dedup();
        ids.into_iter().filter_map(grows).fold(0.0, |sum, one| sum + one)
    };
    let of_herds: Vec<f64> = ready.herds.iter().map(of_herd).collect();
    for field in &plan.fields {
        let mut found = field.stock.iter();
        let herds = ready.herds.iter().zip(&of_herds).enumerate();
        for (index, (herd, all)) in herds.filter(|(_, (herd, _))| herd.grazes(&field.id)) {
            let part = grows(&field.id).filter(|_| *all > 0.0).map_or(0.0, |own| own / *all);
            let told = found.next().is_some_and(|own| own.herd == index && (own.part - part).abs() < SLACK);
            if !told {
                let what = format!("field {}: {:.4} of the forage of {} grows here", field.id, part, herd.kind);
                findings.push(fault("stock", what));
            }
        }
        if found.next().is_some() {
            findings.push(fault("stock", format!("field {}: a herd that does not graze it", field.id)));
        }
    }
}

/// Pounds of a nutrient that leave an acre with the stock in a year; none where a herd
/// does not tell.
pub(super) fn leaves(plan: &FieldPlan, ready: &Ready, book: &Book<'_>, nutrient: &str) -> Option<f64> {
    if plan.stock.is_empty() {
        return None;
    }
    let mut pounds = 0.0;
    for own in &plan.stock {
        let herd = ready.herds.get(own.herd)?;
        let head = f64::from(herd.head.value);
        let scope = |animal: &'static str| Scope::new().animal(animal).nutrient(nutrient);
        let of_a_head = match &herd.gain {
            _ if head == 0.0 => 0.0,
            Some(gain) if herd.is_cattle() => {
                gain.value.get() * book.get(topic::LEAVES_PER_GAIN, &scope("cattle"))?.value.get()
            }
            None if herd.is_cow_calf() => book.get(topic::LEAVES_PER_HEAD, &scope("cow_calf_pair"))?.value.get(),
            _ => return None,
        };
        pounds += head * of_a_head * own.part;
    }
    Some(pounds / plan.gross_acres)
}
