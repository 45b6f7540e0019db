//! Checks of the lots: kinds, analyses and their age, piles outside.

use crate::check::aged::{Aged, ask, last_day};
use crate::check::bar::{Bar, Wants};
use crate::check::fields::placing;
use crate::check::names::{lot_there, twice, unknown_id};
use crate::check::ready::{Contents, Lot, SURFACE, Typical};
use crate::check::{counted, on_hand};
use crate::farm::{Stored, Written, WrittenLot};
use crate::findings::{At, Finding, Findings};
use crate::tables::{Book, Scope, topic};
use crate::text::key_of;
use crate::units::{Percent, Quantity, in_days};
use jiff::civil::Date;

pub(super) fn check(written: &Written, book: &Book<'_>, open: Date, findings: &mut Findings) -> Vec<Lot> {
    twice("lots", written.lots.iter().map(|l| &l.id), findings);
    if written.lots.is_empty() && written.unread.is_empty() {
        let place = crate::findings::Place::file(crate::farm::MAIN);
        findings.push(
            Finding::error("no-litter", &place, "the farm has no litter").accepts("a list of lots under `litter:`"),
        );
    }
    let large = written.large.as_ref().is_some_and(|l| l.value);
    written.points.iter().filter(|p| p.stack).for_each(|stack| lot_there(&stack.of, written, findings));
    let sampled = written.lots.iter().find_map(|lot| lot.analysis.as_ref()).map(|analysis| &analysis.sampled);
    findings.extend(ask("a litter analysis", sampled, topic::LITTER_SAMPLE_AGE, large, book).into_iter().collect());
    written.lots.iter().filter_map(|l| lot(l, written, large, (book, open), findings)).collect()
}

