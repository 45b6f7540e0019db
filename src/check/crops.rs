//! What the farm says of crops that the tables lack becomes figures of its own, which
//! count only where the tables hold none.

use crate::check::said;
use crate::farm::{Bushels, CropSeason, Use, Written, WrittenCrop, WrittenField};
use crate::findings::{At, Finding, Findings, Place};
use crate::tables::{Book, MonthDay, SaidFigure, Scope, Season, Shape, Topic, topic};
use crate::units::{Quantity, number_text};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// The name of a crop's own season; of several each has its number.
const SEASON: &str = "season";

/// What a crop carries off, in the order of [`WrittenCrop::removal`].
fn removal_topics() -> [Topic; 3] {
    [topic::N_REMOVED_PER_TON.into(), topic::P2O5_PER_TON.into(), topic::K2O_PER_TON.into()]
}

pub(super) fn check(written: &Written, book: &Book<'_>, findings: &mut Findings) -> Vec<SaidFigure> {
    let mut said: Vec<SaidFigure> = Vec::new();
    for (at, crop) in written.crops.iter().enumerate() {
        let same = |other: &&WrittenCrop| other.crop.value == crop.crop.value;
        if let Some(first) = written.crops[..at].iter().find(same) {
            findings.push(
                Finding::error("crop-twice", &crop.crop.place, format!("two entries of `crops` are of {}", name(crop)))
                    .accepts("every crop once")
                    .fix("take one of them out")
                    .also(&first.crop.place, "the first one"),
            );
            continue;
        }
        let grown = grown(written, &crop.crop.value);
        if grown.is_empty() {
            on_no_field(crop, written, findings);
        }
        said.extend(removal(crop, written, book, findings));
        said.extend(seasons(crop, &grown, written, book, findings));
    }
    // Who weighs a bushel of a crop that could not be read is not known.
    if !written.crops_lost {
        bushels(written, findings);
    }
    said
}

fn name(crop: &WrittenCrop) -> String {
    crop.crop.value.replace('_', " ")
}

/// What a crop is grown for, now or before, each once.
fn grown(written: &Written, crop: &str) -> Vec<Use> {
    let now = |field: &WrittenField| vec![(field.stand.forage.value.clone(), field.stand.usage.value)];
    let then = |field: &WrittenField| {
        let days = field.before.iter().map(|before| before.until.value);
        days.map(|day| (field.forage_on(day).value.clone(), field.usage_on(day))).collect::<Vec<_>>()
    };
    let all = written.fields.iter().flat_map(|field| now(field).into_iter().chain(then(field)));
    let mut uses: Vec<Use> = all.filter(|(forage, _)| forage == crop).map(|(_, usage)| usage).collect();
    uses.sort();
    uses.dedup();
    uses
}

fn on_no_field(crop: &WrittenCrop, written: &Written, findings: &mut Findings) {
    let grown: Vec<String> = written.fields.iter().map(|field| field.forage.value.replace('_', " ")).collect();
    findings.push(
        Finding::warning("no-effect", &crop.crop.place, format!("`crops` has {}, and no field grows it", name(crop)))
            .fix("write the crop as the fields have it under `forage`, or take it out")
            .near(&name(crop), grown.iter().map(String::as_str)),
    );
}

/// What a ton carries off.
fn removal(crop: &WrittenCrop, farm: &Written, book: &Book<'_>, findings: &mut Findings) -> Vec<SaidFigure> {
    let mut said = Vec::new();
    let lacks = crop.removal.iter().flatten().find(|carried| carried.a_ton(crop.bushel.as_ref()).is_none());
    if let Some(carried) = lacks {
        let found = format!("what a bushel of {} carries off is given, and not what one weighs", name(crop));
        findings.push(unweighed(carried.place(), found, crop.bushel.is_some()).fix(weigh_it(&crop.crop.value)));
    }
    for (topic, carried) in removal_topics().into_iter().zip(&crop.removal) {
        let Some(carried) = carried else { continue };
        let Some(a_ton) = carried.a_ton(crop.bushel.as_ref()) else { continue };
        let applies = BTreeMap::from([("forage".to_string(), crop.crop.value.clone())]);
        let shape = Shape::Number(a_ton.get());
        let figure = said::figure((topic, &crop.crop.value), whose(crop, carried.place()), "lb/ton", applies, shape);
        let scope = Scope::new().forage(&crop.crop.value);
        also_given(crop, topic, carried.place(), farm, findings);
        match book.shape(topic, &scope) {
            Some(there) => said::told_there(&there.cite, &figure, book, findings),
            None => said.push(figure),
        }
    }
    said
}

/// The same under `figures:`: nobody knows which holds.
fn also_given(crop: &WrittenCrop, topic: Topic, at: &Place, farm: &Written, findings: &mut Findings) {
    let of_crop = |applies: &[(crate::findings::At<String>, String)]| {
        applies.iter().all(|(key, word)| key.value == "forage" && *word == crop.crop.value)
    };
    let same = farm.figures.iter().find(|f| f.topic.value == topic.key() && of_crop(&f.applies));
    let Some(figure) = same else { return };
    findings.push(
        Finding::error("figure-twice", at, format!("{} of {} is given twice", topic.key(), name(crop)))
            .accepts("what a crop carries off under `crops`, or under `figures`")
            .fix("take one of them out")
            .also(&figure.topic.place, "the other one"),
    );
}

