//! Days and years: how long before or after the day as of which the plan is
//! made, and in what order.

use crate::check::plausible::rows::{Judge, JudgedValue, Overrule, Plausibility};
use crate::farm::{Dated, HasDay, OnHand, Sure, Written, WrittenCalibration, WrittenField, WrittenLot};
use crate::findings::{At, Finding, Findings, Place};
use crate::record::Entry;
use crate::tables::Thing;
use crate::text::Signed;
use crate::units::in_days;
use jiff::civil::Date;

const YEAR: &str = "is the year right?";
const LOGGED_YEAR: &str = "is the year right? a slip is corrected with `sward log correct`";
const DAYS_BEFORE: &str = "days before";
const BEFORE: &str = "years before";
const AHEAD: &str = "years ahead";

/// Holds days against the day as of which the plan is made.
pub(super) struct DayJudge<'a, 'b> {
    pub(super) on: Date,
    pub(super) rows: &'a mut Judge<'b>,
}

/// Whether the plan starts near enough to its day.
pub(super) fn starts(from: &At<Date>, on: Date, rows: &mut Judge<'_>) -> bool {
    DayJudge { on, rows }.ahead(Thing::PlanAhead, "the plan starts", from, Overrule::Never) != Plausibility::Outside
}

pub(super) fn all(written: &Written, (on, since): (Date, Option<Date>), rows: &mut Judge<'_>) {
    let mut days = DayJudge { on, rows };
    for lot in &written.lots {
        days.lot(lot);
    }
    for field in &written.fields {
        days.field(field);
    }
    if let Some(spreader) = &written.spreader {
        let sure = Overrule::Sure(spreader.sure.as_ref(), "the spreader");
        if let Some(calibrated) = &spreader.calibrated {
            days.before(Thing::CalibrationDays, "the spreader was calibrated", calibrated, sure);
        }
        for run in written.calibration.iter().flat_map(runs) {
            days.before(Thing::CalibrationDays, "a calibration run was made", run, sure);
        }
    }
    for house in &written.work.houses {
        let says = format!("house {}: a clean-out is planned", house.name.value);
        // What lies in the time that the log holds is simply over.
        let over = |day: Date| day < on && since.is_some_and(|since| since <= day);
        let outs = house.clean_outs.iter().chain(&house.cake_outs);
        for clean_out in outs.filter(|out| !over(out.date.value)) {
            let sure = Overrule::Sure(house.sure.as_ref(), "the house");
            days.ahead(Thing::CleanOutAhead, &says, &clean_out.date, sure);
        }
    }
    for figure in &written.figures {
        days.before(Thing::SaidDays, "the figure was given", &figure.on, Overrule::Never);
    }
    for crop in &written.crops {
        let sure = Overrule::Sure(crop.sure.as_ref(), "the crop");
        days.before(Thing::SaidDays, "what is said of the crop was said", &crop.on, sure);
    }
    if let Some(keeps) = &written.shop.carry_over {
        days.before(Thing::SaidDays, "the carry-over was said", &keeps.on, Overrule::Never);
    }
    for keep in &written.keepouts {
        let by = |at: &At<Signed>| At { value: at.value.on, place: at.place.clone() };
        for (what, on) in [
            ("setback_by", keep.setback.as_ref().map(|(_, at)| by(at))),
            ("consent", keep.consent.as_ref().map(|consent| consent.on.clone())),
            ("above_by", keep.above_by.as_ref().map(by)),
        ] {
            let Some(on) = on else { continue };
            days.before(Thing::SaidDays, &format!("{}: `{what}` was given", keep.name), &on, Overrule::Warns);
        }
    }
    for sure in sures(written) {
        days.before(Thing::SaidDays, &format!("{} was sure", sure.by), &sure.on, Overrule::Never);
    }
}

/// Days of all runs of a calibration.
fn runs(calibration: &WrittenCalibration) -> Vec<&At<Date>> {
    let made = calibration.sheets.iter().map(|s| &s.made).chain(calibration.loads.iter().map(|l| &l.made));
    made.chain(calibration.pans.iter().map(|p| &p.made)).map(|m| &m.date).collect()
}

