//! When the litter gets spread, where it is kept and what makes it: the
//! blocks `days:`, `storage:` and `houses:` of farm.yaml, as written. Never
//! here: a published figure, or any reckoning with days.

use crate::farm::numbers::{plain, whole};
use crate::farm::outlets::{self, WrittenBrought, WrittenOutlet};
use crate::farm::sure;
use crate::farm::sure::Sure;
use crate::findings::{At, Finding, Findings, Place};
use crate::text::{Kind, Node, Walker, key_of};
use crate::units::{MilesPerHour, Minutes, Percent, Quantity, Tons};
use jiff::civil::{Date, Weekday};

/// The months, as a grower writes them.
pub const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// The days of the week.
pub(super) const WEEKDAYS: [(&str, Weekday); 7] = [
    ("monday", Weekday::Monday),
    ("tuesday", Weekday::Tuesday),
    ("wednesday", Weekday::Wednesday),
    ("thursday", Weekday::Thursday),
    ("friday", Weekday::Friday),
    ("saturday", Weekday::Saturday),
    ("sunday", Weekday::Sunday),
];

/// The blocks on work, storage and litter that comes and goes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WrittenWork {
    /// How fast the litter gets spread, and on which days.
    pub days: Option<WrittenDays>,
    /// Where litter is kept, and how much goes in.
    pub storage: Vec<WrittenStorage>,
    /// The houses that make it.
    pub houses: Vec<WrittenHouse>,
    /// Litter that is brought to the farm on a day.
    pub brought: Vec<WrittenBrought>,
    /// Who takes litter, at which price.
    pub outlets: Vec<WrittenOutlet>,
}

/// The block `days:`.
#[derive(Clone, Debug, PartialEq)]
pub struct WrittenDays {
    /// Tons spread in a day's work beside the stack.
    pub tons_per_day: At<Tons>,
    /// What a longer haul costs; none when a far field takes no longer.
    pub haul: Option<HaulTime>,
    /// Share of days fit for field work: of one month, or of all.
    pub fit: Vec<(Option<usize>, At<Percent>)>,
    /// Share of the days after one too wet to spread that are too wet as well: of one
    /// month, or of all.
    pub wet_after_wet: Vec<(Option<usize>, At<Percent>)>,
    /// The chance with which what is planned can be done in its days.
    pub in_time: Option<At<Percent>>,
    /// Days of the week on which nothing is spread.
    pub not_on: Vec<Weekday>,
    /// Who is sure of values far from what is usual.
    pub sure: Option<Sure>,
    /// Where the block starts.
    pub place: Place,
}

/// Time of one load.
#[derive(Clone, Debug, PartialEq)]
pub struct HaulTime {
    /// Speed on the road.
    pub speed: At<MilesPerHour>,
    /// Loading it.
    pub loading: At<Minutes>,
    /// Spreading it, until the box is empty.
    pub emptying: At<Minutes>,
}

/// A place where litter is kept.
#[derive(Clone, Debug, PartialEq)]
pub struct WrittenStorage {
    /// Its name.
    pub name: At<String>,
    /// How much goes in.
    pub room: At<Tons>,
    /// The lots that lie in it.
    pub lots: Vec<At<String>>,
    /// Who is sure of values far from what is usual.
    pub sure: Option<Sure>,
}

/// A house, or several taken together.
#[derive(Clone, Debug, PartialEq)]
pub struct WrittenHouse {
    /// Its name.
    pub name: At<String>,
    /// Kind of litter it makes, as a key of the tables.
    pub kind: Option<At<String>>,
    /// How many houses, and the birds of a flock in each of them.
    pub birds: Option<(At<u32>, At<u32>)>,
    /// Flocks a year.
    pub flocks: Option<At<f64>>,
    /// Litter that a flock of 1,000 birds makes, as the grower has counted it.
    pub tons_per_1000: Option<At<Tons>>,
    /// Litter made in a year, by the grower's own record.
    pub made: Option<At<Tons>>,
    /// The lot into which litter is carried as it is made.
    pub lot: Option<At<String>>,
    /// Planned clean-outs.
    pub clean_outs: Vec<WrittenCleanOut>,
    /// Planned cake-outs: only the crust is taken.
    pub cake_outs: Vec<WrittenCleanOut>,
    /// Who is sure of values far from what is usual.
    pub sure: Option<Sure>,
    /// Where its entry starts.
    pub place: Place,
}

impl WrittenHouse {
    /// Birds of one flock, in all houses of the entry.
    #[must_use]
    pub fn all_birds(&self) -> Option<f64> {
        self.birds.as_ref().map(|(number, each)| f64::from(number.value) * f64::from(each.value))
    }
}

/// A planned clean-out.
#[derive(Clone, Debug, PartialEq)]
pub struct WrittenCleanOut {
    /// The day.
    pub date: At<Date>,
    /// How much comes out; by the birds and the figure of the tables where it is
    /// left out.
    pub tons: Option<At<Tons>>,
    /// Flocks since the litter was taken out before, where it goes by the birds.
    pub flocks: Option<At<f64>>,
    /// The lot it goes to.
    pub lot: At<String>,
}

