//! Figures that the grower gives where the tables of the place hold none,
//! each with who said so and when.

use crate::findings::{At, Finding, Findings};
use crate::text::{Kind, Node, Walker, key_of};
use crate::units::number;
use jiff::civil::Date;

/// A figure of the farm's own.
#[derive(Clone, Debug, PartialEq)]
pub struct WrittenFigure {
    /// What kind of figure.
    pub topic: At<String>,
    /// What it applies to, as keys of the tables.
    pub applies: Vec<(At<String>, String)>,
    /// The number.
    pub value: At<f64>,
    /// Its unit.
    pub unit: String,
    /// Who said so.
    pub by: String,
    /// When.
    pub on: At<Date>,
}

pub(super) fn read(node: &Node, findings: &mut Findings) -> Option<WrittenFigure> {
    let walk = Walker::new("the figure", node, findings)?;
    let topic = walk.need_text("topic", "a topic, as `sward tables` lists them", findings);
    let applies = walk.ask("applies").map_or(Some(Vec::new()), |node| applies(node, findings));
    let value = walk.need_text("value", "a number and its unit", findings).and_then(|t| value(t, findings));
    let by = walk.need_name("by", "who said so", findings);
    let on = walk.need_date("on", findings);
    walk.finish(findings);
    let (value, unit) = value?;
    Some(WrittenFigure { topic: topic?, applies: applies?, value, unit, by: by?.value, on: on? })
}

/// What the figure applies to; none when it is not said in a way that can be
/// read, because a figure that then held everywhere would be another one.
fn applies(node: &Node, findings: &mut Findings) -> Option<Vec<(At<String>, String)>> {
    let Kind::Map(entries) = &node.kind else {
        let found = format!("the figure: `applies` is {}", node.describe());
        findings.push(
            Finding::error("not-a-block", &node.place, found)
                .accepts("a block, as in `applies: {forage: tall_fescue}`")
                .fix("take it out when the figure holds for everything"),
        );
        return None;
    };
    let mut read = Vec::new();
    for (key, place, value) in entries {
        match value.scalar() {
            Some(word) => read.push((At { value: key.clone(), place: place.clone() }, key_of(word))),
            None => {
                let found = format!("the figure: `{key}` under `applies` is {}", value.describe());
                findings.push(Finding::error("not-text-value", place, found).accepts("a word, as in `tall_fescue`"));
            }
        }
    }
    (read.len() == entries.len()).then_some(read)
}

fn value(text: At<String>, findings: &mut Findings) -> Option<(At<f64>, String)> {
    let (digits, unit) = text.value.split_once(char::is_whitespace).unwrap_or((text.value.as_str(), ""));
    match number(digits).filter(|n| *n >= 0.0 && !unit.trim().is_empty()) {
        Some(value) => Some((At { value, place: text.place }, unit.trim().to_string())),
        None => {
            let found = format!("the figure: `value` is `{}`", text.value);
            findings.push(
                Finding::error("figure-value", &text.place, found)
                    .accepts("a number, not below 0, and its unit, as in `120 lb/ac`"),
            );
            None
        }
    }
}
