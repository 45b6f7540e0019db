//! Fertilizer to buy, on a terminal: the mix of every field, the products, and
//! what the farm pays with the litter and without it.

use crate::balance::Npk;
use crate::plan::answer::{Buy, FieldBuy, Go, Plan};
use crate::units::{number_text, trimmed};
use crate::write::page::{day, drawn, plain, table, widths, wrapped};

/// The section, heading included; nothing where the farm names no products.
pub(super) fn buy(plan: &Plan, width: usize) -> String {
    let Some(buy) = &plan.buy else { return String::new() };
    let mut text = "\nBUY, the cheapest fertilizer for what is short, lb of product per acre\n".to_string();
    if buy.fields.is_empty() {
        text.push_str("Nothing is short.\n");
    } else {
        text.push_str(&mixes(plan, buy, width));
        text.push_str(&remarks(buy, width));
        text.push('\n');
        text.push_str(&products(buy, width));
    }
    text.push('\n');
    text.push_str(&bills(buy, width));
    text
}

fn whole(value: f64) -> String {
    number_text(value, 0)
}

fn mixes(plan: &Plan, buy: &Buy, width: usize) -> String {
    let mut t = table(&["Field", "Acres", "Product", "lb/ac", "When"], &[1, 3], width);
    let last = u16::try_from(width.saturating_sub(54)).unwrap_or(26);
    widths(&mut t, &[22, 8, 16, 8, last]);
    for field in &buy.fields {
        let name = plan.fields.iter().find(|f| f.id == field.id).map_or("", |f| f.name.as_str());
        let mut lead = [plain(&format!("{} {name}", field.id)), number_text(field.acres, 2)];
        for amount in &field.mix {
            let goes: Vec<String> = field.goes.iter().filter_map(|g| goes_on(g, &amount.product)).collect();
            let [title, acres] = std::mem::take(&mut lead);
            t.add_row(vec![title, acres, plain(&amount.product), whole(amount.pounds), goes.join("\n")]);
        }
        if field.mix.is_empty() {
            let [title, acres] = lead;
            t.add_row(vec![title, acres, "-".into(), "-".into(), "-".into()]);
        }
    }
    drawn(&t, 1, width)
}

/// `163 after Jun 10`; `2 x 150 from Apr 1`.
fn goes_on(go: &Go, product: &str) -> Option<String> {
    let pounds = go.amounts.iter().find(|a| a.product == product && a.pounds >= 0.5)?.pounds;
    let amount = match go.times {
        0 | 1 => whole(pounds),
        times => format!("{times} x {}", whole(pounds / f64::from(times))),
    };
    Some(match (go.after_cutting, go.from) {
        (Some(cut), _) => format!("{amount} after {}", day(cut)),
        (None, Some(from)) => format!("{amount} from {}", day(from)),
        (None, None) => format!("{amount} after the plan's seasons"),
    })
}

/// `12 lb/ac N, 30 lb/ac K2O`; nothing where all three are none.
fn some(of: &Npk<f64>) -> Option<String> {
    let parts = [("N", of.n), ("P2O5", of.p2o5), ("K2O", of.k2o)];
    let list: Vec<String> =
        parts.into_iter().filter(|(_, lb)| *lb >= 0.5).map(|(what, lb)| format!("{} {what}", whole(lb))).collect();
    (!list.is_empty()).then(|| list.join(", "))
}

/// P2O5 that is short and may not be bought, because no more is allowed here.
fn not_allowed(field: &FieldBuy) -> Option<String> {
    let most = field.most_p2o5.filter(|most| *most + 0.5 <= field.short.p2o5 && field.unmet.p2o5 >= 0.5)?;
    let bought = field.short.p2o5 - field.unmet.p2o5;
    Some(format!("{} of {} ({} still allowed)", whole(bought), whole(field.short.p2o5), whole(most)))
}

