//! The question that a chooser is asked, in plain numbers: nothing of files,
//! tables or forages is left in it, so that any chooser can answer it.

use crate::balance::{Balance, Counts, FieldBalance, Limit, LimitKind, Npk, Over, StepId, Trips};
use crate::check::{Lot, Ready, Storage};
use crate::farm::Heading;
use crate::plan::days::{capacity, sure_capacity};
use crate::plan::pick::{Pick, Ways};
use crate::plan::site::{Job, Left, Site};
use crate::plan::stock::{LotRun, StockRun};
use crate::plan::trips::{self, TripCosts};
use crate::units::{Pounds, Quantity};
use jiff::civil::Date;
use std::collections::BTreeSet;
use std::sync::{Arc, OnceLock};

/// The question that was asked first, and the ways to do each of its fields.
pub type Remembered = Arc<OnceLock<(Box<Problem>, Vec<Arc<Ways>>)>>;

/// The question.
#[derive(Clone, Debug)]
pub struct Problem {
    /// The fields.
    pub fields: Vec<ProblemField>,
    /// The lots.
    pub lots: Vec<ProblemLot>,
    /// Every way in which a lot may go on a field in one of its windows.
    pub choices: Vec<Choice>,
    /// Storages with the lots that lie in them.
    pub rooms: Vec<Room>,
    /// Who takes litter.
    pub outlets: Vec<ProblemOutlet>,
    /// Spans of days in which only so much can be spread.
    pub spans: Vec<Span>,
    /// What one day spreads, where days are planned.
    pub a_day: Option<Pounds>,
    /// The chance with which what is planned can be done in its days, where they are planned.
    pub in_time: Option<f64>,
    /// What may not be chosen on one field, in whichever of its windows: so that the next-best
    /// plan can be asked for.
    pub not: Option<(usize, Vec<Pick>)>,
    /// Distance between two settings, tons/ac.
    pub step: f64,
    /// Lowest even rate, tons/ac.
    pub least: f64,
    /// The smallest part of a field, acres.
    pub least_part: f64,
    /// Dollars of getting rid of a ton that no room is left for.
    pub rid: f64,
    /// What a job and a load cost besides what their tons do.
    pub trips: TripCosts,
    /// What was found for the question before one thing in it was changed.
    pub remembered: Remembered,
    /// Worth of a pound of needed nutrient. Dollars where the farm gives
    /// prices, otherwise 1 for every pound.
    pub worth: Npk<f64>,
}

/// A field as the chooser sees it.
#[derive(Clone, Debug)]
pub struct ProblemField {
    /// Spreadable ground in hundredths of an acre.
    pub hundredths: i64,
    /// Nutrients still needed, lb/ac; on a field done in part, on the part that is done.
    pub need: Npk<f64>,
    /// The rest of a field that was done in part.
    pub rest: Option<ProblemRest>,
    /// Whether it is a part of a field, on which no job ends in less than half a load.
    pub part: bool,
    /// Its limits; those of the rest by themselves.
    pub caps: Vec<Cap>,
    /// Most applications in each calendar year.
    pub trips: Vec<Trips>,
    /// Most in days that are no calendar year: in a window that is cut in pieces, in a
    /// season over New Year.
    pub openings: Vec<Trips>,
    /// What the field costs but for its litter, where fertilizers have prices; else a pound
    /// that is met is worth what the problem says.
    pub bill: Option<FieldBill>,
}

/// What a field costs but for its litter, for any jobs on it.
#[derive(Clone, Debug)]
pub struct FieldBill {
    site: Arc<Site>,
    /// Without litter.
    nothing: f64,
}

impl FieldBill {
    /// Whether it is that of another.
    pub(super) fn is(&self, other: &FieldBill) -> bool {
        Arc::ptr_eq(&self.site, &other.site)
    }

    fn of(site: &Arc<Site>) -> FieldBill {
        FieldBill { nothing: site.dollars_without().together(), site: Arc::clone(site) }
    }

    /// No picks save more: all that is paid without litter, and each year ahead met.
    pub(super) fn most_saved(&self) -> f64 {
        self.nothing + self.site.most_ahead()
    }

