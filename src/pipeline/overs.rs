//! The two lists of what the log is over by, the program's own and the audit's, held against
//! each other. Each is made by its own code, and only what they say is compared.

use crate::audit::{Reason, Verdict};
use crate::findings::Finding;
use crate::plan;

/// Amounts are shown to the tenth by one list and to the hundredth by the other.
const SHOWN: f64 = 0.051;

/// What one list says of an over: how much is on; none where no litter is allowed at all.
type On = Option<f64>;

/// Where the two lists differ on a field.
pub(super) fn differ(field: &Verdict, findings: &[Finding]) -> Option<Reason> {
    let head = format!("field {}: the log shows ", field.id);
    let of_log = findings.iter().filter_map(|f| Some((f, amount(f.found.strip_prefix(&head)?)?)));
    let (own, all): (Vec<On>, Vec<On>) = {
        let all: Vec<(&Finding, On)> = of_log.collect();
        let own = all.iter().filter(|(finding, _)| plan::is_over(finding)).map(|(_, on)| *on).collect();
        (own, all.into_iter().map(|(_, on)| on).collect())
    };
    let audited = field.log_over.iter().filter_map(|reason| reason.found.strip_prefix("the log puts on "));
    let audited: Vec<On> = audited.filter_map(amount).collect();
    // What is over for all years the program tells in another list of its own.
    let (left_out, more) = (missing(&own, &audited), missing(&audited, &all));
    let found = match (left_out.as_slice(), more.as_slice()) {
        ([], []) => return None,
        (left_out, []) => {
            format!("the audit does not find what the plan says that the log is over by: {}", said(left_out))
        }
        ([], more) => format!("the plan does not say what the audit finds that the log is over by: {}", said(more)),
        (left_out, more) => format!(
            "the plan says that the log is over by {}, and the audit finds {} instead",
            said(left_out),
            said(more)
        ),
    };
    let found = format!("{found}; this is a fault of the program: please report it with the farm folder");
    Some(Reason { code: "log-lists".to_string(), found })
}

/// How much is on, by the words behind the head of a sentence; none where it says no such thing.
fn amount(rest: &str) -> Option<On> {
    if rest.starts_with("litter") {
        return Some(None);
    }
    let (on, _) = rest.split_once(' ')?;
    on.replace(',', "").parse().ok().map(Some)
}

/// What one list has and the other does not.
fn missing(of: &[On], by: &[On]) -> Vec<On> {
    let same = |one: &On, other: &On| match (one, other) {
        (Some(one), Some(other)) => (one - other).abs() < SHOWN,
        (one, other) => one.is_none() && other.is_none(),
    };
    of.iter().filter(|one| !by.iter().any(|other| same(one, other))).copied().collect()
}

fn said(list: &[On]) -> String {
    let one = |on: &On| on.map_or("litter where none is allowed".to_string(), |on| format!("{on} on the ground"));
    list.iter().map(one).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::findings::Place;

    fn verdict(found: &[&str]) -> Verdict {
        let reason = |found: &&str| Reason { code: "log-over".to_string(), found: (*found).to_string() };
        Verdict {
            id: "A".to_string(),
            name: String::new(),
            passes: true,
            rate: None,
            reasons: Vec::new(),
            log_over: found.iter().map(reason).collect(),
            rating: Vec::new(),
        }
    }

    fn over(code: &'static str, found: &str) -> Finding {
        Finding::warning(code, &Place::file("log.csv"), format!("field A: the log shows {found}"))
    }

    #[test]
    fn two_lists_that_say_the_same_are_no_fault() {
        let own = [
            over("logged-over", "1,112.0 lb/ac of P2O5 in 2027, and 3.0 are allowed: 9.0 too much"),
            over("logged-barred", "litter, and none is allowed: the ditch is open"),
            over("logged-part", "4 of 10 ac"),
            over("metal-total", "30.0 lb/ac of zinc over all years, and 20.0 may ever go on"),
        ];
        let audited = [
            "1112.04 lb/ac of P2O5 in 2027 where the most is 3.04",
            "litter where none is allowed",
            "30.02 lb/ac of zinc in all where the most is 20.00",
        ];
        assert_eq!(differ(&verdict(&audited), &own), None);
        assert_eq!(differ(&verdict(&audited[..2]), &own), None);
        // Of another field.
        let other = Finding::warning("logged-over", &Place::file("log.csv"), "field AB: the log shows 3 lb/ac of N");
        assert_eq!(differ(&verdict(&[]), &[other]), None);
    }

    #[test]
    fn what_one_list_leaves_out_is_a_fault() {
        let own = [over("logged-over", "12.0 lb/ac of P2O5 in 2027, and 3.0 are allowed: 9.0 too much")];
        let left_out = differ(&verdict(&[]), &own);
        assert!(
            left_out
                .is_some_and(|reason| reason.found.contains("the audit does not find") && reason.found.contains("12"))
        );
        let more =
            differ(&verdict(&["12.04 lb/ac of P2O5 in 2027 where the most is 3.00", "9.00 tons/ac of litter"]), &own);
        assert!(
            more.is_some_and(|reason| reason.found.contains("the plan does not say") && reason.found.contains("9 on"))
        );
        let other = differ(&verdict(&["14.00 lb/ac of P2O5 in 2027 where the most is 3.00"]), &own);
        assert!(other.is_some_and(|reason| reason.found.contains("instead")));
    }
}
