//! Several years in a row: what one year's choice does to the next ones.
//!
//! Each year is planned like the first, on the farm as the year before left
//! it: the litter left over and made since, the nitrogen that earlier litter
//! still gives, phosphate banked and rested, and soil tests where the plan
//! moves them. A choice over all years at once would need the prices of years
//! to come; this shows what follows when each year is planned at its best.

use crate::balance::{Balance, Surveyed, weigh};
use crate::check::{Contents, Field, Lot, Ready};
use crate::farm::{Basis, Earlier};
use crate::findings::{At, Origin};
use crate::plan::answer::{FieldPlan, Leaving, Plan, YearField, YearLot, YearRow};
use crate::plan::choose::Choose;
use crate::plan::make::make;
use crate::record::Happened;
use crate::tables::Tables;
use crate::units::{LbPerTon, Pounds, Quantity, TonsPerAcre};
use jiff::ToSpan;
use jiff::civil::Date;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What is taken for granted of the years to come.
pub const ASSUMED: [&str; 5] = [
    "every soil test and litter analysis is renewed when it is due, and the litter stays as it is analysed today",
    "soil tests move as the outlook of `limits` has them: an estimate",
    "ratings, prices, yields, cuttings and grazing stay as they are, a year later each",
    "litter made in a year is there when the next plan starts; litter over the room of its storage leaves the farm",
    "rules and figures are those in force on each plan's first day, as far as they are known today",
];

/// Litter made in a year, by the id of its lot.
pub type Made = BTreeMap<String, Pounds>;

/// One year ahead.
#[derive(Clone, Debug)]
pub struct Year {
    /// The farm as that year finds it.
    pub ready: Ready,
    /// Its balance.
    pub balance: Balance,
    /// Its plan.
    pub plan: Plan,
    /// Litter that does not fit the storage before the next plan starts.
    pub leaving: Vec<Leaving>,
    /// Litter made in the year before, by lot.
    pub made: Made,
}

/// Plans so many years in a row, the farm's own first.
#[must_use]
pub fn years(ready: &Ready, tables: &Tables, ground: &[Surveyed], chooser: &dyn Choose, count: usize) -> Vec<Year> {
    let mut years: Vec<Year> = Vec::new();
    // Houses do not change: each year makes as much as any other.
    let a_year: Made = ready.lots.iter().map(|lot| (lot.id.clone(), made_in_a_year(ready, lot))).collect();
    let mut made = Made::new();
    let mut next = Some(ready.clone());
    while let Some(ready) = next.take() {
        // The ground stays; what stands on it is a year older.
        let older = |s: &Surveyed| Some(Surveyed { field: Arc::clone(ready.field(s.field.id())?), ..s.clone() });
        let ground: Vec<Surveyed> = ground.iter().filter_map(older).collect();
        let (balance, found) = weigh(&ready, tables, &ground);
        let plan = make(&ready, tables, &balance, chooser, &found);
        let leaving = leaving(&ready, &plan, &a_year);
        let year = Year { ready, balance, plan, leaving, made };
        if years.len() + 1 < count {
            next = after(&year, &a_year);
        }
        years.push(year);
        made = a_year.clone();
    }
    years
}

/// What would be over the room of each storage when the next plan starts: what
/// is left, and what the houses make until then.
fn leaving(ready: &Ready, plan: &Plan, a_year: &Made) -> Vec<Leaving> {
    let comes = |id: &String| of_lot(plan, a_year, id);
    let stores = ready.work.storage.iter();
    stores
        .filter_map(|store| {
            let lies: Pounds = store.lots.iter().map(comes).sum();
            let over = lies - store.room;
            (over > Pounds(0)).then(|| Leaving { storage: store.name.clone(), room: store.room, pounds: over })
        })
        .collect()
}

/// What is left of a lot, with what is made until the next plan.
fn of_lot(plan: &Plan, a_year: &Made, id: &str) -> Pounds {
    let left = plan.lots.iter().find(|lot| lot.id == id).map_or(Pounds(0), |lot| lot.left);
    left + a_year.get(id).copied().unwrap_or_default()
}

/// The farm a year later, with the litter made until then; `None` when the
/// calendar ends.
fn after(year: &Year, a_year: &Made) -> Option<Ready> {
    let mut ready = year.ready.clone();
    ready.from = later(ready.from)?;
    ready.to = later(ready.to)?;
    // What was done lies in the year that is over.
    ready.happened = Happened::default();
    for lot in &mut ready.lots {
        renew_lot(lot, of_lot(&year.plan, a_year, &lot.id))?;
    }
    take_off_what_leaves(&mut ready, &year.leaving);
    for plan in &year.plan.fields {
        let field = ready.fields.iter_mut().find(|field| field.id() == plan.id)?;
        grow_older(Arc::make_mut(field), plan, &year.ready.lots, year.ready.from.year())?;
    }
    Some(ready)
}

fn later(date: Date) -> Option<Date> {
    date.checked_add(1.year()).ok()
}