pub(super) fn read(top: &Walker<'_>, findings: &mut Findings) -> WrittenWork {
    WrittenWork {
        days: top.ask("days").and_then(|node| days(node, findings)),
        storage: top.list("storage", findings).iter().filter_map(|node| storage(node, findings)).collect(),
        houses: top.list("houses", findings).iter().filter_map(|node| house(node, findings)).collect(),
        brought: top.list("brought", findings).iter().filter_map(|node| outlets::brought(node, findings)).collect(),
        outlets: top.list("outlets", findings).iter().filter_map(|node| outlets::outlet(node, findings)).collect(),
    }
}

fn days(node: &Node, findings: &mut Findings) -> Option<WrittenDays> {
    let walk = Walker::new("the days", node, findings)?;
    let tons_per_day = walk.need_quantity::<Tons>("tons_per_day", findings).and_then(|t| more_than_0(t, findings));
    let speed = walk.quantity("speed", findings);
    let loading = walk.quantity::<Minutes>("loading", findings);
    let emptying = walk.quantity::<Minutes>("emptying", findings);
    let fit = by_month(&walk, "fit", findings);
    let (wet_after_wet, in_time) = (
        by_month(&walk, "wet_after_wet", findings),
        walk.quantity("in_time", findings).and_then(|chance| some_chance(chance, findings)),
    );
    let not_on = weekdays(&walk, findings);
    let sure = sure::read(&walk, findings);
    let place = walk.place().clone();
    let asked = ["speed", "loading", "emptying"].iter().filter(|key| walk.ask(key).is_some()).count();
    walk.filled(&["not_on"], findings);
    walk.finish(findings);
    let haul = match (speed, loading, emptying) {
        (Some(speed), Some(loading), Some(emptying)) => {
            // Without time at the stack and in the field, no load would take any.
            if loading.value.get() + emptying.value.get() < 1.0 {
                let found = "the days: a load takes less than a minute to load and to empty";
                findings.push(Finding::error("days-load", &loading.place, found).accepts("the minutes that it takes"));
            }
            Some(HaulTime { speed, loading, emptying })
        }
        _ => {
            if (1..3).contains(&asked) {
                let found = "the days: `speed`, `loading` and `emptying` are not all given";
                findings.push(
                    Finding::error("days-haul", &place, found)
                        .accepts("all three, or none of them where a longer haul takes no more time"),
                );
            }
            None
        }
    };
    Some(WrittenDays { tons_per_day: tons_per_day?, haul, fit, wet_after_wet, in_time, not_on, sure, place })
}

fn more_than_0(tons: At<Tons>, findings: &mut Findings) -> Option<At<Tons>> {
    if tons.value.get() >= 0.1 {
        return Some(tons);
    }
    let found = format!("the days: `tons_per_day` is {}", tons.value);
    findings.push(Finding::error("days-tons", &tons.place, found).accepts("0.1 tons a day or more"));
    None
}

/// A plan that needs no chance would need no days.
fn some_chance(chance: At<Percent>, findings: &mut Findings) -> Option<At<Percent>> {
    if chance.value.get() > 0.0 {
        return Some(chance);
    }
    let found = "the days: `in_time` is 0 %";
    findings.push(Finding::error("out-of-range", &chance.place, found).accepts("above 0 and up to 100 %"));
    None
}

/// One share for every month, or the months with theirs.
fn by_month(walk: &Walker<'_>, key: &'static str, findings: &mut Findings) -> Vec<(Option<usize>, At<Percent>)> {
    let mut shares: Vec<(Option<usize>, At<Percent>)> = Vec::new();
    for (month, share) in walk.quantities::<Percent>(key, findings) {
        let Some(month) = month else {
            shares.push((None, share));
            continue;
        };
        match MONTHS.iter().position(|m| *m == key_of(&month.value)) {
            Some(i) => shares.push((Some(i), share)),
            None => {
                let found = format!("the days: `{key}` names `{}`, which is not a month", month.value);
                let finding = Finding::error("month-unknown", &month.place, found).accepts(MONTHS.join(", "));
                findings.push(finding.near(&month.value, MONTHS));
            }
        }
    }
    shares
}

fn weekdays(walk: &Walker<'_>, findings: &mut Findings) -> Vec<Weekday> {
    let mut days: Vec<Weekday> = Vec::new();
    for node in walk.list("not_on", findings) {
        let word = node.scalar().unwrap_or_default();
        match WEEKDAYS.iter().find(|(name, _)| *name == key_of(word)) {
            Some((_, day)) if days.contains(day) => {}
            Some((_, day)) => days.push(*day),
            None => {
                let found = format!("the days: `not_on` holds {}, which is not a day of the week", node.describe());
                let names = WEEKDAYS.map(|(name, _)| name);
                let finding = Finding::error("weekday-unknown", &node.place, found).accepts(names.join(", "));
                findings.push(finding.near(word, names));
            }
        }
    }
    if days.len() == WEEKDAYS.len() {
        let found = "the days: `not_on` leaves no day of the week";
        findings.push(Finding::error("days-none", walk.place(), found).accepts("at least one day to spread on"));
    }
    days
}

