//! How many days of work can be counted on: as many as come with a chance, by the same weather as
//! the calendar's draws, added up instead of drawn.

use crate::check::{Pace, Ready};
use crate::plan::days::{lost, shares};
use jiff::ToSpan;
use jiff::civil::Date;

/// Tons that can be spread beside the stack from a day to each of some later ones, in order, with the
/// chance that the grower asks for; none where farm.yaml has no block `days:`. What the log shows
/// as lost to rain is lost.
#[must_use]
pub fn sure_capacity(ready: &Ready, first: Date, lasts: &[Date]) -> Option<Vec<f64>> {
    let pace = ready.work.pace.as_ref()?;
    let calendar: Vec<Date> =
        first.series(1.day()).take_while(|day| lasts.last().is_some_and(|last| day <= last)).collect();
    let fit = shares(pace, &calendar, &lost(ready));
    let days = counted_on(pace, &calendar, &fit);
    let by = |last: &Date| {
        let n = calendar.partition_point(|day| day <= last);
        n.checked_sub(1).map_or(0.0, |at| days[at] as f64 * pace.tons_per_day)
    };
    Some(lasts.iter().map(by).collect())
}

/// By the end of each day, the most fit days that have come with the chance asked for.
fn counted_on(pace: &Pace, calendar: &[Date], fit: &[f64]) -> Vec<usize> {
    // The weather is a number from 0 to 1; only between which shares it lies matters.
    let mut edges: Vec<f64> = fit.iter().copied().filter(|share| *share > 0.0 && *share < 1.0).chain([1.0]).collect();
    edges.sort_by(f64::total_cmp);
    edges.dedup();
    let below = |at: usize| at.checked_sub(1).map_or(0.0, |before| edges[before]);
    let of: Vec<f64> = edges.iter().enumerate().map(|(at, edge)| edge - below(at)).collect();
    // Chances by the fit days so far and the weather of the last day; none has come yet.
    let mut chances: Vec<Vec<f64>> = vec![of.clone()];
    let mut days = Vec::new();
    for (at, (day, share)) in calendar.iter().zip(fit).enumerate() {
        // The first day's weather is drawn as any other's.
        let stays = if at == 0 { 1.0 } else { pace.stays_on(*day) };
        let mut next = vec![vec![0.0; edges.len()]; chances.len() + 1];
        for (count, weather) in chances.iter().enumerate() {
            let all: f64 = weather.iter().sum();
            for (place, own) in weather.iter().enumerate() {
                let chance = stays * own + (1.0 - stays) * of[place] * all;
                let is_fit = edges[place] <= *share;
                next[count + usize::from(is_fit)][place] += chance;
            }
        }
        chances = next;
        days.push(most(&chances, pace.in_time));
    }
    days
}

/// The most days of which so many or more come with a chance.
fn most(chances: &[Vec<f64>], asked: f64) -> usize {
    let mut or_more = 0.0;
    for (count, weather) in chances.iter().enumerate().rev() {
        or_more += weather.iter().sum::<f64>();
        if or_more >= asked - 1e-12 {
            return count;
        }
    }
    0
}
