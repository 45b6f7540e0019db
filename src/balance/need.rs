//! What a field needs and what its forage carries off, lb per acre and year.

use crate::balance::desk::Desk;
use crate::balance::herds::Herds;
use crate::balance::logged::Logged;
use crate::balance::p_rules::Holding;
use crate::balance::periods::Span;
use crate::balance::{HerdPart, Npk, Op, PutOn, StepId, hay, herds, p_rules, report, residual};
use crate::farm::Use;
use crate::findings::{At, Finding, Known, Origin};
use crate::tables::{Classes, Of, Rate, topic};
use crate::units::{LbPerAcre, LbPerTon, Quantity, SoilValue, at_most, number_text};

/// A growing year that the plan touches.
#[derive(Clone, Debug, PartialEq)]
pub struct YearNeed {
    /// First and last day.
    pub days: Span,
    /// Nitrogen that the crop asks for in it, lb/ac.
    pub n: StepId,
    /// What the log put on in it.
    pub done: PutOn,
    /// The same on the ground that is left of a window that was begun, where one was.
    pub on_rest: Option<PutOn>,
    /// Of that, lb/ac that were not litter since the plan's first day.
    pub beside: Npk<f64>,
    /// Whether fertilizer is bought for it: the plan holds more than half of its days, or
    /// more than of any other.
    pub bought_for: bool,
}

/// Nitrogen need of each growing year: what the soil report recommends, never more than the
/// place has; else the yield goal's, or the place's rate, or the smaller where the place has
/// both; less other nitrogen, and no more than the phosphorus rule lets on of it.
pub(super) fn nitrogen(
    desk: &mut Desk<'_>,
    (log, rule): (&Logged<'_>, &[Holding<'_>]),
    goal: StepId,
    years: &[Span],
) -> Vec<StepId> {
    report::check(desk, goal);
    if let Some(none) = enough_legume(desk) {
        return vec![none; years.len()];
    }
    let by_yield = by_yield(desk, goal);
    let by_rate = desk.get(topic::N_RATE).map(|figure| desk.notes.figure("N rate of the place", &figure));
    let by_place = match (by_yield, by_rate) {
        (Some(a), Some(b)) => {
            Some(desk.notes.reckon("N of the year, the smaller of the two", "lb/ac", Op::Least, &[a, b]))
        }
        (one, other) => one.or(other),
    };
    let by_report = desk.advised("N", desk.advice().and_then(|advice| advice.n.as_ref()));
    let gross = match (by_report, by_place) {
        (Some(report), Some(_)) => n_of_report(desk, report, (by_yield, by_rate)),
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => return vec![desk.lacking(topic::N_PER_TON, "N need"); years.len()],
    };
    let mut parts = vec![gross];
    if let Some(other) = &desk.field.written.other_n {
        parts.push(desk.notes.written("N from anything else this year", other.value.get(), "lb/ac", other));
    }
    let mut needs: Vec<(Vec<StepId>, StepId)> = Vec::new();
    for year in years {
        let mut parts = parts.clone();
        parts.extend(residual::of(desk, log, *year));
        if let Some((_, need)) = needs.iter().find(|(own, _)| *own == parts).cloned() {
            needs.push((parts, need));
            continue;
        }
        let need = match parts[..] {
            [one] => one,
            _ => desk.notes.reckon("N need", "lb/ac", Op::Less, &parts),
        };
        let need = p_rules::most_n(desk, rule, need);
        needs.push((parts, need));
    }
    needs.into_iter().map(|(_, need)| need).collect()
}

/// Nitrogen that a report recommends, no more than what the place itself has for the crop.
fn n_of_report(desk: &mut Desk<'_>, report: StepId, (by_yield, by_rate): (Option<StepId>, Option<StepId>)) -> StepId {
    let (book, scope) = (desk.book, desk.scope());
    let cut = !desk.field.written.usage.value.is_grazed()
        || book.get(topic::N_GRAZING_CUT, &scope).is_none()
        || book.is_own(topic::N_GRAZING_CUT, &scope);
    let own = [(by_yield, cut && book.is_own(topic::N_PER_TON, &scope)), (by_rate, book.is_own(topic::N_RATE, &scope))];
    let of = |own_ones: bool| {
        own.into_iter().filter_map(move |(step, is_own)| step.filter(|_| is_own == own_ones)).collect::<Vec<_>>()
    };
    let advice = desk.advice().and_then(|advice| advice.n.as_ref());
    let least = match of(true)[..] {
        [] => report,
        [one] => no_more(desk, ("N", advice), report, one),
        ref both => {
            let most = desk.notes.reckon("N of the year, the smaller of the two", "lb/ac", Op::Least, both);
            no_more(desk, ("N", advice), report, most)
        }
    };
    of(false).into_iter().for_each(|other| over_another(desk, ("N", advice), least, other));
    least
}

