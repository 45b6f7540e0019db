//! Several reports of one field or lot: each counts from its own day on. Two of
//! the same day that say different things are an error; nothing is guessed
//! between them.

use crate::farm::dated::Dated;
use crate::farm::files::MAIN;
use crate::farm::labs::block::ReportForm;
use crate::farm::labs::report::Report;
use crate::findings::{Finding, Findings};

/// The reports of a field or lot, each once: those of farm.yaml and of the files.
pub(super) fn settled<R: Report>(
    form: &ReportForm,
    id: &str,
    own: Dated<R>,
    filed: Vec<R>,
    findings: &mut Findings,
) -> Dated<R> {
    // The file's stands before the farm's own of the same day.
    let all = filed.into_iter().map(|r| (false, r)).chain(own.into_list().into_iter().map(|r| (true, r)));
    let mut kept: Vec<(bool, R)> = Vec::new();
    for (own, report) in all {
        let Some((own_first, first)) = kept.iter().find(|(_, r)| r.day().value == report.day().value) else {
            kept.push((own, report));
            continue;
        };
        if agree(form, id, first, &report, findings) && own != *own_first {
            let day = first.day();
            let found = format!(
                "{} {id} has the {} of {} in {MAIN} and in a file; the one in the file is used",
                form.id, form.report, day.value
            );
            findings.push(
                Finding::note("report-used", &day.place, found)
                    .accepts("every report once")
                    .fix("take one of the two out; they say the same")
                    .also(&report.day().place, "the other one"),
            );
        }
    }
    Dated::new(kept.into_iter().map(|(_, report)| report).collect())
}

/// Whether two reports of a day say the same.
fn agree<R: Report>(form: &ReportForm, id: &str, first: &R, second: &R, findings: &mut Findings) -> bool {
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
        return true;
    }
    let day = second.day();
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
            .also(&first.day().place, "the other one"),
    );
    false
}
