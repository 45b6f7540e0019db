//! Fertilizer to buy: every mix meets what is short, goes on in full, and costs
//! what its products cost. That it is the cheapest is not asked here.

use crate::audit::bill::{TRIFLE, brought};
use crate::audit::fault::{fault, near};
use crate::audit::shown::{jobs_and_loads, left_price};
use crate::audit::{nutrients, period, phosphorus, rest, season};
use crate::check::{Field, Ready};
use crate::farm::Fertilizer;
use crate::findings::Findings;
use crate::plan::answer::{Application, Bill, FieldBuy, FieldPlan, Go, Plan};
use crate::tables::{Book, Scope, topic};
use crate::units::Quantity;
use jiff::civil::Date;

/// More trips below the least than a year has seasons and cuttings for.
const TRIPS: f64 = 8.0;
/// Pounds per acre that strays of a few products stay below.
const SLACK: f64 = 0.01;
/// Each of a dozen sums is rounded to the cent.
const DOLLARS: f64 = 0.1;

pub(super) fn field(
    plan: &Plan,
    field: &FieldPlan,
    written: &Field,
    ready: &Ready,
    book: &Book<'_>,
    findings: &mut Findings,
) {
    let Some(buy) = &plan.buy else { return };
    let mut say = |what: String| findings.push(fault("buy", format!("field {}: {what}", field.id)));
    let short = [field.short.n, field.short.p2o5, field.short.k2o];
    let mut all = buy.fields.iter().filter(|f| f.id == field.id);
    let Some(mix) = all.next() else {
        if field.acres > 0.0 && short.iter().any(|lb| *lb >= TRIFLE) {
            say("it is short of nutrients and no fertilizer is bought for it".to_string());
        }
        return;
    };
    if all.next().is_some() {
        say("fertilizer is bought for it twice".to_string());
    }
    if (mix.acres - field.acres).abs() > 1e-6 {
        say(format!("fertilizer is bought for {:.2} of {:.2} ac", mix.acres, field.acres));
    }
    let most_p2o5 = phosphorus::to_buy(field, written, ready, book).unwrap_or(f64::INFINITY);
    let holds = |name: &String| ready.shop.products.iter().any(|p| p.name.value == *name && p.analysis.value[1] > 0.0);
    let for_phosphate = most_p2o5.is_finite() && mix.left_out.iter().all(holds);
    if !for_phosphate && !mix.left_out.is_empty() {
        say("products are left out of its mix without a reason".to_string());
    }
    let Some(brought) = brought(mix, ready) else {
        return say("its mix holds a product that farm.yaml does not name, or less than none of one".to_string());
    };
    if brought[1] > most_p2o5 + SLACK {
        say(format!("its mix brings {:.2} lb/ac P2O5 where {most_p2o5:.2} is still allowed", brought[1]));
    }
    let [unmet, over, waits, little] =
        [mix.unmet, mix.over, mix.waits, mix.too_little].map(|of| [of.n, of.p2o5, of.k2o]);
    in_season(mix, field, written, ready, book).into_iter().for_each(&mut say);
    within_shares(mix, field, written, ready, book).into_iter().for_each(&mut say);
    at_once(mix, field, written, ready, book).into_iter().for_each(&mut say);
    trips(mix, ready, book).into_iter().for_each(&mut say);
    for (i, what) in ["N", "P2O5", "K2O"].into_iter().enumerate() {
        let asked = if short[i] < TRIFLE { 0.0 } else { short[i] - waits[i] - little[i] };
        let offered = |p: &&Fertilizer| !mix.left_out.contains(&p.name.value);
        let sold = ready.shop.products.iter().filter(offered).any(|p| p.analysis.value[i] > 0.0);
        let may = if i == 1 { asked.min((most_p2o5 - little[1]).max(0.0)) } else { asked };
        let may = if may < TRIFLE { 0.0 } else { may };
        let full = held_by_another(mix, [0, 1, 2].map(|at| brought[at] + little[at]), i, ready);
        if !near(brought[i] + unmet[i] - over[i], asked, SLACK) || (sold && !full && brought[i] + SLACK < may) {
            say(format!("its mix brings {:.2} lb/ac {what} where {asked:.2} are short", brought[i]));
        }
    }
    let by_go = |product: &str| -> f64 {
        mix.goes.iter().flat_map(|g| &g.amounts).filter(|a| a.product == product).map(|a| a.pounds).sum()
    };
    if mix.mix.iter().any(|a| !near(by_go(&a.product), a.pounds, SLACK)) {
        say("the fertilizer applied is not what is bought".to_string());
    }
    for amount in mix.goes.iter().flat_map(|g| g.amounts.iter().map(move |a| (g.times, a))) {
        let (times, amount) = amount;
        let product = ready.shop.products.iter().find(|p| p.name.value == amount.product);
        let most = product.and_then(|p| p.most.as_ref()).map(|m| m.value.get());
        if most.is_some_and(|most| amount.pounds > most * f64::from(times) + SLACK) {
            say(format!("{:.0} lb/ac of {} at once is more than its `most`", amount.pounds, amount.product));
        }
    }
}

