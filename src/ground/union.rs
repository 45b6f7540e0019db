//! Rings that lie over each other made into clean ground, a few at a time.
//!
//! A thousand pieces in one place, such as a river with a corner every foot, cross each other a
//! million times when they are all handed to the engine at once. A few at a time most crossings
//! are gone before the next few come: work and memory grow with the pieces, not with their square.

use super::grid::{Broken, Ground};
use super::outline::RingGroup;

/// Rings, or clean grounds, that are put together at once.
const AT_ONCE: usize = 8;

/// The ground that some groups of rings wind around.
pub(super) fn united(groups: &[RingGroup]) -> Result<Ground, Broken> {
    let mut level = Vec::with_capacity(groups.len().div_ceil(AT_ONCE));
    for few in groups.chunks(AT_ONCE) {
        level.push(Ground::around(few.iter().flatten())?);
    }
    while level.len() > 1 {
        let mut next = Vec::with_capacity(level.len().div_ceil(AT_ONCE));
        for few in level.chunks(AT_ONCE) {
            next.push(Ground::union(few)?);
        }
        level = next;
    }
    Ok(level.pop().unwrap_or_default())
}

/// Things in order, those before put together pair by pair: whose ground is whose is found by
/// parting what all of them take in two, again and again.
#[derive(Debug)]
pub(super) enum ThingTree {
    /// One thing, by its number.
    One(usize, Ground),
    /// Two groups, the first of which comes before the other, and the ground of both.
    Two(Box<(ThingTree, ThingTree)>, Ground),
}

impl ThingTree {
    /// Things with their ground, in the order in which ground is charged to them.
    pub(super) fn new(all: Vec<(usize, Ground)>) -> Result<Option<ThingTree>, Broken> {
        let mut level: Vec<ThingTree> =
            all.into_iter().map(|(number, ground)| ThingTree::One(number, ground)).collect();
        while level.len() > 1 {
            let mut next = Vec::with_capacity(level.len().div_ceil(2));
            let mut rest = level.into_iter();
            while let Some(first) = rest.next() {
                next.push(match rest.next() {
                    Some(second) => {
                        let both = Ground::union(&[first.ground(), second.ground()])?;
                        ThingTree::Two(Box::new((first, second)), both)
                    }
                    None => first,
                });
            }
            level = next;
        }
        Ok(level.pop())
    }

    /// All their ground.
    pub(super) fn ground(&self) -> &Ground {
        let (ThingTree::One(_, ground) | ThingTree::Two(_, ground)) = self;
        ground
    }

    /// Parts ground that they take among them: each has what is under it and under none before.
    pub(super) fn share(&self, taken: Ground, parts: &mut Vec<(usize, Ground)>) -> Result<(), Broken> {
        if taken.is_empty() {
            return Ok(());
        }
        match self {
            ThingTree::One(number, _) => parts.push((*number, taken)),
            ThingTree::Two(both, _) => {
                let (first, second) = taken.split(both.0.ground())?;
                both.0.share(first, parts)?;
                both.1.share(second, parts)?;
            }
        }
        Ok(())
    }
}
