//! From the balance to the finished plan: asks the chooser, dates each
//! application, adds everything up.

use crate::balance::{Balance, Npk};
use crate::check::{Contents, KeepOut, Lot, Ready};
use crate::findings::{Cite, Finding, Findings, Known, Origin};
use crate::plan::answer::{
    Application, Buy, Caution, FieldPlan, LotTally, Made, Money, Plan, SCHEMA, Sale, TREND_DOWN, TREND_UP, YearBudget,
};
use crate::plan::cautions::{self, Farm, sentences};
use crate::plan::choose::Choose;
use crate::plan::comes_and_goes::Trade;
use crate::plan::problem::{Problem, problem};
use crate::plan::sight::Sight;
use crate::plan::site::Site;
use crate::plan::stock::StockRun;
use crate::plan::tally::books;
use crate::plan::tally_rows::LotRow;
use crate::plan::{
    buy, comes_and_goes, done, explain, items, leftover, part, per_pound, phosphorus, rated, shares, trips,
};
use crate::tables::{Book, Tables, topic};
use crate::units::{Pounds, Quantity};
use std::sync::Arc;

/// Puts the question for a farm; what its fields cost goes by the fertilizers where they have
/// prices.
#[must_use]
pub fn asked(ready: &Ready, tables: &Tables, balance: &Balance) -> Problem {
    question(ready, balance, ready.book(tables).as_ref()).0
}

fn question(ready: &Ready, balance: &Balance, book: Option<&Book<'_>>) -> (Problem, Vec<Arc<Site>>) {
    let sites = buy::sites(ready, balance, book);
    (problem(ready, balance, &sites), sites)
}

/// Makes the plan. `found` are the findings of the checks, to be shown with it.
#[must_use]
pub fn make(ready: &Ready, tables: &Tables, balance: &Balance, chooser: &dyn Choose, found: &Findings) -> Plan {
    let book = ready.book(tables);
    let (question, sites) = question(ready, balance, book.as_ref());
    let resources = question.resources();
    let chosen = chooser.choose(&question);
    let entries = &chosen.entries;
    let plan_of = |(index, weighed)| {
        Sight { ready, weighed, book: book.as_ref(), question: &question, resources: &resources, entries, index }.plan()
    };
    let mut fields: Vec<FieldPlan> = balance.fields.iter().enumerate().map(plan_of).collect();
    let run = StockRun::of(ready, ready.to);
    let sales = comes_and_goes::sales(ready, &question, &chosen);
    comes_and_goes::wait_for_litter(&mut fields, &sales, &run, ready.open_from());
    let load = Pounds::from_tons_down(ready.spreader.load.value.get());
    let lots: Vec<LotTally> = ready.lots.iter().map(|l| tally(ready, l, &run, &fields, &sales)).collect();
    let cites = cites(ready, balance);
    let by_when = comes_and_goes::by_when(ready, &run, &fields, &sales);
    let trade = comes_and_goes::trade(ready, &sales, &by_when);
    let priced = ready.prices.is_some();
    let mut choice = explain::explain(&question, chooser, &chosen, &fields, load, priced, trade.disposal);
    let unspread = comes_and_goes::unspread(ready, &question, &run);
    let leftover = leftover::leftover(ready, balance, &fields, &lots, &by_when);
    let shares = book.as_ref().map(|book| shares::of(ready, book)).unwrap_or_default();
    let told = buy::warnings(ready, &fields).into_iter().chain(leftover::warning(ready, &leftover));
    let uncounted = part::uncounted(ready, book.as_ref(), balance, &fields);
    let buy = buy::buy(ready, (balance, &sites), &fields, &lots, (trade, unspread), uncounted);
    buy.as_ref().filter(|_| priced).into_iter().for_each(|buy| choice.proof.by_bill(buy.saved));
    let told = told.chain(rated::warnings(balance, &fields));
    let found = found.sorted().into_iter().filter(|f| !rated::is_of_limits(f)).cloned();
    let rests_on = |known: Known| cites.iter().filter(|c| c.known == known).cloned().collect();
    Plan {
        schema: SCHEMA,
        farm: ready.name.clone(),
        place: ready.place.clone(),
        place_name: ready.place_name.clone(),
        decides: ready.decides.clone(),
        rates_with: book.as_ref().and_then(phosphorus::rates_with),
        from: ready.from,
        to: ready.to,
        as_of: ready.as_of,
        made: Made::default(),
        in_parts: None,
        choice,
        money: money(ready, (balance, book.as_ref()), &fields, (&lots, trade), buy.as_ref()),
        leftover,
        cautions: book
            .as_ref()
            .map(|b| cautions::of(&Farm { ready, book: b, balance, fields: &fields, lots: &lots, buy: buy.as_ref() }))
            .unwrap_or_default(),
        buy,
        planner_notes: book.as_ref().map(|b| planner_notes(ready, b, &fields)).unwrap_or_default(),
        stops: book.as_ref().map(|b| sentences(b, topic::STOP, "when", ready.large)).unwrap_or_default(),
        record_items: book.as_ref().map(|b| sentences(b, topic::RECORD_ITEM, "item", ready.large)).unwrap_or_default(),
        items: book.as_ref().map(|b| items::check(ready, b, &fields)).unwrap_or_default(),
        findings: found.chain(told).collect::<Vec<Finding>>(),
        soils_by: ready.soils_by.clone(),
        coming: comes_and_goes::coming(ready),
        by_when,
        outlets: comes_and_goes::outlets(ready, &sales),
        sales,
        from_memory: rests_on(Known::Memory),
        applied: rests_on(Known::Applied),
        common_practice: rests_on(Known::CommonPractice),
        said: rests_on(Known::Said),
        shares,
        per_pound: per_pound::of(ready, balance, &fields),
        fields,
        lots,
    }
}