/// Whether every product with a nutrient brings nitrogen or phosphate too, of which no more may
/// be brought.
fn held_by_another(mix: &FieldBuy, on: [f64; 3], at: usize, ready: &Ready) -> bool {
    let full: Vec<bool> = [mix.most_n, mix.most_p2o5]
        .iter()
        .zip(on)
        .map(|(most, on)| most.is_some_and(|most| on + SLACK >= most))
        .collect();
    let offered = ready.shop.products.iter().filter(|p| !mix.left_out.contains(&p.name.value));
    let mut own = offered.filter(|p| p.analysis.value[at] > 0.0);
    at > 0 && own.all(|p| (0..at).any(|other| full[other] && p.analysis.value[other] > 0.0))
}

/// No season gets more nitrogen with what is bought than its share, whatever keeps litter
/// out of it, and none goes on outside of them.
fn within_shares(mix: &FieldBuy, field: &FieldPlan, written: &Field, ready: &Ready, book: &Book<'_>) -> Vec<String> {
    let n = |go: &Go| -> f64 {
        let of = |name: &str| ready.shop.products.iter().find(|p| p.name.value == name);
        let share = |name: &str| of(name).map_or(0.0, |p| p.analysis.value[0] / 100.0);
        go.amounts.iter().map(|a| a.pounds * share(&a.product)).sum()
    };
    let mut faults = Vec::new();
    let mut seasons: Vec<&str> = mix.goes.iter().filter_map(|go| go.season.as_deref()).collect();
    seasons.sort_unstable();
    seasons.dedup();
    let grounds = rest::grounds(field, written, ready);
    let loads: Vec<Vec<nutrients::SeasonLoad>> =
        grounds.iter().map(|on| nutrients::season_loads(&on.plan, written, &on.ready, book)).collect();
    if loads.iter().any(|own| !own.is_empty()) && mix.goes.iter().any(|go| go.season.is_none() && n(go) > SLACK) {
        faults.push("nitrogen is bought for no season, and every season has a share".to_string());
    }
    for season in seasons {
        let own = || mix.goes.iter().filter(|go| go.season.as_deref() == Some(season));
        let bought: f64 = own().map(n).sum();
        let begins = |go: &Go| go.from.or(go.after_cutting);
        let holds = |days: (Date, Date)| own().filter_map(begins).any(|day| days.0 <= day && day <= days.1);
        let counts = |of: &&nutrients::SeasonLoad| {
            of.season == season && (holds(of.days) || of.days.1 >= ready.as_of.max(ready.from))
        };
        let room = |of: &nutrients::SeasonLoad| (of.load.allowed - of.load.logged - of.load.planned).max(0.0);
        let of_ground = |loads: &Vec<nutrients::SeasonLoad>| loads.iter().filter(counts).map(room).reduce(|a, b| a + b);
        let Some(left) = loads.iter().filter_map(of_ground).min_by(f64::total_cmp) else { continue };
        if bought > left + SLACK {
            faults
                .push(format!("{bought:.2} lb/ac of nitrogen is bought for {season}, which may still take {left:.2}"));
        }
    }
    faults
}

