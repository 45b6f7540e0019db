//! The solver against complete enumeration, and the properties that any
//! answer must have.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;
#[path = "solve/pools.rs"]
mod pools;

use kit::Dice;
use pools::{Options, draw, enumerate, pool_of};
use sward::solve::{Answer, Broken, PRICE_BITS, Pool, Proof, Target, check, prove, solve};

const EXACT: Target = Target { gap: 0, floor: 0, effort: 50_000_000 };

/// What holds for every answer.
fn sound(pool: &Pool, answer: &Answer) {
    assert_eq!(check(pool, &answer.taken), Ok(answer.worth));
    assert!(answer.worth >= 0 && answer.bound >= answer.worth);
    assert!(answer.prices.iter().all(|p| *p >= 0));
    let by_prices = prove(pool, &answer.prices);
    match answer.by {
        Proof::Prices => assert_eq!(by_prices, answer.bound),
        Proof::Search => assert!(by_prices > answer.bound),
    }
}

#[test]
fn agrees_with_trying_everything() {
    let mut dice = Dice(1);
    for case in 0..2_000 {
        let plain = draw(&mut dice, 5);
        let pool = pool_of(&plain);
        let most = enumerate(&plain);
        let answer = solve(&pool, &EXACT).unwrap();
        sound(&pool, &answer);
        assert!(answer.reached, "case {case}: {answer:?}");
        assert_eq!((answer.worth, answer.bound), (most, most), "case {case}");
        let near = solve(&pool, &Target { gap: 10_000_000, ..EXACT }).unwrap();
        sound(&pool, &near);
        assert!(near.reached && near.bound >= most, "case {case}");
        assert!(near.worth * 1_010_000_000 + 1_000_000_000 >= most * 1_000_000_000, "case {case}");
        // Any prices give a bound.
        let prices: Vec<i128> = plain.0.iter().map(|_| i128::from(dice.pick(-1, 500)) << PRICE_BITS).collect();
        assert!(prove(&pool, &prices) >= most, "case {case}");
        // Little effort: maybe a wider gap, never a wrong one.
        let hasty = solve(&pool, &Target { effort: dice.pick(0, 300) as u64, ..EXACT }).unwrap();
        sound(&pool, &hasty);
        assert!(hasty.worth <= most && hasty.bound >= most, "case {case}");
    }
}

#[test]
fn more_stock_is_never_worth_less() {
    let mut dice = Dice(2);
    for case in 0..150 {
        let mut plain = draw(&mut dice, 12);
        let before = solve(&pool_of(&plain), &EXACT).unwrap();
        let r = dice.pick(0, plain.0.len() as i64 - 1) as usize;
        plain.0[r] += dice.pick(1, 1 + plain.0[r] / 4);
        let after = solve(&pool_of(&plain), &EXACT).unwrap();
        assert!(before.reached && after.reached, "case {case}");
        assert!(after.worth >= before.worth, "case {case}");
    }
}

#[test]
fn the_order_of_groups_resources_and_options_changes_no_worth() {
    let mut dice = Dice(3);
    for case in 0..150 {
        let plain = draw(&mut dice, 12);
        let worth = solve(&pool_of(&plain), &EXACT).unwrap().worth;
        let m = plain.0.len();
        let mut turned = plain.clone();
        turned.1.reverse();
        turned.1.iter_mut().for_each(|options| options.reverse());
        turned.0.reverse();
        turned.1.iter_mut().flatten().flat_map(|o| &mut o.1).for_each(|u| u.0 = m - 1 - u.0);
        assert_eq!(solve(&pool_of(&turned), &EXACT).unwrap().worth, worth, "case {case}");
    }
}

#[test]
fn the_same_pool_gives_the_same_answer() {
    let mut dice = Dice(4);
    for _ in 0..50 {
        let pool = pool_of(&draw(&mut dice, 30));
        let target = Target { gap: 100_000, floor: 0, effort: 300_000 };
        let first = solve(&pool, &target).unwrap();
        sound(&pool, &first);
        assert_eq!(solve(&pool, &target).unwrap(), first);
    }
}

#[test]
fn pools_without_anything() {
    let none = solve(&Pool::new(vec![]).unwrap(), &EXACT).unwrap();
    assert_eq!((none.worth, none.bound, none.reached), (0, 0, true));
    assert_eq!(solve(&Pool::new(vec![5, 0]).unwrap(), &EXACT).unwrap().prices, [0, 0]);
    // No resources: every group takes its best; options of no worth are left.
    let pool = pool_of(&(vec![], vec![vec![(3, vec![]), (7, vec![])], vec![], vec![(-2, vec![]), (0, vec![])]]));
    let answer = solve(&pool, &EXACT).unwrap();
    assert_eq!((answer.taken, answer.worth, answer.bound), (vec![Some(1), None, None], 7, 7));
    // Nothing in stock: only what uses nothing.
    let pool = pool_of(&(vec![0], vec![vec![(3, vec![(0, 0)]), (7, vec![(0, 1)])], vec![(9, vec![(0, 2)])]]));
    let answer = solve(&pool, &EXACT).unwrap();
    assert_eq!((answer.taken, answer.worth, answer.bound), (vec![Some(0), None], 3, 3));
}

