//! What a grower wrote and no plan of this farm can use: a price without a
//! distance, a key that another one overrules, a word for something that is not
//! there. It is named, since whoever wrote it counts on it.

use crate::check::ready::Ready;
use crate::farm::{MONTHS, SoilTest, Use, Written, WrittenField, WrittenHouse};
use crate::findings::{Finding, Findings, Place};
use crate::units::Quantity;
use jiff::ToSpan;

pub(super) fn check(ready: &Ready, written: &Written, findings: &mut Findings) {
    hauls(ready, written, findings);
    detour(ready, written, findings);
    shop(written, findings);
    carry_over(written, findings);
    fit(ready, written, findings);
    first(ready, written, findings);
    for field in &written.fields {
        yields(field, findings);
        soil_test(field, findings);
        miles(field, findings);
    }
    for house in &written.work.houses {
        made(house, findings);
    }
    gains(written, findings);
}

/// Gain of animals of which no figure says what it holds, or where no pasture is grazed.
fn gains(written: &Written, findings: &mut Findings) {
    let pasture = |id: &str| written.fields.iter().any(|f| f.id.value == id && f.usage.value == Use::Pasture);
    for herd in &written.herds {
        let Some(gain) = &herd.gain else { continue };
        let why = match () {
            () if !herd.is_cattle() => "its kind does not say that it is cattle",
            () if !herd.fields.iter().any(|id| pasture(&id.value)) => "it grazes no field whose use is pasture",
            () => continue,
        };
        findings.push(unused(
            &gain.place,
            format!("{}: `gain` changes nothing, because {why}", herd.kind),
            "take it out, or correct `kind` or `fields`",
        ));
    }
}

/// A key without effect, and what would give it one.
fn unused(place: &Place, found: String, fix: impl Into<String>) -> Finding {
    Finding::warning("no-effect", place, found).fix(fix)
}

/// A key that gives way to another one of the same block.
fn overruled(place: &Place, of: &str, key: &str, by: (&str, &Place)) -> Finding {
    let found = format!("{of}: `{key}` changes nothing, because `{}` comes before it", by.0);
    Finding::note("overruled", place, found)
        .fix("take out the one of the two that is not meant")
        .also(by.1, format!("`{}`", by.0))
}

/// Miles that cost money or time, and that nothing tells.
fn hauls(ready: &Ready, written: &Written, findings: &mut Findings) {
    let priced = ready.prices.as_ref().map(|p| &p.hauling).filter(|price| price.value.get() > 0.0);
    let timed = written.work.days.as_ref().and_then(|days| days.haul.as_ref());
    let (why, place, costs) = match (priced, timed) {
        (Some(price), _) => ("hauling is priced", &price.place, "cost nothing"),
        (None, Some(haul)) => ("a haul takes time", &haul.speed.place, "take no time"),
        (None, None) => return,
    };
    for lot in ready.lots.iter().filter(|lot| lot.stack.is_none() && lot.barred.is_none()) {
        let far = ready.fields.iter().filter(|field| field.bars.is_empty());
        let far: Vec<&str> = far.filter(|f| f.written.miles_from(&lot.id).is_none()).map(|f| f.id()).collect();
        if far.is_empty() {
            continue;
        }
        let found = format!(
            "{why}, and nothing says how far lot `{}` is hauled: its miles to {} {costs} in the plan",
            lot.id,
            far.join(", ")
        );
        findings.push(
            Finding::warning("haul-unknown", place, found)
                .accepts("a stack of the lot in fields.geojson, or `miles` in every field")
                .fix(format!(
                    "draw a Point with \"kind\": \"stack\" and \"lot\": \"{}\" in fields.geojson, or write `miles: \
                     {{{}: 1.2 miles}}` in the fields",
                    lot.id, lot.id
                ))
                .also(&lot.place, "the lot"),
        );
    }
}

fn detour(ready: &Ready, written: &Written, findings: &mut Findings) {
    let Some(times) = &written.detour else { return };
    let straight = |lot: &crate::check::Lot| {
        lot.stack.is_some() && ready.fields.iter().any(|f| f.written.miles_from(&lot.id).is_none())
    };
    if ready.lots.iter().any(straight) {
        return;
    }
    let found = if ready.lots.iter().all(|lot| lot.stack.is_none()) {
        "`detour` changes nothing, because no stack is drawn in fields.geojson to measure a straight line from"
    } else {
        "`detour` changes nothing, because every field has `miles` of its own"
    };
    findings.push(unused(&times.place, found.to_string(), "draw the stacks, or take `detour` out"));
}

