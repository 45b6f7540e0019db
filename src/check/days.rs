//! Checks of the blocks `days:`, `storage:` and `houses:`: every month has
//! its share of fit days, every lot is known, every house says enough.

use crate::check::names::{lot_there, twice};
use crate::farm::{HaulTime, MONTHS, Written, WrittenDays, WrittenHouse};
use crate::findings::{Finding, Findings, Origin, Place};
use crate::tables::{Book, Scope, topic};
use crate::units::{Pounds, Quantity};
use jiff::ToSpan;
use jiff::civil::{Date, Weekday};

/// How fast the litter gets spread, where it is kept, what makes it.
#[derive(Clone, Debug, Default)]
pub struct Work {
    /// The pace of spreading, where the farm gives one.
    pub pace: Option<Pace>,
    /// Where litter is kept.
    pub storage: Vec<Storage>,
    /// The houses that make it.
    pub houses: Vec<House>,
}

/// How fast the litter gets spread, and how many days are fit for it.
#[derive(Clone, Debug)]
pub struct Pace {
    /// Tons spread in a day's work beside the stack.
    pub tons_per_day: f64,
    /// What a longer haul costs.
    pub haul: Option<HaulTime>,
    /// Share of days fit for field work, January first; there is one for
    /// every month of the plan.
    pub shares: Vec<Option<Share>>,
    /// Days of the week on which nothing is spread.
    pub not_on: Vec<Weekday>,
    /// Where the block starts.
    pub place: Place,
}

/// A share of days, and who says so.
#[derive(Clone, Debug, PartialEq)]
pub struct Share {
    /// The share, 0 to 1.
    pub share: f64,
    /// Who says so.
    pub origin: Origin,
}

/// A place where litter is kept.
#[derive(Clone, Debug)]
pub struct Storage {
    /// Its name.
    pub name: String,
    /// How much goes in.
    pub room: Pounds,
    /// The lots that lie in it.
    pub lots: Vec<String>,
}

/// A house, or several taken together.
#[derive(Clone, Debug)]
pub struct House {
    /// Its name.
    pub name: String,
    /// Birds of one flock, in all houses of the entry.
    pub birds: Option<f64>,
    /// Flocks a year.
    pub flocks: Option<f64>,
    /// Litter that a flock of 1,000 birds makes.
    pub per_1000: Option<LitterMade>,
    /// Litter made in a year: the grower's record, else birds/1,000 x flocks
    /// x litter of 1,000 birds.
    pub a_year: Option<LitterMade>,
    /// The lot into which litter is carried as it is made. Without one the
    /// litter lies in the house until a clean-out.
    pub lot: Option<String>,
    /// Planned clean-outs, by day.
    pub clean_outs: Vec<CleanOut>,
}

/// Tons of litter, and who says so.
#[derive(Clone, Debug, PartialEq)]
pub struct LitterMade {
    /// How many.
    pub tons: f64,
    /// Who says so.
    pub origin: Origin,
}

/// A planned clean-out.
#[derive(Clone, Debug, PartialEq)]
pub struct CleanOut {
    /// The day.
    pub date: Date,
    /// How much comes out.
    pub pounds: Pounds,
    /// The lot it goes to.
    pub lot: String,
}

impl Pace {
    /// Tons spread in a day's work at so many miles from the stack. A load
    /// takes loading + driving there and back + emptying; `tons_per_day` is
    /// what is spread when nothing is driven.
    #[must_use]
    pub fn tons_at(&self, miles: Option<f64>) -> f64 {
        match (&self.haul, miles) {
            (Some(haul), Some(miles)) => {
                let standing = haul.loading.value.get() + haul.emptying.value.get();
                let driving = 2.0 * miles / haul.speed.value.get() * 60.0;
                self.tons_per_day * standing / (standing + driving)
            }
            _ => self.tons_per_day,
        }
    }

