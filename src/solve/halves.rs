//! Filling the stocks almost exactly: every mix of two halves of a few groups
//! whose loss stays below a budget.
//!
//! At given prices each option loses something against the best of its group,
//! and stock left over loses its price; a plan's worth is the bound less the
//! sum of these losses. So all plans within a budget of the bound are met by
//! listing, for each half of the groups, the mixes that lose less than the
//! budget, and by looking for each mix of the one half only at those of the
//! other that leave little over (meeting in the middle after Horowitz and
//! Sahni 1974, from memory). What does not meet is proven not to exist.

/// One option of a group of the core.
#[derive(Debug, Clone)]
pub(super) struct Choice {
    pub(super) loss: i64,
    pub(super) option: u32,
}

/// The groups left open.
pub(super) struct Core<'a> {
    pub(super) price: &'a [i64],
    /// What the groups decided already leave.
    pub(super) stock: &'a [i64],
    /// All options' uses, in rows.
    pub(super) uses: &'a [i64],
    /// Only plans that lose less than this are looked for.
    pub(super) budget: i64,
    /// A plan that loses no more than this is good enough to stop at.
    pub(super) enough: i64,
}

/// The options of one group of the core, least loss first.
pub(super) type Slot = Vec<Choice>;

/// Mixes of the options of some groups.
struct List {
    m: usize,
    loss: Vec<i64>,
    used: Vec<i64>,
    /// For each group added: the mix extended and the option's place.
    steps: Vec<Vec<(u32, u16)>>,
}

/// What a search met.
pub(super) struct Met {
    /// Options by half, in the order of the halves' groups; none if nothing met.
    pub(super) picks: Option<[Vec<u32>; 2]>,
    /// Whether everything was looked at (not so when the effort ran out).
    pub(super) whole: bool,
}

/// Counts labels and pairs against a limit.
#[derive(Debug, Clone, Default)]
pub(super) struct Meter {
    pub(super) labels: u64,
    pub(super) pairs: u64,
    pub(super) limit: u64,
}

impl Meter {
    pub(super) fn spent(&self) -> bool {
        // A pair is looked at about eight times as fast as a label is made.
        self.labels + self.pairs / 8 >= self.limit
    }
}

/// Least and most that groups can use of each resource.
#[derive(Clone)]
struct Reach {
    least: Vec<i64>,
    most: Vec<i64>,
}

impl Reach {
    fn of(core: &Core, slots: &[Slot]) -> Reach {
        let m = core.stock.len();
        let mut reach = Reach { least: vec![0; m], most: vec![0; m] };
        for slot in slots {
            for r in 0..m {
                let uses = slot.iter().map(|c| core.uses[c.option as usize * m + r]);
                reach.least[r] += uses.clone().min().unwrap_or(0);
                reach.most[r] += uses.max().unwrap_or(0);
            }
        }
        reach
    }
}

impl List {
    /// All mixes of `slots` that can still end within the budget when the
    /// groups of `other` follow.
    fn build(core: &Core, slots: &[Slot], other: &[Slot], meter: &mut Meter) -> Option<List> {
        let m = core.stock.len();
        let mut list = List { m, loss: vec![0], used: vec![0; m], steps: Vec::new() };
        let far = Reach::of(core, other);
        for (at, slot) in slots.iter().enumerate() {
            let mut rest = Reach::of(core, &slots[at + 1..]);
            for r in 0..m {
                rest.least[r] += far.least[r];
                rest.most[r] += far.most[r];
            }
            list = list.extend(core, slot, &rest, meter)?;
        }
        Some(list)
    }

    fn extend(self, core: &Core, slot: &Slot, rest: &Reach, meter: &mut Meter) -> Option<List> {
        let m = self.m;
        let mut next = List { m, loss: Vec::new(), used: Vec::new(), steps: self.steps };
        let mut step = Vec::new();
        let mut row = vec![0i64; m];
        for (parent, loss) in self.loss.iter().enumerate() {
            let base = &self.used[parent * m..parent * m + m];
            for (place, choice) in slot.iter().enumerate() {
                let mut least = loss + choice.loss;
                if least >= core.budget {
                    break;
                }
                let uses = &core.uses[choice.option as usize * m..choice.option as usize * m + m];
                let mut fits = true;
                for r in 0..m {
                    row[r] = base[r] + uses[r];
                    let left = core.stock[r] - row[r];
                    fits &= left >= rest.least[r];
                    least += core.price[r] * (left - rest.most[r]).max(0);
                }
                if fits && least < core.budget {
                    next.loss.push(loss + choice.loss);
                    next.used.extend_from_slice(&row);
                    step.push((parent as u32, place as u16));
                }
            }
            if step.len() > u32::MAX as usize / 2 {
                return None;
            }
        }
        meter.labels += step.len() as u64;
        next.steps.push(step);
        Some(next)
    }

    fn picks(&self, mut at: usize, slots: &[Slot]) -> Vec<u32> {
        let mut picks = vec![0; slots.len()];
        for (g, step) in self.steps.iter().enumerate().rev() {
            let (parent, place) = step[at];
            picks[g] = slots[g][place as usize].option;
            at = parent as usize;
        }
        picks
    }
}

