//! Checks of the fields: names, forages, soil tests and their age.

use crate::check::aged::last_day;
use crate::check::bar::{Bar, Wants};
use crate::check::done_parts::DoneGround;
use crate::check::names::{field_there, twice};
use crate::check::ready::{Field, INCORPORATED, SURFACE, words};
use crate::check::stated;
use crate::check::{carried, rated, reported, untested};
use crate::farm::{Measure, RuleSaid, Written, WrittenField};
use crate::findings::{At, Finding, Findings, Origin, nearest};
use crate::tables::p_rule::UNSAID;
use crate::tables::{Book, Scope, topic};
use crate::units::{Quantity, number};
use geo::MultiPolygon;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// More applications in a year than this are not looked at.
const MOST_APPLICATIONS: u32 = 4;

pub(super) fn check(
    written: &Written,
    shapes: &BTreeMap<String, MultiPolygon<f64>>,
    (book, open, on): (&Book<'_>, Date, Date),
    findings: &mut Findings,
) -> Vec<Field> {
    twice("fields", written.fields.iter().map(|f| &f.id), findings);
    written.points.iter().filter(|p| !p.stack).for_each(|gate| field_there(&gate.of, written, findings));
    rated::papers(written, book, findings);
    reported::check(written, book, findings);
    written.fields.iter().filter_map(|f| field(f, written, shapes, (book, open, on), findings)).collect()
}

fn field(
    written: &WrittenField,
    farm: &Written,
    shapes: &BTreeMap<String, MultiPolygon<f64>>,
    (book, open, on): (&Book<'_>, Date, Date),
    findings: &mut Findings,
) -> Option<Field> {
    let mut own = thin_in_legumes(written, book, findings).unwrap_or_else(|| written.clone());
    let days = farm.span.as_ref().map_or((open, open), |(from, to)| (from.value, to.value));
    stated::for_its_year(&mut own, days, book, findings);
    carried::carry(&mut own, farm.span.is_some().then_some(days));
    let written = &own;
    forage_known(written, false, book, findings);
    for before in written.before.iter().filter(|b| b.forage.is_some()) {
        let day = before.until.value;
        forage_known(&written.as_of(day, day), true, book, findings);
    }
    changes_within(written, farm, findings);
    let mut bars = Vec::new();
    if let Some(closed) = &written.closed {
        bars.push(Bar {
            wants: Wants::Opening,
            why: format!("closed by the grower: {}", closed.value),
            fix: "take `closed` out of farm.yaml".to_string(),
            origin: Origin::Line(closed.place.clone()),
        });
    }
    let large = farm.large.as_ref().is_some_and(|l| l.value);
    let good_until = written.soil_test.as_ref();
    let good_until = good_until.and_then(|t| last_day(t.sampled.value, topic::SOIL_SAMPLE_AGE, large, book));
    let by = untested::row(written, large, book);
    let expired = good_until.as_ref().filter(|aged| aged.last < open);
    bars.extend(untested::check(written, expired, by.as_ref(), findings));
    let test_expired = expired.map(|aged| aged.last);
    let after_test = untested::after(good_until.as_ref(), by.as_ref(), (open, days.1));
    let untested = by.filter(|_| written.soil_test.is_none() || test_expired.is_some());
    bars.extend(rated::without_a_rule(written, book, findings));
    let rating_expired = rated::check(written, (book, open), findings);
    most_of_nothing(written, findings);
    // Where there is ground, the log may add years first.
    if !shapes.contains_key(&written.id.value) {
        enough_years(written, book, findings);
    }
    earlier_is_earlier(written, book, findings);
    said_in_words_of_the_rule(written, book, findings);
    let (placement, days) = placing(written, book);
    let gate = farm.points.iter().find(|p| !p.stack && p.of.value == written.id.value).map(|p| p.at);
    Some(Field {
        written: written.clone(),
        shape: shapes.get(&written.id.value)?.clone(),
        gate,
        cuttings: Vec::new(),
        grazed: Vec::new(),
        stock: will_be_grazed(written, open) || farm.herds.iter().any(|herd| herd.grazes(written.id.value.as_str())),
        bars,
        test_expired,
        rating_expired,
        good_until,
        untested,
        after_test,
        applications: applications(written, book),
        placement,
        days,
        sheep: grazed_by_sheep(written, farm),
        rating: written.rating.as_ref().map(|r| r.rating.value),
        done: DoneGround::default(),
        in_force_since: written.in_force_since(open, on),
    })
}

/// Most applications that a field gets in the year; as many as a season has
/// parts where the tables do not say.
fn applications(field: &WrittenField, book: &Book<'_>) -> usize {
    let most = book.get(topic::APPLICATIONS, &words(field));
    let most = most.map_or(f64::from(MOST_APPLICATIONS), |f| f.value.get());
    crate::units::whole_down(most).clamp(1, i64::from(MOST_APPLICATIONS)) as usize
}

/// Whether stock grazes it by its use on a day, or by what it becomes later.
fn will_be_grazed(field: &WrittenField, open: Date) -> bool {
    let later = field.before.iter().filter(|before| before.until.value >= open);
    let mut uses = later.filter_map(|before| before.usage.as_ref()).chain([&field.usage, &field.stand.usage]);
    uses.any(|usage| usage.value.is_grazed())
}

/// A mixed stand needs no nitrogen only with enough legumes in it; a thinner one lives on its
/// grass, and comes back as that, where the tables name one. Where nobody says the share it
/// gets no nitrogen, and it is asked.
fn thin_in_legumes(field: &WrittenField, book: &Book<'_>, findings: &mut Findings) -> Option<WrittenField> {
    let scope = words(field);
    let feeds_itself = book.get(topic::N_PER_TON, &scope).is_some_and(|need| need.value.get() <= 0.0);
    let enough = book.get(topic::N_LEGUME_NONE, &scope).filter(|_| feeds_itself)?;
    let grass = book.get(topic::THIN_STAND, &scope);
    let (id, stand) = (&field.id.value, field.forage.value.replace('_', " "));
    let accepts = format!("{} and more: {}", enough.value, enough.cite);
    let Some(share) = &field.legume else {
        if grass.is_some() && field.closed.is_none() {
            let found =
                format!("field {id}: nothing says how much of {stand} is legumes, and it is planned without nitrogen");
            findings.push(Finding::warning("legume-unsaid", &field.forage.place, found).accepts(format!("the share of legumes, which feed the stand at {accepts}")).fix(
                "count them, and add the line `legume: ... %` to the field: a thinner stand is planned as its grass",
            ));
        }
        return None;
    };
    if share.value >= enough.value {
        return None;
    }
    let told = |planned: String, fix: &str| {
        let thin = format!("field {id}: {} of legumes is too thin to feed the stand", share.value);
        Finding::warning("legume-thin", &share.place, format!("{thin}, and {stand} is planned {planned}"))
            .accepts(accepts)
            .fix(fix)
    };
    let Some(grass) = grass else {
        let fix = "write the grass of the stand, such as `forage: tall fescue`; the line `legume` stays";
        findings.push(told("without nitrogen".to_string(), fix));
        return None;
    };
    let fix = "where another grass stands write that one, such as `forage: orchardgrass`; the line `legume` stays";
    findings.push(told(format!("as {} ({})", grass.value.replace('_', " "), grass.cite), fix));
    Some(planned_as(field, &grass.value))
}

/// A field with another word for what stands on it, wherever it has that one.
fn planned_as(field: &WrittenField, grass: &str) -> WrittenField {
    let stood = &field.forage.value;
    let mut other = field.clone();
    let before = other.before.iter_mut().filter_map(|before| before.forage.as_mut());
    for forage in before.chain([&mut other.forage, &mut other.stand.forage]).filter(|own| own.value == *stood) {
        forage.value = grass.to_string();
    }
    other
}

fn grazed_by_sheep(field: &WrittenField, farm: &Written) -> bool {
    farm.herds.iter().any(|herd| herd.grazes(&field.id.value) && herd.is_sheep())
}

/// A plan goes by what grows on its first open day, on all of its days.
fn changes_within(field: &WrittenField, farm: &Written, findings: &mut Findings) {
    let Some((_, to)) = &farm.span else { return };
    let words = |day: Date| {
        let (forage, usage) = (&field.forage_on(day).value, field.usage_on(day));
        format!("{} as {}", forage.replace('_', " "), usage.word())
    };
    let now = format!("{} as {}", field.forage.value.replace('_', " "), field.usage.value.word());
    let other = |until: &&At<Date>| until.value.tomorrow().is_ok_and(|next| next <= to.value && words(next) != now);
    // Changes of before the plan's first open day are behind it.
    let mut untils = field.before.iter().map(|before| &before.until).filter(|until| words(until.value) == now);
    let Some(until) = untils.find(other) else { return };
    let then = until.value.tomorrow().map_or(now.clone(), words);
    let found = format!(
        "field {}: {now} until {}, then {then}; the plan goes by {now} on all of its days",
        field.id.value, until.value
    );
    findings.push(
        Finding::warning("changes-within", &until.place, found)
            .accepts(format!("a plan that ends by {}, and another one from then on", until.value))
            .fix("set `plan.to` to that day, or plan the rest of the year once the change is made"),
    );
}

/// A forage is known when the tables hold its nitrogen need. What grows now may also be one
/// that they lack: then the report says what it needs, or the field gets no litter for
/// want of a figure; but a word close to one of theirs is a slip.
fn forage_known(field: &WrittenField, past: bool, book: &Book<'_>, findings: &mut Findings) {
    // Where the tables go by texture, any of theirs will do: without one the field is barred.
    let textures = book.values_of(topic::N_RATE, "texture");
    let by_rate = |texture: &String| book.get(topic::N_RATE, &words(field).texture(texture)).is_some();
    let scope = words(field);
    if book.get(topic::N_PER_TON, &scope).is_some()
        || book.get(topic::N_RATE, &scope).is_some()
        || textures.iter().any(by_rate)
    {
        return;
    }
    let mut known = book.values_of(topic::N_PER_TON, "forage");
    known.extend(book.values_of(topic::N_RATE, "forage"));
    known.sort();
    known.dedup();
    let found = format!(
        "the tables of {} have no nitrogen rate for `{}` as {}",
        book.place().name,
        field.forage.value.replace('_', " "),
        field.usage.value.word()
    );
    let shown: Vec<String> = known.iter().map(|k| k.replace('_', " ")).collect();
    let slip = !known.contains(&field.forage.value)
        && nearest(&field.forage.value.replace('_', " "), shown.iter().map(String::as_str)).is_some();
    if !past && (!slip || recommends_n(field)) {
        return;
    }
    let finding = Finding::error("forage-unknown", &field.forage.place, found).accepts(shown.join(", "));
    findings.push(finding.near(&field.forage.value.replace('_', " "), shown.iter().map(String::as_str)));
}

/// Whether the soil report says how much nitrogen the field gets.
fn recommends_n(field: &WrittenField) -> bool {
    field.soil_test.as_ref().and_then(|test| test.recommended.as_ref()).is_some_and(|advice| advice.n.is_some())
}

/// A most of 0 closes a field without saying why.
fn most_of_nothing(field: &WrittenField, findings: &mut Findings) {
    let Some(most) = field.most.as_ref().filter(|m| m.value.get() <= 0.0) else { return };
    let found = format!("field {}: `most` is {}, so no litter goes on it", field.id.value, most.value);
    findings.push(
        Finding::warning("most-zero", &most.place, found)
            .accepts("the most tons per acre for the year, usually 1 or more")
            .fix("if no litter is to go on it, write `closed:` with the reason; else take `most` out"),
    );
}

/// A goal from past years needs as many years as the place asks for, each
/// once, and acres that are not 0.
pub(super) fn enough_years(field: &WrittenField, book: &Book<'_>, findings: &mut Findings) {
    if field.yield_goal.is_some() || field.yields.is_empty() {
        return;
    }
    let (Some(best), Some(of)) = (book.get(topic::YIELD_BEST, &Scope::new()), book.get(topic::YIELD_OF, &Scope::new()))
    else {
        let found = format!(
            "field {}: the tables of {} do not say how a yield goal is calculated",
            field.id.value,
            book.place().name
        );
        findings.push(Finding::error("yield-method", &field.place, found).accepts("`yield_goal: ... tons/ac`"));
        return;
    };
    let latest = field.yields.iter().map(|y| y.year.value).max().unwrap_or_default();
    let mut years: Vec<i16> =
        field.yields.iter().map(|y| y.year.value).filter(|y| f64::from(latest - y) < of.value.get()).collect();
    years.sort_unstable();
    let written = years.len();
    years.dedup();
    if years.len() < written || (years.len() as f64) < best.value.get() {
        let found = format!(
            "field {}: {} yields of different years among the latest {}",
            field.id.value,
            years.len(),
            of.value.get()
        );
        findings.push(
            Finding::error("yield-years", &field.place, found)
                .accepts(format!("the best {} of the latest {} years: {}", best.value.get(), of.value.get(), best.cite))
                .fix("add years, each once, or state a `yield_goal`; cuttings in the log add a year once it is over"),
        );
    }
    for year in &field.yields {
        if let Measure::Rolls { acres, .. } = &year.measure
            && acres.value.get() <= 0.0
        {
            let found = format!("field {}: the rolls of {} came off 0 acres", field.id.value, year.year.value);
            findings.push(Finding::error("yield-acres", &acres.place, found).accepts("more than 0"));
        }
    }
}

/// Litter of earlier years lies before the plan's year.
fn earlier_is_earlier(field: &WrittenField, book: &Book<'_>, findings: &mut Findings) {
    for earlier in field.earlier.iter().filter(|e| e.year.value >= book.on().year()) {
        let found = format!("field {}: litter of {} is listed under `earlier`", field.id.value, earlier.year.value);
        findings.push(
            Finding::error("not-earlier", &earlier.year.place, found)
                .accepts(format!("years before {}", book.on().year()))
                .fix("litter of the plan's own year belongs in log.csv"),
        );
    }
}

/// A key of `phosphorus_rule`, what a field states there, and what the rows ask for.
type RuleWords<'r> = (&'static str, Vec<At<String>>, BTreeSet<&'r String>);

/// The words that a field states for the phosphorus rule are those of its rows; a word
/// that no row asks for would change nothing.
fn said_in_words_of_the_rule(field: &WrittenField, book: &Book<'_>, findings: &mut Findings) {
    field.rules_said.iter().for_each(|said| in_words_of_the_rule(said, field, book, findings));
}

fn in_words_of_the_rule(said: &RuleSaid, field: &WrittenField, book: &Book<'_>, findings: &mut Findings) {
    let rules: Vec<_> = book.rules().into_iter().map(|(_, rule)| rule.value).collect();
    let farms = ["permitted", "buyer"].map(str::to_string);
    let one = |word: &Option<At<String>>| word.iter().cloned().collect::<Vec<_>>();
    let asked: [RuleWords<'_>; 5] = [
        // Whether it is a large operation is said of the whole farm.
        ("farm", one(&said.farm), farms.iter().collect()),
        ("plan", one(&said.plan), rules.iter().flat_map(|rule| &rule.when.plan).collect()),
        ("way", one(&said.way), rules.iter().flat_map(|rule| &rule.when.way).collect()),
        ("areas", said.areas.clone(), rules.iter().flat_map(|rule| &rule.when.region).collect()),
        ("stated", said.stated.clone(), rules.iter().flat_map(|r| r.unless.iter().map(|u| &u.stated)).collect()),
    ];
    for (key, words, known) in asked {
        let known: BTreeSet<&String> = known.into_iter().filter(|word| word.as_str() != UNSAID).collect();
        for word in words.iter().filter(|word| !known.contains(&word.value)) {
            let found = format!(
                "field {}: no row of the phosphorus rule of {} asks for the {key} `{}`",
                field.id.value,
                book.place().name,
                word.value.replace('_', " ")
            );
            let accepts: Vec<String> = known.iter().map(|word| word.replace('_', " ")).collect();
            let accepts = if accepts.is_empty() { format!("nothing under `{key}`") } else { accepts.join(", ") };
            let finding = Finding::error("rule-word", &word.place, found).accepts(accepts);
            findings.push(finding.near(&word.value, known.iter().map(|word| word.as_str())));
        }
    }
}

/// Where litter ends up, and the days until then as the tables step them: the
/// latest step that is not past the days, so that no nitrogen is counted out
/// too early.
pub(super) fn placing(field: &WrittenField, book: &Book<'_>) -> (&'static str, String) {
    let Some(worked_in) = &field.worked_in else { return (SURFACE, "none".to_string()) };
    let steps = book.values_of(topic::N_AMMONIUM_KEPT, "days");
    let mut steps: Vec<(f64, &String)> = steps.iter().filter_map(|s| Some((number(s)?, s))).collect();
    steps.sort_by(|a, b| a.0.total_cmp(&b.0));
    let within = steps.iter().rev().find(|(days, _)| *days <= worked_in.value.get()).or(steps.first());
    (INCORPORATED, within.map_or_else(|| "none".to_string(), |(_, key)| (*key).clone()))
}
