//! One field's whole balance, put together.

use crate::balance::desk::Desk;
use crate::balance::logged::Logged;
use crate::balance::{
    FieldBalance, LotBalance, Npk, StepId, Supply, Surveyed, Window, banked, erosion, goal, lime, limits, need,
    overrun, phosphorus, since_test, supply, windows,
};
use crate::check::{Field, Ready};
use crate::findings::Findings;
use crate::tables::{Book, topic};
use crate::units::down_to;
use jiff::civil::Date;
use std::collections::BTreeMap;

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
    let p2o5 = phosphorus::needed(&mut desk, p2o5);
    need::soil_mg(&mut desk);
    let soil_k = need::soil_k(&mut desk);
    let k2o = need::asked(&mut desk, topic::K2O_NEED, soil_k, "K2O the soil test calls for");
    let needed = Npk { n, p2o5, k2o };
    let mut phosphorus = phosphorus::of(&mut desk, soil_p, &needed, &removed);
    let supplies: Vec<Supply> = ready.lots.iter().filter_map(|l| supply::of(&mut desk, l)).collect();
    limits::metals(&mut desk);
    let soil_loss = erosion::of(&mut desk, &surveyed.soils);
    let lime = lime::of(&mut desk);
    let n_at_once = desk.get(topic::N_AT_ONCE);
    let n_at_once = n_at_once.map(|most| desk.notes.figure("most N in one application", &most));
    let acres = down_to(surveyed.cut.acres, 0.01);
    let p2o5_carried = banked::take_off(&mut desk, &mut phosphorus, &supplies, removed.p2o5, acres);
    let mut logged = Logged::of(&desk, acres);
    let (mut windows, past) = windows::of(ready, field, book);
    let still_open = windows.len();
    windows.extend(past);
    let n_in = nitrogen_in(&mut desk, &supplies, &windows, &logged);
    logged.look_up(&desk, &supplies, &n_in);
    nitrogen_done(&desk, &logged, &mut windows);
    overrun::check(&mut desk, &logged, &supplies, n, phosphorus.allowed, &windows);
    since_test::check(&mut desk, phosphorus.basis, &supplies, acres);
    let done = logged.npk();
    let open = Open::after(&desk, done, &needed, phosphorus.allowed);
    let lots = ready.lots.iter().zip(supplies).zip(&n_in).map(|((lot, supply), by_season)| {
        let in_window = |w: &Window| by_season.get(&w.season).copied().unwrap_or(supply.per_ton.n);
        let n_in: Vec<StepId> = windows.iter().map(in_window).collect();
        let limits = limits::of(&mut desk, lot, &supply, n, &open, &windows[..still_open], &n_in);
        LotBalance { supply, n_in, limits }
    });
    let lots = lots.collect();
    let past = windows.split_off(still_open);
    FieldBalance {
        acres,
        goal,
        need: needed,
        left: open.left,
        removed,
        phosphorus,
        p2o5_left: open.p2o5_left,
        p2o5_carried,
        done,
        tons_done: logged.tons(),
        metals_done: logged.metals(),
        trips_done: logged.laid.trips(),
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

/// Nitrogen that the log shows in the seasons of the windows. Every piece of a
/// season shares what the season may take.
fn nitrogen_done(desk: &Desk<'_>, logged: &Logged<'_>, windows: &mut [Window]) {
    let mut spans: Vec<(String, (Date, Date))> = windows.iter().map(|w| (w.season.clone(), w.season_days)).collect();
    spans.sort();
    spans.dedup();
    for window in windows {
        let mine = spans.iter().filter(|(season, _)| *season == window.season);
        window.n_done = mine.map(|(_, days)| logged.n_within(desk, *days)).sum();
    }
}

/// Available nitrogen of a ton of each lot by season, for the seasons of the
/// plan and of the log.
fn nitrogen_in(
    desk: &mut Desk<'_>,
    supplies: &[Supply],
    windows: &[Window],
    logged: &Logged<'_>,
) -> Vec<BTreeMap<String, StepId>> {
    let mut seasons: Vec<&str> = Vec::new();
    for season in windows.iter().map(|w| w.season.as_str()).chain(logged.seasons()) {
        if !seasons.contains(&season) {
            seasons.push(season);
        }
    }
    let ready = desk.ready;
    ready.lots.iter().zip(supplies).map(|(lot, supply)| supply::by_season(desk, lot, supply, &seasons)).collect()
}

/// What is still open in the plan's year, after the log.
pub(super) struct Open {
    /// Nutrients still needed, lb/ac.
    pub(super) left: Npk<f64>,
    /// Phosphate still allowed, lb/ac.
    pub(super) p2o5_left: Option<f64>,
}

impl Open {
    fn after(desk: &Desk<'_>, done: Npk<f64>, needed: &Npk<StepId>, p2o5_allowed: Option<StepId>) -> Open {
        let less = |id: StepId, on: f64| (desk.notes.value(id) - on).max(0.0);
        Open { left: needed.with(done, less), p2o5_left: p2o5_allowed.map(|allowed| less(allowed, done.p2o5)) }
    }
}
