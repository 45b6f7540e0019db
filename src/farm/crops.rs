//! Crops that the tables of the place lack: what a bushel weighs, what they carry off,
//! when litter may go on them; each with who said so and when.

use crate::farm::sure::{self, Sure};
use crate::findings::{At, Finding, Findings, Place};
use crate::text::{Kind, Node, Walker, key_of};
use crate::units::{BushelsPerAcre, LbPerBushel, LbPerTon, POUNDS_PER_TON, Quantity, Weight, Yield};
use jiff::civil::Date;

/// An entry of `crops:`.
#[derive(Clone, Debug, PartialEq)]
pub struct WrittenCrop {
    /// The crop, as the fields have it under `forage`.
    pub crop: At<String>,
    /// What a bushel weighs.
    pub bushel: Option<At<Weight>>,
    /// What it carries off of N, P2O5 and K2O, in that order.
    pub removal: [Option<Carried>; 3],
    /// First and last day, month and day, of each season in which litter may go on it.
    pub seasons: Vec<At<CropSeason>>,
    /// Who said so.
    pub by: String,
    /// When.
    pub on: At<Date>,
    /// Who is sure of values far from what is usual.
    pub sure: Option<Sure>,
}

/// First and last day of a season, each month and day.
pub type CropSeason = [(i8, i8); 2];

/// What a crop carries off, as it is written.
#[derive(Clone, Debug, PartialEq)]
pub enum Carried {
    /// With a ton.
    Ton(At<LbPerTon>),
    /// With a bushel.
    Bushel(At<LbPerBushel>),
}

impl Carried {
    /// Where it is written.
    #[must_use]
    pub fn place(&self) -> &Place {
        match self {
            Carried::Ton(at) => &at.place,
            Carried::Bushel(at) => &at.place,
        }
    }

    /// With a ton; none where it is written by the bushel and nobody says what one weighs.
    #[must_use]
    pub fn a_ton(&self, bushel: Option<&At<Weight>>) -> Option<LbPerTon> {
        match self {
            Carried::Ton(at) => Some(at.value),
            Carried::Bushel(at) => {
                let pounds = bushel.map(|weight| weight.value.get()).filter(|pounds| *pounds > 0.0)?;
                LbPerTon::new(at.value.get() * POUNDS_PER_TON as f64 / pounds).ok()
            }
        }
    }
}

/// A yield in bushels, as it is written.
#[derive(Clone, Debug, PartialEq)]
pub struct Bushels {
    /// Bushels of an acre.
    pub an_acre: At<BushelsPerAcre>,
    /// Pounds in a bushel; none where nobody says it.
    pub weight: Option<At<Weight>>,
}

impl Bushels {
    /// The same in tons of an acre; none where the weight is not known, or it is more than
    /// any crop yields.
    #[must_use]
    pub fn tons(&self) -> Option<Yield> {
        let weight = self.weight.as_ref()?.value.get();
        Yield::new(self.an_acre.value.get() * weight / POUNDS_PER_TON as f64).ok()
    }
}

pub(super) fn read(node: &Node, findings: &mut Findings) -> Option<WrittenCrop> {
    let walk = Walker::new("the crop", node, findings)?;
    let crop = walk.need_text("crop", "the crop, as its fields have it under `forage`", findings);
    let bushel = walk.quantity("bushel", findings);
    let removal = walk.ask("removal").map_or(Some([None, None, None]), |node| removal(node, findings));
    let seasons = walk.ask("season").map_or(Some(Vec::new()), |node| seasons(node, findings));
    let by = walk.need_name("by", "who said so", findings);
    let on = walk.need_date("on", findings);
    let sure = sure::read(&walk, findings);
    walk.filled(&["removal", "season"], findings);
    walk.finish(findings);
    let crop = crop?.map(|crop| key_of(&crop));
    Some(WrittenCrop { crop, bushel, removal: removal?, seasons: seasons?, by: by?.value, on: on?, sure })
}

/// What the crop carries off; none where some of it cannot be read.
fn removal(node: &Node, findings: &mut Findings) -> Option<[Option<Carried>; 3]> {
    let walk = Walker::new("what the crop carries off", node, findings)?;
    let [n, p2o5, k2o] = ["n", "p2o5", "k2o"].map(|key| match walk.ask(key) {
        None => Some(None),
        Some(node) if is_by_bushel(node) => walk.quantity(key, findings).map(|at| Some(Carried::Bushel(at))),
        Some(_) => walk.quantity(key, findings).map(|at| Some(Carried::Ton(at))),
    });
    walk.finish(findings);
    Some([n?, p2o5?, k2o?])
}

