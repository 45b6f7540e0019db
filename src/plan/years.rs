//! Several years in a row: what one year's choice does to the next ones.
//!
//! Each year is planned like the first, on the farm as the year before left
//! it: the litter left over and made since, what every plan put on as if it stood
//! in the log, phosphate banked and rested, and soil tests where the plan moves
//! them. A choice over all years at once would need the prices of years
//! to come; this shows what follows when each year is planned at its best.

use crate::balance::{Balance, Surveyed, weigh};
use crate::check::{Aged, CleanOut, Comes, Coming, Contents, Count, Field, House, Lot, Outlet, Ready, SAME_WITHIN};
use crate::findings::{At, Origin};
use crate::plan::answer::{FieldPlan, Leaves, Leaving, MustGo, Plan, YearField, YearLot, YearRow};
use crate::plan::choose::Choose;
use crate::plan::comes_and_goes;
use crate::plan::make::make;
use crate::plan::stock::StockRun;
use crate::record::{Entry, Happened};
use crate::tables::{Tables, topic};
use crate::units::Pounds;
use jiff::ToSpan;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// What is taken for granted of the years to come.
pub const ASSUMED: [&str; 9] = [
    "every soil test and litter analysis is renewed when it is due, and the litter stays as it is analysed today",
    "what a plan puts on counts in every later limit from the first day of its window: a job that is done later is done no earlier a year after",
    "soil tests move in a straight line where `limits` has an outlook of them: an estimate, and `limits` says how trials differed from it; every other stays as it is",
    "fields that the first plan does in parts stay so, between the same runs; no other field is parted later",
    "ratings, prices, yields, cuttings and grazing stay as they are, a year later each",
    "stock that the log has on a field, and nobody took off, is off it after the first plan's last day",
    "houses are cleaned out on the same days of every year, unless farm.yaml names other days; litter over the room of its storage leaves the farm",
    "litter is brought only on the days that farm.yaml names; a house without `lot`, `clean_outs` or `cake_outs` keeps its litter",
    "rules and figures are those in force on each plan's first day, as far as they are known today",
];

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
    /// The same by lot.
    pub gone: Vec<Leaves>,
    /// What lies in every lot when the next plan starts, what leaves taken off.
    pub kept: BTreeMap<String, Pounds>,
    /// What the houses bring in the year.
    pub outs: Vec<Coming>,
    /// Why the soil-test phosphorus of a field stands as the year before had it.
    pub not_forecast: BTreeMap<String, String>,
}

impl Year {
    /// What comes to a lot after the plan and before the next.
    fn after(&self, lot: &str) -> Pounds {
        let tally = self.plan.lots.iter().find(|tally| tally.id == lot);
        let kept = self.kept.get(lot).copied().unwrap_or_default();
        tally.map_or(Pounds(0), |tally| kept + self.leaves(lot) - tally.left)
    }

    /// What of a lot must leave before the next plan.
    fn leaves(&self, lot: &str) -> Pounds {
        self.gone.iter().filter(|part| part.lot == lot).map(|part| part.pounds).sum()
    }
}

/// Plans so many years in a row, the farm's own first.
#[must_use]
pub fn years(ready: &Ready, tables: &Tables, ground: &[Surveyed], chooser: &dyn Choose, count: usize) -> Vec<Year> {
    let mut years: Vec<Year> = Vec::new();
    let mut next = Some(ready.clone());
    // What farm.yaml names, of whichever year.
    let named = ready.work.houses.clone();
    let mut outs = outs_of_year(&named, &outs_before(&named, ready.from), ready.from);
    let mut not_forecast = BTreeMap::new();
    while let Some(ready) = next.take() {
        // The ground stays; what stands on it is a year older.
        let older = |s: &Surveyed| Some(Surveyed { field: Arc::clone(ready.field(s.field.id())?), ..s.clone() });
        let ground: Vec<Surveyed> = ground.iter().filter_map(older).collect();
        let (balance, found) = weigh(&ready, tables, &ground);
        let plan = make(&ready, tables, &balance, chooser, &found);
        let (leaving, gone, kept) = until_next(&ready, &plan, &outs);
        let flat = flat(&ready, tables, &plan);
        let year = Year { ready, balance, plan, leaving, gone, kept, outs, not_forecast };
        not_forecast = flat;
        let wanted = years.len() + 1 < count;
        outs = later(year.ready.from).map(|from| outs_of_year(&named, &year.outs, from)).unwrap_or_default();
        next = if wanted { after(&year, &outs) } else { None };
        years.push(year);
    }
    years
}

