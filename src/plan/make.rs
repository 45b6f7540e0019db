//! From the balance to the finished plan: asks the chooser, dates each
//! application, adds everything up.

use crate::balance::{Balance, FieldBalance, LimitKind, Notebook, Npk, StepId, Surveyed, Worth};
use crate::check::{Contents, Field, Lot, Ready};
use crate::farm::Use;
use crate::findings::{Cite, Finding, Findings, Known, Origin};
use crate::plan::answer::{
    Application, BarRow, Caution, FieldPlan, Held, HeldBy, KeptOff, Leftover, LotLimits, LotTally, Money,
    PhosphorusRow, Plan, SCHEMA,
};
use crate::plan::choose::Choose;
use crate::plan::holds;
use crate::plan::problem::{Entry, Problem, on_hand, problem};
use crate::record::What;
use crate::tables::{Book, Tables, Topic};
use crate::units::{Pounds, Quantity};

/// Makes the plan. `found` are the findings of the checks, to be shown with it.
#[must_use]
pub fn make(
    ready: &Ready,
    tables: &Tables,
    ground: &[Surveyed],
    balance: &Balance,
    chooser: &dyn Choose,
    found: &Findings,
) -> Plan {
    let question = problem(ready, balance, ground);
    let entries = chooser.choose(&question);
    let fields: Vec<FieldPlan> = ready
        .fields
        .iter()
        .zip(&balance.fields)
        .zip(ground)
        .enumerate()
        .map(|(i, ((field, weighed), surveyed))| {
            let held = held(weighed, &question, &entries, i);
            field_plan(
                ready,
                field,
                weighed,
                surveyed,
                applications(ready, weighed, surveyed, &question, &entries, i),
                held,
            )
        })
        .collect();
    let lots: Vec<LotTally> = ready.lots.iter().map(|l| tally(ready, l, &fields)).collect();
    let book = tables.book(&ready.place, ready.from);
    Plan {
        schema: SCHEMA,
        farm: ready.name.clone(),
        place: ready.place.clone(),
        place_name: ready.place_name.clone(),
        decides: ready.decides.clone(),
        from: ready.from,
        to: ready.to,
        money: money(ready, &fields),
        leftover: leftover(ready, &fields, &lots),
        cautions: book.as_ref().map(|b| cautions(ready, b, &fields, &lots)).unwrap_or_default(),
        planner_notes: book.as_ref().map(|b| sentences(b, Topic::PlannerNote, "when")).unwrap_or_default(),
        stops: book.as_ref().map(|b| sentences(b, Topic::Stop, "when")).unwrap_or_default(),
        record_items: book.as_ref().map(|b| sentences(b, Topic::RecordItem, "item")).unwrap_or_default(),
        findings: found.sorted().into_iter().cloned().collect::<Vec<Finding>>(),
        from_memory: from_memory(ready, balance),
        fields,
        lots,
    }
}

/// The applications of a field, by first day.
fn applications(
    ready: &Ready,
    weighed: &FieldBalance,
    surveyed: &Surveyed,
    question: &Problem,
    entries: &[Entry],
    field: usize,
) -> Vec<Application> {
    let load = Pounds::from_tons_down(ready.spreader.load.value.get()).0.max(1);
    let mut list: Vec<Application> = entries
        .iter()
        .filter(|e| question.choices[e.choice].field == field)
        .map(|e| {
            let choice = &question.choices[e.choice];
            let (lot, window) = (&ready.lots[choice.lot], &weighed.windows[choice.window]);
            let pounds = question.pounds(field, e.steps);
            let loads = (pounds.0 + load - 1) / load;
            Application {
                lot: lot.id.clone(),
                season: window.season.clone(),
                first: window.first,
                last: window.last,
                rate: question.rate(e.steps),
                pounds,
                loads,
                last_load: Pounds(pounds.0 - (loads - 1).max(0) * load),
                miles: surveyed.miles.get(choice.lot).copied().flatten(),
                analysis_good_until: lot.good_until.as_ref().map(|g| g.last),
            }
        })
        .collect();
    list.sort_by(|a, b| (a.first, a.last, &a.lot).cmp(&(b.first, b.last, &b.lot)));
    list
}

fn held(weighed: &FieldBalance, question: &Problem, entries: &[Entry], i: usize) -> HeldBy {
    let plain = |by| HeldBy { by, rate: None, below_even: false };
    if !weighed.bars.is_empty() {
        return plain(Held::Barred);
    }
    if weighed.acres <= 0.0 {
        return plain(Held::NoGround);
    }
    let found = holds::held(question, entries, i);
    // The chooser sees one cap for the year and one for the application; the
    // balance knows whose they are.
    let smallest = |kinds: [LimitKind; 2]| {
        let limits = weighed.lots.first().map(|l| l.limits.as_slice()).unwrap_or_default();
        limits.iter().find(|l| kinds.contains(&l.kind)).map(|l| l.kind)
    };
    let by = match found.by {
        Held::YearMost if smallest([LimitKind::YearMost, LimitKind::GrowerMost]) == Some(LimitKind::GrowerMost) => {
            Held::GrowerMost
        }
        Held::ApplicationMost
            if smallest([LimitKind::ApplicationMost, LimitKind::SpreaderMost]) == Some(LimitKind::SpreaderMost) =>
        {
            Held::SpreaderMost
        }
        by => by,
    };
    HeldBy { by, ..found }
}

