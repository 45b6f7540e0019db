//! The checker of certificates: against complete enumeration, against the search, on farms drawn by
//! lot, and on certificates that were tampered with.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;
#[path = "solve/pools.rs"]
mod pools;

use kit::{Dice, Farm, PLACES, demo_folder, fit, flat, made, planned, some_farm, sward, trading};
use pools::{draw, enumerate, pool_of};
use serde_json::{Value, json};
use sward::audit::{self, Seen, Verdicts};
use sward::pipeline::{self, Planned};
use sward::plan::{self, Plan, certificate_of};
use sward::proof::{Certificate, MOST_LOOKED_AT, Refused, check};
use sward::solve::{Answer, Pool, Target, solve_and_show};

const EXACT: Target = Target { gap: 0, floor: 0, effort: 50_000_000 };

fn certified(pool: &Pool, target: &Target) -> (Answer, Certificate) {
    let (answer, trace) = solve_and_show(pool, target, 1_000).unwrap();
    let certificate = certificate_of(pool, &trace.expect("the proof is short")).unwrap();
    assert_eq!(i128::from(certificate.bound), answer.bound);
    (answer, certificate)
}

#[test]
fn every_proof_is_reached_again_and_never_lies_below_the_best() {
    let mut dice = Dice(1);
    let mut looked_at = 0;
    for case in 0..2_000 {
        let plain = draw(&mut dice, 5);
        let pool = pool_of(&plain);
        let best = enumerate(&plain);
        let target = [EXACT, Target { gap: 10_000_000, ..EXACT }, Target { effort: 200, ..EXACT }][case % 3];
        let (_, certificate) = certified(&pool, &target);
        let checked = check(&pool, &certificate, 100_000).unwrap_or_else(|why| panic!("case {case}: {why:?}"));
        assert!(i128::from(checked.bound) >= best, "case {case}: {checked:?} is below {best}");
        looked_at += checked.looked_at;
        // Whatever is claimed below the best is refused, with these prices and with others.
        let below = Certificate { bound: i64::try_from(best - 1).unwrap(), ..certificate };
        let others = (0..4).map(|_| {
            let mut other = below.clone();
            other.steps.iter_mut().for_each(|step| *step = repriced(step, &mut dice));
            other
        });
        for other in others.chain([below.clone()]) {
            let refused = check(&pool, &other, 100_000).unwrap_err();
            assert!(matches!(refused, Refused::Open(_)), "case {case}: {refused:?}");
        }
    }
    assert!(looked_at > 5_000, "{looked_at}");
}

/// Prices with one of them changed by lot.
fn repriced(step: &str, dice: &mut Dice) -> String {
    let Some(prices) = step.strip_prefix("prices ") else { return step.to_string() };
    let mut prices: Vec<i64> = prices.split(' ').map(|price| price.parse().unwrap()).collect();
    let at = dice.below(prices.len());
    prices[at] = match dice.below(4) {
        0 => 0,
        1 => prices[at] / 2,
        2 => prices[at] + prices[at] / 8 + 1,
        _ => dice.pick(0, 2 * prices[at] + 1_000),
    };
    prices.iter().fold("prices".to_string(), |text, price| format!("{text} {price}"))
}

/// Many groups over small stocks, so that the search has to branch.
fn torn(dice: &mut Dice) -> Pool {
    let stock: Vec<i64> = (0..6).map(|_| dice.pick(3, 6)).collect();
    let mut pool = Pool::new(stock).unwrap();
    for _ in 0..dice.pick(14, 24) {
        pool.group();
        for _ in 0..dice.pick(4, 7) {
            let uses: Vec<(usize, i64)> = (0..=dice.pick(1, 3)).map(|_| (dice.below(6), dice.pick(1, 3))).collect();
            let all: i64 = uses.iter().map(|(_, amount)| amount).sum();
            pool.option(all * 1_000 + dice.pick(-150, 150), &uses).unwrap();
        }
    }
    pool
}

