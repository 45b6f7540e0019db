//! Which rows of the place's phosphorus rule hold on a field, and what each allows: pounds
//! are compared with pounds, never word with word.

use crate::balance::desk::Desk;
use crate::balance::{Op, StepId};
use crate::check::{Field, KeepOut};
use crate::farm::{Rating, RuleSaid};
use crate::findings::{At, Cite, Finding, Origin, Place};
use crate::ground;
use crate::tables::p_rule::{PBasis, PNear, POf, POr, PRule, PSays, PUnless, PWhen, PWins, UNSAID};
use crate::tables::{Topic, topic};
use crate::text::key_of;
use crate::units::Quantity;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// Slack of rounding, lb/ac.
const SLACK: f64 = 1e-9;
/// More years at once than any place allows.
const MOST_YEARS: u16 = 10;

/// The word of a field that nobody rated.
const UNRATED: &str = "unrated";

/// A row that holds on a field.
pub(super) struct Holding<'a> {
    /// What it is for.
    pub(super) what: &'a str,
    /// What it says here.
    pub(super) says: PSays,
    /// Whether it is about fields that nobody rated.
    pub(super) unrated: bool,
    /// Who is asked.
    pub(super) by: Option<String>,
    /// Its papers.
    pub(super) cite: Cite,
    /// What of farm.yaml it goes by, and the line.
    pub(super) stated: Option<(Statement, Place)>,
    /// What is stated for another year than this.
    lapsed: Option<String>,
    wins: PWins,
    /// Whether it goes by the rating, and by the soil test.
    pub(super) by_rating: bool,
    by_soil: bool,
    /// What it says where somebody states a condition, as long as nobody does.
    pub(super) ways: Vec<PUnless>,
}

impl Holding<'_> {
    /// Whether it holds by the soil test, or allows what that asks for.
    fn goes_by_the_test(&self) -> bool {
        let needs = self.says.basis == PBasis::Need || self.says.or.map(second) == Some(PBasis::Need);
        self.by_soil || needs
    }
}

/// What somebody stated, by which a row holds or steps aside.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Statement {
    /// What it says.
    pub words: String,
    /// Who says so.
    pub by: String,
    /// When.
    pub on: Date,
}

/// What a row allows.
#[derive(Clone, Debug, PartialEq)]
pub struct RuleRow {
    /// What it is for.
    pub what: String,
    /// What it says.
    pub says: PSays,
    /// What it allows in a year, lb/ac; none where it sets no pounds.
    pub pounds: Option<StepId>,
    /// Whether those are the soil test's, not the removal's.
    pub by_need: bool,
    /// The step that says so.
    pub why: StepId,
    /// Its papers.
    pub cite: Cite,
    /// What somebody stated, by which it holds or says what it says.
    pub stated: Option<Statement>,
    /// What is stated for another year than this.
    pub lapsed: Option<String>,
    /// The day on which the soil test expired that it goes by, where it did.
    pub expired: Option<Date>,
    /// Whether it is about fields that nobody rated.
    pub unrated: bool,
    /// What it says where somebody states a condition, as long as nobody does.
    pub ways: Vec<PUnless>,
}

/// The rating of a field on some day, what was stated by then, and the days for which that counts.
pub(super) type OnADay<'a> = (Option<Rating>, Option<&'a RuleSaid>, (Date, Date));

/// What is known of a field, in the words that the rows ask for.
struct Known<'a> {
    field: &'a Field,
    keepouts: &'a [KeepOut],
    rating: String,
    soil: Option<f64>,
    saturation: Option<f64>,
    class: Option<String>,
    areas: Vec<&'a str>,
    farm: Vec<&'a str>,
    plan: Option<&'a str>,
    way: Option<&'a str>,
    placement: &'static str,
    untested: bool,
}