fn lot(
    written: &WrittenLot,
    farm: &Written,
    large: bool,
    (book, open): (&Book<'_>, Date),
    findings: &mut Findings,
) -> Option<Lot> {
    kind_known(written, farm, book, findings);
    all_water(written, findings);
    let contents = match &written.analysis {
        Some(analysis) => Some(Contents::Analysis(Box::new(analysis.clone()))),
        None => typical(written, book, findings).map(|t| Contents::Typical(Box::new(t))),
    };
    let good_until = written.analysis.as_ref().and_then(|a| {
        let aged = last_day(a.sampled.value, topic::LITTER_SAMPLE_AGE, large, book)?;
        sample_age(&written.id, &a.sampled, &aged, (book, open), findings);
        Some(aged)
    });
    let planned_until = written.analysis.as_ref();
    let planned_until = planned_until.and_then(|a| last_day(a.sampled.value, topic::LITTER_SAMPLE_STOP, large, book));
    let sampled = written.analysis.as_ref().map(|a| &a.sampled).zip(planned_until.as_ref());
    let barred = sampled.and_then(|(sampled, stop)| too_old(&written.id, sampled, stop, (open, farm), findings));
    let uncovered_until = outside(written, large, (book, open), findings);
    let on_hand = on_hand(written, book, findings);
    let stack = farm.points.iter().find(|p| p.stack && p.of.value == written.id.value).map(|p| p.at);
    let (on_hand, counting) = on_hand?;
    Some(Lot {
        id: written.id.value.clone(),
        kind: written.kind.value.clone(),
        from: written.from.clone(),
        on_hand,
        count: counted::written(written),
        counting,
        counted: written.counted.clone(),
        stored: written.stored.value,
        since: written.since.as_ref().map(|since| since.value),
        contents: contents?,
        analyses: written.analyses.clone(),
        good_until,
        planned_until,
        uncovered_until,
        barred,
        first: written.first.as_ref().is_some_and(|f| f.value),
        not_grazed: written.not_on.iter().any(grazed),
        never_grazed: book.get(topic::NOT_ON_GRAZED, &Scope::new().material(&written.kind.value)),
        never_sold: book.get(topic::NOT_SOLD, &Scope::new().material(&written.kind.value)),
        not_on: fields_kept_off(written, farm, findings),
        stack,
        place: written.place.clone(),
    })
}

/// Whether a word of `not_on` means all ground that is grazed.
fn grazed(word: &At<String>) -> bool {
    key_of(&word.value) == "grazed_ground"
}

/// The fields that a lot is kept off; each must be there.
fn fields_kept_off(lot: &WrittenLot, farm: &Written, findings: &mut Findings) -> Vec<String> {
    let fields = lot.not_on.iter().filter(|word| !grazed(word));
    fields
        .inspect(|field| {
            if !farm.field_ids().any(|id| id == field.value) {
                let known = farm.field_ids().chain(std::iter::once("grazed ground"));
                unknown_id("field", field, known, findings);
            }
        })
        .map(|field| field.value.clone())
        .collect()
}

/// A kind is known when the tables say how much of its nitrogen is available.
fn kind_known(lot: &WrittenLot, farm: &Written, book: &Book<'_>, findings: &mut Findings) {
    // Wherever the farm's fields have it: on top, or worked in.
    let mut placings: Vec<_> = farm.fields.iter().map(|field| placing(field, book)).collect();
    if placings.is_empty() {
        placings.push((SURFACE, "none".to_string()));
    }
    let asked = |(placement, days): &(&'static str, String)| {
        Scope::new().material(&lot.kind.value).placement(*placement).days(days.clone()).year("1")
    };
    let asked: Vec<Scope<'_>> = placings.iter().map(asked).collect();
    let by_share = |scope: &Scope<'_>| book.get(topic::N_AVAILABLE, scope).is_some();
    let by_pools = |scope: &Scope<'_>| {
        book.get(topic::N_ORGANIC_AVAILABLE, scope).is_some() && book.get(topic::N_AMMONIUM_KEPT, scope).is_some()
    };
    let others: Vec<&Scope<'_>> = asked.iter().filter(|scope| !by_share(scope)).collect();
    if !others.is_empty() && others.iter().all(|scope| by_pools(scope)) {
        return needs_ammonium(lot, book, findings);
    }
    let only_worked_in =
        !others.is_empty() && others.len() < asked.len() && others.iter().all(|s| s.get("placement") != Some(SURFACE));
    let mut known = book.values_of(topic::N_AVAILABLE, "material");
    known.extend(book.values_of(topic::LITTER_TYPICAL, "material"));
    known.extend(book.values_of(topic::NOT_ON_GRAZED, "material"));
    known.sort();
    known.dedup();
    // A share that holds for every kind says nothing of a word nobody knows.
    let named = known.is_empty() || known.contains(&lot.kind.value);
    if named && others.is_empty() {
        return;
    }
    let found = format!(
        "the tables of {} have no available-N figure for `{}`{}",
        book.place().name,
        lot.kind.value.replace('_', " "),
        if only_worked_in { " that is worked in, as on a field of this farm" } else { "" }
    );
    // A kind that the tables know is no answer where it has no figure either.
    let serves = |kind: &&String| {
        let own = asked.iter().map(|scope| scope.clone().material(kind.as_str()));
        own.into_iter().all(|scope| by_share(&scope) || by_pools(&scope))
    };
    let shown: Vec<String> = known.iter().filter(serves).map(|k| k.replace('_', " ")).collect();
    let finding = Finding::error("kind-unknown", &lot.kind.place, found).accepts(match shown[..] {
        [] => "a kind with such a figure; the tables have none here".to_string(),
        _ => shown.join(", "),
    });
    if only_worked_in {
        return findings.push(finding.fix(
            "the kind is known; the share for `worked_in` is not: ask the planner and give `n_available` under \
             `figures:`, or take `worked_in` out, and the field is planned as spread on top",
        ));
    }
    if known.contains(&lot.kind.value) {
        return findings.push(
            finding
                .fix("the kind is known, its share is not: ask the planner, and give `n_available` under `figures:`"),
        );
    }
    findings.push(finding.near(&lot.kind.value.replace('_', " "), shown.iter().map(String::as_str)));
}

/// A place that works by pools needs ammonium in the analysis.
fn needs_ammonium(lot: &WrittenLot, book: &Book<'_>, findings: &mut Findings) {
    let mut without = lot.analyses.iter().filter(|a| a.ammonium_n.is_none());
    let place = match without.next() {
        None if lot.analysis.is_some() => return,
        // One of several is named by its own line.
        Some(one) if lot.analyses.iter().len() > 1 => &one.sampled.place,
        _ => &lot.place,
    };
    let found = format!(
        "lot `{}`: {} calculates nitrogen from organic and ammonium N, and the analysis gives no ammonium",
        lot.id.value,
        book.place().name
    );
    findings.push(
        Finding::error("ammonium-missing", place, found)
            .accepts("`ammonium_n` in the analysis")
            .fix("ask the laboratory for ammonium nitrogen"),
    );
}

/// Litter that is water alone holds nothing, so that no limit would stop it.
fn all_water(lot: &WrittenLot, findings: &mut Findings) {
    for moisture in lot.analyses.iter().map(|a| &a.moisture).filter(|m| m.value.get() >= 100.0) {
        water(lot, moisture, findings);
    }
}

