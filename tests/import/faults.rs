//! What is wrong with boundaries: fixed and said, or refused with the reason.

use crate::made::*;
use sward::exchange::{Options, import};
use sward::findings::Severity;

const A: &str = r#"{"id": "A"}"#;
const B: &str = r#"{"id": "B"}"#;

/// Two sound neighbors, so that the import knows where the farm lies.
fn neighbors() -> Vec<String> {
    vec![
        feature(r#"{"id": "N1"}"#, &[ring(20.0, 0.0, 3.0, 3.0)]),
        feature(r#"{"id": "N2"}"#, &[ring(30.0, 0.0, 3.0, 3.0)]),
    ]
}

fn with_neighbors(own: String) -> sward::exchange::Source {
    let mut all = neighbors();
    all.push(own);
    collection(&all)
}

#[test]
fn an_open_ring_is_closed_and_said() {
    let mut open = ring(0.0, 0.0, 4.0, 3.0);
    open.pop();
    let got = plain(collection(&[feature(A, &[open])]));
    sound(&got);
    assert!(found(&got, Severity::Note, "import-closed").contains("its ends 1,092 ft apart"), "{:#?}", told(&got));
    assert!((got.fields[0].acres - acres(&[ring(0.0, 0.0, 4.0, 3.0)])).abs() < 0.01);
}

#[test]
fn repeated_corners_and_spikes_are_taken_out_and_said() {
    let mut spiked = ring(0.0, 0.0, 4.0, 3.0);
    spiked.insert(2, spiked[1]);
    spiked.insert(3, (HOME.0 + 9e-3, HOME.1));
    spiked.insert(4, spiked[1]);
    let got = plain(collection(&[feature(A, &[spiked])]));
    sound(&got);
    assert!(found(&got, Severity::Note, "import-doubles").contains("1 corner"));
    let spike = found(&got, Severity::Note, "import-spikes");
    assert!(spike.contains("longitude -79.491000, latitude 35.700000"), "{spike}");
    assert!((got.fields[0].acres - acres(&[ring(0.0, 0.0, 4.0, 3.0)])).abs() < 0.01);
}

#[test]
fn a_ring_of_two_points_is_refused() {
    let two = vec![HOME, (HOME.0 + 1e-3, HOME.1), HOME];
    refused(&plain(collection(&[feature(A, &[two])])), "import-ring", &["feature 1", "2 different corners"]);
    // One of three corners on one line encloses nothing.
    let line = vec![HOME, (HOME.0 + 1e-3, HOME.1), (HOME.0 + 2e-3, HOME.1), HOME];
    refused(&plain(collection(&[feature(A, &[line])])), "import-shape", &["a ring encloses no ground"]);
    // As a hole it takes nothing away.
    let hole = vec![(HOME.0 + 1e-3, HOME.1 + 1e-3), (HOME.0 + 2e-3, HOME.1 + 1e-3)];
    let got = plain(collection(&[feature(A, &[ring(0.0, 0.0, 4.0, 3.0), hole])]));
    sound(&got);
    assert!(found(&got, Severity::Note, "import-ring").contains("hole 1"));
}

#[test]
fn a_bow_tie_is_refused_with_its_place_and_parted_when_asked() {
    let at = |x: f64, y: f64| (HOME.0 + x * 1e-3, HOME.1 + y * 1e-3);
    let tie = vec![at(0.0, 0.0), at(4.0, 4.0), at(4.0, 0.0), at(0.0, 4.0), at(0.0, 0.0)];
    let file = collection(&[feature(A, &[tie])]);
    refused(&plain(file.clone()), "import-shape", &["crosses itself at longitude -79.498000, latitude 35.702000"]);
    let got = import(&[file], &Options { fix: true, ..Options::default() });
    sound(&got);
    assert!(found(&got, Severity::Warning, "import-fixed-shape").contains("in 2 parts"));
    assert_eq!(got.fields[0].shape.0.len(), 2);
    assert!((got.fields[0].acres - acres(&[ring(0.0, 0.0, 4.0, 2.0)])).abs() < 0.02);
}

#[test]
fn the_wrong_way_around_is_turned_and_said() {
    let rings = [back(ring(0.0, 0.0, 9.0, 9.0)), ring(1.0, 1.0, 2.0, 2.0)];
    let got = plain(collection(&[feature(A, &rings)]));
    sound(&got);
    assert!(found(&got, Severity::Note, "import-turned").contains("2 rings"));
    let text = sward::exchange::fields_geojson(&got.fields, &got.things);
    let again = plain(source("again.json", text.as_bytes()));
    sound(&again);
    assert_eq!(again.findings.sorted().len(), 1, "only the ids are told: {:#?}", told(&again));
    assert!((got.fields[0].acres - acres(&rings)).abs() < 0.01);
}

#[test]
fn holes_outside_and_rings_over_each_other_are_refused() {
    let outer = ring(0.0, 0.0, 4.0, 4.0);
    let outside = collection(&[feature(A, &[outer.clone(), ring(6.0, 6.0, 1.0, 1.0)])]);
    refused(&plain(outside.clone()), "import-shape", &["a hole reaches outside the boundary at longitude"]);
    sound(&import(&[outside], &Options { fix: true, ..Options::default() }));
    let holes = [outer.clone(), ring(1.0, 1.0, 1.5, 1.5), ring(2.0, 2.0, 1.5, 1.5)];
    refused(&plain(collection(&[feature(A, &holes)])), "import-shape", &["two holes overlap"]);
    let parts = format!(
        r#"{{"type": "MultiPolygon", "coordinates": [[{}], [{}]]}}"#,
        corners(&outer),
        corners(&ring(1.0, 1.0, 1.0, 1.0))
    );
    let nested = collection(&[any(A, &parts)]);
    refused(&plain(nested.clone()), "import-shape", &["two parts overlap"]);
    let got = import(&[nested], &Options { fix: true, ..Options::default() });
    assert!((got.fields[0].acres - acres(&[outer])).abs() < 0.01);
}

#[test]
fn a_hole_written_under_the_wrong_part_is_moved() {
    let (left, right, hole) = (ring(0.0, 0.0, 4.0, 4.0), ring(6.0, 0.0, 4.0, 4.0), back(ring(1.0, 1.0, 1.0, 1.0)));
    let parts = format!(
        r#"{{"type": "MultiPolygon", "coordinates": [[{}], [{}, {}]]}}"#,
        corners(&left),
        corners(&right),
        corners(&hole)
    );
    let got = plain(collection(&[any(A, &parts)]));
    sound(&got);
    assert!(found(&got, Severity::Warning, "import-hole").contains("moved"));
    let want = acres(&[left, hole]) + acres(&[right]);
    assert!((got.fields[0].acres - want).abs() < 0.01);
}

#[test]
fn fields_over_each_other_are_refused_with_the_acres() {
    let over = [feature(A, &[ring(0.0, 0.0, 4.0, 4.0)]), feature(B, &[ring(3.0, 0.0, 4.0, 4.0)])];
    let want = format!("fields A and B overlap by {:.2} ac", acres(&[ring(3.0, 0.0, 1.0, 4.0)]));
    refused(&plain(collection(&over)), "import-overlap", &[&want]);
    // A shared fence is none.
    sound(&plain(collection(&[feature(A, &[ring(0.0, 0.0, 4.0, 4.0)]), feature(B, &[ring(4.0, 0.0, 4.0, 4.0)])])));
}

/// Two people who draw one fence differ by less than a twentieth of an acre.
#[test]
fn an_overlap_counts_past_a_twentieth_of_an_acre() {
    let over = |wide: f64| {
        let fields = [ring(0.0, 0.0, 4.0, 4.0), ring(4.0 - wide, 0.0, 4.0, 4.0)];
        let acres = acres(&[ring(4.0 - wide, 0.0, wide, 4.0)]);
        (acres, plain(collection(&[feature(A, &fields[..1]), feature(B, &fields[1..])])))
    };
    let per_step = over(1.0).0;
    for (want, counts) in [(0.045, false), (0.049, false), (0.051, true), (0.055, true)] {
        let (acres, got) = over(want / per_step);
        assert!((acres - want).abs() < 0.000_5, "{acres}");
        assert_eq!(got.findings.has_errors(), counts, "{want}: {:#?}", told(&got));
    }
}

/// A tenth of an acre and two in a hundred: past both, the file's own acres are asked about.
#[test]
fn claimed_acres_are_asked_about_past_both_measures() {
    let asked = |ring: &[(f64, f64)], off: f64| {
        let claim = acres(std::slice::from_ref(&ring.to_vec())) + off;
        let file = feature(&format!(r#"{{"id": "A", "Acres": {claim:.6}}}"#), &[ring.to_vec()]);
        told(&plain(collection(&[file]))).iter().any(|line| line.contains("import-acres"))
    };
    // Of some 1.2 ac a tenth of an acre decides, of some 30 the share.
    let (small, large) = (ring(0.0, 0.0, 0.7, 0.7), ring(0.0, 0.0, 4.0, 3.0));
    for (field, most) in [(&small, 0.1), (&large, 0.02 * acres(std::slice::from_ref(&large)))] {
        for sign in [1.0, -1.0] {
            // The share is of the claim, which is that much more or less itself.
            assert!(!asked(field, sign * most * 0.95), "{most} {sign}");
            assert!(asked(field, sign * most * 1.05), "{most} {sign}");
        }
    }
}

fn changed(change: fn((f64, f64)) -> (f64, f64)) -> String {
    feature(A, &[ring(0.0, 0.0, 4.0, 3.0).into_iter().map(change).collect()])
}

#[test]
fn swapped_numbers_are_mended_only_when_it_is_certain() {
    let swapped = changed(|(x, y)| (y, x));
    refused(
        &plain(collection(std::slice::from_ref(&swapped))),
        "import-swapped",
        &["longitude and latitude look swapped"],
    );
    let one = collection(&[feature(B, &[ring(20.0, 0.0, 3.0, 3.0)]), swapped.clone()]);
    for got in [plain(with_neighbors(swapped.clone())), plain(one), near(collection(&[swapped]))] {
        sound(&got);
        assert!(found(&got, Severity::Warning, "import-fixed-place").contains("were swapped; fixed"));
        let own = got.fields.iter().find(|f| f.id == "A").unwrap();
        assert!((own.acres - acres(&[ring(0.0, 0.0, 4.0, 3.0)])).abs() < 0.01);
    }
}

#[test]
fn the_wrong_hemisphere_is_mended_only_when_it_is_certain() {
    let east = changed(|(x, y)| (-x, y));
    for got in [plain(with_neighbors(east.clone())), near(collection(std::slice::from_ref(&east)))] {
        sound(&got);
        assert!(found(&got, Severity::Warning, "import-fixed-place").contains("lacked its minus sign"));
    }
    // One against one: nobody knows which of them is right.
    let got = plain(collection(&[feature(B, &[ring(20.0, 0.0, 3.0, 3.0)]), east]));
    refused(&got, "import-far", &["the fields do not lie together"]);
    let both = near(collection(&[changed(|(x, y)| (y, -x))]));
    sound(&both);
    assert!(found(&both, Severity::Warning, "import-fixed-place").contains("swapped, and the longitude lacked"));
    sound(&near(collection(&[changed(|(x, y)| (x, -y))])));
}

#[test]
fn meters_and_feet_are_refused_with_what_they_look_like() {
    for (x, y, words) in [
        (645_000.0, 3_952_000.0, "UTM meters"),
        (-8_850_000.0, 4_260_000.0, "web Mercator meters"),
        (1_850_000.0, 720_000.0, "State Plane"),
        (1e300, 1e300, "no coordinates of this earth"),
    ] {
        let grid = vec![(x, y), (x + 200.0, y), (x + 200.0, y + 200.0), (x, y)];
        let got = plain(collection(&[feature(A, std::slice::from_ref(&grid))]));
        if x < 1e9 {
            refused(&got, "import-projected", &[words, "feature 1"]);
        } else {
            assert!(got.findings.has_errors());
        }
        assert!(plain(with_neighbors(feature(A, &[grid]))).findings.has_errors());
    }
    let zero = vec![(0.1, 0.1), (0.2, 0.1), (0.2, 0.2), (0.1, 0.1)];
    refused(&plain(collection(&[feature(A, &[zero])])), "import-place", &["no hay is cut there"]);
}

#[test]
fn a_field_far_from_the_rest_is_told_or_refused() {
    let at = |miles: f64| feature(A, &[ring(0.0, miles / 69.0 * 1e3, 4.0, 3.0)]);
    sound(&plain(with_neighbors(at(20.0))));
    let got = plain(with_neighbors(at(120.0)));
    sound(&got);
    assert!(found(&got, Severity::Warning, "import-far").contains("lies 120 miles from the rest"));
    refused(&plain(with_neighbors(at(400.0))), "import-far", &["feature 3 lies 400 miles from the rest"]);
}

#[test]
fn ids_are_made_from_names_and_never_twice() {
    let square = |n: f64| vec![ring(n * 10.0, 0.0, 3.0, 3.0)];
    let got = plain(collection(&[
        feature(r#"{"name": "Creek Bottom", "Id": 0}"#, &square(0.0)),
        feature(r#"{"name": "Creek Bottom", "Id": 0}"#, &square(1.0)),
        feature(r#"{"name": null, "Id": 0}"#, &square(2.0)),
    ]));
    sound(&got);
    let ids: Vec<&str> = got.fields.iter().map(|f| f.id.as_str()).collect();
    assert_eq!(ids, ["Creek-Bottom", "Creek-Bottom-2", "F3"]);
    let warned: Vec<String> = told(&got).into_iter().filter(|t| t.starts_with("warning import-id")).collect();
    assert_eq!(warned.len(), 2, "{warned:#?}");
    let asked = |name: &str| {
        let file = collection(&[feature(r#"{"TRACT": 7, "name": "x"}"#, &square(0.0))]);
        import(&[file], &Options { id_from: Some(name.to_string()), ..Options::default() })
    };
    assert_eq!(asked("tract").fields[0].id, "7");
    refused(&asked("trakt"), "import-id-from", &["no field has the property `trakt`"]);
}

#[test]
fn empty_shapes_lines_and_points() {
    refused(&plain(collection(&[any(A, "null")])), "import-empty", &["feature 1 has no geometry"]);
    refused(&plain(collection(&[any(A, r#"{"type": "Polygon", "coordinates": []}"#)])), "import-empty", &["feature 1"]);
    let line = format!(r#"{{"type": "LineString", "coordinates": {}}}"#, corners(&ring(0.0, 0.0, 4.0, 3.0)[..4]));
    let file = collection(&[any(A, &line), any(B, r#"{"type": "Point", "coordinates": [-79.5, 35.7]}"#)]);
    let got = plain(file.clone());
    refused(&got, "import-nothing", &["no boundary"]);
    assert!(found(&got, Severity::Warning, "import-line").contains("left out"));
    assert!(found(&got, Severity::Warning, "import-points").contains("left out: 1 feature (feature 2)"));
    let closed = import(&[file], &Options { close: true, ..Options::default() });
    sound(&closed);
    assert!((closed.fields[0].acres - acres(&[ring(0.0, 0.0, 4.0, 3.0)])).abs() < 0.01);
    let bare = source(
        "a.json",
        format!(r#"{{"type": "Polygon", "coordinates": [{}]}}"#, corners(&ring(0.0, 0.0, 4.0, 3.0))).as_bytes(),
    );
    assert_eq!(plain(bare).fields[0].id, "F1");
}

#[test]
fn acres_that_the_file_claims_are_held_against_the_ground() {
    let own = ring(0.0, 0.0, 4.0, 3.0);
    let right = acres(std::slice::from_ref(&own));
    let file =
        |claim: String| collection(&[feature(&format!(r#"{{"id": "A", {claim}}}"#), std::slice::from_ref(&own))]);
    let got = plain(file(format!("\"CALC_ACRES\": {right:.2}")));
    let claimed = got.fields[0].claimed.clone().unwrap();
    assert!(claimed.difference.abs() < 0.01 && claimed.property == "CALC_ACRES");
    let off = plain(file(format!("\"Acres\": \"{:.1} ac\"", right + 3.0)));
    assert!(found(&off, Severity::Warning, "import-acres").contains("field A measures 29.7"), "{:#?}", told(&off));
    assert!(sward::exchange::talk(&off.fields, &off.things).contains("ac less"));
    let hectares = plain(file(format!("\"hectares\": {}", right * 0.404_685_642_24)));
    assert!(hectares.fields[0].claimed.as_ref().unwrap().difference.abs() < 0.01);
}