impl<'a> Known<'a> {
    fn of(desk: &Desk<'a>, (rated, said, days): OnADay<'a>) -> Known<'a> {
        let (field, ready, book) = (desk.field, desk.ready, desk.book);
        let written = &field.written;
        let aside = set_aside(field, days);
        let test = written.soil_test.as_ref().filter(|_| !aside);
        let word = |word: &'a Option<crate::findings::At<String>>| word.as_ref().map(|at| at.value.as_str());
        let own = said.and_then(|said| word(&said.farm));
        // What is asked of a large operation is asked for its own ground, not for a buyer's.
        let large = (ready.large && own != Some("buyer")).then_some("large");
        let areas = said.into_iter().flat_map(|said| said.areas.iter().map(|area| area.value.as_str()));
        Known {
            field,
            keepouts: &ready.keepouts,
            rating: rated.map_or_else(|| UNRATED.to_string(), |rating| rating.key()),
            soil: test.and_then(|test| test.p.value.on(book.place().p_unit?)),
            saturation: said.and_then(|said| said.saturation.as_ref()).map(|at| at.value.get()),
            class: test.and_then(|test| {
                let classes = book.get(topic::SOIL_P_CLASS, &ready.soil_scope(field))?;
                classes.value.class_of(test.p.value).map(key_of)
            }),
            areas: ready.region.as_deref().into_iter().chain(areas).collect(),
            farm: large.or(own.is_none().then_some(UNSAID)).into_iter().chain(own).collect(),
            plan: Some(said.and_then(|said| word(&said.plan)).unwrap_or(UNSAID)),
            way: Some(said.and_then(|said| word(&said.way)).unwrap_or(UNSAID)),
            untested: aside,
            placement: if written.worked_in.is_some() { "worked_in" } else { "surface" },
        }
    }

    fn meets(&self, when: &PWhen, of: POf) -> bool {
        let one = |words: &[String], known: Option<&str>| {
            words.is_empty() || known.is_some_and(|known| words.iter().any(|word| word == known))
        };
        let any = |words: &[String], known: &[&str]| {
            words.is_empty() || words.iter().any(|word| known.contains(&word.as_str()))
        };
        (when.of == of || when.of == POf::All)
            && (!when.untested || self.untested)
            && one(&when.rating, Some(&self.rating))
            && when.soil.is_none_or(|ends| self.soil.is_some_and(|soil| ends.hold(soil)))
            && when.saturation.is_none_or(|ends| self.saturation.is_some_and(|share| ends.hold(share)))
            && one(&when.class, self.class.as_deref())
            && any(&when.region, &self.areas)
            && any(&when.farm, &self.farm)
            && one(&when.plan, self.plan)
            && one(&when.way, self.way)
            && one(&when.placement, Some(self.placement))
            && when.near.as_ref().is_none_or(|near| self.lies_near(near))
    }

    /// Whether something of the map would reach into the field from so many feet.
    fn lies_near(&self, near: &PNear) -> bool {
        let reaches = |keep: &KeepOut| {
            let around = [ground::KeepAway { index: 0, geometry: &keep.geometry, feet: near.within }];
            ground::cut(&self.field.shape, &around, 0.0).is_ok_and(|cut| !cut.zones.is_empty())
        };
        self.keepouts.iter().filter(|keep| near.of.contains(&keep.kind)).any(reaches)
    }
}

/// Whether the soil test counts no more on some days, or there is none, and the place has a row
/// for such fields. What was spread while it counted is judged by it.
fn set_aside(field: &Field, (from, to): (Date, Date)) -> bool {
    let last = field.good_until.as_ref().map(|aged| aged.last);
    let counted = |last: Date| from == to && from <= last;
    let over = field.after_test.is_some() && last.is_some_and(|last| last < from);
    over || field.untested.is_some() && !last.is_some_and(counted)
}

/// The rating and the statements that are in force.
fn in_force<'a>(desk: &Desk<'a>) -> OnADay<'a> {
    (desk.field.rating, desk.field.written.rule_said.as_ref(), (desk.ready.from, desk.ready.to))
}