/// No trip passes the most nitrogen at once, and where it would with the litter of the same
/// day, the mix says that they are apart.
fn at_once(mix: &FieldBuy, field: &FieldPlan, written: &Field, ready: &Ready, book: &Book<'_>) -> Option<String> {
    let most = nutrients::most_n(written, ready, book);
    let in_a_pound = |name: &str| {
        let product = ready.shop.products.iter().find(|p| p.name.value == name);
        product.map_or(0.0, |p| p.analysis.value[0] / 100.0)
    };
    let trips = mix.goes.iter().map(|go| {
        let n: f64 = go.amounts.iter().map(|a| a.pounds * in_a_pound(&a.product)).sum();
        (go.from.or(go.after_cutting).unwrap_or(ready.from), n / f64::from(go.times.max(1)))
    });
    let trips: Vec<(Date, f64)> = trips.filter(|(_, n)| *n > SLACK).collect();
    // A hundred trips are as many as are written.
    if let Some((_, n)) =
        trips.iter().find(|(_, n)| *n > most + SLACK).filter(|_| mix.goes.iter().all(|g| g.times < 100))
    {
        return Some(format!("a trip puts on {n:.2} lb/ac of nitrogen at once, which may be {most:.2}"));
    }
    let litter = |first: Date| -> f64 {
        let of_plan =
            field.applications.iter().filter(|a| a.last >= first).map(|a| nutrients::n_of(a, written, ready, book));
        let today = (ready.as_of, ready.as_of);
        let logged = if ready.as_of < first { 0.0 } else { nutrients::n_logged(field, written, today, ready, book) };
        of_plan.fold(logged, f64::max)
    };
    let meets = trips.iter().any(|(first, n)| litter(*first) > 0.0 && litter(*first) + n > most + SLACK);
    match mix.apart {
        None if meets => Some(format!("fertilizer and litter of one day may pass {most:.2} lb/ac of nitrogen at once")),
        Some(shown) if !near(shown, most, SLACK) => {
            Some(format!("the most nitrogen at once is {most:.2}, not {shown:.2}"))
        }
        _ => None,
    }
}

/// No trip is below what a spreader can put down evenly, and what is too little for one is
/// not more than that.
fn trips(mix: &FieldBuy, ready: &Ready, book: &Book<'_>) -> Option<String> {
    let usual = book.get(topic::FERTILIZER_LEAST, &Scope::new()).map_or(0.0, |figure| figure.value.get());
    let least = ready.shop.least.as_ref().map_or(usual, |own| own.value.get());
    let pounds = |go: &Go| go.amounts.iter().map(|a| a.pounds).sum::<f64>();
    if let Some(go) = mix.goes.iter().find(|go| go.times < 2 && pounds(go) < least - SLACK) {
        return Some(format!("a trip puts on {:.2} lb/ac of product, below the least of {least:.0}", pounds(go)));
    }
    let little = [mix.too_little.n, mix.too_little.p2o5, mix.too_little.k2o];
    // As many trips as there are days to begin one: seasons, or cuttings in them.
    let most = |i: usize| {
        let holds = ready.shop.products.iter().map(|p| p.analysis.value[i] / 100.0);
        holds.fold(0.0, f64::max) * least * TRIPS
    };
    let wrong = little.into_iter().enumerate().find(|(i, lb)| *lb < -SLACK || *lb > most(*i) + SLACK);
    wrong.map(|(i, lb)| {
        let (what, most) = (["N", "P2O5", "K2O"][i], most(i));
        format!(
            "{lb:.2} lb/ac {what} are left out as too little to spread, and trips below the least come to {most:.2}"
        )
    })
}

/// Fertilizer goes on while a season of the forage is open, and waits only where none
/// is left that takes it.
fn in_season(mix: &FieldBuy, field: &FieldPlan, written: &Field, ready: &Ready, book: &Book<'_>) -> Option<String> {
    let open_from = ready.from.max(ready.as_of);
    let late = |go: &Go| go.from.or(go.after_cutting).is_some_and(|day| day < open_from || day > ready.to);
    if mix.goes.iter().any(late) {
        return Some(format!("fertilizer goes on outside the days {open_from} to {}", ready.to));
    }
    if period::stock_since(written, ready).is_some() {
        return (!mix.goes.is_empty())
            .then(|| "fertilizer is bought, and nobody knows when the stock on it leaves".to_string());
    }
    let left = season::left(field, written, ready, book)?;
    let waits = [mix.waits.n, mix.waits.p2o5, mix.waits.k2o];
    let parted = book
        .seasons(&ready.scope(written))
        .into_iter()
        .any(|(season, _)| book.get(topic::N_SPLIT, &ready.scope(written).season(&season)).is_some());
    let may_wait = [!left || parted, !left, !left];
    let wrong = waits.iter().zip(may_wait).any(|(waits, may)| *waits < 0.0 || *waits > SLACK && !may);
    match left {
        _ if wrong => Some("fertilizer waits for another season, and one is left in the plan's days".to_string()),
        false if !mix.goes.is_empty() => {
            Some("fertilizer is bought, and no season is left in the plan's days".to_string())
        }
        _ => None,
    }
}

