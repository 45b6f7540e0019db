//! Limits that the log alone has passed already: nothing more is planned
//! there, and whoever checks limits must know.

use crate::balance::desk::Desk;
use crate::balance::logged::Logged;
use crate::balance::{StepId, Supply, Window};
use crate::check::{Laid, Ready};
use crate::findings::{At, Finding, Place};
use crate::tables::{Of, topic};
use crate::units::{LbPerAcre, Quantity, number_text};
use jiff::civil::Date;

/// Slack of a hundredth, as pounds per acre are shown.
const SHOWN: f64 = 0.05;

/// Zinc or copper of a ton, where the analysis gives it.
type Metal = fn(&Supply) -> Option<StepId>;

const METALS: [(&str, Of<LbPerAcre>, Metal); 2] =
    [("zinc", topic::ZINC_LOAD_YEAR, |s| s.zinc), ("copper", topic::COPPER_LOAD_YEAR, |s| s.copper)];

/// What is told of a field's log.
struct Told<'a, 'd> {
    desk: &'a mut Desk<'d>,
    /// The line of the last spreading.
    last: Place,
    /// Whether a part of the field was done.
    part: bool,
}

/// A limit, with its unit.
type What<'a> = (&'a str, &'static str);

/// One warning a limit that the log passes, and one for a field done in part.
pub(super) fn check(
    desk: &mut Desk<'_>,
    log: &Logged<'_>,
    supplies: &[Supply],
    need: StepId,
    p2o5: Option<StepId>,
    windows: &[Window],
) {
    for (metal, a_year, per_ton) in METALS {
        total(desk, log.acres, supplies, metal, a_year, per_ton);
    }
    let Some((_, last)) = log.laid.entries().max_by_key(|(_, e)| e.date) else { return };
    let (need, p2o5) = (desk.notes.value(need), p2o5.map(|step| desk.notes.value(step)));
    let part = log.laid.part();
    let mut told = Told { desk, last: last.place.clone(), part: part.is_some() };
    told.bars();
    told.of_the_year(log, need, p2o5);
    told.of_the_seasons(need, windows);
    told.at_once(log);
    if let Some(part) = part {
        told.part(part, log.acres);
    }
}

impl Told<'_, '_> {
    /// Litter where none is allowed.
    fn bars(&mut self) {
        for bar in self.desk.bars.clone() {
            let found =
                format!("field {}: the log shows litter, and none is allowed: {}", self.desk.field.id(), bar.why);
            self.desk.findings.push(Finding::warning("logged-barred", &self.last, found).fix(bar.fix));
        }
    }

    /// The limits that all entries together must keep.
    fn of_the_year(&mut self, log: &Logged<'_>, need: f64, p2o5: Option<f64>) {
        let on = log.npk();
        self.say("logged-over", ("available N", "lb/ac"), on.n, need);
        if let Some(allowed) = p2o5 {
            self.say("logged-over", ("P2O5", "lb/ac"), on.p2o5, allowed);
        }
        for ((what, topic, _), on) in METALS.into_iter().zip(log.metals()) {
            if let (Some(on), Some(most)) = (on, self.desk.get(topic)) {
                self.say("logged-over", (what, "lb/ac"), on, most.value.get());
            }
        }
        let ready = self.desk.ready;
        let own = self.desk.field.written.most.as_ref().map(|most| most.value.get());
        let kinds: Vec<&str> = log.laid.entries().filter_map(|(_, e)| kind(ready, e.lot.as_ref()?)).collect();
        let of_place = kinds
            .iter()
            .filter_map(|kind| self.desk.book.get(topic::RATE_MOST_YEAR, &self.desk.scope().material(*kind)));
        let most = own.into_iter().chain(of_place.map(|f| f.value.get())).min_by(f64::total_cmp);
        if let Some(most) = most {
            self.say("logged-over", ("litter", "tons/ac"), log.tons(), most);
        }
    }

    /// The share of nitrogen that a season may take.
    fn of_the_seasons(&mut self, need: f64, windows: &[Window]) {
        let mut seasons: Vec<&str> = Vec::new();
        for window in windows.iter().filter(|w| w.n_share < 1.0) {
            if !seasons.contains(&window.season.as_str()) {
                seasons.push(&window.season);
                let what = format!("available N in {}", window.season.replace('_', " "));
                self.say("logged-over", (&what, "lb/ac"), window.n_done, need * window.n_share);
            }
        }
    }

