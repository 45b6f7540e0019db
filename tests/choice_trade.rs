//! The choice where litter comes, is sold to outlets and must leave its storage: no plan
//! of a small farm that was looked at beats it by more than it says.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use jiff::civil::{Date, date};
use kit::Dice;
use std::collections::{BTreeSet, VecDeque};
use sward::balance::{Counts, LimitKind, Npk, Over, Trips};
use sward::plan::{
    Cap, Choice, Choose, LeastCost, Pick, Problem, ProblemField, ProblemLot, ProblemOutlet, Remembered, Room, Sold,
    TripCosts,
};
use sward::units::Pounds;

const START: Date = date(2027, 1, 1);
const END: Date = date(2027, 12, 31);
const SPRING: (Date, Date) = (date(2027, 2, 15), date(2027, 5, 31));
const FALL: (Date, Date) = (date(2027, 8, 15), date(2027, 9, 30));
const SUMMER: (Date, Date) = (date(2027, 6, 1), date(2027, 7, 15));

fn lot(dice: &mut Dice) -> ProblemLot {
    let on_hand = dice.below(60_000) as i64;
    let days = [date(2027, 3, 20), date(2027, 6, 14), date(2027, 9, 10), date(2027, 10, 18)];
    let comes: std::collections::BTreeMap<Date, Pounds> =
        (0..dice.below(4)).map(|_| (days[dice.below(4)], Pounds(1 + dice.below(60_000) as i64))).collect();
    let pounds = Pounds(on_hand) + comes.values().copied().sum();
    ProblemLot { pounds, comes: comes.into_iter().collect(), worth_left: 0.0, first: false }
}

fn on_hand(lot: &ProblemLot) -> Pounds {
    lot.pounds - lot.comes.iter().map(|(_, pounds)| *pounds).sum()
}

/// A farm of one or two fields, lots and outlets, with a room for the first lot.
fn farm(dice: &mut Dice) -> Problem {
    let lots: Vec<ProblemLot> = (0..=dice.below(2)).map(|_| lot(dice)).collect();
    let cap = |allowed| Cap {
        kind: LimitKind::YearMost,
        over: Over::Days { first: START, last: END },
        from: None,
        counts: Counts::Tons,
        allowed,
    };
    let fields: Vec<ProblemField> = (0..=dice.below(2))
        .map(|_| ProblemField {
            hundredths: 300 + dice.below(1_500) as i64,
            need: Npk { n: dice.between(0.0, 120.0), p2o5: dice.between(0.0, 90.0), k2o: dice.between(0.0, 90.0) },
            caps: vec![cap(dice.between(1.0, 3.0))],
            openings: vec![],
            bill: None,
            part: false,
            rest: None,
            trips: vec![Trips { first: START, last: END, most: 1 }],
        })
        .collect();
    let mut choices = Vec::new();
    for field in 0..fields.len() {
        for (window, (first, last)) in [SPRING, FALL].into_iter().enumerate() {
            for lot in 0..lots.len() {
                let per_ton = Npk { n: dice.between(5.0, 30.0), p2o5: dice.between(5.0, 50.0), k2o: 20.0 };
                let cost = dice.between(5.0, 14.0);
                choices.push(Choice {
                    field,
                    lot,
                    window,
                    on_rest: false,
                    first,
                    last,
                    per_ton,
                    uses: vec![1.0],
                    cost,
                    days_weight: 1.0,
                });
            }
        }
    }
    let outlets = (0..dice.below(3))
        .map(|_| {
            let (first, last) = [SPRING, FALL, SUMMER, (START, END)][dice.below(4)];
            ProblemOutlet {
                price: 1.0 + dice.below(10) as f64,
                most: (dice.below(3) > 0).then(|| Pounds(1_000 + dice.below(40_000) as i64)),
                first,
                last,
                lots: (0..lots.len()).filter(|_| dice.below(4) > 0).collect(),
            }
        })
        .collect();
    let mut rooms = Vec::new();
    if dice.below(3) > 0 {
        let pounds = on_hand(&lots[0]) + Pounds(dice.below(30_000) as i64);
        let mut held = on_hand(&lots[0]);
        let mut must = Vec::new();
        for (day, came) in &lots[0].comes {
            held += *came;
            must.push((*day, held - pounds));
        }
        must.retain(|(_, over)| over.0 > 0);
        rooms.push(Room { lots: vec![0], pounds, must });
    }
    Problem {
        in_time: None,
        least_part: 2.0,
        fields,
        lots,
        choices,
        a_day: None,
        spans: Vec::new(),
        rooms,
        outlets,
        not: None,
        step: 0.5,
        least: 1.0,
        trips: TripCosts::default(),
        remembered: Remembered::default(),
        rid: [0.0, 3.0, 9.0][dice.below(3)],
        worth: Npk { n: 0.7, p2o5: 0.5, k2o: 0.4 },
    }
}

