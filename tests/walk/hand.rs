//! The year of the walk by hand: what was put on, what lies there and what is still
//! allowed, by plain sums over the lines of the log. Nothing of the program is used.
//!
//! Figures are those that `sward tables` prints; behind each stands its name.

use std::collections::BTreeMap;

/// N, P2O5 and K2O.
pub(crate) type Three = [f64; 3];
/// Year, month, day as one number that sorts like the calendar: 20260415.
pub(crate) type Day = u32;

/// A day of the files.
pub(crate) fn day(text: &str) -> Day {
    text.replace('-', "").parse().unwrap_or_else(|_| panic!("{text} is a day"))
}

/// The day so many days later; every month by its own length.
pub(crate) fn plus(from: Day, days: i32) -> Day {
    let (mut y, mut m, mut d) = (from / 10_000, from / 100 % 100, from % 100);
    let long = |y: u32, m: u32| match m {
        2 if y.is_multiple_of(4) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    };
    for _ in 0..days.abs() {
        if days > 0 {
            d += 1;
            if d > long(y, m) {
                (d, m) = (1, m + 1);
            }
            if m > 12 {
                (m, y) = (1, y + 1);
            }
        } else {
            d -= 1;
            if d == 0 {
                m -= 1;
                if m == 0 {
                    (m, y) = (12, y - 1);
                }
                d = long(y, m);
            }
        }
    }
    y * 10_000 + m * 100 + d
}

/// What may cap phosphate on a field.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Cap {
    /// Nitrogen alone limits.
    None,
    /// A year's removal, lb/ac.
    Removal(f64),
    /// What the soil test calls for, lb/ac.
    SoilTest(f64),
}

