//! Pounds and settings: the grid, the loads, and every lot's tally.

use crate::audit::fault::fault;
use crate::audit::lines::alike_but_lines;
use crate::audit::log;
use crate::audit::period::{self, JANUARY};
use crate::audit::season;
use crate::check::{Field, Ready};
use crate::findings::Findings;
use crate::plan::answer::{Application, FieldPlan, Plan};
use crate::record::What;
use crate::tables::Book;
use crate::units::{Pounds, Quantity};

/// Slack for a rate on the grid, far below any setting.
const SLACK: f64 = 1e-6;

pub(super) fn field(plan: &FieldPlan, field: &Field, ready: &Ready, book: &Book<'_>, findings: &mut Findings) {
    let spreader = &ready.spreader;
    let (step, least, most) = (spreader.step.value.get(), spreader.least.value.get(), spreader.most.value.get());
    // A hair up: a metric load of whole pounds comes out of its factors a last bit short.
    let load = (spreader.load.value.get() * 2_000.0 + 1e-6).floor() as i64;
    for (first, last) in period::touched(plan, ready, JANUARY) {
        let logged = log::spread(field, plan.acres, (first, last), ready, book);
        let trips = field.applications.saturating_sub(log::trips(&logged));
        // The log has counted the trip that the rest of a field belongs to.
        let trip = |a: &&Application| a.rest_acres.is_none() && first <= a.first && a.first <= last;
        let planned = plan.applications.iter().filter(trip).count();
        if planned > trips {
            let found =
                format!("field {}: {planned} applications in {} where {trips} may follow", plan.id, first.year());
            findings.push(fault("applications", found));
        }
    }
    for found in season::gone_over_again(plan, field, ready, book) {
        findings.push(fault("applications", found));
    }
    for a in &plan.applications {
        if let Some(why) = ready.lot(&a.lot).and_then(|lot| lot.kept_from(field)) {
            findings.push(fault("lot", format!("field {}, lot {}: {why}", plan.id, a.lot)));
        }
        let mut say =
            |what: String| findings.push(fault("setting", format!("field {}, lot {}: {what}", plan.id, a.lot)));
        let off_grid = (a.rate / step - (a.rate / step).round()).abs() > SLACK;
        if off_grid || a.rate < least - SLACK || a.rate > most + SLACK {
            say(format!("{} tons/ac is not a setting from {least} to {most} in steps of {step}", a.rate));
        }
        let acres = a.rest_acres.unwrap_or(plan.acres);
        let exact = a.rate * acres * 2_000.0;
        let pounds = a.pounds.0 as f64;
        if pounds > exact + 0.01 || pounds < exact - 1.0 {
            say(format!("{} for {acres:.2} ac at {} tons/ac", a.pounds, a.rate));
        }
        let hauled = (a.loads.saturating_sub(1)).max(0).saturating_mul(load).saturating_add(a.last_load.0);
        if hauled != a.pounds.0 || a.last_load.0 > load || a.last_load.0 < 0 || a.loads < 0 {
            say(format!("{} loads carry {} lb, not {}", a.loads, hauled, a.pounds));
        }
    }
}

pub(super) fn lots(plan: &Plan, ready: &Ready, findings: &mut Findings) {
    for (tally, lot) in plan.lots.iter().filter_map(|tally| Some((tally, ready.lot(&tally.id)?))) {
        let mut say = |what: String| findings.push(fault("tally", format!("lot {}: {what}", tally.id)));
        if tally.id != lot.id || tally.opening != lot.on_hand {
            say(format!("opening {} where the farm says {}", tally.opening, lot.on_hand));
        }
        if tally.counted_on != lot.count.day {
            say("the farm says otherwise when it was counted".to_string());
        }
        if !alike_but_lines(&tally.counting, &lot.counting) {
            say("the farm says otherwise where its opening tons come from".to_string());
        }
        let moved = |what| ready.moved(&lot.id, what);
        let gained = (tally.made, tally.brought) == (moved(What::CleanOut), moved(What::Bring));
        let lost = (tally.spread, tally.hauled) == (moved(What::Spread), moved(What::Haul));
        if !(gained && lost) {
            say("the log says otherwise".to_string());
        }
        let now = (tally.opening + tally.made + tally.brought - tally.spread - tally.hauled).0;
        if tally.on_hand.0 != now {
            say(format!("on hand {}, and the books show {}", tally.on_hand, Pounds(now)));
        }
        if lot.barred.is_some() && tally.planned.0 != 0 {
            say("it may not be spread and is planned".to_string());
        }
        let planned: Pounds =
            plan.fields.iter().flat_map(|f| &f.applications).filter(|a| a.lot == tally.id).map(|a| a.pounds).sum();
        if planned != tally.planned {
            say(format!("the fields take {planned}, the tally says {}", tally.planned));
        }
        let rest = now.saturating_add(tally.coming.0).saturating_sub(planned.0).saturating_sub(tally.sold.0);
        if tally.left.0 != rest.max(0) || (rest < 0 && (planned.0 > 0 || tally.sold.0 > 0)) {
            say(format!("left {} of {} and {} to come", tally.left, tally.on_hand, tally.coming));
        }
    }
    let strangers = plan.fields.iter().flat_map(|f| &f.applications).filter(|a| ready.lot(&a.lot).is_none());
    for a in strangers {
        findings.push(fault("tally", format!("there is no lot {}", a.lot)));
    }
}
