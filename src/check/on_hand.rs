//! The tons of a lot, from whatever the grower counted or measured; how sure
//! they are, and what they rest on.

use crate::check::pile;
use crate::farm::{DensityOf, Flocks, LoadOf, LoadsCounted, OnHand, OnHandTicket, Pile, Taken, WrittenLot};
use crate::findings::{At, Finding, Findings, Origin};
use crate::tables::{Book, Of, Scope, Sourced, Value, topic};
use crate::units::{Pounds, Quantity, number_text, trimmed, whole_down};
use serde::{Deserialize, Serialize};

/// Where the tons of a lot come from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Counting {
    /// What was counted, as in `54 loads of 7.96 tons, 4 weighed`.
    pub from: String,
    /// How sure it is, in a sentence.
    pub sure: String,
    /// Least it may be.
    pub low: Pounds,
    /// Most it may be.
    pub high: Pounds,
    /// The lines and figures that it rests on.
    pub origins: Vec<Origin>,
}

impl Counting {
    /// Least and most, where they differ.
    #[must_use]
    pub fn range(&self) -> Option<(Pounds, Pounds)> {
        (self.low != self.high).then_some((self.low, self.high))
    }
}

/// Tons that come to one number.
fn certain(pounds: f64, from: String, sure: &str, origins: Vec<Origin>) -> (Pounds, Counting) {
    let pounds = Pounds(whole_down(pounds));
    (pounds, Counting { from, sure: sure.to_string(), low: pounds, high: pounds, origins })
}

/// The pounds of a lot that the books open with, and where they come from;
/// nothing of that where the grower says the tons outright.
#[must_use]
pub fn on_hand(lot: &WrittenLot, book: &Book<'_>, findings: &mut Findings) -> Option<(Pounds, Option<Counting>)> {
    let at = &lot.on_hand;
    let line = Origin::Line(at.place.clone());
    let (pounds, counting) = match &at.value {
        OnHand::Said(tons) => return Some((Pounds::from_tons_down(tons.get()), None)),
        OnHand::Tickets(tickets) => by_tickets(tickets, line),
        OnHand::Loads(counted) => by_loads(counted, line),
        OnHand::Pile(pile) => by_pile(pile, lot, line, book, findings)?,
        OnHand::Houses(flocks) => by_houses(flocks, lot, line, book, findings)?,
    };
    Some((pounds, Some(counting)))
}

fn by_tickets(tickets: &[OnHandTicket], line: Origin) -> (Pounds, Counting) {
    // A ticket is to the pound; one in kilograms comes close to one.
    let pounds: Pounds = tickets.iter().map(|t| Pounds(whole_down(t.net.value.get()))).sum();
    let days = || tickets.iter().map(|t| t.date.value);
    let when = match (days().min(), days().max()) {
        (Some(first), Some(last)) if first < last => format!(", {first} to {last}"),
        (Some(day), _) => format!(", {day}"),
        _ => String::new(),
    };
    let many =
        if tickets.len() == 1 { "1 scale ticket".to_string() } else { format!("{} scale tickets", tickets.len()) };
    certain(pounds.0 as f64, format!("{many}{when}"), "weighed", vec![line])
}

/// Counted loads. The weighed ones count as weighed, the others as their mean;
/// at least and at most as if every other load were the lightest or heaviest.
fn by_loads(counted: &LoadsCounted, line: Origin) -> (Pounds, Counting) {
    let count = f64::from(counted.count.value);
    let loads = |tons: f64| format!("{} loads of {} tons", counted.count.value, number_text(tons, 2));
    match &counted.each {
        LoadOf::Said(load, 0) => {
            let tons = load.value.get();
            certain(count * tons * 2_000.0, loads(tons), "counted, none weighed", vec![line])
        }
        LoadOf::Said(load, weighed) => {
            let tons = load.value.get();
            let from = format!("{}, {weighed} weighed", loads(tons));
            let sure = "counted; nothing says how much the weighed loads differ";
            certain(count * tons * 2_000.0, from, sure, vec![line])
        }
        LoadOf::Weighed(list) => {
            let tons = || list.iter().map(|t| t.value.get());
            let (sum, n) = (tons().sum::<f64>(), list.len() as f64);
            let (light, heavy) = (tons().fold(f64::INFINITY, f64::min), tons().fold(0.0, f64::max));
            let all = |each: f64| Pounds(whole_down((sum + (count - n) * each) * 2_000.0));
            let mean = sum / n;
            let counting = Counting {
                from: format!("{}, {} weighed", loads(mean), list.len()),
                sure: "by the lightest and the heaviest of the loads weighed".to_string(),
                low: all(light),
                high: all(heavy),
                origins: vec![line],
            };
            (all(mean), counting)
        }
    }
}

