//! What a search can show of its proof: the splits it made and the prices that close each part, in
//! an order in which somebody else can go through them. The search itself never reads it.

/// A proof that no plan is worth more than `bound`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trace {
    /// What is counted: resources of the pool, each alone or some together.
    pub rows: Vec<Vec<usize>>,
    /// Resources in whose place alone options of a group may differ: such options are as one.
    pub alike: Vec<usize>,
    /// The other resources that such options must use alike.
    pub beside: Vec<usize>,
    /// Binary places of the prices.
    pub bits: u32,
    /// In units of worth.
    pub bound: i128,
    /// The parts: each split one before its low part, that before its high part.
    pub parts: Vec<Shown>,
}

/// A part of the pool.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Shown {
    /// Prices of the rows, to be tried one after the other; none where those of the part around it do.
    pub prices: Vec<Vec<i64>>,
    /// Group, row, and the most that the low part uses of the row; none where the part is closed.
    pub split: Option<(usize, usize, i64)>,
}

/// What a search keeps of the parts that it opens.
#[derive(Debug, Clone)]
pub(super) struct Record {
    parts: Vec<(Shown, Option<[usize; 2]>)>,
    most: usize,
}

impl Record {
    /// With the whole as its only part.
    pub(super) fn new(most: usize) -> Record {
        Record { parts: vec![(Shown::default(), None)], most }
    }

    /// The prices by which a part was last looked at.
    pub(super) fn priced(&mut self, part: usize, price: &[i64]) {
        if let Some((shown, _)) = self.parts.get_mut(part) {
            shown.prices = vec![price.to_vec()];
        }
    }

    /// Splits a part; gives the numbers of its low and its high part.
    pub(super) fn split(&mut self, part: usize, way: (usize, usize, i64), prices: [Option<Vec<i64>>; 2]) -> [usize; 2] {
        let low = self.parts.len();
        if self.whole()
            && let Some((shown, parts)) = self.parts.get_mut(part)
        {
            shown.split = Some(way);
            *parts = Some([low, low + 1]);
            let side = |price: Option<Vec<i64>>| (Shown { prices: price.into_iter().collect(), split: None }, None);
            self.parts.extend(prices.map(side));
        }
        [low, low + 1]
    }

    /// Whether no part was left out.
    pub(super) fn whole(&self) -> bool {
        self.parts.len() < self.most
    }

    /// The parts in order, those of the groups that were open; none where some were left out. `first` are
    /// prices of the whole from before.
    pub(super) fn parts(&self, groups: &[u32], first: &[i64]) -> Option<Vec<Shown>> {
        if !self.whole() {
            return None;
        }
        let mut all = Vec::with_capacity(self.parts.len());
        let mut open = vec![0];
        while let Some(at) = open.pop() {
            let (mut shown, sides) = self.parts[at].clone();
            if at == 0 {
                shown.prices.insert(0, first.to_vec());
            }
            shown.split = shown.split.map(|(group, row, limit)| (groups[group] as usize, row, limit));
            all.push(shown);
            open.extend(sides.into_iter().flat_map(|[low, high]| [high, low]));
        }
        Some(all)
    }
}

/// One part, closed by what one set of prices leaves.
pub(super) fn by_prices(price: &[i64]) -> Vec<Shown> {
    vec![Shown { prices: vec![price.to_vec()], split: None }]
}