/// Litter of a lot that goes out between two days.
type Use = (usize, (Date, Date), i64);

fn uses(problem: &Problem, entries: &[Pick], sales: &[Sold]) -> Vec<Use> {
    let spread = entries.iter().map(|e| {
        let c = &problem.choices[e.choice];
        (c.lot, (c.first, c.last), problem.pounds(e).0)
    });
    let sold = sales.iter().map(|s| {
        let outlet = &problem.outlets[s.outlet];
        (s.lot, (outlet.first, outlet.last), s.pounds.0)
    });
    spread.chain(sold).filter(|(.., pounds)| *pounds > 0).collect()
}

/// The largest flow from the first node to the last, by shortest paths.
fn flow(room: &mut [Vec<i64>]) -> i64 {
    let n = room.len();
    let mut all = 0;
    loop {
        let mut from = vec![usize::MAX; n];
        let mut queue = VecDeque::from([0]);
        while let Some(here) = queue.pop_front() {
            for next in 1..n {
                if from[next] == usize::MAX && room[here][next] > 0 {
                    from[next] = here;
                    queue.push_back(next);
                }
            }
        }
        if from[n - 1] == usize::MAX {
            return all;
        }
        let path: Vec<usize> = std::iter::successors(Some(n - 1), |at| Some(from[*at]).filter(|_| *at != 0)).collect();
        let least = path.windows(2).map(|pair| room[pair[1]][pair[0]]).min().unwrap();
        for pair in path.windows(2) {
            room[pair[1]][pair[0]] -= least;
            room[pair[0]][pair[1]] += least;
        }
        all += least;
    }
}

/// Whether all of it can go out of a lot within its days: litter flows from day to day
/// through its storage, which keeps no more than goes in. What comes on a day of a use
/// goes out at once.
fn can_be_done(problem: &Problem, lot: usize, uses: &[Use]) -> bool {
    let own: Vec<&Use> = uses.iter().filter(|u| u.0 == lot).collect();
    let comes = &problem.lots[lot].comes;
    let mut days: BTreeSet<Date> = comes.iter().map(|(day, _)| *day).chain([START]).collect();
    days.extend(own.iter().flat_map(|(_, (first, last), _)| [*first, *last]));
    let days: Vec<Date> = days.into_iter().collect();
    let nodes = 2 + 2 * days.len() + own.len();
    let (arrives, keeps, goes) = (|d: usize| 1 + 2 * d, |d: usize| 2 + 2 * d, 1 + 2 * days.len());
    let mut room = vec![vec![0; nodes]; nodes];
    let most = problem.rooms.iter().find(|room| room.lots == [lot]).map_or(i64::MAX / 4, |room| room.pounds.0);
    for (d, day) in days.iter().enumerate() {
        let came: i64 = comes.iter().filter(|(on, _)| on == day).map(|(_, pounds)| pounds.0).sum();
        room[0][arrives(d)] = came + if d == 0 { on_hand(&problem.lots[lot]).0 } else { 0 };
        room[arrives(d)][keeps(d)] = most;
        if d + 1 < days.len() {
            room[keeps(d)][arrives(d + 1)] = i64::MAX / 4;
        }
        for (at, (_, (first, last), _)) in own.iter().enumerate() {
            if first <= day && day <= last {
                room[arrives(d)][goes + at] = i64::MAX / 4;
            }
        }
    }
    for (at, (.., pounds)) in own.iter().enumerate() {
        room[goes + at][nodes - 1] = *pounds;
    }
    flow(&mut room) == own.iter().map(|u| u.2).sum::<i64>()
}

