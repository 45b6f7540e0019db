//! Checks of the blocks `days:`, `storage:` and `houses:`: every month has
//! its share of fit days, every lot is known, every house says enough.

use crate::check::names::{lot_there, twice};
use crate::check::spells::{self, Spell};
use crate::check::stock::Comes;
use crate::farm::{HaulTime, MONTHS, Written, WrittenCleanOut, WrittenDays, WrittenHouse};
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
    /// Litter that is to be brought.
    pub brought: Vec<Brought>,
}

/// Litter that is to be brought to the farm.
#[derive(Clone, Debug, PartialEq)]
pub struct Brought {
    /// The day.
    pub date: Date,
    /// How much.
    pub pounds: Pounds,
    /// The lot it comes to.
    pub lot: String,
    /// Whose it was; nothing where nobody says.
    pub from: String,
    /// Dollars a ton; none where it costs nothing.
    pub price: Option<f64>,
    /// Where its entry starts.
    pub place: Place,
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
    /// How days too wet to spread follow each other, January first; none where nobody
    /// says.
    pub spells: Vec<Option<Spell>>,
    /// The chance with which what is planned can be done in its days, 0 to 1.
    pub in_time: f64,
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
    /// Planned cake-outs, by day.
    pub cake_outs: Vec<CleanOut>,
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
    /// The figure behind its tons, where they go by the birds.
    pub by: Option<Origin>,
    /// Where its entry starts.
    pub place: Place,
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

    /// How many tons beside the stack take as long as one so many miles away.
    #[must_use]
    pub fn tons_for_one_at(&self, miles: f64) -> f64 {
        self.tons_per_day / self.tons_at(Some(miles)).max(1e-6)
    }

    /// The part of a day's work to be expected on a day: the month's share,
    /// nothing on a day of the week that is left out.
    #[must_use]
    pub fn share_on(&self, day: Date) -> f64 {
        if self.not_on.contains(&day.weekday()) {
            return 0.0;
        }
        self.shares.get(month_of(day)).and_then(Option::as_ref).map_or(0.0, |s| s.share)
    }

    /// The chance that a day is as the day before, whatever its month's share; 0 where
    /// nothing says how wet days follow each other.
    #[must_use]
    pub fn stays_on(&self, day: Date) -> f64 {
        self.spells.get(month_of(day)).and_then(Option::as_ref).map_or(0.0, |s| s.stays)
    }
}

/// A day's month, as its place in `MONTHS`.
fn month_of(day: Date) -> usize {
    usize::try_from(day.month() - 1).unwrap_or(0)
}

pub(super) fn check(written: &Written, region: Option<&str>, book: &Book<'_>, findings: &mut Findings) -> Work {
    let work = &written.work;
    let pace = work.days.as_ref().map(|days| pace(days, written, region, book, findings));
    twice("storages", work.storage.iter().map(|s| &s.name), findings);
    twice("houses", work.houses.iter().map(|h| &h.name), findings);
    let storage = storage(written, findings);
    let houses = work.houses.iter().map(|h| house(h, written, book, findings)).collect();
    let brought = work.brought.iter();
    let brought = brought
        .map(|b| Brought {
            date: b.date.value,
            pounds: Pounds::from_tons_down(b.tons.value.get()),
            lot: b.lot.value.clone(),
            from: b.from.clone().unwrap_or_default(),
            price: b.price.as_ref().map(|price| price.value.get()),
            place: b.date.place.clone(),
        })
        .collect();
    Work { pace, storage, houses, brought }
}

