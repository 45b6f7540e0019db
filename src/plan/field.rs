//! One field of the plan: what goes on, what it needs, what holds it.

use crate::balance::{Limit, LimitKind, LotBalance, LotLimit, Npk, Window, YearNeed};
use crate::check::Laid;
use crate::plan::answer::{
    Application, BarRow, Eased, FieldPlan, Goal, GoalFrom, HeldBy, KeptOff, LoggedLitter, LotLimits, NextLimit, Past,
    Used, YearBudget,
};
use crate::plan::sight::Sight;
use crate::plan::{growing, holds, jobs, known, outlook, soils};
use crate::record::{Entry, What};
use crate::tables::{GrowingYear, Sourced, topic};
use crate::units::{Days, Pounds, Quantity};
use jiff::civil::Date;

impl Sight<'_> {
    /// The field of the plan.
    pub(super) fn plan(&self) -> FieldPlan {
        let weighed = self.weighed;
        let (field, surveyed) = (self.field(), self.surveyed());
        let (value, applications) = (|id| self.value(id), self.applications());
        let years = self.years(&applications);
        let bought = |of: &dyn Fn(&YearBudget) -> Npk<f64>| {
            let own = years.iter().filter(|year| year.bought_for);
            weighed.as_known(own.fold(Npk::default(), |sum: Npk<f64>, year| sum.with(of(year), |a, b| a + b)))
        };
        let (need, left) = (bought(&|year| *year.need), bought(&YearBudget::left));
        let over = years.iter().fold(Npk::default(), |sum: Npk<f64>, year| sum.with(*year.over, |a, b| a + b));
        let (removed, supplied, done) = (weighed.carried_off(), self.supplied(&applications), weighed.done());
        let on = done.with(supplied, |done, put| done + put);
        let (written, part, held) = (&field.written, self.part(&applications), self.held());
        let known = known::known(self, &applications, &held);
        let n_used = self.used(LimitKind::Nitrogen, &held, &applications);
        let n_most = n_used.map_or(need.n, |used| used.allowed);
        FieldPlan {
            id: field.id().to_string(),
            name: written.name.clone(),
            forage: written.forage.value.replace('_', " "),
            usage: written.usage.value.word().to_string(),
            gross_acres: surveyed.cut.gross,
            acres: weighed.acres,
            kept_off: self.kept_off(),
            eased: self.eased(),
            slivers: surveyed.cut.slivers,
            sliver_acres: surveyed.cut.sliver_acres,
            phosphorus: self.phosphorus(on.p2o5, (&supplied, n_most), &held, &applications),
            n_allowed: need.n,
            n_used,
            short: bought(&|year| *year.short),
            over: weighed.as_known(over),
            bars: self.bars(),
            next: self.next(&held, &applications),
            known,
            held,
            limits: self.lot_limits(),
            windows: weighed.windows.clone(),
            past: self.past(),
            outside: self.outside(),
            today: self.today(),
            logged: self.logged(),
            part,
            undrawn: self.undrawn(),
            cuttings: self.cuttings(),
            grazed: self.grazed(),
            stock_waits: self.stock_waits(),
            stock_since: field.stock_since(self.ready),
            test_until: Some(self.ready.open_until(field)).filter(|until| *until < self.ready.to),
            seasons_from: self.book.and_then(|book| growing::seasons_from(self.ready, field, book)),
            besides_on: self.besides_on(),
            sheep: field.sheep,
            stock: weighed.stock.clone(),
            lime: weighed.lime.map(|lime| outlook::lime(self, lime)),
            soil_loss: weighed.soil_loss.map(value),
            metals: outlook::metals(self, &applications),
            outlook: outlook::soil(self, (on, removed, years.len()), &known),
            goal: self.goal(),
            soils: soils::rows(self),
            need,
            done,
            left,
            supplied,
            removed,
            total_n: self.total_n(&applications),
            applications,
            years,
        }
    }

    /// How long stock stays off after litter, where days of it are not known.
    fn stock_waits(&self) -> Option<Sourced<Days>> {
        let field = self.field();
        let (grazed, book) = (field.stock && field.grazed.is_empty(), self.book?);
        book.get(topic::GRAZE_WAIT, &self.ready.scope(field)).filter(|_| grazed)
    }

    /// The growing years that the plan touches, with what goes on in each.
    fn years(&self, applications: &[Application]) -> Vec<YearBudget> {
        let weighed = self.weighed;
        let one = |year: &YearNeed| {
            let (first, last) = year.days;
            let own: Vec<Application> =
                applications.iter().filter(|a| first <= a.first && a.first <= last).cloned().collect();
            let ((need, done_usable), supplied) = (weighed.in_year(year), self.supplied(&own));
            let supplied_usable = self.usable(year, &own);
            let parted = self.parted(year, &own);
            let on = done_usable.with(supplied_usable, |done, put| done + put);
            YearBudget {
                first,
                last,
                need: weighed.as_known(need),
                done: weighed.on_in_year(year),
                supplied,
                done_usable,
                supplied_usable,
                parted,
                short: weighed.as_known(need.with(on, |need, on| (need - on).max(0.0))),
                over: weighed.as_known(on.with(need, |on, need| (on - need).max(0.0))),
                bought_for: year.bought_for,
            }
        };
        weighed.needs.iter().map(one).collect()
    }

    /// Of the limits of a kind that count an open window or that the log is over, the one
    /// that holds the field, else the one that leaves the least or is passed by the most,
    /// with what log and plan put on in its days.
    pub(super) fn used(&self, kind: LimitKind, held: &HeldBy, applications: &[Application]) -> Option<Used> {
        let weighed = self.weighed;
        let used = |row: &Limit| {
            let (first, last) = row.over.days()?;
            let on = jobs::on_with_log(weighed, row, applications);
            Some(Used { first, last, allowed: self.value(row.allowed), on })
        };
        let passed = |row: &Limit| {
            row.done.is_some_and(|on| (self.value(on) * 10.0).round() > (self.value(row.allowed) * 10.0).round())
        };
        let met = |row: &&Limit| row.is_met_by(applications.iter().map(|own| own.first));
        let rows = weighed.limits.iter().filter(met);
        let rows = rows.filter(|row| row.kind == kind && (!row.windows.is_empty() || passed(row)));
        let holds = |used: &Used| held.by == kind && held.days == Some((used.first, used.last));
        // Alike is what is shown alike.
        let room = |used: &Used| ((used.allowed - used.on) * 10.0).round();
        let order = |used: &Used| (!holds(used), room(used), used.allowed);
        rows.filter_map(used).min_by(|a, b| {
            let ((no, left, most), (other_no, other_left, other_most)) = (order(a), order(b));
            no.cmp(&other_no).then(left.total_cmp(&other_left)).then(most.total_cmp(&other_most))
        })
    }

    fn goal(&self) -> Goal {
        let written = &self.field().written;
        let from = match () {
            () if written.yield_goal.is_some() => GoalFrom::Stated,
            () if !written.yields.is_empty() => GoalFrom::PastYears,
            () if written.survey_yield.is_some() => GoalFrom::Survey,
            () => GoalFrom::Soils,
        };
        Goal { tons: self.value(self.weighed.goal), from }
    }

    fn bars(&self) -> Vec<BarRow> {
        self.weighed
            .bars
            .iter()
            .map(|b| BarRow {
                wants: b.wants.word().to_string(),
                why: b.why.clone(),
                fix: b.fix.clone(),
                origin: b.origin.clone(),
            })
            .collect()
    }

    /// The applications, by first day.
    fn applications(&self) -> Vec<Application> {
        let Sight { ready, weighed, question, .. } = *self;
        let load = question.trips.holds.0;
        let mine = self.entries.iter().filter(|e| question.choices[e.choice].field == self.index);
        let mut list: Vec<Application> = mine
            .map(|e| {
                let choice = &question.choices[e.choice];
                let (lot, window) = (&ready.lots[choice.lot], &weighed.windows[choice.window]);
                let pounds = question.pounds(e);
                let loads = question.trips.loads(pounds);
                Application {
                    lot: lot.id.clone(),
                    season: window.season.clone(),
                    first: window.first,
                    last: window.last,
                    after_cutting: window.after_cutting,
                    rate: question.rate(e.steps),
                    rest_acres: weighed.rest.as_ref().filter(|_| choice.on_rest).map(|rest| rest.acres),
                    pounds,
                    loads,
                    last_load: Pounds(pounds.0 - (loads - 1).max(0) * load),
                    haul: self.surveyed().hauls.get(&lot.id).cloned(),
                    litter_from: None,
                    analysis_good_until: lot.good_until.as_ref().map(|g| g.last),
                }
            })
            .collect();
        list.sort_by(|a, b| (a.first, a.last, &a.lot).cmp(&(b.first, b.last, &b.lot)));
        list
    }

    /// Cuttings that are planned, and those of the log since the plan's first day.
    fn cuttings(&self) -> Vec<Date> {
        let years = self.ready.from.year()..=self.ready.to.year();
        let all = self.field().cuttings.iter().filter(|c| years.contains(&c.day.year()));
        all.filter(|c| !c.logged || c.day >= self.ready.from).map(|c| c.day).collect()
    }

    /// The same of grazing.
    fn grazed(&self) -> Vec<(Date, Date)> {
        let last = self.ready.to.year();
        let all = self.field().grazed.iter().filter(|g| g.first.year() <= last);
        all.filter(|g| g.last >= self.ready.from).map(|g| (g.first, g.last)).collect()
    }

    /// Windows that are over, and what the log shows in them.
    fn past(&self) -> Vec<Past> {
        let id = self.field().id();
        let logged = |days| self.ready.spread_on(id, days);
        let past = self.weighed.past.iter();
        let one = |w: &Window| Past {
            season: w.season.clone(),
            first: w.first,
            last: w.last,
            opens: w.season_days.0,
            spread: logged((w.first, w.last)),
            no_room: !self.had_room(w),
        };
        past.map(one).collect()
    }

    /// Whether the log left room for litter in a window that is over: an application of its
    /// calendar year, and of some lot as much as the spreader throws evenly.
    fn had_room(&self, w: &Window) -> bool {
        let (ready, field) = (self.ready, self.field());
        let year = GrowingYear::CALENDAR.around(w.first);
        let trips = self.book.map(|book| Laid::of(ready, field, book, self.weighed.acres, year).trips());
        let least = ready.spreader.least.value.get();
        let counts = |limit: &&LotLimit| limit.days.is_some_and(|(first, last)| first <= w.first && w.last <= last);
        let takes = |lot: &LotBalance| lot.limits.iter().filter(counts).all(|limit| limit.rate >= least);
        let lots = &self.weighed.lots;
        // A year in which no window is open any more has no limits, but its need of nitrogen.
        let mut years = self.weighed.needs.iter().chain(&self.weighed.over);
        let own = years.find(|year| year.days.0 <= w.first && w.last <= year.days.1);
        let n_left = own.map(|year| self.weighed.in_year(year)).map(|(asked, on)| asked.n - on.n);
        let n_takes = |lot: &LotBalance| n_left.is_none_or(|left| left >= least * self.value(lot.supply.per_ton.n));
        let takes = |lot: &LotBalance| takes(lot) && n_takes(lot);
        trips.is_none_or(|trips| trips < field.applications) && (lots.is_empty() || lots.iter().any(takes))
    }

    /// Litter that went on since the plan's first day.
    fn logged(&self) -> Option<LoggedLitter> {
        let spread = self.ready.happened.on_field(self.field().id(), What::Spread);
        let mine: Vec<&Entry> = spread.filter(|e| self.ready.from <= e.date && e.amount.0 > 0).collect();
        let last = mine.iter().map(|entry| entry.date).max()?;
        Some(LoggedLitter { pounds: mine.iter().map(|entry| entry.amount).sum(), last })
    }

    fn lot_limits(&self) -> Vec<LotLimits> {
        let one = |own: &LotBalance| LotLimits { lot: own.id.clone(), limits: own.limits.clone() };
        self.weighed.lots.iter().map(one).collect()
    }

    /// What the log shows on the day of the plan, in its windows: those that are over end before.
    fn today(&self) -> Pounds {
        let (ready, weighed) = (self.ready, self.weighed);
        let spread = ready.happened.on_field(self.field().id(), What::Spread);
        let open = |day| weighed.windows.iter().any(|w| w.first <= day && day <= w.last);
        spread.filter(|e| e.date == ready.as_of && open(e.date)).map(|e| e.amount).sum()
    }

    /// What the log shows in the days of the plan and in none of its windows.
    fn outside(&self) -> Pounds {
        let (ready, weighed) = (self.ready, self.weighed);
        let windows = || weighed.windows.iter().chain(&weighed.past);
        let spread = ready.happened.on_field(self.field().id(), What::Spread);
        let out = spread.filter(|e| ready.from <= e.date && e.date <= ready.to);
        out.filter(|e| !windows().any(|w| w.first <= e.date && e.date <= w.last)).map(|e| e.amount).sum()
    }

    /// What holds the field where it is.
    pub(super) fn held(&self) -> HeldBy {
        let plain = |by| HeldBy { by, days: None, logged: false, rate: None, below_even: false, also: None };
        if !self.weighed.bars.is_empty() {
            return plain(LimitKind::Barred);
        }
        if self.weighed.acres <= 0.0 {
            return plain(LimitKind::NoGround);
        }
        let held = holds::held(self.question, self.resources, self.entries, self.index);
        let own = |row: &&Limit| row.kind == held.by && row.over.days() == held.days;
        let logged = held.days.is_some() && self.weighed.limits.iter().filter(own).any(|row| row.done.is_some());
        HeldBy { logged, ..held }
    }

    /// The limit of the lot that the field gets, or of the first, that binds next: another
    /// one at the same rate, or the next larger.
    fn next(&self, held: &HeldBy, applications: &[Application]) -> Option<NextLimit> {
        let at = held.rate?;
        let main = applications.first().and_then(|a| self.weighed.lot(&a.lot));
        let limits = &main.or(self.weighed.lots.first())?.limits;
        let holds = |l: &&LotLimit| l.kind == held.by && l.days == held.days;
        let next = limits.iter().find(|l| l.rate > at - 1e-6 && !holds(l))?;
        Some(NextLimit { kind: next.kind, rate: next.rate, further: (next.rate - at).max(0.0) })
    }

    /// What the setbacks take.
    fn kept_off(&self) -> Vec<KeptOff> {
        let zones = self.surveyed().cut.zones.iter();
        zones
            .filter_map(|zone| {
                let keep = self.ready.keepouts.get(zone.index)?;
                Some(KeptOff {
                    name: keep.name.clone(),
                    kind: keep.kind.replace('_', " "),
                    feet: keep.from(self.field()).0,
                    acres: zone.acres,
                    origin: keep.from(self.field()).1.clone(),
                })
            })
            .collect()
    }

    /// Keep-outs that keep less than the rule's full distance, and why.
    fn eased(&self) -> Vec<Eased> {
        let keeps = self.surveyed().eased.iter().filter_map(|index| self.ready.keepouts.get(*index));
        keeps
            .filter_map(|keep| {
                Some(Eased {
                    name: keep.name.clone(),
                    kind: keep.kind.replace('_', " "),
                    feet: keep.from(self.field()).0,
                    instead_of: keep.of(self.field()).full,
                    why: keep.eased(self.field())?,
                    origin: keep.from(self.field()).1.clone(),
                })
            })
            .collect()
    }
}