/// Everybody who is sure of something.
pub(super) fn sures(written: &Written) -> Vec<&Sure> {
    let lots = written.lots.iter().flat_map(|l| l.sure.iter().chain(l.analyses.iter().flat_map(|a| &a.sure)));
    let fields = written.fields.iter().flat_map(|f| f.sure.iter().chain(f.soil_tests.iter().flat_map(|t| &t.sure)));
    let machine = written.spreader.iter().flat_map(|s| &s.sure).chain(written.prices.iter().flat_map(|p| &p.sure));
    let work = &written.work;
    let days = work.days.iter().flat_map(|d| &d.sure).chain(work.houses.iter().flat_map(|h| &h.sure));
    let kept = work.storage.iter().flat_map(|s| &s.sure).chain(written.shop.products.iter().flat_map(|p| &p.sure));
    let hay = written.fields.iter().flat_map(|f| f.hays.iter().flat_map(|hay| &hay.sure));
    let fields = fields.chain(hay);
    let crops = written.crops.iter().flat_map(|crop| &crop.sure);
    lots.chain(fields).chain(machine).chain(days).chain(kept).chain(crops).collect()
}

impl DayJudge<'_, '_> {
    /// Something that lies before the plan's day.
    fn before(&mut self, thing: Thing, says: &str, at: &At<Date>, overrule: Overrule<'_>) {
        let days = (self.on - at.value).get_days();
        if days < 0
            && matches!(thing, Thing::SampleDays | Thing::SoilSampleDays | Thing::HaySampleDays | Thing::RatingDays)
        {
            return self.lies_ahead(says, at);
        }
        // Nobody can be sure of what is still to come.
        let overrule = if days < 0 && !matches!(overrule, Overrule::Warns) { Overrule::Never } else { overrule };
        self.judge((thing, DAYS_BEFORE), days, says, at, overrule);
    }

    /// What a laboratory or a planner found, or somebody stated, on a later day cannot be known yet.
    fn lies_ahead(&mut self, says: &str, at: &At<Date>) {
        let found = format!("{says} on {}, after {}, the day of the plan", at.value, self.on);
        self.rows.findings.push(
            Finding::error("not-yet-known", &at.place, found)
                .accepts(format!("a day up to {}", self.on))
                .fix("correct the date; or make the plan as of that day or later (`plan.as_of`, or `--on`)"),
        );
    }

    /// Of several papers those of later days, while an earlier one holds.
    fn not_yet<T: HasDay>(&mut self, whose: &str, all: &Dated<T>, in_force: Option<&T>) {
        let Some(held) = in_force.map(HasDay::day).filter(|day| day.value <= self.on) else { return };
        for later in all.iter().map(HasDay::day).filter(|day| day.value > self.on) {
            let found = format!(
                "{whose} of {} does not count yet: the plan is made as of {}, and that of {} holds",
                later.value, self.on, held.value
            );
            self.rows.findings.push(
                Finding::warning("not-yet-in-force", &later.place, found)
                    .accepts(format!("a day up to {}", self.on))
                    .fix("nothing to do where the date is right: it counts from that day on; to count it now, make the plan as of that day or later (`plan.as_of`, or `--on`)")
                    .also(&held.place, "the one that holds"),
            );
        }
    }

    /// Something that lies after it.
    fn ahead(&mut self, thing: Thing, says: &str, at: &At<Date>, overrule: Overrule<'_>) -> Plausibility {
        let days = (at.value - self.on).get_days();
        self.judge((thing, "days ahead"), days, says, at, overrule)
    }