/// The rows that say something on a field.
pub(super) fn holding<'a>(desk: &Desk<'a>, of: POf) -> Vec<Holding<'a>> {
    holding_as_of(desk, of, in_force(desk))
}

/// The rows that say something from the day after the soil test expired.
pub(super) fn holding_after_test<'a>(desk: &Desk<'a>) -> Option<(Date, Vec<Holding<'a>>)> {
    let from = desk.ready.goes_on_untested(desk.field)?;
    let (rated, said, (_, to)) = in_force(desk);
    Some((from, holding_as_of(desk, POf::Litter, (rated, said, (from, to)))))
}

/// The same as it was rated and stated another day.
pub(super) fn holding_as_of<'a>(desk: &Desk<'a>, of: POf, then: OnADay<'a>) -> Vec<Holding<'a>> {
    let known = Known::of(desk, then);
    let mut rows: Vec<Holding<'a>> = Vec::new();
    for (what, row) in desk.book.rules() {
        if known.meets(&row.value.when, of) {
            rows.push(as_stated((then.1, then.2, desk.field.written.most.is_some()), what, (row.value, row.cite)));
        }
    }
    if rows.iter().any(|row| row.wins == PWins::First) {
        rows.retain(|row| row.wins == PWins::First);
    }
    let speaks = |row: &Holding<'_>| !matches!(row.says.basis, PBasis::Warn | PBasis::Cap);
    if rows.iter().any(|row| row.wins != PWins::Last && speaks(row)) {
        rows.retain(|row| row.wins != PWins::Last);
    }
    rows.retain(|row| row.says.basis != PBasis::Warn);
    rows
}

/// A row, or what it says instead where the grower states a condition of it.
fn as_stated<'a>(
    (said, days, most): (Option<&RuleSaid>, (Date, Date), bool),
    what: &'a str,
    (rule, cite): (PRule, Cite),
) -> Holding<'a> {
    let whole = |unless: &&PUnless| most || !unless.with_most;
    let instead = rule.unless.iter().filter(whole).find_map(|unless| {
        let at = said?.states(&unless.stated, unless.one_year, days)?;
        Some((unless, &at.place))
    });
    let written = |unless: &&PUnless| said.is_some_and(|said| said.stated.iter().any(|at| at.value == unless.stated));
    let lapsed =
        rule.unless.iter().filter(whole).find(written).filter(|_| instead.is_none()).map(|unless| unless.words.clone());
    let stated = said.and_then(|said| {
        let mut parts = answers(said, &rule.when);
        parts.extend(instead.map(|(unless, place)| (unless.words.clone(), place)));
        let (_, place) = parts.last()?;
        let place = (*place).clone();
        let words = parts.into_iter().map(|(words, _)| words).collect::<Vec<_>>().join(", ");
        Some((Statement { words, by: said.by.clone(), on: said.on.value }, place))
    });
    Holding {
        what,
        says: instead.map_or(rule.says, |(unless, _)| unless.then),
        unrated: rule.when.rating.iter().any(|word| word == UNRATED),
        by: rule.by.clone(),
        cite,
        by_rating: !rule.when.rating.is_empty(),
        by_soil: rule.when.soil.is_some() || !rule.when.class.is_empty(),
        ways: if instead.is_some() { Vec::new() } else { rule.unless.clone() },
        stated,
        lapsed,
        wins: rule.wins,
    }
}