/// The fields with a soil test whose phosphorus no outlook moves, and why.
fn flat(ready: &Ready, tables: &Tables, plan: &Plan) -> BTreeMap<String, String> {
    let why = |field: &Field| {
        let test = field.written.soil_test.as_ref()?;
        let (scale, book) = (test.p.value.scale, ready.book(tables)?);
        let per_unit = book.get(topic::P2O5_PER_UNIT, &ready.soil_scope(field));
        Some(match per_unit.and_then(|figure| figure.value.on(scale)) {
            Some(_) => "what is carried off a year is not known".to_string(),
            None => format!("no figure for this place of the P2O5 that moves a soil test by 1 {}", scale.word()),
        })
    };
    let still = plan.fields.iter().filter(|field| field.outlook.iter().all(|outlook| outlook.of != "P"));
    still.filter_map(|plan| Some((plan.id.clone(), why(ready.field(&plan.id)?)?))).collect()
}

/// What the houses brought in the year before a day, by the days that farm.yaml names from
/// the first of them on: one that lies between two plans comes again too.
fn outs_before(houses: &[House], from: Date) -> Vec<Coming> {
    let first = houses.iter().flat_map(House::comes).map(|out| out.day).min();
    let years = first.map_or(0, |first| i64::from(from.year()) - i64::from(first.year()) + 1);
    let starts = (1..=years.max(0)).rev().filter_map(|n| from.checked_sub(n.years()).ok());
    starts.fold(Vec::new(), |before, start| outs_of_year(houses, &before, start))
}

/// What the houses bring in the year from a day on: on the days that farm.yaml names
/// in it, and after the last of them as in the year before, clean-outs and cake each by itself.
/// One that falls close to that last day is the same, named.
fn outs_of_year(houses: &[House], before: &[Coming], from: Date) -> Vec<Coming> {
    let Some(to) = later(from) else { return Vec::new() };
    let mut outs = Vec::new();
    for house in houses {
        let named: Vec<Coming> = house.comes().filter(|out| from <= out.day && out.day < to).collect();
        let again = before.iter().filter(|out| out.what != Comes::Brought && out.from == house.name);
        let again = again.filter_map(|out| Some(Coming { day: later(out.day)?, ..out.clone() }));
        let beyond = |out: &Coming| {
            let last = named.iter().filter(|own| own.what == out.what).map(|own| own.day).max();
            last.is_none_or(|last| last.saturating_add(i64::from(SAME_WITHIN).days()) < out.day)
        };
        outs.extend(again.filter(beyond));
        outs.extend(named.iter().cloned());
    }
    outs.sort_by(|a, b| (a.day, &a.lot, &a.from).cmp(&(b.day, &b.lot, &b.from)));
    outs
}

/// What must leave by storage and by lot, and what then lies in every lot.
type Until = (Vec<Leaving>, Vec<Leaves>, BTreeMap<String, Pounds>);

/// What must leave before the next plan starts, and what then lies in every lot: the
/// same run of the stock as the plan's own, to the day before.
fn until_next(ready: &Ready, plan: &Plan, outs: &[Coming]) -> Until {
    let last = later(ready.from).and_then(|next| next.yesterday().ok()).unwrap_or(ready.to);
    let mut on = ready.clone();
    // After the plan's last day the houses go on as in any year.
    on.coming.retain(|coming| coming.day <= ready.to || coming.what == Comes::Brought);
    on.coming.extend(outs.iter().filter(|out| out.day > ready.to).cloned());
    let run = StockRun::of(&on, last);
    let rows = comes_and_goes::by_when(&on, &run, &plan.fields, &plan.sales);
    let mut kept: BTreeMap<String, Pounds> = BTreeMap::new();
    for tally in &plan.lots {
        let came = run.lot(&tally.id).map(|lot| lot.on_hand + lot.to_come()).unwrap_or_default();
        kept.insert(tally.id.clone(), (came - tally.planned - tally.sold).max(Pounds(0)));
    }
    let leaving: Vec<Leaving> = ready
        .work
        .storage
        .iter()
        .filter_map(|store| {
            let own = rows.iter().filter(|row| row.why == MustGo::Room && row.about == store.name);
            let pounds: Pounds = own.map(|row| row.must_leave).sum();
            (pounds.0 > 0).then(|| Leaving { storage: store.name.clone(), room: store.room, pounds })
        })
        .collect();
    let gone: Vec<Leaves> =
        rows.iter().filter(|row| row.why == MustGo::Room).flat_map(|row| row.from_lots.iter().cloned()).collect();
    for part in &gone {
        if let Some(lies) = kept.get_mut(&part.lot) {
            *lies -= part.pounds;
        }
    }
    (leaving, gone, kept)
}

