//! The checker: goes through the parts of a certificate in their order and closes each.

use crate::proof::lines::{Split, Step, read};
use crate::proof::part::{Part, Priced, adds_up};
use crate::proof::rows::Rows;
use crate::proof::{Certificate, count};
use crate::solve::Pool;

/// A certificate that holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Checked {
    /// No plan is worth more, in units of worth.
    pub bound: i64,
    /// Ways that were looked at one by one.
    pub looked_at: u64,
    /// Parts that were closed.
    pub parts: usize,
}

/// Why a certificate is refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refused {
    /// It is of another pool, or says what nobody can follow; in words.
    Form(String),
    /// A part is not closed: a plan of it may be worth more than the bound. The number of the step.
    Open(usize),
    /// More ways would have to be looked at than was allowed.
    Long,
}

impl Refused {
    /// In words.
    #[must_use]
    pub fn in_words(&self) -> String {
        match self {
            Refused::Form(why) => why.clone(),
            Refused::Open(step) => {
                format!("at step {step} something is left that may be worth more than the bound it claims")
            }
            Refused::Long => "it would take too many steps to check".to_string(),
        }
    }
}

/// Most steps: no plan is printed with more.
const MOST_STEPS: usize = 10_000;
/// Most pairs of ways that are compared.
const MOST_COMPARED: u64 = 100_000_000;
/// So many more rows than resources there may be, and no more: a few resources may be counted in every way
/// of putting them together.
const MORE_ROWS: usize = 16;
/// Most binary places of a price.
const MOST_BITS: u32 = 32;

/// Checks a certificate against a pool, looking at no more than `most` ways one by one.
///
/// # Errors
/// Why it does not hold.
pub fn check(pool: &Pool, certificate: &Certificate, most: u64) -> Result<Checked, Refused> {
    let form = |why: &str| Refused::Form(why.to_string());
    let own = count(pool);
    if certificate.of != own {
        let of = &certificate.of;
        let why = format!(
            "it is of another question: {} ways to do {} fields or sales, sum {}; here there are {} of {}, sum {}",
            of.ways, of.groups, of.sum, own.ways, own.groups, own.sum
        );
        return Err(Refused::Form(why));
    }
    let Certificate { rows, alike, beside, steps, .. } = certificate;
    let many = own.resources + MORE_ROWS;
    if rows.len().max(alike.len()).max(beside.len()) > many || rows.iter().any(|row| row.len() > many) {
        return Err(form("it has more rows than this farm has resources"));
    }
    if steps.len() > MOST_STEPS {
        return Err(Refused::Long);
    }
    let rows = Rows::of(pool, certificate).ok_or_else(|| form("its rows name a resource that is not there"))?;
    if certificate.bits > MOST_BITS {
        return Err(form("its prices have too many binary places"));
    }
    let mut walk = Walk { rows: &rows, certificate, at: 0, looked_at: 0, most, parts: 0 };
    walk.all()?;
    if walk.at < certificate.steps.len() {
        return Err(Refused::Form(format!("step {}: no part is left for it", walk.at + 1)));
    }
    Ok(Checked { bound: certificate.bound, looked_at: walk.looked_at, parts: walk.parts })
}

struct Walk<'a> {
    rows: &'a Rows,
    certificate: &'a Certificate,
    /// The next step.
    at: usize,
    looked_at: u64,
    most: u64,
    parts: usize,
}

/// A part to be closed, with the prices of the part around it.
type Open = (Part, Option<Vec<i64>>);

impl Walk<'_> {
    fn all(&mut self) -> Result<(), Refused> {
        let mut open: Vec<Open> = vec![(Part::whole(self.rows), None)];
        while let Some((part, price)) = open.pop() {
            let whole = self.parts == 0;
            self.parts += 1;
            if let Some([low, high]) = self.one(part, price, whole)? {
                open.extend([high, low]);
            }
        }
        Ok(())
    }

    fn wrong(&self, why: &str) -> Refused {
        Refused::Form(format!("step {}: {why}", self.at))
    }

    fn step(&mut self) -> Result<Step, Refused> {
        let step = self.certificate.steps.get(self.at);
        let text = step.ok_or_else(|| Refused::Form("its steps end before all parts are closed".to_string()))?;
        self.at += 1;
        read(text).ok_or_else(|| self.wrong("neither prices, a split nor an end"))
    }

    /// Goes through the steps of one part; gives its two parts where it is split.
    fn one(&mut self, mut part: Part, around: Option<Vec<i64>>, whole: bool) -> Result<Option<[Open; 2]>, Refused> {
        let (rows, bits, bound) = (self.rows, self.certificate.bits, self.certificate.bound);
        let mut closed = !part.drop_unfit(rows);
        let mut by: Option<Priced> = None;
        loop {
            match self.step()? {
                Step::Prices(price) => {
                    if !adds_up(rows, &price) {
                        return Err(self.wrong("these prices are not one for each row, or too large"));
                    }
                    if closed {
                        continue;
                    }
                    let priced = part.priced(rows, &price, (bits, bound));
                    closed = priced.budget < 0;
                    if !closed {
                        part.drop_by(rows, &priced, bits);
                        if whole && by.is_none() && !part.drop_poorer(rows, MOST_COMPARED) {
                            return Err(Refused::Long);
                        }
                        closed = !part.drop_unfit(rows);
                    }
                    by = Some(priced);
                }
                Step::Split(split) => {
                    if split.group >= rows.groups() || split.row >= rows.m {
                        return Err(self.wrong("it splits a group by a row that are not there"));
                    }
                    // Of a part that is closed nothing is left on either side.
                    if closed {
                        part.left[split.group].clear();
                    }
                    return Ok(Some(self.split(&part, split, by.map(|by| by.price).or(around))));
                }
                Step::End => {
                    let price = by.map(|by| by.price).or(around);
                    if !closed {
                        let price = price.ok_or_else(|| self.wrong("a part has no prices"))?;
                        self.look(&part, &price)?;
                    }
                    return Ok(None);
                }
            }
        }
    }

    fn split(&self, part: &Part, split: Split, price: Option<Vec<i64>>) -> [Open; 2] {
        part.split(self.rows, split).map(|part| (part, price.clone()))
    }

    /// Looks at everything that is left of a part: no plan of it may pass the bound.
    fn look(&mut self, part: &Part, price: &[i64]) -> Result<(), Refused> {
        let (bits, bound) = (self.certificate.bits, self.certificate.bound);
        let priced = part.priced(self.rows, price, (bits, bound));
        if priced.budget < 0 {
            return Ok(());
        }
        let mut deep = Deep::new(self.rows, part, &priced, bits, self.most - self.looked_at);
        let found = deep.passes(0, 0);
        self.looked_at += deep.looked_at;
        match found {
            None => Err(Refused::Long),
            Some(true) => Err(Refused::Open(self.at)),
            Some(false) => Ok(()),
        }
    }
}