/// What of a statement answers the conditions of a row, each with its line.
fn answers<'s>(said: &'s RuleSaid, when: &PWhen) -> Vec<(String, &'s Place)> {
    let of = |key: &'static str, asked: &[String], all: &'s [At<String>]| {
        let own = all.iter().filter(|at| asked.contains(&at.value));
        own.map(|at| (format!("{key} {}", at.value.replace('_', " ")), &at.place)).collect::<Vec<_>>()
    };
    let share = said.saturation.iter().filter(|_| when.saturation.is_some());
    let mut parts = of("farm", &when.farm, said.farm.as_slice());
    parts.extend(of("plan", &when.plan, said.plan.as_slice()));
    parts.extend(of("way", &when.way, said.way.as_slice()));
    parts.extend(of("area", &when.region, &said.areas));
    parts.extend(share.map(|at| (format!("saturation {}", at.value), &at.place)));
    parts
}

/// Rows that hold and only say something, each with its words.
pub(super) fn cautions(desk: &Desk<'_>) -> Vec<(String, String)> {
    let known = Known::of(desk, in_force(desk));
    let rows = desk.book.rules().into_iter().filter(|(_, row)| known.meets(&row.value.when, POf::Litter));
    rows.filter_map(|(what, row)| Some((what.to_string(), row.value.words?))).collect()
}

/// The nitrogen that may go on from all sources where a row of the rule caps it as a share of
/// the need: less than the need only where the share is below 1, since no plan goes above it.
pub(super) fn most_n(desk: &mut Desk<'_>, rows: &[Holding<'_>], need: StepId) -> StepId {
    let capped = rows.iter().filter_map(|row| Some((row, row.says.n_most?)));
    let least = capped.min_by(|(_, a), (_, b)| a.total_cmp(b));
    // A share of 1 says what every plan keeps to.
    let Some((row, share)) = least.filter(|(_, share)| *share != 1.0) else { return need };
    let what = format!("most N as a share of the need, {}", row.what);
    let share = desk.notes.given(what, share, "", Origin::Figure(row.cite.clone()));
    let most = desk.notes.reckon("N that the phosphorus rule allows", "lb/ac", Op::Times, &[need, share]);
    desk.notes.reckon("N need, no more than the phosphorus rule allows", "lb/ac", Op::Least, &[need, most])
}

/// Says where the grower chose a way that the rule knows, and none of its rows goes by it
/// on this field: nobody is to think that it holds.
pub(super) fn way_without_a_row(desk: &mut Desk<'_>, holding: &[Holding<'_>]) {
    let Some(way) = desk.field.written.rule_said.as_ref().and_then(|said| said.way.as_ref()) else { return };
    let known = Known::of(desk, in_force(desk));
    let rules = desk.book.rules().into_iter().map(|(_, row)| row.value.when);
    let asked: Vec<PWhen> = rules.filter(|when| when.way.contains(&way.value)).collect();
    if asked.is_empty() || asked.iter().any(|when| known.meets(when, POf::Litter)) {
        return;
    }
    let of = |when: &PWhen| -> Vec<String> {
        let lists = [("farm", &when.farm), ("plan", &when.plan), ("rating", &when.rating), ("area", &when.region)];
        let asked = lists.into_iter().filter(|(_, words)| !words.is_empty());
        asked.map(|(key, words)| format!("{key} {}", words.join(" or ").replace('_', " "))).collect()
    };
    let rows: Vec<String> = asked.iter().map(|when| of(when).join(", ")).collect();
    let counts: Vec<&str> = holding.iter().map(|row| row.what).collect();
    let counts = if counts.is_empty() { "the soil test".to_string() } else { counts.join(", ") };
    let found = format!(
        "field {}: `way: {}` changes nothing here; what counts is: {counts}",
        desk.field.id(),
        way.value.replace('_', " ")
    );
    desk.findings.push(
        Finding::warning("rule-way-idle", &way.place, found)
            .accepts(format!("that way on a field of: {}", rows.join("; or ")))
            .fix("write what its row asks for, or take `way` out"),
    );
}