    /// The part of a day's work to be expected on a day: the month's share,
    /// nothing on a day of the week that is left out.
    #[must_use]
    pub fn share_on(&self, day: Date) -> f64 {
        if self.not_on.contains(&day.weekday()) {
            return 0.0;
        }
        let month = usize::try_from(day.month() - 1).unwrap_or(0);
        self.shares.get(month).and_then(Option::as_ref).map_or(0.0, |s| s.share)
    }
}

pub(super) fn check(written: &Written, region: Option<&str>, book: &Book<'_>, findings: &mut Findings) -> Work {
    let work = &written.work;
    let pace = work.days.as_ref().map(|days| pace(days, written, region, book, findings));
    twice("storages", work.storage.iter().map(|s| &s.name), findings);
    twice("houses", work.houses.iter().map(|h| &h.name), findings);
    let storage = storage(written, findings);
    let houses = work.houses.iter().map(|h| house(h, written, book, findings)).collect();
    Work { pace, storage, houses }
}

fn pace(days: &WrittenDays, written: &Written, region: Option<&str>, book: &Book<'_>, findings: &mut Findings) -> Pace {
    let own = |month: usize| {
        let named = days.fit.iter().find(|(of, _)| *of == Some(month));
        named.or_else(|| days.fit.iter().find(|(of, _)| of.is_none())).map(|(_, share)| share)
    };
    let shares: Vec<Option<Share>> = MONTHS
        .iter()
        .enumerate()
        .map(|(i, month)| {
            if let Some(share) = own(i) {
                return Some(Share { share: share.value.get() / 100.0, origin: Origin::Line(share.place.clone()) });
            }
            let figure = book.get(topic::FIT_SHARE, &Scope::new().month(*month).region(region))?;
            Some(Share { share: figure.value.get(), origin: Origin::Figure(figure.cite) })
        })
        .collect();
    let without: Vec<&str> = months_of(written)
        .into_iter()
        .filter(|i| shares.get(*i).is_none_or(Option::is_none))
        .map(|i| MONTHS[i])
        .collect();
    if let Some(first) = without.first() {
        let found = format!(
            "the days: nothing says how many days of {} are fit for field work, and the tables of {} have no figure",
            without.join(", "),
            book.place().name
        );
        findings.push(
            Finding::error("fit-missing", &days.place, found)
                .accepts("a share for every month of the plan")
                .fix(format!("write what you have seen over the years, as `fit: {{{first}: 30 %}}`")),
        );
    }
    Pace {
        tons_per_day: days.tons_per_day.value.get(),
        haul: days.haul.clone(),
        shares,
        not_on: days.not_on.clone(),
        place: days.place.clone(),
    }
}

/// The months that the plan touches, as places in `MONTHS`.
fn months_of(written: &Written) -> Vec<usize> {
    let mut months = Vec::new();
    let Some((from, to)) = &written.span else { return months };
    let mut day = Some(from.value.first_of_month());
    while let Some(month) = day.filter(|d| *d <= to.value) {
        let i = usize::try_from(month.month() - 1).unwrap_or(0);
        if !months.contains(&i) {
            months.push(i);
        }
        day = month.checked_add(1.month()).ok();
    }
    months
}

fn storage(written: &Written, findings: &mut Findings) -> Vec<Storage> {
    let mut seen: Vec<&crate::findings::At<String>> = Vec::new();
    for lot in written.work.storage.iter().flat_map(|s| &s.lots) {
        lot_there(lot, written, findings);
        match seen.iter().find(|s| s.value == lot.value) {
            Some(first) => findings.push(
                Finding::error("storage-lot-twice", &lot.place, format!("lot `{}` lies in two storages", lot.value))
                    .accepts("every lot in one place")
                    .fix("split the lot in two, or take it out of one of them")
                    .also(&first.place, "the first one"),
            ),
            None => seen.push(lot),
        }
    }
    let list = written.work.storage.iter();
    list.map(|s| Storage {
        name: s.name.value.clone(),
        room: Pounds::from_tons_down(s.room.value.get()),
        lots: s.lots.iter().map(|l| l.value.clone()).collect(),
    })
    .collect()
}

