//! Pools drawn by lot, and their best plan by trying everything.

use crate::kit::Dice;
use sward::solve::Pool;

/// Options of a group: worth and uses.
pub(crate) type Options = Vec<(i64, Vec<(usize, i64)>)>;
/// Stocks, and options by group.
pub(crate) type Plain = (Vec<i64>, Vec<Options>);

pub(crate) fn pool_of((stock, groups): &Plain) -> Pool {
    let mut pool = Pool::new(stock.clone()).unwrap();
    for options in groups {
        pool.group();
        for (worth, uses) in options {
            pool.option(*worth, uses).unwrap();
        }
    }
    pool
}

/// Pools of several kinds: loose draws, farms with seasons that are worth the
/// same or not, options with two applications.
pub(crate) fn draw(dice: &mut Dice, most_groups: i64) -> Plain {
    let lots = dice.pick(1, 3) as usize;
    let seasons = dice.pick(0, 3) as usize;
    let groups = dice.pick(1, most_groups);
    let size = [20, 1_000, 60_000, 10_000_000][dice.pick(0, 3) as usize];
    let kind = dice.pick(0, 3);
    let share = dice.pick(5, 90);
    let stock = (0..lots + seasons).map(|_| dice.pick(0, size) * groups * share / 50).collect();
    let mut all = Vec::new();
    for _ in 0..groups {
        let step = dice.pick(1, size / 10);
        let slope: Vec<i64> = (0..lots).map(|_| dice.pick(-50, 400)).collect();
        let mut options = Vec::new();
        for quarter in 1..=dice.pick(0, 8) {
            for (lot, slope) in slope.iter().enumerate() {
                for season in 0..seasons.max(1) {
                    if options.len() >= 14 || dice.pick(0, 5) == 0 {
                        continue;
                    }
                    let amount = if kind == 0 { dice.pick(0, size) } else { step * quarter };
                    let differs = if kind == 1 { 0 } else { dice.pick(-9, 9) * step };
                    let worth = amount * slope - quarter * quarter * step * 9 + differs;
                    let mut uses = vec![(lot, amount)];
                    if seasons > 0 {
                        uses.push((lots + season, amount));
                    }
                    if kind == 3 && seasons > 1 {
                        let other = (season + 1) % seasons;
                        uses.push((lot, step));
                        uses.push((lots + other, step));
                    }
                    options.push((worth, uses));
                }
            }
        }
        all.push(options);
    }
    (stock, all)
}

/// The most worth there is, by trying everything.
pub(crate) fn enumerate((stock, groups): &Plain) -> i128 {
    fn go(left: &mut [i64], groups: &[Options]) -> i128 {
        let Some((first, rest)) = groups.split_first() else { return 0 };
        let mut best = go(left, rest);
        for (worth, uses) in first {
            uses.iter().for_each(|(r, u)| left[*r] -= u);
            if left.iter().all(|l| *l >= 0) {
                best = best.max(i128::from(*worth) + go(left, rest));
            }
            uses.iter().for_each(|(r, u)| left[*r] += u);
        }
        best
    }
    go(&mut stock.clone(), groups)
}
