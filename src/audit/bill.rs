//! The bill with litter and without it: every dollar but the litter's own added up again from
//! what the fields ask for, what their mixes bring and how often somebody drives. That a mix is
//! the cheapest is not asked here.

use crate::audit::fault::{fault, near};
use crate::check::{Field, Ready};
use crate::farm::Use;
use crate::findings::Findings;
use crate::plan::answer::{Bill, Buy, FieldBuy, FieldPlan, GroundBudget, Plan, YearBudget};
use crate::tables::{Book, topic};
use crate::units::Quantity;

/// Less than this is not bought, lb/ac.
pub(super) const TRIFLE: f64 = 0.5;
/// Each of a dozen sums is rounded to the cent.
const DOLLARS: f64 = 0.1;
/// Pounds per acre that strays of a few products stay below.
const SLACK: f64 = 0.01;

/// Dollars of the fields but for their litter.
#[derive(Clone, Copy, Default)]
pub(super) struct Fields {
    fertilizer: f64,
    spreading: f64,
    short: f64,
    ahead: f64,
}

impl Fields {
    /// In the years that fertilizer is bought for.
    pub(super) fn for_now(&self) -> f64 {
        self.fertilizer + self.spreading + self.short
    }

    /// What of that no trip or product brings.
    pub(super) fn stays_short(&self) -> f64 {
        self.short
    }

    pub(super) fn ahead(&self) -> f64 {
        self.ahead
    }

    fn add(&mut self, other: Fields) {
        self.fertilizer += other.fertilizer;
        self.spreading += other.spreading;
        self.short += other.short;
        self.ahead += other.ahead;
    }
}

/// A ground of a field: acres, what is short of the years that are bought for, and what litter
/// meets of the others, lb/ac.
struct Ground {
    acres: f64,
    short: [f64; 3],
    ahead: [f64; 3],
}

/// The bill with the plan's litter, and without any; none where nothing is bought.
pub(super) fn of(plan: &Plan, ready: &Ready) -> Option<(Fields, Fields)> {
    let buy = plan.buy.as_ref()?;
    let (mut with, mut without) = (Fields::default(), Fields::default());
    for field in &plan.fields {
        let row = buy.fields.iter().find(|row| row.id == field.id);
        with.add(dollars(buy, (&field.id, row), &grounds(field, true), ready)?);
        let mut rows = buy.fields_without.iter().filter(|row| row.id == field.id);
        for ground in grounds(field, false) {
            let row = if asks(&ground) { rows.next() } else { None };
            without.add(dollars(buy, (&field.id, row), std::slice::from_ref(&ground), ready)?);
        }
    }
    Some((with, without))
}

pub(super) fn plan(plan: &Plan, ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    let mut say = |what: String| findings.push(fault("buy", what));
    let Some(buy) = &plan.buy else { return };
    pound(buy, ready).into_iter().for_each(&mut say);
    hay_lost(buy, ready, book).into_iter().for_each(&mut say);
    for field in &plan.fields {
        let rows: Vec<&FieldBuy> = buy.fields_without.iter().filter(|row| row.id == field.id).collect();
        let asked: Vec<Ground> = grounds(field, false).into_iter().filter(asks).collect();
        if rows.len() != asked.len() {
            say(format!("field {}: {} mixes without litter for {} grounds", field.id, rows.len(), asked.len()));
        }
        for (row, ground) in rows.into_iter().zip(asked) {
            if let Some(what) = without_litter(row, &ground, ready) {
                say(format!("field {}: without litter, {what}", field.id));
            }
        }
    }
    let Some((with, without)) = of(plan, ready) else {
        return say("a mix holds a product that farm.yaml does not name, or less than none of one".to_string());
    };
    for (which, shown, found) in [("", &buy.with_litter, with), (" without litter", &buy.without_litter, without)] {
        let Bill { fertilizer, fertilizer_spreading, short, ahead, .. } = *shown;
        for (what, shown, found) in [
            ("fertilizer", fertilizer, found.fertilizer),
            ("spreading fertilizer", fertilizer_spreading, found.spreading),
            ("what stays short", short, found.short),
            ("what is met ahead", ahead, found.ahead),
        ] {
            if !near(shown, found, DOLLARS) {
                say(format!("{what}{which} is ${shown:.2}; recalculated it is ${found:.2}"));
            }
        }
    }
}

