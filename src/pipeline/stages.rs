//! The stages of a farm on the way to its plan, and the steps between them.

use crate::audit::{self, Audited};
use crate::balance::{self, Balance, FieldBalance, Surveyed};
use crate::check::Ready;
use crate::farm::MAIN;
use crate::findings::{self, Finding, Findings, Place};
use crate::pipeline::judged::{Judge, ground_of};
use crate::plan::answer::{InParts, Made};
use crate::plan::{self, Choose, Plan};
use crate::tables::Tables;
use jiff::civil::Date;
use std::collections::BTreeSet;
use std::ops::Deref;
use std::sync::Arc;

/// A farm that was read and checked.
#[derive(Clone, Debug)]
pub struct Checked {
    /// The tables.
    pub tables: Arc<Tables>,
    /// The farm, when nothing stands in its way.
    pub ready: Option<Ready>,
    /// Its fields as measured, when they could be.
    pub ground: Vec<Surveyed>,
    /// Everything that was found.
    pub findings: Findings,
    /// What a plan of it is made from and by.
    pub made: Made,
}

/// A farm whose every need, supply and limit is known.
#[derive(Debug)]
pub struct Weighed {
    /// The tables.
    pub tables: Arc<Tables>,
    /// The farm.
    pub ready: Ready,
    /// Its fields as measured.
    pub ground: Vec<Surveyed>,
    /// Every need, supply and limit.
    pub balance: Balance,
    /// Everything that was found.
    pub findings: Findings,
    /// What a plan of it is made from and by.
    pub made: Made,
}

/// A farm with its finished plan, and all that is known of it.
#[derive(Debug)]
pub struct Planned {
    /// The farm, and every need, supply and limit.
    pub weighed: Weighed,
    /// The plan.
    pub audited: Audited,
}

impl Deref for Planned {
    type Target = Weighed;

    fn deref(&self) -> &Weighed {
        &self.weighed
    }
}

impl Checked {
    /// Calculates every need, supply and limit.
    ///
    /// # Errors
    /// Everything that was found, when something stands in the way.
    pub fn weigh(self) -> Result<Weighed, Findings> {
        let Checked { tables, ready, ground, mut findings, made } = self;
        let Some(ready) = ready else {
            return Err(findings);
        };
        let (balance, found) = balance::weigh(&ready, &tables, &ground);
        findings.extend(found.sorted().into_iter().filter(|finding| !plan::is_of_its_year(finding)).cloned().collect());
        // What was banked in a year that is over was put on by what was in force then.
        let banked =
            if ready.is_past { Findings::new() } else { balance::banked_too_long(&balance, &ready.place_name) };
        if !banked.is_empty() {
            findings.extend(banked);
            return Err(findings);
        }
        let judge = Judge { ready: &ready, tables: &tables, ground: &ground };
        findings.extend(judge.of_the_log());
        Ok(Weighed { tables, ready, ground, balance, findings, made })
    }
}

impl Checked {
    /// The farm in one calendar year, by what was in force then and known at its end,
    /// or on a day before; none of a year outside the calendar.
    ///
    /// # Errors
    /// Everything that was found, when something stands in the way.
    pub fn weigh_year(self, year: i16, known: Option<Date>) -> Result<Option<Weighed>, Findings> {
        let Checked { tables, ready, ground, findings, made } = self;
        let Some(now) = ready else { return Err(findings) };
        let Some(then) = now.in_year(year, known) else { return Ok(None) };
        let ground = ground_of(&then, &now, &ground);
        Checked { tables, ready: Some(then), ground, findings, made }.weigh().map(Some)
    }
}

impl Weighed {
    /// Everything that was found, and what the record shows beside every limit. What
    /// its field's balance and the tally both say at one line, the balance says.
    #[must_use]
    pub fn with_record(&self) -> Findings {
        let mut all = self.findings.clone();
        all.extend(self.nowhere().into_iter().collect());
        all.extend(plan::shown_by_record(&self.ready, &self.balance));
        let all = all.sorted();
        // What a tally leaves out is the tally's to say.
        let here = all.iter().filter(|one| one.code != "tally-outside");
        unsaid(here.copied(), &all).cloned().collect()
    }

