//! What a field was until a day: another forage, use or yield goal, another
//! name, or the id of a field that was split since.

use crate::farm::crops::{self, Bushels, WrittenCrop};
use crate::farm::words::Use;
use crate::findings::{At, Finding, Findings, Place};
use crate::text::{Node, Walker, key_of};
use crate::units::Yield;
use jiff::civil::Date;

/// One entry of `before:`. What it does not say was as it is later on.
#[derive(Clone, Debug, PartialEq)]
pub struct Before {
    /// The last day of it.
    pub until: At<Date>,
    /// The id under which the log knows the field, or the whole of which it is a
    /// part now.
    pub id: Option<At<String>>,
    /// Name.
    pub name: Option<String>,
    /// Forage, as a key of the tables.
    pub forage: Option<At<String>>,
    /// What became of it.
    pub usage: Option<At<Use>>,
    /// Yield goal in dry hay, or in grain.
    pub yield_goal: Option<At<Yield>>,
    /// The same in bushels, where it is written so.
    pub bushels: Option<Bushels>,
    /// Where the entry starts.
    pub place: Place,
}

/// What farm.yaml says that may have been another before.
#[derive(Clone, Debug, PartialEq)]
pub struct Stand {
    /// Name.
    pub name: String,
    /// Forage, as a key of the tables.
    pub forage: At<String>,
    /// What becomes of it.
    pub usage: At<Use>,
    /// Yield goal in dry hay, or in grain, when it is stated.
    pub yield_goal: Option<At<Yield>>,
    /// The same in bushels, where it is written so.
    pub bushels: Option<Bushels>,
}

/// What is written of a field that may have been another before.
pub(super) fn stand(walk: &Walker<'_>, id: &str, crops: &[WrittenCrop], findings: &mut Findings) -> Option<Stand> {
    let name = walk.text("name", findings).map(|t| t.value);
    let forage = walk.need_text("forage", "a forage, for example tall fescue", findings);
    let usage = Use::need(walk, "use", findings);
    let forage = forage.map(|forage| forage.map(|f| key_of(&f)));
    let weight = forage.as_ref().and_then(|forage| crops::weight(&forage.value, crops));
    let (yield_goal, bushels) = crops::yield_of(walk, "yield_goal", weight, findings);
    let name = name.unwrap_or_else(|| id.to_string());
    Some(Stand { name, forage: forage?, usage: usage?, yield_goal, bushels })
}

/// The list under `before`, by its last days; none where an entry cannot be read.
pub(super) fn read(walk: &Walker<'_>, crops: &[WrittenCrop], findings: &mut Findings) -> Option<Vec<Before>> {
    let nodes = walk.list("before", findings);
    // An entry without a forage had the one of now, unless another entry tells of one.
    let now = walk.ask("forage").filter(|_| nodes.iter().all(|node| node.get("forage").is_none()));
    let now = now.and_then(Node::scalar);
    let read: Vec<Option<Before>> = nodes.iter().map(|node| one(node, walk.what(), (now, crops), findings)).collect();
    let mut list = read.into_iter().collect::<Option<Vec<Before>>>()?;
    list.sort_by_key(|before| before.until.value);
    let said = |b: &Before| {
        [
            ("id", b.id.is_some()),
            ("name", b.name.is_some()),
            ("forage", b.forage.is_some()),
            ("use", b.usage.is_some()),
            ("yield_goal", b.yield_goal.is_some() || b.bushels.is_some()),
        ]
    };
    let mut sound = true;
    for pair in list.windows(2) {
        // A field may be put together of two that end on one day.
        let both = said(&pair[0]).into_iter().zip(said(&pair[1]));
        let mut both = both.filter(|((key, a), (_, b))| *a && *b && *key != "id");
        let Some(((key, _), _)) = both.next() else { continue };
        if pair[0].until.value == pair[1].until.value {
            sound = false;
            let found = format!("{}: two `before` entries give its `{key}` until {}", walk.what(), pair[1].until.value);
            findings.push(
                Finding::error("same-day", &pair[1].place, found)
                    .accepts("one of a day")
                    .fix("correct one of the days, or take the wrong one out")
                    .also(&pair[0].place, "the other one"),
            );
        }
    }
    sound.then_some(list)
}

fn one(
    node: &Node,
    whose: &str,
    (now, crops): (Option<&str>, &[WrittenCrop]),
    findings: &mut Findings,
) -> Option<Before> {
    let walk = Walker::new(format!("{whose}, `before`"), node, findings)?;
    let until = walk.need_date("until", findings);
    let id = walk.text("id", findings);
    let name = walk.text("name", findings).map(|t| t.value);
    let forage = walk.text("forage", findings);
    let usage = walk.text("use", findings).and_then(|t| Use::read(t, findings));
    let grew = forage.as_ref().map(|forage| forage.value.as_str()).or(now);
    let weight = grew.and_then(|grew| crops::weight(&key_of(grew), crops));
    let (yield_goal, bushels) = crops::yield_of(&walk, "yield_goal", weight, findings);
    let place = walk.place().clone();
    if let Some(forage) = forage.as_ref().filter(|_| walk.ask("yield_goal").is_none()) {
        walk.told(&["yield_goal"]);
        let found = format!("{}: `yield_goal` of the {} is missing", walk.what(), forage.value);
        findings.push(
            Finding::error("key-missing", &forage.place, found)
                .accepts("the yield goal that the earlier forage had, in dry hay")
                .fix("add `yield_goal: 3 tons/ac`"),
        );
    }
    let says_yield = yield_goal.is_some() || bushels.is_some();
    let says = id.is_some() || name.is_some() || forage.is_some() || usage.is_some() || says_yield;
    let keys = ["id", "name", "forage", "use", "yield_goal"];
    if !says && keys.iter().all(|key| walk.ask(key).is_none()) {
        walk.told(&keys);
        let found = format!("{}: the entry does not say what was different then", walk.what());
        findings.push(
            Finding::error("key-missing", &place, found)
                .accepts("`forage` with its `yield_goal`, `use`, `name`, or the `id` that the log has")
                .fix("write what was different until that day, or take the entry out"),
        );
    }
    let wanting = forage.is_some() && !says_yield || !says;
    walk.finish(findings);
    if wanting {
        return None;
    }
    Some(Before {
        until: until?,
        id,
        name,
        forage: forage.map(|f| f.map(|f| key_of(&f))),
        usage,
        yield_goal,
        bushels,
        place,
    })
}