/// The chance with which what is planned can be done in its days, where the grower names none: our
/// own choice.
const IN_TIME: f64 = 0.8;

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
    let asked = months_of(written);
    let without: Vec<&str> =
        asked.iter().copied().filter(|i| shares.get(*i).is_none_or(Option::is_none)).map(|i| MONTHS[i]).collect();
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
    let fit: Vec<Option<f64>> = shares.iter().map(|share| Some(share.as_ref()?.share)).collect();
    let spells = spells::spells(days, &fit, &asked, region, book, findings);
    Pace {
        tons_per_day: days.tons_per_day.value.get(),
        haul: days.haul.clone(),
        shares,
        spells,
        in_time: days.in_time.as_ref().map_or(IN_TIME, |chance| chance.value.get() / 100.0),
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
        let i = month_of(month);
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
    let outs = house.clean_outs.iter().chain(&house.cake_outs);
    for lot in house.lot.iter().chain(outs.map(|c| &c.lot)) {
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
    let cake = house.cake_outs.iter().filter_map(|out| taken_out(out, house, Comes::CakeOut, &[], book, findings));
    let mut cake_outs: Vec<CleanOut> = cake.collect();
    cake_outs.sort_by_key(|out| out.date);
    let whole = house.clean_outs.iter();
    let whole = whole.filter_map(|out| taken_out(out, house, Comes::CleanOut, &cake_outs, book, findings));
    let mut clean_outs: Vec<CleanOut> = whole.collect();
    clean_outs.sort_by(|a, b| (a.date, &a.lot, a.pounds).cmp(&(b.date, &b.lot, b.pounds)));
    let lot = house.lot.as_ref().map(|l| l.value.clone());
    House { name: house.name.value.clone(), birds, flocks, per_1000, a_year, lot, clean_outs, cake_outs }
}

/// What is taken out on a day: as the grower says, else the birds of its flocks by
/// the figure of the tables. What the crust has taken since the clean-out before is
/// part of the whole litter, so that it is not there any more.
fn taken_out(
    out: &WrittenCleanOut,
    house: &WrittenHouse,
    what: Comes,
    cake_outs: &[CleanOut],
    book: &Book<'_>,
    findings: &mut Findings,
) -> Option<CleanOut> {
    let (date, place) = (out.date.value, &out.date.place);
    let made = |pounds, by| CleanOut { date, pounds, lot: out.lot.value.clone(), by, place: place.clone() };
    if let Some(tons) = &out.tons {
        return Some(made(Pounds::from_tons_down(tons.value.get()), None));
    }
    let material = if what == Comes::CakeOut { "broiler_cake" } else { "broiler_litter" };
    let figure = match (&house.tons_per_1000, what) {
        (Some(own), Comes::CleanOut) => Some((own.value.get(), Origin::Line(own.place.clone()))),
        _ => book
            .get(topic::LITTER_MADE, &Scope::new().material(material))
            .map(|f| (f.value.get(), Origin::Figure(f.cite))),
    };
    let flocks = out.flocks.as_ref().map(|f| f.value).or((what == Comes::CakeOut).then_some(1.0));
    let (Some((each, by)), Some(birds), Some(flocks)) = (figure, house.all_birds(), flocks) else {
        let found = format!("house {}: nothing says how much the {} of {date} brings", house.name.value, what.word());
        findings.push(
            Finding::error("clean-out-tons", place, found)
                .accepts("`tons`; or, for broilers, `flocks` since the litter was taken out before, with `number` and `birds` of the house")
                .fix("add `tons: 190 tons`, as it was last time"),
        );
        return None;
    };
    let before = house.clean_outs.iter().map(|c| c.date.value).filter(|day| *day < date).max();
    let since = |day: Date| day <= date && before.is_none_or(|before| before < day);
    let crust: Pounds = cake_outs.iter().filter(|c| since(c.date)).map(|c| c.pounds).sum();
    let whole = Pounds::from_tons_down(birds / 1_000.0 * each * flocks);
    Some(made((whole - crust).max(Pounds(0)), Some(by)))
}

/// A house that carries litter out, or that gives its birds, says how much
/// litter that is.
fn says_enough(house: &WrittenHouse, known: bool, book: &Book<'_>, findings: &mut Findings) {
    let outs = house.clean_outs.first().map(|out| ("clean_outs", out));
    let outs = outs.or(house.cake_outs.first().map(|out| ("cake_outs", out)));
    if let (Some(lot), Some((key, first))) = (&house.lot, outs) {
        let found = format!("house {}: both `lot` and `{key}` are given", house.name.value);
        findings.push(
            Finding::error("house-both", &lot.place, found)
                .accepts(
                    "`lot` where litter is carried out as it is made, `clean_outs` and `cake_outs` where it is carried out on days",
                )
                .also(&first.date.place, format!("the first of `{key}`")),
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