/// Whether something is bought for a ground at all.
fn asks(ground: &Ground) -> bool {
    ground.acres > 0.0 && ground.short.iter().any(|lb| *lb >= TRIFLE)
}

/// A mix without litter brings what the ground asks for, but for what it says.
fn without_litter(row: &FieldBuy, ground: &Ground, ready: &Ready) -> Option<String> {
    if !near(row.acres, ground.acres, 1e-6) {
        return Some(format!("fertilizer is bought for {:.2} of {:.2} ac", row.acres, ground.acres));
    }
    let on = brought(row, ready)?;
    let of = [row.unmet, row.over, row.waits, row.too_little].map(|of| [of.n, of.p2o5, of.k2o]);
    let [unmet, over, waits, little] = of;
    let wrong = (0..3).find(|at| {
        let asked = if ground.short[*at] < TRIFLE { 0.0 } else { ground.short[*at] };
        let open = [unmet[*at], waits[*at], little[*at]];
        let told = on[*at] + open.iter().sum::<f64>() - over[*at];
        open.iter().any(|lb| *lb < -SLACK) || over[*at] < -SLACK || !near(told, asked, SLACK)
    })?;
    let (nutrient, asked) = (["N", "P2O5", "K2O"][wrong], ground.short[wrong]);
    Some(format!("its mix brings {:.2} lb/ac {nutrient} where {asked:.2} are short", on[wrong]))
}

/// A pound that stays short costs what `prices` say, or what the products make it: no product is
/// worth more by these prices than it costs, and one that holds it is worth as much.
fn pound(buy: &Buy, ready: &Ready) -> Option<String> {
    let shown = [buy.pound.n, buy.pound.p2o5, buy.pound.k2o];
    let written = ready.prices.as_ref().map_or([0.0; 3], |p| [p.n.value.get(), p.p2o5.value.get(), p.k2o.value.get()]);
    let like: Vec<bool> = shown.iter().zip(written).map(|(shown, written)| near(*shown, written, 1e-9)).collect();
    // A price may be that of the products and of `prices` at once.
    let sound = |said: &[bool; 3]| {
        let worth = |bag: &[f64; 3]| -> f64 {
            let own = bag.iter().zip(shown).zip(said).filter(|(_, said)| !**said);
            own.map(|((percent, price), _)| percent / 100.0 * price).sum()
        };
        let products = || ready.shop.products.iter().map(|p| (&p.analysis.value, p.price.value.get() / 2_000.0));
        let dear = products().any(|(bag, price)| worth(bag) > price + 1e-6);
        let made = |at: usize| products().any(|(bag, price)| bag[at] > 0.0 && near(worth(bag), price, 1e-6));
        !dear && (0..3).all(|at| if said[at] { like[at] } else { made(at) })
    };
    let ways = (0..8).map(|bits: usize| [0, 1, 2].map(|at| bits >> at & 1 == 1));
    (!ways.into_iter().any(|said| sound(&said))).then(|| {
        format!(
            "a pound that stays short costs {:.4}, {:.4} and {:.4} $, which no product makes it",
            shown[0], shown[1], shown[2]
        )
    })
}

/// A pound of nitrogen left short on hay ground costs the hay that it would have brought, where the
/// farm says what hay sells for.
fn hay_lost(buy: &Buy, ready: &Ready, book: &Book<'_>) -> Option<String> {
    let price = ready.prices.as_ref().and_then(|prices| prices.hay.as_ref()).map(|hay| hay.value.get() / 2_000.0);
    let on = |field: &Field| {
        let hay = field.written.usage.value == Use::Hay;
        let brings = book.get(topic::HAY_PER_N, &ready.scope(field)).filter(|_| hay)?;
        Some((field.id().to_string(), brings.value.get() * price?))
    };
    let found: Vec<(String, f64)> = ready.fields.iter().filter_map(|field| on(field)).collect();
    let same = found.len() == buy.hay_lost.len()
        && found.iter().zip(&buy.hay_lost).all(|((id, dollars), shown)| {
            let brought = price.map_or(0.0, |price| shown.hay * price);
            *id == shown.id && near(shown.pound, *dollars, 1e-9) && near(brought, *dollars, 1e-9)
        });
    (!same)
        .then(|| "what a pound of nitrogen left short loses in hay is not what the farm's price makes it".to_string())
}