    /// The limits that each entry must keep on its own acres.
    fn at_once(&mut self, log: &Logged<'_>) {
        let ready = self.desk.ready;
        let n_most = self.desk.get(topic::N_AT_ONCE).map(|most| most.value.get());
        for (_, entry) in log.laid.entries() {
            let rate = log.laid.rate(entry);
            let kind = entry.lot.as_ref().and_then(|at| kind(ready, at)).unwrap_or_default();
            let most =
                self.desk.book.get(topic::RATE_MOST, &self.desk.scope().material(kind)).map(|most| most.value.get());
            self.last = entry.place.clone();
            for (what, unit, on, most) in
                [("available N", "lb/ac", log.n_of(&entry.id, rate), n_most), ("litter", "tons/ac", rate, most)]
            {
                let what = format!("{what} at once on {}", entry.date);
                most.into_iter().for_each(|most| self.say("logged-at-once", (&what, unit), on, most));
            }
        }
    }

    fn part(&mut self, part: f64, acres: f64) {
        let found = format!(
            "field {}: {} of {} ac were done; the plan keeps the limits on the part that was done",
            self.desk.field.id(),
            number_text(part, 2),
            number_text(acres, 2)
        );
        let fix = "log the rest, or plan the part that is not done as a field of its own";
        self.desk.findings.push(Finding::warning("logged-part", &self.last, found).fix(fix));
    }

    fn say(&mut self, code: &'static str, (what, unit): What<'_>, on: f64, allowed: f64) {
        if on <= allowed + SHOWN {
            return;
        }
        let amount = |value: f64| number_text(value, if unit == "tons/ac" { 2 } else { 1 });
        let found = format!(
            "field {}: the log shows {} {unit} of {what}{}, and {} are allowed: {} too much",
            self.desk.field.id(),
            amount(on),
            if self.part { " on the part that was done" } else { "" },
            amount(allowed),
            amount(on - allowed)
        );
        let fix = "check the entries with `sward tally`; if they are right, tell the planner: no more is planned there";
        self.desk.findings.push(
            Finding::warning(code, &self.last, found)
                .accepts(format!("at most {} {unit} of {what}", amount(allowed)))
                .fix(fix),
        );
    }
}

/// The kind of litter of a lot.
fn kind<'r>(ready: &'r Ready, lot: &At<String>) -> Option<&'r str> {
    ready.lot(&lot.value).map(|lot| lot.kind.as_str())
}

/// A metal stays in the soil: the place's most over all years counts every
/// entry of the log, also those outside the plan's days. Reported once the most
/// of one year could pass it.
fn total(desk: &mut Desk<'_>, acres: f64, supplies: &[Supply], metal: &str, a_year: Of<LbPerAcre>, per_ton: Metal) {
    let Some(most) = desk.book.get(topic::METAL_LOAD_TOTAL, &desk.scope().nutrient(metal)) else { return };
    let (most, cite) = (most.value.get(), most.cite);
    let a_year = desk.get(a_year).map_or(0.0, |figure| figure.value.get());
    let ready = desk.ready;
    let on = Laid::of(ready, desk.field, desk.book, acres, (Date::MIN, Date::MAX)).densest(&|entry| {
        let step = ready.lot_of(entry).and_then(|lot| per_ton(supplies.get(lot)?));
        step.map_or(0.0, |step| desk.notes.value(step))
    });
    if on <= 0.0 || on + a_year <= most + SHOWN {
        return;
    }
    let found = format!(
        "field {}: the log shows {} lb/ac of {metal} over all years, and {} may ever go on",
        desk.field.id(),
        number_text(on, 1),
        number_text(most, 0)
    );
    let place = desk.field.written.place.clone();
    desk.findings.push(
        Finding::warning("metal-total", &place, found)
            .accepts(format!("at most {} lb/ac in all: {}", number_text(most, 0), cite))
            .fix(format!("test the soil for {metal} and ask the planner; litter from before the log counts too")),
    );
}