pub(super) fn plan(plan: &Plan, ready: &Ready, findings: &mut Findings) {
    let mut say = |what: String| findings.push(fault("buy", what));
    let Some(buy) = &plan.buy else {
        if !ready.shop.products.is_empty() {
            say("farm.yaml names fertilizers and the plan buys none".to_string());
        }
        return;
    };
    let names = buy.products.iter().map(|p| p.name.as_str());
    if !names.eq(ready.shop.products.iter().map(|p| p.name.value.as_str())) {
        return say("its fertilizers are not those of farm.yaml".to_string());
    }
    let mut dollars = 0.0;
    for (row, product) in buy.products.iter().zip(&ready.shop.products) {
        let of = |f: &FieldBuy| f.mix.iter().filter(|a| a.product == row.name).map(|a| f.acres * a.pounds).sum::<f64>();
        let tons = buy.fields.iter().map(of).sum::<f64>() / 2_000.0;
        let price = product.price.value.get();
        let bag = [row.analysis.n, row.analysis.p2o5, row.analysis.k2o];
        if bag != product.analysis.value || !near(row.price, price, 1e-9) {
            say(format!("{}: its analysis or price is not that of farm.yaml", row.name));
        }
        if !near(row.tons, tons, 1e-3) || !near(row.dollars, tons * price, 0.02) {
            say(format!(
                "{}: {:.2} tons for ${:.0}; the fields take {tons:.2} for ${:.0}",
                row.name,
                row.tons,
                row.dollars,
                tons * price
            ));
        }
        dollars += tons * price;
    }
    let bill = &buy.with_litter;
    for (what, shown, found) in [
        ("fertilizer", bill.fertilizer, dollars),
        ("the total with litter", bill.total, total(bill)),
        ("the total without litter", buy.without_litter.total, total(&buy.without_litter)),
        ("what the litter saves", buy.saved, buy.without_litter.total - bill.total),
    ] {
        if !near(shown, found, DOLLARS) {
            say(format!("{what} is ${shown:.2}; recalculated it is ${found:.2}"));
        }
    }
    if let Some(prices) = &ready.prices {
        let jobs = || plan.fields.iter().flat_map(|field| &field.applications);
        let tons = |price: &dyn Fn(f64) -> f64| {
            let one = |a: &Application| a.pounds.tons() * price(a.haul.as_ref().map_or(0.0, |haul| haul.miles));
            jobs().map(one).sum::<f64>()
        };
        for (what, shown, found) in [
            ("loading and spreading litter", bill.litter_spreading, tons(&|_| prices.spreading.value.get())),
            ("hauling litter", bill.hauling, tons(&|miles| miles * prices.hauling.value.get())),
            ("jobs and loads of litter", bill.trips, jobs_and_loads(jobs(), prices)),
        ] {
            let shown = shown.unwrap_or(0.0);
            if !near(shown, found, DOLLARS) {
                say(format!("{what} costs ${shown:.2}; recalculated it is ${found:.2}"));
            }
        }
    }
    if let Some(left) = bill.litter_left {
        let sold = plan.lots.iter().map(|l| l.left.tons() * left_price(&l.id, ready)).sum::<f64>();
        if !near(left, sold, DOLLARS) {
            say(format!("litter left is ${left:.2}; recalculated it is ${sold:.2}"));
        }
    }
}

fn total(bill: &Bill) -> f64 {
    let get = |part: Option<f64>| part.unwrap_or(0.0);
    bill.fertilizer + bill.fertilizer_spreading + bill.short - bill.ahead
        + get(bill.litter_spreading)
        + get(bill.hauling)
        + get(bill.trips)
        - get(bill.litter_left)
        - get(bill.litter_sold)
        + get(bill.litter_bought)
        + get(bill.disposal)
}