fn npk(notes: &Notebook, of: &Npk<StepId>) -> Npk<f64> {
    Npk { n: notes.value(of.n), p2o5: notes.value(of.p2o5), k2o: notes.value(of.k2o) }
}

fn each(a: Npk<f64>, b: Npk<f64>, with: fn(f64, f64) -> f64) -> Npk<f64> {
    Npk { n: with(a.n, b.n), p2o5: with(a.p2o5, b.p2o5), k2o: with(a.k2o, b.k2o) }
}

fn field_plan(
    ready: &Ready,
    field: &Field,
    weighed: &FieldBalance,
    surveyed: &Surveyed,
    applications: Vec<Application>,
    held: HeldBy,
) -> FieldPlan {
    let notes = &weighed.notes;
    let need = npk(notes, &weighed.need);
    let mut supplied = Npk::default();
    for application in &applications {
        if let Some(lot) = ready.lots.iter().position(|l| l.id == application.lot).and_then(|i| weighed.lots.get(i)) {
            let per_ton = npk(notes, &lot.supply.per_ton);
            let rate = application.rate;
            supplied = each(
                supplied,
                Npk { n: rate * per_ton.n, p2o5: rate * per_ton.p2o5, k2o: rate * per_ton.k2o },
                |a, b| a + b,
            );
        }
    }
    let done = each(need, weighed.left, |need, left| need - left);
    let short = each(weighed.left, supplied, |left, put| (left - put).max(0.0));
    let over = each(supplied, weighed.left, |put, left| (put - left).max(0.0));
    let written = &field.written;
    FieldPlan {
        id: field.id().to_string(),
        name: written.name.clone(),
        forage: written.forage.value.replace('_', " "),
        usage: written.usage.value.word().to_string(),
        gross_acres: surveyed.cut.gross,
        acres: weighed.acres,
        kept_off: kept_off(ready, surveyed),
        phosphorus: phosphorus(field, weighed, supplied.p2o5),
        n_allowed: need.n,
        applications,
        need,
        done,
        supplied,
        short,
        over,
        removed: npk(notes, &weighed.removed),
        bars: weighed
            .bars
            .iter()
            .map(|b| BarRow { why: b.why.clone(), mend: b.mend.clone(), origin: b.origin.clone() })
            .collect(),
        held,
        limits: ready
            .lots
            .iter()
            .zip(&weighed.lots)
            .map(|(lot, weighed)| LotLimits { lot: lot.id.clone(), limits: weighed.limits.clone() })
            .collect(),
        windows: weighed.windows.clone(),
        cuttings: written.cuttings.iter().map(|c| c.value).collect(),
        grazed: written.grazed.iter().map(|(from, to)| (from.value, to.value)).collect(),
        sheep: field.sheep,
    }
}

fn kept_off(ready: &Ready, surveyed: &Surveyed) -> Vec<KeptOff> {
    surveyed
        .cut
        .zones
        .iter()
        .filter_map(|zone| {
            let keep = ready.keepouts.get(zone.index)?;
            Some(KeptOff {
                name: keep.name.clone(),
                kind: keep.kind.replace('_', " "),
                feet: keep.feet,
                acres: zone.acres,
                origin: keep.origin.clone(),
            })
        })
        .collect()
}

fn phosphorus(field: &Field, weighed: &FieldBalance, supplied: f64) -> PhosphorusRow {
    let notes = &weighed.notes;
    let word = |id: StepId| match &notes.step(id).value {
        Worth::Word(word) => word.clone(),
        Worth::Number(n) => n.to_string(),
    };
    let allowed = weighed.phosphorus.allowed.map(|a| notes.value(a));
    let already = match (allowed, weighed.p2o5_left) {
        (Some(allowed), Some(left)) => (allowed - left).max(0.0),
        _ => 0.0,
    };
    PhosphorusRow {
        soil: weighed.phosphorus.soil.map(|s| notes.value(s)),
        unit: weighed.phosphorus.soil.map(|s| notes.step(s).unit.to_string()),
        class: weighed.phosphorus.class.map(word),
        rating: field.rating.map(|r| r.word().to_string()),
        basis: weighed.phosphorus.basis,
        allowed,
        planned: already + supplied,
    }
}

