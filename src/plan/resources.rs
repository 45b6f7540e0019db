//! What the choices draw on: litter by a day, room in a storage, days of spreading,
//! what an outlet takes. Each is so many pounds; each use of it is pounds too.

use crate::plan::pick::Pick;
use crate::plan::problem::{Choice, Problem, Room};
use crate::units::Pounds;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// So much of something for all choices together.
#[derive(Clone, Debug, PartialEq)]
pub struct Resource {
    /// Of what.
    pub of: Draw,
    /// How much.
    pub pounds: Pounds,
}

/// What is drawn on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Draw {
    /// Litter of a lot that is there by a day: what ends by then takes no more. As
    /// litter waits but is never used before it is there, a plan that keeps this on
    /// every day on which a window ends can be carried out.
    Litter {
        /// Which lot.
        lot: usize,
        /// The day.
        by: Date,
    },
    /// What windows from one day to another can take of some lots out of a storage: on the
    /// evening before the first day no more of them lies in it than goes in.
    Room {
        /// Which.
        room: usize,
        /// Which of its lots, in its order: a bit each.
        lots: u64,
        /// The first day.
        first: Date,
        /// The last day.
        last: Date,
    },
    /// Days of a span; where the span waits for a lot, for what is not there before.
    Days {
        /// Which span.
        span: usize,
    },
    /// What an outlet takes.
    Outlet {
        /// Which.
        outlet: usize,
    },
}

/// A lot that is used from one day to another.
#[derive(Clone, Copy)]
struct Use {
    lot: usize,
    first: Date,
    last: Date,
}

impl Problem {
    /// Litter of a lot that is there by the end of a day.
    #[must_use]
    pub fn there(&self, lot: usize, day: Date) -> Pounds {
        let later = self.lots[lot].comes.iter().filter(|(on, _)| *on > day);
        self.lots[lot].pounds - later.map(|(_, pounds)| *pounds).sum()
    }

    /// Everything that is drawn on and may run out.
    #[must_use]
    pub fn resources(&self) -> Vec<Resource> {
        let uses: Vec<Use> = self.uses_of_lots().collect();
        let mut all = Vec::new();
        for lot in 0..self.lots.len() {
            let ends: BTreeSet<Date> = uses.iter().filter(|u| u.lot == lot).map(|u| u.last).collect();
            let litter = |(by, pounds)| Resource { of: Draw::Litter { lot, by }, pounds };
            all.extend(steps(&ends, &|day| self.there(lot, day)).into_iter().map(litter));
        }
        for (index, room) in self.rooms.iter().enumerate() {
            self.rows_of_room(index, room, &uses, &mut all);
        }
        for (index, span) in self.spans.iter().enumerate() {
            let before = span.first.yesterday().ok();
            let there = span.lot.zip(before).map_or(Pounds(0), |(lot, day)| self.there(lot, day));
            all.push(Resource { of: Draw::Days { span: index }, pounds: span.pounds.max(Pounds(0)) + there });
        }
        for (index, outlet) in self.outlets.iter().enumerate() {
            all.extend(outlet.most.map(|pounds| Resource { of: Draw::Outlet { outlet: index }, pounds }));
        }
        all
    }

    fn uses_of_lots(&self) -> impl Iterator<Item = Use> {
        let choices = self.choices.iter().map(|c| Use { lot: c.lot, first: c.first, last: c.last });
        let sold = self.outlets.iter().flat_map(|outlet| {
            outlet.lots.iter().map(move |lot| Use { lot: *lot, first: outlet.first, last: outlet.last })
        });
        choices.chain(sold)
    }

