//! The other figures that a reader of the plan sees: what a field needs and
//! gets, how far the litter is hauled, what the whole costs.

use crate::audit::budget::{PICKS, YearOfNeed, bought_for, budgets, put, put_on, sums};
use crate::audit::fault::{fault, first_letters, near};
use crate::audit::outlets::Took;
use crate::audit::{bill, held, log, nutrients, p_rule, period, phosphorus, rest};
use crate::check::{Field, Ready};
use crate::farm::Prices;
use crate::findings::Findings;
use crate::plan::answer::{Application, FieldPlan, GroundBudget, MustGo, Plan, YearBudget};
use crate::record::What;
use crate::tables::Book;
use crate::units::{Pounds, Quantity};
use geo::Coord;
use jiff::civil::Date;

/// A hundredth of a pound an acre: a figure that strays further is another one.
const SLACK: f64 = 0.01;
/// The factor from P to P2O5 is kept to five figures there and calculated from the
/// atomic weights here.
const SHARE: f64 = 1e-4;
/// Dollars are whole, and sums of a few of them stray by one or two.
const DOLLARS: f64 = 2.0;
/// Miles in a straight line by a sphere stray by less than this share.
const MILES: f64 = 0.01;
/// Mean radius of the earth, miles.
const RADIUS: f64 = 6_371_008.8 / 1_609.344;

fn apart(a: f64, b: f64) -> bool {
    // Not `>`, which a value that is no number would pass.
    !near(a, b, SLACK + SHARE * b.abs())
}

/// `densest` is the farm with all grounds of the log on each other, where entries say theirs:
/// spots miss what is small, so that a figure which follows from the log lies between what
/// spots find and that.
pub(super) fn field(
    plan: &FieldPlan,
    field: &Field,
    (ready, densest): (&Ready, Option<&Ready>),
    book: &Book<'_>,
    findings: &mut Findings,
) {
    words(plan, field, (ready.from, ready.to), findings);
    let mut say = |what: String| findings.push(fault("shown", format!("field {}: {what}", plan.id)));
    let waits = p_rule::untested_from(field, ready, book).is_none();
    if plan.test_until != period::test_until(field, ready, book).filter(|_| waits) {
        say("its soil test does not expire on the day shown".to_string());
    }
    let named = |day: Date| !book.as_on(day).seasons(&ready.scope(field)).is_empty();
    let begins = |day: Date| ready.from < day && day <= ready.to && day.yesterday().is_ok_and(|eve| !named(eve));
    if plan.seasons_from.is_some_and(|day| !begins(day) || !named(day) || named(ready.from)) {
        say("the tables name its seasons from another day on".to_string());
    }
    let mut between = |what: &str, shown: f64, found: &[f64]| {
        let low = found.iter().copied().fold(f64::INFINITY, f64::min);
        let high = found.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let inside = low <= shown && shown <= high;
        if !inside && apart(shown, low) && apart(shown, high) {
            say(format!("{what} is {shown:.2} lb/ac; recalculated it is {low:.2}"));
        }
    };
    let mut same = |what: &str, shown: f64, found: f64| between(what, shown, &[found]);
    // A report may ask for phosphate and potash where nothing tells the nitrogen.
    let by_year = nutrients::needs(plan, field, ready, book);
    let mut known = [by_year.is_some(), true, true];
    let unknown = || nutrients::years(plan, field, ready, book).into_iter().map(|days| (days, 0.0)).collect();
    let years = by_year.unwrap_or_else(unknown);
    let bought = bought_for(&years, ready);
    let of = bought.iter().filter(|own| **own).count() as f64;
    let need: f64 = years.iter().zip(&bought).filter(|(_, own)| **own).map(|((_, need), _)| need).sum();
    if known[0] {
        same("the N need", plan.need.n, need);
        same("the N allowed", plan.n_allowed, need);
    }
    for (what, shown, nutrient) in [("the P2O5 need", plan.need.p2o5, 1), ("the K2O need", plan.need.k2o, 2)] {
        let asked = held::asked_by_test(field, ready, book, nutrient == 1);
        known[nutrient] = asked.is_some();
        asked.into_iter().for_each(|asked| same(what, shown, asked * of));
    }
    same("the P2O5 planned", plan.phosphorus.planned, plan.done.p2o5 + plan.supplied.p2o5);
    let ready_of: Vec<&Ready> = std::iter::once(ready).chain(densest).collect();
    let allowed: Vec<f64> = ready_of.iter().filter_map(|ready| phosphorus::allowed(plan, field, ready, book)).collect();
    if let (Some(shown), false) = (plan.phosphorus.allowed, allowed.is_empty()) {
        between("the P2O5 allowed", shown, &allowed);
    }
    let sums_of = |ready: &&Ready| {
        let mut list: Vec<(String, f64, f64)> = Vec::new();
        let budgets = budgets((plan, field), &years, &bought, (ready, book));
        let mut tell = |what: &str, shown: f64, found: f64| list.push((what.to_string(), shown, found));
        sums(plan, &budgets, known, &mut tell);
        let whole = |a: &Application| a.rest_acres.is_none();
        let whole = PICKS.map(|pick| put(plan, (field, ready, book), &|held, _| pick(held), &whole));
        put_on(plan, &budgets, whole, &mut tell);
        list
    };
    let told: Vec<_> = ready_of.iter().map(sums_of).collect();
    for (at, (what, shown, _)) in told.first().into_iter().flatten().enumerate() {
        let found: Vec<f64> = told.iter().filter_map(|list| list.get(at)).map(|(_, _, found)| *found).collect();
        between(what, *shown, &found);
    }
    let all_n: Vec<f64> = ready_of.iter().map(|ready| total_n(plan, field, ready, &years, book)).collect();
    between("all the N put on", plan.total_n, &all_n);
    hauls(plan, field, ready, findings);
    logged(plan, field, ready, findings);
}

