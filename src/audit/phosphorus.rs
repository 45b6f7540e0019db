//! Phosphate calculated again: what is allowed, over which days, and what log and plan
//! put on in them.

use crate::audit::goal::yield_goal;
use crate::audit::hay;
use crate::audit::held::{all_n, asked_by_test, holds, rests};
use crate::audit::herds;
use crate::audit::log::{self, LimitLoad, LoggedSpread};
use crate::audit::p_rule::{self, By, Found};
use crate::audit::period::{self, Days, JANUARY, in_twelve_months, year_around};
use crate::check::{Field, Lot, Ready};
use crate::farm::Use;
use crate::plan::answer::FieldPlan;
use crate::tables::p_rule::{PMost, PMostOf};
use crate::tables::{Book, Scope, topic};
use crate::units::Quantity;
use jiff::ToSpan;
use jiff::civil::Date;

/// What may go on in a field's year, lb/ac.
struct Rule {
    by: By,
    /// In any one year.
    at_once: f64,
    /// In the year in which the plan begins, after what earlier years left.
    allowed: f64,
    /// What the rule allows for a year.
    a_year: f64,
    /// Caps beside the basis.
    most: Vec<PMost>,
}

/// A field with what its phosphorus is found by.
struct Case<'a> {
    plan: &'a FieldPlan,
    field: &'a Field,
    ready: &'a Ready,
    book: &'a Book<'a>,
    /// Whether it is judged as a field without a soil test.
    without: bool,
    /// Every spreading of the log.
    all: Vec<LoggedSpread>,
    /// Every fertilizer of the log that holds phosphate, and hay that was fed.
    bagged: Vec<LoggedSpread>,
}

/// Phosphate allowed, lb/ac; none where nitrogen alone caps the rate.
pub(super) fn allowed(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>) -> Option<f64> {
    let rule = Case::of(plan, field, ready, book).rule();
    (rule.by != By::Nothing).then_some(rule.allowed)
}

/// What log and plan put on over every period that counts.
pub(super) fn loads(
    plan: &FieldPlan,
    field: &Field,
    ready: &Ready,
    book: &Book<'_>,
    log_alone: bool,
) -> Vec<LimitLoad> {
    let mut case = Case::of(plan, field, ready, book);
    let mut loads = case.loads(log_alone);
    if let Some(from) = p_rule::untested_from(field, ready, book).filter(|_| !log_alone) {
        case.without = true;
        loads.extend(case.loads_from(from));
    }
    loads
}

/// Phosphate that fertilizer may bring besides the litter of the plan; none where
/// nothing limits it.
pub(super) fn to_buy(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>) -> Option<f64> {
    let case = Case::of(plan, field, ready, book);
    let (rule, begins) = (case.rule(), period::begins(ready));
    let own = |days: Days, allowed: f64| allowed - case.logged(|date| days.0 <= date && date <= days.1);
    let last_year = || match period::of_phosphorus(field, ready, book) {
        Some(year) => {
            let years = period::touched(plan, ready, year).into_iter();
            years.map(|days| own(days, rule.at_once)).fold(f64::INFINITY, f64::min)
        }
        None => rule.at_once - case.logged(|date| date >= begins || in_twelve_months(date, begins)),
    };
    let this_year = || own(first_year(plan, ready), rule.allowed);
    let need = asked_by_test(field, ready, book, true);
    let bought = p_rule::bought(field, ready, book, need, carried_off(plan, field, ready, book));
    let bought = bought.map(|most| own(first_year(plan, ready), most));
    let open = match rule.by {
        By::Nothing => f64::INFINITY,
        By::None => this_year(),
        By::Removal => {
            let years = case.carried(&rule, &period::touched(plan, ready, JANUARY), &|_| true).into_iter();
            years.map(|load| load.allowed - load.logged).fold(this_year().min(last_year()), f64::min)
        }
        By::Test => {
            case.since_test(rule.a_year).first().map_or(f64::INFINITY, |l| l.allowed - l.logged).min(last_year())
        }
    };
    let open = bought.into_iter().fold(open, f64::min);
    open.is_finite().then(|| (open.max(0.0) - plan.supplied.p2o5).max(0.0))
}

/// The calendar year in which the plan begins.
fn first_year(plan: &FieldPlan, ready: &Ready) -> Days {
    period::touched(plan, ready, JANUARY).first().copied().unwrap_or((Date::MIN, Date::MAX))
}

