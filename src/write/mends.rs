//! What papers that a farm is wanting would bring, on a terminal.

use crate::plan::{Mend, Mends, Outcome, Paper};
use crate::units::number_text;
use crate::write::choice::worth;
use crate::write::page::Page;

/// A line for each paper that was priced, the dearest first.
pub(super) fn worth_mending(page: &mut Page, mends: &Mends) {
    let lines: Vec<String> = mends.priced.iter().filter_map(|mend| line(mend, mends.in_dollars)).collect();
    if lines.is_empty() {
        return;
    }
    page.heading("WHAT A NEW TEST OR RATING WOULD GAIN, each by itself");
    lines.into_iter().for_each(|line| page.item(line));
    let papers = |count: usize| if count == 1 { "1 more paper".to_string() } else { format!("{count} more papers") };
    if mends.less > 0 {
        page.item(format!("{} would gain no more than the last of these.", papers(mends.less)));
    }
    if mends.others > 0 {
        let are = if mends.others == 1 { "is" } else { "are" };
        page.item(format!(
            "{} {are} not priced: their fields are short of no more than these: `sward check`.",
            papers(mends.others)
        ));
    }
}

fn line(mend: &Mend, in_dollars: bool) -> Option<String> {
    let Outcome::Plan { tons, gain } = mend.then else { return None };
    let of = &mend.of;
    let paper = match mend.paper {
        Paper::SoilTest => format!("A new soil test of {of}, if it reads like the old one"),
        Paper::Rating => format!("A phosphorus rating of {of}, if it comes out low"),
        Paper::SoilTestAndRating => {
            format!("A new soil test of {of} that reads like the old one, and a phosphorus rating that comes out low")
        }
        Paper::Sample => format!("A new sample of lot {of}, if it reads like the old one"),
    };
    let then = match (gain > 0.0, tons) {
        (false, _) => "would gain nothing".to_string(),
        (true, 0.0) => format!("would gain {}", worth(gain, in_dollars)),
        (true, tons) => {
            let more = if tons > 0.0 { "more" } else { "less" };
            format!("would gain {}, with {} tons {more} spread", worth(gain, in_dollars), number_text(tons.abs(), 2))
        }
    };
    Some(format!("{paper}, {then}."))
}