/// Litter that the plan says went on since its first day.
fn logged(plan: &FieldPlan, field: &Field, ready: &Ready, findings: &mut Findings) {
    let Some(told) = &plan.logged else { return };
    let spread = ready.happened.on_field(field.id(), What::Spread).filter(|entry| entry.date >= ready.from);
    let (pounds, last) =
        spread.fold((0, None), |(sum, last), entry| (sum + entry.amount.0, last.max(Some(entry.date))));
    if (told.pounds.0, Some(told.last)) != (pounds, last) {
        let (told, on) = (told.pounds.in_tons(), crate::units::Pounds(pounds).in_tons());
        findings.push(fault("shown", format!("field {}: {told} went on; the log has {on}", plan.id)));
    }
}

/// All nitrogen of log and plan in the growing years of the plan.
fn total_n(plan: &FieldPlan, field: &Field, ready: &Ready, years: &[YearOfNeed], book: &Book<'_>) -> f64 {
    let planned = |own: &dyn Fn(&Application) -> bool| -> f64 {
        let jobs = plan.applications.iter().filter(|a| own(a));
        jobs.map(|a| a.rate * ready.lot(&a.lot).map_or(0.0, held::all_n)).fold(0.0, |sum, one| sum + one)
    };
    let logged = |ready: &Ready, days: (Date, Date)| {
        let list = log::spread(field, plan.acres, days, ready, book);
        let bags = log::besides(log::BESIDES, (field, plan.acres), days, ready, book);
        let litter = |s: &log::LoggedSpread| s.rate * s.of_lot(ready).map_or(0.0, |lot| held::all_n(&lot));
        log::with_besides((&list, &litter), (&bags, &|s| s.rate * s.all_n / 100.0))
    };
    let grounds = rest::grounds(plan, field, ready);
    let in_year = |(days, _): &YearOfNeed| {
        let most = logged(ready, *days);
        let on_rest = grounds.get(1).map_or(0.0, |rest| logged(&rest.ready, *days));
        let mine = |a: &Application| a.rest_acres.is_some() && days.0 <= a.first && a.first <= days.1;
        most.max(on_rest + planned(&mine))
    };
    years.iter().map(in_year).fold(planned(&|a| a.rest_acres.is_none()), |sum, one| sum + one)
}