fn storage(node: &Node, findings: &mut Findings) -> Option<WrittenStorage> {
    let walk = Walker::new("the storage", node, findings)?;
    let name = walk.need_text("name", "a name, for example litter shed", findings);
    let room = walk.need_quantity::<Tons>("room", findings);
    let lots = words(&walk, "lots", findings);
    if lots.is_empty() && !walk.ask("lots").is_some_and(|n| !matches!(n.kind, Kind::List(_))) {
        let found = "the storage: `lots` names no lot";
        findings.push(
            Finding::error("storage-lots", walk.place(), found).accepts("the lots that lie in it, as `[clean-out]`"),
        );
    }
    let sure = sure::read(&walk, findings);
    walk.finish(findings);
    Some(WrittenStorage { name: name?, room: room?, lots, sure })
}

/// A list of words under a key.
fn words(walk: &Walker<'_>, key: &'static str, findings: &mut Findings) -> Vec<At<String>> {
    let mut words = Vec::new();
    for node in walk.list(key, findings) {
        match node.scalar() {
            Some(word) => words.push(At { value: word.trim().to_string(), place: node.place.clone() }),
            None => {
                let found = format!("`{key}` holds {}", node.describe());
                findings.push(Finding::error("not-text-value", &node.place, found).accepts("the name of a lot"));
            }
        }
    }
    words
}

fn house(node: &Node, findings: &mut Findings) -> Option<WrittenHouse> {
    let walk = Walker::new("the house", node, findings)?;
    let name = walk.need_text("name", "a name, for example 1-3", findings);
    let kind = walk.text("kind", findings).map(|t| t.map(|k| key_of(&k)));
    let counted = walk.ask("number").is_some() || walk.ask("birds").is_some();
    let birds = birds(&walk, findings);
    let flocks = plain(&walk, "flocks", 0.1..=20.0, findings);
    let tons_per_1000 = walk.quantity("tons_per_1000", findings);
    let made = walk.quantity("made", findings);
    let lot = walk.text("lot", findings);
    let outs = |key, findings: &mut Findings| -> Vec<WrittenCleanOut> {
        walk.list(key, findings).iter().filter_map(|n| clean_out(n, findings)).collect()
    };
    let (clean_outs, cake_outs) = (outs("clean_outs", findings), outs("cake_outs", findings));
    let sure = sure::read(&walk, findings);
    let place = walk.place().clone();
    walk.finish(findings);
    // Nothing more is said of a house whose birds could not be read.
    if counted && birds.is_none() {
        return None;
    }
    Some(WrittenHouse {
        name: name?,
        kind,
        birds,
        flocks,
        tons_per_1000,
        made,
        lot,
        clean_outs,
        cake_outs,
        sure,
        place,
    })
}

/// How many houses there are and the birds in each, as in `on_hand: {houses: ...}`.
fn birds(walk: &Walker<'_>, findings: &mut Findings) -> Option<(At<u32>, At<u32>)> {
    let number = whole(walk, "number", 1, 1_000, findings);
    let birds = whole(walk, "birds", 1, 1_000_000, findings);
    if walk.ask("birds").is_some() && walk.ask("number").is_none() {
        let place = birds.as_ref().map_or(walk.place(), |birds| &birds.place);
        findings.push(
            Finding::error("houses-number", place, "the house: `birds` without `number`")
                .accepts("how many houses and the birds of a flock in each, as in `number: 3` and `birds: 24000`")
                .fix("write `number: ...`, and divide birds that were counted in all houses together by it; `sward upgrade` changes a file of the earlier form"),
        );
    }
    if let (Some(number), None) = (&number, walk.ask("birds")) {
        let found = "the house: `number` without `birds`";
        findings.push(
            Finding::error("houses-number", &number.place, found)
                .accepts("`number` and `birds`, the birds of a flock in each house")
                .fix("add a line `birds: 24000`, or take `number` out"),
        );
    }
    number.zip(birds)
}

fn clean_out(node: &Node, findings: &mut Findings) -> Option<WrittenCleanOut> {
    let walk = Walker::new("the clean-out", node, findings)?;
    let date = walk.need_date("date", findings);
    let tons = walk.quantity("tons", findings);
    let flocks = plain(&walk, "flocks", 0.1..=100.0, findings);
    let lot = walk.need_text("lot", "the lot that it goes to", findings);
    let asked = walk.ask("tons").is_some() || walk.ask("flocks").is_some();
    walk.finish(findings);
    if asked && tons.is_none() && flocks.is_none() {
        return None;
    }
    Some(WrittenCleanOut { date: date?, tons, flocks, lot: lot? })
}
