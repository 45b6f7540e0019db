//! Fertilizer to buy, on a terminal: the mix of every field, the products, and
//! what the farm pays with the litter and without it.

use crate::balance::Npk;
use crate::findings::listed;
use crate::plan::answer::{Buy, FieldBuy, Go, HayLost, Plan, Uncounted};
use crate::units::{at_most, down_to, number_text, to_cents, trimmed};
use crate::write::page::{Page, day, named, not_known, or_dash, whole};

/// The section, heading included; nothing where the farm names no products.
pub(super) fn buy(page: &mut Page, plan: &Plan) {
    let Some(buy) = &plan.buy else { return };
    page.heading("BUY, the cheapest products and trips for what is short, lb of product an acre");
    if buy.fields.is_empty() {
        let unknown = not_known(plan).join("; ");
        match unknown.is_empty() {
            true => page.line("Nothing is short."),
            false => page.say(format!("Nothing is short of what is known. The need is not known of: {unknown}.")),
        }
    } else {
        mixes(page, plan, buy);
        remarks(page, plan, buy);
        uncounted(page, buy);
        page.line("");
        products(page, buy);
    }
    page.line("");
    bills(page, plan, buy);
    outlets(page, plan, buy);
    per_pound(page, plan);
}

/// What a pound of nutrient costs, litter beside the bag.
fn per_pound(page: &mut Page, plan: &Plan) {
    if plan.per_pound.iter().all(|row| !row.litter) {
        return;
    }
    let dollars = |value: Option<f64>| or_dash(value.map(|value| number_text(value, 2)));
    let rows = plan.per_pound.iter().map(|row| {
        let each = [row.each.n, row.each.p2o5, row.each.k2o, row.all].map(dollars);
        [row.of.clone(), number_text(row.a_ton, 2)].into_iter().chain(each).collect()
    });
    page.line("");
    page.table_of(&["Dollars a pound", "$/ton>", "N>", "P2O5>", "K2O>", "All three>"], &[22, 10, 8, 8, 8, 10], rows);
    page.say(
        "Litter: loading, spreading and hauling as planned, with what the ton would sell for, over what of it \
         is of use, whether a field needs it or not. What holds several nutrients is parted among them by `prices`.",
    );
}

fn mixes(page: &mut Page, plan: &Plan, buy: &Buy) {
    let rows = buy.fields.iter().flat_map(|field| {
        let own = plan.fields.iter().find(|f| f.id == field.id);
        let name = own.map_or("", |f| f.name.as_str());
        let mut amounts: Vec<[String; 3]> = Vec::new();
        for amount in &field.mix {
            let goes: Vec<String> = field.goes.iter().filter_map(|g| goes_on(g, &amount.product)).collect();
            amounts.push([amount.product.clone(), whole(to_spread(field, &amount.product)), goes.join("\n")]);
        }
        if amounts.is_empty() {
            let when = match field.next_season {
                _ if field.lost => "too late this year".to_string(),
                Some(on) => format!("wait: {}", day(on)),
                None if own.is_some_and(|f| f.stock_since.is_some()) => "stock is on it".to_string(),
                None if some(&field.too_little).is_some() => "too little for a trip".to_string(),
                None => or_dash(None),
            };
            amounts.push(["-".to_string(), "-".to_string(), when]);
        }
        // The field stands in its first row alone.
        let mut lead = [named(&field.id, name), number_text(field.acres, 2)];
        amounts.into_iter().map(move |amount| std::mem::take(&mut lead).into_iter().chain(amount).collect())
    });
    page.table_of(&["Field", "Acres>", "Product", "lb/ac>", "When"], &[22, 8, 16, 8, 0], rows);
}

/// How often, and pounds of a product at once: whole ones, and never more than the trip may bring.
fn dose(go: &Go, product: &str) -> Option<(u32, f64)> {
    let times = go.times.max(1);
    let pounds = go.amounts.iter().find(|a| a.product == product)?.pounds / f64::from(times);
    Some((times, down_to(pounds, 1.0))).filter(|(_, pounds)| *pounds > 0.0)
}

/// Pounds of a product in all trips over a field, as the trips are shown.
pub(super) fn to_spread(field: &FieldBuy, product: &str) -> f64 {
    let trips = field.goes.iter().filter_map(|go| dose(go, product));
    trips.fold(0.0, |sum, (times, pounds)| sum + f64::from(times) * pounds)
}

