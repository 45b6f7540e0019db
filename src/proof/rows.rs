//! A pool in the rows of a certificate. Whatever the rows, every plan of the pool keeps them: a row's
//! stock is what there is of its resources together, and ways that count as one use the least and are
//! worth the same.

use crate::proof::Certificate;
use crate::solve::Pool;
use std::collections::BTreeMap;

/// Worths and uses by group. The first way of each group is "nothing".
pub(super) struct Rows {
    /// How many rows.
    pub(super) m: usize,
    /// What there is of each row.
    pub(super) stock: Vec<i128>,
    /// Where each group's ways begin; one more entry than groups.
    pub(super) first: Vec<usize>,
    pub(super) worth: Vec<i64>,
    /// Of each way, one amount a row.
    pub(super) uses: Vec<i128>,
}

/// Ways with the same key count as one: worth, what they use beside, and of the alike.
type Key = (i64, Vec<i128>, i128);

impl Rows {
    /// None where the certificate names what the pool does not have.
    pub(super) fn of(pool: &Pool, certificate: &Certificate) -> Option<Rows> {
        let stock = |row: &Vec<usize>| -> Option<i128> {
            let own: Option<Vec<i128>> = row.iter().map(|r| pool.stock().get(*r).map(|s| i128::from(*s))).collect();
            let twice = row.iter().enumerate().any(|(at, r)| row[..at].contains(r));
            Some(own?.iter().sum()).filter(|_| !twice)
        };
        let stock: Vec<i128> = certificate.rows.iter().map(stock).collect::<Option<_>>()?;
        let m = stock.len();
        let mut rows = Rows { m, stock, first: Vec::new(), worth: Vec::new(), uses: Vec::new() };
        // Which rows a resource counts in.
        let of_rows = |r: usize| (0..m).filter(move |row| certificate.rows[*row].contains(&r));
        let places: Vec<Vec<usize>> = (0..pool.stock().len()).map(|r| of_rows(r).collect()).collect();
        let mut own = vec![0i128; pool.stock().len()];
        let mut amounts = vec![0i128; m];
        for group in pool.iter() {
            rows.first.push(rows.worth.len());
            rows.push(0, &vec![0; m]);
            let mut known: BTreeMap<Key, usize> = BTreeMap::new();
            for way in group.options() {
                own.fill(0);
                way.uses.iter().for_each(|(r, amount)| own[*r as usize] += i128::from(*amount));
                // What never fits is in no plan, and nothing is worth as much as what is worth nothing.
                let fits = own.iter().zip(pool.stock()).all(|(uses, stock)| *uses <= i128::from(*stock));
                if way.worth <= 0 || !fits {
                    continue;
                }
                amounts.fill(0);
                for (uses, rows) in own.iter().zip(&places).filter(|(uses, _)| **uses > 0) {
                    rows.iter().for_each(|row| amounts[*row] += uses);
                }
                let one = key(certificate, way.worth, &own).map(|key| *known.entry(key).or_insert(rows.worth.len()));
                match one.filter(|one| *one < rows.worth.len()) {
                    Some(one) => {
                        rows.uses[one * m..one * m + m].iter_mut().zip(&amounts).for_each(|(a, b)| *a = *b.min(a))
                    }
                    None => rows.push(way.worth, &amounts),
                }
            }
        }
        rows.first.push(rows.worth.len());
        Some(rows)
    }

    fn push(&mut self, worth: i64, uses: &[i128]) {
        self.worth.push(worth);
        self.uses.extend_from_slice(uses);
    }

    /// How many groups.
    pub(super) fn groups(&self) -> usize {
        self.first.len() - 1
    }

    /// What a way uses of each row.
    pub(super) fn uses(&self, way: usize) -> &[i128] {
        &self.uses[way * self.m..way * self.m + self.m]
    }
}

/// By what a way counts as one with others; none where it uses not just one of the alike.
fn key(certificate: &Certificate, worth: i64, own: &[i128]) -> Option<Key> {
    let of = |r: &usize| own.get(*r).copied().unwrap_or(0);
    let alike: Vec<i128> = certificate.alike.iter().map(of).filter(|uses| *uses > 0).collect();
    let [amount] = alike[..] else { return None };
    Some((worth, certificate.beside.iter().map(of).collect(), amount))
}
