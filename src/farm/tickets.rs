//! How a scale's tickets are called in its file: the block `tickets:`. The
//! file itself is given to `sward log tickets`.

use crate::findings::{At, Finding, Findings, Place};
use crate::text::{Column, Kind, Node, Walker, columns};

/// The columns that `tickets:` may name.
pub const TICKET_COLUMNS: [&str; 11] =
    ["ticket", "date", "lot", "field", "gross", "tare", "net", "loads", "to", "from", "operator"];

/// The block `tickets:`.
#[derive(Clone, Debug, PartialEq)]
pub struct TicketNames {
    /// The columns.
    pub columns: Vec<Column>,
    /// What the scale calls a lot, where it is not the lot's own name.
    pub lots: Vec<(At<String>, At<String>)>,
    /// What the scale calls a field.
    pub fields: Vec<(At<String>, At<String>)>,
    /// Where the block starts.
    pub place: Place,
}

pub(super) fn read(node: &Node, findings: &mut Findings) -> Option<TicketNames> {
    let walk = Walker::new("the tickets", node, findings)?;
    let map = "a map of columns, as in `columns: {ticket: Ticket, date: Date, net: Net in lb}`";
    let columns = walk
        .need("columns", map, findings)
        .and_then(|node| columns(node, &TICKET_COLUMNS, findings).filter(|list| enough(node, list, findings)));
    let lots = names(&walk, "lots", findings);
    let fields = names(&walk, "fields", findings);
    let place = walk.place().clone();
    walk.finish(findings);
    Some(TicketNames { columns: columns?, lots: lots?, fields: fields?, place })
}

/// A ticket has its number and day, and either a net weight or what makes it.
fn enough(node: &Node, list: &[Column], findings: &mut Findings) -> bool {
    let named = |key: &str| list.iter().any(|c| c.key == key);
    let mut sound = true;
    for (there, found, fix) in [
        (named("ticket"), "the columns: `ticket` is missing", "add the column with the number of the ticket"),
        (named("date"), "the columns: `date` is missing", "add the column with the day of the weighing"),
        (
            named("net") || named("gross") && named("tare"),
            "the columns: there is neither `net` nor both `gross` and `tare`",
            "add the column with the weight of the litter, for example `net: Net in lb`",
        ),
    ] {
        if !there {
            sound = false;
            findings.push(
                Finding::error("key-missing", &node.place, found)
                    .accepts("`ticket`, `date`, and `net` or both `gross` and `tare`")
                    .fix(fix),
            );
        }
    }
    sound
}

/// Names by id, as `{clean-out: "BROILER LITTER"}`.
fn names(walk: &Walker<'_>, key: &'static str, findings: &mut Findings) -> Option<Vec<(At<String>, At<String>)>> {
    named(walk, key, "ids and what the file calls them, as in `{clean-out: \"LITTER\"}`", findings)
}

/// Words by id under a key; none when something in it cannot be read.
pub(super) fn named(
    walk: &Walker<'_>,
    key: &'static str,
    accepts: &str,
    findings: &mut Findings,
) -> Option<Vec<(At<String>, At<String>)>> {
    let Some(node) = walk.ask(key) else { return Some(Vec::new()) };
    let Kind::Map(entries) = &node.kind else {
        let found = format!("`{key}` is {}", node.describe());
        findings.push(Finding::error("not-a-block", &node.place, found).accepts(accepts));
        return None;
    };
    let mut all = Vec::new();
    for (id, place, name) in entries {
        match name.scalar() {
            Some(text) => all.push((
                At { value: id.trim().to_string(), place: place.clone() },
                At { value: text.trim().to_string(), place: name.place.clone() },
            )),
            None => {
                let found = format!("`{key}`: `{id}` is {}", name.describe());
                findings.push(Finding::error("not-text-value", &name.place, found).accepts(accepts));
            }
        }
    }
    (all.len() == entries.len()).then_some(all)
}