#[test]
fn a_proof_with_a_part_gone_or_too_low_a_bound_is_refused() {
    let mut dice = Dice(5);
    let (mut split, mut most) = (0, 0);
    for case in 0..30 {
        let pool = torn(&mut dice);
        let (answer, sound) = certified(&pool, &EXACT);
        assert_eq!(answer.worth, answer.bound);
        let checked = check(&pool, &sound, MOST_LOOKED_AT).unwrap_or_else(|why| panic!("case {case}: {why:?}"));
        most = most.max(checked.looked_at);
        split += usize::from(checked.parts > 1);
        let refused = |change: &dyn Fn(&mut Certificate)| {
            let mut other = sound.clone();
            change(&mut other);
            assert_ne!(other, sound);
            check(&pool, &other, 2 * checked.looked_at + 20_000).unwrap_err()
        };
        // The plan itself is worth more.
        let low = refused(&|other| other.bound -= 1);
        assert!(matches!(low, Refused::Open(_)), "case {case}: {low:?}");
        assert!(low.in_words().contains("may be worth more"), "{}", low.in_words());
        for at in 0..sound.steps.len() {
            // Without prices more is left, which may be little enough; without an end or a split the
            // parts do not come out.
            if sound.steps[at].starts_with("prices") {
                continue;
            }
            let told = refused(&|other| drop(other.steps.remove(at))).in_words();
            assert!(told.contains("step"), "case {case}, {at}: {told}");
        }
        let told = refused(&|other| other.steps.push("end".to_string())).in_words();
        assert!(told.contains("no part is left"), "{told}");
        for step in ["prices", "prices -1 0 0 0 0 0", "split 0 9 3", "split 99 0 3", "stop", "prices 1 2 3 x"] {
            let told = refused(&|other| other.steps[0] = step.to_string()).in_words();
            assert!(told.starts_with("step 1: "), "{step}: {told}");
        }
        let told = refused(&|other| other.rows.push(vec![6])).in_words();
        assert!(told.contains("resource that is not there"), "{told}");
        let told = refused(&|other| other.rows = vec![vec![0]; 40]).in_words();
        assert!(told.contains("more rows"), "{told}");
        let told = check(&torn(&mut Dice(1_000 + case)), &sound, 20_000).unwrap_err().in_words();
        assert!(told.contains("another question"), "{told}");
    }
    assert!(split > 5 && most > 1_000, "{split} of 30 split, {most} looked at");
}

/// Farms with shops, farms that sell, and farms of several fields that are short of litter or days.
fn drawn(seed: u64) -> Farm {
    let mut dice = Dice::of_case(seed);
    match seed % 3 {
        0 => some_farm(&mut dice),
        1 => trading(&mut dice).0,
        _ => short_of_litter(&mut dice),
    }
}

fn short_of_litter(dice: &mut Dice) -> Farm {
    let place = PLACES[dice.below(2)];
    let mut farm = Farm::new(place).lot("cake").with("plan.to", ["2027-05-31", "2027-10-31"][dice.below(2)]);
    for id in ["B", "C", "D", "E", "F"].iter().take(1 + dice.below(5)) {
        farm = farm.field(id);
        farm.set(&format!("fields.{id}.yield_goal"), format!("{} tons/ac", dice.pick(2, 6)));
    }
    for lot in ["heap", "cake"] {
        farm.set(&format!("litter.{lot}.on_hand"), format!("{} tons", dice.pick(5, 80)));
        farm.set(&format!("litter.{lot}.analysis.total_n"), format!("{} lb/ton", dice.pick(30, 60)));
        farm.set(&format!("litter.{lot}.analysis.p2o5"), format!("{} lb/ton", dice.pick(20, 60)));
    }
    if dice.below(3) == 0 {
        farm.set("litter.cake.use_first", true);
    }
    if dice.below(3) == 0 {
        let tons = format!("{} tons", 4 + dice.below(20));
        farm.set("days", json!({"tons_per_day": tons, "fit": fit("30 %")}));
    }
    if dice.below(4) == 0 {
        farm.set("prices", Value::Null);
    }
    farm
}

/// What the audit says of the proof of a plan.
fn judged(made: &Planned, plan: &Plan) -> Verdicts {
    pipeline::proof(audit::verdicts(plan, &made.ready, &made.tables), made, plan)
}