    /// The first day of a window is late for what was there before: no more of it
    /// than the room is left. What comes on that day may go out at once. Some of the lots
    /// together may be held sooner than all, as what comes to the others later is none of
    /// theirs.
    fn rows_of_room(&self, index: usize, room: &Room, uses: &[Use], all: &mut Vec<Resource>) {
        let there = |of: &[usize], day: Date| -> Pounds { of.iter().map(|lot| self.there(*lot, day)).sum() };
        for lots in groups(room.lots.len()) {
            let of: Vec<usize> = members(room, lots).collect();
            let inside = |u: &&Use| of.contains(&u.lot);
            let firsts: BTreeSet<Date> = uses.iter().filter(inside).map(|u| u.first).collect();
            for first in firsts {
                let before = |of: &[usize]| first.yesterday().map_or(Pounds(0), |day| there(of, day));
                let lay = before(&of);
                if lay <= room.pounds {
                    continue;
                }
                let lasts = uses.iter().filter(inside).filter(|u| u.first >= first).map(|u| u.last).collect();
                let came = steps(&lasts, &|day| there(&of, day)).into_iter().map(|(last, by)| (last, by - lay));
                // Where nothing comes to the others, all lots together say no less.
                let whole = before(&room.lots);
                let tells = |(last, came): &(Date, Pounds)| {
                    of.len() == room.lots.len() || *came < there(&room.lots, *last) - whole
                };
                all.extend(came.filter(tells).map(|(last, came)| Resource {
                    of: Draw::Room { room: index, lots, first, last },
                    pounds: room.pounds + came,
                }));
            }
        }
    }

    /// What an application takes of a resource.
    #[must_use]
    pub fn takes(&self, resource: &Resource, entry: &Pick) -> Pounds {
        let c = &self.choices[entry.choice];
        match resource.of {
            Draw::Days { span } => self.time_in(span, c, entry),
            _ if self.draws(resource, c.lot, (c.first, c.last)) => self.pounds(entry),
            _ => Pounds(0),
        }
    }

    /// Whether litter of a lot that is used within some days draws on a resource.
    pub(super) fn draws(&self, resource: &Resource, lot: usize, days: (Date, Date)) -> bool {
        match resource.of {
            Draw::Litter { lot: own, by } => lot == own && days.1 <= by,
            Draw::Room { room, lots, first, last } => {
                first <= days.0 && days.1 <= last && members(&self.rooms[room], lots).any(|own| own == lot)
            }
            Draw::Days { .. } | Draw::Outlet { .. } => false,
        }
    }

    /// Days that an application takes of a span, as pounds beside the stack. A span
    /// that waits for a lot holds what of the lot is due by its end: what was there
    /// before may have been spread before.
    fn time_in(&self, span: usize, c: &Choice, entry: &Pick) -> Pounds {
        let span = &self.spans[span];
        let within = span.first <= c.first && c.last <= span.last;
        let waits = span.lot == Some(c.lot) && c.last <= span.last;
        if waits && c.last < span.first {
            self.pounds(entry)
        } else if within || waits {
            self.time_pounds(entry)
        } else {
            Pounds(0)
        }
    }
}

/// Storages of more lots than this are held by all of their lots together and by each alone.
const MOST_GROUPED: usize = 5;

/// The groups of so many lots, all of them first: a bit each.
fn groups(lots: usize) -> impl Iterator<Item = u64> {
    let all = u64::MAX.checked_shr(64_u32.saturating_sub(u32::try_from(lots).unwrap_or(64))).unwrap_or(0);
    let few = lots <= MOST_GROUPED;
    let smaller = (1..if few { all } else { 0 }).rev();
    let single = (0..if few { 0 } else { lots.min(64) }).map(|at| 1 << at);
    (all > 0).then_some(all).into_iter().chain(smaller).chain(single)
}

/// The lots of a group.
fn members(room: &Room, group: u64) -> impl Iterator<Item = usize> {
    let bit = move |at: usize| at >= 64 || group & (1 << at) != 0;
    room.lots.iter().enumerate().filter(move |(at, _)| bit(*at)).map(|(_, lot)| *lot)
}

/// The amounts of some days, each amount once with the last day that has it.
fn steps(days: &BTreeSet<Date>, of: &dyn Fn(Date) -> Pounds) -> Vec<(Date, Pounds)> {
    let mut steps: Vec<(Date, Pounds)> = Vec::new();
    for day in days {
        let pounds = of(*day).max(Pounds(0));
        match steps.last_mut() {
            Some((last, same)) if *same == pounds => *last = *day,
            _ => steps.push((*day, pounds)),
        }
    }
    steps
}