/// The farm a year later, with the litter that came until then; `None` when the
/// calendar ends.
fn after(year: &Year, outs: &[Coming]) -> Option<Ready> {
    let mut ready = year.ready.clone();
    ready.from = later(ready.from)?;
    ready.to = later(ready.to)?;
    ready.as_of = ready.from;
    let before = ready.from.yesterday().ok()?;
    ready.happened = with_plan(&ready.happened, &year.plan, &year.ready, before);
    for lot in &mut ready.lots {
        renew_lot(lot, year.kept.get(&lot.id).copied().unwrap_or_default(), (before, ready.to))?;
    }
    let next = later(ready.from)?;
    let brought = year.ready.coming.iter().filter(|c| c.what == Comes::Brought && c.day >= ready.from && c.day < next);
    let brought: Vec<Coming> = brought.cloned().collect();
    ready.coming = outs.iter().cloned().chain(brought).collect();
    for house in &mut ready.work.houses {
        let of = |what: Comes| -> Vec<CleanOut> {
            outs.iter().filter(|out| out.what == what && out.from == house.name).map(clean_out).collect()
        };
        (house.clean_outs, house.cake_outs) = (of(Comes::CleanOut), of(Comes::CakeOut));
    }
    ready.outlets = outlets(year, (ready.from, ready.to));
    for plan in &year.plan.fields {
        let field = ready.fields.iter_mut().find(|field| field.id() == plan.id)?;
        grow_older(Arc::make_mut(field), plan, (before, ready.to))?;
    }
    Some(ready)
}

/// Who takes litter a year later: the most that is taken holds for the same days of that year, or
/// for a calendar year, of which the plan before may have sold a part already.
fn outlets(year: &Year, (from, to): (Date, Date)) -> Vec<Outlet> {
    let mut all: Vec<Outlet> = Vec::new();
    for outlet in &year.ready.outlets {
        let own = Outlet {
            from: outlet.from.and_then(later),
            to: outlet.to.and_then(later),
            left: outlet.most,
            taken: Pounds(0),
            paid: BTreeMap::new(),
            ..outlet.clone()
        };
        if outlet.year.is_none() {
            all.push(own);
        } else if all.iter().all(|other| other.name != own.name) {
            all.extend((from.year()..=to.year()).map(|of| Outlet {
                year: Some(of),
                left: left_of(year, &own, of),
                ..own.clone()
            }));
        }
    }
    all
}

/// What an outlet still takes in a calendar year after a plan.
fn left_of(year: &Year, outlet: &Outlet, of: i16) -> Option<Pounds> {
    let before = year.ready.outlets.iter().find(|other| other.name == outlet.name && other.year == Some(of));
    let left = before.map_or(outlet.most, |before| before.left)?;
    let sold = year.plan.sales.iter().filter(|sale| sale.outlet == outlet.name && sale.first.year() == of);
    Some((left - sold.map(|sale| sale.pounds).sum()).max(Pounds(0)))
}

/// The record, with what a plan puts on as if it was done before the next one: each
/// application on the first day of its window. Stock that nobody took off a field leaves it
/// on the plan's last day: where it goes then nobody has logged.
fn with_plan(happened: &Happened, plan: &Plan, ready: &Ready, last: Date) -> Happened {
    let mut entries = happened.entries.as_ref().clone();
    for field in &plan.fields {
        let Some(place) = ready.field(&field.id).map(|field| field.written.place.clone()) else { continue };
        let stays = happened.grazings(&field.id).into_iter().find(|(_, last)| last.is_none());
        if let Some((first, _)) = stays {
            let id = format!("{} {} off", plan.from, field.id);
            let on = At { value: field.id.clone(), place: place.clone() };
            let off = plan.to.max(first.tomorrow().unwrap_or(first));
            entries.push(Entry::no_head_left(id, off, on, place.clone()).into());
        }
        for application in &field.applications {
            let id = format!("{} {} {} {}", plan.from, field.id, application.first, application.lot);
            let at = |value: &String| At { value: value.clone(), place: place.clone() };
            let on = (at(&application.lot), at(&field.id));
            let spread = Entry::spread(id, application.first.min(last), on, application.pounds, place.clone());
            entries.push(Entry { acres: application.rest_acres, ..spread }.into());
        }
    }
    happened.of_entries(entries)
}