fn remarks(buy: &Buy, width: usize) -> String {
    let mut text = String::new();
    let list = |get: &dyn Fn(&FieldBuy) -> Option<String>| -> Vec<String> {
        buy.fields.iter().filter_map(|f| Some(format!("{}: {}", f.id, get(f)?))).collect()
    };
    let mut say = |lead: &str, list: Vec<String>| {
        if !list.is_empty() {
            text.push_str(&wrapped(&plain(&format!("{lead} {}.", list.join("; "))), "", "  ", width));
        }
    };
    let sold = buy.products.iter().any(|p| p.analysis.p2o5 > 0.0);
    let capped = |f: &FieldBuy| not_allowed(f).filter(|_| sold);
    say("P2O5 bought, lb/ac, of what is short, because the phosphorus limit allows no more:", list(&capped));
    let unmet = |f: &FieldBuy| match capped(f) {
        Some(_) => some(&Npk { p2o5: 0.0, ..f.unmet }),
        None => some(&f.unmet),
    };
    let left_out = |f: &FieldBuy| !f.left_out.is_empty();
    say("Left unmet, lb/ac, since no product here has it:", list(&|f| unmet(f).filter(|_| !left_out(f))));
    say("Left unmet, lb/ac, since no product without P2O5 has it:", list(&|f| unmet(f).filter(|_| left_out(f))));
    say("Comes with the mix beyond what is short, lb/ac:", list(&|f| some(&f.over)));
    let without: Vec<String> =
        buy.fields.iter().filter(|f| !f.left_out.is_empty() && capped(f).is_none()).map(|f| f.id.clone()).collect();
    if !without.is_empty() {
        let ids = vec![without.join(", ")];
        say("Without products that contain P2O5, since phosphate is capped and none is short:", ids);
    }
    text
}

fn products(buy: &Buy, width: usize) -> String {
    let mut t = table(&["Product", "N-P2O5-K2O", "$/ton", "Tons", "Dollars"], &[2, 3, 4], width);
    widths(&mut t, &[22, 14, 10, 10, 10]);
    for p in &buy.products {
        let bag = [p.analysis.n, p.analysis.p2o5, p.analysis.k2o].map(trimmed).join("-");
        t.add_row(vec![plain(&p.name), bag, number_text(p.price, 0), number_text(p.tons, 2), whole(p.dollars)]);
    }
    let (tons, dollars) = buy.products.iter().fold((0.0, 0.0), |(t, d), p| (t + p.tons, d + p.dollars));
    t.add_row(vec!["All".to_string(), String::new(), String::new(), number_text(tons, 2), whole(dollars)]);
    drawn(&t, 1, width)
}

fn bills(buy: &Buy, width: usize) -> String {
    let mut t = table(&["Dollars in the plan's year", "With litter", "Without litter"], &[1, 2], width);
    widths(&mut t, &[36, 14, 16]);
    let (a, b) = (&buy.with_litter, &buy.without_litter);
    let mut row = |what: &str, a: f64, b: f64| {
        t.add_row(vec![what.to_string(), whole(a), whole(b)]);
    };
    row("fertilizer", a.fertilizer, b.fertilizer);
    row("spreading fertilizer", a.fertilizer_spreading, b.fertilizer_spreading);
    let parts = [
        ("loading and spreading litter", a.litter_spreading, b.litter_spreading),
        ("hauling litter", a.hauling, b.hauling),
        ("litter left, sold at the shed", a.litter_left.map(|d| -d), b.litter_left.map(|d| -d)),
    ];
    for (what, a, b) in parts {
        if let (Some(a), Some(b)) = (a, b) {
            row(what, a, b);
        }
    }
    row("together", a.total, b.total);
    let mut text = drawn(&t, 1, width);
    let dollars = |v: f64| format!("${}", whole(v));
    let line = match buy.saved {
        saved if saved > 0.0 => format!("The litter saves {}.", dollars(saved)),
        saved if saved < 0.0 => format!("The litter costs {} more than it saves.", dollars(-saved)),
        _ => "With or without litter, it costs the same.".to_string(),
    };
    let rest = match a.litter_left {
        Some(_) => "Without litter, all of it is sold at the shed and every need is met with commercial fertilizer.",
        None => "No prices in farm.yaml: what litter costs to spread and what it sells for is left out.",
    };
    text.push_str(&wrapped(&format!("{line} {rest}"), "", "  ", width));
    text
}
