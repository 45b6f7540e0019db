//! The question of a farm folder as the program puts it, and the same farm with other
//! stocks, arrivals, rooms, outlets and days, written for `folders.py` to answer by
//! a formulation of its own.

use crate::farms::Dice;
use jiff::civil::Date;
use serde_json::{Value, json};
use std::path::Path;
use sward::balance::Npk;
use sward::pipeline::{Day, Folder, Question};
use sward::plan::{Choose, Chosen, Draw, LeastCost, Problem, ProblemOutlet, Room, asked};
use sward::units::Pounds;

/// The question of a folder as of a day.
fn question(folder: &Path, day: Date) -> Problem {
    let question = Question::of(Folder::at(folder), Day::Stated { today: day });
    let weighed = question.open().check().weigh().unwrap_or_else(|found| panic!("{}: {found:?}", folder.display()));
    let mut farm = asked(&weighed.ready, &weighed.tables, &weighed.balance);
    // The peer knows one price a pound and no trips of fertilizer: both are asked by the pound.
    farm.fields.iter_mut().for_each(|field| field.bill = None);
    farm
}

/// Percent of some pounds.
fn percent(pounds: Pounds, of: i64) -> Pounds {
    Pounds(pounds.0 * of / 100)
}

/// The same farm with another stock, of which some comes later; with days, rooms and
/// outlets now and then.
fn varied(farm: &Problem, seed: u64) -> Problem {
    let mut dice = Dice::new(seed);
    let mut other = farm.clone();
    let first = farm.choices.iter().map(|c| c.first).min().unwrap_or_default();
    let last = farm.choices.iter().map(|c| c.last).max().unwrap_or_default();
    let days = i64::from((last - first).get_days()).max(1);
    let some_day = |dice: &mut Dice| first.saturating_add(jiff::Span::new().days(dice.pick(1, days)));
    for lot in &mut other.lots {
        // `use_first` forbids plans; it is asked for elsewhere.
        lot.first = false;
        lot.pounds = percent(lot.pounds, dice.pick(15, 140));
        let mut left = percent(lot.pounds, dice.pick(0, 90));
        lot.comes.clear();
        for _ in 0..dice.pick(0, 4) {
            let now = percent(left, dice.pick(20, 100));
            left -= now;
            let day = some_day(&mut dice);
            if now.0 > 0 && lot.comes.iter().all(|(other, _)| *other != day) {
                lot.comes.push((day, now));
            }
        }
        lot.comes.sort();
    }
    // A span that waits for a lot waits for days that are no longer its own.
    other.spans.retain(|span| span.lot.is_none());
    let share = dice.pick(30, 130);
    other.spans.iter_mut().for_each(|span| span.pounds = percent(span.pounds, share));
    other.rooms.clear();
    if dice.pick(0, 2) > 0 && !other.lots.is_empty() {
        let on_hand = other.there(0, first);
        let pounds = on_hand + percent(other.lots[0].pounds, dice.pick(0, 50));
        // What must leave by the evening on which litter comes, were nothing spread or sold.
        let comes = &other.lots[0].comes;
        let mut held = on_hand;
        let mut must = Vec::new();
        for (on, came) in comes {
            held += *came;
            must.push((*on, held - pounds));
        }
        must.retain(|(_, over)| over.0 > 0);
        other.rid = dice.pick(0, 2) as f64 * 4.0;
        other.rooms.push(Room { lots: vec![0], pounds, must });
    }
    let lots: Vec<usize> = (0..other.lots.len()).collect();
    other.outlets = (0..dice.pick(0, 2))
        .map(|_| {
            let (a, b) = (some_day(&mut dice), some_day(&mut dice));
            ProblemOutlet {
                price: dice.pick(2, 30) as f64,
                most: Some(percent(other.lots[0].pounds, dice.pick(5, 60))),
                first: a.min(b),
                last: a.max(b),
                lots: lots.clone(),
            }
        })
        .collect();
    other.step = [0.25, 0.25, 0.5, 0.1][dice.pick(0, 3) as usize];
    other
}