fn water(lot: &WrittenLot, moisture: &At<Percent>, findings: &mut Findings) {
    let found = format!("lot `{}`: `moisture` is {}: nothing but water", lot.id.value, moisture.value);
    findings.push(
        Finding::error("moisture-all", &moisture.place, found)
            .accepts("moisture below 100 %")
            .fix("does the report give dry matter? then moisture is 100 less that"),
    );
}

fn typical(lot: &WrittenLot, book: &Book<'_>, findings: &mut Findings) -> Option<Typical> {
    let get =
        |nutrient: &str| book.get(topic::LITTER_TYPICAL, &Scope::new().material(&lot.kind.value).nutrient(nutrient));
    match (get("total_n"), get("p2o5"), get("k2o")) {
        (Some(total_n), Some(p2o5), Some(k2o)) => {
            let found = format!(
                "lot `{}` has no analysis; the plan relies on typical contents of {}",
                lot.id.value,
                lot.kind.value.replace('_', " ")
            );
            findings.push(
                Finding::warning("no-analysis", &lot.place, found)
                    .fix("sample the pile and write the report under `analysis:` before anything is spread"),
            );
            Some(Typical { total_n, p2o5, k2o })
        }
        _ => {
            let found = format!(
                "lot `{}` has no analysis, and the tables have no typical contents of {}",
                lot.id.value,
                lot.kind.value.replace('_', " ")
            );
            findings.push(
                Finding::error("no-analysis", &lot.place, found).accepts("a laboratory's analysis under `analysis:`"),
            );
            None
        }
    }
}

fn sample_age(
    lot: &At<String>,
    sampled: &At<Date>,
    aged: &Aged,
    (book, open): (&Book<'_>, Date),
    findings: &mut Findings,
) {
    if aged.last >= open {
        return;
    }
    let found = format!(
        "lot `{}`: the analysis of {} is {} old on {open}, {}",
        lot.value,
        sampled.value,
        in_days((open - sampled.value).get_days()),
        if open == book.on() { "the plan's first day" } else { "the day of the plan" }
    );
    findings.push(
        Finding::warning("litter-sample-old", &sampled.place, found)
            .accepts(format!("at most {} days when it is spread: {}", aged.days, aged.cite))
            .fix("sample the lot again and re-run the plan before it is spread"),
    );
}

/// An analysis too old to plan on bars the lot until it is sampled again.
fn too_old(
    lot: &At<String>,
    sampled: &At<Date>,
    aged: &Aged,
    (open, farm): (Date, &Written),
    findings: &mut Findings,
) -> Option<Bar> {
    let over = aged.last < open;
    if !over && farm.span.as_ref().is_none_or(|(_, to)| to.value <= aged.last) {
        return None;
    }
    let found =
        format!("lot `{}`: no plan may rely on the analysis of {} after {}", lot.value, sampled.value, aged.last);
    let then = if over { "none of it is planned" } else { "none of it is planned after that day" };
    findings.push(
        Finding::warning("litter-sample-stop", &sampled.place, found)
            .accepts(aged.cite.to_string())
            .fix(format!("sample the lot again; until then {then}")),
    );
    over.then(|| Bar {
        wants: Wants::Nothing,
        why: format!("analysis of {} is too old to plan on", sampled.value),
        fix: "sample the lot again".to_string(),
        origin: crate::findings::Origin::Figure(aged.cite.clone()),
    })
}

fn outside(lot: &WrittenLot, large: bool, (book, open): (&Book<'_>, Date), findings: &mut Findings) -> Option<Aged> {
    if lot.stored.value != Stored::OutsideUncovered {
        return None;
    }
    let Some(since) = &lot.since else {
        let found = format!("lot `{}` lies outside uncovered, and nothing says since when", lot.id.value);
        findings.push(Finding::error("since-missing", &lot.stored.place, found).fix("add a line `since: 2027-01-05`"));
        return None;
    };
    let aged = last_day(since.value, topic::STOCKPILE_DAYS, large, book)?;
    if aged.last < open {
        let found = format!("lot `{}` lies outside uncovered since {}", lot.id.value, since.value);
        findings.push(
            Finding::warning("stockpile-old", &lot.stored.place, found)
                .accepts(format!("at most {} days, to {}: {}", aged.days, aged.last, aged.cite))
                .fix("cover it or move it"),
        );
    }
    Some(aged)
}
