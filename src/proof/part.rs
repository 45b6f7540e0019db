//! What is left of a pool in one part of a proof. Each step keeps this true: if any plan of the part
//! passes the bound, then one does that takes only ways that are left.

use crate::proof::lines::Split;
use crate::proof::rows::Rows;

/// What is left.
#[derive(Clone)]
pub(super) struct Part {
    /// The ways that are left, by group.
    pub(super) left: Vec<Vec<usize>>,
}

/// Prices of the rows with what they prove of a part.
#[derive(Clone)]
pub(super) struct Priced {
    pub(super) price: Vec<i64>,
    /// Of each group, the most that a way is worth after paying for what it uses.
    pub(super) best: Vec<i128>,
    /// What a plan may lose against the bound of the prices and still pass that of the certificate;
    /// below zero where none passes.
    pub(super) budget: i128,
}

/// Sums stay below this.
const ROOM: i128 = 1 << 120;

/// Whether sums by some prices can be added up; no price may lie below zero.
pub(super) fn adds_up(rows: &Rows, price: &[i64]) -> bool {
    let one = |(price, stock): (&i64, &i128)| i128::from(*price).checked_mul(*stock).filter(|all| *all < ROOM);
    price.len() == rows.m
        && price.iter().all(|price| *price >= 0)
        && price
            .iter()
            .zip(&rows.stock)
            .map(one)
            .try_fold(0i128, |sum, one| Some(sum + one?).filter(|sum| *sum < ROOM))
            .is_some()
}

impl Part {
    /// All of a pool.
    pub(super) fn whole(rows: &Rows) -> Part {
        Part { left: rows.first.windows(2).map(|pair| (pair[0]..pair[1]).collect()).collect() }
    }

    /// What a way is worth after paying for what it uses.
    pub(super) fn net(rows: &Rows, (price, bits): (&[i64], u32), way: usize) -> i128 {
        let paid: i128 = rows.uses(way).iter().zip(price).map(|(uses, price)| uses * i128::from(*price)).sum();
        (i128::from(rows.worth[way]) << bits) - paid
    }

    /// What the stocks would bring at the prices, and each group's best way beside: no plan is worth more.
    pub(super) fn priced(&self, rows: &Rows, price: &[i64], (bits, bound): (u32, i64)) -> Priced {
        let best = |ways: &Vec<usize>| ways.iter().map(|way| Part::net(rows, (price, bits), *way)).max().unwrap_or(0);
        let best: Vec<i128> = self.left.iter().map(best).collect();
        let stocks: i128 = rows.stock.iter().zip(price).map(|(stock, price)| stock * i128::from(*price)).sum();
        let all = stocks + best.iter().sum::<i128>();
        // Worths are whole: what passes the bound is worth one more at the least.
        Priced { price: price.to_vec(), best, budget: all - ((i128::from(bound) + 1) << bits) }
    }

    /// Drops what loses more than the budget.
    pub(super) fn drop_by(&mut self, rows: &Rows, priced: &Priced, bits: u32) {
        for (ways, best) in self.left.iter_mut().zip(&priced.best) {
            ways.retain(|way| best - Part::net(rows, (&priced.price, bits), *way) <= priced.budget);
        }
    }

    /// Drops what is worth no more than another way of its group that uses no more of any row. True of the
    /// whole only: in a part the other way may be gone. False where more pairs than `most` would have to
    /// be compared.
    pub(super) fn drop_poorer(&mut self, rows: &Rows, mut most: u64) -> bool {
        for ways in &mut self.left {
            let total = |way: &usize| rows.uses(*way).iter().sum::<i128>();
            ways.sort_by_key(|way| (std::cmp::Reverse(rows.worth[*way]), total(way), *way));
            let mut kept: Vec<usize> = Vec::new();
            for way in ways.iter() {
                most = most.saturating_sub(kept.len() as u64);
                if most == 0 {
                    return false;
                }
                let no_less = |other: &usize| rows.uses(*other).iter().zip(rows.uses(*way)).all(|(a, b)| a <= b);
                if !kept.iter().any(no_less) {
                    kept.push(*way);
                }
            }
            kept.sort_unstable();
            *ways = kept;
        }
        true
    }

    /// Drops what does not fit beside the least that the other groups use; false where nothing fits.
    pub(super) fn drop_unfit(&mut self, rows: &Rows) -> bool {
        let least = |ways: &Vec<usize>, row: usize| ways.iter().map(|way| rows.uses(*way)[row]).min();
        let mut room = rows.stock.clone();
        let mut by_group: Vec<Vec<i128>> = Vec::with_capacity(self.left.len());
        for ways in &self.left {
            let Some(own) = (0..rows.m).map(|row| least(ways, row)).collect::<Option<Vec<i128>>>() else {
                return false;
            };
            room.iter_mut().zip(&own).for_each(|(room, own)| *room -= own);
            by_group.push(own);
        }
        if room.iter().any(|room| *room < 0) || self.left.iter().any(Vec::is_empty) {
            return false;
        }
        for (ways, own) in self.left.iter_mut().zip(&by_group) {
            ways.retain(|way| (0..rows.m).all(|row| rows.uses(*way)[row] - own[row] <= room[row]));
        }
        self.left.iter().all(|ways| !ways.is_empty())
    }

    /// The low and the high part.
    pub(super) fn split(&self, rows: &Rows, split: Split) -> [Part; 2] {
        let is_low = |way: &usize| rows.uses(*way)[split.row] <= i128::from(split.limit);
        let (low, high) = self.left[split.group].iter().copied().partition(is_low);
        [low, high].map(|ways| {
            let mut part = self.clone();
            part.left[split.group] = ways;
            part
        })
    }
}