    fn judge(
        &mut self,
        (thing, unit): (Thing, &'static str),
        days: i32,
        says: &str,
        at: &At<Date>,
        overrule: Overrule<'_>,
    ) -> Plausibility {
        if self.rows.is_usual(thing, f64::from(days), unit) {
            return Plausibility::Usual;
        }
        let apart = (at.value - self.on).get_days();
        let side = if apart < 0 { "before" } else { "after" };
        let says = format!("{says} on {}, {} {side} {}, the day of the plan", at.value, in_days(apart.abs()), self.on);
        let row = JudgedValue::new(thing, (f64::from(days), unit), says, &at.place, overrule);
        let hint = if thing == Thing::LogDays { LOGGED_YEAR } else { YEAR };
        self.rows.judge(&row.hint(hint))
    }

    /// A year, counted from that of the plan's day.
    fn years(&mut self, (thing, unit): (Thing, &str), says: &str, year: &At<i16>, overrule: Overrule<'_>) {
        let ahead = f64::from(year.value) - f64::from(self.on.year());
        let value = if unit == AHEAD { ahead } else { -ahead };
        let says = format!("{says} {}, and the plan's day is {}", year.value, self.on);
        self.rows.judge(&JudgedValue::new(thing, (value, unit), says, &year.place, overrule).hint(YEAR));
    }

    fn lot(&mut self, lot: &WrittenLot) {
        let whose = format!("lot {}", lot.id.value);
        let sure = Overrule::Sure(lot.sure.as_ref(), "the lot");
        if let Some(since) = &lot.since {
            self.before(Thing::LotDays, &format!("{whose} lies there since a day,"), since, sure);
        }
        if let Some(counted) = &lot.counted_on {
            self.before(Thing::LotDays, &format!("{whose} was counted"), counted, sure);
        }
        if let OnHand::Tickets(tickets) = &lot.on_hand.value {
            for ticket in tickets {
                let says = format!("{whose}: ticket {} was written", ticket.number.value);
                self.before(Thing::SampleDays, &says, &ticket.date, sure);
            }
        }
        self.not_yet(&format!("{whose}: the analysis"), &lot.analyses, lot.analysis.as_ref());
        let Some(analysis) = &lot.analysis else { return };
        let sure = Overrule::Sure(analysis.sure.as_ref().or(lot.sure.as_ref()), "the analysis or the lot");
        self.before(Thing::SampleDays, &format!("{whose} was sampled"), &analysis.sampled, sure);
        if let Some(since) = lot.since.as_ref().filter(|since| since.value > analysis.sampled.value) {
            let found = format!(
                "{whose} lies there since {}, and was sampled on {}, before that",
                since.value, analysis.sampled.value
            );
            self.rows.findings.push(
                Finding::warning("since-after-sample", &since.place, found)
                    .accepts("a sample of the litter that lies there now")
                    .fix("correct one of the days; where litter came in later, sample the lot again")
                    .also(&analysis.sampled.place, "the sample"),
            );
        }
    }

    fn field(&mut self, field: &WrittenField) {
        let whose = format!("field {}", field.id.value);
        let sure = Overrule::Sure(field.sure.as_ref(), "the field");
        self.not_yet(&format!("{whose}: the soil test"), &field.soil_tests, field.soil_test.as_ref());
        self.not_yet(&format!("{whose}: the rating"), &field.ratings, field.rating.as_ref());
        let stated = "what is stated for the phosphorus rule";
        self.not_yet(&format!("{whose}: {stated}"), &field.rules_said, field.rule_said.as_ref());
        self.not_yet(&format!("{whose}: the hay analysis"), &field.hays, field.hay.as_ref());
        if let Some(hay) = &field.hay {
            let sure = Overrule::Sure(hay.sure.as_ref().or(field.sure.as_ref()), "the hay analysis or the field");
            self.before(Thing::HaySampleDays, &format!("{whose}: the hay was sampled"), &hay.sampled, sure);
        }
        if let Some(test) = &field.soil_test {
            let sure = Overrule::Sure(test.sure.as_ref().or(field.sure.as_ref()), "the soil test or the field");
            self.before(Thing::SoilSampleDays, &format!("{whose}: the soil was sampled"), &test.sampled, sure);
        }
        if let Some(rated) = &field.rating {
            self.before(Thing::RatingDays, &format!("{whose} was rated"), &rated.on, sure);
        }
        if let Some(said) = &field.rule_said {
            let says = format!("{whose}: what `phosphorus_rule` says was stated");
            match said.on.value > self.on {
                true => self.lies_ahead(&says, &said.on),
                false => self.before(Thing::SaidDays, &says, &said.on, sure),
            }
        }
        for year in &field.yields {
            self.years((Thing::YieldYears, BEFORE), &format!("{whose} yielded in"), &year.year, sure);
        }
        for earlier in &field.earlier {
            self.years((Thing::EarlierYears, BEFORE), &format!("{whose} got litter in"), &earlier.year, sure);
        }
        if let Some(until) = &field.banked_until {
            self.years((Thing::BankedYears, AHEAD), &format!("{whose}: phosphate rests until"), until, sure);
        }
    }
}

/// Planned cuttings and grazing: of the plan's years, each once, in order.
pub(super) fn planned(written: &Written, findings: &mut Findings) {
    let Some((from, to)) = &written.span else { return };
    let span = (from.value, to.value);
    for field in &written.fields {
        let id = &field.id.value;
        let cuttings = field.cuttings.iter().map(|c| (c.value, c.value, &c.place)).collect::<Vec<_>>();
        other_years(
            id,
            ("cutting-year", "a cutting is planned", "cutting-kept", "cuttings"),
            &cuttings,
            span,
            findings,
        );
        let grazed = field.grazed.iter().map(|(first, last)| (first.value, last.value, &first.place));
        let grazed = grazed.collect::<Vec<_>>();
        other_years(id, ("grazed-year", "grazing begins", "grazed-kept", "days of grazing"), &grazed, span, findings);
        for pair in field.cuttings.windows(2) {
            order(id, &pair[0], &pair[1], findings);
        }
    }
}

/// Days of other years than the plan's. Where some of its own stand beside them, the
/// list is kept over the years and only said once; those of later years alone are a slip,
/// since the plan would know of no cutting or grazing at all.
fn other_years(
    id: &str,
    (slip, what, kept, many): (&'static str, &str, &'static str, &str),
    days: &[(Date, Date, &Place)],
    (from, to): (Date, Date),
    findings: &mut Findings,
) {
    let years = from.year()..=to.year();
    let touches =
        |(first, last, _): &&(Date, Date, &Place)| first.year() <= *years.end() && last.year() >= *years.start();
    let others: Vec<&(Date, Date, &Place)> = days.iter().filter(|day| !touches(day)).collect();
    if others.len() < days.len() {
        let Some((_, _, place)) = others.first() else { return };
        let other = others.iter().map(|(first, ..)| first.to_string()).collect::<Vec<_>>().join(", ");
        let found = format!("field {id}: {many} of other years do not count in the plan of {from} to {to}: {other}");
        findings.push(Finding::note(kept, place, found).fix("nothing to do where the years are right"));
        return;
    }
    // Those of earlier years stand for the plan's, which is told for all fields at once.
    for (first, _, place) in others.into_iter().filter(|(first, ..)| *first > to) {
        let found = format!("field {id}: {what} on {first}, in another year than the plan of {from} to {to}");
        findings.push(
            Finding::error(slip, place, found)
                .accepts("days of a year that the plan touches")
                .fix("correct the year, or add the days of this plan's years; those of other years may stay"),
        );
    }
}

/// Two cuttings that follow each other in the list.
fn order(id: &str, first: &At<Date>, second: &At<Date>, findings: &mut Findings) {
    let finding = match first.value.cmp(&second.value) {
        std::cmp::Ordering::Less => return,
        std::cmp::Ordering::Equal => {
            let found = format!("field {id}: the cutting of {} is listed twice", second.value);
            Finding::error("cutting-twice", &second.place, found)
                .accepts("every cutting once")
                .fix("correct one of the two days, or take it out")
        }
        std::cmp::Ordering::Greater => {
            let found = format!("field {id}: the cutting of {} is listed after that of {}", second.value, first.value);
            Finding::warning("cuttings-order", &second.place, found)
                .accepts("cuttings in the order of the calendar")
                .fix("check the months, then put them in order")
        }
    };
    findings.push(finding.also(&first.place, "the one before it"));
}

/// The days that a text names.
fn days_in(text: &str) -> impl Iterator<Item = Date> + '_ {
    text.split(|c: char| !(c.is_ascii_digit() || c == '-')).filter_map(crate::text::day)
}

