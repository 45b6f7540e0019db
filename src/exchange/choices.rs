//! What the user chose: what a thing is, and what is left out.

use crate::exchange::given::Given;
use crate::exchange::kinds::{self, Kind};
use crate::findings::{Finding, Findings, Place};
use crate::text::same_name;
use geo::Coord;
use std::collections::BTreeSet;

/// What is made of the files.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Take {
    /// The fields with their gates, and the stacks.
    #[default]
    Fields,
    /// What litter keeps away from.
    KeepOuts,
    /// Everything.
    Both,
}

/// What the user asks for.
#[derive(Clone, Debug, Default)]
pub struct Options {
    /// The property that holds the ids.
    pub id_from: Option<String>,
    /// Longitude and latitude near which the farm lies.
    pub near: Option<Coord<f64>>,
    /// Whether boundaries that cross themselves or lie over themselves are put in order.
    pub fix: bool,
    /// Whether lines are closed into areas.
    pub close: bool,
    /// What is made of the files.
    pub take: Take,
    /// Names of features, values, folders, layers or files, each with what they are.
    pub kinds: Vec<(String, String)>,
    /// What all else is.
    pub rest: Option<String>,
    /// Names or kinds of what alone is taken; everything where there are none.
    pub only: Vec<String>,
    /// Names or kinds of what is left out.
    pub leave_out: Vec<String>,
}

/// The options of the user, each with whether anything met it.
pub(super) struct Choices<'o> {
    kinds: Vec<(&'o str, &'static Kind)>,
    /// What all else is.
    pub(super) rest: Option<&'static Kind>,
    only: &'o [String],
    leave_out: &'o [String],
    met: BTreeSet<&'o str>,
}

impl<'o> Choices<'o> {
    /// Reads the options; a word that is none is told.
    pub(super) fn new(options: &'o Options, findings: &mut Findings) -> Choices<'o> {
        let mut known = |option: &str, word: &str| {
            let kind = kinds::named(word);
            if kind.is_none() {
                let found = format!("{option}: `{word}` is not a kind of thing");
                let finding = Finding::error("import-choice", &Place::default(), found).accepts(kinds::accepted());
                findings.push(finding.near(word, kinds::kinds().iter().map(|kind| kind.kind.as_str())));
            }
            kind
        };
        let rest = options.rest.as_ref().and_then(|word| known("--rest", word));
        let of = |(name, word): &'o (String, String)| Some((name.as_str(), known("--kind", word)?));
        let kinds = options.kinds.iter().filter_map(of).collect();
        Choices { kinds, rest, only: &options.only, leave_out: &options.leave_out, met: BTreeSet::new() }
    }

    /// What the user says that a feature is; the nearest of its names counts.
    pub(super) fn kind(&mut self, given: &Given) -> Option<&'static Kind> {
        let chosen = &self.kinds;
        let (name, kind) =
            given.names().find_map(|own| chosen.iter().find(|(name, _)| same_name(name, own)).copied())?;
        self.met.insert(name);
        Some(kind)
    }

    /// Whether the user leaves a feature out that is of this kind, or of none that is known.
    pub(super) fn left_out(&mut self, given: &Given, kind: Option<&Kind>) -> bool {
        let speaks = |what: &&'o String| {
            let drawn = match what.to_lowercase().as_str() {
                "points" => given.only_points(),
                "lines" => !given.lines.is_empty(),
                "areas" => given.has_areas(),
                _ => false,
            };
            // A kind's word, also in the plural, speaks of the kind.
            let of_kind = kind.is_some_and(|kind| {
                kinds::named(what).is_some_and(|own| own == kind)
                    || what.strip_suffix('s').and_then(kinds::named).is_some_and(|own| own == kind)
            });
            drawn || of_kind || given.names().any(|own| same_name(what, own))
        };
        let out: Vec<&str> = self.leave_out.iter().filter(speaks).map(String::as_str).collect();
        let only: Vec<&str> = self.only.iter().filter(speaks).map(String::as_str).collect();
        self.met.extend(out.iter().chain(&only));
        !out.is_empty() || (!self.only.is_empty() && only.is_empty())
    }

    /// Tells the names that nothing met: a slip of the pen would else leave out nothing, or all.
    pub(super) fn unmet(&self, all: &[Given], findings: &mut Findings) {
        let of_kinds = self.kinds.iter().map(|(name, _)| ("--kind", *name));
        let out = self.leave_out.iter().map(|name| ("--leave-out", name.as_str()));
        let only = self.only.iter().map(|name| ("--only", name.as_str()));
        for (option, name) in of_kinds.chain(out).chain(only).filter(|(_, name)| !self.met.contains(name)) {
            // A kind's word need not be in every file.
            if option != "--kind" && (kinds::named(name).is_some() || ["points", "lines", "areas"].contains(&name)) {
                continue;
            }
            let known: BTreeSet<&str> = all.iter().flat_map(Given::names).collect();
            let list: Vec<String> = known.iter().take(20).map(|name| format!("`{name}`")).collect();
            let found = format!("{option}: no feature, value, folder, layer or file is called `{name}`");
            findings.push(
                Finding::error("import-choice", &Place::default(), found)
                    .accepts(list.join(", "))
                    .fix("copy a name from the file")
                    .near(name, known.iter().copied()),
            );
        }
    }
}
