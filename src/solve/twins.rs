//! Resources that are as good as each other: the same spreading in another
//! season, worth the same. Prices cannot tell such twins apart, so every field
//! would count twice in every search. Here they are pooled: first a plan that
//! only keeps the sums of the twins' stocks (for every set of twins, what can
//! go nowhere else; Hall's condition), then its parts are dealt to the twins.
//! The pooled plan's bound holds for the pool itself.

use super::halves::{self, Choice, Core, Meter, Slot};
use super::lean::Lean;
use super::search::shuffle;

/// Most resources that are pooled: their sets become the rows.
const MOST_TWINS: usize = 4;
/// Groups dealt exactly, a half; the others are dealt largest first.
const DEALT: [usize; 4] = [10, 12, 14, 15];

/// A pool with its twins pooled.
pub(super) struct Merged {
    pub(super) lean: Lean,
    /// The twins, as resources of the lean pool.
    twins: Vec<usize>,
    /// The set of twins behind each resource of the pooled lean; 0 for others.
    sets: Vec<u32>,
    /// The resource of the lean pool behind each other one.
    other: Vec<usize>,
    /// Where each pooled option's members begin; one more entry than options.
    first: Vec<u32>,
    /// Options of the lean pool that differ in the twin only.
    members: Vec<u32>,
}

/// The largest set of twins, if a good part of the options has one.
fn find(lean: &Lean) -> Option<Vec<usize>> {
    let m = lean.m();
    let mut same = vec![0usize; m * m];
    let mut using = vec![0usize; m];
    for g in 0..lean.groups() {
        let mut order: Vec<usize> = lean.range(g).collect();
        let key = |o: &usize| (lean.worth[*o], lean.row(*o).iter().sum::<i64>(), *o);
        order.sort_unstable_by_key(key);
        for (i, o) in order.iter().enumerate() {
            for r in (0..m).filter(|r| lean.row(*o)[*r] > 0) {
                using[r] += 1;
            }
            for p in order[i + 1..].iter().take_while(|p| key(p).0 == key(o).0 && key(p).1 == key(o).1) {
                if let Some((a, b)) = swap(lean.row(*o), lean.row(*p)) {
                    same[a * m + b] += 1;
                    same[b * m + a] += 1;
                }
            }
        }
    }
    let twin = |a: usize, b: usize| same[a * m + b] * 3 > using[a].min(using[b]);
    let mut best: Vec<usize> = Vec::new();
    for a in 0..m {
        let mut set = vec![a];
        for b in (0..m).filter(|b| *b != a) {
            if set.len() < MOST_TWINS && set.iter().all(|c| twin(*c, b)) {
                set.push(b);
            }
        }
        if set.len() > best.len() {
            best = set;
        }
    }
    best.sort_unstable();
    (best.len() > 1).then_some(best)
}

/// The two resources in whose place alone two rows differ.
fn swap(a: &[i64], b: &[i64]) -> Option<(usize, usize)> {
    let mut differ = (0..a.len()).filter(|r| a[*r] != b[*r]);
    let (x, y) = (differ.next()?, differ.next()?);
    (differ.next().is_none() && a[x] == b[y] && a[y] == b[x] && (a[x] == 0 || a[y] == 0)).then_some((x, y))
}

impl Merged {
    /// Pools the twins of a lean pool, if it has any.
    pub(super) fn new(lean: &Lean) -> Option<Merged> {
        let twins = find(lean)?;
        let other: Vec<usize> = (0..lean.m()).filter(|r| !twins.contains(r)).collect();
        let all = 1u32 << twins.len();
        let sets: Vec<u32> = other.iter().map(|_| 0).chain(1..all).collect();
        let stock_of = |set: u32| (0..twins.len()).filter(|i| set >> i & 1 == 1).map(|i| lean.stock[twins[i]]).sum();
        let stock: Vec<i64> = other.iter().map(|r| lean.stock[*r]).chain((1..all).map(stock_of)).collect();
        let pooled = Lean::part(lean, stock);
        let mut merged = Merged { lean: pooled, twins, sets, other, first: vec![0], members: Vec::new() };
        for g in 0..lean.groups() {
            merged.group(lean, g);
        }
        merged.slim()
    }