    /// What some picks of the field leave.
    pub(super) fn left(&self, problem: &Problem, picks: &[Pick]) -> Left {
        let job = |pick: &Pick| {
            let &Choice { lot, window, on_rest, .. } = &problem.choices[pick.choice];
            Job { lot, window, rate: problem.rate(pick.steps), on_rest }
        };
        self.site.left(&picks.iter().map(job).collect::<Vec<Job>>())
    }

    /// Dollars that they save.
    pub(super) fn saved(&self, left: &Left) -> f64 {
        self.nothing - self.site.dollars_of(left).together()
    }

    /// Dollars that they save, but for a constant, were each pound bought at the price that no
    /// mix is below; and by how much the bill of what they leave short may lie above that.
    pub(super) fn at_most(&self, left: &Left) -> (f64, f64) {
        (-self.site.least_of(left), self.site.above(left))
    }
}

/// The rest of a field that was done in part. It may be gone over once before all of the field is
/// gone over again.
#[derive(Clone, Debug, PartialEq)]
pub struct ProblemRest {
    /// Its spreadable ground in hundredths of an acre, of those of the field.
    pub hundredths: i64,
    /// Nutrients still needed on it, lb/ac.
    pub need: Npk<f64>,
}

/// A limit as the chooser sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cap {
    /// Which.
    pub kind: LimitKind,
    /// Over what it is counted: the choices that use some of it.
    pub over: Over,
    /// From which day it binds, where it does not before: as soon as anything goes on from then on,
    /// with all that it counts.
    pub from: Option<Date>,
    /// What it counts.
    pub counts: Counts,
    /// What may still go on, lb/ac or tons/ac; infinite where it is lifted.
    pub allowed: f64,
}

/// Days in which only so much can be spread. What must go out within the span
/// counts; where every span holds, the days are enough for all windows, the
/// earliest to close first (Hall's condition for one machine; from memory).
#[derive(Clone, Debug, PartialEq)]
pub struct Span {
    /// First day.
    pub first: Date,
    /// Last day.
    pub last: Date,
    /// Most that can be spread with the chance that the grower asks for.
    pub pounds: Pounds,
    /// Most in an average year.
    pub average: Pounds,
    /// The lot of which more comes on the first day: windows that are open before
    /// wait for it too.
    pub lot: Option<usize>,
}

/// A storage.
#[derive(Clone, Debug, PartialEq)]
pub struct Room {
    /// The lots that lie in it.
    pub lots: Vec<usize>,
    /// How much goes in, and no less than lies there today.
    pub pounds: Pounds,
    /// What must leave by the evening of a day on which litter comes, were nothing
    /// spread or sold.
    pub must: Vec<(Date, Pounds)>,
}

/// Who takes litter, at which price.
#[derive(Clone, Debug, PartialEq)]
pub struct ProblemOutlet {
    /// Dollars a ton.
    pub price: f64,
    /// Most that is taken; any amount where none is given.
    pub most: Option<Pounds>,
    /// First day.
    pub first: Date,
    /// Last day.
    pub last: Date,
    /// The lots that are taken.
    pub lots: Vec<usize>,
}

/// A lot as the chooser sees it.
#[derive(Clone, Debug)]
pub struct ProblemLot {
    /// On hand, and all that comes.
    pub pounds: Pounds,
    /// What of it comes on later days.
    pub comes: Vec<(Date, Pounds)>,
    /// What a ton left over is worth.
    pub worth_left: f64,
    /// Whether the grower wants it used before the others.
    pub first: bool,
}

/// One lot on one field in one window, at any setting from the lowest even rate to
/// what the field's caps allow.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// Which field.
    pub field: usize,
    /// Which lot.
    pub lot: usize,
    /// Which window of the field.
    pub window: usize,
    /// Whether it goes on the rest of a field that was done in part.
    pub on_rest: bool,
    /// First day of the window.
    pub first: Date,
    /// Last day of the window.
    pub last: Date,
    /// What of a ton counts toward the need, lb.
    pub per_ton: Npk<f64>,
    /// What a ton uses of each of the field's caps, in their order; 0 of one that
    /// does not bind it.
    pub uses: Vec<f64>,
    /// Loading, spreading and hauling a ton.
    pub cost: f64,
    /// Tons beside the stack that could be spread in the time that a ton takes
    /// on this field: 1, and more where the haul is long.
    pub days_weight: f64,
}

