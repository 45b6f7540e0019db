//! Areas in closed form, held against sums that are known.

use super::*;
use geo::coord;

fn square(half: f64) -> WholeField {
    let at = |x: f64, y: f64| coord! { x: x * half, y: y * half };
    WholeField::new(&[vec![at(-1.0, -1.0), at(1.0, -1.0), at(1.0, 1.0), at(-1.0, 1.0)]]).unwrap()
}

fn at(x: f64, y: f64) -> Coord<f64> {
    coord! { x: x, y: y }
}

#[test]
fn a_disk_and_a_capsule_inside_are_their_closed_forms() {
    let mut field = square(500.0);
    field.take(at(10.0, 20.0), at(10.0, 20.0), 100.0, false);
    assert!((1e6 - field.left().unwrap().unwrap().square_feet - PI * 1e4).abs() < 1e-4);
    let mut field = square(500.0);
    field.take(at(-100.0, 0.0), at(100.0, 0.0), 50.0, false);
    assert!((1e6 - field.left().unwrap().unwrap().square_feet - PI * 2500.0 - 20_000.0).abs() < 1e-4);
}

#[test]
fn two_disks_that_meet_are_a_lens_less() {
    let mut field = square(500.0);
    field.take(at(0.0, 0.0), at(0.0, 0.0), 100.0, false);
    field.take(at(100.0, 0.0), at(100.0, 0.0), 100.0, false);
    let lens = 2.0 * 1e4 * (0.5_f64).acos() - 50.0 * 3e4_f64.sqrt();
    assert!((1e6 - field.left().unwrap().unwrap().square_feet - (2.0 * PI * 1e4 - lens)).abs() < 0.01);
}

#[test]
fn the_same_thing_again_takes_nothing_more() {
    for line in [[at(0.0, 0.0), at(0.0, 0.0)], [at(-600.0, 0.0), at(600.0, 30.0)], [at(0.0, 0.0), at(300.0, 0.0)]] {
        let left = |times: usize| {
            let mut field = square(500.0);
            for n in 0..times {
                let [a, b] = if n % 2 == 0 { line } else { [line[1], line[0]] };
                field.take(a, b, 80.0, false);
            }
            field.left().unwrap().unwrap().square_feet
        };
        for times in [2, 3, 7] {
            assert!((left(1) - left(times)).abs() < 0.05, "{line:?} {times} times");
        }
    }
}

/// What some stretches take, together and in the closed form of one of each kind.
fn takes(stretches: &[([Coord<f64>; 2], f64)]) -> f64 {
    let mut field = square(5000.0);
    for ([a, b], radius) in stretches {
        field.take(*a, *b, *radius, false);
    }
    1e8 - field.left().unwrap().unwrap().square_feet
}

#[test]
fn a_setback_is_kept_however_many_things_lie_between_it_and_its_double() {
    let spot = |x: f64, y: f64| ([at(x, y), at(x, y)], 100.0);
    let disk = PI * 1e4;
    // A well, a creek of 996 stretches, the same well again.
    let creek = (0..996).map(|n| ([at(f64::from(n), 900.0), at(f64::from(n + 1), 900.0)], 50.0));
    let both: Vec<_> =
        std::iter::once(spot(0.0, 0.0)).chain(creek.clone()).chain(std::iter::once(spot(0.0, 0.0))).collect();
    let line = 996.0 * 100.0 + PI * 2500.0;
    assert!((takes(&both) - disk - line).abs() < 5.0, "{}", takes(&both));
    // 997 wells listed twice.
    let wells: Vec<_> =
        (0..997).map(|n| spot(f64::from(n % 40) * 210.0 - 4200.0, f64::from(n / 40) * 210.0 - 4000.0)).collect();
    let twice = takes(&wells.repeat(2));
    assert!((twice - 997.0 * disk).abs() < 997.0, "{twice}");
    // One well listed 10,000 times, and its double a hair beside it every time.
    let same = takes(&vec![spot(0.0, 0.0); 10_000]);
    assert!((same - disk).abs() < 1e-3, "{same}");
    let near: Vec<_> = (0..2000).map(|n| spot(f64::from(n % 2) * 1e-9, 0.0)).collect();
    assert!((takes(&near) - disk).abs() < 1.0, "{}", takes(&near));
}

#[test]
fn of_the_same_stretch_the_largest_distance_holds() {
    let [a, b] = [at(-200.0, 10.0), at(200.0, 30.0)];
    let length = (b.x - a.x).hypot(b.y - a.y);
    let most = takes(&[([a, b], 30.0), ([b, a], 80.0), ([a, b], 50.0), ([b, a], 80.0)]);
    assert!((most - length * 160.0 - PI * 6400.0).abs() < 1e-3, "{most}");
}

#[test]
fn no_two_pieces_are_widened_alike_and_none_by_much() {
    for count in [1, 999, 5000] {
        let mut field = square(5000.0);
        for n in 0..count {
            field.take(at(f64::from(n), 0.0), at(f64::from(n), 9.0), 20.0, false);
        }
        let mut radii: Vec<f64> = field.made().rounds.iter().map(|round| round.radius).collect();
        assert!(radii.iter().all(|radius| (20.0..=20.0 + MOST_WIDENED_FEET).contains(radius)));
        radii.dedup();
        assert_eq!(radii.len(), count as usize);
    }
}

#[test]
fn pieces_on_a_coarse_grid_seldom_leave_doubt() {
    // Collinear, doubled and touching pieces, on a field with its sides on the same grid.
    let mut state = 7_u64;
    let mut roll = |most: u64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from((state >> 33) % most).unwrap())
    };
    let mut doubts = 0;
    for _ in 0..2000 {
        let mut field = square(500.0);
        for _ in 0..8 {
            let mut spot = || at(roll(13) * 100.0 - 600.0, roll(13) * 100.0 - 600.0);
            let (a, b) = (spot(), spot());
            field.take(a, b, [50.0, 100.0, 100.0, 200.0][(a.x as i64 / 100).rem_euclid(4) as usize], false);
        }
        doubts += usize::from(field.left().unwrap().is_none());
    }
    // Whoever draws on such a grid sends one field in forty to the overlay engine.
    assert!(doubts <= 60, "{doubts} of 2000");
}

#[test]
fn very_many_corners_in_one_place_are_refused_before_they_are_walked() {
    let square = |at: f64| Coord { x: at, y: at };
    let ring = vec![square(0.0), Coord { x: 100.0, y: 0.0 }, square(100.0), Coord { x: 0.0, y: 100.0 }];
    // Each piece is near each other one: 9,000 squared is within the bound, 11,000 is not.
    for (corners, refused) in [(9_000_u32, false), (11_000, true)] {
        let mut field = WholeField::new(std::slice::from_ref(&ring)).unwrap();
        let at = |number: u32| Coord { x: 50.0 + f64::from(number) * 1e-3, y: 50.0 + f64::from(number % 2) };
        (0..corners).for_each(|number| field.take(at(number), at(number + 1), 20.0, false));
        let made = field.made();
        assert_eq!(made.looks() > MOST_LOOKS, refused, "{corners}");
    }
    let mut field = WholeField::new(&[ring]).unwrap();
    (0..11_000_u32).for_each(|n| {
        field.take(square(50.0 + f64::from(n) * 1e-4), square(50.0 + f64::from(n + 1) * 1e-4), 20.0, false)
    });
    assert!(matches!(field.left(), Err(Broken::Close)));
}