/// Yield goal times nitrogen per ton, less the share that grazing returns.
fn by_yield(desk: &mut Desk<'_>, goal: StepId) -> Option<StepId> {
    let figure = desk.get(topic::N_PER_TON)?;
    let per_ton = desk.notes.figure(format!("N per ton of {}", desk.field.written.usage.value.yields()), &figure);
    let full = desk.notes.reckon("N for the yield goal", "lb/ac", Op::Times, &[goal, per_ton]);
    let grazed = desk.field.written.usage.value.is_grazed();
    let Some(cut) = desk.get(topic::N_GRAZING_CUT).filter(|_| grazed) else {
        return Some(full);
    };
    let origin = Origin::Figure(cut.cite);
    let cut = desk.notes.given("share left off because it is grazed", cut.value.get() * 100.0, "%", origin);
    let rest = desk.notes.reckon("share still needed", "", Op::Rest, &[cut]);
    Some(desk.notes.reckon("N after grazing returns", "lb/ac", Op::Times, &[full, rest]))
}

/// A stand with enough legume feeds itself.
fn enough_legume(desk: &mut Desk<'_>) -> Option<StepId> {
    let share = desk.field.written.legume.as_ref()?;
    let figure = desk.get(topic::N_LEGUME_NONE)?;
    let feeds = share.value.get() >= figure.value.get();
    // A grower with nearly so much is told that the figure is a step.
    let below = if feeds { "" } else { "; below it all of the need counts, with no step between" };
    desk.notes.written("legume in the stand", share.value.get(), "%", share);
    desk.notes.figure(format!("legume share from which no N is put on{below}"), &figure);
    feeds.then(|| desk.notes.given("N need", 0.0, "lb/ac", Origin::Figure(figure.cite)))
}

/// What the forage carries off the field in a year, and on pasture what truly leaves.
pub(super) fn removed(desk: &mut Desk<'_>, goal: StepId, herds: &Herds, gross: f64) -> Removed {
    let stock = herds.on(desk.ready, desk.field.id());
    let off = Off { goal, stock: &stock, gross };
    let [own_n, own_p, own_k] = ["N", "P2O5", "K2O"].map(|nutrient| hay::per_ton(desk, nutrient));
    let n = match (own_n, desk.get(topic::N_REMOVED_PER_TON)) {
        (None, None) => desk.notes.unknown("N carried off", Origin::Definition("no figure in the tables".into())),
        _ => off.carried(desk, own_n, topic::N_REMOVED_PER_TON, ("N", "n")),
    };
    let p2o5 = off.carried(desk, own_p, topic::P2O5_PER_TON, ("P2O5", "p2o5"));
    let k2o = off.carried(desk, own_k, topic::K2O_PER_TON, ("K2O", "k2o"));
    let npk = Npk { n, p2o5, k2o };
    let scope = desk.scope();
    let less = own_p.and_then(|own| hay::counted(desk, Some(own), &scope, "P2O5 in a ton by the tables"));
    let Some((own, less)) = own_p.zip(less).filter(|(own, less)| own != less) else {
        return Removed { npk, counted: p2o5, stock };
    };
    hay::tell(desk, own, less);
    let counted = off.of_tons(desk, less, ("P2O5", "p2o5"), "P2O5 carried off that a limit counts".to_string());
    Removed { npk, counted, stock }
}

/// What leaves a field in a year, lb/ac.
pub(super) struct Removed {
    /// By the farm's own hay analysis where there is one, else by the tables.
    pub(super) npk: Npk<StepId>,
    /// Phosphate that a limit by removal counts.
    pub(super) counted: StepId,
    /// The herds that graze the field.
    pub(super) stock: Vec<HerdPart>,
}

/// What is taken off a field: its hay, or what its stock keeps.
struct Off<'x> {
    goal: StepId,
    /// The herds that graze it.
    stock: &'x [HerdPart],
    /// Acres inside the boundary.
    gross: f64,
}