impl ProblemField {
    /// Most applications in all of its years, and the one on the rest of it.
    #[must_use]
    pub fn applications(&self) -> usize {
        self.trips.iter().map(|trips| trips.most).sum::<usize>() + usize::from(self.rest.is_some())
    }

    /// Hundredths of an acre that a choice goes on.
    fn ground(&self, on_rest: bool) -> i64 {
        self.rest.as_ref().filter(|_| on_rest).map_or(self.hundredths, |rest| rest.hundredths)
    }
}

impl Problem {
    /// Whether a choice may be one more application beside those that are taken in its
    /// year and in its opening.
    #[must_use]
    pub fn another_trip<'e>(&self, choice: &Choice, taken: impl Iterator<Item = &'e Pick>) -> bool {
        let in_it = |days: &Trips, other: &Choice| days.first <= other.first && other.last <= days.last;
        let taken = taken.map(|pick| &self.choices[pick.choice]).filter(|other| other.on_rest == choice.on_rest);
        let taken: Vec<&Choice> = taken.collect();
        // The log has counted the trip that the rest belongs to.
        if choice.on_rest {
            return taken.is_empty();
        }
        let room = |days: &Trips| taken.iter().filter(|other| in_it(days, other)).count() < days.most;
        let ProblemField { trips, openings, .. } = &self.fields[choice.field];
        let is_in_a_year = trips.iter().any(|days| in_it(days, choice));
        is_in_a_year && trips.iter().chain(openings).filter(|days| in_it(days, choice)).all(room)
    }

    /// Tons per acre of so many steps.
    #[must_use]
    pub fn rate(&self, steps: i64) -> f64 {
        steps as f64 * self.step
    }

    /// Pounds of an application, down to the pound, so that the rate is never passed.
    #[must_use]
    pub fn pounds(&self, entry: &Pick) -> Pounds {
        let choice = &self.choices[entry.choice];
        let acres = self.fields[choice.field].ground(choice.on_rest) as f64 / 100.0;
        Pounds::from_tons_down(self.rate(entry.steps) * acres)
    }

    /// Pounds of an application as they count against a span: up to the pound.
    pub(super) fn time_pounds(&self, entry: &Pick) -> Pounds {
        let c = &self.choices[entry.choice];
        Pounds((self.pounds(entry).0 as f64 * c.days_weight).ceil() as i64)
    }

    /// What one cap of a field still allows a choice on top of some applications of
    /// its field, in what the cap counts.
    pub(super) fn room<'e>(&self, cap: usize, choice: &Choice, others: impl Iterator<Item = &'e Pick>) -> f64 {
        let Cap { over, from, allowed, .. } = self.fields[choice.field].caps[cap];
        if over == Over::Once {
            return allowed;
        }
        let later = |own: &Choice| from.is_none_or(|from| own.uses[cap] > 0.0 && from <= own.first);
        let mut binds = later(choice);
        let room = others.fold(allowed, |room, e| {
            binds |= later(&self.choices[e.choice]);
            room - self.rate(e.steps) * self.choices[e.choice].uses[cap]
        });
        if binds { room } else { f64::INFINITY }
    }

    /// Fewest steps that spread evenly.
    #[must_use]
    pub fn least_steps(&self) -> i64 {
        (self.least / self.step - 1e-9).ceil().max(1.0) as i64
    }
}

