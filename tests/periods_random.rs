//! However the years are cut into plans, and whatever was spread besides, no plan passes
//! a limit of any period: counted here a second way, day by day, in plain code.
//!
//! A history runs as on a farm: a plan is made as of a day, its work is done until the
//! next plan is made, and the grower spreads besides what no plan knew of.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
#[allow(dead_code)]
#[path = "periods/farm.rs"]
mod farm;

use farm::*;
use jiff::ToSpan;
use jiff::civil::{Date, date};
use proptest::prelude::*;
use proptest::test_runner::{RngSeed, TestCaseError, TestRunner};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use sward::audit;
use sward::balance::{Balance, Basis};
use sward::farm::FarmText;
use sward::plan::Plan;
use sward::plan::years;
use sward::tables::Tables;

/// Pounds of P2O5 in a ton.
const P2O5: f64 = 55.0;
/// When the soil was sampled.
const SAMPLED: Date = date(2024, 12, 20);
/// Most applications in a calendar year, of `seasons.yaml`.
const TRIPS: usize = 2;
/// Room in tons per acre in which a plan must find something to spread.
const ROOM: f64 = 0.5;

/// A season's name, its first and its last month and day.
type SeasonDays = (String, (i8, i8), (i8, i8));

/// A place with its fields and what counts there.
struct Case {
    name: &'static str,
    place: [&'static str; 4],
    grounds: Vec<(u32, String)>,
    tables: Arc<Tables>,
    /// Month and day on which the growing year begins.
    growing: (i8, i8),
    /// The same of the year of phosphorus; any twelve months where none is named.
    p_year: Option<(i8, i8)>,
    /// The winter's share of nitrogen, from November 10 to January 20.
    winter: Option<f64>,
    most: Vec<Most>,
    /// Available nitrogen of a ton by season, and where no season is open.
    n: BTreeMap<String, f64>,
    seasons: Vec<SeasonDays>,
}

/// What may go on a field.
#[derive(Clone, Debug)]
struct Most {
    acres: f64,
    n: f64,
    by: Basis,
    p2o5: f64,
    /// What the forage carries off in a year.
    removed: f64,
    tons: f64,
}

/// One spreading of a field: day, tons per acre.
type Spread = (Date, f64);

fn rated(rating: &str) -> String {
    format!("    phosphorus_rating: {{rating: {rating}, by: a planner, on: 2027-01-10}}\n")
}

impl Case {
    fn new(name: &'static str, place: [&'static str; 4], rating: &str, banks: bool, more: &str) -> Case {
        let bank = if banks { "    bank_years: 3\n" } else { "" };
        // Maryland goes by its tool from an index of 150 on.
        let p = if place[0] == "us-md" { 160 } else { 90 };
        let grounds = vec![
            (p, format!("{}{bank}", rated(rating))),
            (15, String::new()),
            (p, format!("{}    most: 0.9 tons/ac\n", rated(rating))),
        ];
        let tables = if banks { BANKS.clone() } else { with(more) };
        let is = |word: &str| more.contains(word);
        let mut case = Case {
            name,
            place,
            grounds,
            tables,
            growing: if is("growing_year.made") || place[0] == "us-md" { (7, 1) } else { (1, 1) },
            p_year: is("p_period.made").then_some((7, 1)),
            winter: is("n_split").then_some(0.4),
            most: Vec::new(),
            n: BTreeMap::new(),
            seasons: Vec::new(),
        };
        let texts = case.texts((date(2026, 1, 1), date(2026, 12, 31)), date(2026, 1, 1));
        let (plan, _, balance) = weighed(&texts, "", &case.tables);
        case.learn(&plan, &balance);
        case
    }

    /// What may go on each field in a year, and what a ton holds. Both are tested by
    /// themselves elsewhere; here it is asked whether they are kept over all periods.
    fn learn(&mut self, plan: &Plan, balance: &Balance) {
        for (field, shown) in balance.fields.iter().zip(&plan.fields) {
            assert!(field.bars.is_empty(), "{}: {:?}", self.name, field.bars);
            let value = |step| field.value(step);
            self.most.push(Most {
                acres: field.acres,
                n: value(field.needs[0].n),
                by: field.phosphorus.basis,
                p2o5: field.phosphorus.at_once.map_or(f64::INFINITY, value),
                removed: value(field.removed.p2o5),
                tons: field.field().written.most.as_ref().map_or(f64::INFINITY, |_| 0.9),
            });
            let lot = &field.lots[0];
            for (at, window) in field.windows.iter().enumerate() {
                self.n.insert(window.season.clone(), field.npk_per_ton(lot, Some(at)).n);
                let (opens, closes) = window.season_days;
                let days = ((opens.month(), opens.day()), (closes.month(), closes.day()));
                self.seasons.push((window.season.clone(), days.0, days.1));
            }
            self.n.insert(String::new(), field.npk_per_ton(lot, None).n);
            assert!(!shown.applications.is_empty(), "{} {}: {:?}", self.name, shown.id, shown.held);
        }
    }

