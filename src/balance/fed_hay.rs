//! What hay that is fed on a field brings: what it holds by its crude protein, less what
//! the stock keeps, over the whole field or the ground that the entry says.

use crate::balance::desk::Desk;
use crate::balance::{Counts, Op, StepId};
use crate::findings::Origin;
use crate::record::Entry;
use crate::tables::{Scope, topic};
use crate::units::{Percent, Quantity};

/// What one entry of fed hay put on an acre of a nutrient; of nitrogen, what grass can use.
pub(super) fn brought(desk: &mut Desk<'_>, entry: &Entry, counted: Counts, acres: f64) -> StepId {
    let line = || Origin::Line(entry.place.clone());
    let (on, word) = (entry.date, counted.word());
    let what = format!("{word} of hay fed on {on}");
    let nutrient = match counted.whole() {
        Counts::N | Counts::TotalN => "n",
        Counts::P2o5 => "p2o5",
        _ => "k2o",
    };
    let Some(holds) = holds(desk, entry, counted, nutrient) else {
        return desk.notes.unknown(what, Origin::Definition("no figure of what hay holds".into()));
    };
    let tons = desk.notes.given(format!("hay fed on {on}"), entry.amount.tons(), "tons", line());
    let mut of = vec![tons, holds];
    if let Some(returned) = desk.book.get(topic::HAY_RETURNED, &Scope::new().nutrient(nutrient)) {
        of.push(desk.notes.figure(format!("share of {word} that goes back on the ground"), &returned));
    }
    if let Some(used) = desk.book.get(topic::DUNG_N_AVAILABLE, &Scope::new()).filter(|_| counted == Counts::N) {
        of.push(desk.notes.figure("share of it that grass can use", &used));
    }
    let pounds = desk.notes.reckon(what.clone(), "lb", Op::Times, &of);
    let acres = desk.notes.given("ground that the hay was fed on", acres, "ac", Origin::Measured);
    desk.notes.reckon(what, "lb/ac", Op::Over, &[pounds, acres])
}

/// What a ton of the hay holds, by its protein, or by that of usual hay.
fn holds(desk: &mut Desk<'_>, entry: &Entry, counted: Counts, nutrient: &str) -> Option<StepId> {
    let (protein, step) = match entry.protein {
        Some(protein) => {
            let line = Origin::Line(entry.place.clone());
            (protein, desk.notes.given("crude protein of the hay", protein, "%", line))
        }
        None => {
            let usual = desk.book.get(topic::HAY_PROTEIN, &Scope::new())?;
            (usual.value.get(), desk.notes.figure("crude protein of hay that nobody had analyzed", &usual))
        }
    };
    let classes = desk.book.get(topic::HAY_CLASS, &Scope::new())?;
    let class = classes.value.class_of(Percent::new(protein).ok()?)?.to_string();
    desk.notes.class("class of the hay", class.clone(), step, classes.cite);
    let figure = desk.book.get(topic::HAY_HOLDS, &Scope::new().class(class).nutrient(nutrient))?;
    Some(desk.notes.figure(format!("{} in a ton of the hay", counted.word()), &figure))
}