fn shop(written: &Written, findings: &mut Findings) {
    let shop = &written.shop;
    let keys = [
        ("fertilizer_least", shop.least.as_ref().map(|least| &least.place)),
        ("fertilizer_spreading", shop.spreading.as_ref().map(|spreading| &spreading.place)),
    ];
    for (key, place) in keys.into_iter().filter_map(|(key, place)| Some((key, place?))) {
        if shop.products.is_empty() {
            let found = format!("`{key}` changes nothing, because no fertilizer is listed");
            let fix = format!("list what can be bought under `fertilizer:`, or take `{key}` out");
            findings.push(unused(place, found, fix));
        }
    }
}

/// Litter carried over is worth something by its prices alone.
fn carry_over(written: &Written, findings: &mut Findings) {
    if let Some(said) = written.shop.carry_over.as_ref().filter(|_| written.prices.is_none() && !written.prices_lost) {
        let found = "`carry_over` changes nothing, because the farm gives no `prices` to say what the litter is worth";
        findings.push(unused(&said.keeps.place, found.to_string(), "give `prices`, or take `carry_over` out"));
    }
}

/// Shares of months in which the plan has no day.
fn fit(ready: &Ready, written: &Written, findings: &mut Findings) {
    let Some(days) = &written.work.days else { return };
    let mut months = Vec::new();
    let mut day = ready.from;
    while day <= ready.to {
        months.push(usize::try_from(day.month() - 1).unwrap_or(0));
        let Ok(next) = day.first_of_month().checked_add(1.month()) else { break };
        day = next;
    }
    for (month, share) in &days.fit {
        let Some(name) = month.filter(|m| !months.contains(m)).and_then(|m| MONTHS.get(m)) else { continue };
        let found = format!("`fit` of {name} changes nothing: the plan runs from {} to {}", ready.from, ready.to);
        findings.push(Finding::note("no-effect", &share.place, found).fix("nothing needs to be done"));
    }
}

fn first(ready: &Ready, written: &Written, findings: &mut Findings) {
    for (lot, written) in ready.lots.iter().zip(&written.lots) {
        let Some(first) = written.first.as_ref().filter(|first| first.value) else { continue };
        let filled = ready.work.houses.iter().any(|house| house.lot.as_ref() == Some(&lot.id))
            || ready.coming.iter().any(|coming| coming.lot == lot.id);
        let logged = ready.happened.iter().any(|e| e.lot.as_ref().is_some_and(|of| of.value == lot.id));
        let why = if let Some(bar) = &lot.barred {
            bar.why.clone()
        } else if lot.on_hand.0 == 0 && !filled && !logged {
            "nothing of it is on hand".to_string()
        } else {
            continue;
        };
        let found = format!("lot {}: `use_first` changes nothing: {why}", lot.id);
        findings.push(unused(&first.place, found, "take `use_first` out, or correct the lot"));
    }
}

/// A stated goal comes before past years, and those before a survey.
fn yields(field: &WrittenField, findings: &mut Findings) {
    let of = format!("field {}", field.id.value);
    let years = field.yields.first().map(|year| &year.year.place);
    let goal = field.stand.yield_goal.as_ref().map(|goal| &goal.place);
    if let (Some(goal), Some(years)) = (goal, years) {
        findings.push(overruled(years, &of, "yields", ("yield_goal", goal)));
    }
    if let Some(survey) = &field.survey_yield {
        let before = goal.map(|goal| ("yield_goal", goal)).or(years.map(|years| ("yields", years)));
        if let Some(before) = before {
            findings.push(overruled(&survey.place, &of, "survey_yield", before));
        }
    }
}

fn soil_test(field: &WrittenField, findings: &mut Findings) {
    for test in field.soil_tests.iter() {
        acidity_first(field, test, findings);
    }
}

fn acidity_first(field: &WrittenField, test: &SoilTest, findings: &mut Findings) {
    if let (Some(acidity), Some(buffer)) = (&test.acidity, &test.buffer_ph) {
        let of = format!("field {}", field.id.value);
        findings.push(overruled(&buffer.place, &of, "buffer_ph", ("acidity", &acidity.place)));
    }
}

/// Miles from a lot that the field never gets.
fn miles(field: &WrittenField, findings: &mut Findings) {
    for (lot, miles) in &field.miles {
        let Some(lot) = lot else { continue };
        if !field.only_lots.is_empty() && field.only_lots.iter().all(|only| only.value != lot.value) {
            let found = format!(
                "field {}: the miles from lot `{}` change nothing, because `only_lots` leaves that lot out",
                field.id.value, lot.value
            );
            findings.push(unused(&miles.place, found, "take the miles out, or add the lot to `only_lots`"));
        }
    }
}

/// The litter that a house makes: the grower's record before birds and flocks,
/// and his own figure before that of the tables.
fn made(house: &WrittenHouse, findings: &mut Findings) {
    let of = format!("house {}", house.name.value);
    if let (Some(made), Some(per)) = (&house.made, &house.tons_per_1000) {
        findings.push(overruled(&per.place, &of, "tons_per_1000", ("made", &made.place)));
    }
}