/// Words and days that are copied from the farm.
fn words(plan: &FieldPlan, field: &Field, (from, to): (Date, Date), findings: &mut Findings) {
    let written = &field.written;
    let mut say = |what: String| findings.push(fault("shown", format!("field {}: {what}", plan.id)));
    for (what, shown, here) in [
        ("name", &plan.name, written.name.clone()),
        ("forage", &plan.forage, written.forage.value.replace('_', " ")),
        ("use", &plan.usage, written.usage.value.word().to_string()),
    ] {
        if *shown != here {
            say(format!("its {what} is `{}`; farm.yaml says `{here}`", first_letters(shown)));
        }
    }
    // What farm.yaml keeps of other years is none of this plan.
    let cut = |day: Date| (from.year()..=to.year()).contains(&day.year());
    let cuttings = field.cuttings.iter().filter(|c| cut(c.day) && (!c.logged || c.day >= from)).map(|c| &c.day);
    if !plan.cuttings.iter().eq(cuttings) {
        say("its cuttings are not those of farm.yaml and the log".to_string());
    }
    let grazed = field.grazed.iter().filter(|g| g.last >= from && g.first.year() <= to.year());
    if !plan.grazed.iter().copied().eq(grazed.map(|g| (g.first, g.last))) {
        say("its grazing is not that of farm.yaml and the log".to_string());
    }
    if !field.bars.is_empty() && plan.bars.is_empty() {
        say("it may not get litter, and the plan does not say so".to_string());
    }
    for a in &plan.applications {
        if a.after_cutting.is_some_and(|cut| cut >= a.first || !field.cuttings.iter().any(|c| c.day == cut)) {
            say(format!("lot {} is spread after a cutting that is neither logged nor planned", a.lot));
        }
    }
}

/// Miles from the stack to the gate, by the grower's word or as the crow flies
/// times the detour.
fn hauls(plan: &FieldPlan, field: &Field, ready: &Ready, findings: &mut Findings) {
    for a in &plan.applications {
        let (Some(haul), Some(lot)) = (&a.haul, ready.lot(&a.lot)) else { continue };
        let own = field.written.miles_from(&lot.id).map(|miles| miles.value.get());
        let flown = lot.stack.zip(field.gate).map(|(from, to)| great_circle(from, to) * ready.detour.times);
        let Some(found) = own.or(flown) else { continue };
        if !near(haul.miles, found, MILES * found + SLACK) {
            let what = format!("lot {} is hauled {:.2} miles; it is {found:.2}", a.lot, haul.miles);
            findings.push(fault("shown", format!("field {}: {what}", plan.id)));
        }
    }
}

fn great_circle(from: Coord<f64>, to: Coord<f64>) -> f64 {
    let (a, b) = (from.y.to_radians(), to.y.to_radians());
    let (half_lat, half_lon) = ((b - a) / 2.0, (to.x - from.x).to_radians() / 2.0);
    let h = half_lat.sin().powi(2) + a.cos() * b.cos() * half_lon.sin().powi(2);
    2.0 * RADIUS * h.sqrt().min(1.0).asin()
}

/// The plan as a whole: which farm, which days, what is left, what it costs.
pub(super) fn plan(plan: &Plan, ready: &Ready, findings: &mut Findings) {
    let mut say = |what: String| findings.push(fault("shown", what));
    if plan.farm != ready.name || plan.place != ready.place {
        let shown = first_letters(&plan.farm);
        say(format!("it is a plan of `{shown}`, {}, not of `{}`, {}", plan.place, ready.name, ready.place));
    }
    if (plan.from, plan.to) != (ready.from, ready.to) {
        say(format!("it runs {} to {}; farm.yaml says {} to {}", plan.from, plan.to, ready.from, ready.to));
    }
    let left: Pounds = plan.lots.iter().map(|l| l.left).sum();
    if plan.leftover.pounds != left {
        say(format!("the leftover is {}; the lots leave {left}", plan.leftover.pounds));
    }
    for part in &plan.leftover.lots {
        let tally = plan.lots.iter().find(|l| l.id == part.lot).map(|l| l.left);
        if tally != Some(part.pounds) {
            say(format!("lot {}: the leftover is {}, not what its tally leaves", part.lot, part.pounds));
        }
    }
    for lot in &plan.lots {
        let good = ready.lot(&lot.id).map(|l| l.good_until.as_ref().map(|g| g.last));
        if good.is_some_and(|good| good != lot.analysis_good_until) {
            say(format!("lot {}: its analysis does not expire on the day shown", lot.id));
        }
    }
    money(plan, ready, findings);
}

