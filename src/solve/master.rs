//! The small linear program behind the prices: from the plans seen so far,
//! the mix that would be worth most while keeping the stocks on average
//! (column generation; its own prices are the next to try). Floating point,
//! used for steering only: no bound is taken from here.
//!
//! Rows: one for "the shares sum to 1", one a resource. Only IEEE addition,
//! multiplication and division are used, so every machine steps alike.

/// One plan seen: scaled worth, and stock left of each resource over the stock.
struct Column {
    cost: f64,
    row: Vec<f64>,
}

pub(super) struct Master {
    rows: usize,
    columns: Vec<Column>,
    basis: Vec<usize>,
    /// Inverse of the basis, row by row.
    inverse: Vec<f64>,
    /// The right side, tilted a little so that no step has length zero.
    right: Vec<f64>,
}

const SMALL: f64 = 1e-11;

impl Master {
    /// Prices lie between 0 and 1 for each of `m` resources.
    pub(super) fn new(m: usize) -> Master {
        let rows = m + 1;
        let mut columns = Vec::new();
        for r in 0..m {
            for (sign, cost) in [(-1.0, 0.0), (1.0, -1.0)] {
                let mut row = vec![0.0; rows];
                row[r + 1] = sign;
                columns.push(Column { cost, row });
            }
        }
        let right = (0..rows).map(|r| if r == 0 { 1.0 } else { 1e-9 / (r as f64 + 1.5) }).collect();
        Master { rows, columns, basis: Vec::new(), inverse: Vec::new(), right }
    }

    /// Adds a plan: its worth, and for each resource what it leaves over.
    pub(super) fn add(&mut self, cost: f64, left: &[f64]) {
        let row: Vec<f64> = std::iter::once(1.0).chain(left.iter().copied()).collect();
        if self.basis.is_empty() {
            self.basis.push(self.columns.len());
            // A bound of the price takes up what the plan leaves or lacks.
            self.basis.extend((1..self.rows).map(|r| 2 * (r - 1) + usize::from(row[r] + SMALL < 0.0)));
        }
        self.columns.push(Column { cost, row });
    }

    /// The bound that the plans seen allow at best, and the prices that give it.
    pub(super) fn solve(&mut self) -> (f64, Vec<f64>) {
        self.invert();
        for step in 0..2_000usize {
            if step % 40 == 39 {
                self.invert();
            }
            let dual = self.dual();
            let Some(enter) = self.entering(&dual, step > 500) else { break };
            if !self.pivot(enter) {
                break;
            }
        }
        let dual = self.dual();
        (dual[0], dual[1..].iter().map(|y| (-y).clamp(0.0, 1.0)).collect())
    }

    /// The plans of the mix, by the order they were added, with their shares.
    pub(super) fn shares(&self) -> Vec<(usize, f64)> {
        let n = self.rows;
        let fixed = 2 * (n - 1);
        let mut shares: Vec<(usize, f64)> = (0..n)
            .filter(|r| self.basis.get(*r).is_some_and(|j| *j >= fixed))
            .map(|r| (self.basis[r] - fixed, self.inverse[r * n]))
            .filter(|s| s.1 > 1e-7)
            .collect();
        shares.sort_by_key(|s| s.0);
        shares
    }

    fn dual(&self) -> Vec<f64> {
        let n = self.rows;
        (0..n).map(|c| (0..n).map(|r| self.columns[self.basis[r]].cost * self.inverse[r * n + c]).sum()).collect()
    }

    /// The column that gains most; the first that gains when steps run long.
    fn entering(&self, dual: &[f64], first: bool) -> Option<usize> {
        let mut best = (1e-12, None);
        for (j, column) in self.columns.iter().enumerate() {
            let gain = column.cost - column.row.iter().zip(dual).map(|(a, y)| a * y).sum::<f64>();
            if gain > best.0 {
                best = (gain, Some(j));
                if first {
                    break;
                }
            }
        }
        best.1
    }

    fn pivot(&mut self, enter: usize) -> bool {
        let n = self.rows;
        let times = |v: &[f64], r: usize| (0..n).map(|c| self.inverse[r * n + c] * v[c]).sum::<f64>();
        let step: Vec<f64> = (0..n).map(|r| times(&self.columns[enter].row, r)).collect();
        let mut leave = None;
        let mut least = f64::INFINITY;
        for (r, by) in step.iter().enumerate() {
            if *by > SMALL {
                let ratio = times(&self.right, r).max(0.0) / by;
                if ratio < least {
                    least = ratio;
                    leave = Some(r);
                }
            }
        }
        let Some(leave) = leave else { return false };
        self.basis[leave] = enter;
        let by = step[leave];
        for c in 0..n {
            self.inverse[leave * n + c] /= by;
        }
        for r in (0..n).filter(|r| *r != leave) {
            for c in 0..n {
                self.inverse[r * n + c] -= step[r] * self.inverse[leave * n + c];
            }
        }
        true
    }

    /// The inverse from the basis itself, by elimination.
    fn invert(&mut self) {
        let n = self.rows;
        let wide = 2 * n;
        let mut work = vec![0.0; n * wide];
        for r in 0..n {
            for c in 0..n {
                work[r * wide + c] = self.columns[self.basis[c]].row[r];
            }
            work[r * wide + n + r] = 1.0;
        }
        for c in 0..n {
            let mut pick = c;
            for r in c + 1..n {
                if work[r * wide + c].abs() > work[pick * wide + c].abs() {
                    pick = r;
                }
            }
            for k in 0..wide {
                work.swap(c * wide + k, pick * wide + k);
            }
            let by = work[c * wide + c];
            if by.abs() < 1e-300 {
                continue;
            }
            for k in 0..wide {
                work[c * wide + k] /= by;
            }
            for r in (0..n).filter(|r| *r != c) {
                let times = work[r * wide + c];
                for k in 0..wide {
                    work[r * wide + k] -= times * work[c * wide + k];
                }
            }
        }
        self.inverse = (0..n * n).map(|i| work[(i / n) * wide + n + i % n]).collect();
    }
}
