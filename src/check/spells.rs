//! How days too wet to spread follow each other: the grower's own count, else the
//! figure of the tables on rain.

use crate::farm::{MONTHS, WrittenDays};
use crate::findings::{Finding, Findings, Origin};
use crate::tables::{Book, Scope, topic};
use crate::units::Quantity;
use serde::Serialize;

/// How the days of a month come in spells.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Spell {
    /// Share of the days after one too wet to spread that are too wet as well.
    pub wet_after_wet: f64,
    /// The chance that a day is as the day before whatever its month's share; with
    /// the rest of the chance it goes by the share alone.
    pub stays: f64,
    /// Who says so.
    pub origin: Origin,
}

/// The spells of every month, January first; none where nobody says or where no day,
/// or every day, is fit. `fit` are the shares of fit days, `asked` the months of the plan.
pub(super) fn spells(
    days: &WrittenDays,
    fit: &[Option<f64>],
    asked: &[usize],
    region: Option<&str>,
    book: &Book<'_>,
    findings: &mut Findings,
) -> Vec<Option<Spell>> {
    let mut spells = Vec::new();
    let mut too_low = Vec::new();
    for (i, month) in MONTHS.iter().enumerate() {
        let Some(fit) = fit.get(i).copied().flatten().filter(|fit| *fit > 0.0 && *fit < 1.0) else {
            spells.push(None);
            continue;
        };
        let wet = 1.0 - fit;
        let own = days.wet_after_wet.iter().find(|(of, _)| *of == Some(i));
        let own = own.or_else(|| days.wet_after_wet.iter().find(|(of, _)| of.is_none()));
        spells.push(if let Some((_, share)) = own {
            let after = share.value.get() / 100.0;
            if after < wet && asked.contains(&i) {
                too_low.push((*month, wet, share));
            }
            let after = after.max(wet);
            let stays = (after - wet) / fit;
            Some(Spell { wet_after_wet: after, stays, origin: Origin::Line(share.place.clone()) })
        } else {
            let figure = book.get(topic::RAIN_PERSISTENCE, &Scope::new().month(*month).region(region));
            figure.map(|f| {
                let stays = f.value.get();
                Spell { wet_after_wet: wet + stays * fit, stays, origin: Origin::Figure(f.cite) }
            })
        });
    }
    if let Some((_, _, share)) = too_low.first() {
        let each = |(month, wet, _): &(&str, f64, _)| format!("{:.0} % of {month}", wet * 100.0);
        let months: Vec<String> = too_low.iter().map(each).collect();
        let found = format!(
            "the days: `wet_after_wet` is {}, less than the share of days that are not fit anyway ({}); no spells are counted there",
            share.value,
            months.join(", ")
        );
        findings.push(
            Finding::warning("wet-after-wet", &share.place, found)
                .accepts("of the days after one too wet to spread, the share that is too wet as well: as much as all days, or more")
                .fix("count it by month, as `wet_after_wet: {march: 70 %}`, or take the line out"),
        );
    }
    spells
}