/// What a plan is worth, dollars: what its litter saves of the bill, or fertilizer replaced, less spreading and
/// hauling, less what its litter would have sold for and what must leave costs.
pub(super) fn worth(plan: &Plan, ready: &Ready) -> Option<f64> {
    let money = plan.money.as_ref()?;
    ready.prices.as_ref()?;
    if let Some(buy) = &plan.buy {
        return Some(buy.saved);
    }
    let planned: f64 = plan.lots.iter().map(|l| l.planned.tons() * left_price(&l.id, ready)).sum();
    let sold: f64 = plan.sales.iter().map(|s| s.pounds.tons() * (s.price - left_price(&s.lot, ready))).sum();
    Some(money.replaced - money.spreading - planned + sold - money.disposal)
}

/// Dollars of going out: so much a job, and so much a load.
pub(super) fn jobs_and_loads<'a>(jobs: impl Iterator<Item = &'a Application>, prices: &Prices) -> f64 {
    let a_job = prices.job.as_ref().map_or(0.0, |price| price.value.get());
    let a_load = prices.load.as_ref().map_or(0.0, |price| price.value.get());
    jobs.map(|job| a_job + a_load * job.loads as f64).fold(0.0, |sum, one| sum + one)
}

/// Dollars of a ton of a lot that no outlet takes.
pub(super) fn left_price(lot: &str, ready: &Ready) -> f64 {
    let never_sold = ready.lots.iter().any(|own| own.id == lot && own.never_sold.is_some());
    let price = ready.prices.as_ref().and_then(|p| p.litter_sold.as_ref()).map_or(0.0, |price| price.value.get());
    if never_sold || !ready.outlets.is_empty() { 0.0 } else { price }
}

fn money(plan: &Plan, ready: &Ready, findings: &mut Findings) {
    let mut say = |what: String| findings.push(fault("money", what));
    let (Some(shown), Some(prices)) = (&plan.money, &ready.prices) else {
        if plan.money.is_some() != ready.prices.is_some() {
            say("dollars are shown where farm.yaml gives no prices, or the other way round".to_string());
        }
        return;
    };
    let (still, without, later) = open(plan, ready, prices);
    let per_ton = |miles: f64| prices.spreading.value.get() + prices.hauling.value.get() * miles;
    let hauled = |a: &Application| a.pounds.tons() * per_ton(a.haul.as_ref().map_or(0.0, |h| h.miles));
    let spreading: f64 = plan.fields.iter().flat_map(|f| &f.applications).map(hauled).sum();
    let spreading = spreading + jobs_and_loads(plan.fields.iter().flat_map(|f| &f.applications), prices);
    let sold: f64 = plan.lots.iter().map(|l| l.left.tons() * left_price(&l.id, ready)).sum();
    let by_outlets: f64 = plan.sales.iter().map(|s| s.pounds.tons() * s.price).sum();
    let bought: f64 = plan.coming.iter().filter_map(|c| Some(c.pounds.tons() * c.price?)).sum();
    let must = plan.by_when.iter().filter(|row| row.why == MustGo::Room).map(|row| row.must_leave.tons());
    let rid = prices.disposal.as_ref().filter(|_| !ready.outlets.is_empty()).map_or(0.0, |price| price.value.get());
    for (what, shown, found) in [
        ("fertilizer still to buy", shown.still_to_buy, still),
        ("what stays short", shown.stays_short, bill::of(plan, ready).map_or(0.0, |(with, _)| with.stays_short())),
        ("fertilizer without litter", shown.without_litter, without),
        ("fertilizer replaced", shown.replaced, without - still + later),
        ("fertilizer replaced of years to come", shown.replaced_later, later),
        ("spreading and hauling", shown.spreading, spreading),
        ("the leftover's price", shown.leftover, sold),
        ("what outlets pay", shown.sold, by_outlets),
        ("litter that is brought", shown.bought, bought),
        ("getting rid of litter", shown.disposal, must.sum::<f64>() * rid),
        ("the leftover's price at the shed", plan.leftover.sale_value.unwrap_or(f64::NAN), sold),
    ] {
        if !near(shown, found, DOLLARS) {
            say(format!("{what} is ${shown:.0}; recalculated it is ${found:.0}"));
        }
    }
    let hauled = Took::of(ready).paid(&|entry| entry.amount.tons() * left_price(entry.lot_id(), ready));
    if !near(shown.done.as_ref().map_or(0.0, |done| done.sold), hauled, DOLLARS) {
        say(format!("litter that left the farm brought ${hauled:.0}, and the plan shows another sum"));
    }
    // The log is the farm's own: what it moved is in the tallies already.
    let moved: Pounds = ready.lots.iter().map(|l| ready.moved(&l.id, What::Haul)).sum();
    let reported: Pounds = plan.lots.iter().map(|l| l.hauled).sum();
    if moved != reported {
        say(format!("{reported} are reported as hauled off; the log has {moved}"));
    }
}

