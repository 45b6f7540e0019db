//! Nitrogen, phosphate and potash, in that order everywhere.

/// One of each.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Npk<T> {
    /// Nitrogen.
    pub n: T,
    /// Phosphate, P2O5.
    pub p2o5: T,
    /// Potash, K2O.
    pub k2o: T,
}

impl<T: Copy> Npk<T> {
    /// The same three, each changed.
    pub fn map<U>(self, change: impl Fn(T) -> U) -> Npk<U> {
        Npk { n: change(self.n), p2o5: change(self.p2o5), k2o: change(self.k2o) }
    }

    /// Two threes, one by one.
    pub fn with<U: Copy, V>(self, other: Npk<U>, join: impl Fn(T, U) -> V) -> Npk<V> {
        Npk { n: join(self.n, other.n), p2o5: join(self.p2o5, other.p2o5), k2o: join(self.k2o, other.k2o) }
    }
}