/// The own day of an entry of the log.
pub(super) fn entry(entry: &Entry, on: Date, rows: &mut Judge<'_>) {
    let mut days = DayJudge { on, rows };
    // What it says is put into words only where there is something to say of it.
    let before = (on - entry.date).get_days();
    if !days.rows.is_usual(Thing::LogDays, f64::from(before), DAYS_BEFORE) {
        let at = At { value: entry.date, place: entry.place.clone() };
        // What was done stands, however long ago the plan was made.
        days.before(Thing::LogDays, &format!("the log has a {}", entry.what.word()), &at, Overrule::Warns);
    }
}

/// Papers of an entry that are of a later day than its own.
pub(super) fn papers(entry: &Entry, rows: &mut Judge<'_>) {
    for (column, what) in [("analysis", "an analysis"), ("soil_test", "a soil test"), ("calibrated", "a calibration")] {
        let later = days_in(entry.word(column)).find(|day| *day > entry.date);
        if let Some(day) = later {
            let found = format!("{} of {} relies on {what} of {day}, which is later", entry.what.word(), entry.date);
            rows.findings.push(
                Finding::warning("papers-later", &entry.place, found)
                    .accepts(format!("{what} of {} or before", entry.date))
                    .fix(format!(
                        "`sward log correct {} --set {column}=...`, with what was there on {}; nothing after the = where \
                         there was none",
                        if entry.id.is_empty() { "ID" } else { &entry.id },
                        entry.date
                    )),
            );
        }
    }
}