/// Dollars of what is short with the litter and without it, and of what litter meets of years that
/// nothing is bought for.
fn open(plan: &Plan, ready: &Ready, prices: &Prices) -> (f64, f64, f64) {
    // Where fertilizers have prices, all is their bill.
    if let Some((with, without)) = bill::of(plan, ready) {
        return (with.for_now(), without.for_now(), with.ahead());
    }
    let pound = [prices.n.value.get(), prices.p2o5.value.get(), prices.k2o.value.get()];
    let worth = |lb: [f64; 3]| lb.iter().zip(pound).map(|(lb, dollars)| lb * dollars).sum::<f64>();
    let bought = |f: &FieldPlan| f.years.iter().filter(|year| year.bought_for).cloned().collect::<Vec<YearBudget>>();
    let short = |f: &FieldPlan| match &f.part {
        Some(_) => bought(f).iter().flat_map(short_on_grounds).map(|(acres, lb)| acres * worth(lb)).sum::<f64>(),
        None => f.acres * worth([f.short.n, f.short.p2o5, f.short.k2o]),
    };
    // What litter replaces of a growing year: what that year would have been short of.
    let replaced = |year: &YearBudget| {
        let met = |need: f64, on: f64, short: f64| (need - on).max(0.0) - short;
        let (need, on, short) = (&year.need, &year.done_usable, &year.short);
        let lb = [met(need.n, on.n, short.n), met(need.p2o5, on.p2o5, short.p2o5), met(need.k2o, on.k2o, short.k2o)];
        worth(lb)
    };
    let on_grounds =
        |year: &YearBudget| met_on_grounds(year).into_iter().map(|(acres, lb)| acres * worth(lb)).sum::<f64>();
    let met = |f: &FieldPlan, year: &YearBudget| match &f.part {
        Some(_) => on_grounds(year),
        None => f.acres * replaced(year),
    };
    let later = |f: &FieldPlan| f.years.iter().filter(|year| !year.bought_for).map(|year| met(f, year)).sum::<f64>();
    let open = |f: &FieldPlan| match &f.part {
        Some(_) => short(f) + bought(f).iter().map(on_grounds).sum::<f64>(),
        None => f.acres * worth([f.left.n, f.left.p2o5, f.left.k2o]),
    };
    let sum = |of: &dyn Fn(&FieldPlan) -> f64| plan.fields.iter().map(of).sum::<f64>();
    (sum(&short), sum(&open), sum(&later))
}

/// What is short on each ground of a field that is done in part: acres, and pounds per acre.
fn short_on_grounds(year: &YearBudget) -> Vec<(f64, [f64; 3])> {
    let of = |ground: &GroundBudget| {
        let (need, on, put) = (&year.need, &ground.done_usable, &ground.supplied_usable);
        let lb = [need.n - on.n - put.n, need.p2o5 - on.p2o5 - put.p2o5, need.k2o - on.k2o - put.k2o];
        (ground.acres, lb.map(|lb| lb.max(0.0)))
    };
    year.parted.iter().map(of).collect()
}

/// On each ground of a field that is done in part, what its litter meets of what is open there:
/// acres, and pounds per acre.
fn met_on_grounds(year: &YearBudget) -> Vec<(f64, [f64; 3])> {
    let met = |need: f64, on: f64, put: f64| (need - on).max(0.0).min(put);
    let of = |ground: &GroundBudget| {
        let (need, on, put) = (&year.need, &ground.done_usable, &ground.supplied_usable);
        let lb = [met(need.n, on.n, put.n), met(need.p2o5, on.p2o5, put.p2o5), met(need.k2o, on.k2o, put.k2o)];
        (ground.acres, lb)
    };
    year.parted.iter().map(of).collect()
}
