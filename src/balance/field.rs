//! One field's whole balance, put together.

use crate::balance::desk::Desk;
use crate::balance::overrun::Logged;
use crate::balance::{
    FieldBalance, LotBalance, Npk, Supply, Surveyed, Window, erosion, goal, lime, limits, need, overrun, phosphorus,
    supply, windows,
};
use crate::check::{Field, Ready};
use crate::findings::Findings;
use crate::tables::{Book, topic};
use crate::units::down_to;
use jiff::civil::Date;

pub(super) fn weigh(
    ready: &Ready,
    field: &Field,
    surveyed: &Surveyed,
    book: &Book<'_>,
    findings: &mut Findings,
) -> FieldBalance {
    let mut desk = Desk::new(ready, field, book, findings);
    let goal = goal::of(&mut desk, &surveyed.soils);
    let n = need::nitrogen(&mut desk, goal);
    let removed = need::removed(&mut desk, goal);
    let soil_p = need::soil_p(&mut desk);
    let p2o5 = need::asked(&mut desk, topic::P2O5_NEED, soil_p, "P2O5 the soil test calls for");
    need::soil_mg(&mut desk);
    let soil_k = need::soil_k(&mut desk);
    let k2o = need::asked(&mut desk, topic::K2O_NEED, soil_k, "K2O the soil test calls for");
    let needed = Npk { n, p2o5, k2o };
    let phosphorus = phosphorus::of(&mut desk, soil_p, &needed, &removed);
    let supplies: Vec<Supply> = ready.lots.iter().filter_map(|l| supply::of(&mut desk, l)).collect();
    limits::metals(&mut desk);
    let soil_loss = erosion::of(&mut desk, &surveyed.soils);
    let lime = lime::of(&mut desk);
    let n_at_once = desk.get(topic::N_AT_ONCE);
    let n_at_once = n_at_once.map(|most| desk.notes.figure("most N in one application", &most));
    let mut open = Open {
        left: Npk { n: desk.notes.value(n), p2o5: desk.notes.value(p2o5), k2o: desk.notes.value(k2o) },
        p2o5_left: phosphorus.allowed.map(|a| desk.notes.value(a)),
        done: 0.0,
    };
    let acres = down_to(surveyed.cut.acres, 0.01);
    open.take_off_what_is_done(&desk, &supplies, acres);
    let log = Logged { supplies: &supplies, acres };
    let (mut windows, still_open) = windows_with_done(&desk, &log);
    overrun::check(&mut desk, &log, n, phosphorus.allowed, &windows);
    let lots = ready
        .lots
        .iter()
        .zip(supplies.iter().copied())
        .map(|(lot, supply)| {
            let n_in = supply::by_window(&mut desk, lot, &supply, &windows);
            let limits = limits::of(&mut desk, lot, &supply, n, &open, &windows[..still_open], &n_in);
            LotBalance { supply, n_in, limits }
        })
        .collect();
    let past = windows.split_off(still_open);
    FieldBalance {
        acres,
        goal,
        need: needed,
        left: open.left,
        removed,
        phosphorus,
        p2o5_left: open.p2o5_left,
        done: open.done,
        lime,
        soil_loss,
        n_at_once,
        windows,
        past,
        lots,
        notes: desk.notes,
        bars: desk.bars,
    }
}

/// The windows, those that are over last, with the nitrogen that the log shows
/// in their seasons; and how many are still open.
fn windows_with_done(desk: &Desk<'_>, log: &Logged<'_>) -> (Vec<Window>, usize) {
    let (mut windows, past) = windows::of(desk.ready, desk.field, desk.book);
    let still_open = windows.len();
    windows.extend(past);
    // Every piece of a season shares what the season may take.
    let mut spans: Vec<(String, (Date, Date))> = windows.iter().map(|w| (w.season.clone(), w.season_days)).collect();
    spans.sort();
    spans.dedup();
    for window in &mut windows {
        let mine = spans.iter().filter(|(season, _)| *season == window.season);
        window.n_done = mine.map(|(_, days)| log.of(desk, Some(*days), |s| Some(s.per_ton.n))).sum();
    }
    (windows, still_open)
}

/// What is still open in the plan's year.
pub(super) struct Open {
    /// Nutrients still needed, lb/ac.
    pub(super) left: Npk<f64>,
    /// Phosphate still allowed, lb/ac.
    pub(super) p2o5_left: Option<f64>,
    /// Litter already spread, tons/ac.
    pub(super) done: f64,
}

impl Open {
    /// Takes off what the log says was spread since the plan's first day.
    fn take_off_what_is_done(&mut self, desk: &Desk<'_>, supplies: &[Supply], acres: f64) {
        for (lot, supply) in desk.ready.lots.iter().zip(supplies) {
            let pounds = desk.ready.spread_on(desk.field.id(), &lot.id, None);
            if pounds.0 <= 0 || acres <= 0.0 {
                continue;
            }
            let rate = pounds.tons() / acres;
            let put_on = supply.per_ton.map(|id| desk.notes.value(id) * rate);
            self.left = self.left.with(put_on, |left, put| (left - put).max(0.0));
            self.p2o5_left = self.p2o5_left.map(|left| (left - put_on.p2o5).max(0.0));
            self.done += rate;
        }
    }
}