fn npk(of: &Npk<f64>) -> Value {
    json!([of.n, of.p2o5, of.k2o])
}

fn day(of: Date) -> Value {
    json!(of.to_string())
}

/// Everything that a peer needs to answer it, and the answer of ours.
fn written(name: &str, farm: &Problem, own: &Chosen, seconds: f64) -> Value {
    let finite = |x: f64| if x.is_finite() { json!(x) } else { Value::Null };
    let fields = farm.fields.iter().map(|field| {
        let trips = field.trips.iter().map(|t| json!([day(t.first), day(t.last), t.most]));
        let openings = field.openings.iter().map(|t| json!([day(t.first), day(t.last), t.most]));
        let caps = field
            .caps
            .iter()
            .map(|cap| json!({"once": cap.over == sward::balance::Over::Once, "allowed": finite(cap.allowed)}));
        json!({"acres": field.hundredths as f64 / 100.0, "need": npk(&field.need), "caps": caps.collect::<Vec<_>>(),
            "trips": trips.collect::<Vec<_>>(), "openings": openings.collect::<Vec<_>>()})
    });
    let choices = farm.choices.iter().map(|c| {
        json!({"field": c.field, "lot": c.lot, "window": c.window, "first": day(c.first), "last": day(c.last),
            "per_ton": npk(&c.per_ton), "uses": c.uses, "cost": c.cost, "weight": c.days_weight})
    });
    let lots = farm.lots.iter().map(|lot| {
        let comes = lot.comes.iter().map(|(on, pounds)| json!([day(*on), pounds.0]));
        json!({"pounds": lot.pounds.0, "comes": comes.collect::<Vec<_>>(), "worth_left": lot.worth_left})
    });
    let spans = farm.resources().into_iter().filter_map(|resource| match resource.of {
        Draw::Days { span } => {
            let span = &farm.spans[span];
            let pounds = resource.pounds.0;
            Some(json!({"first": day(span.first), "last": day(span.last), "pounds": pounds, "lot": span.lot}))
        }
        _ => None,
    });
    let rooms = farm.rooms.iter().map(|room| {
        let must = room.must.iter().map(|(on, pounds)| json!([day(*on), pounds.0]));
        json!({"lots": room.lots, "pounds": room.pounds.0, "must": must.collect::<Vec<_>>()})
    });
    let outlets = farm.outlets.iter().map(|outlet| {
        json!({"price": outlet.price, "most": outlet.most.map(|most| most.0), "first": day(outlet.first),
            "last": day(outlet.last), "lots": outlet.lots})
    });
    json!({"name": name, "fields": fields.collect::<Vec<_>>(), "choices": choices.collect::<Vec<_>>(),
        "lots": lots.collect::<Vec<_>>(), "spans": spans.collect::<Vec<_>>(), "rooms": rooms.collect::<Vec<_>>(),
        "outlets": outlets.collect::<Vec<_>>(), "step": farm.step, "least": farm.least, "rid": farm.rid,
        "worth": npk(&farm.worth), "own": {"worth": own.worth, "bound": own.bound, "proven": own.proven,
            "seconds": seconds, "entries": own.entries.iter().map(|e| json!([e.choice, e.steps])).collect::<Vec<_>>()}})
}

/// Writes the question of a folder and of so many farms like it.
pub fn write(out: &Path, folder: &Path, today: Date, seeds: u64) {
    let asked = question(folder, today);
    let label = folder.file_name().map_or("farm".into(), |name| name.to_string_lossy());
    for seed in 0..=seeds {
        let farm = if seed == 0 { asked.clone() } else { varied(&asked, seed) };
        let began = std::time::Instant::now();
        let own = LeastCost::default().choose(&farm);
        let seconds = began.elapsed().as_secs_f64();
        let text = written(&format!("{label} {seed}"), &farm, &own, seconds).to_string();
        std::fs::write(out.join(format!("{label}-{seed:04}.json")), text).unwrap();
    }
}