/// Says where a saturation was measured and what holds phosphate there goes by something else:
/// no row of the place asks for it, or a soil test stands for it until somebody states it.
pub(super) fn saturation_unused(desk: &mut Desk<'_>, holding: &[Holding<'_>]) {
    let said = desk.field.written.rule_said.as_ref();
    let Some(share) = said.and_then(|said| said.saturation.as_ref()) else { return };
    let asked = desk.book.rules().iter().any(|(_, row)| row.value.when.saturation.is_some());
    let stands = |row: &&Holding<'_>| row.by_soil && row.ways.iter().any(|way| way.words.contains("saturation"));
    let instead = holding.iter().find(stands);
    if asked && instead.is_none() {
        return;
    }
    let (why, fix) = match instead {
        Some(row) => {
            let way = row.ways.iter().find(|way| way.words.contains("saturation"));
            let way = way.map_or(String::new(), |way| {
                format!("where {}, write `stated: [{}]` beside it; else take it out", way.words, way.stated)
            });
            (format!("what counts is: {}", row.what), way)
        }
        None => {
            let place = &desk.book.place().name;
            (format!("no row of the phosphorus rule of {place} goes by it"), "take it out".to_string())
        }
    };
    let found = format!("field {}: `saturation: {}` changes nothing here; {why}", desk.field.id(), share.value);
    desk.findings.push(Finding::warning("saturation-idle", &share.place, found).fix(fix));
}

/// What the rows are weighed by.
#[derive(Clone, Copy)]
pub(super) struct Given {
    pub(super) need: StepId,
    pub(super) removed: StepId,
    pub(super) soil: Option<StepId>,
    pub(super) rating: Option<StepId>,
}

/// The rating of the field as the rows ask for it; none where none of them does.
pub(super) fn rating(desk: &mut Desk<'_>, rows: &[Holding<'_>]) -> Option<StepId> {
    rows.iter().any(|row| row.by_rating).then(|| match &desk.field.written.rating {
        Some(rated) => {
            let tool = rated.made_with().map_or(String::new(), |tool| format!(" with {tool}"));
            let what = format!("site risk rating by {}, {}{tool}", rated.by, rated.on.value);
            let place = rated.rating.place.clone();
            let origin = match &desk.field.rating_expired {
                Some(why) => Origin::Elsewhere { place, of: why.clone() },
                None => Origin::Line(place),
            };
            desk.notes.word(what, rated.rating.value.word(), origin)
        }
        None => {
            let origin = Origin::Definition("no site risk rating in farm.yaml".into());
            desk.notes.word("site risk rating", "none", origin)
        }
    })
}

/// What each row allows, as steps of the notebook.
pub(super) fn weighed(desk: &mut Desk<'_>, rows: &[Holding<'_>], given: Given) -> Vec<RuleRow> {
    rows.iter().map(|row| weigh(desk, row, given)).collect()
}

fn weigh(desk: &mut Desk<'_>, row: &Holding<'_>, given: Given) -> RuleRow {
    let Given { need, removed, .. } = given;
    let mut what = format!("phosphorus rule, {}", row.what);
    if let Some((Statement { words, by, on }, place)) = &row.stated {
        what += &format!("; stated by {by}, {on}: {words} ({place})");
    }
    let expired = desk.field.test_expired.filter(|_| row.goes_by_the_test());
    if let Some(last) = expired {
        what += &format!("; by a soil test that expired {last}");
    }
    let side = |basis| if basis == PBasis::Need { need } else { removed };
    let pounds = match row.says.basis {
        PBasis::Removal | PBasis::Need => {
            let first = timed(desk, row, side(row.says.basis));
            let by_need = row.says.basis == PBasis::Need;
            match row.says.or {
                None => desk.notes.knows(first).then_some((first, by_need)),
                Some(or) => of_two(desk, or, (first, by_need), side(second(or))),
            }
        }
        PBasis::None | PBasis::Ask => {
            let none = Origin::Definition("none at all".into());
            Some((desk.notes.given("no P2O5", 0.0, "lb/ac", none), false))
        }
        PBasis::Nitrogen | PBasis::Warn | PBasis::Cap => None,
    };
    let words = row.says.in_words();
    let by = given.rating.filter(|_| row.by_rating).or(given.soil.filter(|_| row.by_soil));
    let why = match by {
        Some(by) => desk.notes.class(what, words, by, row.cite.clone()),
        None => desk.notes.word(what, words, Origin::Figure(row.cite.clone())),
    };
    // Pounds are known no better than the row that lets them count.
    let pounds = pounds.map(|(step, by_need)| {
        let allowed = format!("P2O5 allowed, {}", row.what);
        (desk.notes.reckon(allowed, "lb/ac", Op::By, &[step, why]), by_need)
    });
    RuleRow {
        what: row.what.to_string(),
        says: row.says,
        pounds: pounds.map(|(step, _)| step),
        by_need: pounds.is_some_and(|(_, by_need)| by_need),
        why,
        cite: row.cite.clone(),
        stated: row.stated.as_ref().map(|(stated, _)| stated.clone()),
        lapsed: row.lapsed.clone(),
        expired,
        unrated: row.unrated,
        ways: row.ways.clone(),
    }
}