    /// The farm, planned for some days as of a day; its litter was sampled just before.
    fn texts(&self, (from, to): (Date, Date), now: Date) -> FarmText {
        let sampled = now.checked_sub(5.days()).unwrap();
        // The days of the plan are written last: none of them is taken for a sample's.
        let texts = texts_of(self.place, ("FIRST", "LAST"), &self.grounds);
        let needs = if self.place[0] == "us-nc" { String::new() } else { demo::said_needs() };
        let main = texts.main.unwrap().replace("2027-01-20", "SAMPLED") + &needs;
        let texts = early(FarmText { main: Some(main), ..texts });
        let days = [("FIRST", from), ("LAST", to), ("SAMPLED", sampled)];
        let main = days.iter().fold(texts.main.unwrap(), |main, (word, day)| main.replace(word, &day.to_string()));
        as_of(&FarmText { main: Some(main), ..texts }, &now.to_string())
    }

    /// Nitrogen of a ton that goes on on a day.
    fn n_on(&self, day: Date) -> f64 {
        let on = (day.month(), day.day());
        let is_open = |opens: &(i8, i8), closes: &(i8, i8)| match opens <= closes {
            true => *opens <= on && on <= *closes,
            false => *opens <= on || on <= *closes,
        };
        let open = self.seasons.iter().find(|(_, opens, closes)| is_open(opens, closes));
        self.n[open.map_or("", |(season, _, _)| season.as_str())]
    }
}

/// Number of the year that begins with a month and day.
fn year_of(day: Date, begins: (i8, i8)) -> i16 {
    day.year() - i16::from((day.month(), day.day()) < begins)
}

/// What is left of every limit that counts a day, as tons per acre on that day; the least
/// of them with its name.
fn room(case: &Case, most: &Most, all: &[Spread], day: Date) -> (f64, String) {
    let mut least = (f64::INFINITY, String::new());
    let mut hold = |left: f64, what: String| {
        if left < least.0 {
            least = (left, what);
        }
    };
    let sum = |own: &dyn Fn(Date) -> bool, of: &dyn Fn(Date) -> f64| -> f64 {
        all.iter().filter(|s| own(s.0)).map(|s| s.1 * of(s.0)).sum()
    };
    let (n, p, one) = (|d: Date| case.n_on(d), |_: Date| P2O5, |_: Date| 1.0);
    let growing = year_of(day, case.growing);
    hold((most.n - sum(&|d| year_of(d, case.growing) == growing, &n)) / n(day), format!("nitrogen of {growing}"));
    hold(most.tons - sum(&|d| d.year() == day.year(), &one), format!("tons of {}", day.year()));
    if let Some(share) = case.winter {
        let opening = |d: Date| {
            let on = (d.month(), d.day());
            (on >= (11, 10) || on <= (1, 20)).then(|| year_of(d, (11, 10)))
        };
        if let Some(winter) = opening(day) {
            let left = share * most.n - sum(&|d| opening(d) == Some(winter), &n);
            hold(left / n(day), format!("the winter of {winter}"));
        }
    }
    match most.by {
        Basis::Nitrogen => return least,
        Basis::None | Basis::Rests => hold(0.0, "no phosphate".to_string()),
        Basis::Removal => {
            // What is on when the year begins: the forage has carried a year's off in each.
            let on = |year: i16| sum(&|d| d.year() == year, &p);
            let carried = (2020..day.year()).fold(0.0, |left: f64, year| (left + on(year) - most.removed).max(0.0));
            let allowed = if carried > 1e-6 { most.removed - carried } else { most.p2o5 };
            hold((allowed - on(day.year())) / P2O5, format!("phosphate of {}", day.year()));
        }
        Basis::SoilTest => {
            let years = f64::from((growing - year_of(SAMPLED, case.growing)).max(1));
            let last = |d: Date| d >= SAMPLED && year_of(d, case.growing) <= growing;
            hold((years * most.p2o5 - sum(&last, &p)) / P2O5, "phosphate since the test".to_string());
        }
    }
    match case.p_year {
        Some(begins) => {
            let own = |d: Date| year_of(d, begins) == year_of(day, begins);
            hold((most.p2o5 - sum(&own, &p)) / P2O5, "phosphate of the year".to_string());
        }
        // Every twelve months that hold the day.
        None => {
            for ahead in 0..365 {
                let end = day.checked_add(ahead.days()).unwrap();
                let begin = end.checked_sub(1.year()).unwrap();
                let left = most.p2o5 - sum(&|d| begin < d && d <= end, &p);
                hold(left / P2O5, format!("phosphate of the year to {end}"));
            }
        }
    }
    least
}

