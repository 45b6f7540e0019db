//! Numbers that look random and are the same on every machine, even and spread as the bell curve.
//!
//! Here stands no library's logarithm, which may differ in its last digit from one machine to the
//! next: only sums, products, quotients and roots, which do not.

/// A counter taken through a mixing function (splitmix64; constants from memory, held to known
/// values by a test).
pub(in crate::plan) struct Draws(u64);

impl Draws {
    const STEP: u64 = 0x9E37_79B9_7F4A_7C15;

    /// The draws of one run. The seed is fixed, so that the same farm prints
    /// the same dates.
    pub(in crate::plan) fn of_run(run: u64) -> Draws {
        let mut draws = Draws(run.wrapping_mul(0xD1B5_4A32_D192_ED03));
        Draws(draws.bits())
    }

    /// The draws that go by a name, whatever other names there are (FNV-1a; constants from memory).
    pub(in crate::plan) fn named(name: &str) -> Draws {
        let mix = |hash: u64, byte: u8| (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01B3);
        Draws::of_run(name.bytes().fold(0xCBF2_9CE4_8422_2325, mix))
    }

    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(Draws::STEP);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// From 0 up to, but not, 1.
    pub(in crate::plan) fn next(&mut self) -> f64 {
        // The upper 53 bits fill a double exactly.
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// Draws of the bell curve: each of as many equal slices of it once, in an order that a name sets.
/// So a factor alone has just the curve's own mean and band, and two factors go together only by
/// the luck of their orders.
pub(in crate::plan) struct Bell {
    slices: Vec<f64>,
}

impl Bell {
    /// So many of them.
    pub(in crate::plan) fn of(many: usize) -> Bell {
        Bell { slices: (0..many).map(|at| normal_quantile((at as f64 + 0.5) / many as f64)).collect() }
    }

    /// The draws that go by a name.
    pub(in crate::plan) fn named(&self, name: &str) -> Vec<f64> {
        let (mut draws, mut order) = (Draws::named(name), self.slices.clone());
        for last in (1..order.len()).rev() {
            let other = (draws.next() * (last + 1) as f64) as usize;
            order.swap(last, other.min(last));
        }
        order
    }
}

/// The value that a bell curve of mean 0 and standard deviation 1 stays below with a chance
/// between 0 and 1: two rational approximations (coefficients by P. J. Acklam from memory; a test
/// holds them to printed tables).
pub(in crate::plan) fn normal_quantile(chance: f64) -> f64 {
    const A: [f64; 6] = [
        -3.969683028665376e+01,
        2.209460984245205e+02,
        -2.759285104469687e+02,
        1.38357751867269e+02,
        -3.066479806614716e+01,
        2.506628277459239e+00,
    ];
    const B: [f64; 6] = [
        -5.447609879822406e+01,
        1.615858368580409e+02,
        -1.556989798598866e+02,
        6.680131188771972e+01,
        -1.328068155288572e+01,
        1.0,
    ];
    const C: [f64; 6] = [
        -7.784894002430293e-03,
        -3.223964580411365e-01,
        -2.400758277161838e+00,
        -2.549732539343734e+00,
        4.374664141464968e+00,
        2.938163982698783e+00,
    ];
    const D: [f64; 5] =
        [7.784695709041462e-03, 3.224671290700398e-01, 2.445134137142996e+00, 3.754408661907416e+00, 1.0];
    const TAIL: f64 = 0.02425;
    let sum = |of: &[f64], x: f64| of.iter().fold(0.0, |sum, one| sum * x + one);
    if chance > 0.5 {
        return -normal_quantile(1.0 - chance);
    }
    if chance < TAIL {
        let x = (-2.0 * ln(chance.max(f64::MIN_POSITIVE))).sqrt();
        return sum(&C, x) / sum(&D, x);
    }
    let x = chance - 0.5;
    x * sum(&A, x * x) / sum(&B, x * x)
}

/// The natural logarithm of a number above 0: halved or doubled to near 1, then the series of
/// ln((1 + t) / (1 - t)).
fn ln(mut x: f64) -> f64 {
    let mut twos = 0.0;
    while x < 0.75 {
        x *= 2.0;
        twos -= 1.0;
    }
    while x > 1.5 {
        x /= 2.0;
        twos += 1.0;
    }
    let t = (x - 1.0) / (x + 1.0);
    let series = (0..20).rev().fold(0.0, |sum, n| sum * t * t + 1.0 / f64::from(2 * n + 1));
    twos * std::f64::consts::LN_2 + 2.0 * t * series
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn draws_are_even_and_the_same_everywhere() {
        let mut draws = Draws::of_run(0);
        let mut again = Draws::of_run(0);
        let mean = (0..20_000).map(|_| draws.next()).sum::<f64>() / 20_000.0;
        assert!((mean - 0.5).abs() < 0.01, "{mean}");
        assert_eq!(again.bits(), Draws::of_run(0).bits());
        // Known values of splitmix64 from the state 0.
        let mut known = Draws(0);
        assert_eq!(known.bits(), 0xE220_A839_7B1D_CDAF);
    }

    /// Printed tables of the bell curve, four digits (an appendix of cumulative probabilities,
    /// 123docz.net/document/6808622; math.com/tables/stat/distributions/z-dist.htm; both read):
    /// below -z lies this much.
    #[test]
    fn quantiles_are_those_of_printed_tables() {
        for (z, below) in [
            (0.25, 0.4013),
            (0.52, 0.3015),
            (1.00, 0.1587),
            (1.20, 0.1151),
            (1.28, 0.1003),
            (1.29, 0.0985),
            (2.00, 0.0228),
            (2.50, 0.00621),
            (2.80, 0.00256),
            (3.00, 0.00135),
        ] {
            // By the last digit of the table at the curve's own height there.
            let slack = 0.00006 / (0.3989 * f64::exp(-z * z / 2.0));
            assert!((normal_quantile(below) + z).abs() < slack, "{z}: {}", normal_quantile(below));
            assert!((normal_quantile(1.0 - below) - z).abs() < slack, "{z}");
        }
        assert!((normal_quantile(0.9) - 1.282).abs() < 5e-4 && normal_quantile(0.5).abs() < 1e-12);
        for x in [1e-300, 1e-9, 0.0003, 0.2, 0.75, 1.0, 1.5, 77.0] {
            assert!((ln(x) - f64::ln(x)).abs() <= 1e-13 * f64::ln(x).abs().max(1.0), "{x}");
        }
    }

    #[test]
    fn a_name_sets_the_order_and_nothing_else() {
        let bell = Bell::of(1000);
        let (a, b) = (bell.named("lot a"), bell.named("lot b"));
        assert_eq!(a, bell.named("lot a"));
        assert_ne!(a, b);
        let sorted = |mut of: Vec<f64>| {
            of.sort_by(f64::total_cmp);
            of
        };
        assert_eq!(sorted(a.clone()), sorted(b.clone()));
        let together: f64 = a.iter().zip(&b).map(|(a, b)| a * b).sum::<f64>() / 1000.0;
        assert!(together.abs() < 4.0 / 1000f64.sqrt(), "{together}");
    }
}
