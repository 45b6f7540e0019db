//! How a number that is not read as it is used shows it: a sign behind it, and what
//! the signs mean.

use crate::balance::NOT_KNOWN;
use crate::findings::{Cite, Known};
use crate::plan::answer::Plan;
use crate::write::page::Page;
use std::collections::{BTreeMap, BTreeSet};

/// A text with its sign; what is no number stays as it is.
pub(super) fn signed(text: String, known: Known) -> String {
    if text == "-" || text == NOT_KNOWN { text } else { text + known.sign() }
}

/// What the signs of a table mean: only those that stand in it; none where none do.
pub(super) fn legend(all: impl IntoIterator<Item = Known>) -> Option<String> {
    let weak: BTreeSet<Known> = all.into_iter().filter(|known| known.is_weak()).collect();
    let each: Vec<String> = weak.iter().rev().map(|known| format!("{} {}", known.sign(), known.meaning())).collect();
    (!each.is_empty()).then(|| format!("Signs show what a number relies on: {}.", each.join("; ")))
}

/// Which figures the plan rests on that are not read as they are used: by topic, with
/// their count.
pub(super) fn relies_on(page: &mut Page, plan: &Plan) {
    let by_topic = |cites: &[Cite]| {
        let mut topics: BTreeMap<&str, usize> = BTreeMap::new();
        for cite in cites {
            *topics.entry(cite.figure.split('.').next().unwrap_or(&cite.figure)).or_default() += 1;
        }
        topics.iter().map(|(topic, n)| format!("{topic} ({n})")).collect::<Vec<_>>().join(", ")
    };
    if !plan.from_memory.is_empty() {
        page.item(format!(
            "Relies on figures from memory, not read in their source: {}. Check them first; `sward why FIELD` marks each.",
            by_topic(&plan.from_memory)
        ));
    }
    if !plan.applied.is_empty() {
        page.item(format!(
            "Relies on figures that were read, but printed for another use, place or condition: {}. `sward why FIELD` says for which.",
            by_topic(&plan.applied)
        ));
    }
    // By who said it and when: the figures of one topic in one word.
    let mut said: BTreeMap<(String, String), BTreeMap<&str, usize>> = BTreeMap::new();
    for cite in &plan.said {
        let by = (cite.publisher.clone(), cite.year.to_string());
        *said.entry(by).or_default().entry(cite.figure.rsplit('/').next().unwrap_or(&cite.figure)).or_default() += 1;
    }
    for ((by, year), figures) in said {
        let name = |(figure, n): (&str, usize)| if n > 1 { format!("{figure} ({n})") } else { figure.to_string() };
        let names: Vec<String> = figures.into_iter().map(name).collect();
        page.item(format!("Relies on the farm's own {}, given by {by}, {year}.", names.join(", ")));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_legend_names_only_the_signs_that_stand_there_the_worst_first() {
        assert_eq!(legend([Known::Read, Known::Read]), None);
        assert_eq!(
            legend([Known::Applied, Known::Read, Known::Memory, Known::Applied]).as_deref(),
            Some(
                "Signs show what a number relies on: ? from memory, not read; ~ printed for another use, place or condition."
            )
        );
        let all = [Known::Said, Known::Applied, Known::CommonPractice, Known::Memory];
        let signs: BTreeSet<&str> = all.map(Known::sign).into_iter().collect();
        assert_eq!(signs.len(), all.len());
    }

    #[test]
    fn a_dash_is_no_number() {
        assert_eq!(signed("-".to_string(), Known::Memory), "-");
        assert_eq!(signed(NOT_KNOWN.to_string(), Known::Memory), NOT_KNOWN);
        assert_eq!(signed("52".to_string(), Known::Applied), "52~");
        assert_eq!(signed("52".to_string(), Known::Read), "52");
    }
}