/// Days on which a field was gone over in a calendar year.
fn trips(all: &[Spread], year: i16) -> usize {
    all.iter().map(|s| s.0).filter(|d| d.year() == year).collect::<BTreeSet<Date>>().len()
}

/// The day with this number.
fn day(n: i32) -> Date {
    date(2025, 1, 1).checked_add(n.days()).unwrap()
}

/// The last day on which everything is still in force.
const LAST: i32 = 1_070;

/// A plan: days after the one before, first day before it, last day after it, and when
/// in a window work is done, in percent of its days.
type Step = (i32, i32, i32, i64);

/// What a history planned, and how many fields of a plan had room.
#[derive(Clone, Copy, Debug, Default)]
struct Counted {
    planned: usize,
    had_room: usize,
}

/// One history. `besides`: day, field and tons that the grower spread on his own.
fn history(case: &Case, besides: &[(i32, usize, u32)], steps: &[Step]) -> Result<Counted, String> {
    let mut counted = Counted::default();
    // What was planned and done: day, field, tons per acre.
    let mut done: Vec<(Date, usize, f64)> = Vec::new();
    let mut waiting: Vec<(Date, usize, f64)> = Vec::new();
    let mut today = 0;
    for (next, back, ahead, percent) in steps {
        today += next;
        if today > LAST {
            break;
        }
        let now = day(today);
        done.extend(waiting.drain(..).filter(|(on, _, _)| *on < now));
        let besides = besides.iter().filter(|(n, _, _)| *n < today);
        let known: Vec<(Date, usize, f64)> = besides
            .map(|(n, field, tons)| (day(*n), *field, f64::from(*tons) / case.most[*field].acres))
            .chain(done.iter().copied())
            .collect();
        let line = |(on, field, rate): &(Date, usize, f64)| {
            format!(",{on},spread,shed,F{},{:.4},\n", field + 1, rate * case.most[*field].acres)
        };
        let log: String = known.iter().map(line).collect();
        let (from, to) = (day((today - back).max(0)), day((today + ahead).min(LAST).min(today - back + 366)));
        let (made, ready) = answer(&case.texts((from, to), now), &log, &case.tables);
        let at = format!("{} from {from} to {to} as of {now}\n{log}", case.name);
        let faults = audit::faults(&made, &ready, &case.tables);
        if !faults.is_empty() {
            return Err(format!("{:?}\n{at}", faults.sorted()));
        }
        for (index, field) in made.fields.iter().enumerate() {
            let most = &case.most[index];
            let own = |list: &[(Date, usize, f64)]| -> Vec<Spread> {
                list.iter().filter(|s| s.1 == index).map(|s| (s.0, s.2)).collect()
            };
            let before = own(&known);
            let open = field.windows.iter().any(|w| {
                let days = w.first.until(w.last).unwrap().get_days() + 1;
                let free = |d: Date| room(case, most, &before, d).0 > ROOM && trips(&before, d.year()) < TRIPS;
                (0..days).step_by(7).all(|n| free(w.first.checked_add(n.days()).unwrap())) && free(w.last)
            });
            counted.had_room += usize::from(open);
            counted.planned += usize::from(open && !field.applications.is_empty());
            let when = |first: Date, last: Date| {
                let days = i64::from(first.until(last).unwrap().get_days());
                first.checked_add((days * percent / 100).days()).unwrap()
            };
            let on: Vec<Spread> = field.applications.iter().map(|a| (when(a.first, a.last), a.rate)).collect();
            let all: Vec<Spread> = before.iter().chain(&on).copied().collect();
            for (on, _) in &on {
                let (left, what) = room(case, most, &all, *on);
                if left < -0.001 {
                    return Err(format!("F{}: {left} tons/ac over {what} on {on}\n{most:?}\n{at}", index + 1));
                }
                if trips(&all, on.year()) > TRIPS {
                    return Err(format!("F{}: too many trips in {}\n{at}", index + 1, on.year()));
                }
            }
            waiting.extend(on.iter().map(|(on, rate)| (*on, index, *rate)));
        }
    }
    Ok(counted)
}

/// Places with removal, banked years, soil test, a season over New Year, and years that
/// begin in July.
fn cases() -> Vec<Case> {
    let july =
        |topic: &str, value: &str| figure(topic, if topic == "p_period" { "" } else { "forage: tall_fescue" }, value);
    let begins = july("growing_year", "season: {opens: 07-01, closes: 06-30}");
    vec![
        Case::new("us-nc", PLACES[0], "high", false, ""),
        Case::new("us-nc, winter", PLACES[0], "high", false, &winter_share()),
        Case::new(
            "us-nc, July",
            PLACES[0],
            "high",
            false,
            &format!("{begins}{}", july("p_period", "words: growing_year")),
        ),
        Case::new("us-va", PLACES[2], "high", true, ""),
        Case::new("us-al", PLACES[5], "high", true, ""),
        Case::new("us-md", PLACES[3], "low", true, ""),
    ]
}