impl Off<'_> {
    /// By what the analysis found in a ton, else by the tables.
    fn carried(&self, desk: &mut Desk<'_>, own: Option<StepId>, topic: Of<LbPerTon>, nutrient: (&str, &str)) -> StepId {
        let what = format!("{} carried off", nutrient.0);
        if let Some(own) = own {
            return self.of_tons(desk, own, nutrient, what);
        }
        let Some(figure) = desk.get(topic) else { return desk.not_known(topic, &what, None) };
        let of_what = desk.field.written.usage.value.yields();
        let per_ton = desk.notes.figure(format!("{what} per ton of {of_what}"), &figure);
        self.of_tons(desk, per_ton, nutrient, what)
    }

    /// By what a ton holds.
    fn of_tons(&self, desk: &mut Desk<'_>, per_ton: StepId, (nutrient, key): (&str, &str), what: String) -> StepId {
        let of = vec![self.goal, per_ton];
        let usage = desk.field.written.usage.value;
        if usage == Use::Pasture {
            return self.grazed(desk, (nutrient, key), of, what);
        }
        let written = &desk.field.written;
        let Some((cut, hayed)) = written.hayed_of(usage).zip(written.hayed.as_ref()) else {
            return desk.notes.reckon(what, "lb/ac", Op::Times, &of);
        };
        let line = || Origin::Line(hayed.place.clone());
        let share = desk.notes.given("share of the growth that is cut for hay", cut, "", line());
        let rest = desk.notes.given("share of the growth that is grazed", 1.0 - cut, "", line());
        let hay: Vec<StepId> = of.iter().copied().chain([share]).collect();
        let hay = desk.notes.reckon(format!("{nutrient} that leaves as hay"), "lb/ac", Op::Times, &hay);
        let of = of.into_iter().chain([rest]).collect();
        let grazed = self.grazed(desk, (nutrient, key), of, format!("{nutrient} that leaves by grazing"));
        desk.notes.reckon(what, "lb/ac", Op::Sum, &[hay, grazed])
    }

    /// What animals keep of the forage that they eat, and no more than leaves with them.
    fn grazed(&self, desk: &mut Desk<'_>, (nutrient, key): (&str, &str), mut of: Vec<StepId>, what: String) -> StepId {
        let leaves = herds::leaves(desk, self.stock, (nutrient, key), self.gross);
        let scope = desk.scope().nutrient(key).usage(Use::Pasture.key());
        if let Some(keeps) = desk.book.get(topic::GRAZING_KEEPS, &scope) {
            let share = match leaves {
                Some(_) => format!("share of {nutrient} that grazing animals keep"),
                None => {
                    let assumed = herds::assumed(desk, self.stock, key);
                    format!("share of {nutrient} that grazing animals keep; {assumed}")
                }
            };
            of.push(desk.notes.figure(share, &keeps));
        }
        let Some(leaves) = leaves else { return desk.notes.reckon(what, "lb/ac", Op::Times, &of) };
        let all = format!("{nutrient} that animals would keep of all the forage");
        let all = desk.notes.reckon(all, "lb/ac", Op::Times, &of);
        desk.notes.reckon(what, "lb/ac", Op::Least, &[all, leaves])
    }
}

/// A soil-test value and the class it falls into.
#[derive(Clone, Copy)]
pub(super) struct Tested {
    pub(super) value: StepId,
    pub(super) tested: SoilValue,
    pub(super) class: Option<StepId>,
}

/// The soil test's phosphorus; none without a test.
pub(super) fn soil_p(desk: &mut Desk<'_>) -> Option<Tested> {
    let test = desk.field.written.soil_test.as_ref()?;
    Some(soil(desk, "soil-test P", &test.p, topic::SOIL_P_CLASS))
}

/// The soil test's potassium; none without a test.
fn soil_k(desk: &mut Desk<'_>) -> Option<Tested> {
    let test = desk.field.written.soil_test.as_ref()?;
    Some(soil(desk, "soil-test K", &test.k, topic::SOIL_K_CLASS))
}

/// The soil test's magnesium and its class, for the notebook alone.
fn soil_mg(desk: &mut Desk<'_>) {
    if let Some(mg) = desk.field.written.soil_test.as_ref().and_then(|t| t.mg.as_ref()) {
        soil(desk, "soil-test Mg", mg, topic::SOIL_MG_CLASS);
    }
}

fn soil(desk: &mut Desk<'_>, what: &str, written: &At<SoilValue>, topic: Of<Classes<SoilValue>>) -> Tested {
    let (number, unit) = written.value.shown();
    let value = match desk.field.test_expired {
        Some(last) => {
            let of = format!("a soil test that expired {last}");
            desk.notes.given(what, number, unit, Origin::Elsewhere { place: written.place.clone(), of })
        }
        None => desk.notes.written(what, number, unit, written),
    };
    let class = desk.book.get(topic, &desk.ready.soil_scope(desk.field)).and_then(|classes| {
        let class = classes.value.class_of(written.value)?.to_string();
        Some(desk.notes.class(format!("class of {what}"), class, value, classes.cite))
    });
    Tested { value, tested: written.value, class }
}