/// Puts the question for a farm; what its fields cost goes by the fertilizers where they have
/// prices.
pub(super) fn problem(ready: &Ready, balance: &Balance, sites: &[Arc<Site>]) -> Problem {
    let price = |get: fn(&crate::farm::Prices) -> f64, without| ready.prices.as_ref().map_or(without, get);
    let worth = Npk {
        n: price(|p| p.n.value.get(), 1.0),
        p2o5: price(|p| p.p2o5.value.get(), 1.0),
        k2o: price(|p| p.k2o.value.get(), 1.0),
    };
    let spreading = price(|p| p.spreading.value.get(), 0.0);
    let hauling = price(|p| p.hauling.value.get(), 0.0);
    let mut choices = Vec::new();
    for (f, field) in balance.fields.iter().enumerate() {
        if !field.bars.is_empty() || field.acres <= 0.0 {
            continue;
        }
        for (window, days) in field.windows.iter().enumerate() {
            for (lot, litter) in ready.lots.iter().enumerate() {
                let Some(weighed) = field.lot(&litter.id) else { continue };
                let expired = litter.planned_until.as_ref().is_some_and(|stop| stop.last < days.last);
                if litter.barred.is_some() || expired || litter.kept_from(field.field()).is_some() {
                    continue;
                }
                let haul = field.surveyed.hauls.get(&litter.id);
                let miles = haul.map_or(0.0, |haul| haul.miles);
                let on_rest = field.rest.as_ref().is_some_and(|rest| rest.windows.contains(&window));
                let used = |cap: &Limit| field.use_of(cap, weighed, &litter.kind, window);
                choices.push(Choice {
                    field: f,
                    lot,
                    window,
                    on_rest,
                    first: days.first,
                    last: days.last,
                    per_ton: field.usable_per_ton(weighed, Some(window)),
                    uses: caps(field).map(|cap| if cap.counts(on_rest) { used(cap.limit) } else { 0.0 }).collect(),
                    cost: spreading + hauling * miles,
                    days_weight: ready.work.pace.as_ref().map_or(1.0, |pace| pace.tons_for_one_at(miles)),
                });
            }
        }
    }
    let bill_of = |at: usize| sites.get(at).filter(|_| ready.prices.is_some()).map(FieldBill::of);
    let run = StockRun::of(ready, ready.to);
    let lots: Vec<ProblemLot> = ready.lots.iter().zip(&run.lots).map(|(litter, run)| lot(ready, litter, run)).collect();
    Problem {
        fields: balance.fields.iter().enumerate().map(|(at, own)| field(own, bill_of(at))).collect(),
        spans: spans(ready, &choices, &lots),
        rooms: ready.work.storage.iter().map(|store| room(ready, &run, store)).collect(),
        outlets: outlets(ready),
        lots,
        choices,
        in_time: ready.work.pace.as_ref().map(|pace| pace.in_time),
        a_day: ready.work.pace.as_ref().map(|pace| Pounds::from_tons_down(pace.tons_per_day)),
        not: None,
        step: ready.spreader.step.value.get(),
        least: ready.spreader.least.value.get(),
        least_part: ready.least_part(),
        rid: trips::rid(ready),
        trips: TripCosts::of(ready),
        remembered: Remembered::default(),
        worth,
    }
}

/// How much can be expected to be spread from every first day of a window, and from
/// every day on which litter comes, to every last one; none where the farm plans no
/// days.
fn spans(ready: &Ready, choices: &[Choice], lots: &[ProblemLot]) -> Vec<Span> {
    let firsts: BTreeSet<Date> = choices.iter().map(|c| c.first).collect();
    let lasts: BTreeSet<Date> = choices.iter().map(|c| c.last).collect();
    let mut spans = Vec::new();
    let mut add = |first, lasts: Vec<Date>, lot| {
        let sure = sure_capacity(ready, first, &lasts).unwrap_or_default();
        for (last, tons) in lasts.into_iter().zip(sure) {
            let average = capacity(ready, first, last).unwrap_or(tons);
            let [pounds, average] = [tons, average].map(Pounds::from_tons_down);
            spans.push(Span { first, last, pounds, average, lot });
        }
    };
    for &first in &firsts {
        // Only spans that a window lies in bind anything.
        let binds = |last: &&Date| choices.iter().any(|c| first <= c.first && c.last <= **last);
        add(first, lasts.iter().filter(binds).copied().collect(), None);
    }
    for (lot, own) in lots.iter().enumerate() {
        // Litter that comes day by day keeps nobody waiting for long.
        for (day, _) in own.comes.iter().filter(|_| own.comes.len() <= MOST_ARRIVALS) {
            let waits =
                |last: Date| choices.iter().any(|c| c.lot == lot && c.first < *day && *day <= c.last && c.last <= last);
            add(*day, lasts.iter().copied().filter(|last| waits(*last)).collect(), Some(lot));
        }
    }
    spans
}