fn house(house: &WrittenHouse, written: &Written, book: &Book<'_>, findings: &mut Findings) -> House {
    for lot in house.lot.iter().chain(house.clean_outs.iter().map(|c| &c.lot)) {
        lot_there(lot, written, findings);
    }
    let per_1000 = match (&house.tons_per_1000, &house.kind) {
        (Some(own), _) => Some(LitterMade { tons: own.value.get(), origin: Origin::Line(own.place.clone()) }),
        (None, Some(kind)) => book
            .get(topic::LITTER_MADE, &Scope::new().material(&kind.value))
            .map(|f| LitterMade { tons: f.value.get(), origin: Origin::Figure(f.cite) }),
        (None, None) => None,
    };
    let birds = house.all_birds();
    let flocks = house.flocks.as_ref().map(|f| f.value);
    let calculated = || {
        let made = per_1000.as_ref()?;
        Some(LitterMade { tons: birds? / 1_000.0 * flocks? * made.tons, origin: made.origin.clone() })
    };
    let own = house.made.as_ref().map(|m| LitterMade { tons: m.value.get(), origin: Origin::Line(m.place.clone()) });
    let a_year = own.or_else(calculated);
    says_enough(house, a_year.is_some(), book, findings);
    if let Some(plan_starts) = written.span.as_ref().map(|(from, _)| from.value) {
        for past in house.clean_outs.iter().filter(|c| c.date.value < plan_starts) {
            let found = format!("the clean-out of {} lies before the plan's first day", past.date.value);
            findings.push(
                Finding::warning("clean-out-past", &past.date.place, found)
                    .accepts("clean-outs that are still to come")
                    .fix("take it out: what was cleaned out by then is part of the lot's `on_hand`"),
            );
        }
    }
    let mut clean_outs: Vec<CleanOut> = house
        .clean_outs
        .iter()
        .map(|c| CleanOut {
            date: c.date.value,
            pounds: Pounds::from_tons_down(c.tons.value.get()),
            lot: c.lot.value.clone(),
        })
        .collect();
    clean_outs.sort_by(|a, b| (a.date, &a.lot, a.pounds).cmp(&(b.date, &b.lot, b.pounds)));
    let lot = house.lot.as_ref().map(|l| l.value.clone());
    House { name: house.name.value.clone(), birds, flocks, per_1000, a_year, lot, clean_outs }
}

/// A house that carries litter out, or that gives its birds, says how much
/// litter that is.
fn says_enough(house: &WrittenHouse, known: bool, book: &Book<'_>, findings: &mut Findings) {
    if let (Some(lot), Some(first)) = (&house.lot, house.clean_outs.first()) {
        let found = format!("house {}: both `lot` and `clean_outs` are given", house.name.value);
        findings.push(
            Finding::error("house-both", &lot.place, found)
                .accepts(
                    "`lot` where litter is carried out as it is made, `clean_outs` where it is carried out on days",
                )
                .also(&first.date.place, "the first clean-out"),
        );
    }
    if known || (house.lot.is_none() && house.birds.is_none() && house.flocks.is_none()) {
        return;
    }
    let found = match &house.kind {
        Some(kind) if house.birds.is_some() && house.flocks.is_some() => format!(
            "house {}: the tables of {} do not know how much {} a flock makes",
            house.name.value,
            book.place().name,
            kind.value.replace('_', " ")
        ),
        _ => format!("house {}: nothing says how much litter it makes in a year", house.name.value),
    };
    findings.push(
        Finding::error("house-litter", &house.place, found)
            .accepts("`made`, or `number`, `birds`, `flocks` and `tons_per_1000` (or `kind`, where the tables know it)")
            .fix("write what you have counted: `made: 120 tons` a year, or `tons_per_1000: 1.1 tons` a flock"),
    );
}
