//! Litter that comes and goes, on a terminal: the books of the lots, what is to
//! come, what must be gone by when, and who takes it.

use crate::check::Comes;
use crate::plan::LotRow;
use crate::plan::answer::{ComingRow, LotTally, Plan, Sale};
use crate::units::{Pounds, grouped, number_text};
use crate::write::page::{Page, across, day, tons, whole};

/// The books of a lot: opening, made, brought, spread, hauled, on hand, to come,
/// planned, sold, left.
pub(super) type LotBooks = (String, [Pounds; 10]);

/// The heads of the books, by place: a column of zeros is left out where it is none
/// of the sums.
const HEADS: [(&str, bool); 10] = [
    ("\nopening>", true),
    ("+\nmade>", false),
    ("+\nbrought>", false),
    ("-\nspread>", false),
    ("-\nhauled>", false),
    ("=\non hand>", true),
    ("+\nto come>", false),
    ("-\nplanned>", true),
    ("-\nsold>", false),
    ("=\nleft>", true),
];

pub(super) fn of_plan(l: &LotTally) -> LotBooks {
    let mark = if l.typical { "*" } else { "" };
    let books = [l.opening, l.made, l.brought, l.spread, l.hauled, l.on_hand, l.coming, l.planned, l.sold, l.left];
    (format!("{}{mark}", l.id), books)
}

pub(super) fn of_tally(l: &LotRow) -> LotBooks {
    (l.id.clone(), [l.opening, l.made, l.brought, l.spread, l.hauled, l.on_hand, l.coming, l.planned, l.sold, l.left])
}

/// The books of some lots, in pounds; `in_tons` adds what is left in tons.
pub(super) fn books(page: &mut Page, lots: &[LotBooks], in_tons: bool) {
    let shown: Vec<usize> =
        (0..HEADS.len()).filter(|i| HEADS[*i].1 || lots.iter().any(|(_, books)| books[*i].0 != 0)).collect();
    let number = |at: usize| -> usize {
        let cells = lots.iter().map(|(_, books)| grouped(books[at].0).len());
        cells.chain([across(HEADS[at].0.trim_end_matches('>'))]).max().unwrap_or(0) + 1
    };
    let name = lots.iter().map(|(name, _)| across(name)).max().unwrap_or(0).min(14) + 1;
    let in_tons_wide = if in_tons { number(HEADS.len() - 1).max(9) } else { 0 };
    if name + shown.iter().map(|at| number(*at)).sum::<usize>() + in_tons_wide <= page.width() {
        return part(page, lots, &shown, in_tons);
    }
    // Too wide for the page: what is on hand, then what becomes of it.
    let (before, after): (Vec<usize>, Vec<usize>) = shown.iter().partition(|at| **at < ON_HAND);
    part(page, lots, &[before, vec![ON_HAND]].concat(), false);
    page.line("");
    let after: Vec<usize> = after.into_iter().filter(|at| *at != ON_HAND).collect();
    part(page, lots, &[vec![ON_HAND], after].concat(), in_tons);
}

/// The lots out of which more went by the log than was there: plan and tally say it alike.
pub(super) fn overdrawn(page: &mut Page, lots: &[LotBooks]) {
    for (name, books) in lots.iter().filter(|(_, books)| books[ON_HAND].0 < 0) {
        let short = grouped(-books[ON_HAND].0);
        page.say(format!(
            "{} is overdrawn by {short} lb: by the log more went out of it than was there. The plan uses none of \
             it, nor of what comes to it before that is made up: count it again.",
            name.trim_end_matches('*')
        ));
    }
}

/// The place of what is on hand in the books.
const ON_HAND: usize = 5;

fn part(page: &mut Page, lots: &[LotBooks], shown: &[usize], in_tons: bool) {
    let heads = std::iter::once("Lot\nlb").chain(shown.iter().map(|i| HEADS[*i].0));
    let heads: Vec<&str> = heads.chain(in_tons.then_some("left\ntons>")).collect();
    let rows = lots.iter().map(|(name, books)| {
        let pounds = shown.iter().map(|i| grouped(books[*i].0));
        let left = in_tons.then(|| tons(books[HEADS.len() - 1]));
        std::iter::once(name.clone()).chain(pounds).chain(left).collect()
    });
    page.table(&heads, rows);
}

/// When the lots were counted, and what is to come to them.
pub(super) fn to_come(page: &mut Page, plan: &Plan) {
    let counted: Vec<String> = plan.lots.iter().filter_map(|l| Some(format!("{} {}", l.id, l.counted_on?))).collect();
    if !counted.is_empty() {
        page.say(format!("Counted: {}. On hand is the count and every entry of the log after it.", counted.join(", ")));
    }
    for row in &plan.coming {
        page.say(coming(row));
    }
    let listed = |id: &str| -> Pounds { plan.coming.iter().filter(|c| c.lot == id).map(|c| c.pounds).sum() };
    for lot in &plan.lots {
        let steadily = lot.coming - listed(&lot.id);
        if steadily.0 > 0 {
            let tons = tons(steadily);
            page.say(format!("To come: {tons} tons into {} by {}, day by day as it is made.", lot.id, day(plan.to)));
        }
    }
}

fn coming(row: &ComingRow) -> String {
    let whose = match (row.what, row.from.as_str()) {
        (_, "") => String::new(),
        (Comes::Brought, from) => format!(" from {from}"),
        (_, house) => format!(" of house {house}"),
    };
    let price = row.price.map_or(String::new(), |price| format!(" at ${} a ton", number_text(price, 2)));
    format!("To come: {} {} tons into {}, {}{whose}{price}.", day(row.day), tons(row.pounds), row.lot, row.what.word())
}

/// What must be gone by when, who takes what, and which spreading waits.
pub(super) fn by_when(page: &mut Page, plan: &Plan) {
    let waits = waits(plan);
    if plan.by_when.is_empty() && plan.sales.is_empty() && plan.outlets.is_empty() && waits.is_none() {
        return;
    }
    page.heading("BY WHEN");
    for row in &plan.by_when {
        page.item(format!("{}: {}.", day(row.by), row.sentence()));
    }
    for sale in &plan.sales {
        page.item(sold(sale));
    }
    plan.outlets.iter().for_each(|outlet| page.item(format!("{}.", outlet.sentence())));
    waits.into_iter().for_each(|waits| page.item(waits));
}

/// Which spreading waits for litter to come, and until when.
pub(super) fn waits(plan: &Plan) -> Option<String> {
    let applications = plan.fields.iter().flat_map(|f| f.applications.iter().map(move |a| (f, a)));
    let waits: Vec<String> =
        applications.filter_map(|(f, a)| Some(format!("{} {} from {}", f.id, a.lot, day(a.litter_from?)))).collect();
    (!waits.is_empty()).then(|| format!("Waits for litter to come: {}.", waits.join("; ")))
}

fn sold(sale: &Sale) -> String {
    let dollars = whole(sale.pounds.tons() * sale.price);
    format!(
        "{} to {}: {} takes {} tons of {} at ${} a ton: ${dollars}.",
        day(sale.first),
        day(sale.last),
        sale.outlet,
        tons(sale.pounds),
        sale.lot,
        number_text(sale.price, 2)
    )
}