/// Whether a quantity is written with bushels.
fn is_by_bushel(node: &Node) -> bool {
    node.scalar().is_some_and(|text| text.to_lowercase().contains("bu"))
}

/// One season, or a list of them that do not run into each other; none where one cannot be
/// read.
fn seasons(node: &Node, findings: &mut Findings) -> Option<Vec<At<CropSeason>>> {
    let Kind::List(items) = &node.kind else { return season(node, findings).map(|one| vec![one]) };
    let all: Vec<Option<At<CropSeason>>> = items.iter().map(|item| season(item, findings)).collect();
    let all: Vec<At<CropSeason>> = all.into_iter().collect::<Option<_>>()?;
    if all.is_empty() {
        let found = "the crop: `season` is an empty list";
        findings.push(
            Finding::error("list-empty", &node.place, found)
                .accepts("`{opens: 03-01, closes: 04-15}`, or a list of such")
                .fix("write the days on which litter may go on it, or take `season` out"),
        );
        return None;
    }
    for (at, one) in all.iter().enumerate() {
        let meets = |other: &&At<CropSeason>| within(other.value[0], one.value) || within(one.value[0], other.value);
        if let Some(other) = all[..at].iter().find(meets) {
            findings.push(
                Finding::error("seasons-overlap", &one.place, "the crop: two seasons share days")
                    .accepts("seasons that begin after the one before has closed")
                    .fix("write them as one, or correct their days")
                    .also(&other.place, "the other one"),
            );
            return None;
        }
    }
    Some(all)
}

/// Whether a day lies in a season, which may run over New Year.
fn within(day: (i8, i8), [opens, closes]: CropSeason) -> bool {
    if opens <= closes { (opens..=closes).contains(&day) } else { opens <= day || day <= closes }
}

fn season(node: &Node, findings: &mut Findings) -> Option<At<CropSeason>> {
    let walk = Walker::new("the season of the crop", node, findings)?;
    let [opens, closes] = ["opens", "closes"].map(|key| walk.need_month_day(key, findings));
    walk.finish(findings);
    Some(At { value: [opens?, closes?], place: node.place.clone() })
}

/// What a bushel of a crop weighs, by what the farm says of the crop: under the same word,
/// or where a report calls it otherwise, by a word of the same crop.
pub(super) fn weight(crop: &str, crops: &[WrittenCrop]) -> Option<At<Weight>> {
    let same = crops.iter().find(|own| own.crop.value == crop);
    let alike = || crops.iter().find(|own| same_crop(&own.crop.value, crop));
    same.or_else(alike)?.bushel.clone()
}

/// Words that say what becomes of a crop, not which it is.
const USES: [&str; 8] = ["hay", "pasture", "grazing", "grazed", "grain", "then", "establishment", "maintenance"];

/// Whether two names are of one crop: the words of one are among those of the other.
pub(super) fn same_crop(one: &str, other: &str) -> bool {
    let words = |crop: &'_ str| -> Vec<String> {
        let parts = crop.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
        parts.map(str::to_string).filter(|word| !USES.contains(&word.as_str())).collect()
    };
    let (one, other) = (words(one), words(other));
    let within = |some: &[String], all: &[String]| !some.is_empty() && some.iter().all(|word| all.contains(word));
    within(&one, &other) || within(&other, &one)
}

/// A yield in tons, or in bushels of a weight.
pub(super) fn yield_of(
    walk: &Walker<'_>,
    key: &'static str,
    weight: Option<At<Weight>>,
    findings: &mut Findings,
) -> (Option<At<Yield>>, Option<Bushels>) {
    let Some(node) = walk.ask(key).filter(|node| is_by_bushel(node)) else {
        return (walk.quantity(key, findings), None);
    };
    let bushels = walk.quantity(key, findings).map(|an_acre| Bushels { an_acre, weight });
    let tons = bushels.as_ref().and_then(Bushels::tons).map(|value| At { value, place: node.place.clone() });
    (tons, bushels)
}