/// The second list sorted into cells of what it uses of up to three resources.
struct Grid {
    /// Resource, width of a cell and number of cells.
    axes: Vec<(usize, i64, usize)>,
    start: Vec<u32>,
    /// Place in the list.
    at: Vec<u32>,
    loss: Vec<i64>,
    /// Loss less the price of what is used.
    key: Vec<i64>,
    used: Vec<i64>,
}

impl Grid {
    fn new(core: &Core, list: &List) -> Grid {
        let m = list.m;
        let count = list.loss.len();
        let mut wanted: Vec<(usize, i64, usize)> = Vec::new();
        for r in (0..m).filter(|r| core.price[*r] > 0) {
            let most = (0..count).map(|i| list.used[i * m + r]).max().unwrap_or(0);
            let width = core.budget / core.price[r] + 1;
            wanted.push((r, width, (most / width) as usize + 1));
        }
        wanted.sort_by_key(|a| (std::cmp::Reverse(a.2), a.0));
        let mut room = (count * 2).max(64);
        let mut axes = Vec::new();
        for (r, width, cells) in wanted.into_iter().take(3) {
            if room < 2 || cells < 2 {
                break;
            }
            let fewer = cells.min(room);
            let factor = cells.div_ceil(fewer);
            let cells = cells.div_ceil(factor);
            axes.push((r, width * factor as i64, cells));
            room /= cells;
        }
        let cell_of = |i: usize| {
            axes.iter().fold(0usize, |c, (r, width, cells)| c * cells + (list.used[i * m + r] / width) as usize)
        };
        let cells: usize = axes.iter().map(|a| a.2).product();
        let mut order: Vec<(u32, i64, u32)> = (0..count).map(|i| (cell_of(i) as u32, list.loss[i], i as u32)).collect();
        order.sort_unstable();
        let mut start = vec![0u32; cells + 1];
        for (cell, _, _) in &order {
            start[*cell as usize + 1] += 1;
        }
        for c in 0..cells {
            start[c + 1] += start[c];
        }
        let mut grid = Grid { axes, start, at: Vec::new(), loss: Vec::new(), key: Vec::new(), used: Vec::new() };
        for (_, loss, i) in order {
            let row = &list.used[i as usize * m..i as usize * m + m];
            grid.at.push(i);
            grid.loss.push(loss);
            grid.key.push(loss - dot(row, core.price));
            grid.used.extend_from_slice(row);
        }
        grid
    }
}

fn dot(a: &[i64], b: &[i64]) -> i64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// The plan of least loss within the budget, if there is one.
pub(super) fn meet(core: &Core, halves: [&[Slot]; 2], meter: &mut Meter) -> Met {
    let lost = Met { picks: None, whole: false };
    let Some(near) = List::build(core, halves[0], halves[1], meter) else { return lost };
    if near.loss.is_empty() {
        return Met { picks: None, whole: true };
    }
    let Some(far) = List::build(core, halves[1], halves[0], meter) else { return lost };
    if far.loss.is_empty() {
        return Met { picks: None, whole: true };
    }
    let grid = Grid::new(core, &far);
    let mut order: Vec<u32> = (0..near.loss.len() as u32).collect();
    order.sort_unstable_by_key(|i| (near.loss[*i as usize], *i));
    let mut budget = core.budget;
    let mut found = None;
    let mut whole = true;
    let m = near.m;
    for i in order {
        let at = i as usize;
        let loss = near.loss[at];
        if budget <= core.enough {
            whole = false;
            break;
        }
        if loss >= budget {
            break;
        }
        if meter.spent() {
            whole = false;
            break;
        }
        let left: Vec<i64> = (0..m).map(|r| core.stock[r] - near.used[at * m + r]).collect();
        if let Some((b, total)) = partner(core, &grid, &left, loss, budget, meter) {
            budget = total;
            found = Some((at, b));
        }
    }
    let picks = found.map(|(a, b)| [near.picks(a, halves[0]), far.picks(b as usize, halves[1])]);
    Met { picks, whole }
}

/// The best partner for a mix that loses `loss` and leaves `left`.
fn partner(
    core: &Core,
    grid: &Grid,
    left: &[i64],
    loss: i64,
    mut budget: i64,
    meter: &mut Meter,
) -> Option<(u32, i64)> {
    let m = left.len();
    let paid = loss + dot(left, core.price);
    let mut low = [0usize; 3];
    let mut high = [0usize; 3];
    for (k, (r, width, cells)) in grid.axes.iter().enumerate() {
        let least = left[*r] - (budget - loss) / core.price[*r] - 1;
        low[k] = (least.max(0) / width) as usize;
        high[k] = ((left[*r] / width) as usize).min(cells - 1);
        if low[k] > high[k] {
            return None;
        }
    }
    let n = |k: usize| grid.axes.get(k).map_or(1, |a| a.2);
    let mut found = None;
    for x in low[0]..=high[0] {
        for y in low[1]..=high[1] {
            for z in low[2]..=high[2] {
                let cell = (x * n(1) + y) * n(2) + z;
                let range = grid.start[cell] as usize..grid.start[cell + 1] as usize;
                for b in range {
                    meter.pairs += 1;
                    if loss + grid.loss[b] >= budget {
                        break;
                    }
                    let total = paid + grid.key[b];
                    if total < budget && grid.used[b * m..b * m + m].iter().zip(left).all(|(u, l)| u <= l) {
                        budget = total;
                        found = Some((grid.at[b], total));
                    }
                }
            }
        }
    }
    found
}