fn clean_out(out: &Coming) -> CleanOut {
    CleanOut { date: out.day, pounds: out.pounds, lot: out.lot.clone(), by: None, place: out.place.clone() }
}

fn later(date: Date) -> Option<Date> {
    date.checked_add(1.year()).ok()
}

fn renew_lot(lot: &mut Lot, on_hand: Pounds, (before, to): (Date, Date)) -> Option<()> {
    lot.on_hand = on_hand;
    // It holds all that the record shows until then.
    lot.count = Count { day: Some(before), holds_day: true };
    // What is carried over was not counted anew.
    lot.counting = None;
    lot.barred = None;
    for aged in [&mut lot.good_until, &mut lot.uncovered_until].into_iter().flatten() {
        aged.since = later(aged.since)?;
        aged.last = later(aged.last)?;
    }
    if let Contents::Analysis(analysis) = &mut lot.contents {
        let sampled = later(analysis.sampled.value)?;
        analysis.sampled.value = renewed(sampled, lot.planned_until.as_mut(), (before, to));
        if let Some(good) = lot.good_until.as_mut().filter(|_| analysis.sampled.value != sampled) {
            (good.since, good.last) = (before, good.last_from(before));
        }
    }
    Some(())
}

/// A field after a year under its plan, for a plan from the day after one to another.
fn grow_older(field: &mut Field, plan: &FieldPlan, (before, to): (Date, Date)) -> Option<()> {
    // A test that was too old is renewed; every other bar stays.
    field.bars.retain(|bar| !matches!(&bar.origin, Origin::Figure(cite) if cite.figure.contains("soil_sample_age")));
    let written = &mut field.written;
    for date in &mut written.cuttings {
        date.value = later(date.value)?;
    }
    for (from, to) in &mut written.grazed {
        (from.value, to.value) = (later(from.value)?, later(to.value)?);
    }
    field.plan_use_anew();
    let written = &mut field.written;
    if let Some(rated) = &mut written.rating {
        rated.on.value = later(rated.on.value)?;
    }
    if let Some(test) = &mut written.soil_test {
        (field.untested, field.after_test, field.test_expired) = (None, None, None);
        test.sampled.value = renewed(later(test.sampled.value)?, field.good_until.as_mut(), (before, to));
        for outlook in &plan.outlook {
            let value = if outlook.of == "P" { &mut test.p } else { &mut test.k };
            value.value = value.value.moved(outlook.per_year);
        }
    }
    if let Some(through) = plan.phosphorus.rests_through {
        let place = written.bank_years.as_ref().map_or_else(|| written.place.clone(), |b| b.place.clone());
        written.banked_until = Some(At { value: through, place });
    }
    Some(())
}

/// The day of sampling a year on; one that would be due within the plan, or was before it, is
/// done anew before the plan begins.
fn renewed(sampled: Date, good: Option<&mut Aged>, (before, to): (Date, Date)) -> Date {
    let Some(good) = good else { return sampled };
    let since = if good.last_from(sampled) < to { before } else { sampled };
    (good.since, good.last) = (since, good.last_from(since));
    since
}

/// What of a field is stated for another year, each once.
fn no_longer(field: &FieldPlan) -> Vec<String> {
    let lapsed: BTreeSet<String> = field.phosphorus.rows.iter().filter_map(|row| row.lapsed.clone()).collect();
    lapsed.into_iter().collect()
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
        no_longer: no_longer(field),
        not_forecast: year.not_forecast.get(&field.id).cloned(),
        why_none: field.why_none(),
    });
    let lots = plan.lots.iter().map(|lot| YearLot {
        id: lot.id.clone(),
        opening: lot.on_hand,
        made: lot.coming,
        planned: lot.planned,
        sold: lot.sold,
        left: lot.left,
        comes_after: year.after(&lot.id),
        leaves: year.leaves(&lot.id),
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
