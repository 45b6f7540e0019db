//! One field's whole balance, put together.

use crate::balance::desk::Desk;
use crate::balance::herds::Herds;
use crate::balance::limits::Given;
use crate::balance::logged::{Logged, On};
use crate::balance::p_rules::Holding;
use crate::balance::p_spans::PGiven;
use crate::balance::periods::{Periods, Span};
use crate::balance::supply::Supplied;
use crate::balance::{
    Balance, Counts, FieldBalance, Limit, LotBalance, Npk, StepId, Surveyed, Window, YearNeed, after_test, asked,
    banked, begun, by_statement, erosion, goal, held, lacking, lime, limits, need, overrun, p_rules, periods,
    phosphorus, rated, since_test, test_ends, toxic, windows,
};
use crate::check::Ready;
use crate::findings::Findings;
use crate::record::Entry;
use crate::tables::p_rule::POf;
use crate::tables::{Book, Tables, topic};
use crate::units::down_to;

/// Reckons the balance. Findings come back for figures that the tables lack;
/// such a field is barred, not guessed at.
#[must_use]
pub fn weigh(ready: &Ready, tables: &Tables, ground: &[Surveyed]) -> (Balance, Findings) {
    let mut findings = Findings::new();
    let mut fields = Vec::new();
    if let Some(book) = ready.book(tables) {
        let herds = Herds::of(ready, ground, &book);
        herds.too_many(ready, &book, &mut findings);
        fields.extend(ground.iter().map(|surveyed| one(ready, surveyed, (&book, &herds), &mut findings)));
        asked::tell(&fields, &mut findings);
        by_statement::tell(&fields, &mut findings);
        rated::check(ready, &fields, &mut findings);
        lacking::tell(ready, &book.place().name, &fields, &mut findings);
    }
    (Balance { fields }, findings)
}

