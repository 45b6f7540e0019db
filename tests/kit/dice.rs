//! Numbers that look drawn by lot.

/// The same numbers on every run and every machine (splitmix64).
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    /// The dice of one case of many.
    pub(crate) fn of_case(case: u64) -> Dice {
        Dice(case.wrapping_mul(0xd1b5_4a32_d192_ed03))
    }

    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A whole number from the lowest to the highest.
    pub(crate) fn pick(&mut self, low: i64, high: i64) -> i64 {
        low + (self.bits() % (high - low + 1) as u64) as i64
    }

    /// A place in a list of so many.
    pub(crate) fn below(&mut self, many: usize) -> usize {
        (self.bits() % many.max(1) as u64) as usize
    }

    /// A number from 0 up to, but not, 1.
    pub(crate) fn roll(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A number between two.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + self.roll() * (high - low)
    }
}