    fn group(&mut self, lean: &Lean, g: usize) {
        // Worth, uses of other resources, use of a twin: alike but for the twin.
        let mut order: Vec<(i64, Vec<i64>, i64, u32, u32)> = lean
            .range(g)
            .map(|o| {
                let row = lean.row(o);
                let used: Vec<usize> = (0..self.twins.len()).filter(|i| row[self.twins[*i]] > 0).collect();
                let rest = self.other.iter().map(|r| row[*r]).collect();
                match used[..] {
                    [i] => (lean.worth[o], rest, row[self.twins[i]], 1 << i, o as u32),
                    // None or several: a kind of its own.
                    _ => (lean.worth[o], rest, -(o as i64) - 1, 0, o as u32),
                }
            })
            .collect();
        order.sort_unstable_by(|a, b| (a.0, &a.1, a.2, a.4).cmp(&(b.0, &b.1, b.2, b.4)));
        let mut at = 0;
        while at < order.len() {
            let (worth, rest, amount, _, o) = &order[at];
            let end = at + order[at..].iter().take_while(|x| (x.0, &x.1, x.2) == (*worth, rest, *amount)).count();
            let mask = order[at..end].iter().fold(0, |m, x| m | x.3);
            self.members.extend(order[at..end].iter().map(|x| x.4));
            self.first.push(self.members.len() as u32);
            self.lean.worth.push(*worth);
            self.lean.source.push(*o);
            self.lean.uses.extend_from_slice(rest);
            for set in self.sets.iter().filter(|s| **s > 0) {
                let uses = if mask > 0 {
                    if mask & set == mask { *amount } else { 0 }
                } else {
                    let row = lean.row(*o as usize);
                    (0..self.twins.len()).filter(|i| set >> i & 1 == 1).map(|i| row[self.twins[i]]).sum()
                };
                self.lean.uses.push(uses);
            }
            at = end;
        }
        self.lean.first.push(self.lean.worth.len() as u32);
    }

    /// Drops rows that never bind.
    fn slim(mut self) -> Option<Merged> {
        let m = self.lean.m();
        let mut most = vec![0i64; m];
        for g in 0..self.lean.groups() {
            for (r, all) in most.iter_mut().enumerate() {
                *all += self.lean.range(g).map(|o| self.lean.row(o)[r]).max().unwrap_or(0);
            }
        }
        let keep: Vec<usize> = (0..m).filter(|r| most[*r] > self.lean.stock[*r]).collect();
        self.lean.uses =
            self.lean.uses.chunks_exact(m).flat_map(|u| keep.iter().map(|r| u[*r]).collect::<Vec<_>>()).collect();
        self.lean.stock = keep.iter().map(|r| self.lean.stock[*r]).collect();
        self.lean.kept = keep;
        Some(self)
    }

    /// The resources that are pooled, and the others.
    pub(super) fn apart(&self) -> (&[usize], &[usize]) {
        (&self.twins, &self.other)
    }

    /// The resources of the lean pool behind each row of the pooled one.
    pub(super) fn rows(&self) -> Vec<Vec<usize>> {
        let of = |r: &usize| match self.sets[*r] {
            0 => vec![self.other[*r]],
            set => (0..self.twins.len()).filter(|i| set >> i & 1 == 1).map(|i| self.twins[i]).collect(),
        };
        self.lean.kept.iter().map(of).collect()
    }

    /// Prices of the lean pool from those of the pooled one.
    pub(super) fn prices(&self, price: &[i64], m: usize) -> Vec<i64> {
        let mut out = vec![0i64; m];
        for (r, p) in self.lean.kept.iter().zip(price) {
            if self.sets[*r] == 0 {
                out[self.other[*r]] = *p;
            } else {
                for i in (0..self.twins.len()).filter(|i| self.sets[*r] >> i & 1 == 1) {
                    out[self.twins[i]] += *p;
                }
            }
        }
        out
    }

