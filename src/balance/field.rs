//! One field's whole balance, put together.

use crate::balance::desk::Desk;
use crate::balance::logged::Logged;
use crate::balance::supply::Supplied;
use crate::balance::{
    Balance, Counts, FieldBalance, LotBalance, Npk, StepId, Surveyed, Window, banked, erosion, goal, held, lime,
    limits, need, overrun, phosphorus, since_test, windows,
};
use crate::check::{Field, Ready};
use crate::findings::Findings;
use crate::record::Entry;
use crate::tables::{Book, Tables, topic};
use crate::units::down_to;

/// Reckons the balance. Findings come back for figures that the tables lack;
/// such a field is barred, not guessed at.
#[must_use]
pub fn weigh(ready: &Ready, tables: &Tables, ground: &[Surveyed]) -> (Balance, Findings) {
    let mut findings = Findings::new();
    let mut fields = Vec::new();
    if let Some(book) = ready.book(tables) {
        fields.extend(ground.iter().map(|surveyed| one(ready, surveyed, &book, &mut findings)));
    }
    (Balance { fields }, findings)
}

fn one(ready: &Ready, surveyed: &Surveyed, book: &Book<'_>, findings: &mut Findings) -> FieldBalance {
    let field: &Field = &surveyed.field;
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
    let need = Npk { n, p2o5, k2o };
    let mut phosphorus = phosphorus::of(&mut desk, soil_p, &need, &removed);
    let mut supplied: Vec<Supplied<'_>> =
        ready.lots.iter().filter_map(|lot| Supplied::of_lot(&mut desk, lot)).collect();
    limits::metals(&mut desk);
    let soil_loss = erosion::of(&mut desk, &surveyed.soils);
    let lime = lime::of(&mut desk);
    let acres = down_to(surveyed.cut.acres, 0.01);
    let p2o5_carried = banked::take_off(&mut desk, &mut phosphorus, &supplied, removed.p2o5, acres);
    let mut logged = Logged::of(&desk, acres, (ready.from, ready.to));
    let (mut windows, past) = windows::of(ready, field, book);
    let still_open = windows.len();
    windows.extend(past);
    let spread = held::spread(&desk);
    held::without_ground(&mut desk, &spread, acres);
    nitrogen_in(&mut desk, &mut supplied, &windows, &spread);
    let held = held::of(&spread, &supplied);
    logged.write(&mut desk, &supplied, &Counts::ALL);
    let put_on = logged.in_all(&mut desk);
    let limits = limits::rows(&mut desk, &logged, &put_on, n, phosphorus.allowed, &mut windows);
    overrun::check(&mut desk, &logged, &supplied, &limits);
    since_test::check(&mut desk, phosphorus.basis, &supplied, acres);
    let lots = supplied.into_iter().map(|own| {
        let n_in: Vec<StepId> = windows.iter().map(|w| own.n_in(Some(&w.season))).collect();
        let limits = limits::of_lot(&mut desk, &own, &limits, &windows[..still_open]);
        LotBalance { id: own.lot.id.clone(), supply: own.supply, n_in, limits }
    });
    let lots = lots.collect();
    let past = windows.split_off(still_open);
    FieldBalance {
        surveyed: surveyed.clone(),
        acres,
        goal,
        need,
        removed,
        phosphorus,
        p2o5_carried,
        put_on,
        held,
        limits,
        lime,
        soil_loss,
        windows,
        past,
        lots,
        notes: desk.notes,
        bars: desk.bars,
    }
}

/// Available nitrogen of a ton of each lot by season, for the seasons of the
/// plan and of the log.
fn nitrogen_in(
    desk: &mut Desk<'_>,
    supplied: &mut [Supplied<'_>],
    windows: &[Window],
    spread: &[(&Entry, Option<String>)],
) {
    let mut seasons: Vec<String> = Vec::new();
    let of_log = spread.iter().filter_map(|(_, season)| season.as_ref());
    for season in windows.iter().map(|w| &w.season).chain(of_log) {
        if !seasons.contains(season) {
            seasons.push(season.clone());
        }
    }
    for own in supplied {
        own.in_seasons(desk, &seasons);
    }
}