#[test]
fn the_proof_of_every_plan_leads_to_the_bound_that_it_prints() {
    let farms = std::env::var_os("SWARD_CASES").map_or(60, |farms| farms.to_str().unwrap().parse().unwrap());
    let (mut reached, mut left_out, mut most, mut longest, mut first) = (0, 0, 0, 0, 0);
    let mut before: Option<Plan> = None;
    for seed in 0..farms {
        let farm = drawn(seed);
        let made = made(&farm);
        let plan = made.audited.plan();
        match judged(&made, plan).proof.unwrap() {
            Seen::Reached { bound, parts, looked_at } => {
                assert_eq!(bound, plan.choice.proof.bound);
                reached += 1;
                (most, longest) = (most.max(looked_at), longest.max(parts));
                first += usize::from(plan.choice.proof.shown.as_ref().is_some_and(|shown| !shown.favors.is_empty()));
            }
            Seen::NotThere(why) => {
                assert!(why.contains("more than"), "seed {seed}: {why}");
                left_out += 1;
                continue;
            }
            Seen::Refused(why) => panic!("seed {seed}: {why}\n{}", farm.main()),
        }
        let refused = |change: &dyn Fn(&mut plan::answer::Proof)| {
            let mut other = plan.clone();
            change(&mut other.choice.proof);
            let verdicts = judged(&made, &other);
            match verdicts.proof {
                Some(Seen::Refused(why)) if !verdicts.passes => why,
                other => panic!("seed {seed}: {other:?}\n{}", farm.main()),
            }
        };
        assert!(refused(&|proof| proof.bound -= 0.011).contains("its proof leads to"));
        assert!(refused(&|proof| proof.bound += 0.011).contains("its proof leads to"));
        assert!(refused(&|proof| proof.bound = f64::NAN).contains("its proof leads to"));
        refused(&|proof| proof.shown.as_mut().unwrap().adds += 1.0);
        let favored = refused(&|proof| proof.shown.as_mut().unwrap().favors = vec![-1.0; plan.lots.len()]);
        assert!(favored.contains("favors lots"), "{favored}");
        let weighed = refused(&|proof| proof.shown.as_mut().unwrap().weights = vec![vec![9e9]; 9]);
        assert!(weighed.contains("getting rid of it"), "{weighed}");
        // A bound that is lower by a cent, in the proof and on the page, leaves the plan itself above it.
        if plan.choice.proof.bound - plan.choice.proof.worth < 0.009 {
            let low = refused(&|proof| {
                proof.bound -= 0.02;
                proof.shown.as_mut().unwrap().certificate.bound -= 2_000;
            });
            assert!(low.contains("refuses") || low.contains("its proof leads to"), "{low}");
        }
        if let Some(other) = before.replace(plan.clone()).and_then(|other| other.choice.proof.shown)
            && Some(&other.certificate.of) != plan.choice.proof.shown.as_ref().map(|own| &own.certificate.of)
        {
            let certificate = other.certificate;
            let told = refused(&|proof| proof.shown.as_mut().unwrap().certificate = certificate.clone());
            assert!(told.contains("another question"), "{told}");
        }
    }
    let seen = format!("{reached} reached, {left_out} left out, {most} looked at, {longest} parts, {first} first");
    assert!(std::env::var_os("SWARD_SHOW").is_none(), "{seen}");
    assert!(reached > left_out * 10 && longest > 1, "{seen}");
}

#[test]
fn the_audit_command_tells_of_the_proof() {
    let folder = demo_folder();
    let at = folder.path().display().to_string();
    let text = sward(folder.path(), &["plan", &at, "--json"]).out;
    let file = folder.path().join("plan.json");
    let audit = |text: &str| {
        std::fs::write(&file, text).unwrap();
        let done = sward(folder.path(), &["audit", "plan.json", &at]);
        (done.code, flat(&done.out))
    };
    let (code, page) = audit(&text);
    assert!(code == 0 && page.contains("pass The proof of how much more any other plan could gain: checked again"));
    assert!(
        flat(&sward(folder.path(), &["plan", &at]).out)
            .contains("for whole fields is in the plan's JSON (`--json`); `sward audit` checks it.")
    );
    let mut plan: Value = serde_json::from_str(&text).unwrap();
    plan["choice"]["proof"]["shown"]["certificate"]["bound"] = json!(1);
    let (code, page) = audit(&plan.to_string());
    assert!(code != 0 && page.contains("the checker refuses the proof: at step"), "{page}");
    assert!(!page.contains("could gain: checked"), "{page}");
    plan["choice"]["proof"].as_object_mut().unwrap().remove("shown");
    let (code, page) = audit(&plan.to_string());
    assert!(code != 0 && page.contains("NOT CHECKED, the plan says nothing of it"), "{page}");
}

/// Whoever reads the JSON gets from the certificate to the bound of the plan by two of its numbers.
#[test]
fn a_farm_in_order_carries_its_proof_in_json() {
    let plan = planned(&some_farm(&mut Dice::of_case(3)));
    let proof = &plan.json["choice"]["proof"];
    let (bound, adds) = (&proof["shown"]["certificate"]["bound"], &proof["shown"]["adds"]);
    let dollars = bound.as_f64().unwrap() / 100_000.0 + adds.as_f64().unwrap();
    assert!(
        (dollars.max(proof["worth"].as_f64().unwrap()) - proof["bound"].as_f64().unwrap()).abs() < 0.005,
        "{proof}"
    );
}