/// The days on which litter may go on, for each use of the crop of which the tables have no
/// season: what they have is a rule, which the farm's own days must not widen.
fn seasons(
    crop: &WrittenCrop,
    grown: &[Use],
    farm: &Written,
    book: &Book<'_>,
    findings: &mut Findings,
) -> Vec<SaidFigure> {
    let region = farm.region.as_ref().map(|region| &region.value);
    let mut said = Vec::new();
    for usage in grown {
        let own = crop.seasons.iter().enumerate().map(|(at, season)| of_use(crop, (at, season), *usage));
        let scope = Scope::new().forage(&crop.crop.value).usage(usage.key()).region(region);
        match book.seasons(&scope).first() {
            Some((_, there)) => {
                own.take(1).for_each(|figure| said::told_there(&there.cite, &figure, book, findings));
            }
            None => said.extend(own),
        }
    }
    if let ([season], false) = (crop.seasons.as_slice(), said.is_empty()) {
        said.extend(growing_year(crop, season, farm, book));
    }
    said
}

/// A season of a crop that is grown for one use.
fn of_use(crop: &WrittenCrop, (at, season): (usize, &At<CropSeason>), usage: Use) -> SaidFigure {
    let day = |(month, day): (i8, i8)| MonthDay { month, day };
    let [opens, closes] = season.value.map(day);
    let name = if crop.seasons.len() > 1 { format!("{SEASON} {}", at + 1) } else { SEASON.to_string() };
    let applies = [("season", name), ("forage", crop.crop.value.clone()), ("use", usage.key())];
    let applies = applies.into_iter().map(|(key, word)| (key.to_string(), word)).collect();
    let named = (topic::SEASON_OPEN.into(), crop.crop.value.as_str());
    said::figure(named, whose(crop, &season.place), "none", applies, Shape::Season(Season { opens, closes }))
}

/// A crop with one season in the year grows from one opening to the next: what goes on in one
/// of them is not counted in another, where the tables do not say when its year begins.
fn growing_year(crop: &WrittenCrop, season: &At<CropSeason>, farm: &Written, book: &Book<'_>) -> Option<SaidFigure> {
    let topic: Topic = topic::GROWING_YEAR.into();
    let own = farm.figures.iter().any(|figure| figure.topic.value == topic.key());
    if own || book.shape(topic, &Scope::new().forage(&crop.crop.value)).is_some() {
        return None;
    }
    let [(month, day), _] = season.value;
    let last = Date::new(2001, month, day).ok()?.yesterday().ok()?;
    let closes = MonthDay { month: last.month(), day: last.day() };
    let shape = Shape::Season(Season { opens: MonthDay { month, day }, closes });
    let applies = BTreeMap::from([("forage".to_string(), crop.crop.value.clone())]);
    Some(said::figure((topic, &crop.crop.value), whose(crop, &season.place), "none", applies, shape))
}

/// Where a figure of a crop stands, who gave it, and when.
fn whose<'a>(crop: &'a WrittenCrop, line: &'a Place) -> (&'a Place, &'a str, Date) {
    (line, &crop.by, crop.on.value)
}

/// Yields in bushels of which nobody says what one weighs, or that no crop makes.
fn bushels(written: &Written, findings: &mut Findings) {
    for field in &written.fields {
        let grows = &field.stand.forage.value;
        let goals = field.before.iter().filter_map(|before| before.bushels.as_ref()).chain(&field.stand.bushels);
        let advice = field.soil_tests.iter().filter_map(|test| test.recommended.as_ref());
        // A report is weighed by its own crop, whatever grows on the field now.
        let of_report = advice.filter_map(|advice| Some((advice.bushels.as_ref()?, &advice.crop.value)));
        let all = goals.map(|goal| (goal, grows)).chain(of_report);
        for (bushels, crop) in all.filter(|(bushels, _)| bushels.tons().is_none()) {
            let (id, own) = (&field.id.value, bushels.an_acre.value);
            let found = match &bushels.weight {
                Some(one) => format!("field {id}: a yield of {own} at {} a bushel is more than any crop's", one.value),
                None => format!("field {id}: the yield is {own}, and nothing says what a bushel weighs"),
            };
            let finding = unweighed(&bushels.an_acre.place, found, bushels.weight.is_some());
            findings.push(finding.fix(weigh(bushels, crop)));
        }
    }
}

fn unweighed(at: &Place, found: String, weighed: bool) -> Finding {
    let most = number_text(crate::units::Yield::MOST, 0);
    let accepts = match weighed {
        true => format!("no more than {most} tons of an acre, by the weight of a bushel"),
        false => "a crop whose bushel is weighed under `crops`, or the same by the ton".to_string(),
    };
    Finding::error("bushel", at, found).accepts(accepts)
}

fn weigh(bushels: &Bushels, crop: &str) -> String {
    match bushels.weight {
        Some(_) => "correct the bushels, or the weight of one".to_string(),
        None => weigh_it(crop),
    }
}

fn weigh_it(crop: &str) -> String {
    let crop = crop.replace('_', " ");
    format!(
        "write the yield in tons/ac; or say what a bushel of {crop} weighs: `crops: [{{crop: {crop}, bushel: ... lb, by: ..., on: ...}}]`"
    )
}
