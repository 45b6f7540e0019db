//! Who is sure of values that lie far from what is usual: the block `sure:`,
//! which stands beside them.

use crate::findings::{At, Findings};
use crate::text::{Node, Walker};
use jiff::civil::Date;

/// Somebody who is sure of the values of a block.
#[derive(Clone, Debug, PartialEq)]
pub struct Sure {
    /// Who.
    pub by: String,
    /// Since when.
    pub on: At<Date>,
}

/// The block under `sure`, when there is one.
pub(super) fn read(walk: &Walker<'_>, findings: &mut Findings) -> Option<Sure> {
    walk.ask("sure").and_then(|node| sure(node, findings))
}

fn sure(node: &Node, findings: &mut Findings) -> Option<Sure> {
    let walk = Walker::new("the block `sure`", node, findings)?;
    let by = walk.need_name("by", "the name of whoever looked and is sure", findings);
    let on = walk.need_date("on", findings);
    walk.finish(findings);
    Some(Sure { by: by?.value, on: on? })
}
