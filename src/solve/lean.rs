//! The pool laid out for the search: options that can never be taken and
//! resources that can never run short are gone, uses stand in rows of one
//! length, and every sum that the search forms is known to fit 64 bits.
//! Nothing is chosen here.

use super::pool::{Broken, PRICE_BITS, Pool};

/// Sums of uses and of scaled worth stay below this.
const ROOM: i128 = 1 << 61;

/// Option 0 of every group is "nothing": worth 0, no use.
#[derive(Debug)]
pub(super) struct Lean {
    /// Binary places of the prices used inside; at most `PRICE_BITS`.
    pub(super) bits: u32,
    /// Resources of the pool that are kept.
    pub(super) kept: Vec<usize>,
    /// Stocks of the kept resources.
    pub(super) stock: Vec<i64>,
    /// Where each group's options begin; one more entry than groups.
    pub(super) first: Vec<u32>,
    /// The option's number within its group of the pool; `NOTHING` for none.
    pub(super) source: Vec<u32>,
    /// Worth of each option.
    pub(super) worth: Vec<i64>,
    /// Uses of each option, one row of `kept.len()` amounts.
    pub(super) uses: Vec<i64>,
    /// Sum over groups of the best worth: the bound at prices of zero.
    pub(super) top: i64,
}

/// Stands for taking no option.
pub(super) const NOTHING: u32 = u32::MAX;

impl Lean {
    pub(super) fn new(pool: &Pool) -> Result<Lean, Broken> {
        let m = pool.stock().len();
        let (top, most) = extent(pool)?;
        // A resource that all groups together cannot use up never binds.
        let kept: Vec<usize> = (0..m).filter(|r| most[*r] > i128::from(pool.stock()[*r])).collect();
        let spread = top.max(1) * (kept.len() as i128 + 2);
        let mut bits = PRICE_BITS;
        while bits > 0 && spread << bits >= ROOM {
            bits -= 1;
        }
        if spread << bits >= ROOM || most.iter().any(|u| *u >= ROOM) || pool.options() >= NOTHING as usize / 2 {
            return Err(Broken::TooLarge);
        }
        let mut lean = Lean {
            bits,
            stock: kept.iter().map(|r| pool.stock()[*r]).collect(),
            first: Vec::with_capacity(pool.groups() + 1),
            source: Vec::with_capacity(pool.options() + pool.groups()),
            worth: Vec::with_capacity(pool.options() + pool.groups()),
            uses: Vec::with_capacity((pool.options() + pool.groups()) * kept.len()),
            kept,
            top: i64::try_from(top).map_err(|_| Broken::TooLarge)?,
        };
        lean.fill(pool);
        Ok(lean)
    }

    fn fill(&mut self, pool: &Pool) {
        let m = self.kept.len();
        let mut place = vec![usize::MAX; pool.stock().len()];
        for (i, r) in self.kept.iter().enumerate() {
            place[*r] = i;
        }
        let mut row = vec![0i64; m];
        for group in pool.iter() {
            self.first.push(self.worth.len() as u32);
            self.push(NOTHING, 0, &vec![0; m]);
            for (o, opt) in group.options().enumerate() {
                // Taking nothing is as good as an option worth nothing.
                if opt.worth <= 0 || !fits(pool, opt.uses) {
                    continue;
                }
                row.fill(0);
                for &(r, amount) in opt.uses {
                    if place[r as usize] != usize::MAX {
                        row[place[r as usize]] += amount;
                    }
                }
                self.push(o as u32, opt.worth, &row);
            }
        }
        self.first.push(self.worth.len() as u32);
    }

    /// An empty pool with the numbers of another, to be filled by hand. Its
    /// `source` names options of the other.
    pub(super) fn part(of: &Lean, stock: Vec<i64>) -> Lean {
        Lean {
            bits: of.bits,
            kept: Vec::new(),
            stock,
            first: vec![0],
            source: Vec::new(),
            worth: Vec::new(),
            uses: Vec::new(),
            top: of.top,
        }
    }

    /// What the options of a plan are called where this pool is a part of.
    pub(super) fn named(&self, picks: &[u32]) -> Vec<u32> {
        picks.iter().map(|o| self.source[*o as usize]).collect()
    }

    /// Adds an option to the group that is being filled.
    pub(super) fn push(&mut self, source: u32, worth: i64, row: &[i64]) {
        self.source.push(source);
        self.worth.push(worth);
        self.uses.extend_from_slice(row);
    }

    /// How many resources are kept.
    pub(super) fn m(&self) -> usize {
        self.stock.len()
    }

    /// How many groups there are.
    pub(super) fn groups(&self) -> usize {
        self.first.len() - 1
    }

    /// The options of a group.
    pub(super) fn range(&self, group: usize) -> std::ops::Range<usize> {
        self.first[group] as usize..self.first[group + 1] as usize
    }

    /// The uses of an option.
    pub(super) fn row(&self, option: usize) -> &[i64] {
        let m = self.m();
        &self.uses[option * m..option * m + m]
    }

    /// Scaled worth of an option after paying for its uses.
    pub(super) fn net(&self, option: usize, price: &[i64]) -> i64 {
        let paid: i64 = self.row(option).iter().zip(price).map(|(u, p)| u * p).sum();
        (self.worth[option] << self.bits) - paid
    }
}

/// The sum of best worths and the most of each resource that could be used.
fn extent(pool: &Pool) -> Result<(i128, Vec<i128>), Broken> {
    let m = pool.stock().len();
    let mut top = 0i128;
    let mut most = vec![0i128; m];
    let mut peak = vec![0i128; m];
    for group in pool.iter() {
        peak.fill(0);
        let mut best = 0i64;
        for opt in group.options() {
            if opt.worth <= 0 || !fits(pool, opt.uses) {
                continue;
            }
            best = best.max(opt.worth);
            for (i, &(r, amount)) in opt.uses.iter().enumerate() {
                let again: i128 = opt.uses[..i].iter().filter(|u| u.0 == r).map(|u| i128::from(u.1)).sum();
                let of_r = &mut peak[r as usize];
                *of_r = (*of_r).max(again + i128::from(amount));
            }
        }
        top += i128::from(best);
        for (all, one) in most.iter_mut().zip(&peak) {
            *all += one;
        }
        if top >= ROOM {
            return Err(Broken::TooLarge);
        }
    }
    Ok((top, most))
}

/// Whether an option alone keeps within the stocks.
fn fits(pool: &Pool, uses: &[(u32, i64)]) -> bool {
    uses.iter().enumerate().all(|(i, &(r, amount))| {
        let again: i128 = uses[..i].iter().filter(|u| u.0 == r).map(|u| i128::from(u.1)).sum();
        again + i128::from(amount) <= i128::from(pool.stock()[r as usize])
    })
}
