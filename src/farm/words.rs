//! The words a grower may choose from where the program must tell them apart.

use crate::findings::{At, Findings};
use crate::text::{Walker, choice};
use serde::Serialize;

macro_rules! words {
    ($($(#[$doc:meta])* $Name:ident, $what:literal { $($(#[$vdoc:meta])* $Variant:ident = $word:literal),+ $(,)? })+) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
        #[serde(rename_all = "snake_case")]
        pub enum $Name { $($(#[$vdoc])* $Variant),+ }

        impl $Name {
            /// What the word stands for, in messages.
            pub const WHAT: &'static str = $what;
            /// Every word that is accepted.
            pub const WORDS: &'static [&'static str] = &[$($word),+];

            /// The choice with this word; case, spaces and dashes do not count.
            #[must_use]
            pub fn named(word: &str) -> Option<$Name> {
                let key = crate::text::key_of(word);
                $(if key == crate::text::key_of($word) { return Some($Name::$Variant); })+
                None
            }

            /// The choice under a key that must be there.
            pub fn need(walk: &Walker<'_>, key: &'static str, findings: &mut Findings) -> Option<At<$Name>> {
                let or = if $Name::WORDS.len() == 2 { " or " } else { ", " };
                walk.need_text(key, &$Name::WORDS.join(or), findings).and_then(|text| $Name::read(text, findings))
            }

            /// The choice under a key that may be left out.
            pub fn may(walk: &Walker<'_>, key: &'static str, findings: &mut Findings) -> Option<At<$Name>> {
                walk.text(key, findings).and_then(|text| $Name::read(text, findings))
            }

            /// The choice that a text names.
            pub(super) fn read(text: At<String>, findings: &mut Findings) -> Option<At<$Name>> {
                choice(text, $Name::WHAT, $Name::WORDS, $Name::named, findings)
            }

            /// The word as a person writes it.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $($Name::$Variant => $word),+ }
            }

            /// The word as a key of the tables.
            #[must_use]
            pub fn key(self) -> String {
                crate::text::key_of(self.word())
            }
        }
    )+};
}

words! {
    /// Whether a count came before or after what else moved on its day.
    CountOrder, "order of the count" {
        /// Counted first: what moved on that day is not in it.
        Before = "before",
        /// Counted last: what moved on that day is in it.
        After = "after",
    }
    /// What becomes of the forage.
    Use, "use" {
        /// Cut and carried off.
        Hay = "hay",
        /// Grazed where it stands.
        Pasture = "pasture",
        /// Cut first, grazed after.
        HayThenGrazed = "hay then grazed",
        /// Cut for its grain, which is carried off.
        Grain = "grain",
    }
    /// The fungus in a stand of tall fescue.
    Endophyte, "endophyte" {
        /// Makes the toxin that harms cattle and mares.
        Toxic = "toxic",
        /// Makes none.
        Novel = "novel",
        /// There is none.
        Free = "free",
        /// Nobody had it tested.
        Unknown = "unknown",
    }
    /// The soil's texture, as nitrogen rates tell it apart.
    Texture, "texture" {
        /// Loam, silt loam, clay loam, clay.
        Fine = "fine",
        /// Sand, loamy sand, sandy loam.
        Sandy = "sandy",
    }
    /// Where a lot lies.
    Stored, "place of storage" {
        /// Under a roof.
        Shed = "shed",
        /// Outside under a cover.
        OutsideCovered = "outside covered",
        /// Outside in the open.
        OutsideUncovered = "outside uncovered",
    }
    /// The form of a pile.
    PileShape, "shape of a pile" {
        /// A round heap.
        Cone = "cone",
        /// A long heap.
        Windrow = "windrow",
        /// Between walls.
        Bin = "bin",
    }
    /// What was taken out of a house.
    Taken, "litter taken out" {
        /// All of it.
        Whole = "whole",
        /// The crust under the drinker lines.
        Cake = "cake",
    }
    /// What a laboratory's contents refer to.
    Basis, "basis" {
        /// Per ton of litter as it came.
        AsReceived = "as received",
        /// Per ton of dry matter.
        Dry = "dry",
    }
    /// A planner's site risk rating for phosphorus.
    Rating, "phosphorus rating" {
        /// Low.
        Low = "low",
        /// Medium.
        Medium = "medium",
        /// High.
        High = "high",
        /// Very high.
        VeryHigh = "very high",
    }
}

/// What a field may have to keep away from: the `kind` of a keep-out.
pub const FEATURES: &[&str] = &[
    "perennial stream",
    "intermittent stream",
    "ditch",
    "pond",
    "wetland",
    "well",
    "spring",
    "sinkhole",
    "tile intake",
    "dwelling",
    "public building",
    "road",
    "property line",
    "rock outcrop",
    "steep ground",
];

impl Use {
    /// Whether stock comes on it.
    #[must_use]
    pub fn is_grazed(self) -> bool {
        matches!(self, Use::Pasture | Use::HayThenGrazed)
    }

    /// What is carried off by the ton.
    #[must_use]
    pub fn yields(self) -> &'static str {
        if self == Use::Grain { "grain" } else { "hay" }
    }

    /// What its yield goal is counted in.
    #[must_use]
    pub fn goal(self) -> &'static str {
        if self == Use::Grain { "yield goal, grain" } else { "yield goal, dry hay" }
    }
}

/// The words for whose a thing is.
pub const OWNERS: &[&str] = &["own", "neighbor"];

/// What a word of [`OWNERS`] says.
#[must_use]
pub fn is_neighbor(word: &str) -> Option<bool> {
    match word {
        "own" => Some(false),
        "neighbor" | "neighbour" => Some(true),
        _ => None,
    }
}