/// A way with what it loses against the best of its group.
struct Loses {
    loss: i128,
    uses: Vec<i128>,
}

/// Takes one way of each group after the other, as long as what is lost keeps the budget.
struct Deep<'a> {
    price: &'a [i64],
    budget: i128,
    /// Groups with more than one way, least loss first.
    groups: Vec<Vec<Loses>>,
    /// Least and most that the groups from each on can use of each row.
    least: Vec<Vec<i128>>,
    most: Vec<Vec<i128>>,
    /// What is left of each row, by depth.
    left: Vec<Vec<i128>>,
    looked_at: u64,
    stop: u64,
}

impl<'a> Deep<'a> {
    fn new(rows: &Rows, part: &Part, priced: &'a Priced, bits: u32, stop: u64) -> Deep<'a> {
        let mut groups: Vec<(i128, Vec<Loses>)> = Vec::new();
        let mut left = rows.stock.clone();
        for (ways, best) in part.left.iter().zip(&priced.best) {
            let loses = |way: &usize| Loses {
                loss: best - Part::net(rows, (&priced.price, bits), *way),
                uses: rows.uses(*way).to_vec(),
            };
            let mut own: Vec<Loses> = ways.iter().map(loses).filter(|way| way.loss <= priced.budget).collect();
            own.sort_by_key(|way| way.loss);
            let span = |row: usize| {
                let uses = own.iter().map(|way| way.uses[row]);
                (uses.clone().max().unwrap_or(0) - uses.min().unwrap_or(0)) * i128::from(priced.price[row])
            };
            match &own[..] {
                [one] => left.iter_mut().zip(&one.uses).for_each(|(left, uses)| *left -= uses),
                _ => groups.push(((0..rows.m).map(span).sum(), own)),
            }
        }
        // What can use the most comes first: little is left to be filled up by the others.
        groups.sort_by_key(|(span, _)| std::cmp::Reverse(*span));
        let groups: Vec<Vec<Loses>> = groups.into_iter().map(|(_, own)| own).collect();
        let (mut least, mut most) = (vec![vec![0; rows.m]; groups.len() + 1], vec![vec![0; rows.m]; groups.len() + 1]);
        for (at, own) in groups.iter().enumerate().rev() {
            for row in 0..rows.m {
                let uses = own.iter().map(|way| way.uses[row]);
                least[at][row] = least[at + 1][row] + uses.clone().min().unwrap_or(0);
                most[at][row] = most[at + 1][row] + uses.max().unwrap_or(0);
            }
        }
        let left = vec![left; groups.len() + 1];
        Deep { price: &priced.price, budget: priced.budget, groups, least, most, left, looked_at: 0, stop }
    }

    /// Whether any plan keeps stocks and budget; none when too much would have to be looked at.
    fn passes(&mut self, at: usize, lost: i128) -> Option<bool> {
        if at == self.groups.len() {
            return Some(self.fits(at, lost));
        }
        for place in 0..self.groups[at].len() {
            let way = &self.groups[at][place];
            let lost = lost + way.loss;
            if lost > self.budget {
                break;
            }
            self.looked_at += 1;
            if self.looked_at > self.stop {
                return None;
            }
            let (before, after) = self.left.split_at_mut(at + 1);
            for ((after, before), uses) in after[0].iter_mut().zip(&before[at]).zip(&way.uses) {
                *after = before - uses;
            }
            if self.fits(at + 1, lost) && self.passes(at + 1, lost)? {
                return Some(true);
            }
        }
        Some(false)
    }

    /// Whether what is left suffices for the groups from one on, and what they cannot use up does not
    /// cost more than the budget.
    fn fits(&self, at: usize, lost: i128) -> bool {
        let mut lost = lost;
        for (row, left) in self.left[at].iter().enumerate() {
            if *left < self.least[at][row] {
                return false;
            }
            lost += (left - self.most[at][row]).max(0) * i128::from(self.price[row]);
        }
        lost <= self.budget
    }
}
