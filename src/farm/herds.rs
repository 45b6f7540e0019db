//! The herds and flocks of `livestock:`, and what their words say they are.

use crate::farm::numbers::need_whole;
use crate::findings::{At, Findings};
use crate::text::{Node, Walker};
use crate::units::Weight;

/// Words that say that a herd is sheep, which copper harms most.
const SHEEP: [&str; 6] = ["sheep", "ewe", "lamb", "ram", "wether", "hogget"];
/// Words that say that it is cattle.
const CATTLE: [&str; 10] = ["cattle", "cow", "calf", "calve", "steer", "stocker", "heifer", "bull", "beef", "yearling"];
/// Words that say that it is kept for its calves, and those that say it is kept for milk.
const COWS: [&str; 2] = ["cow", "pair"];
const MILK: [&str; 3] = ["dairy", "milk", "milking"];

/// A herd or flock.
#[derive(Clone, Debug, PartialEq)]
pub struct Herd {
    /// Kind, as written.
    pub kind: String,
    /// Head.
    pub head: At<u32>,
    /// Live weight that a head gains on the farm in a year and takes off it.
    pub gain: Option<At<Weight>>,
    /// Ids of the fields it grazes.
    pub fields: Vec<At<String>>,
}

pub(super) fn read(node: &Node, findings: &mut Findings) -> Option<Herd> {
    let walk = Walker::new("the herd", node, findings)?;
    let kind = walk.need_text("kind", "stocker cattle, cow-calf pairs, ewes, ...", findings);
    let head = need_whole(&walk, "head", 0, i64::from(u32::MAX), findings);
    let gain = walk.quantity("gain", findings);
    let fields = walk.words("fields", findings);
    walk.finish(findings);
    Some(Herd { kind: kind?.value, head: head?, gain, fields })
}

impl Herd {
    /// Whether it grazes a field.
    #[must_use]
    pub fn grazes(&self, field: &str) -> bool {
        self.fields.iter().any(|own| own.value == field)
    }

    /// Whether it is sheep.
    #[must_use]
    pub fn is_sheep(&self) -> bool {
        is_sheep(&self.kind)
    }

    /// Whether it is cattle.
    #[must_use]
    pub fn is_cattle(&self) -> bool {
        says(&self.kind, &CATTLE)
    }

    /// Whether it is cows that are kept for their calves.
    #[must_use]
    pub fn is_cow_calf(&self) -> bool {
        says(&self.kind, &COWS) && !says(&self.kind, &MILK)
    }
}

/// Whether the word for some animals says that they are sheep.
#[must_use]
pub fn is_sheep(kind: &str) -> bool {
    says(kind, &SHEEP)
}

/// Whether one of a kind's words is among some, also in the plural.
fn says(kind: &str, words: &[&str]) -> bool {
    let kind = kind.to_lowercase();
    kind.split(|c: char| !c.is_alphabetic())
        .any(|word| words.contains(&word) || words.contains(&word.trim_end_matches('s')))
}