/// Dollars of a plan: nutrients replaced, sales, less the work and what must leave.
fn dollars(problem: &Problem, entries: &[Pick], sales: &[Sold]) -> f64 {
    let mut sum: f64 = sales.iter().map(|s| s.pounds.0 as f64 / 2_000.0 * problem.outlets[s.outlet].price).sum();
    for e in entries {
        let c = &problem.choices[e.choice];
        let (field, rate) = (&problem.fields[c.field], e.steps as f64 * problem.step);
        let paid = (rate * c.per_ton.n).min(field.need.n) * problem.worth.n
            + (rate * c.per_ton.p2o5).min(field.need.p2o5) * problem.worth.p2o5
            + (rate * c.per_ton.k2o).min(field.need.k2o) * problem.worth.k2o;
        sum += field.hundredths as f64 / 100.0 * paid - problem.pounds(e).0 as f64 / 2_000.0 * c.cost;
    }
    let uses = uses(problem, entries, sales);
    for room in &problem.rooms {
        let lot = &problem.lots[room.lots[0]];
        let must = lot.comes.iter().map(|(day, _)| {
            let held = on_hand(lot).0 + lot.comes.iter().filter(|(on, _)| on <= day).map(|(_, lb)| lb.0).sum::<i64>();
            let out: i64 = uses.iter().filter(|u| u.0 == room.lots[0] && u.1.0 <= *day).map(|u| u.2).sum();
            held - out - room.pounds.0
        });
        sum -= problem.rid * must.max().unwrap_or(0).max(0) as f64 / 2_000.0;
    }
    sum
}

/// The most dollars of the plans looked at: every mix of rates, and of every sale some
/// shares of its most.
fn brute(problem: &Problem) -> f64 {
    let mut pairs: Vec<Vec<Option<Pick>>> = Vec::new();
    for (field, own) in problem.fields.iter().enumerate() {
        let most = (own.caps[0].allowed / problem.step + 1e-9).floor() as i64;
        let choices = (0..problem.choices.len()).filter(|c| problem.choices[*c].field == field);
        let picks = choices.flat_map(|choice| (2..=most).map(move |steps| Some(Pick { choice, steps })));
        pairs.push(std::iter::once(None).chain(picks).collect());
    }
    let mut sales: Vec<Vec<Vec<Sold>>> = vec![vec![Vec::new()]];
    for (outlet, takes) in problem.outlets.iter().enumerate() {
        let mut ways = vec![Vec::new()];
        for &lot in &takes.lots {
            let all = problem.lots[lot].pounds;
            let most = takes.most.map_or(all, |most| most.min(all)).0;
            let shares = (1..=4).map(|n| Sold { outlet, lot, pounds: Pounds(most * n / 4) });
            ways = ways
                .iter()
                .flat_map(|way| {
                    let more = shares.clone().map(|sold| [way.clone(), vec![sold]].concat());
                    std::iter::once(way.clone()).chain(more).collect::<Vec<_>>()
                })
                .collect();
        }
        ways.retain(|way| takes.most.is_none_or(|most| way.iter().map(|s| s.pounds).sum::<Pounds>() <= most));
        sales.push(ways);
    }
    let sales: Vec<Vec<Sold>> = sales.into_iter().fold(vec![Vec::new()], |all, ways| {
        all.iter().flat_map(|way| ways.iter().map(|more| [way.clone(), more.clone()].concat())).collect()
    });
    let picks = pairs.into_iter().fold(vec![Vec::new()], |all: Vec<Vec<Pick>>, own| {
        all.iter().flat_map(|way| own.iter().map(|pick| way.iter().copied().chain(*pick).collect())).collect()
    });
    let mut best = f64::NEG_INFINITY;
    for entries in &picks {
        for sold in &sales {
            let worth = dollars(problem, entries, sold);
            let uses = uses(problem, entries, sold);
            if worth > best && (0..problem.lots.len()).all(|lot| can_be_done(problem, lot, &uses)) {
                best = worth;
            }
        }
    }
    best
}

