//! What each feature is: a field, a gate, a stack, something to keep away from; by what the user
//! says, or else by the words of its attribute, its name, its folder, its layer and its file.
//!
//! Where these do not say it, or say two things, nothing is guessed: the feature is asked about.

use crate::exchange::choices::{Choices, Options, Take};
use crate::exchange::given::Given;
use crate::exchange::kinds::{self, Drawn, Goes, Kind};
use crate::exchange::phrase::{counted, listed};
use crate::exchange::rings;
use crate::findings::{Finding, Findings, Place, with_article};

/// Attributes that say what a thing is.
const KINDS: [&str; 9] =
    ["kind", "type", "class", "category", "feature", "featuretype", "feature_type", "feat_type", "ftype"];
/// Most features that are asked about one by one.
const MOST_ASKED: usize = 40;

/// The features by what they are.
#[derive(Default)]
pub(super) struct Sorted {
    /// Those that are fields.
    pub(super) fields: Vec<Given>,
    /// All others that were asked for.
    pub(super) things: Vec<(Given, &'static Kind)>,
}

/// What a feature is.
#[derive(Debug, PartialEq)]
enum Is {
    /// What the user, an attribute, a folder, a layer or a file says.
    Sure(&'static Kind),
    /// What its name alone says.
    Named(&'static Kind),
    /// Nothing says it.
    Unsaid,
    /// Several things are said.
    Several(String),
}

/// Sorts features into fields and things; what is asked for and what is left out is told.
pub(super) fn sort(mut all: Vec<Given>, options: &Options, findings: &mut Findings) -> Sorted {
    let mut choices = Choices::new(options, findings);
    let mut sorted = Sorted::default();
    let mut told = ToldAtOnce::default();
    let said: Vec<Is> = all.iter_mut().map(|given| is(given, &mut choices)).collect();
    let chosen_out: Vec<bool> = all
        .iter()
        .zip(&said)
        .map(|(given, is)| {
            let kind = match is {
                Is::Sure(kind) | Is::Named(kind) => Some(*kind),
                Is::Unsaid | Is::Several(_) => choices.rest,
            };
            choices.left_out(given, kind)
        })
        .collect();
    choices.unmet(&all, findings);
    for ((given, is), out) in all.into_iter().zip(said).zip(chosen_out) {
        if out {
            told.chosen.push(given);
            continue;
        }
        if given.empty() {
            let found = format!("{} has no geometry", given.label);
            let fix = format!("draw it again, take it out of the file, or {}", given.left_out_by());
            findings.push(Finding::error("import-empty", &given.place, found).fix(fix));
            continue;
        }
        match options.take {
            Take::Fields => for_fields(given, is, &choices, &mut sorted, &mut told, findings),
            Take::KeepOuts | Take::Both => strictly(given, is, options.take, &choices, &mut sorted, &mut told),
        }
    }
    told.tell(findings);
    sorted
}

/// Fields are wanted: an area or a line is one unless something else is said of it.
fn for_fields(
    given: Given,
    is: Is,
    choices: &Choices<'_>,
    sorted: &mut Sorted,
    told: &mut ToldAtOnce,
    findings: &mut Findings,
) {
    let only_points = given.only_points();
    match is {
        Is::Sure(kind) | Is::Named(kind) if kind.goes == Goes::Fields && !kind.is_field() && only_points => {
            sorted.things.push((given, kind));
        }
        Is::Sure(kind) if !kind.is_field() => told.elsewhere.push(given),
        Is::Named(kind) if !kind.is_field() && (only_points || !given.has_areas()) => {
            told.elsewhere.push(given);
        }
        Is::Unsaid if only_points && choices.rest.is_none_or(Kind::is_field) => told.elsewhere.push(given),
        Is::Named(kind) if !kind.is_field() => {
            let found = format!("{} is called like {} and was taken as a field", given.label, with_article(&kind.kind));
            findings.push(Finding::warning("import-what", &given.place, found).fix(format!(
                "if it is none, {}, or say --kind {}",
                given.left_out_by(),
                assigned(&given, &kind.kind)
            )));
            sorted.fields.push(given);
        }
        Is::Several(_) if only_points => told.elsewhere.push(given),
        _ => sorted.fields.push(given),
    }
}

/// Everything must be one thing or another.
fn strictly(given: Given, is: Is, take: Take, choices: &Choices<'_>, sorted: &mut Sorted, told: &mut ToldAtOnce) {
    let kind = match (is, choices.rest) {
        (Is::Sure(kind) | Is::Named(kind), _) | (_, Some(kind)) => kind,
        (Is::Unsaid, None) => return told.asked.push((given, "nothing says what it is".to_string())),
        (Is::Several(which), None) => return told.asked.push((given, which)),
    };
    match (take, kind.goes) {
        (Take::KeepOuts, Goes::Fields) => told.for_fields.push(given),
        _ if kind.is_field() => sorted.fields.push(given),
        _ => sorted.things.push((given, kind)),
    }
}

/// What a feature is, by the user's word or by its own.
fn is(given: &mut Given, choices: &mut Choices<'_>) -> Is {
    if let Some(kind) = choices.kind(given) {
        given.chosen = true;
        return Is::Sure(kind);
    }
    let given = &*given;
    let speak = |text: &str| fitting(kinds::spoken_of(text), given);
    let attribute = KINDS.iter().find_map(|key| given.property(key));
    if let Some(kind) = attribute.and_then(kinds::named) {
        return Is::Sure(kind);
    }
    let attribute = attribute.map(speak).unwrap_or_default();
    if let [kind] = attribute.as_slice() {
        return Is::Sure(kind);
    }
    let name = given.name().map(speak).unwrap_or_default();
    // A poultry house in a layer of houses is none of them.
    if attribute.is_empty() && given.name().is_some_and(kinds::says_else) {
        return Is::Unsaid;
    }
    let signs: Vec<Vec<&'static Kind>> =
        [attribute, name.clone()].into_iter().filter(|sign| !sign.is_empty()).collect();
    let signs = with_around(signs, given);
    let Some(first) = signs.first() else { return Is::Unsaid };
    let in_all: Vec<&'static Kind> =
        first.iter().copied().filter(|kind| signs.iter().all(|sign| sign.contains(kind))).collect();
    match in_all.as_slice() {
        [kind] if signs.len() == 1 && !name.is_empty() => Is::Named(kind),
        [kind] => Is::Sure(kind),
        _ => {
            let mut said: Vec<&str> = Vec::new();
            for kind in signs.iter().flatten().map(|kind| kind.kind.as_str()) {
                if !said.contains(&kind) {
                    said.push(kind);
                }
            }
            Is::Several(format!("its names speak of {}", said.join(" and of ")))
        }
    }
}

/// Adds what the nearest folder, layer or file says that says anything which a feature drawn like
/// this can be. A file that is called after the fields may hold everything else too: that speaks
/// for a field, and never against another thing.
fn with_around(mut signs: Vec<Vec<&'static Kind>>, given: &Given) -> Vec<Vec<&'static Kind>> {
    for text in &given.within {
        let mut kinds = kinds::spoken_of(text);
        kinds.retain(|kind| fits(kind, given));
        let fields = kinds.iter().all(|kind| kind.is_field()) && !given.in_folder(text);
        let against = signs.iter().any(|sign| !sign.iter().any(|kind| kinds.contains(kind)));
        if kinds.is_empty() || fields && against {
            continue;
        }
        signs.push(kinds);
        break;
    }
    signs
}

/// Whether a thing of a kind can be drawn as a feature is.
fn fits(kind: &Kind, given: &Given) -> bool {
    let areas = given.has_areas();
    let takes = |drawn: &[Drawn]| drawn.iter().any(|own| kind.shapes.contains(own));
    let closed = given.lines.iter().all(|line| rings::closed(line));
    (!areas || takes(&[Drawn::Area, Drawn::Outline, Drawn::Loose]))
        && (given.lines.is_empty() || takes(&[Drawn::Line]) || closed && takes(&[Drawn::Area]))
        && (areas || given.spots.is_empty() || takes(&[Drawn::Point]))
}

/// Of several kinds those that can be drawn as the feature is; all where none can.
fn fitting(kinds: Vec<&'static Kind>, given: &Given) -> Vec<&'static Kind> {
    let some: Vec<&'static Kind> = kinds.iter().copied().filter(|kind| fits(kind, given)).collect();
    if some.is_empty() { kinds } else { some }
}

/// What stands behind `--kind` to say what a feature is.
fn assigned(given: &Given, kind: &str) -> String {
    format!("\"{}={kind}\"", given.called())
}

/// What is told of many features at once.
#[derive(Default)]
struct ToldAtOnce {
    /// Left out because the user said so.
    chosen: Vec<Given>,
    /// No fields, where fields are wanted.
    elsewhere: Vec<Given>,
    /// Fields, gates and stacks, where keep-outs are wanted.
    for_fields: Vec<Given>,
    /// Those of which nothing or too much is said.
    asked: Vec<(Given, String)>,
}

impl ToldAtOnce {
    fn tell(self, findings: &mut Findings) {
        let place = |all: &[Given]| all.first().map_or_else(Place::default, |given| Place::file(&given.place.file));
        if !self.chosen.is_empty() {
            let found = format!("left out as you said: {}", features(&self.chosen));
            findings.push(Finding::note("import-left-out", &place(&self.chosen), found));
        }
        if !self.elsewhere.is_empty() {
            let found = format!("not fields, and left out: {}", features(&self.elsewhere));
            findings.push(Finding::warning("import-points", &place(&self.elsewhere), found).fix(
                "--keepouts takes wells, houses, streams and the like; --leave-out says that they are not wanted",
            ));
        }
        if !self.for_fields.is_empty() {
            let found = format!("for fields.geojson, and not among the keep-outs: {}", features(&self.for_fields));
            findings.push(
                Finding::note("import-fields", &place(&self.for_fields), found)
                    .fix("sward ground import without --keepouts takes them, or with --farm both at once"),
            );
        }
        let more = self.asked.len().saturating_sub(MOST_ASKED);
        for (given, why) in self.asked.iter().take(MOST_ASKED) {
            let found = format!("{}{}: {why}", given.label, given.lies());
            findings.push(Finding::error("import-what", &given.place, found).accepts(kinds::accepted()).fix(format!(
                "say it with --kind {}, or {}",
                assigned(given, "KIND"),
                given.left_out_by()
            )));
        }
        if more > 0 {
            let found = format!("{more} more features of which nothing says what they are");
            let place = self.asked.first().map_or_else(Place::default, |(given, _)| Place::file(&given.place.file));
            findings.push(
                Finding::error("import-what", &place, found)
                    .fix("--kind takes the name of a folder, layer or file too; --rest KIND decides all that is left"),
            );
        }
    }
}

/// Features by name, how many there are first.
fn features(all: &[Given]) -> String {
    let names: Vec<&str> = all.iter().map(|given| given.label.as_str()).collect();
    format!("{} ({})", counted(all.len(), "feature"), listed(&names))
}
