//! The deep part of the solver against a reference that cannot go wrong the
//! same way: every stock level looked at, group by group.
//!
//! Many groups over small stocks: prices leave a gap, the first fillings do not
//! close it, and the solver has to branch. What it took says so.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "kit/mod.rs"]
mod kit;

use kit::Dice;
use sward::solve::{Answer, Pool, Target, check, prove, solve};

const EXACT: Target = Target { gap: 0, floor: 0, effort: 50_000_000 };

/// Options of a group: worth, and how much of each resource.
type Options = Vec<(i64, Vec<i64>)>;

struct Question {
    stock: Vec<i64>,
    groups: Vec<Options>,
}

impl Question {
    fn pool(&self) -> Pool {
        let mut pool = Pool::new(self.stock.clone()).unwrap();
        for options in &self.groups {
            pool.group();
            for (worth, uses) in options {
                let uses: Vec<(usize, i64)> = uses.iter().copied().enumerate().filter(|u| u.1 > 0).collect();
                pool.option(*worth, &uses).unwrap();
            }
        }
        pool
    }

    /// The most worth there is: for every level of the stocks, the best that the
    /// groups so far can do with it.
    fn best(&self) -> i128 {
        let place = |left: &[i64]| -> usize {
            self.stock.iter().zip(left).fold(0, |at, (stock, left)| at * (*stock as usize + 1) + *left as usize)
        };
        let size: usize = self.stock.iter().map(|s| *s as usize + 1).product();
        let mut levels = vec![vec![0i64; self.stock.len()]];
        for (r, stock) in self.stock.iter().enumerate() {
            let more = |level: Vec<i64>| {
                (0..=*stock).map(move |left| {
                    let mut level = level.clone();
                    level[r] = left;
                    level
                })
            };
            levels = levels.into_iter().flat_map(more).collect();
        }
        assert_eq!(levels.len(), size);
        let mut best = vec![0i64; size];
        for options in &self.groups {
            let uses: Vec<(i64, &[i64], usize)> = options.iter().map(|(w, u)| (*w, &u[..], place(u))).collect();
            let with = |level: &Vec<i64>| {
                let at = place(level);
                let fits = |uses: &[i64]| uses.iter().zip(level).all(|(u, left)| u <= left);
                let taken = uses.iter().filter(|(_, uses, _)| fits(uses)).map(|(worth, _, by)| worth + best[at - by]);
                taken.fold(best[at], i64::max)
            };
            best = levels.iter().map(with).collect();
        }
        i128::from(best[size - 1])
    }
}

/// The answers of a test, and what its cases came to together.
#[derive(Default)]
struct Seen {
    answers: Vec<Answer>,
    /// The most worth there is.
    most: i128,
    /// What the first plans are worth, before any search.
    first: i128,
    /// What is worth most after a tenth of the effort.
    soon: i128,
}

impl Seen {
    /// How many answers are like this.
    fn count(&self, like: impl Fn(&Answer) -> bool) -> usize {
        self.answers.iter().filter(|a| like(a)).count()
    }

    /// Holds the sums: every strategy shortens the search or betters the early plans, so that
    /// one whose result is lost shows here. All are counts, the same on every machine.
    fn at_most(&self, effort: u64, parts: u64, (first, soon): (i128, i128)) {
        let sum = |of: fn(&Answer) -> u64| self.answers.iter().map(of).sum::<u64>();
        let spent = sum(|a| a.effort.labels + a.effort.pairs / 8 + a.effort.rounds);
        let split = sum(|a| a.effort.parts);
        // Lost of a million.
        let lost = |worth: i128| (self.most - worth) * 1_000_000 / self.most;
        let found = (spent, split, lost(self.first), lost(self.soon));
        let holds = found.0 <= effort && found.1 <= parts && found.2 <= first && found.3 <= soon;
        assert!(holds, "effort, parts, lost at first and after a tenth: {found:?}");
    }

    fn sound(&mut self, question: &Question) {
        let case = self.answers.len();
        let answer = sound(question, case, self);
        self.most += answer.worth;
        self.answers.push(answer);
    }
}

fn sound(question: &Question, case: usize, seen: &mut Seen) -> Answer {
    let pool = question.pool();
    let answer = solve(&pool, &EXACT).unwrap();
    let most = question.best();
    assert!(answer.reached, "case {case}: {answer:?}");
    assert_eq!((answer.worth, answer.bound), (most, most), "case {case}");
    assert_eq!(check(&pool, &answer.taken), Ok(most), "case {case}");
    assert!(prove(&pool, &answer.prices) >= most, "case {case}");
    // Stopped early, anywhere in the search: a wider gap, never a wrong one.
    let spent = answer.effort.labels + answer.effort.pairs / 8;
    for share in [0, 1, 3, 10, 30, 70] {
        let hasty = solve(&pool, &Target { effort: spent * share / 100, ..EXACT }).unwrap();
        assert_eq!(check(&pool, &hasty.taken), Ok(hasty.worth), "case {case}, {share} %");
        assert!(hasty.worth <= most && most <= hasty.bound, "case {case}, {share} %: {most} and {hasty:?}");
        match share {
            0 => seen.first += hasty.worth,
            10 => seen.soon += hasty.worth,
            _ => {}
        }
    }
    answer
}