    /// The same with what the log shows of every year before the plan's, by what was in
    /// force then.
    #[must_use]
    pub fn with_whole_record(&self) -> Findings {
        let mut all = self.with_record();
        let judge = Judge { ready: &self.ready, tables: &self.tables, ground: &self.ground };
        let years = i16::MIN..=self.ready.open_from().year() - 1;
        let earlier = judge.of_years(years);
        let told: BTreeSet<_> = all.sorted().into_iter().map(said).collect();
        let new: Findings = earlier.into_iter().filter(|one| !told.contains(&said(one))).collect();
        all.extend(new);
        all
    }

    /// The fields that cannot get litter, each with the reason in a few words; none where all
    /// can get some. A plan may give more of them none: what it gains there, or how thin it
    /// would lie, only the plan knows.
    #[must_use]
    pub fn without_litter(&self) -> Option<String> {
        let mut fields: Vec<&FieldBalance> = self.balance.fields.iter().collect();
        // What somebody can do something about stands first.
        fields.sort_by_key(|field| !field.wants_something());
        let fields = fields.into_iter();
        let stopped: Vec<(&str, String)> = fields.filter_map(|f| Some((f.field().id(), f.without_litter()?))).collect();
        findings::without_litter(self.balance.fields.len(), &stopped, ("cannot get litter", "cannot get litter"), false)
    }

    /// An error where no field at all can get litter, and of one at least that is for want
    /// of something that can be written down.
    #[must_use]
    pub fn nowhere(&self) -> Option<Finding> {
        let fields = &self.balance.fields;
        if fields.iter().any(|field| field.bars.is_empty()) || !fields.iter().any(FieldBalance::wants_something) {
            return None;
        }
        let found = format!("there is nothing to plan: {}", self.without_litter()?);
        let place = Place::file(MAIN);
        Some(
            Finding::error("nowhere", &place, found)
                .accepts("at least one field with a soil test in date and every figure that it needs")
                .fix("what each field is wanting stands at its line"),
        )
    }

    /// Chooses, and audits what was chosen.
    ///
    /// # Errors
    /// What the audit found, when the plan does not pass.
    pub fn plan(self, chooser: &dyn Choose) -> Result<Planned, Findings> {
        self.plan_in_parts(chooser, |_, _| None)
    }

    /// The same where fields of the farm are parts of others: what is said of them, by the plan.
    pub(super) fn plan_in_parts(
        self,
        chooser: &dyn Choose,
        parts: impl FnOnce(&mut Plan, &Balance) -> Option<InParts>,
    ) -> Result<Planned, Findings> {
        let Weighed { tables, ready, balance, findings, made, .. } = &self;
        let mut plan = plan::make(ready, tables, balance, chooser, findings);
        let in_parts = parts(&mut plan, balance);
        let audited = audit::audit(Plan { made: made.clone(), in_parts, ..plan }, ready, tables)?;
        Ok(Planned { weighed: self, audited })
    }
}

/// What makes two findings the same.
pub(super) fn said(finding: &Finding) -> (&str, &Place, &str) {
    (finding.code.as_ref(), &finding.place, &finding.found)
}

/// What of some findings none of all the others says more of at the same place: what the log
/// does to a field is said by its balance, and again by the tally. A long log has very many
/// findings, and hardly any of these codes.
pub(super) fn unsaid<'f>(
    some: impl Iterator<Item = &'f Finding>,
    all: &[&'f Finding],
) -> impl Iterator<Item = &'f Finding> {
    let by_balance: Vec<&Finding> = all.iter().copied().filter(|one| one.code == "logged-barred").collect();
    some.filter(move |one| {
        let more = |other: &&Finding| other.place == one.place && other.fix == one.fix;
        one.code != "tally-barred" || !by_balance.iter().any(more)
    })
}
