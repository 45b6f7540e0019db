//! Contents that a laboratory gives by volume become those of a ton by what a gallon weighs;
//! the sums are worked out beside the program's.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod kit;

use kit::{Farm, PLACES, Place, checked, planned};

/// Contents of an analysis, with its density where one is given.
fn farm(place: &'static Place, density: Option<&str>, contents: &[(&str, &str)]) -> Farm {
    let farm = contents
        .iter()
        .fold(Farm::new(place), |farm, (key, content)| farm.with(&format!("litter.heap.analysis.{key}"), *content));
    density.map_or(farm.clone(), |density| farm.with("litter.heap.analysis.density", density))
}

#[test]
fn a_content_by_volume_is_one_of_a_ton() {
    for place in PLACES {
        let plain =
            planned(&farm(place, None, &[("total_n", "60 lb/ton"), ("p2o5", "20 lb/ton"), ("k2o", "40 lb/ton")]));
        let worked: [(&str, [&str; 3]); 4] = [
            // At 8 lb a gallon 1,000 gallons are 4 tons.
            ("8 lb/gal", ["240 lb/1000 gal", "80 lb/1,000 gal", "160 lb/1000 gal"]),
            // At 1 kg a liter a g/L is a g/kg, 2 lb a ton.
            ("1 kg/L", ["30 g/L", "10 g/L", "20 g/L"]),
            ("1000 kg/m3", ["30 g/L", "10 g/kg", "40 lb/ton"]),
            // 100 lb a cubic foot are 1.6018 kg a liter.
            ("100 lb/ft3", ["48.0554 g/L", "16.0185 g/L", "32.0369 g/L"]),
        ];
        for (density, [n, p2o5, k2o]) in worked {
            let by_volume = farm(place, Some(density), &[("total_n", n), ("p2o5", p2o5), ("k2o", k2o)]);
            let idle = checked(&by_volume).found("no-effect");
            assert!(!idle.iter().any(|found| found.contains("density")), "{}: {idle:?}", place.key);
            let plan = planned(&by_volume);
            for at in ["/supplied/n", "/supplied/p2o5", "/supplied/k2o", "/total_n"] {
                let (a, b) = (plan.number("A", at), plain.number("A", at));
                assert!((a - b).abs() < 0.01 && b > 1.0, "{}: {density} {at} {a} {b}", place.key);
            }
        }
    }
}

#[test]
fn traces_and_parts_are_taken_by_volume_too() {
    for place in PLACES {
        // 0.8 lb in 4 tons are 0.2 lb a ton, 100 ppm.
        let by_volume = [("ammonium_n", "40 lb/1000 gal"), ("zinc", "0.8 lb/1000 gal"), ("copper", "0.8 lb/1000 gal")];
        let by_weight = [("ammonium_n", "10 lb/ton"), ("zinc", "100 ppm"), ("copper", "100 ppm")];
        let (a, b) = (planned(&farm(place, Some("8 lb/gal"), &by_volume)), planned(&farm(place, None, &by_weight)));
        assert_eq!(a.field("A")["metals"], b.field("A")["metals"], "{}", place.key);
        assert_eq!(a.field("A")["supplied"], b.field("A")["supplied"], "{}", place.key);
    }
}

/// What cannot be turned into a ton says how to mend it.
#[test]
fn without_a_density_it_is_refused_and_told_how() {
    let fixes = |farm: &Farm| {
        let found = checked(farm).findings;
        let fixes = found.sorted().into_iter().filter(|f| f.code == "by-volume").map(|f| f.fix.clone().unwrap());
        fixes.collect::<Vec<String>>()
    };
    for place in PLACES {
        let told = fixes(&farm(place, None, &[("total_n", "30 g/L"), ("zinc", "0.8 lb/1000 gal")]));
        assert!(told.len() == 2 && told.iter().all(|fix| fix.contains("density: ... lb/gal")), "{told:?}");
        let dry = farm(place, Some("8 lb/gal"), &[("total_n", "240 lb/1000 gal"), ("basis", "dry")]);
        assert!(fixes(&dry)[0].contains("the basis"), "{}", place.key);
        // More than all of a ton.
        let heavy = farm(place, Some("8 lb/gal"), &[("total_n", "9000 lb/1000 gal")]);
        assert!(fixes(&heavy)[0].contains("compare content and density"), "{}", place.key);
        let idle = farm(place, Some("8 lb/gal"), &[("total_n", "60 lb/ton")]);
        let idle = checked(&idle).found("no-effect");
        assert!(idle.iter().any(|found| found.contains("`density` changes nothing")), "{}: {idle:?}", place.key);
        // A density that cannot be read is told alone.
        let unread = farm(place, Some("8 lb"), &[("total_n", "240 lb/1000 gal")]);
        assert!(fixes(&unread).is_empty() && checked(&unread).findings.has_errors(), "{}", place.key);
        let none = farm(place, None, &[("total_n", "30 lb/gal")]);
        assert!(fixes(&none).is_empty() && checked(&none).findings.has_errors(), "{}", place.key);
    }
}