    /// Deals the parts of a pooled plan to the twins: options of the lean
    /// pool, or nothing when no way was found.
    pub(super) fn deal(&self, lean: &Lean, picks: &[u32], meter: &mut Meter) -> Option<Vec<u32>> {
        let mut stock: Vec<i64> = self.twins.iter().map(|r| lean.stock[*r]).collect();
        let mut dealt: Vec<u32> = Vec::with_capacity(picks.len());
        let mut open: Vec<(i64, usize)> = Vec::new();
        for (g, pick) in picks.iter().enumerate() {
            let of = self.of(*pick);
            dealt.push(of[0]);
            let row = self.twin_row(lean, of[0]);
            if of.len() > 1 {
                open.push((row.iter().sum(), g));
            } else {
                stock.iter_mut().zip(&row).for_each(|(s, u)| *s -= u);
            }
        }
        for (turn, exact) in DEALT.iter().enumerate() {
            // Large parts first; which ones are left to the exact deal varies.
            open.sort_by_key(|(size, g)| {
                let lot = if turn < 2 { 0 } else { shuffle(*g as u64, turn as u64) };
                (std::cmp::Reverse(if turn < 2 { *size } else { lot as i64 }), *g)
            });
            let (coarse, fine) = open.split_at(open.len().saturating_sub(2 * exact));
            let mut left = stock.clone();
            for (_, g) in coarse {
                let best = self.of(picks[*g]).iter().max_by_key(|o| {
                    let row = self.twin_row(lean, **o);
                    (left.iter().zip(&row).map(|(l, u)| if *u > 0 { l - u } else { 0 }).sum::<i64>(), **o)
                });
                let o = *best?;
                dealt[*g] = o;
                left.iter_mut().zip(self.twin_row(lean, o)).for_each(|(l, u)| *l -= u);
            }
            if let Some(last) = self.exact(lean, picks, fine, &left, meter) {
                for ((_, g), o) in fine.iter().zip(last) {
                    dealt[*g] = o;
                }
                return Some(dealt);
            }
            if coarse.is_empty() {
                break;
            }
        }
        None
    }

    fn of(&self, pick: u32) -> &[u32] {
        &self.members[self.first[pick as usize] as usize..self.first[pick as usize + 1] as usize]
    }

    fn twin_row(&self, lean: &Lean, option: u32) -> Vec<i64> {
        self.twins.iter().map(|r| lean.row(option as usize)[*r]).collect()
    }

    /// Deals a few parts so that every twin's stock is kept.
    fn exact(
        &self,
        lean: &Lean,
        picks: &[u32],
        fine: &[(i64, usize)],
        left: &[i64],
        meter: &mut Meter,
    ) -> Option<Vec<u32>> {
        let spare = left.iter().sum::<i64>() - fine.iter().map(|f| f.0).sum::<i64>();
        if spare < 0 || left.iter().any(|l| *l < 0) {
            return None;
        }
        let mut uses = Vec::new();
        let mut options = Vec::new();
        let mut slots: [Vec<Slot>; 2] = [Vec::new(), Vec::new()];
        for (i, (_, g)) in fine.iter().enumerate() {
            let mut slot = Slot::new();
            for o in self.of(picks[*g]) {
                slot.push(Choice { loss: 0, option: options.len() as u32 });
                options.push(*o);
                uses.extend(self.twin_row(lean, *o));
            }
            slots[i % 2].push(slot);
        }
        // At a price of 1 each, all that can be left over is the spare.
        let price = vec![1i64; self.twins.len()];
        let core = Core { price: &price, stock: left, uses: &uses, budget: spare + 1, enough: spare };
        let found = halves::meet(&core, [&slots[0], &slots[1]], meter).picks?;
        Some((0..fine.len()).map(|i| options[found[i % 2][i / 2] as usize]).collect())
    }
}