fn by_pile(
    pile: &Pile,
    lot: &WrittenLot,
    line: Origin,
    book: &Book<'_>,
    findings: &mut Findings,
) -> Option<(Pounds, Counting)> {
    let volume = pile::cubic_feet(&pile.form);
    let from = |density: &str| format!("{}: {} ft3 at {density}", pile::words(&pile.form), number_text(volume, 0));
    match &pile.density {
        Some(DensityOf::Said(density)) => {
            let text = from(&format!("{} lb/ft3", trimmed(density.value.get())));
            Some(certain(volume * density.value.get(), text, "as good as the density that was given", vec![line]))
        }
        Some(DensityOf::Bucket(net)) => {
            let factor =
                number(topic::BUCKET_FACTOR, &Scope::new(), "a bucket's weight", &lot.on_hand, book, findings)?;
            let density = crate::calibrate::bucket_density(net.value.get(), factor.value.get())?;
            let text =
                from(&format!("{} lb/ft3 (bucket {} x {})", trimmed(density), net.value, trimmed(factor.value.get())));
            let origins = vec![line, Origin::Figure(factor.cite)];
            Some(certain(volume * density, text, "as good as the bucket", origins))
        }
        None => {
            let mut end = |end: &str| {
                let scope = Scope::new().end(end).material(&lot.kind.value);
                number(topic::LITTER_DENSITY, &scope, "the weight of a pile", &lot.on_hand, book, findings)
            };
            let (low, high) = (end("low")?, end("high")?);
            let text = from(&format!("{} to {} lb/ft3", trimmed(low.value.get()), trimmed(high.value.get())));
            let sure = "by published densities that lie far apart; the low end counts: weigh a bucket";
            Some(between(volume * low.value.get(), volume * high.value.get(), text, sure, vec![line], [low, high]))
        }
    }
}

/// Birds, flocks and weight. Whole litter goes by the live weight where it is
/// given: 0.5 lb a pound is the states' 0.25 tons a pound and 1,000 birds.
fn by_houses(
    flocks: &Flocks,
    lot: &WrittenLot,
    line: Origin,
    book: &Book<'_>,
    findings: &mut Findings,
) -> Option<(Pounds, Counting)> {
    let birds = f64::from(flocks.houses.value) * f64::from(flocks.birds.value) * f64::from(flocks.flocks.value);
    let many = |n: u32, what: &str| if n == 1 { format!("1 {what}") } else { format!("{n} {what}s") };
    let from = format!(
        "{} of {} birds, {}",
        many(flocks.houses.value, "house"),
        number_text(f64::from(flocks.birds.value), 0),
        many(flocks.flocks.value, "flock")
    );
    match (&flocks.weight, flocks.taken.value) {
        (Some(weight), Taken::Whole) => {
            let mut end = |end: &str| {
                number(
                    topic::LITTER_PER_WEIGHT,
                    &Scope::new().end(end),
                    "the litter of a flock",
                    &lot.on_hand,
                    book,
                    findings,
                )
            };
            let (low, high) = (end("low")?, end("high")?);
            let live = birds * weight.value.get();
            let text = format!("{from} at {}, whole litter", weight.value);
            let sure = format!(
                "by {} to {} lb of litter a pound of live weight; the low end counts: count the loads",
                trimmed(low.value.get()),
                trimmed(high.value.get())
            );
            Some(between(live * low.value.get(), live * high.value.get(), text, &sure, vec![line], [low, high]))
        }
        (_, taken) => {
            let material = if taken == Taken::Cake { "broiler_cake" } else { "broiler_litter" };
            let scope = Scope::new().material(material);
            let made = number(topic::LITTER_MADE, &scope, "the litter of a flock", &lot.on_hand, book, findings)?;
            let text =
                format!("{from}, {} litter at {} tons a flock of 1,000", taken.word(), trimmed(made.value.get()));
            let pounds = birds / 1_000.0 * made.value.get() * 2_000.0;
            let sure = "by one published figure; others differ by half: count the loads";
            Some(certain(pounds, text, sure, vec![line, Origin::Figure(made.cite)]))
        }
    }
}

/// Tons between two figures. The books open with the low end, so that nothing
/// is planned that may not be there.
fn between<Q>(
    low: f64,
    high: f64,
    from: String,
    sure: &str,
    mut origins: Vec<Origin>,
    figures: [Sourced<Q>; 2],
) -> (Pounds, Counting) {
    origins.extend(figures.map(|f| Origin::Figure(f.cite)));
    let (low, high) = (Pounds(whole_down(low)), Pounds(whole_down(high.max(low))));
    (low, Counting { from, sure: sure.to_string(), low, high, origins })
}

/// A figure that must be there for a way of counting.
fn number<Q: Value>(
    topic: Of<Q>,
    scope: &Scope<'_>,
    what: &str,
    at: &At<OnHand>,
    book: &Book<'_>,
    findings: &mut Findings,
) -> Option<Sourced<Q>> {
    let figure = book.get(topic, scope);
    if figure.is_none() {
        let found = format!("the tables of {} have no {} to calculate {what}", book.place().name, topic.key());
        findings.push(
            Finding::error("on-hand-figure", &at.place, found)
                .accepts("tons, scale tickets, counted loads, or a pile with its `density`")
                .fix("count the loads and write `loads: {count: ..., load: ... tons}`"),
        );
    }
    figure
}
