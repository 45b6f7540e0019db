//! The fields of `farm.yaml` with their soil tests.

use crate::farm::before;
use crate::farm::crops::WrittenCrop;
use crate::farm::dated::records;
use crate::farm::numbers::{plain, whole};
use crate::farm::words::{Endophyte, Texture};
use crate::farm::written::{Heading, RuleSaid, SoilTest, Written, WrittenField};
use crate::farm::{hay, rated, recommended, sure, years};
use crate::findings::{At, Finding, Findings};
use crate::text::{self, Kind, Node, Walker, key_of};
use crate::units::{LbPerAcre, Quantity, SoilScale, SoilValue, number, number_text, quantity};
use jiff::civil::Date;

pub(super) fn read(node: &Node, written: &mut Written, findings: &mut Findings) {
    let id = node.get("id").and_then(Node::scalar).unwrap_or("?").to_string();
    match field(node, &id, written, findings) {
        Some(field) => written.fields.push(field),
        None => written.unread.push(id),
    }
}

fn field(node: &Node, id: &str, farm: &Written, findings: &mut Findings) -> Option<WrittenField> {
    let walk = Walker::new(format!("field {id}"), node, findings)?;
    let id = walk.need_text("id", "a short id, the same as in fields.geojson", findings);
    let stand = before::stand(&walk, id.as_ref().map_or("", |id| &id.value), &farm.crops, findings);
    let texture = walk.text("texture", findings).and_then(|t| Texture::read(t, findings));
    let (legume, hayed) = (walk.quantity("legume", findings), walk.quantity("hayed", findings));
    let endophyte = Endophyte::may(&walk, "endophyte", findings);
    let (yields, earlier) = (years::yields(&walk, findings), years::earlier(&walk, findings));
    let (survey_yield, worked_in) = (walk.quantity("survey_yield", findings), walk.quantity("worked_in", findings));
    years::some_yield(&walk, farm.soils_named, findings);
    let (bank_years, banked_until) =
        (whole(&walk, "bank_years", 1, 10, findings), whole(&walk, "banked_until", 1950, 2200, findings));
    let erosion = walk.ask("erosion").and_then(|n| years::erosion(n, farm.soils_named, findings));
    let soil_tests = records(&walk, ("soil_test", "soil tests"), |n, f| soil_test(n, &farm.crops, f), findings);
    let ratings = records(&walk, ("phosphorus_rating", "ratings"), rated::read, findings);
    let rules_said = records(&walk, ("phosphorus_rule", "statements"), rule_said, findings);
    let hays = records(&walk, ("hay_analysis", "hay analyses"), hay::read, findings);
    let before = before::read(&walk, &farm.crops, findings);
    let (other_n, most) = (walk.quantity("other_n", findings), walk.quantity("most", findings));
    let (only_lots, closed) = (only_lots(&walk, findings), closed(&walk, findings));
    let (cut_wait, miles) = (walk.quantity("cut_wait", findings), walk.quantities("miles", findings));
    let (heading, whole) = (heading(walk.text("heading", findings), findings), walk.yes_no("whole", findings));
    let cuttings = walk.list("cuttings", findings).iter().filter_map(|n| bare_date(n, findings)).collect();
    let grazed = walk.list("grazed", findings).iter().filter_map(|n| grazed(n, findings)).collect();
    let (sure, place) = (sure::read(&walk, findings), walk.place().clone());
    walk.filled(LIMITING, findings);
    walk.finish(findings);
    let (stand, soil_tests, ratings, rules_said, hays) = (stand?, soil_tests?, ratings?, rules_said?, hays?);
    Some(WrittenField {
        name: stand.name.clone(),
        id: id?,
        forage: stand.forage.clone(),
        usage: stand.usage.clone(),
        texture,
        legume,
        hayed,
        endophyte,
        yield_goal: stand.yield_goal.clone(),
        bushels: stand.bushels.clone(),
        yields,
        survey_yield,
        worked_in,
        earlier,
        bank_years,
        banked_until,
        erosion,
        soil_test: soil_tests.newest().cloned(),
        soil_tests,
        rating: ratings.newest().cloned(),
        ratings,
        rule_said: rules_said.newest().cloned(),
        rules_said,
        hay: hays.newest().cloned(),
        hays,
        before: before?,
        stand,
        other_n,
        most,
        only_lots,
        closed,
        miles,
        heading,
        whole,
        cut_wait,
        cuttings,
        grazed,
        sure,
        place,
    })
}

