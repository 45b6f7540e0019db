//! The place's phosphorus rule, row by row, by the audit's own reading of it.

use crate::audit::{acres, period};
use crate::check::{Field, Ready};
use crate::tables::p_rule::{PBasis, PMost, PNear, POf, POr, PSays, PWhen, PWins, UNSAID};
use crate::tables::{Book, topic};
use crate::units::Quantity;
use jiff::ToSpan;
use jiff::civil::Date;

/// Feet by which a sphere's plane may put something closer.
const PLANES: f64 = 1.0;

/// By what phosphate is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum By {
    Nothing,
    Removal,
    Test,
    None,
}

/// What the rows of a field come to.
pub(super) struct Found {
    pub(super) by: By,
    /// Pounds of a year, lb/ac.
    pub(super) a_year: f64,
    /// The factor on what comes off, where that holds.
    pub(super) times: f64,
    /// Years' worth at once.
    pub(super) years: u16,
    /// Caps beside the basis.
    pub(super) most: Vec<PMost>,
}

/// What a row lets on in a year, and whether the soil test says so; none where it sets no
/// pounds.
fn pounds(says: &PSays, need: Option<f64>, removal: Option<f64>) -> Option<(f64, bool)> {
    let of = |basis: PBasis, times: f64| match basis {
        PBasis::Need => need.map(|lb| (lb * times, true)),
        PBasis::Removal => removal.map(|lb| (lb * times, false)),
        PBasis::None | PBasis::Ask => Some((0.0, false)),
        PBasis::Nitrogen | PBasis::Warn | PBasis::Cap => None,
    };
    let own = of(says.basis, says.times);
    let Some(or) = says.or else { return own };
    let (greater, other) = match or {
        POr::Greater(other) => (true, of(other, 1.0)),
        POr::Lesser(other) => (false, of(other, 1.0)),
    };
    match (own, other) {
        (Some(own), Some(other)) if (other.0 > own.0) == greater && other.0 != own.0 => Some(other),
        // The lesser of two of which one is not known may be anything below the other.
        (None, _) | (_, None) if !greater => None,
        (own, other) => own.or(other),
    }
}

/// Every row that says something on a field.
fn rows(field: &Field, ready: &Ready, book: &Book<'_>, of: POf, without: bool) -> Vec<PSays> {
    let said = field.written.rule_said.as_ref();
    let year = |one_year| {
        said.and_then(|said| said.year.as_ref().map(|at| at.value).or(said.counted_for.filter(|_| one_year)))
    };
    // A plan of a year and more is more than the one year of a statement.
    let whole = ready.from.checked_add(1.year()).is_ok_and(|next| next <= ready.to);
    let in_its_year = |one_year| match year(one_year) {
        Some(year) => year == ready.from.year() && !whole,
        None => !one_year,
    };
    let words: Vec<&str> = said.into_iter().flat_map(|said| said.stated.iter().map(|at| at.value.as_str())).collect();
    let mut all: Vec<(PWins, PSays)> = Vec::new();
    for (_, row) in book.rules() {
        let row = row.value;
        if !applies(&row.when, of, (field, ready, book), without) {
            continue;
        }
        let instead = row.unless.iter().find(|u| {
            words.contains(&u.stated.as_str())
                && in_its_year(u.one_year)
                && (!u.with_most || field.written.most.is_some())
        });
        all.push((row.wins, instead.map_or(row.says, |unless| unless.then)));
    }
    let first: Vec<_> = all.iter().filter(|(wins, _)| *wins == PWins::First).copied().collect();
    let all = if first.is_empty() { all } else { first };
    let on_phosphate = |says: &PSays| says.basis != PBasis::Warn && says.basis != PBasis::Cap;
    let spoken = all.iter().any(|(wins, says)| *wins != PWins::Last && on_phosphate(says));
    let all: Vec<_> = all.into_iter().filter(|(wins, _)| !spoken || *wins != PWins::Last).collect();
    all.into_iter().map(|(_, says)| says).filter(|says| says.basis != PBasis::Warn).collect()
}

