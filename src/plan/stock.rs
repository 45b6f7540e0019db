//! What lies in every lot, day by day: the last count, every entry of the log after
//! it, and what is to come. Plan, days, years and tally all go by this.
//!
//! Litter that comes on a day is there on that day; what comes on a day comes before
//! anything goes out on it.

use crate::check::{Lot, Ready};
use crate::units::Pounds;
use jiff::ToSpan;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// Every lot, in the order of farm.yaml.
#[derive(Clone, Debug, PartialEq)]
pub struct StockRun {
    /// The lots.
    pub lots: Vec<LotRun>,
}

/// One lot.
#[derive(Clone, Debug, PartialEq)]
pub struct LotRun {
    /// Its id.
    pub id: String,
    /// What lies there on the day of the plan; nothing where more went out than was
    /// there.
    pub on_hand: Pounds,
    /// What comes after it, by day, without what makes up for an overdraft.
    pub comes: Vec<(Date, Pounds)>,
    /// Of what comes, what makes up for more having gone out than was there: logged or
    /// still to come, litter counts alike.
    pub made_up: Pounds,
}

impl LotRun {
    /// All that has come by the end of a day, were nothing to leave.
    #[must_use]
    pub fn by(&self, day: Date) -> Pounds {
        self.on_hand + self.comes.iter().filter(|(on, _)| *on <= day).map(|(_, pounds)| *pounds).sum()
    }

    /// All that comes after the day of the plan.
    #[must_use]
    pub fn to_come(&self) -> Pounds {
        self.comes.iter().map(|(_, pounds)| *pounds).sum()
    }
}

impl StockRun {
    /// The run of a farm to the end of a day.
    #[must_use]
    pub fn of(ready: &Ready, last: Date) -> StockRun {
        StockRun { lots: ready.lots.iter().map(|lot| run(ready, lot, last)).collect() }
    }

    /// One lot of it.
    #[must_use]
    pub fn lot(&self, id: &str) -> Option<&LotRun> {
        self.lots.iter().find(|lot| lot.id == id)
    }

    /// The days on which some lots together may hold more than before: the day of the
    /// plan and every one on which something comes.
    #[must_use]
    pub fn days(&self, lots: &[String], as_of: Date) -> Days {
        let inside = self.lots.iter().filter(|lot| lots.contains(&lot.id));
        Days(inside.flat_map(|lot| lot.comes.iter().map(|(day, _)| *day)).chain([as_of]).collect())
    }

    /// What some lots together hold at the end of a day, were nothing to leave.
    #[must_use]
    pub fn together(&self, lots: &[String], day: Date) -> Pounds {
        self.lots.iter().filter(|lot| lots.contains(&lot.id)).map(|lot| lot.by(day)).sum()
    }
}

/// Days in order.
#[derive(Clone, Debug)]
pub struct Days(BTreeSet<Date>);

/// More arrivals than this come day by day.
const MOST_DAYS: usize = 40;

impl Days {
    /// All of them.
    pub fn iter(&self) -> impl Iterator<Item = &Date> {
        self.0.iter()
    }

    /// Whether litter comes day by day.
    #[must_use]
    pub fn by_day(&self) -> bool {
        self.0.len() > MOST_DAYS
    }

    /// Those on which it is always told what must leave: all of them, or the first and
    /// the last and the ends of months where litter comes day by day.
    pub fn told(&self) -> impl Iterator<Item = Date> {
        let ends = [self.0.first(), self.0.last()];
        self.0
            .iter()
            .filter(move |day| !self.by_day() || **day == day.last_of_month() || ends.contains(&Some(*day)))
            .copied()
    }
}

fn run(ready: &Ready, lot: &Lot, last: Date) -> LotRun {
    let planned = ready.coming.iter().filter(|c| c.lot == lot.id && c.day <= last).map(|c| (c.day, c.pounds));
    let mut comes: Vec<(Date, Pounds)> = planned.chain(steadily(ready, lot, last)).collect();
    comes.sort_by_key(|(day, _)| *day);
    comes.dedup_by(|next, before| {
        let same = next.0 == before.0;
        if same {
            before.1 += next.1;
        }
        same
    });
    let now = ready.on_hand(lot);
    let mut owed = Pounds(-now.0).max(Pounds(0));
    let mut made_up = Pounds(0);
    for (_, pounds) in &mut comes {
        let part = owed.min(*pounds).max(Pounds(0));
        owed -= part;
        *pounds -= part;
        made_up += part;
    }
    comes.retain(|(_, pounds)| pounds.0 > 0);
    LotRun { id: lot.id.clone(), on_hand: now.max(Pounds(0)), comes, made_up }
}

/// A year's litter, carried out as it is made: evenly over the days after that of
/// the plan, in whole pounds.
fn steadily<'a>(ready: &'a Ready, lot: &'a Lot, last: Date) -> impl Iterator<Item = (Date, Pounds)> + 'a {
    let houses = ready.work.houses.iter().filter(|house| house.lot.as_ref() == Some(&lot.id));
    let tons: Vec<f64> = houses.filter_map(|house| Some(house.a_year.as_ref()?.tons)).collect();
    let made = move |days: i32| -> Pounds {
        tons.iter().map(|tons| Pounds::from_tons_down(tons * f64::from(days) / 365.0)).sum()
    };
    let days = ready.as_of.series(1.day()).skip(1).take_while(move |day| *day <= last);
    days.zip(1..).map(move |(day, n)| (day, made(n) - made(n - 1)))
}