fn tally(ready: &Ready, lot: &Lot, fields: &[FieldPlan]) -> LotTally {
    let planned: Pounds =
        fields.iter().flat_map(|f| &f.applications).filter(|a| a.lot == lot.id).map(|a| a.pounds).sum();
    let now = on_hand(ready, &lot.id, lot.on_hand);
    LotTally {
        id: lot.id.clone(),
        kind: lot.kind.replace('_', " "),
        opening: lot.on_hand,
        brought: ready.moved(&lot.id, What::Bring),
        spread: ready.moved(&lot.id, What::Spread),
        hauled: ready.moved(&lot.id, What::Haul),
        on_hand: now,
        planned,
        left: now - planned,
        analysis_good_until: lot.good_until.as_ref().map(|g| g.last),
        typical: matches!(lot.contents, Contents::Typical(_)),
    }
}

fn money(ready: &Ready, fields: &[FieldPlan]) -> Option<Money> {
    let prices = ready.prices.as_ref()?;
    let worth = |of: &Npk<f64>| {
        of.n * prices.n.value.get() + of.p2o5 * prices.p2o5.value.get() + of.k2o * prices.k2o.value.get()
    };
    let sum = |get: &dyn Fn(&FieldPlan) -> f64| fields.iter().map(get).sum::<f64>();
    let without_litter = sum(&|f| f.acres * worth(&each(f.need, f.done, |need, done| need - done)));
    let still_to_buy = sum(&|f| f.acres * worth(&f.short));
    let spreading = sum(&|f| {
        let per_ton =
            |a: &Application| prices.spreading.value.get() + prices.hauling.value.get() * a.miles.unwrap_or(0.0);
        f.applications.iter().map(|a| a.pounds.tons() * per_ton(a)).sum()
    });
    let left: f64 = ready.lots.iter().map(|l| tally(ready, l, fields).left.tons()).sum();
    Some(Money {
        replaced: without_litter - still_to_buy,
        spreading,
        still_to_buy,
        without_litter,
        leftover: left * prices.litter_sold.value.get(),
    })
}

fn leftover(ready: &Ready, fields: &[FieldPlan], lots: &[LotTally]) -> Leftover {
    let pounds: Pounds = lots.iter().map(|l| l.left).sum();
    let applied = || fields.iter().flat_map(|f| f.applications.iter().map(move |a| (f.acres, a)));
    let planned: f64 = applied().map(|(_, a)| a.pounds.tons()).sum();
    let acres: f64 = applied().map(|(acres, _)| acres).sum();
    let average_rate = if acres > 0.0 { planned / acres } else { 0.0 };
    Leftover {
        pounds,
        average_rate,
        acres_more: if average_rate > 0.0 { pounds.tons() / average_rate } else { 0.0 },
        acres_wanting: fields.iter().filter(|f| f.held.by == Held::TonsOnHand).map(|f| f.acres).sum(),
        sale_value: ready.prices.as_ref().map(|p| pounds.tons() * p.litter_sold.value.get()),
    }
}

fn sentences(book: &Book<'_>, topic: Topic, key: &str) -> Vec<Caution> {
    book.all_words(topic, key)
        .into_iter()
        .map(|(about, words)| Caution { about, text: words.value, origin: Origin::Figure(words.cite) })
        .collect()
}

/// The cautions that fit the farm: those on grazing where stock grazes what is
/// spread on, those on sheep where sheep do, those on stacks where litter is
/// left.
fn cautions(ready: &Ready, book: &Book<'_>, fields: &[FieldPlan], lots: &[LotTally]) -> Vec<Caution> {
    let spread = || fields.iter().zip(&ready.fields).filter(|(f, _)| !f.applications.is_empty());
    let grazed = spread().any(|(f, r)| r.written.usage.value != Use::Hay || !f.grazed.is_empty());
    let sheep = spread().any(|(f, _)| f.sheep);
    let left: i64 = lots.iter().map(|l| l.left.0).sum();
    let horses = ready.herds.iter().any(|h| h.kind.to_lowercase().contains("horse"));
    sentences(book, Topic::Caution, "when")
        .into_iter()
        .filter(|c| match c.about.as_str() {
            "graze" | "graze_carcass" | "tetany" => grazed,
            "copper" => sheep,
            "horses" => horses,
            "store" | "store_heat" => left > 0,
            _ => true,
        })
        .collect()
}

/// Every figure from memory in the notebooks, each once.
fn from_memory(ready: &Ready, balance: &Balance) -> Vec<Cite> {
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
        .chain(ready.keepouts.iter().filter_map(|k| match &k.origin {
            Origin::Figure(cite) => Some(cite),
            _ => None,
        }))
        .filter(|c| c.known == Known::Memory)
        .cloned()
        .collect();
    cites.sort_by(|a, b| a.figure.cmp(&b.figure));
    cites.dedup();
    cites
}
