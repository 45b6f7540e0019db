//! Made-up farms for the measurements: fields, needs, hauls and lots drawn
//! from a seed. Nothing here describes a real farm; the prices are the demo
//! farm's, the needs are common practice for hay and pasture.

use sward::solve::Pool;

/// Numbers from a seed, the same everywhere (splitmix64).
pub struct Dice(u64);

impl Dice {
    /// Dice for a seed.
    pub fn new(seed: u64) -> Dice {
        Dice(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x5bd1_e995)
    }
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    /// A whole number from `low` to `high`, both included.
    pub fn pick(&mut self, low: i64, high: i64) -> i64 {
        low + (self.next() % (high - low + 1) as u64) as i64
    }
}

/// What kind of farm to draw.
#[derive(Clone, Copy)]
pub struct Shape {
    /// How many fields.
    pub fields: usize,
    /// Percent of a plan of 2.5 tons an acre that each lot holds.
    pub lots: &'static [i64],
    /// Percent of all lots that each season can take; none: no season limit.
    pub windows: &'static [i64],
    /// Whether a later season is worth a little less on some fields.
    pub seasons_differ: bool,
    /// Whether each field has its own highest rate (else all go to 5.25).
    pub limits: bool,
}

/// Worth in thousandths of a cent, stocks and uses in pounds.
pub fn farm(shape: Shape, seed: u64) -> Pool {
    let mut dice = Dice::new(seed);
    let acres: Vec<i64> = (0..shape.fields).map(|_| dice.pick(400, 4_000)).collect();
    let all: i64 = acres.iter().sum();
    // Pounds of a plan of 2.5 tons an acre: acres/100 x 2.5 x 2000.
    let plan = all * 50;
    let lots: Vec<i64> = shape.lots.iter().map(|p| plan * p / 100).collect();
    let held: i64 = lots.iter().sum();
    let mut stock = lots.clone();
    stock.extend(shape.windows.iter().map(|p| held * p / 100));
    // Tenths of a pound a ton: available nitrogen, phosphate, potash.
    let supply: Vec<[i64; 3]> =
        lots.iter().map(|_| [dice.pick(200, 360), dice.pick(350, 650), dice.pick(380, 650)]).collect();
    let price = [62i64, 58, 42];
    let mut pool = Pool::new(stock).expect("stocks are positive");
    for acre in &acres {
        // Tenths of a pound an acre.
        let need = [dice.pick(800, 2_400), dice.pick(0, 900), dice.pick(0, 1_800)];
        let most = if shape.limits { dice.pick(6, 21) } else { 21 };
        let miles: Vec<i64> = lots.iter().map(|_| dice.pick(2, 90)).collect();
        let season: Vec<i64> = shape
            .windows
            .iter()
            .enumerate()
            .map(|(i, _)| if i > 0 && shape.seasons_differ { dice.pick(80, 105) } else { 100 })
            .collect();
        pool.group();
        for (l, supply) in supply.iter().enumerate() {
            for quarter in 4..=most {
                let pounds = acre * quarter * 5;
                for w in 0..shape.windows.len().max(1) {
                    let mut worth = 0i64;
                    for n in 0..3 {
                        // Rate x supply in fortieths of a pound an acre.
                        let mut gives = (quarter * supply[n]).min(need[n] * 4);
                        if n == 0 {
                            gives = gives * season.get(w).copied().unwrap_or(100) / 100;
                        }
                        // acres/100 x pounds/40 x cents x 1000.
                        worth += acre * gives * price[n] * 1_000 / 4_000;
                    }
                    // Spreading 9.50 $, hauling 0.45 $ a ton-mile, litter left 16 $ a ton.
                    let ton = 950_000 + 45_000 * miles[l] / 10 + 1_600_000;
                    worth -= pounds * ton / 2_000;
                    let mut uses = vec![(l, pounds)];
                    if !shape.windows.is_empty() {
                        uses.push((lots.len() + w, pounds));
                    }
                    pool.option(worth, &uses).expect("a use of a lot and a season");
                }
            }
        }
    }
    pool
}