fn tally(ready: &Ready, lot: &Lot, run: &StockRun, fields: &[FieldPlan], sales: &[Sale]) -> LotTally {
    let planned: Pounds =
        fields.iter().flat_map(|f| &f.applications).filter(|a| a.lot == lot.id).map(|a| a.pounds).sum();
    let coming = run.lot(&lot.id).map(|run| run.to_come() + run.made_up).unwrap_or_default();
    let sold: Pounds = sales.iter().filter(|sale| sale.lot == lot.id).map(|sale| sale.pounds).sum();
    let books = books(ready, lot, (coming, planned, sold));
    let LotRow { id, opening, made, brought, spread, hauled, on_hand, left, .. } = books;
    LotTally {
        id,
        kind: lot.kind.replace('_', " "),
        opening,
        counted_on: lot.count.day,
        made,
        brought,
        spread,
        hauled,
        on_hand,
        coming,
        planned,
        sold,
        left,
        analysis_good_until: lot.good_until.as_ref().map(|g| g.last),
        typical: matches!(lot.contents, Contents::Typical(_)),
        counting: lot.counting.clone(),
    }
}

fn money(
    ready: &Ready,
    (balance, book): (&Balance, Option<&Book<'_>>),
    fields: &[FieldPlan],
    (lots, trade): (&[LotTally], Trade),
    buy: Option<&Buy>,
) -> Option<Money> {
    let prices = ready.prices.as_ref()?;
    let (n, p2o5, k2o) = (prices.n.value.get(), prices.p2o5.value.get(), prices.k2o.value.get());
    let pound = buy.map_or(Npk { n, p2o5, k2o }, |buy| buy.pound);
    let worth = |of: &Npk<f64>| of.n * pound.n + of.p2o5 * pound.p2o5 + of.k2o * pound.k2o;
    let sum = |get: &dyn Fn(&FieldPlan) -> f64| fields.iter().map(get).sum::<f64>();
    // Of a growing year that nothing is bought for, only what litter replaces counts.
    let met = |f: &FieldPlan, year: &YearBudget| -> f64 {
        year.grounds(f.acres).iter().map(|ground| ground.acres * worth(&year.met_on(ground))).sum()
    };
    let met = |f: &FieldPlan, bought_for: bool| {
        let years = f.years.iter().filter(|year| year.bought_for == bought_for);
        years.map(|year| met(f, year)).fold(0.0, |sum, one| sum + one)
    };
    // What is open in the years that fertilizer is bought for, whatever litter there is; to the
    // cent, so that what is printed adds up. Where fertilizers have prices, by their bill.
    let (without_litter, still_to_buy, replaced_later) = match buy {
        Some(Buy { with_litter: with, without_litter: without, .. }) => (without.for_now(), with.for_now(), with.ahead),
        None => {
            let still_to_buy = sum(&|f| worth(&f.short_pounds()));
            (still_to_buy + sum(&|f| met(f, true)), still_to_buy, sum(&|f| met(f, false)))
        }
    };
    let [without_litter, still_to_buy, replaced_later] = [without_litter, still_to_buy, replaced_later].map(buy::cents);
    let spreading = sum(&|f| {
        let per_ton = |a: &Application| {
            prices.spreading.value.get() + prices.hauling.value.get() * a.haul.as_ref().map_or(0.0, |h| h.miles)
        };
        f.applications.iter().map(|a| a.pounds.tons() * per_ton(a)).sum()
    });
    let spreading = spreading + trips::of_jobs(prices, fields.iter().flat_map(|f| &f.applications)).unwrap_or(0.0);
    Some(Money {
        replaced: buy::cents(without_litter - still_to_buy + replaced_later),
        replaced_later,
        spreading,
        still_to_buy,
        stays_short: buy.map_or(0.0, |buy| buy.with_litter.short),
        without_litter,
        leftover: lots.iter().map(|lot| lot.left.tons() * ready.worth_left(&lot.id).unwrap_or(0.0)).sum(),
        sold: trade.sold,
        bought: trade.bought,
        disposal: trade.disposal,
        done: done::done(ready, balance, book, (prices, pound)),
    })
}

/// What the place says to the planner; of large operations only where the farm is one, of a
/// soil test that rises or falls only where one does.
fn planner_notes(ready: &Ready, book: &Book<'_>, fields: &[FieldPlan]) -> Vec<Caution> {
    let trends = || fields.iter().flat_map(|field| &field.outlook).filter(|o| o.of == "P").map(|o| o.per_year);
    let said = |note: &Caution| match note.about.as_str() {
        TREND_UP => trends().any(|trend| trend > 0.0),
        TREND_DOWN => trends().any(|trend| trend < 0.0),
        about => ready.large || !about.starts_with("large_"),
    };
    sentences(book, topic::PLANNER_NOTE, "when", false).into_iter().filter(said).collect()
}

/// Every published figure that a plan rests on, each once.
#[must_use]
pub fn cites(ready: &Ready, balance: &Balance) -> Vec<Cite> {
    use crate::balance::How;
    let mut cites: Vec<Cite> = balance
        .fields
        .iter()
        .flat_map(|f| {
            let steps = f.notes.steps().iter().filter_map(|s| match &s.how {
                How::From(Origin::Figure(cite)) | How::Curve { cite, .. } | How::Class { cite, .. } => Some(cite),
                _ => None,
            });
            steps
                .chain(f.windows.iter().map(|w| &w.cite))
                .chain(f.windows.iter().filter_map(|w| w.n_share_cite.as_ref()))
        })
        .chain(ready.keepouts.iter().flat_map(setback_figures))
        .chain(match &ready.detour.origin {
            Origin::Figure(cite) => Some(cite),
            _ => None,
        })
        .cloned()
        .collect();
    cites.sort_by(|a, b| a.figure.cmp(&b.figure));
    cites.dedup();
    cites
}

/// The figures behind a keep-out's distances.
fn setback_figures(keep: &KeepOut) -> impl Iterator<Item = &Cite> {
    let either = std::iter::once(keep).chain(keep.worked_in.as_deref());
    let origins = either.flat_map(|keep| std::iter::once(&keep.origin).chain(keep.above.as_ref().map(|a| &a.origin)));
    origins.filter_map(|origin| match origin {
        Origin::Figure(cite) => Some(cite),
        _ => None,
    })
}