fn one(ready: &Ready, surveyed: &Surveyed, (book, herds): (&Book<'_>, &Herds), told: &mut Findings) -> FieldBalance {
    let mut desk = Desk::new(ready, &surveyed.field, book, told);
    let acres = down_to(surveyed.cut.acres, 0.01);
    let mut logged = Logged::of(&desk, acres);
    let holding = p_rules::holding(&desk, POf::Litter);
    let (mut windows, past, periods) = opened(&mut desk, &logged, &holding);
    (logged.rest, logged.undrawn) = begun::begun(&desk, (&logged.laid, acres), &windows);
    let goal = goal::of(&mut desk, &surveyed.soils);
    let n_by_year = need::nitrogen(&mut desk, (&logged, &holding), goal, &periods.years());
    let need::Removed { npk: removed, counted, stock } = need::removed(&mut desk, goal, herds, surveyed.cut.gross);
    let soil_p = need::soil_p(&mut desk);
    let p2o5 = phosphorus::needed(&mut desk, soil_p);
    let k2o = need::potash(&mut desk);
    let need = Npk { n: n_by_year.first().copied().unwrap_or(goal), p2o5, k2o };
    let mut phosphorus = phosphorus::of(&mut desk, &holding, soil_p, (need.p2o5, counted));
    let mut supplied = Supplied::of_lots(&mut desk);
    limits::metals(&mut desk);
    let (soil_loss, lime) = (erosion::of(&mut desk, &surveyed.soils), lime::of(&mut desk, acres));
    let banked = banked::take_off(&mut desk, &mut phosphorus, &mut logged, &supplied, (goal, counted, &periods));
    let later = after_test::of(&mut desk, &phosphorus, (&mut logged, &supplied), (need.p2o5, goal, counted, &periods));
    let (still_open, spread) = (windows.len(), held::spread(&desk));
    windows.extend(past);
    held::without_ground(&mut desk, &spread, acres);
    nitrogen_in(&mut desk, &mut supplied, &windows, &spread);
    logged.write(&mut desk, &supplied, periods.told(ready), &Counts::ALL);
    let (needs, years_over) = needs(&mut desk, &mut logged, &supplied, &periods, &n_by_year);
    let given = Given {
        periods: &periods,
        needs: &needs,
        phosphorus: PGiven { phosphorus: &phosphorus, years: &banked.spans },
        after_test: later,
        supplied: &supplied,
        open: still_open,
    };
    let limits::Rows { limits, over } = limits::rows(&mut desk, &mut logged, &given, &mut windows);
    let p2o5_to_buy = limits::p2o5_to_buy(&mut desk, &mut logged, &given);
    overrun::check(&mut desk, &mut logged, &supplied, (&limits, &over), periods.told(ready));
    toxic::check(&mut desk, &mut logged, &supplied, &periods.years());
    since_test::check(&mut desk, phosphorus.basis, (&mut logged, &supplied), (acres, periods.told(ready).0));
    FieldBalance {
        lots: supplied.iter().map(|own| lot(&mut desk, own, &limits, &windows, still_open)).collect(),
        past: windows.split_off(still_open),
        surveyed: surveyed.clone(),
        acres,
        goal,
        need,
        needs,
        over: years_over,
        removed,
        counted_off: counted,
        stock,
        phosphorus,
        p2o5_on: banked.on,
        calendar: periods.calendar_years(),
        held: held::of(&spread, &supplied),
        p2o5_to_buy,
        trips: limits::trips(&desk, &logged, &periods),
        trips_by: desk.get(topic::APPLICATIONS).map(|most| most.cite),
        openings: limits::openings(&desk, &logged, &periods, &windows),
        rest: logged.rest,
        undrawn: logged.undrawn,
        limits,
        lime,
        soil_loss,
        windows,
        notes: desk.notes,
        bars: desk.bars,
        lacks: desk.lacks,
    }
}

/// The open windows, those that are over, and the days over which limits count.
fn opened(desk: &mut Desk<'_>, logged: &Logged<'_>, holding: &[Holding<'_>]) -> (Vec<Window>, Vec<Window>, Periods) {
    test_ends::check(desk);
    let (mut windows, past) = windows::of(desk.ready, desk.field, desk.book);
    let later = desk.ready.goes_on_untested(desk.field).is_some();
    let capped = (later || phosphorus::is_capped(holding), phosphorus::several_years(holding));
    let lies_beside = logged.lies_beside(desk, &windows);
    let periods = periods::of(desk, (logged.all_dates(), lies_beside), capped, &mut windows);
    (windows, past, periods)
}

/// One lot on the field.
fn lot(desk: &mut Desk<'_>, own: &Supplied<'_>, limits: &[Limit], windows: &[Window], open: usize) -> LotBalance {
    let n_in: Vec<StepId> = windows.iter().map(|w| own.n_in(Some(&w.season))).collect();
    let limits = limits::of_lot(desk, own, limits, &windows[..open]);
    LotBalance { id: own.lot.id.clone(), supply: own.supply, n_in, limits }
}

/// What each growing year needs and got: those of the plan, and those that are over.
fn needs(
    desk: &mut Desk<'_>,
    logged: &mut Logged<'_>,
    supplied: &[Supplied<'_>],
    periods: &Periods,
    n: &[StepId],
) -> (Vec<YearNeed>, Vec<YearNeed>) {
    let bought_for = periods::bought_for(&periods.needs, (desk.ready.from, desk.ready.to));
    let one = |(at, (days, n)): (usize, (&Span, &StepId))| {
        let done = logged.in_all(desk, supplied, *days, On::Densest);
        let on_rest = logged.rest.is_some().then(|| logged.in_all(desk, supplied, *days, On::Rest));
        let beside = logged.beside(desk, supplied, *days, desk.ready.from);
        YearNeed { days: *days, n: *n, done, on_rest, beside, bought_for: bought_for.contains(&at) }
    };
    let mut needs: Vec<YearNeed> = periods.years().iter().zip(n).enumerate().map(one).collect();
    let over = needs.split_off(periods.needs.len().min(needs.len()));
    (needs, over)
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
