//! The list of findings: collected in any order, shown by file and line.

use crate::findings::finding::{Finding, Severity};

/// So many findings are many; fewer of them are shown.
const MANY: usize = 200;

/// Findings of one run.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Findings(Vec<Finding>);

impl FromIterator<Finding> for Findings {
    fn from_iter<T: IntoIterator<Item = Finding>>(list: T) -> Findings {
        Findings(list.into_iter().collect())
    }
}

impl From<Finding> for Findings {
    fn from(finding: Finding) -> Findings {
        Findings(vec![finding])
    }
}

impl Findings {
    /// An empty list.
    #[must_use]
    pub fn new() -> Findings {
        Findings::default()
    }

    /// Adds one.
    pub fn push(&mut self, finding: Finding) {
        self.0.push(finding);
    }

    /// Adds all of another list.
    pub fn extend(&mut self, other: Findings) {
        self.0.extend(other.0);
    }

    /// Whether any of them stops the plan.
    #[must_use]
    pub fn has_errors(&self) -> bool {
        self.count(Severity::Error) > 0
    }

    /// How many there are of one severity.
    #[must_use]
    pub fn count(&self, severity: Severity) -> usize {
        self.0.iter().filter(|f| f.severity == severity).count()
    }

    /// Whether there are so many already that nobody reads another one to its
    /// end: no near word is sought for it, and no list of known ones is made.
    #[must_use]
    pub fn are_many(&self) -> bool {
        self.0.len() >= MANY
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// All of them, errors first, then by file, line and column; the same
    /// finding twice is shown once.
    #[must_use]
    pub fn sorted(&self) -> Vec<&Finding> {
        let mut all: Vec<&Finding> = self.0.iter().collect();
        all.sort_by(|a, b| (a.severity, &a.place, &a.code, &a.found).cmp(&(b.severity, &b.place, &b.code, &b.found)));
        all.dedup();
        all
    }
}