/// More arrivals of one lot than this come day by day.
const MOST_ARRIVALS: usize = 24;

/// A storage. What lies there today lies there, however little goes in.
fn room(ready: &Ready, run: &StockRun, store: &Storage) -> Room {
    let inside = run.lots.iter().enumerate().filter(|(_, lot)| store.lots.contains(&lot.id));
    let held = |day: Date| run.together(&store.lots, day);
    let today: Pounds = inside.clone().map(|(_, lot)| lot.on_hand).sum();
    let pounds = store.room.max(today);
    let days = run.days(&store.lots, ready.as_of);
    let told = days.told().map(|day| (day, held(day) - pounds));
    Room { lots: inside.map(|(index, _)| index).collect(), pounds, must: told.filter(|(_, over)| over.0 > 0).collect() }
}

/// Who takes litter on a day on which the plan can still give some.
fn outlets(ready: &Ready) -> Vec<ProblemOutlet> {
    let priced = ready.outlets.iter().filter(|_| ready.prices.is_some());
    priced
        .map(|outlet| {
            let lots = ready.lots.iter().enumerate().filter(|(_, lot)| outlet.lots.contains(&lot.id));
            let (first, last) = outlet.days(ready.as_of, ready.to);
            let open = first <= last;
            ProblemOutlet {
                price: outlet.price,
                most: outlet.left,
                first,
                last,
                lots: lots.map(|(index, _)| index).filter(|_| open).collect(),
            }
        })
        .collect()
}

/// Without prices a ton of litter counts as this many pounds of nutrient:
/// enough that of two plans that feed alike the one with less litter is taken.
const LITTER_SPARED: f64 = 0.001;

fn lot(ready: &Ready, lot: &Lot, run: &LotRun) -> ProblemLot {
    ProblemLot {
        pounds: run.on_hand + run.to_come(),
        comes: run.comes.clone(),
        worth_left: ready.worth_left(&lot.id).unwrap_or(LITTER_SPARED),
        first: lot.first,
    }
}

/// A limit on some ground of a field.
struct GroundCap<'a> {
    limit: &'a Limit,
    /// What it still allows there.
    left: StepId,
    /// Whether it is that of the rest of a field that was done in part.
    of_rest: bool,
}

impl GroundCap<'_> {
    /// Whether it counts what goes on the rest alone, or on all of the field.
    fn counts(&self, on_rest: bool) -> bool {
        self.of_rest || !on_rest || self.limit.over == Over::Once
    }
}

/// The limits of a field, then over what the rest of one that was done in part got and gets.
fn caps(field: &FieldBalance) -> impl Iterator<Item = GroundCap<'_>> {
    let all = field.limits.iter().map(|limit| GroundCap { limit, left: limit.left, of_rest: false });
    let over = field.limits.iter().filter(|limit| limit.over != Over::Once);
    all.chain(over.filter_map(|limit| Some(GroundCap { limit, left: limit.on_rest?.left, of_rest: true })))
}

fn field(balance: &FieldBalance, bill: Option<FieldBill>) -> ProblemField {
    let cap = |GroundCap { limit, left, .. }: GroundCap<'_>| Cap {
        kind: limit.kind,
        over: limit.over,
        from: limit.from,
        counts: limit.counts,
        allowed: balance.value(left),
    };
    let hundredths = |acres: f64| (acres * 100.0).round() as i64;
    let rest = balance.rest.as_ref();
    ProblemField {
        hundredths: hundredths(balance.acres),
        need: balance.left(),
        part: matches!(balance.field().written.heading.as_ref().map(|h| h.value), Some(Heading::PartLine(_))),
        rest: rest.map(|rest| ProblemRest { hundredths: hundredths(rest.acres), need: balance.left_on_rest() }),
        caps: caps(balance).map(cap).collect(),
        trips: balance.trips.clone(),
        openings: balance.openings.clone(),
        bill,
    }
}
