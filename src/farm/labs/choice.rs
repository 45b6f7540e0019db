//! Which of several reports holds: the newest. Two of the same day that say
//! different things are an error; nothing is guessed between them.

use crate::farm::files::MAIN;
use crate::farm::labs::block::ReportForm;
use crate::farm::labs::report::Report;
use crate::findings::{Finding, Findings};

/// The report that holds, out of the one in farm.yaml and those of the files.
pub(super) fn settled<R: Report>(
    form: &ReportForm,
    id: &str,
    own: Option<R>,
    filed: Vec<R>,
    findings: &mut Findings,
) -> Option<R> {
    let both = own.is_some() && !filed.is_empty();
    // The file's stands before the farm's own of the same day.
    let mut all: Vec<(bool, R)> = filed.into_iter().map(|r| (false, r)).chain(own.map(|r| (true, r))).collect();
    for (i, (_, first)) in all.iter().enumerate() {
        let of_that_day = |(_, r): &&(bool, R)| r.sampled().value == first.sampled().value;
        if let Some((_, second)) = all[i + 1..].iter().find(of_that_day) {
            agree(form, id, first, second, findings);
        }
    }
    let newest = all.iter().map(|(_, r)| r.sampled().value).max()?;
    let at = all.iter().position(|(_, r)| r.sampled().value == newest)?;
    let (own, held) = all.swap_remove(at);
    let other = all.iter().filter(|(o, _)| *o != own).max_by_key(|(_, r)| r.sampled().value);
    if let Some((_, other)) = other.filter(|_| both) {
        let day = held.sampled();
        let found = format!(
            "{} {id} has a {} in {MAIN} and one in a file; the one of {} is used",
            form.id, form.report, day.value
        );
        findings.push(
            Finding::note("report-used", &day.place, found)
                .accepts("the newer of the two; on the same day that of the file")
                .fix("take the other one out once you no longer need it")
                .also(&other.sampled().place, format!("the other is of {}", other.sampled().value)),
        );
    }
    Some(held)
}

fn agree<R: Report>(form: &ReportForm, id: &str, first: &R, second: &R, findings: &mut Findings) {
    let (a, b) = (first.says(), second.says());
    let word = |list: &[(&str, String)], key: &str| {
        list.iter().find(|(k, _)| *k == key).map_or("nothing".to_string(), |(_, value)| value.clone())
    };
    let mut keys: Vec<&str> = a.iter().chain(&b).map(|(key, _)| *key).collect();
    keys.sort_unstable();
    keys.dedup();
    let apart: Vec<String> = keys
        .into_iter()
        .filter(|key| word(&a, key) != word(&b, key))
        .map(|key| format!("{key} is {} and {}", word(&a, key), word(&b, key)))
        .collect();
    if apart.is_empty() {
        return;
    }
    let day = second.sampled();
    let found = format!(
        "{} {id}: two {} of {} disagree: {}",
        form.id,
        form.report.replace("test", "tests").replace("analysis", "analyses"),
        day.value,
        apart.join("; ")
    );
    findings.push(
        Finding::error("reports-disagree", &day.place, found)
            .accepts("one report of a day, or several that say the same")
            .fix("check the laboratory's report and take the wrong one out")
            .also(&first.sampled().place, "the other one"),
    );
}