#[test]
fn all_options_alike() {
    let options: Options = (0..30).map(|_| (10, vec![(0, 7), (1, 7)])).collect();
    let few = pool_of(&(vec![50, 100], vec![options.clone(); 12]));
    let answer = solve(&few, &EXACT).unwrap();
    assert_eq!((answer.worth, answer.bound, answer.reached), (70, 70, true));
    // Many groups alike are many equal plans to tell apart: the gap of one
    // unit is quick, its proof away is not.
    let many = pool_of(&(vec![50, 100], vec![options; 40]));
    let answer = solve(&many, &Target { floor: 1, ..EXACT }).unwrap();
    assert_eq!((answer.worth, answer.bound, answer.reached), (70, 71, true));
}

#[test]
fn large_groups_of_two_applications() {
    let mut dice = Dice(5);
    let mut groups = Vec::new();
    for _ in 0..12 {
        let step = dice.pick(900, 20_000);
        let mut options = Vec::new();
        for a in 0..25i64 {
            for b in 0..25i64 {
                for (first, second) in [(0, 1), (1, 0), (0, 0), (1, 1)] {
                    let worth = 300 * step * (a + b) - 4 * step * (a * a + b * b) - dice.pick(0, 50) * step;
                    options.push((worth, vec![(first, a * step), (2, a * step), (second, b * step), (3, b * step)]));
                }
            }
        }
        groups.push(options);
    }
    let pool = pool_of(&(vec![900_000, 700_000, 800_000, 500_000], groups));
    let answer = solve(&pool, &Target { gap: 1_000_000, floor: 0, effort: 20_000_000 }).unwrap();
    sound(&pool, &answer);
    assert!(answer.reached, "{answer:?}");
}

#[test]
fn hostile_numbers_are_refused_or_solved() {
    let most = i64::MAX;
    assert_eq!(Pool::new(vec![-1]).unwrap_err(), Broken::NegativeStock(0));
    let mut pool = Pool::new(vec![most]).unwrap();
    assert_eq!(pool.option(1, &[]), Err(Broken::NoGroup));
    pool.group();
    assert_eq!(pool.option(1, &[(1, 1)]), Err(Broken::NoSuchResource(1)));
    assert_eq!(pool.option(1, &[(0, -1)]), Err(Broken::NegativeUse { group: 0, option: 0 }));
    let mut dice = Dice(6);
    let edge = [0, 1, 2, most, most - 1, most / 2, most / 3, 1 << 61, 1 << 60, 1 << 40, i64::MIN, i64::MIN + 1, -1];
    let mut solved = 0;
    for _ in 0..2_000 {
        let m = dice.pick(0, 3) as usize;
        let mut any = |low: i64| {
            let n = edge[dice.pick(0, edge.len() as i64 - 1) as usize];
            if n < low { 5 } else { n }
        };
        let stock: Vec<i64> = (0..m).map(|_| any(0)).collect();
        let groups: Vec<Options> = (0..4)
            .map(|_| {
                (0..3)
                    .map(|_| {
                        let uses = (0..m).flat_map(|r| [(r, any(0)), (r, any(0))]).collect();
                        (any(i64::MIN), uses)
                    })
                    .collect()
            })
            .collect();
        let pool = pool_of(&(stock, groups));
        let prices: Vec<i128> = (0..m).map(|_| i128::from(any(i64::MIN)) << 64).collect();
        let bound = prove(&pool, &prices);
        match solve(&pool, &EXACT) {
            Ok(answer) => {
                sound(&pool, &answer);
                assert!(answer.reached && bound >= answer.worth);
                solved += 1;
            }
            Err(broken) => assert_eq!(broken, Broken::TooLarge),
        }
    }
    assert!(solved > 100, "{solved}");
}

#[test]
fn a_plan_that_does_not_hold_is_named() {
    let pool = pool_of(&(vec![5, 5], vec![vec![(1, vec![(0, 3), (0, 3)])], vec![(4, vec![(1, 5)])]]));
    assert_eq!(check(&pool, &[None]), Err(Broken::Length));
    assert_eq!(check(&pool, &[None, Some(1)]), Err(Broken::NoSuchOption { group: 1, option: 1 }));
    assert_eq!(check(&pool, &[Some(0), None]), Err(Broken::OverStock(0)));
    assert_eq!(check(&pool, &[None, Some(0)]), Ok(4));
    assert_eq!(solve(&pool, &EXACT).unwrap().taken, [None, Some(0)]);
}