/// Keys of a field that keep litter off it or lessen it.
const LIMITING: &[&str] = &[
    "legume",
    "hayed",
    "earlier",
    "banked_until",
    "phosphorus_rating",
    "phosphorus_rule",
    "other_n",
    "most",
    "only_lots",
    "closed",
    "cut_wait",
    "grazed",
];

/// The only lots that a field may get; a list without any would let all of them on.
fn only_lots(walk: &Walker<'_>, findings: &mut Findings) -> Vec<At<String>> {
    let list = walk.ask("only_lots").filter(|node| matches!(&node.kind, Kind::List(items) if items.is_empty()));
    if let Some(list) = list {
        let found = format!("{}: `only_lots` names no lot", walk.what());
        findings.push(
            Finding::error("only-lots-none", &list.place, found)
                .accepts("the lots that the field may get, as in `[clean-out]`")
                .fix("name them; if no litter is to go on it, write `closed:` with the reason"),
        );
    }
    walk.words("only_lots", findings)
}

/// Words after `closed:` that say that a field is open, where its reason belongs.
pub(super) const NOT_CLOSED: &[&str] = &["no", "n", "false", "off", "open", "none"];

/// Why a field is closed; nobody's reason is `no`.
fn closed(walk: &Walker<'_>, findings: &mut Findings) -> Option<At<String>> {
    let closed = walk.text("closed", findings)?;
    if NOT_CLOSED.contains(&key_of(&closed.value).as_str()) {
        let found = format!("{}: `closed` is `{}`: is the field open or closed?", walk.what(), closed.value);
        findings.push(
            Finding::error("closed-or-open", &closed.place, found)
                .accepts("the reason why no litter goes on it, as in `closed: wet until May`")
                .fix("take `closed` out where the field is open; else write why it is closed"),
        );
    }
    Some(closed)
}

/// Which way to drive: degrees, or along the long side.
fn heading(text: Option<At<String>>, findings: &mut Findings) -> Option<At<Heading>> {
    let text = text?;
    if key_of(&text.value) == "long_side" {
        return Some(At { value: Heading::LongSide, place: text.place });
    }
    let digits = text.value.trim_end_matches("degrees").trim_end_matches("deg").trim_end();
    match number(digits).filter(|degrees| (0.0..=180.0).contains(degrees)) {
        Some(degrees) => Some(At { value: Heading::Degrees(degrees), place: text.place }),
        None => {
            let found = format!("`heading` is `{}`", text.value);
            findings.push(
                Finding::error("heading", &text.place, found)
                    .accepts("degrees clockwise from true north, 0 to 180, or `long side`")
                    .fix("write for example `heading: 40`; for a run driven at 220 write 40, the same line"),
            );
            None
        }
    }
}

fn bare_date(node: &Node, findings: &mut Findings) -> Option<At<Date>> {
    match node.scalar().and_then(text::day) {
        Some(value) => Some(At { value, place: node.place.clone() }),
        None => {
            let found = format!("{} is {}", node.describe(), text::NO_DAY);
            findings.push(
                Finding::error("date", &node.place, found).accepts("a day of the calendar, for example 2027-05-15"),
            );
            None
        }
    }
}

fn grazed(node: &Node, findings: &mut Findings) -> Option<(At<Date>, At<Date>)> {
    let walk = Walker::new("the grazing", node, findings)?;
    let from = walk.need_date("from", findings);
    let to = walk.need_date("to", findings);
    walk.finish(findings);
    let (from, to) = (from?, to?);
    if to.value < from.value {
        let found = format!("the grazing ends on {}, before it starts", to.value);
        findings.push(
            Finding::error("dates-crossed", &to.place, found)
                .accepts("a last day that does not lie before the first")
                .also(&from.place, "it starts here"),
        );
        return None;
    }
    Some((from, to))
}