/// Dollars of a mix, or of none, on some grounds of a field.
fn dollars(buy: &Buy, (id, row): (&str, Option<&FieldBuy>), grounds: &[Ground], ready: &Ready) -> Option<Fields> {
    let on = row.map_or(Some([0.0; 3]), |row| brought(row, ready))?;
    let price = [buy.pound.n, buy.pound.p2o5, buy.pound.k2o];
    let worth = |lb: [f64; 3], price: [f64; 3]| lb.iter().zip(price).map(|(lb, dollars)| lb * dollars).sum::<f64>();
    let hay = buy.hay_lost.iter().find(|lost| lost.id == id);
    let lost = [hay.map_or(price[0], |lost| lost.pound), price[1], price[2]];
    let a_trip = ready.shop.spreading.as_ref().map_or(0.0, |cost| cost.value.get());
    let mut sum = Fields::default();
    for amount in row.iter().flat_map(|row| &row.mix) {
        let product = ready.shop.products.iter().find(|p| p.name.value == amount.product)?;
        sum.fertilizer += amount.pounds * product.price.value.get() / 2_000.0;
    }
    let times: f64 = row.iter().flat_map(|row| &row.goes).map(|go| f64::from(go.times)).sum();
    let acres: f64 = grounds.iter().map(|ground| ground.acres).sum();
    let mut short = 0.0;
    let mut ahead = 0.0;
    for ground in grounds {
        let open = [0, 1, 2].map(|at| (ground.short[at] - on[at]).max(0.0));
        short += ground.acres * worth(open, lost);
        ahead += ground.acres * worth(ground.ahead, price);
    }
    Some(Fields { fertilizer: acres * sum.fertilizer, spreading: acres * times * a_trip, short, ahead })
}

/// The grounds of a field, with the plan's litter or without any.
fn grounds(field: &FieldPlan, litter: bool) -> Vec<Ground> {
    let whole = |year: &YearBudget| GroundBudget {
        acres: field.acres,
        done_usable: year.done_usable,
        supplied_usable: year.supplied_usable,
    };
    let of_year = |year: &YearBudget| match year.parted.as_slice() {
        [] => vec![whole(year)],
        parted => parted.to_vec(),
    };
    let mut all: Vec<Ground> = Vec::new();
    for year in &field.years {
        for (at, ground) in of_year(year).iter().enumerate() {
            if all.len() <= at {
                all.push(Ground { acres: ground.acres, short: [0.0; 3], ahead: [0.0; 3] });
            }
            let (need, done, put) = (&year.need, &ground.done_usable, &ground.supplied_usable);
            let rows = [(need.n, done.n, put.n), (need.p2o5, done.p2o5, put.p2o5), (need.k2o, done.k2o, put.k2o)];
            for (nutrient, (need, done, put)) in rows.into_iter().enumerate() {
                let open = (need - done).max(0.0);
                let put = if litter { put } else { 0.0 };
                match year.bought_for {
                    true => all[at].short[nutrient] += (open - put).max(0.0),
                    false => all[at].ahead[nutrient] += open.min(put),
                }
            }
        }
    }
    all
}

/// Pounds per acre of each nutrient in a mix.
pub(super) fn brought(mix: &FieldBuy, ready: &Ready) -> Option<[f64; 3]> {
    let mut sum = [0.0; 3];
    for amount in &mix.mix {
        let product = ready.shop.products.iter().find(|p| p.name.value == amount.product)?;
        if amount.pounds < 0.0 {
            return None;
        }
        for (sum, percent) in sum.iter_mut().zip(product.analysis.value) {
            *sum += amount.pounds * percent / 100.0;
        }
    }
    Some(sum)
}