/// Whether the search met in the middle.
fn met(answer: &Answer) -> bool {
    answer.effort.pairs > 0
}

/// Options of several uses that cost about what they are worth, so that none is
/// clear.
fn tight(dice: &mut Dice, resources: usize) -> Options {
    (0..dice.pick(4, 7))
        .map(|_| {
            let mut uses = vec![0; resources];
            for _ in 0..=dice.pick(1, 3) {
                uses[dice.pick(0, resources as i64 - 1) as usize] += dice.pick(1, 3);
            }
            (uses.iter().sum::<i64>() * 1_000 + dice.pick(-150, 150), uses)
        })
        .collect()
}

#[test]
fn torn_groups_are_branched_on_and_proven() {
    let mut dice = Dice(21);
    let mut seen = Seen::default();
    for case in 0..32 {
        let (resources, most) = if case % 2 == 0 { (5, 6) } else { (6, 4) };
        let stock = (0..resources).map(|_| dice.pick(most * 2 / 3, most)).collect();
        let groups = (0..dice.pick(14, 24)).map(|_| tight(&mut dice, resources)).collect();
        seen.sound(&Question { stock, groups });
    }
    let (met, branched, split) =
        (seen.count(met), seen.count(|a| a.effort.parts > 0), seen.count(|a| a.effort.parts > 2));
    assert!(met > 20 && branched > 15 && split > 5, "{met} met in the middle, {branched} branched, {split} split");
    seen.at_most(300_000, 80, (125_000, 55_000));
}

/// Every option twice, in one of two or three seasons that are as good as each
/// other: they are pooled, and the plan is dealt to them.
#[test]
fn seasons_worth_the_same_are_dealt_and_proven() {
    let mut dice = Dice(22);
    let mut seen = Seen::default();
    for _ in 0..24 {
        let seasons = dice.pick(2, 3) as usize;
        let most = if seasons == 2 { 20 } else { 11 };
        let mut stock = vec![dice.pick(20, 30)];
        stock.extend((0..seasons).map(|_| dice.pick(most / 2, most)));
        let groups = (0..dice.pick(8, 16))
            .map(|_| {
                let one = |amount: i64, worth: i64| {
                    (0..seasons).map(move |season| {
                        let mut uses = vec![0; seasons + 1];
                        (uses[0], uses[season + 1]) = (amount, amount);
                        (worth, uses)
                    })
                };
                let amounts: Vec<(i64, i64)> = (0..3).map(|_| (dice.pick(2, 8), dice.pick(-300, 300))).collect();
                amounts.into_iter().flat_map(|(amount, more)| one(amount, amount * 1_000 + more)).collect()
            })
            .collect();
        seen.sound(&Question { stock, groups });
    }
    assert!(seen.count(met) > 5, "{} met in the middle", seen.count(met));
    seen.at_most(9_000, 2, (37_000, 37_000));
}

/// Options of two applications over two lots and two seasons, as farms have
/// them: falling gains, nothing alike.
#[test]
fn farms_of_two_lots_and_two_seasons_are_proven() {
    let mut dice = Dice(23);
    let mut seen = Seen::default();
    for _ in 0..8 {
        let stock = (0..4).map(|_| dice.pick(8, 12)).collect();
        let groups = (0..dice.pick(12, 20))
            .map(|_| {
                let slope: Vec<i64> = (0..4).map(|_| dice.pick(980, 1_020)).collect();
                let mut options = Options::new();
                for (lot, season) in [(0, 2), (0, 3), (1, 2), (1, 3)] {
                    for amount in 1..=3 {
                        let mut uses = vec![0; 4];
                        (uses[lot], uses[season]) = (amount, amount);
                        let worth = amount * (slope[lot] + slope[season]) + dice.pick(-90, 90);
                        options.push((worth, uses.clone()));
                        uses[1 - lot] += 1;
                        uses[5 - season] += 1;
                        options.push((worth + slope[1 - lot] + dice.pick(-200, 200), uses));
                    }
                }
                options
            })
            .collect();
        seen.sound(&Question { stock, groups });
    }
    assert!(seen.count(met) > 5, "{} met in the middle", seen.count(met));
    seen.at_most(6_000, 1, (16_500, 12_000));
}
