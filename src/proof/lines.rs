//! The steps of a certificate as lines of text.

/// One step.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Step {
    /// Prices of the rows: what loses too much by them is dropped.
    Prices(Vec<i64>),
    /// The part is cut in two; the low one comes first.
    Split(Split),
    /// The part is closed.
    End,
}

/// How a part is cut in two: by how much of a row the ways of a group use.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Split {
    /// Which group.
    pub group: usize,
    /// Which row.
    pub row: usize,
    /// The most that ways of the low part use.
    pub limit: i64,
}

/// A step in words: `prices 12 0 7`, `split 3 1 24000`, `end`.
#[must_use]
pub fn write(step: &Step) -> String {
    match step {
        Step::Prices(prices) => prices.iter().fold("prices".to_string(), |text, price| format!("{text} {price}")),
        Step::Split(Split { group, row, limit }) => format!("split {group} {row} {limit}"),
        Step::End => "end".to_string(),
    }
}

/// Reads a step; none where the text is no step.
#[must_use]
pub fn read(text: &str) -> Option<Step> {
    let mut words = text.split(' ');
    match words.next()? {
        "prices" => Some(Step::Prices(words.map(|word| word.parse().ok()).collect::<Option<_>>()?)),
        "split" => {
            let (group, row, limit) = (words.next()?, words.next()?, words.next()?);
            let split = Split { group: group.parse().ok()?, row: row.parse().ok()?, limit: limit.parse().ok()? };
            words.next().is_none().then_some(Step::Split(split))
        }
        "end" => words.next().is_none().then_some(Step::End),
        _ => None,
    }
}