/// `162 after Jun 10`; `2 x 150 from Apr 1`.
fn goes_on(go: &Go, product: &str) -> Option<String> {
    let (times, pounds) = dose(go, product)?;
    let amount = if times < 2 { whole(pounds) } else { format!("{times} x {}", whole(pounds)) };
    Some(match (go.after_cutting, go.from) {
        (Some(cut), _) => format!("{amount} after {}", day(cut)),
        (None, Some(from)) => format!("{amount} from {}", day(from)),
        (None, None) => amount,
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
    Some(format!("{} of {} ({} still allowed)", whole(bought), whole(field.short.p2o5), at_most(most, 0)))
}

/// Whether products have what is left unmet, and the nitrogen in them keeps it off.
fn held_by_nitrogen(field: &FieldBuy, buy: &Buy) -> bool {
    let offered = || buy.products.iter().filter(|product| !field.left_out.contains(&product.name));
    let has = |unmet: f64, of: fn(&Npk<f64>) -> f64| unmet >= 0.5 && offered().any(|p| of(&p.analysis) > 0.0);
    let full = field.most_n.is_some_and(|most| on(field, buy, |bag| bag.n) + field.too_little.n + 0.01 >= most);
    full && (has(field.unmet.p2o5, |bag| bag.p2o5) || has(field.unmet.k2o, |bag| bag.k2o))
}

/// Whether potash is left unmet because of the phosphate that comes with it.
fn held_by_phosphate(field: &FieldBuy, buy: &Buy) -> bool {
    let offered = || buy.products.iter().filter(|product| !field.left_out.contains(&product.name));
    let full =
        field.most_p2o5.is_some_and(|most| on(field, buy, |bag| bag.p2o5) + field.too_little.p2o5 + 0.01 >= most);
    full && field.unmet.k2o >= 0.5 && offered().any(|p| p.analysis.k2o > 0.0) && !held_by_nitrogen(field, buy)
}

/// What a mix brings of a nutrient, lb/ac.
fn on(field: &FieldBuy, buy: &Buy, of: fn(&Npk<f64>) -> f64) -> f64 {
    let share = |name: &str| buy.products.iter().find(|p| p.name == name).map_or(0.0, |p| of(&p.analysis) / 100.0);
    field.mix.iter().map(|amount| amount.pounds * share(&amount.product)).sum()
}

fn remarks(page: &mut Page, plan: &Plan, buy: &Buy) {
    let list = |get: &dyn Fn(&FieldBuy) -> Option<String>| -> Vec<String> {
        buy.fields.iter().filter_map(|f| Some(format!("{}: {}", f.id, get(f)?))).collect()
    };
    let mut say = |lead: &str, list: Vec<String>| {
        if !list.is_empty() {
            page.say(format!("{lead} {}.", list.join("; ")));
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
    let by_n = |f: &FieldBuy| held_by_nitrogen(f, buy);
    let by_p = |f: &FieldBuy| held_by_phosphate(f, buy);
    let no_product = |f: &FieldBuy| unmet(f).filter(|_| !left_out(f) && !by_n(f) && !by_p(f));
    say("Left unmet, lb/ac, since no product here has it:", list(&no_product));
    let none_without = |f: &FieldBuy| unmet(f).filter(|_| left_out(f) && !by_n(f));
    say("Left unmet, lb/ac, since no product without P2O5 has it:", list(&none_without));
    say(
        "Left unmet, lb/ac, since the nitrogen that comes with it would pass what the seasons may still take:",
        list(&|f| unmet(f).filter(|_| by_n(f))),
    );
    say(
        "Left unmet, lb/ac, since the phosphate that comes with it would pass the phosphorus limit:",
        list(&|f| unmet(f).filter(|_| by_p(f))),
    );
    say(
        "Not on a day on which litter goes on the field: both together would pass the most nitrogen at once, lb/ac:",
        list(&|f| f.apart.map(whole)),
    );
    say("Comes with the mix beyond what is short, lb/ac:", list(&|f| some(&f.over)));
    let waits = |f: &FieldBuy| {
        let next = f.next_season.map_or(String::new(), |on| format!(" (from {on})"));
        some(&f.waits).map(|what| format!("{what}{next}"))
    };
    let stocked = |f: &FieldBuy| plan.fields.iter().find(|own| own.id == f.id).and_then(|own| own.stock_since);
    let next = |f: &FieldBuy| waits(f).filter(|_| stocked(f).is_none() && !f.lost);
    say("Not bought, lb/ac, since it waits for the next season of its forage:", list(&next));
    let lost = |f: &FieldBuy| some(&f.waits).filter(|_| stocked(f).is_none() && f.lost);
    say("Lost, lb/ac, since no season that is left of the growing year can take it:", list(&lost));
    let till = |f: &FieldBuy| Some(format!("{} (since {})", some(&f.waits)?, stocked(f)?));
    say("Not bought, lb/ac, since stock is on it and nobody knows until when:", list(&till));
    let no_test = crate::check::Wants::NewerTest.word();
    let old =
        |f: &FieldBuy| plan.fields.iter().any(|own| own.id == f.id && own.bars.iter().any(|bar| bar.wants == no_test));
    let old: Vec<&str> = buy.fields.iter().filter(|f| old(f)).map(|f| f.id.as_str()).collect();
    if !old.is_empty() {
        say(
            "Bought where the soil test is missing or too old; sample first, it may ask for other amounts:",
            vec![old.join(", ")],
        );
    }
    let least = whole(buy.least);
    let little = |f: &FieldBuy| some(&f.too_little);
    say(&format!("Not bought, lb/ac, since a trip would spread less than {least} lb/ac of product:"), list(&little));
    let without: Vec<String> =
        buy.fields.iter().filter(|f| !f.left_out.is_empty() && capped(f).is_none()).map(|f| f.id.clone()).collect();
    if !without.is_empty() {
        let ids = vec![without.join(", ")];
        say("Without products that contain P2O5, since phosphate is capped and none is short:", ids);
    }
}

fn products(page: &mut Page, buy: &Buy) {
    let rows = buy.products.iter().map(|p| {
        let bag = [p.analysis.n, p.analysis.p2o5, p.analysis.k2o].map(trimmed).join("-");
        vec![p.name.clone(), bag, whole(p.price), number_text(p.tons, 2), to_cents(p.dollars)]
    });
    let (tons, dollars) = buy.products.iter().fold((0.0, 0.0), |(t, d), p| (t + p.tons, d + p.dollars));
    let all = ["All", "", "", &number_text(tons, 2), &to_cents(dollars)].map(String::from).to_vec();
    let heads = ["Product", "N-P2O5-K2O", "$/ton>", "Tons>", "Dollars>"];
    page.table_of(&heads, &[22, 14, 10, 10, 12], rows.chain([all]));
}

/// What ground that is not done may lack more, by fields.
fn uncounted(page: &mut Page, buy: &Buy) {
    let one = |own: &Uncounted| {
        let lacks = some(&own.lacks)?;
        Some(format!("{}: up to {lacks} more on {} acres", own.field, number_text(own.acres, 2)))
    };
    let list: Vec<String> = buy.uncounted.iter().filter_map(one).collect();
    if !list.is_empty() {
        page.say(format!(
            "Short on ground that the log does not show as done, lb/ac, and in no sum here (log the rest, or draw what \
             is done): {}.",
            list.join("; ")
        ));
    }
}

/// What nitrogen left short loses in hay, by the fields that it is the same on.
fn hay_lost(buy: &Buy) -> Option<String> {
    let mut all: Vec<(&HayLost, Vec<&str>)> = Vec::new();
    let rows = || buy.fields.iter().chain(&buy.fields_without);
    let open = |row: &FieldBuy| row.unmet.n + row.waits.n + row.too_little.n;
    let is_short = |lost: &&HayLost| rows().any(|row| row.id == lost.id && open(row) >= 0.5);
    for lost in buy.hay_lost.iter().filter(is_short) {
        match all.iter_mut().find(|(other, _)| other.pound == lost.pound) {
            Some((_, ids)) => ids.push(&lost.id),
            None => all.push((lost, vec![&lost.id])),
        }
    }
    let one = |(lost, ids): &(&HayLost, Vec<&str>)| {
        let hay = number_text(lost.hay, 1);
        format!(
            "A pound of nitrogen left short on {} loses {hay} lb of hay{}, ${:.2} ({}).",
            listed(ids),
            lost.cite.known.sign(),
            lost.pound,
            lost.cite
        )
    };
    (!all.is_empty()).then(|| all.iter().map(one).collect::<Vec<_>>().join(" "))
}

/// What outlets took already, beside what they pay for.
fn outlets(page: &mut Page, plan: &Plan, buy: &Buy) {
    if buy.with_litter.litter_sold.is_some() {
        plan.outlets.iter().for_each(|outlet| page.say(format!("{}.", outlet.sentence())));
    }
}

/// What a pound that is left short counts, and why it may be.
fn left_short(page: &mut Page, buy: &Buy) {
    let price = [("N", buy.pound.n), ("P2O5", buy.pound.p2o5), ("K2O", buy.pound.k2o)];
    let price = price.map(|(nutrient, dollars)| format!("{nutrient} ${dollars:.2}")).join(", ");
    let (by_hay, what) = hay_lost(buy).map_or((String::new(), "is"), |hay| (format!("{hay} "), "else is"));
    page.say(format!(
        "{by_hay}What {what} left short counts by the pound, at what the products make it: {price}. It is too little for \
         a trip, over a limit, too late for this plan's seasons, or in no product here."
    ));
}

fn bills(page: &mut Page, plan: &Plan, buy: &Buy) {
    let (a, b) = (&buy.with_litter, &buy.without_litter);
    let none = [a.disposal, b.disposal].iter().flatten().all(|dollars| *dollars == 0.0);
    let rid = |dollars: Option<f64>| dollars.filter(|_| !none);
    let short = a.short >= 0.005 || b.short >= 0.005;
    let seen = |dollars: f64| Some(dollars).filter(|_| short);
    let parts = [
        ("fertilizer", Some(a.fertilizer), Some(b.fertilizer)),
        ("spreading fertilizer", Some(a.fertilizer_spreading), Some(b.fertilizer_spreading)),
        ("left short", seen(a.short), Some(b.short)),
        ("met of the next growing year", Some(-a.ahead).filter(|_| a.ahead >= 0.005), None),
        ("loading and spreading litter", a.litter_spreading, b.litter_spreading),
        ("hauling litter", a.hauling, b.hauling),
        ("jobs and loads of litter", a.trips, b.trips),
        ("litter left, sold at the shed", a.litter_left.map(|d| -d), b.litter_left.map(|d| -d)),
        ("litter sold to outlets", a.litter_sold.map(|d| -d), b.litter_sold.map(|d| -d)),
        ("litter brought", a.litter_bought, None),
        ("getting rid of litter", rid(a.disposal), rid(b.disposal)),
        ("together", Some(a.total), Some(b.total)),
    ];
    let rows = parts
        .iter()
        .filter_map(|(what, a, b)| Some(vec![(*what).to_string(), to_cents((*a)?), b.map_or(String::new(), to_cents)]));
    page.table_of(&["Dollars in the plan's year", "With litter>", "Without litter>"], &[36, 14, 16], rows);
    let line = match buy.saved {
        saved if saved > 0.0 => format!("The litter saves ${}.", to_cents(saved)),
        saved if saved < 0.0 => format!("The litter costs ${} more than it saves.", to_cents(-saved)),
        _ => "With or without litter, it costs the same.".to_string(),
    };
    let rest = match a.litter_left {
        Some(_) if a.litter_sold.is_some() && a.disposal.is_some() => {
            "Without litter, the outlets take what they can of it and the rest brings nothing; every need is met with commercial fertilizer."
        }
        Some(_) if a.litter_sold.is_some() => {
            "Without litter, the outlets take what they can of it, the rest brings nothing and what it costs to get rid of is not counted; every need is met with commercial fertilizer."
        }
        Some(_) => "Without litter, all of it is sold at the shed and every need is met with commercial fertilizer.",
        None => "No prices in farm.yaml: what litter costs to spread and what it sells for is left out.",
    };
    // Some kinds are never sold.
    let rest = match buy.keeps_unsold {
        true => rest.replace("all of it is sold", "all of it that may be sold is sold"),
        false => rest.to_string(),
    };
    let unmet = [some(&buy.unmet_without), some(&buy.unmet_with)];
    let rest = match (&unmet, not_known(plan).is_empty()) {
        ([Some(_), _], _) => {
            rest.replace("every need is met with commercial fertilizer", "commercial fertilizer meets what it can")
        }
        (_, false) => rest.replace("every need", "every known need"),
        _ => rest,
    };
    let rest = match buy.waits_without {
        true => rest.replace(" is met with", " that a season left in the plan can take is met with"),
        false => rest,
    };
    page.say(format!("{line} {rest}"));
    if let [without, with] = unmet.map(|pounds| pounds.unwrap_or_else(|| "nothing".to_string()))
        && (without != "nothing" || with != "nothing")
    {
        page.say(format!("What no fertilizer here meets, lb: without litter {without}; with it {with}."));
    }
    if short {
        left_short(page, buy);
    }
}