/// What a report recommends, held to what the place has for it.
fn no_more(
    desk: &mut Desk<'_>,
    (nutrient, at): (&str, Option<&At<LbPerAcre>>),
    report: StepId,
    most: StepId,
) -> StepId {
    let (advised, allowed) = (desk.notes.value(report), desk.notes.value(most));
    let held = advised > allowed;
    if let Some(at) = at.filter(|_| held) {
        let whose = match desk.notes.known().of(most) {
            Known::Said => "your own figure has".to_string(),
            _ => format!("the tables of {} have", desk.book.place().name),
        };
        let found = format!(
            "field {}: the soil report recommends {} lb/ac of {nutrient}, and {whose} {} lb/ac for it: the smaller holds",
            desk.field.id(),
            number_text(advised, 0),
            at_most(allowed, 0)
        );
        let fix = format!("`sward why {}` shows both with their sources", desk.field.id());
        desk.findings.push(Finding::note("report-held", &at.place, found).fix(fix));
    }
    let what = match held {
        true => format!("{nutrient} of the report, limited to the place's own"),
        false => format!("{nutrient} of the report, no more than the place's own"),
    };
    desk.notes.reckon(what, "lb/ac", Op::Least, &[report, most])
}

/// Says where a report recommends more than a figure that is not the place's own for the crop:
/// the report holds, since a laboratory's word for the field goes before that.
fn over_another(desk: &mut Desk<'_>, (nutrient, at): (&str, Option<&At<LbPerAcre>>), report: StepId, other: StepId) {
    let (advised, has) = (desk.notes.value(report), desk.notes.value(other));
    let Some(at) = at.filter(|_| advised > has + 1e-9) else { return };
    let found = format!(
        "field {}: the soil report recommends {} lb/ac of {nutrient}, and the tables have {} lb/ac by a figure that was \
         not read for this crop in {}: the report holds",
        desk.field.id(),
        number_text(advised, 0),
        at_most(has, 0),
        desk.book.place().name
    );
    let fix = format!("ask the planner which is right; `sward why {}` shows both with their sources", desk.field.id());
    desk.findings.push(Finding::warning("report-over", &at.place, found).fix(fix));
}

/// Phosphate to put on: what the soil report recommends, never more than the place's own
/// tables, as they were read, have for the test; else what the tables have.
pub(super) fn phosphate(desk: &mut Desk<'_>, soil: Option<Tested>) -> StepId {
    let advice = desk.advice().and_then(|advice| advice.p2o5.as_ref());
    let report = desk.advised("P2O5", advice);
    let what = "P2O5 the soil test calls for";
    let Some(report) = report else { return asked(desk, topic::P2O5_NEED, soil, what) };
    let most = soil.and_then(|soil| Some((soil, by_tables(desk, topic::P2O5_NEED, soil, what)?)));
    let Some((soil, most)) = most else { return report };
    let own = desk.book.is_own(topic::P2O5_NEED, &desk.scope().class(class_key(desk, soil)));
    // A class whose bounds were not read makes no figure that was.
    if own && desk.notes.known().of(most) <= Known::Said {
        return no_more(desk, ("P2O5", advice), report, most);
    }
    over_another(desk, ("P2O5", advice), report, most);
    report
}

/// Potash to put on: what the soil report recommends, else what the tables have for the
/// test. It is a need and no limit, so that the report alone holds.
pub(super) fn potash(desk: &mut Desk<'_>) -> StepId {
    soil_mg(desk);
    let soil = soil_k(desk);
    let report = desk.advised("K2O", desk.advice().and_then(|advice| advice.k2o.as_ref()));
    report.unwrap_or_else(|| asked(desk, topic::K2O_NEED, soil, "K2O the soil test calls for"))
}

/// What the tables have for a soil test. Where they have nothing it is a need that is not
/// known: it gets no credit, and nothing is bought for it.
fn asked(desk: &mut Desk<'_>, topic: Of<Rate<LbPerAcre>>, soil: Option<Tested>, what: &str) -> StepId {
    match soil {
        None => desk.notes.unknown(what, Origin::Definition("no soil test".into())),
        Some(soil) => by_tables(desk, topic, soil, what).unwrap_or_else(|| {
            let class = class_key(desk, soil);
            desk.not_known(topic, what, class)
        }),
    }
}

/// A curve over the test's value, or a rate by its class; none where the tables have neither.
fn by_tables(desk: &mut Desk<'_>, topic: Of<Rate<LbPerAcre>>, soil: Tested, what: &str) -> Option<StepId> {
    let class = class_key(desk, soil);
    let rate = desk.book.get(topic, &desk.scope().class(class)).filter(|rate| rate.value.takes(soil.tested))?;
    let by_class = desk.book.names(topic, &desk.scope().class(class_key(desk, soil)), "class");
    let at = soil.class.filter(|_| by_class).unwrap_or(soil.value);
    Some(match rate.value {
        Rate::Flat(lb) if by_class => desk.notes.by_class(what, lb.get(), "lb/ac", at, rate.cite),
        _ => desk.notes.rate(what, &rate, soil.value),
    })
}

/// The class of a soil test, as the tables write it.
fn class_key(desk: &Desk<'_>, soil: Tested) -> Option<String> {
    soil.class.map(|class| crate::text::key_of(&desk.notes.word_of(class)))
}