/// Whether the place lets litter on a field though no soil test of it counts on the first day
/// that is left: by a row for such fields.
pub(super) fn goes_without_test(field: &Field, ready: &Ready, book: &Book<'_>) -> bool {
    let begins = if ready.is_past { Date::MIN } else { ready.from.max(ready.as_of) };
    let old = period::test_good_until(field, ready, book).is_some_and(|until| until < begins);
    let row = |when: &PWhen| when.untested && applies(when, POf::Litter, (field, ready, book), true);
    (old || field.written.soil_test.is_none()) && book.rules().iter().any(|(_, rule)| row(&rule.value.when))
}

/// The first day on which the field has no soil test that counts any more, within the plan, where
/// the place lets litter on it then by what is carried off.
pub(super) fn untested_from(field: &Field, ready: &Ready, book: &Book<'_>) -> Option<Date> {
    let until = period::test_until(field, ready, book).filter(|_| !ready.is_past)?;
    let by_removal = |says: &PSays| {
        says.basis == PBasis::Removal && says.or.is_none() && says.n_most.is_none() && says.most.is_none()
    };
    let own = |when: &PWhen| when.untested && applies(when, POf::Litter, (field, ready, book), true);
    let rows = book.rules();
    // The first such row is the field's.
    let (_, row) = rows.iter().find(|(_, row)| own(&row.value.when))?;
    until.tomorrow().ok().filter(|_| by_removal(&row.value.says))
}