/// A field as its state sees it.
#[derive(Debug)]
pub(crate) struct Ground {
    pub(crate) id: &'static str,
    /// About so many acres: the square is drawn on a plane.
    pub(crate) drawn: f64,
    pub(crate) miles: f64,
    /// Tons of dry hay an acre; none where past years make the goal.
    pub(crate) goal: Option<f64>,
    /// Nitrogen for each ton of the goal, less what grazing gives back.
    pub(crate) n_per_ton: f64,
    /// Phosphate and potash to put on, by the soil test of 2025, and by that of 2026
    /// where there is one.
    pub(crate) pk: [f64; 2],
    pub(crate) pk_next: Option<[f64; 2]>,
    /// Phosphate cap: for a removal, lb for each ton of the goal.
    pub(crate) cap: Cap,
    pub(crate) seasons: [(&'static str, &'static str, &'static str); 2],
    /// Most nitrogen at once.
    pub(crate) at_once: Option<f64>,
    /// Cuttings that are planned, month and day, in both years.
    pub(crate) cuttings: &'static [&'static str],
    /// Grazing that is planned: first and last day.
    pub(crate) grazed: &'static [(&'static str, &'static str)],
}

/// One of the three states.
#[derive(Debug)]
pub(crate) struct State {
    pub(crate) key: &'static str,
    pub(crate) at: (f64, f64),
    /// Of organic and of ammonium nitrogen, what counts in the year.
    pub(crate) available: [f64; 2],
    /// Of organic nitrogen, what counts in the second year; none where nobody says.
    pub(crate) second_year: Option<f64>,
    pub(crate) fields: [Ground; 4],
}

const FESCUE_NC: [(&str, &str, &str); 2] = [("spring", "02-15", "03-31"), ("fall", "08-15", "09-30")];
const FESCUE_GA: [(&str, &str, &str); 2] = [("spring", "02-15", "04-30"), ("fall", "09-01", "10-31")];
const FESCUE_VA: [(&str, &str, &str); 2] = [("spring", "03-01", "05-15"), ("fall", "08-15", "10-15")];
const BERMUDA_NC: [(&str, &str, &str); 2] = [("spring", "04-01", "05-31"), ("summer", "06-01", "08-31")];
const BERMUDA_GA: [(&str, &str, &str); 2] = [("spring", "03-15", "05-31"), ("summer", "06-01", "09-01")];
const BERMUDA_VA: [(&str, &str, &str); 2] = [("spring", "04-15", "05-31"), ("summer", "06-01", "08-31")];

/// What the four fields have in common in every state: M is bermudagrass hay, whose goal
/// comes from its past years; C is fescue hay; P a pasture; H is cut and then grazed.
fn fields(
    pk: [[f64; 2]; 4],
    next: [f64; 2],
    caps: [Cap; 4],
    seasons: [[(&'static str, &'static str, &'static str); 2]; 2],
    at_once: [Option<f64>; 2],
) -> [Ground; 4] {
    let base = |id, drawn, miles, n_per_ton, goal, of: usize| Ground {
        id,
        drawn,
        miles,
        goal,
        n_per_ton,
        pk: pk[of],
        pk_next: None,
        cap: caps[of],
        seasons: seasons[1],
        at_once: None,
        cuttings: &[],
        grazed: &[],
    };
    // Nitrogen a ton of goal: n_per_ton of bermudagrass 50, of fescue 40, and on the two
    // that are grazed a quarter less (n_grazing_cut).
    [
        Ground {
            pk_next: Some(next),
            seasons: seasons[0],
            at_once: at_once[0],
            cuttings: &["05-26", "07-07", "08-20"],
            ..base("M", 30.0, 1.0, 50.0, None, 0)
        },
        Ground { cuttings: &["05-18", "07-20"], ..base("C", 24.0, 2.0, 40.0, Some(4.0), 1) },
        Ground {
            at_once: at_once[1],
            grazed: &[("2026-04-10", "2026-06-30"), ("2027-04-20", "2027-06-30")],
            ..base("P", 25.0, 0.5, 30.0, Some(3.0), 2)
        },
        Ground {
            cuttings: &["06-02"],
            grazed: &[("2026-10-01", "2026-10-31"), ("2027-10-01", "2027-10-31")],
            ..base("H", 20.0, 1.5, 30.0, Some(3.0), 3)
        },
    ]
}

/// What the index asks for in North Carolina (p2o5_need and k2o_need, one curve): flat at
/// its lowest point and never below nothing.
fn curve(index: f64) -> f64 {
    let at = index.min(2.75 / (2.0 * 0.0116));
    (0.0116 * at * at - 2.75 * at + 150.0).max(0.0)
}

pub(crate) fn states() -> [State; 3] {
    let nc = [[70.0, 50.0], [110.0, 60.0], [40.0, 50.0], [45.0, 60.0]].map(|pk| pk.map(curve));
    let half = [0.5, 0.5];
    [
        State {
            key: "us-nc",
            at: (-79.51, 35.72),
            // n_available 0.5 of all nitrogen.
            available: half,
            second_year: None,
            // Ratings: low and medium leave it to nitrogen, high holds to removal
            // (p_rule), 15 lb a ton of fescue (p2o5_per_ton).
            fields: fields(
                nc,
                [76.0, 55.0].map(curve),
                [Cap::None, Cap::Removal(15.0), Cap::SoilTest(curve(40.0)), Cap::None],
                [BERMUDA_NC, FESCUE_NC],
                // The federal 100 lb on bermudagrass hay (n_at_once); the state has no figure.
                [Some(100.0), None],
            ),
        },
        State {
            key: "us-ga",
            at: (-83.4, 33.9),
            available: half,
            second_year: None,
            // Needs are the planner's, in `figures:`; removal 13 lb a ton of fescue.
            fields: fields(
                [[0.0, 120.0], [0.0, 60.0], [55.0, 60.0], [55.0, 60.0]],
                [0.0, 120.0],
                [Cap::None, Cap::Removal(13.0), Cap::SoilTest(55.0), Cap::None],
                [BERMUDA_GA, FESCUE_GA],
                [Some(100.0), None],
            ),
        },
        State {
            key: "us-va",
            at: (-78.92, 37.31),
            // n_organic_available and n_ammonium_kept.
            available: [0.6, 0.5],
            second_year: Some(0.12),
            // Low leaves it to nitrogen, high holds to removal, medium to 1.5 times it, and
            // unrated to what the soil test asks for (p_rule): 13 lb a ton of fescue.
            fields: fields(
                [[0.0, 100.0], [20.0, 60.0], [55.0, 60.0], [20.0, 60.0]],
                [0.0, 100.0],
                [Cap::None, Cap::Removal(13.0), Cap::SoilTest(55.0), Cap::Removal(13.0 * 1.5)],
                [BERMUDA_VA, FESCUE_VA],
                [Some(100.0), Some(80.0)],
            ),
        },
    ]
}

/// A line of the log.
#[derive(Clone, Debug)]
pub(crate) struct Line(BTreeMap<String, String>);

impl Line {
    pub(crate) fn get(&self, column: &str) -> &str {
        self.0.get(column).map_or("", String::as_str)
    }

    pub(crate) fn on(&self) -> Day {
        day(self.get("date"))
    }

    pub(crate) fn is(&self, what: &str) -> bool {
        self.get("what") == what
    }

    /// The number that a cell begins with.
    pub(crate) fn number(&self, column: &str) -> Option<f64> {
        self.get(column).split(' ').next().and_then(|number| number.parse().ok())
    }

    pub(crate) fn tons(&self) -> f64 {
        self.number("tons").unwrap_or_default()
    }
}

/// The lines of a log; no cell of this one holds a comma.
pub(crate) fn lines(text: &str) -> Vec<Line> {
    let mut rows = text.lines().map(|line| line.split(',').map(str::to_string).collect::<Vec<_>>());
    let head = rows.next().unwrap_or_default();
    rows.map(|row| Line(head.iter().cloned().zip(row).collect())).collect()
}

/// What is in a ton: when it was sampled, when the report came, all nitrogen, ammonium
/// nitrogen, P2O5, K2O.
type Report = (&'static str, &'static str, [f64; 4]);

fn reports(lot: &str) -> &'static [Report] {
    match lot {
        "cake" => &[
            ("2026-01-20", "2026-01-30", [52.0, 11.0, 48.0, 50.0]),
            ("2027-01-18", "2027-01-30", [54.0, 12.0, 46.0, 52.0]),
        ],
        "whole" => &[
            ("2026-01-20", "2026-01-30", [60.0, 10.0, 56.0, 58.0]),
            ("2026-06-10", "2026-06-20", [64.0, 12.0, 60.0, 62.0]),
            ("2027-01-18", "2027-01-30", [62.0, 11.0, 58.0, 60.0]),
        ],
        _ => &[
            ("2026-01-20", "2026-01-30", [40.0, 6.0, 30.0, 20.0]),
            ("2027-01-18", "2027-01-30", [40.0, 6.0, 30.0, 20.0]),
        ],
    }
}

/// Litter that houses make: the day planned, the lot, the tons, the day it came, and the
/// day to which it was put off, with the day on which that was written down.
type Coming = (&'static str, &'static str, f64, Option<&'static str>, Option<(&'static str, &'static str)>);

/// 6 houses of 24,000 birds leave 0.4 tons of cake a flock of 1,000 (litter_made).
const CAKE: f64 = 6.0 * 24.0 * 0.4;
const COMING: [Coming; 9] = [
    ("2026-02-23", "cake", CAKE, Some("2026-02-23"), None),
    ("2026-04-20", "cake", CAKE, Some("2026-04-20"), None),
    ("2026-06-01", "whole", 320.0, Some("2026-06-08"), None),
    ("2026-07-27", "cake", CAKE, Some("2026-07-28"), None),
    ("2026-09-14", "cake", CAKE, Some("2026-09-14"), None),
    ("2026-10-26", "whole", 300.0, Some("2026-11-02"), Some(("2026-10-20", "2026-11-02"))),
    ("2026-12-14", "cake", CAKE, Some("2026-12-14"), None),
    ("2027-04-12", "cake", CAKE, None, None),
    ("2027-06-07", "whole", 320.0, None, None),
];

/// The farm as somebody sees it who stands in it on a day.
#[derive(Debug)]
pub(crate) struct Hand {
    pub(crate) state: &'static State,
    /// The log up to the day.
    pub(crate) log: Vec<Line>,
    pub(crate) on: Day,
    /// First and last day of the plan.
    pub(crate) plan: (Day, Day),
    /// Spreadable acres by field, as the plan prints them.
    pub(crate) acres: BTreeMap<String, f64>,
    /// Acres inside their boundaries.
    pub(crate) drawn: BTreeMap<String, f64>,
}

impl Hand {
    /// Of a nutrient in a ton, by the report of a day that was known by now.
    fn in_ton(&self, lot: &str, on: Day) -> [f64; 4] {
        let mut known = reports(lot).iter().filter(|(sampled, came, _)| day(sampled) <= on && day(came) <= self.on);
        known.next_back().unwrap_or(&reports(lot)[0]).2
    }

    /// What counts of a ton on a day.
    pub(crate) fn content(&self, lot: &str, on: Day) -> Three {
        let [total, ammonium, p2o5, k2o] = self.in_ton(lot, on);
        let [organic, kept] = self.state.available;
        [(total - ammonium) * organic + ammonium * kept, p2o5, k2o]
    }

    pub(crate) fn all_n(&self, lot: &str, on: Day) -> f64 {
        self.in_ton(lot, on)[0]
    }

    pub(crate) fn of<'b>(&'b self, what: &'b str, key: &'b str, value: &'b str) -> impl Iterator<Item = &'b Line> {
        self.log.iter().filter(move |line| line.is(what) && line.get(key) == value)
    }

    pub(crate) fn covered(&self, line: &Line) -> f64 {
        line.number("acres").unwrap_or(self.acres[line.get("field")])
    }

    /// On the densest acre between two days: litter that all fits beside each other is
    /// not added up, fertilizer lies on it.
    pub(crate) fn put_on(&self, field: &str, (first, last): (Day, Day)) -> Three {
        let litter = self.litter_on(field, (first, last));
        let bagged = self.bagged(field, (first, last));
        [0, 1, 2].map(|n| litter[n] + bagged[n])
    }

    fn litter_on(&self, field: &str, (first, last): (Day, Day)) -> Three {
        let within = |line: &&Line| (first..=last).contains(&line.on());
        let spread: Vec<&Line> = self.of("spread", "field", field).filter(within).collect();
        let beside = spread.iter().map(|line| self.covered(line)).sum::<f64>() <= self.acres[field] * 1.02;
        let each = spread.iter().map(|line| {
            let rate = line.tons() / self.covered(line);
            self.content(line.get("lot"), line.on()).map(|lb| lb * rate)
        });
        each.fold([0.0; 3], |sum, one| [0, 1, 2].map(|n| if beside { one[n].max(sum[n]) } else { sum[n] + one[n] }))
    }

    fn bagged(&self, field: &str, (first, last): (Day, Day)) -> Three {
        let within = |line: &&Line| (first..=last).contains(&line.on());
        let each = self.of("fertilizer", "field", field).filter(within).map(|line| {
            let grade: Vec<f64> =
                line.get("grade").trim_end_matches(" %").split('-').map(|share| share.parse().unwrap_or(0.0)).collect();
            let rate = line.number("rate").unwrap_or_default();
            [0, 1, 2].map(|n| grade[n] / 100.0 * rate)
        });
        each.fold([0.0; 3], |sum, one| [0, 1, 2].map(|n| sum[n] + one[n]))
    }

    /// The calendar year of the plan: every forage here is perennial (growing_year).
    pub(crate) fn year(&self) -> (Day, Day) {
        let year = self.plan.0 / 10_000 * 10_000;
        (year + 101, year + 1231)
    }

    /// Tons an acre: three of the latest five years (yield_best, yield_of). The year that
    /// the log holds counts when it is over and every cutting was weighed.
    pub(crate) fn goal(&self, field: &Ground) -> f64 {
        if let Some(goal) = field.goal {
            return goal;
        }
        let mut years = vec![5.2, 6.1, 5.5];
        if self.on > 20_261_231 {
            let dry = |line: &Line| line.tons() * (1.0 - line.number("moisture").unwrap_or_default() / 100.0);
            years.push(self.of("cut", "field", field.id).map(dry).sum::<f64>() / self.drawn[field.id]);
        }
        years.sort_by(|a, b| b.total_cmp(a));
        years[..3].iter().sum::<f64>() / 3.0
    }

    /// Nitrogen that litter of the year before still gives, over the whole field.
    pub(crate) fn residual(&self, field: &str) -> f64 {
        let Some(share) = self.state.second_year else { return 0.0 };
        let before = self.of("spread", "field", field).filter(|line| line.on() < self.year().0);
        let organic = |line: &Line| {
            let [total, ammonium, ..] = self.in_ton(line.get("lot"), line.on());
            line.tons() * (total - ammonium)
        };
        before.map(organic).sum::<f64>() / self.acres[field] * share
    }

    pub(crate) fn need(&self, field: &Ground) -> Three {
        let n = self.goal(field) * field.n_per_ton - self.residual(field.id);
        let [p2o5, k2o] = field.pk_next.filter(|_| self.on > 20_270_115).unwrap_or(field.pk);
        [n, p2o5, k2o]
    }

    /// A year's phosphate; none where nitrogen alone limits.
    pub(crate) fn p_allowed(&self, field: &Ground) -> Option<f64> {
        match field.cap {
            Cap::None => None,
            Cap::Removal(per_ton) => Some(per_ton * self.goal(field)),
            Cap::SoilTest(need) => Some(need),
        }
    }

    /// Whether litter may go on, on a day: in a season, in the plan, from now on, three
    /// weeks clear of a cutting or grazing to come (cut_wait, graze_wait).
    pub(crate) fn open(&self, field: &Ground, on: Day) -> bool {
        let year = on / 10_000 * 10_000;
        let month_day = |text: &str| day(&format!("2026-{text}")) - 20_260_000 + year;
        let season =
            field.seasons.iter().any(|(_, opens, closes)| (month_day(opens)..=month_day(closes)).contains(&on));
        let planned = on >= self.plan.0.max(self.on) && on <= self.plan.1;
        let cut = field.cuttings.iter().map(|text| month_day(text)).filter(|cut| !self.is_cut(field.id, *cut));
        let before_cut = cut.into_iter().any(|cut| on > plus(cut, -21) && on <= cut);
        let grazed = field.grazed.iter().map(|(first, last)| (day(first), day(last)));
        let grazed = grazed.chain(self.stock_on(field.id)).any(|(first, last)| on > plus(first, -21) && on <= last);
        season && planned && !before_cut && !grazed
    }

    /// Whether a planned cutting was done, up to three weeks from its day.
    fn is_cut(&self, field: &str, planned: Day) -> bool {
        self.of("cut", "field", field).any(|cut| plus(cut.on(), -21) <= planned && planned <= plus(cut.on(), 21))
    }

    /// Days of stock by the log: nobody knows when stock leaves that is still there.
    fn stock_on(&self, field: &str) -> Vec<(Day, Day)> {
        let went = self.of("graze", "field", field);
        let left = |from: Day| self.of("head", "field", field).map(Line::on).find(|left| *left >= from);
        let ground = self.state.fields.iter().find(|ground| ground.id == field);
        let planned = |on: Day| {
            let mut own = ground?.grazed.iter().map(|(first, last)| (day(first), day(last)));
            own.find(|(first, last)| (*first..=*last).contains(&on)).map(|(_, last)| last)
        };
        let until = |line: &Line| match line.get("until") {
            // As farm.yaml plans it, where it does.
            "" => left(line.on()).or_else(|| planned(line.on())).unwrap_or(99_991_231),
            until => day(until),
        };
        went.map(|line| (line.on(), until(line))).collect()
    }

    /// Tons of a lot that came, were spread, and left, since it was counted on January 5.
    pub(crate) fn moved(&self, lot: &str) -> Three {
        ["clean-out", "spread", "haul"].map(|what| self.of(what, "lot", lot).map(Line::tons).sum())
    }

    /// Litter to come by the end of the plan: day, lot, tons.
    pub(crate) fn coming(&self) -> Vec<(Day, &'static str, f64)> {
        let open = COMING.iter().filter(|(_, _, _, came, _)| came.is_none_or(|came| day(came) > self.on));
        let moved = |(planned, lot, tons, _, put_off): &Coming| {
            let to = put_off.filter(|(said, _)| day(said) <= self.on).map_or(*planned, |(_, to)| to);
            (day(to), *lot, *tons)
        };
        open.map(moved).filter(|(day, ..)| *day <= self.plan.1).collect()
    }

    /// Dollars that the litter since the plan's first day took off the bill for fertilizer, on
    /// the acres that got it: what is met with it, less what is met without it.
    pub(crate) fn met_by_litter(&self, field: &Ground) -> f64 {
        let (need, year) = (self.need(field), self.year());
        let before = self.litter_on(field.id, (year.0, plus(self.plan.0, -1)));
        let bagged = self.bagged(field.id, year);
        let without = [0, 1, 2].map(|n| before[n] + bagged[n]);
        let met = |on: Three| worth([0, 1, 2].map(|n| need[n].min(without[n] + on[n]) - need[n].min(without[n])));
        let within = |line: &&Line| (self.plan.0..=year.1).contains(&line.on());
        let lines = self.of("spread", "field", field.id).filter(within);
        let each: Vec<(f64, Three)> = lines
            .map(|line| {
                let acres = self.covered(line);
                (acres, self.content(line.get("lot"), line.on()).map(|lb| lb * line.tons() / acres))
            })
            .collect();
        if each.iter().map(|(acres, _)| acres).sum::<f64>() <= self.acres[field.id] * 1.02 {
            return each.iter().map(|(acres, on)| acres * met(*on)).sum();
        }
        // On each other, from one side of the field.
        let mut ends: Vec<f64> = each.iter().map(|(acres, _)| *acres).collect();
        ends.sort_by(f64::total_cmp);
        let piece = |(at, end): (usize, &f64)| {
            let here = each.iter().filter(|(acres, _)| acres >= end);
            let on = here.fold([0.0; 3], |sum, (_, on)| [0, 1, 2].map(|n| sum[n] + on[n]));
            (end - if at == 0 { 0.0 } else { ends[at - 1] }) * met(on)
        };
        ends.iter().enumerate().map(piece).sum()
    }
}

/// Dollars of the three nutrients as the farm's products make a pound: urea at 520 $/ton, DAP at 640,
/// whose nitrogen is worth that of urea, potash at 410.
pub(crate) fn worth(of: Three) -> f64 {
    let n = 520.0 / 920.0;
    let p2o5 = (640.0 - 360.0 * n) / 920.0;
    of[0] * n + of[1] * p2o5 + of[2] * 410.0 / 1_200.0
}
