//! Which pool a certificate is of.

use crate::solve::Pool;
use serde::{Deserialize, Serialize};

/// How many of everything a pool has, and a sum over all of its numbers.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Count {
    /// Resources.
    pub resources: usize,
    /// Groups, of which each takes one way or none.
    pub groups: usize,
    /// Ways.
    pub ways: usize,
    /// Fowler, Noll and Vo's sum (FNV-1a, 64 bits) taken number by number instead of byte by byte, in
    /// hexadecimals.
    pub sum: String,
}

const BASIS: u64 = 0xcbf2_9ce4_8422_2325;
const PRIME: u64 = 0x0000_0100_0000_01b3;

/// A pool as text, number by number in the order in which they are added up: what there is of each
/// resource, then each group with its ways: what each is worth, and what it uses of which resource.
#[must_use]
pub fn text(pool: &Pool) -> String {
    let mut text = pool.stock().iter().fold("stock".to_string(), |text, stock| format!("{text} {stock}"));
    for group in pool.iter() {
        text.push_str("\ngroup");
        for way in group.options() {
            text.push_str(&format!("\nway {}", way.worth));
            way.uses.iter().for_each(|(resource, amount)| text.push_str(&format!(" {resource}:{amount}")));
        }
    }
    text.push('\n');
    text
}

/// Counts a pool.
#[must_use]
pub fn count(pool: &Pool) -> Count {
    let mut sum = BASIS;
    let mut add = |number: u64| sum = (sum ^ number).wrapping_mul(PRIME);
    add(pool.stock().len() as u64);
    pool.stock().iter().for_each(|stock| add(stock.cast_unsigned()));
    for group in pool.iter() {
        add(group.options().len() as u64);
        for way in group.options() {
            add(way.worth.cast_unsigned());
            add(way.uses.len() as u64);
            for (resource, amount) in way.uses {
                add(u64::from(*resource));
                add(amount.cast_unsigned());
            }
        }
    }
    let (resources, groups, ways) = (pool.stock().len(), pool.groups(), pool.options());
    Count { resources, groups, ways, sum: format!("{sum:016x}") }
}