/// `without` is a field planned without its soil test.
fn applies(when: &PWhen, of: POf, (field, ready, book): (&Field, &Ready, &Book<'_>), without: bool) -> bool {
    let written = &field.written;
    let test = written.soil_test.as_ref().filter(|_| !without);
    let said = written.rule_said.as_ref();
    let mut farm: Vec<&str> = said.and_then(|s| s.farm.as_ref()).map(|at| at.value.as_str()).into_iter().collect();
    if ready.large && !farm.contains(&"buyer") {
        farm.push("large");
    }
    let mut areas: Vec<&str> = said.into_iter().flat_map(|s| s.areas.iter().map(|at| at.value.as_str())).collect();
    areas.extend(ready.region.as_deref());
    if farm.is_empty() {
        farm.push(UNSAID);
    }
    let plan = [said.and_then(|s| s.plan.as_ref()).map_or(UNSAID, |at| at.value.as_str())];
    let way = [said.and_then(|s| s.way.as_ref()).map_or(UNSAID, |at| at.value.as_str())];
    let rated = written.rating.as_ref().map(|rated| rated.rating.value.key());
    let rating = [rated.as_deref().unwrap_or("unrated")];
    let placed = [if written.worked_in.is_none() { "surface" } else { "worked_in" }];
    let lists = [
        (&when.rating, &rating[..]),
        (&when.farm, &farm[..]),
        (&when.region, &areas[..]),
        (&when.plan, &plan[..]),
        (&when.way, &way[..]),
        (&when.placement, &placed[..]),
    ];
    let class = || {
        let test = test?;
        let classes = book.get(topic::SOIL_P_CLASS, &ready.soil_scope(field))?.value;
        classes.class_of(test.p.value).map(crate::text::key_of)
    };
    let soil = || test?.p.value.on(book.place().p_unit?);
    let share = || said?.saturation.as_ref().map(|at| at.value.get());
    let near = |near: &PNear| {
        let mut kinds = ready.keepouts.iter().filter(|keep| near.of.contains(&keep.kind));
        // The two planes differ by some inches: what lies on the line is near by the balance alone.
        kinds.any(|keep| acres::comes_within(&field.shape, &keep.geometry, near.within - PLANES))
    };
    [of, POf::All].contains(&when.of)
        && (without || !when.untested)
        && lists.iter().all(|(asked, known)| asked.is_empty() || known.iter().any(|w| asked.iter().any(|a| a == w)))
        && (when.class.is_empty() || class().is_some_and(|class| when.class.contains(&class)))
        && when.soil.is_none_or(|ends| soil().is_some_and(|value| ends.hold(value)))
        && when.saturation.is_none_or(|ends| share().is_some_and(|value| ends.hold(value)))
        && when.near.as_ref().is_none_or(near)
}

/// What litter is held to, by need and removal in lb/ac.
pub(super) fn found(
    (field, ready, book): (&Field, &Ready, &Book<'_>),
    need: Option<f64>,
    removal: Option<f64>,
    without: bool,
) -> Found {
    let rows = rows(field, ready, book, POf::Litter, without);
    let most = rows.iter().filter_map(|says| says.most).collect();
    let held: Vec<(&PSays, (f64, bool))> =
        rows.iter().filter_map(|says| Some((says, pounds(says, need, removal)?))).collect();
    let unknown = not_known(&rows, need, removal) && held.iter().all(|(_, (lb, _))| *lb > 0.0);
    let barred = rows.iter().any(|says| matches!(says.basis, PBasis::None | PBasis::Ask));
    let mut least: Option<(&PSays, (f64, bool))> = None;
    for (says, (lb, by_test)) in held.iter().copied() {
        if least.is_none_or(|(_, (other, _))| lb < other) {
            least = Some((says, (lb, by_test)));
        }
    }
    let of = |by, a_year, times, years| Found { by, a_year, times, years, most };
    match least {
        _ if barred => of(By::None, 0.0, 1.0, 1),
        _ if unknown => of(By::Test, 0.0, 1.0, 1),
        None if by_nitrogen(&rows) => of(By::Nothing, f64::INFINITY, 1.0, 1),
        None => of(By::Test, need.unwrap_or(0.0), 1.0, 1),
        Some((_, (lb, true))) => of(By::Test, lb, 1.0, 1),
        Some((says, (lb, false))) => {
            let times = if says.basis == PBasis::Removal { says.times } else { 1.0 };
            // Of every row the pounds of the years that it allows; the fewest of them.
            let mut years = 1;
            while lb > 0.0 && years < 10 {
                let next = years + 1;
                let room = |(says, (own, _)): &(&PSays, (f64, bool))| {
                    f64::from(next.min(says.years)) * own >= f64::from(next) * lb - 1e-9
                };
                if !held.iter().all(room) {
                    break;
                }
                years = next;
            }
            of(By::Removal, lb, times, years)
        }
    }
}

/// Whether a row counts pounds for which a figure is missing: nobody can say what it lets on.
fn not_known(rows: &[PSays], need: Option<f64>, removal: Option<f64>) -> bool {
    let counts = |says: &&PSays| [PBasis::Need, PBasis::Removal].contains(&says.basis);
    rows.iter().filter(counts).any(|says| pounds(says, need, removal).is_none())
}

/// Whether every row that says something of phosphate leaves it to the nitrogen.
fn by_nitrogen(rows: &[PSays]) -> bool {
    let mut on_phosphate = rows.iter().map(|says| says.basis).filter(|basis| *basis != PBasis::Cap).peekable();
    on_phosphate.peek().is_some() && on_phosphate.all(|basis| basis == PBasis::Nitrogen)
}

/// The share of the nitrogen need that may go on, by the row that allows least; never above 1.
pub(super) fn most_n(field: &Field, ready: &Ready, book: &Book<'_>) -> f64 {
    rows(field, ready, book, POf::Litter, goes_without_test(field, ready, book))
        .iter()
        .filter_map(|says| says.n_most)
        .fold(1.0, f64::min)
}

/// What bought phosphorus may bring in a year; none where no row is for it.
pub(super) fn bought(
    field: &Field,
    ready: &Ready,
    book: &Book<'_>,
    need: Option<f64>,
    removal: Option<f64>,
) -> Option<f64> {
    let rows = rows(field, ready, book, POf::Fertilizer, goes_without_test(field, ready, book));
    if not_known(&rows, need, removal) {
        return Some(0.0);
    }
    rows.iter().filter_map(|says| pounds(says, need, removal)).map(|(lb, _)| lb).reduce(f64::min)
}
