//! The question put to the solver, and what can be checked about an answer
//! without trusting the search: the plan itself and the bound of its prices.
//! No search lives here.

/// Binary places of a price: a price of `1 << PRICE_BITS` is one unit of worth
/// for one unit of a resource.
pub const PRICE_BITS: u32 = 32;

/// Something to hand out: stocks, and groups of options that use them.
/// At most one option of a group may be taken; taking none is worth 0.
#[derive(Debug, Clone, Default)]
pub struct Pool {
    stock: Vec<i64>,
    /// Where each group's options begin; one more entry than groups.
    first: Vec<usize>,
    worth: Vec<i64>,
    /// Where each option's uses begin; one more entry than options.
    first_use: Vec<usize>,
    uses: Vec<(u32, i64)>,
}

/// Why a pool cannot be taken, or a plan does not hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Broken {
    /// A stock below zero.
    NegativeStock(usize),
    /// An option that uses less than nothing.
    NegativeUse {
        /// The group.
        group: usize,
        /// The option within the group.
        option: usize,
    },
    /// A use of a resource that the pool does not have.
    NoSuchResource(usize),
    /// An option given before any group was opened.
    NoGroup,
    /// A plan with another number of groups than the pool.
    Length,
    /// A plan that takes an option its group does not have.
    NoSuchOption {
        /// The group.
        group: usize,
        /// The option that was named.
        option: usize,
    },
    /// A plan that uses more than there is.
    OverStock(usize),
    /// Numbers whose sums do not fit the solver's arithmetic.
    TooLarge,
}

/// One option as it stands in a pool.
#[derive(Debug, Clone, Copy)]
pub struct Opt<'a> {
    /// What taking it is worth; may be negative.
    pub worth: i64,
    /// Resource and amount, in the order given; a resource may stand twice.
    pub uses: &'a [(u32, i64)],
}

/// The options of one group.
#[derive(Debug, Clone, Copy)]
pub struct Group<'a> {
    pool: &'a Pool,
    at: usize,
}

impl<'a> Group<'a> {
    /// The options in the order given.
    pub fn options(&self) -> impl ExactSizeIterator<Item = Opt<'a>> + use<'a> {
        let pool = self.pool;
        (pool.first[self.at]..pool.first[self.at + 1]).map(|o| pool.opt(o))
    }
}

impl Pool {
    /// A pool without groups.
    pub fn new(stock: Vec<i64>) -> Result<Pool, Broken> {
        if let Some(r) = stock.iter().position(|s| *s < 0) {
            return Err(Broken::NegativeStock(r));
        }
        Ok(Pool { stock, first: vec![0], worth: Vec::new(), first_use: vec![0], uses: Vec::new() })
    }

    /// Opens the next group and gives its number.
    pub fn group(&mut self) -> usize {
        self.first.push(self.worth.len());
        self.first.len() - 2
    }

    /// Adds an option to the group opened last.
    pub fn option(&mut self, worth: i64, uses: &[(usize, i64)]) -> Result<(), Broken> {
        if self.groups() == 0 {
            return Err(Broken::NoGroup);
        }
        let group = self.groups() - 1;
        for &(r, amount) in uses {
            if r >= self.stock.len() {
                return Err(Broken::NoSuchResource(r));
            }
            if amount < 0 {
                return Err(Broken::NegativeUse { group, option: self.worth.len() - self.first[group] });
            }
        }
        for &(r, amount) in uses {
            self.uses.push((u32::try_from(r).map_err(|_| Broken::NoSuchResource(r))?, amount));
        }
        self.worth.push(worth);
        self.first_use.push(self.uses.len());
        if let Some(end) = self.first.last_mut() {
            *end = self.worth.len();
        }
        Ok(())
    }

    /// What there is of each resource.
    pub fn stock(&self) -> &[i64] {
        &self.stock
    }

    /// How many groups there are.
    pub fn groups(&self) -> usize {
        self.first.len().saturating_sub(1)
    }

    /// How many options there are in all groups.
    pub fn options(&self) -> usize {
        self.worth.len()
    }

    /// One group; none past the last.
    pub fn at(&self, group: usize) -> Option<Group<'_>> {
        (group < self.groups()).then_some(Group { pool: self, at: group })
    }

    /// Every group in order.
    pub fn iter(&self) -> impl Iterator<Item = Group<'_>> {
        (0..self.groups()).map(|at| Group { pool: self, at })
    }

    fn opt(&self, option: usize) -> Opt<'_> {
        Opt { worth: self.worth[option], uses: &self.uses[self.first_use[option]..self.first_use[option + 1]] }
    }
}

/// The worth of a plan, or what is wrong with it. `taken` names for each group
/// the option taken, if any.
pub fn check(pool: &Pool, taken: &[Option<usize>]) -> Result<i128, Broken> {
    if taken.len() != pool.groups() {
        return Err(Broken::Length);
    }
    let mut left: Vec<i128> = pool.stock.iter().map(|s| i128::from(*s)).collect();
    let mut worth = 0i128;
    for (group, (all, take)) in pool.iter().zip(taken).enumerate() {
        let Some(option) = *take else { continue };
        let opt = all.options().nth(option).ok_or(Broken::NoSuchOption { group, option })?;
        worth += i128::from(opt.worth);
        for &(r, amount) in opt.uses {
            left[r as usize] -= i128::from(amount);
        }
    }
    match left.iter().position(|l| *l < 0) {
        Some(r) => Err(Broken::OverStock(r)),
        None => Ok(worth),
    }
}

/// A worth that no plan of the pool can pass, from one price for each resource
/// (in units of `1 / 2^PRICE_BITS`): what the stocks would sell for, plus what
/// each group's best option is worth after paying for its uses. Any prices
/// give a true bound; a missing or negative price counts as 0.
pub fn prove(pool: &Pool, prices: &[i128]) -> i128 {
    let price = |r: usize| prices.get(r).copied().unwrap_or(0).max(0);
    let mut sum = 0i128;
    for (r, stock) in pool.stock.iter().enumerate() {
        sum = sum.saturating_add(price(r).saturating_mul(i128::from(*stock)));
    }
    for group in pool.iter() {
        let mut best = 0i128;
        for opt in group.options() {
            let mut net = i128::from(opt.worth) << PRICE_BITS;
            for &(r, amount) in opt.uses {
                net = net.saturating_sub(price(r as usize).saturating_mul(i128::from(amount)));
            }
            best = best.max(net);
        }
        sum = sum.saturating_add(best);
    }
    // Worths are whole, so the bound may be rounded down.
    if sum == i128::MAX { sum } else { sum >> PRICE_BITS }
}