#[test]
fn nothing_beats_the_choice_by_more_than_it_says() {
    let (mut sold, mut weighed, mut short) = (0, 0, 0);
    for farm_no in 0..600 {
        let problem = farm(&mut Dice::of_case(farm_no));
        let chosen = LeastCost::default().choose(&problem);
        let uses = uses(&problem, &chosen.entries, &chosen.sales);
        assert!((0..problem.lots.len()).all(|lot| can_be_done(&problem, lot, &uses)), "farm {farm_no}: {chosen:?}");
        for (outlet, takes) in problem.outlets.iter().enumerate() {
            let own: Pounds = chosen.sales.iter().filter(|s| s.outlet == outlet).map(|s| s.pounds).sum();
            assert!(takes.most.is_none_or(|most| own <= most), "farm {farm_no}: {own} to {takes:?}");
        }
        let worth = dollars(&problem, &chosen.entries, &chosen.sales);
        assert!((worth - chosen.worth).abs() < 1e-6, "farm {farm_no}: {worth} told as {}", chosen.worth);
        let best = brute(&problem);
        assert!(chosen.bound >= best - 1e-6, "farm {farm_no}: {best} is over {}", chosen.bound);
        short += usize::from(chosen.bound - worth >= 0.5);
        sold += usize::from(!chosen.sales.is_empty());
        weighed += usize::from(chosen.disposal > 0.0);
    }
    assert!(sold > 150 && weighed > 60, "{sold} {weighed}");
    // Where days and storages leave a gap it is told, and seldom.
    assert!(short <= 30, "{short} of 600 are not proven to the dollar");
}

#[test]
fn what_must_leave_is_weighed_against_the_price() {
    // Two lots at one price; only the first lies in a storage that fills.
    let comes = vec![(date(2027, 6, 14), Pounds(40_000))];
    let lot = |comes: &[(Date, Pounds)]| ProblemLot {
        pounds: Pounds(40_000) + comes.iter().map(|(_, lb)| *lb).sum(),
        comes: comes.to_vec(),
        worth_left: 0.0,
        first: false,
    };
    let mut problem = farm(&mut Dice::of_case(0));
    problem.fields.clear();
    problem.choices.clear();
    problem.lots = vec![lot(&[]), lot(&comes)];
    let must = vec![(date(2027, 6, 14), Pounds(30_000))];
    problem.rooms = vec![Room { lots: vec![1], pounds: Pounds(50_000), must }];
    let (first, last) = (START, END);
    problem.outlets = vec![ProblemOutlet { price: 12.0, most: Some(Pounds(35_000)), first, last, lots: vec![0, 1] }];
    problem.rid = 4.0;
    let chosen = LeastCost::default().choose(&problem);
    let of = |lot| chosen.sales.iter().filter(|s| s.lot == lot).map(|s| s.pounds.0).sum::<i64>();
    assert!(of(1) >= 30_000 && of(0) + of(1) == 35_000, "{chosen:?}");
    assert!(chosen.disposal < 1e-9 && chosen.bound - chosen.worth < 0.5, "{chosen:?}");
}