/// What a grower states for the phosphorus rule; its words are those of the place.
fn rule_said(node: &Node, findings: &mut Findings) -> Option<RuleSaid> {
    let walk = Walker::new("the phosphorus rule", node, findings)?;
    let mut word = |key| walk.text(key, findings).map(|text| text.map(|word| key_of(&word)));
    let [farm, plan, way] = [word("farm"), word("plan"), word("way")];
    let mut words = |key| -> Vec<At<String>> {
        let all = walk.words(key, findings).into_iter();
        all.map(|text| text.map(|word| key_of(&word))).collect()
    };
    let [areas, stated] = [words("areas"), words("stated")];
    let year = whole(&walk, "year", 1990, 2200, findings);
    let saturation = walk.quantity("saturation", findings);
    let by = walk.need_name("by", "who says so", findings);
    let on = walk.need_date("on", findings);
    walk.filled(&["farm", "plan", "way", "areas", "saturation", "stated", "year"], findings);
    if let Some(year) = year.as_ref().filter(|_| stated.is_empty()) {
        let found = "the phosphorus rule: `year` says for which year `stated` holds, and nothing is stated";
        findings.push(
            Finding::warning("year-of-nothing", &year.place, found)
                .accepts("`year` beside `stated`; all else of `phosphorus_rule` holds until a newer one")
                .fix("take `year` out, or write what is stated"),
        );
    }
    walk.finish(findings);
    let (by, on) = (by?.value, on?);
    Some(RuleSaid { farm, plan, way, areas, saturation, stated, year, counted_for: None, by, on })
}

pub(super) fn soil_test(node: &Node, crops: &[WrittenCrop], findings: &mut Findings) -> Option<SoilTest> {
    let walk = Walker::new("the soil test", node, findings)?;
    let lab = walk.need_text("lab", "the laboratory's name", findings);
    let sampled = walk.need_date("sampled", findings);
    let extractant = walk.need_text("extractant", "the extractant on the report, for example mehlich-3", findings);
    let p = walk.need_text("p", SOIL_ACCEPTS, findings).and_then(|t| soil_value("p", t, findings));
    let k = walk.need_text("k", SOIL_ACCEPTS, findings).and_then(|t| soil_value("k", t, findings));
    let mg = walk.text("mg", findings).and_then(|t| soil_value("mg", t, findings));
    let ph = plain(&walk, "ph", 2.0..=11.0, findings);
    let buffer_ph = plain(&walk, "buffer_ph", 2.0..=9.0, findings);
    let acidity = plain(&walk, "acidity", 0.0..=50.0, findings);
    let zinc = walk.text("zinc", findings).and_then(|t| soil_value("zinc", t, findings));
    let copper = walk.text("copper", findings).and_then(|t| soil_value("copper", t, findings));
    let recommended = recommended::read(&walk, crops, findings);
    let sure = sure::read(&walk, findings);
    walk.filled(&["recommended"], findings);
    walk.finish(findings);
    let extractant = extractant?.map(|e| key_of(&e));
    Some(SoilTest {
        lab: lab?.value,
        sampled: sampled?,
        extractant,
        p: p?,
        k: k?,
        mg,
        ph,
        buffer_ph,
        acidity,
        zinc,
        copper,
        recommended,
        sure,
    })
}

const SOIL_ACCEPTS: &str = "a number and the unit of the report: index, ppm or lb/ac";

fn soil_value(key: &str, text: At<String>, findings: &mut Findings) -> Option<At<SoilValue>> {
    let (digits, unit) = text.value.split_once(char::is_whitespace).unwrap_or((text.value.as_str(), ""));
    let scale = SoilScale::named(unit.trim());
    match number(digits).zip(scale).and_then(|(number, scale)| SoilValue::new(number, scale)) {
        Some(value) => Some(At { value, place: text.place }),
        None => {
            let fault = match number(digits) {
                None => "which does not start with a plain number",
                Some(number) if !(0.0..=SoilValue::MOST).contains(&number) => "which no soil test can show",
                Some(_) if digits.len() == text.value.len() => "without the unit of the report",
                Some(_) => "in a unit that is not known",
            };
            let found = format!("the soil test: `{key}` is `{}`, {fault}", text.value);
            let converted = quantity::<LbPerAcre>(&text.value).ok().filter(|_| scale.is_none());
            let fix = match converted {
                Some(an_acre) => {
                    let lb = number_text(an_acre.get(), 1);
                    format!("{} is {lb} lb/ac: write `{key}: {lb} lb/ac`, or the report's own index or ppm", text.value)
                }
                None => format!("write it as on the report, for example `{key}: 84 index`"),
            };
            findings.push(
                Finding::error("soil-value", &text.place, found)
                    .accepts(format!("{SOIL_ACCEPTS}; not below 0"))
                    .fix(fix),
            );
            None
        }
    }
}