impl<'a> Case<'a> {
    fn of(plan: &'a FieldPlan, field: &'a Field, ready: &'a Ready, book: &'a Book<'a>) -> Case<'a> {
        let all = log::spread(field, plan.acres, (Date::MIN, Date::MAX), ready, book);
        let mut bagged = log::besides(log::BESIDES, (field, plan.acres), (Date::MIN, Date::MAX), ready, book);
        bagged.retain(|s| s.bag(1) > 0.0);
        let without = p_rule::goes_without_test(field, ready, book);
        Case { plan, field, ready, book, without, all, bagged }
    }

    /// What the place's rows come to, before anything is taken off.
    fn found(&self) -> Found {
        let Case { plan, field, ready, book, .. } = *self;
        let need = asked_by_test(field, ready, book, true);
        let removal = carried_off(plan, field, ready, book);
        let mut found = p_rule::found((field, ready, book), need, removal, self.without);
        if rests(field, ready) {
            found.by = By::None;
        }
        found
    }

    fn rule(&self) -> Rule {
        let Case { plan, field, ready, .. } = *self;
        let Found { by, a_year, years, most, .. } = self.found();
        let (at_once, allowed) = match by {
            By::Nothing => (f64::INFINITY, f64::INFINITY),
            By::None => (0.0, 0.0),
            By::Test => (a_year, a_year),
            By::Removal => {
                let years = field.written.bank_years.as_ref().map_or(1.0, |y| f64::from(y.value).min(f64::from(years)));
                let at_once = a_year * years;
                let touched = period::touched(plan, ready, JANUARY);
                let left = self.left_before(first_year(plan, ready).0.year());
                let several = touched.len() < 2 && left <= 0.0;
                (at_once, if several { at_once } else { (a_year - left).max(0.0) })
            }
        };
        Rule { by, at_once, allowed, a_year, most }
    }

    /// Phosphate of earlier years that still counts when a year begins: whichever year one
    /// starts from, what went on since less what is done with since.
    fn left_before(&self, from: i16) -> f64 {
        let mut years: Vec<i16> = self.years().into_iter().filter(|year| *year < from).collect();
        years.reverse();
        let (mut on, mut most) = (0.0, 0.0_f64);
        for year in years {
            on += self.logged(|date| date.year() == year);
            let off: f64 = (year..from).map(|year| self.done_with(year)).sum();
            most = most.max(on - off);
        }
        most
    }

    /// Of what went on in a year, what no later one is asked for: what came off, and up to the
    /// rule's own multiple of that what went on; by a rule that allows a part of it, that part.
    fn done_with(&self, year: i16) -> f64 {
        let (off, allowed) = (self.carried_off_in(year), self.allowed_in(year));
        self.logged(|date| date.year() == year).max(off).min(allowed)
    }

    /// What the rule allows for a year: of what the forage carried off the least of what
    /// was in force in it.
    fn allowed_in(&self, year: i16) -> f64 {
        let Found { a_year, times, .. } = self.found();
        let (field, plan, ready) = (self.field, self.plan, self.ready);
        match field.written.before.is_empty() || year >= first_year(plan, ready).0.year() {
            true => a_year,
            false => {
                let now = carried_off(plan, field, ready, self.book).unwrap_or(0.0);
                let then = self.carried_off_in(year);
                if then == now { a_year } else { then * times }
            }
        }
    }

    /// What the forage carried off in a year: the least of what was in force in it.
    fn carried_off_in(&self, year: i16) -> f64 {
        let Case { plan, field, ready, book, .. } = *self;
        let now = carried_off(plan, field, ready, book).unwrap_or(0.0);
        let before = &field.written.before;
        if before.is_empty() || year >= first_year(plan, ready).0.year() {
            return now;
        }
        let in_year = |day: &Date| day.year() == year;
        let changed = before.iter().filter_map(|before| before.until.value.tomorrow().ok()).filter(in_year);
        let then = |day: Date| {
            let goal = before.iter().filter(|b| b.until.value >= day).find_map(|b| b.yield_goal.as_ref());
            let stated = goal.or(field.written.stand.yield_goal.as_ref()).map(|goal| goal.value.get());
            let scope = log::then(field, day, ready);
            let grazed = before.iter().filter(|b| b.until.value >= day).find_map(|b| b.usage.as_ref());
            let usage = grazed.unwrap_or(&field.written.stand.usage).value;
            let grazed = usage == Use::Pasture;
            let same_crop = field.written.forage_on(day).value == field.written.forage.value;
            let per_ton = hay::p2o5_per_ton(field, same_crop, book, &scope).unwrap_or(0.0);
            let keeps = keeps(scope, book);
            let cut = cut_for_hay(field, usage);
            let tons = stated.or_else(|| yield_goal(plan, field, book)).unwrap_or(0.0);
            let still_grazed = field.written.usage.value == Use::Pasture;
            let most = if grazed && still_grazed { now } else { f64::INFINITY };
            (tons * per_ton * (cut + (1.0 - cut) * keeps)).min(most)
        };
        Date::new(year, 1, 1).into_iter().chain(changed).map(then).fold(f64::INFINITY, f64::min)
    }

    /// The days on which the log shows phosphate.
    fn dates(&self) -> impl Iterator<Item = Date> {
        self.all.iter().chain(&self.bagged).map(|s| s.date)
    }

    /// The calendar years with spreading that were not rested off.
    fn years(&self) -> Vec<i16> {
        let rested = self.field.written.banked_until.as_ref().map_or(i16::MIN, |u| u.value);
        let mut years: Vec<i16> = self.dates().map(Date::year).filter(|year| *year > rested).collect();
        years.sort_unstable();
        years.dedup();
        years
    }

    /// Phosphate in a ton of a lot.
    fn held(&self, lot: Option<&Lot>) -> f64 {
        let held = lot.and_then(|lot| holds(lot, self.field, None, self.ready, self.book));
        held.map_or(0.0, |(_, p2o5)| p2o5)
    }

    /// What the log put on on some days, on the densest ground.
    fn logged(&self, days: impl Fn(Date) -> bool) -> f64 {
        let own =
            |all: &[LoggedSpread]| -> Vec<LoggedSpread> { all.iter().filter(|s| days(s.date)).cloned().collect() };
        let litter = |s: &LoggedSpread| s.rate * self.held(s.of_lot(self.ready).as_deref());
        log::with_besides((&own(&self.all), &litter), (&own(&self.bagged), &|s| s.bag(1)))
    }

    /// The last day of some on which the log put some of it on.
    fn last(&self, days: Days) -> Option<Date> {
        self.dates().filter(|date| days.0 <= *date && *date <= days.1).max()
    }

    /// What the plan puts on with the applications that may fall into some days.
    fn planned(&self, own: impl Fn(Days) -> bool) -> f64 {
        let all = self.plan.applications.iter().filter(|a| own((a.first, a.last)));
        all.map(|a| a.rate * self.held(self.ready.lot(&a.lot))).fold(0.0, |sum, one| sum + one)
    }

    fn over(&self, days: Days, allowed: f64) -> LimitLoad {
        LimitLoad {
            what: format!("lb/ac of P2O5 from {} to {} where the most is", days.0, days.1),
            last: self.last(days),
            logged: self.logged(|date| days.0 <= date && date <= days.1),
            planned: self.planned(|own| own.0 <= days.1 && days.0 <= own.1),
            allowed,
        }
    }

    fn loads(&self, log_alone: bool) -> Vec<LimitLoad> {
        let (rule, plan, ready) = (self.rule(), self.plan, self.ready);
        let calendar = period::touched(plan, ready, JANUARY);
        let of_period = || match period::of_phosphorus(self.field, ready, self.book) {
            Some(year) => {
                let years = period::touched(plan, ready, year).into_iter();
                years.map(|days| self.over(days, self.most_in(days, rule.by, rule.at_once))).collect()
            }
            None if log_alone => {
                let dates = log::dates(self.field, plan.acres, ready, self.book).into_iter();
                let ends = period::ends_of_log(plan, ready, dates).into_iter();
                ends.map(|day| self.twelve_months_to(day, rule.by, rule.at_once)).collect()
            }
            None => self.twelve_months(period::begins(ready), rule.by, rule.at_once),
        };
        let mut loads: Vec<LimitLoad> = match rule.by {
            By::Nothing => Vec::new(),
            By::None => calendar.iter().map(|days| self.over(*days, 0.0)).collect(),
            By::Test => of_period().into_iter().chain(self.since_test(rule.a_year)).collect(),
            By::Removal => of_period().into_iter().chain(self.carried(&rule, &calendar, &|_| true)).collect(),
        };
        let a_year = rule.most.iter().filter(|most| most.over < 2);
        loads.extend(calendar.iter().flat_map(|days| a_year.clone().map(|most| self.capped(*days, *most))));
        let several = rule.most.iter().filter(|most| most.over > 1);
        loads.extend(several.flat_map(|most| self.capped_in_years(*most, log_alone)));
        loads
    }

    /// What counts where applications lie after the last day of the soil test: all that is on in
    /// the days in which one of them may go on, against what a field without a test is allowed.
    fn loads_from(&self, from: Date) -> Vec<LimitLoad> {
        let own = || self.plan.applications.iter().filter(|a| from <= a.first);
        let Some(first) = own().map(|a| a.first).min() else { return Vec::new() };
        let meets = |days: Days| own().any(|a| days.0 <= a.last && a.first <= days.1);
        let rule = self.rule();
        let calendar = period::touched(self.plan, self.ready, JANUARY);
        let by_year = || calendar.iter().copied().filter(|days| meets(*days));
        match rule.by {
            By::Nothing => Vec::new(),
            By::None | By::Test => by_year().map(|days| self.over(days, 0.0)).collect(),
            By::Removal => {
                let period = match period::of_phosphorus(self.field, self.ready, self.book) {
                    Some(year) => {
                        let years =
                            period::touched(self.plan, self.ready, year).into_iter().filter(|days| meets(*days));
                        years.map(|days| self.over(days, self.most_in(days, rule.by, rule.at_once))).collect()
                    }
                    None => self.twelve_months(first, rule.by, rule.at_once),
                };
                period.into_iter().chain(self.carried(&rule, &calendar, &meets)).collect()
            }
        }
    }

    /// A cap over any so many years: those that end with each day on which something goes on.
    fn capped_in_years(&self, most: PMost, log_alone: bool) -> Vec<LimitLoad> {
        let (plan, ready) = (self.plan, self.ready);
        let dates = log::dates(self.field, plan.acres, ready, self.book).into_iter();
        let ends = match log_alone {
            true => period::ends_of_log_in_years(plan, ready, dates, most.over),
            false => period::ends_of_plan(plan, ready, dates),
        };
        let before = |day: Date| day.checked_sub(i32::from(most.over).years()).unwrap_or(Date::MIN);
        ends.into_iter().map(|day| self.capped((before(day).tomorrow().unwrap_or(day), day), most)).collect()
    }

    /// A cap beside the basis, over some days.
    fn capped(&self, days: Days, most: PMost) -> LimitLoad {
        let of = match most.of {
            PMostOf::P2o5 => return self.over(days, most.amount),
            PMostOf::Litter => "tons/ac of litter",
            PMostOf::TotalN => "lb/ac of nitrogen in litter",
        };
        let in_a_ton = |lot: Option<&Lot>| match most.of {
            PMostOf::TotalN => lot.map_or(0.0, all_n),
            PMostOf::Litter | PMostOf::P2o5 => 1.0,
        };
        let own: Vec<LoggedSpread> =
            self.all.iter().filter(|s| days.0 <= s.date && s.date <= days.1).cloned().collect();
        let put = self.plan.applications.iter().filter(|a| days.0 <= a.last && a.first <= days.1);
        LimitLoad {
            what: format!("{of} from {} to {} where the rule allows", days.0, days.1),
            last: log::last_day(&own),
            logged: log::densest(&own, &|s| s.rate * in_a_ton(s.of_lot(self.ready).as_deref())),
            planned: put.fold(0.0, |sum, a| sum + a.rate * in_a_ton(self.ready.lot(&a.lot))),
            allowed: most.amount,
        }
    }

    /// The calendar years of the plan, alone and together: what comes off in them, less
    /// what was left before. Several years at once go on in the last of them alone, where
    /// nothing is left.
    fn carried(&self, rule: &Rule, calendar: &[Days], counts: &dyn Fn(Days) -> bool) -> Vec<LimitLoad> {
        let Some((first, last)) = calendar.first().zip(calendar.last()) else { return Vec::new() };
        let left = self.left_before(first.0.year());
        let banks = rule.at_once > rule.a_year + 1e-6;
        let mut loads = Vec::new();
        for end in calendar.iter().filter(|end| !banks || *end != last) {
            let begins = calendar.iter().filter(|begin| begin.0 <= end.0);
            for begin in begins.filter(|begin| counts((begin.0, end.1))) {
                let years = f64::from(end.1.year() - begin.0.year() + 1);
                let left = if begin == first { left } else { 0.0 };
                // While something is left, a year more makes room by what comes off in it.
                let more = if left > 0.0 { rule.a_year.min(self.carried_off_in(first.0.year())) } else { rule.a_year };
                loads.push(self.over((begin.0, end.1), (rule.a_year + (years - 1.0) * more - left).max(0.0)));
            }
        }
        if banks && counts(*last) {
            let left = self.left_before(last.0.year());
            loads.push(self.over(*last, if left > 0.0 { (rule.a_year - left).max(0.0) } else { rule.at_once }));
        }
        loads
    }

    /// Day by day, the twelve months that end with it: what the log shows in them, and
    /// every application that may have gone on by then.
    fn twelve_months(&self, begins: Date, by: By, at_once: f64) -> Vec<LimitLoad> {
        let logged = self.dates().filter(|date| *date >= begins).max();
        let last = self.plan.applications.iter().map(|a| a.last).chain(logged).fold(begins, Date::max);
        let mut loads: Vec<LimitLoad> = Vec::new();
        let mut before: Option<(Vec<bool>, Vec<bool>)> = None;
        let mut day = begins;
        while day <= last {
            let on: Vec<bool> = self.dates().map(|date| in_twelve_months(date, day)).collect();
            let planned = |own: Days| own.0 <= day && in_twelve_months(own.1.min(day), day);
            let put: Vec<bool> = self.plan.applications.iter().map(|a| planned((a.first, a.last))).collect();
            let now = Some((on, put));
            if now != before {
                loads.push(self.twelve_months_to(day, by, at_once));
                before = now;
            }
            let Ok(next) = day.tomorrow() else { break };
            day = next;
        }
        loads
    }

    /// The twelve months that end with a day, with every application that may have gone on
    /// by then.
    fn twelve_months_to(&self, day: Date, by: By, at_once: f64) -> LimitLoad {
        let days = period::twelve_months_to(day);
        LimitLoad {
            what: format!("lb/ac of P2O5 in the twelve months to {day} where the most is"),
            last: self.last(days),
            logged: self.logged(|date| in_twelve_months(date, day)),
            planned: self.planned(|own| own.0 <= day && in_twelve_months(own.1.min(day), day)),
            allowed: self.most_in(days, by, at_once),
        }
    }

    /// What some days allow in all: more than now where more came off in a year of them.
    fn most_in(&self, days: Days, by: By, at_once: f64) -> f64 {
        let years = (days.0.year()..=days.1.year()).filter(|_| by == By::Removal);
        years.map(|year| self.allowed_in(year)).fold(at_once, f64::max)
    }

    /// Since the soil was sampled, by the end of each growing year of the plan: what the
    /// test asks for in a year, as often as one began since.
    fn since_test(&self, asked: f64) -> Vec<LimitLoad> {
        let Case { plan, field, ready, book, .. } = *self;
        let Some(sampled) = field.written.soil_test.as_ref().map(|test| test.sampled.value) else { return Vec::new() };
        let begins = period::growing(field, ready, book);
        let year = begins.unwrap_or(JANUARY);
        let ends: Vec<Date> = match begins {
            Some(year) => period::touched(plan, ready, year).into_iter().map(|days| days.1).collect(),
            None => vec![ready.to],
        };
        let one = |last: Date| {
            let begun = std::iter::successors(year_around(sampled, year).1.tomorrow().ok(), |day| {
                year_around(*day, year).1.tomorrow().ok()
            });
            let begun = begun.take_while(|first| *first <= last).count().max(1);
            self.over((sampled, last), asked * begun as f64)
        };
        ends.into_iter().filter(|last| sampled <= *last).map(one).collect()
    }
}

/// What the forage carries off in a year, lb/ac.
fn carried_off(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>) -> Option<f64> {
    let scope = ready.scope(field);
    let carried = yield_goal(plan, field, book)? * hay::p2o5_per_ton(field, true, book, &scope)?;
    let cut = cut_for_hay(field, field.written.usage.value);
    if cut >= 1.0 {
        return Some(carried);
    }
    let eaten = carried * (1.0 - cut) * keeps(scope, book);
    Some(carried * cut + herds::leaves(plan, ready, book, "p2o5").unwrap_or(f64::INFINITY).min(eaten))
}

/// The share of phosphate that grazing animals keep of what they eat.
fn keeps(scope: Scope<'_>, book: &Book<'_>) -> f64 {
    book.get(topic::GRAZING_KEEPS, &scope.nutrient("p2o5").usage("pasture")).map_or(1.0, |f| f.value.get())
}

/// The share of the growth that leaves as hay under some use: all of it where nobody says.
fn cut_for_hay(field: &Field, usage: Use) -> f64 {
    match usage {
        Use::Hay | Use::Grain => 1.0,
        Use::Pasture => 0.0,
        Use::HayThenGrazed => field.written.hayed.as_ref().map_or(1.0, |share| share.value.get() / 100.0),
    }
}