#[test]
fn however_the_years_are_cut_no_limit_is_passed() {
    // More of them on a long run.
    let runs = std::env::var_os("SWARD_CASES").map_or(12, |runs| runs.to_str().unwrap().parse().unwrap());
    let config = ProptestConfig {
        cases: runs,
        rng_seed: RngSeed::Fixed(2027),
        failure_persistence: None,
        ..ProptestConfig::default()
    };
    let cases = cases();
    let besides = prop::collection::vec((0_i32..1000, 0_usize..3, 1_u32..8), 0..8);
    let steps = || prop::collection::vec((1_i32..300, 0_i32..200, 30_i32..300, 0_i64..101), 2..5);
    let counted = std::cell::RefCell::new(vec![Counted::default(); cases.len()]);
    let run = TestRunner::new(config).run(&(0..cases.len(), besides, steps(), steps()), |(at, besides, one, other)| {
        for steps in [one, other] {
            let found = history(&cases[at], &besides, &steps).map_err(TestCaseError::fail)?;
            let sum = &mut counted.borrow_mut()[at];
            sum.planned += found.planned;
            sum.had_room += found.had_room;
        }
        Ok(())
    });
    run.unwrap();
    // Where there was room, something was planned: nothing passes because nothing is done.
    let counted = counted.borrow();
    let (had_room, planned) = counted.iter().fold((0, 0), |sum, c| (sum.0 + c.had_room, sum.1 + c.planned));
    assert!(had_room > 0 && 2 * planned >= had_room, "{counted:?}");
}

/// Two days of spreading are the applications of a year that lies before the first day of
/// their figure, a common practice.
#[test]
fn a_year_before_the_figure_gets_no_third_application() {
    let case = Case::new("us-nc", PLACES[0], "high", false, "");
    let january = |n: i32| (n, 2, 1);
    for (besides, planned) in [(&[january(0), january(1)][..], 0), (&[january(0)], 1)] {
        // As of January 3, to February 15: the day on which the spring opens.
        let counted = history(&case, besides, &[(2, 0, 43, 0)]).unwrap();
        let texts = case.texts((day(2), day(45)), day(2));
        let log = |(n, field, tons): &(i32, usize, u32)| format!(",{},spread,shed,F{},{tons},\n", day(*n), field + 1);
        let (made, _) = answer(&texts, &besides.iter().map(log).collect::<String>(), &case.tables);
        assert_eq!(made.fields[2].applications.len(), planned, "{besides:?}");
        assert!(counted.had_room > 0 && counted.planned > 0, "{counted:?}");
    }
}

/// Years that are planned one after another keep every limit together, each job done on
/// the first day of its window.
#[test]
fn years_together_keep_every_limit() {
    for case in cases() {
        for (from, to, now) in [
            (date(2025, 1, 1), date(2025, 12, 31), date(2025, 1, 1)),
            (date(2025, 1, 1), date(2025, 12, 31), date(2025, 8, 1)),
            (date(2025, 8, 1), date(2026, 5, 31), date(2025, 8, 1)),
        ] {
            let made = demo::made_with(&case.texts((from, to), now), &case.tables);
            let ahead = years::years(&made.ready, &case.tables, &made.ground, &sward::plan::LeastCost::default(), 4);
            assert_eq!(ahead.len(), 4);
            let mut all: Vec<Vec<Spread>> = vec![Vec::new(); case.most.len()];
            for year in &ahead {
                let faults = audit::faults(&year.plan, &year.ready, &case.tables);
                assert!(faults.is_empty(), "{} {}: {:?}", case.name, year.plan.from, faults.sorted());
                for (own, field) in all.iter_mut().zip(&year.plan.fields) {
                    own.extend(field.applications.iter().map(|a| (a.first, a.rate)));
                }
            }
            for (index, own) in all.iter().enumerate() {
                // Soil tests are renewed and move: their limits have a test of their own.
                if case.most[index].by == Basis::SoilTest {
                    continue;
                }
                assert!(!own.is_empty() || case.most[index].by == Basis::None, "{}: F{}", case.name, index + 1);
                for (on, _) in own {
                    let (left, what) = room(&case, &case.most[index], own, *on);
                    assert!(left > -0.001, "{} F{} {now}: {left} over {what} on {on}: {own:?}", case.name, index + 1);
                    assert!(trips(own, on.year()) <= TRIPS, "{own:?}");
                }
            }
        }
    }
}