/// Litter that the houses of a lot make in a year.
fn made_in_a_year(ready: &Ready, lot: &Lot) -> Pounds {
    let first_lot = ready.lots.first().map(|l| l.id.as_str());
    let houses = ready.work.houses.iter().filter_map(|house| {
        let into = house.lot.as_deref().or_else(|| house.clean_outs.first().map(|c| c.lot.as_str())).or(first_lot)?;
        let tons = house.a_year.as_ref()?.tons;
        (into == lot.id).then(|| Pounds::from_tons_down(tons))
    });
    houses.sum()
}

fn renew_lot(lot: &mut Lot, on_hand: Pounds) -> Option<()> {
    lot.on_hand = on_hand;
    // What is carried over was not counted anew.
    lot.counting = None;
    lot.barred = None;
    for aged in [&mut lot.good_until, &mut lot.uncovered_until].into_iter().flatten() {
        aged.since = later(aged.since)?;
        aged.last = later(aged.last)?;
    }
    if let Contents::Analysis(analysis) = &mut lot.contents {
        analysis.sampled.value = later(analysis.sampled.value)?;
    }
    Some(())
}

/// What leaves is taken from the lots of its storage, the last first.
fn take_off_what_leaves(ready: &mut Ready, leaving: &[Leaving]) {
    for gone in leaving {
        let mut over = gone.pounds;
        let lots = ready.work.storage.iter().find(|s| s.name == gone.storage).map(|s| s.lots.clone());
        for id in lots.unwrap_or_default().iter().rev() {
            if let Some(lot) = ready.lots.iter_mut().find(|l| l.id == *id) {
                let off = over.min(lot.on_hand);
                lot.on_hand -= off;
                over -= off;
            }
        }
    }
}

/// A field after a year under its plan.
fn grow_older(field: &mut Field, plan: &FieldPlan, lots: &[Lot], year: i16) -> Option<()> {
    // A test that was too old is renewed; every other bar stays.
    field.bars.retain(|bar| !matches!(&bar.origin, Origin::Figure(cite) if cite.figure.contains("soil_sample_age")));
    let written = &mut field.written;
    for date in &mut written.cuttings {
        date.value = later(date.value)?;
    }
    for (from, to) in &mut written.grazed {
        (from.value, to.value) = (later(from.value)?, later(to.value)?);
    }
    if let Some(rated) = &mut written.rating {
        rated.on.value = later(rated.on.value)?;
    }
    if let Some(test) = &mut written.soil_test {
        test.sampled.value = later(test.sampled.value)?;
        for outlook in &plan.outlook {
            let value = if outlook.of == "P" { &mut test.p } else { &mut test.k };
            value.value = value.value.moved(outlook.per_year);
        }
    }
    if let Some(through) = plan.phosphorus.rests_through {
        let place = written.bank_years.as_ref().map_or_else(|| written.place.clone(), |b| b.place.clone());
        written.banked_until = Some(At { value: through, place });
    }
    for application in &plan.applications {
        let lot = lots.iter().find(|lot| lot.id == application.lot)?;
        written.earlier.extend(organic_n(lot).and_then(|organic_n| {
            let place = lot.place.clone();
            Some(Earlier {
                year: At { value: year, place: place.clone() },
                kind: At { value: lot.kind.clone(), place: place.clone() },
                rate: At { value: TonsPerAcre::new(application.rate).ok()?, place: place.clone() },
                organic_n: At { value: LbPerTon::new(organic_n).ok()?, place },
            })
        }));
    }
    Some(())
}

/// Organic nitrogen in a ton as spread, where the analysis tells it from the
/// rest: total less ammonium and nitrate.
fn organic_n(lot: &Lot) -> Option<f64> {
    let Contents::Analysis(analysis) = &lot.contents else { return None };
    let ammonium = analysis.ammonium_n.as_ref()?.value.get();
    let nitrate = analysis.nitrate_n.as_ref().map_or(0.0, |n| n.value.get());
    let solids = if analysis.basis.value == Basis::Dry { 1.0 - analysis.moisture.value.get() / 100.0 } else { 1.0 };
    Some(((analysis.total_n.value.get() - ammonium - nitrate) * solids).max(0.0))
}

/// The years as rows for people and programs.
#[must_use]
pub fn rows(years: &[Year]) -> Vec<YearRow> {
    years.iter().map(row).collect()
}

fn row(year: &Year) -> YearRow {
    let plan = &year.plan;
    let rests = |id: &str| year.ready.field(id).is_some_and(|f| f.written.resting(plan.from.year()).is_some());
    let fields = plan.fields.iter().map(|field| YearField {
        id: field.id.clone(),
        rates: field.applications.iter().map(|a| a.rate).collect(),
        pounds: field.applications.iter().map(|a| a.pounds).sum(),
        n_short: field.short.n,
        soil_p: field.phosphorus.soil,
        soil_p_unit: field.phosphorus.unit.clone(),
        rests: rests(&field.id),
        rests_through: field.phosphorus.rests_through,
        held: field.held.by,
    });
    let lots = plan.lots.iter().map(|lot| YearLot {
        id: lot.id.clone(),
        made: year.made.get(&lot.id).copied().unwrap_or_default(),
        opening: lot.opening,
        planned: lot.planned,
        left: lot.left,
    });
    YearRow {
        from: plan.from,
        to: plan.to,
        fields: fields.collect(),
        lots: lots.collect(),
        leaving: year.leaving.clone(),
        money: plan.money.clone(),
    }
}