fn second(or: POr) -> PBasis {
    let (POr::Greater(other) | POr::Lesser(other)) = or;
    other
}

/// The basis of a row with its factor.
fn timed(desk: &mut Desk<'_>, row: &Holding<'_>, side: StepId) -> StepId {
    if row.says.times == 1.0 {
        return side;
    }
    let times = desk.notes.given("factor of the rule", row.says.times, "", Origin::Figure(row.cite.clone()));
    desk.notes.reckon("P2O5 that the rule allows", "lb/ac", Op::Times, &[side, times])
}

/// The greater or the lesser of two. Of a greater the one that is known is allowed at least;
/// a lesser that is known by half is not known.
fn of_two(desk: &mut Desk<'_>, or: POr, first: (StepId, bool), other: StepId) -> Option<(StepId, bool)> {
    let other = (other, !first.1);
    match (desk.notes.knows(first.0), desk.notes.knows(other.0)) {
        (true, true) => {}
        _ if matches!(or, POr::Lesser(_)) => return None,
        (true, false) => return Some(first),
        (false, true) => return Some(other),
        (false, false) => return None,
    }
    let (op, greater) = match or {
        POr::Greater(_) => (Op::Greatest, true),
        POr::Lesser(_) => (Op::Least, false),
    };
    let step = desk.notes.reckon("P2O5 that the rule allows", "lb/ac", op, &[first.0, other.0]);
    let takes_first = (desk.notes.value(first.0) >= desk.notes.value(other.0)) == greater;
    Some((step, if takes_first { first.1 } else { other.1 }))
}

/// Whether a row holds phosphate to pounds that nobody knows, for want of a figure.
pub(super) fn is_open(row: &RuleRow) -> bool {
    row.pounds.is_none() && matches!(row.says.basis, PBasis::Removal | PBasis::Need)
}

/// The figures that a row holds phosphate to.
pub(super) fn goes_by(says: &PSays) -> Vec<Topic> {
    let of = |basis| match basis {
        PBasis::Need => Some(topic::P2O5_NEED.into()),
        PBasis::Removal => Some(topic::P2O5_PER_TON.into()),
        _ => None,
    };
    of(says.basis).into_iter().chain(says.or.and_then(|or| of(second(or)))).collect()
}

/// How many years' worth of what binds may go on at once: as many as every row leaves
/// room for.
pub(super) fn years_at_once(desk: &Desk<'_>, rows: &[RuleRow], binds: f64) -> u16 {
    let leaves = |years: u16| {
        rows.iter()
            .filter_map(|row| Some((row, desk.notes.value(row.pounds?))))
            .all(|(row, pounds)| f64::from(years.min(row.says.years)) * pounds + SLACK >= f64::from(years) * binds)
    };
    (2..=MOST_YEARS).take_while(|years| leaves(*years)).last().unwrap_or(1)
}
