//! The maps of the demo farm: pictures that hold together, data that other
//! programs can use, and runs on which every load ends on its field.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
mod kit;

use demo::Made;
use geo::{Contains, Coord, Distance, Euclidean, MultiPolygon, Point, Polygon, Winding};
use kit::{Dice, command, root};
use std::collections::BTreeSet;
use std::sync::Arc;

use sward::balance::{self, Driving, LoadEnd, Spreading, Surveyed};
use sward::units::{Pounds, Quantity};

use sward::farm::{self, FarmText};
use sward::ground::{Cut, Plane, Run, SQUARE_FEET_PER_ACRE};
use sward::write;
use sward::write::Picture;

/// The whole pipeline on the demo farm, each of its files changed first.
fn made(change: impl Fn(String) -> String) -> Made {
    let FarmText { main, fields, keepouts, soils, calibration, sheets } = demo::texts();
    demo::made(&FarmText {
        main: main.map(&change),
        fields: fields.map(&change),
        keepouts: keepouts.map(&change),
        soils: soils.map(&change),
        calibration: calibration.map(&change),
        sheets,
    })
}

fn maps(made: &Made) -> Vec<Picture> {
    write::maps(&made.audited, &made.ready, &made.ground, &made.driving)
}

fn geojson(made: &Made) -> String {
    write::map_geojson(&made.audited, &made.ready, &made.ground, &made.driving)
}

fn same(text: String) -> String {
    text
}

/// What stands between two marks, every time.
fn between<'a>(text: &'a str, open: &str, close: &str) -> Vec<&'a str> {
    text.split(open).skip(1).map(|rest| rest.split_once(close).unwrap().0).collect()
}

/// Reads XML far enough to see that every element is closed in turn, every
/// attribute quoted and once, every `&` an entity, and no sign forbidden.
fn sound_xml(name: &str, text: &str) {
    let mut open: Vec<String> = Vec::new();
    let mut rest = text;
    let entities = |part: &str| {
        for piece in part.split('&').skip(1) {
            let end = piece.find(';').unwrap_or_else(|| panic!("{name}: a bare & before {piece:.20}"));
            let entity = &piece[..end];
            let known = ["amp", "lt", "gt", "quot", "apos"].contains(&entity);
            assert!(known || entity.strip_prefix('#').is_some_and(|n| n.parse::<u32>().is_ok()), "{name}: &{entity};");
        }
    };
    while let Some((before, after)) = rest.split_once('<') {
        entities(before);
        assert!(!before.contains('>') || before.contains("{"), "{name}: a bare > in {before}");
        let (tag, after) = after.split_once('>').unwrap();
        rest = after;
        assert!(!tag.contains('<'), "{name}: < inside {tag}");
        if let Some(closed) = tag.strip_prefix('/') {
            assert_eq!(open.pop().as_deref(), Some(closed), "{name}");
            continue;
        }
        let (tag, lone) = tag.strip_suffix('/').map_or((tag, false), |t| (t, true));
        let (element, mut attributes) = tag.split_once(' ').unwrap_or((tag, ""));
        let mut seen = BTreeSet::new();
        while let Some((key, value)) = attributes.split_once("=\"") {
            let (value, after) = value.split_once('"').unwrap();
            entities(value);
            assert!(seen.insert(key.trim()), "{name}: {key} twice in {tag}");
            let plain = |c: char| c.is_ascii_alphabetic() || "-:".contains(c);
            assert!(key.trim().chars().all(plain), "{name}: {key}");
            attributes = after;
        }
        assert!(attributes.trim().is_empty(), "{name}: {attributes} in {tag}");
        if !lone {
            open.push(element.to_string());
        }
    }
    assert!(open.is_empty() && rest.trim().is_empty(), "{name}: left open {open:?}");
    assert!(!text.chars().any(|c| c.is_control() && c != '\n'), "{name}: a control character");
}

#[test]
fn every_picture_is_sound_and_needs_nothing_else() {
    let made = made(same);
    let maps = maps(&made);
    assert_eq!(maps.len(), made.ready.fields.len() + 1);
    for Picture { name, svg } in &maps {
        sound_xml(name, svg);
        assert!(svg.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\""), "{name}");
        for word in ["<script", "href", "<image", "@import", "foreignObject", "javascript:", "NaN", "inf "] {
            assert!(!svg.contains(word), "{name}: {word}");
        }
        assert_eq!(svg.matches("http").count(), 1, "{name}: a link");
        let ids = between(svg, " id=\"", "\"");
        assert_eq!(ids.len(), ids.iter().collect::<BTreeSet<_>>().len(), "{name}: {ids:?}");
        for used in between(svg, "url(#", ")") {
            assert!(ids.contains(&used), "{name}: {used} names nothing");
        }
        assert!(svg.contains("class=\"north\"") && svg.contains(" ft</text>"), "{name}: no arrow or scale bar");
    }
}

#[test]
fn every_ring_is_closed_and_in_view() {
    for Picture { name, svg } in maps(&made(same)) {
        let size: Vec<f64> = between(&svg, "viewBox=\"", "\"")[0].split(' ').map(|n| n.parse().unwrap()).collect();
        let mut rings = 0;
        for class in ["all", "spread", "idle", "off", "edge", "hem"] {
            for path in between(&svg, &format!("<path class=\"{class}\" d=\""), "\"") {
                for ring in path.split_inclusive('Z') {
                    assert!(ring.starts_with('M') && ring.ends_with('Z') && ring.matches('M').count() == 1, "{ring}");
                    let places: Vec<&str> = ring.trim_matches(['M', 'Z']).split('L').collect();
                    assert!(places.len() >= 3, "{name}: {ring}");
                    for place in places {
                        let (x, y) = place.split_once(' ').unwrap();
                        let (x, y): (f64, f64) = (x.parse().unwrap(), y.parse().unwrap());
                        assert!((0.0..=size[2]).contains(&x) && (0.0..=size[3]).contains(&y), "{name}: {place}");
                    }
                    rings += 1;
                }
            }
        }
        assert!(rings >= 3, "{name}: {rings} rings");
    }
}

#[test]
fn every_field_rate_zone_and_reason_is_there() {
    let made = made(same);
    let maps = maps(&made);
    let flat = |svg: &str| {
        between(svg, "<text", "</text>").iter().map(|t| t.split_once('>').unwrap().1).collect::<Vec<_>>().join(" ")
    };
    let farm = flat(&maps[0].svg);
    for (field, map) in made.audited.plan().fields.iter().zip(&maps[1..]) {
        let own = flat(&map.svg);
        assert_eq!(map.name, format!("field-{}.svg", field.id));
        assert!(farm.contains(&format!("{} {}", field.id, field.name)), "{}", field.id);
        for a in &field.applications {
            assert!(farm.contains(&format!("{:.2} tons/ac of {}", a.rate, a.lot)), "{}", field.id);
            assert!(own.contains(&format!("{:.2} tons per acre of {}", a.rate, a.lot)), "{}", field.id);
        }
        assert!(own.contains(&format!("{:.2} ac", field.acres)), "{}", field.id);
        for kept in &field.kept_off {
            assert!(own.contains(&kept.name.split(' ').next().unwrap().to_string()), "{}: {}", field.id, kept.name);
        }
        let why = field.why_none();
        assert_eq!(why.is_empty(), own.contains("Drive "), "{}", field.id);
        assert_eq!(!why.is_empty(), own.contains("NO LITTER"), "{}", field.id);
        for word in why.iter().flat_map(|w| w.split(' ')).filter(|w| w.chars().all(char::is_alphanumeric)) {
            assert!(own.contains(word) && farm.contains(word), "{}: {word}", field.id);
        }
    }
    for keep in &made.ready.keepouts {
        assert!(farm.contains(&keep.name), "{}", keep.name);
    }
}

#[test]
fn nothing_a_grower_writes_breaks_out() {
    const EVIL: &str = "<script>alert(1)</script>";
    let made = made(|text| {
        text.replace("id: B1\n", "id: \"../../B1\"\n")
            .replace("\"id\": \"B1\"", "\"id\": \"../../B1\"")
            .replace("\"field\": \"B1\"", "\"field\": \"../../B1\"")
            .replace("id: B2\n", "id: 'x\" onload=\"alert(1)'\n")
            .replace("\"id\": \"B2\"", "\"id\": \"x\\\" onload=\\\"alert(1)\"")
            .replace("\"field\": \"B2\"", "\"field\": \"x\\\" onload=\\\"alert(1)\"")
            .replace("name: Creek Bottom", &format!("name: \"{EVIL}\""))
            .replace("farm: Two Chimney Farm", &format!("farm: '{EVIL}]]>\" onload=\"alert(1)'"))
            .replace("\"name\": \"Dam Pond\"", &format!("\"name\": \"{EVIL} &amp; & ]]>\""))
    });
    let maps = maps(&made);
    let low: BTreeSet<String> = maps.iter().map(|m| m.name.to_lowercase()).collect();
    assert_eq!(low.len(), maps.len());
    for Picture { name, svg } in &maps {
        let stem = name.strip_suffix(".svg").unwrap();
        assert!(stem.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-'), "{name}");
        sound_xml(name, svg);
        assert!(!svg.contains("<script") && !svg.contains("\" onload"), "{name}");
    }
    let _: serde_json::Value = serde_json::from_str(&geojson(&made)).unwrap();
}

#[test]
fn the_geojson_is_the_ground_of_the_plan() {
    let made = made(same);
    let read: geojson::FeatureCollection = geojson(&made).parse().unwrap();
    let fields = &made.audited.plan().fields;
    let wanted: usize = fields.iter().map(|f| f.applications.len()).sum();
    assert_eq!(read.features.len(), wanted);
    let applications = fields.iter().flat_map(|f| f.applications.iter().map(move |a| (f, a)));
    for (feature, (field, a)) in read.features.iter().zip(applications) {
        let is = |key: &str| feature.property(key).unwrap();
        assert_eq!(is("field"), field.id.as_str());
        assert_eq!(is("lot"), a.lot.as_str());
        assert_eq!(is("rate_tons_per_acre").as_f64(), Some(a.rate));
        assert_eq!(is("tons").as_f64(), Some(a.pounds.tons()));
        assert_eq!(is("first"), a.first.to_string().as_str());
        let shape: geo::Geometry<f64> = feature.geometry.clone().unwrap().try_into().unwrap();
        let shape = match shape {
            geo::Geometry::Polygon(one) => MultiPolygon(vec![one]),
            geo::Geometry::MultiPolygon(many) => many,
            other => panic!("{other:?}"),
        };
        for part in &shape {
            assert!(part.exterior().is_ccw(), "{}", field.id);
            assert!(part.interiors().iter().all(Winding::is_cw), "{}", field.id);
        }
        let flat = Plane::for_shape(&shape).unwrap().shape_to_feet(&shape);
        let acres = geo::Area::unsigned_area(&flat) / SQUARE_FEET_PER_ACRE;
        // The plan takes acres down to the hundredth.
        assert!((acres - field.acres).abs() <= 0.001 * field.acres + 0.01, "{}: {acres} {}", field.id, field.acres);
        assert_eq!(is("acres").as_f64().map(|a| format!("{a:.2}")), Some(format!("{:.2}", field.acres)));
    }
    for number in geojson(&made).split([',', '[', ']']).filter(|n| n.parse::<f64>().is_ok()) {
        assert!(number.split_once('.').is_none_or(|(_, d)| d.len() <= 7), "{number}");
    }
}

#[test]
fn loads_end_on_their_field_and_runs_add_up() {
    let made = made(same);
    for ((field, surveyed), driving) in made.audited.plan().fields.iter().zip(&made.ground).zip(&made.driving) {
        assert_eq!(!driving.is_empty(), !field.applications.is_empty(), "{}", field.id);
        let Some(driving) = driving.first() else { continue };
        let lines: Vec<_> = driving.lines().collect();
        assert_eq!(lines.len(), driving.runs);
        let length = |[a, b]: &[geo::Coord<f64>; 2]| (b.x - a.x).hypot(b.y - a.y);
        assert!((lines.iter().map(length).sum::<f64>() - driving.run_ft).abs() < 0.1);
        // Runs of one swath each cover the ground, with at most a last strip
        // of every piece over and corners under.
        let covered = driving.run_ft * driving.swath_ft / SQUARE_FEET_PER_ACRE;
        assert!((covered / field.acres - 1.0).abs() < 0.05, "{}: {covered} of {}", field.id, field.acres);
        assert_eq!(driving.loads.len(), field.applications.len());
        for (a, loads) in field.applications.iter().zip(&driving.loads) {
            assert!(loads.rate <= a.rate && loads.rate > 0.95 * a.rate, "{}: {} of {}", field.id, loads.rate, a.rate);
            let wanted = 8.0 * SQUARE_FEET_PER_ACRE / (loads.rate * driving.swath_ft);
            assert!((loads.feet_per_load - wanted).abs() < 1e-6, "{}", field.id);
            assert!(i64::try_from(loads.ends.len()).unwrap() <= a.loads, "{}", field.id);
            let mut before = 0.0;
            for (i, end) in loads.ends.iter().enumerate() {
                assert_eq!(end.load, i + 1);
                let inside = Euclidean.distance(&Point(end.at), &surveyed.cut.spreadable);
                assert!(inside < 0.5, "{}: load {} ends {inside} ft off its field", field.id, end.load);
                let place = surveyed.cut.plane.to_feet(end.place);
                assert!((place.x - end.at.x).hypot(place.y - end.at.y) < 0.01);
                // A run that covers less than the swath counts as so many feet of a whole one.
                let widths: Vec<f64> = driving.each().map(|run| run.throw_ft() / driving.swath_ft).collect();
                let feet = |at: usize| length(&lines[at]) * widths[at];
                let driven = (0..end.run - 1).map(feet).sum::<f64>() + end.feet * widths[end.run - 1];
                if end.empty && i + 1 < loads.ends.len() {
                    assert!((driven - before - loads.feet_per_load).abs() < 0.1, "{}: load {}", field.id, end.load);
                }
                before = driven;
            }
        }
        let bounds = &made.ready.field(&field.id).unwrap().shape;
        // One at the end of a run lies on the edge itself.
        let within = |e: &&LoadEnd| e.feet > 1.0 && length(&lines[e.run - 1]) - e.feet > 1.0;
        let on = driving.loads.iter().flat_map(|l| &l.ends).filter(within);
        for end in on {
            assert!(bounds.contains(&Point(end.place)), "{}: load {}", field.id, end.load);
        }
    }
}

/// A star around the middle of the plane, with so many corners.
fn star(dice: &mut Dice, corners: u32, low: f64, high: f64) -> Polygon<f64> {
    let corner = |n: u32| {
        let (sin, cos) = (std::f64::consts::TAU * f64::from(n) / f64::from(corners)).sin_cos();
        let far = dice.between(low, high);
        Coord { x: far * sin, y: far * cos }
    };
    Polygon::new((0..corners).map(corner).collect(), vec![])
}

/// A field of the demo farm with other ground, its acres down to the hundredth.
fn on_ground(made: &Made, ground: &MultiPolygon<f64>) -> (Surveyed, f64) {
    let acres = geo::Area::unsigned_area(ground) / SQUARE_FEET_PER_ACRE;
    let cut = Cut { spreadable: ground.clone(), zones: vec![], acres, ..(*made.ground[0].cut).clone() };
    (Surveyed { cut: Arc::new(cut), ..made.ground[0].clone() }, (acres * 100.0).floor() / 100.0)
}

/// The swaths as they are drawn and told, by line and throw to either side: on the ground they are the
/// acres that are reached; no line lies outside of what it throws on, nothing narrow is ordered, and what
/// gets no run is ground that none of them reaches.
fn swaths_are_what_is_reached(round: usize, driving: &Driving, ground: &MultiPolygon<f64>, least: f64) {
    let drawn = |run: &Run| {
        let [from, to] = run.line;
        let ahead = (to - from) / run.feet();
        let right = Coord { x: ahead.y, y: -ahead.x };
        let [(_, left_ft), (_, right_ft)] = run.throws();
        assert!((left_ft + right_ft - run.throw_ft()).abs() < 1e-6, "{round}: {run:?}");
        assert!(left_ft <= driving.swath_ft / 2.0 + 1e-6 && right_ft <= driving.swath_ft / 2.0 + 1e-6, "{round}");
        assert!(run.throw_ft() >= least - 1e-3, "{round}: a run of {} ft", run.throw_ft());
        let (one, other) = (right * -left_ft, right * right_ft);
        Polygon::new(vec![from + one, to + one, to + other, from + other].into(), vec![])
    };
    let swaths: Vec<MultiPolygon<f64>> = driving.each().map(drawn).map(|one| MultiPolygon(vec![one])).collect();
    let all = swaths.iter().fold(MultiPolygon(vec![]), |all, one| geo::BooleanOps::union(&all, one));
    let on = geo::Area::unsigned_area(&geo::BooleanOps::intersection(&all, ground)) / SQUARE_FEET_PER_ACRE;
    let reached = driving.reached_acres.unwrap();
    assert!((on - reached).abs() <= 0.01 * reached, "{round}: {on} acres drawn, {reached} told");
    let whole = geo::Area::unsigned_area(ground) / SQUARE_FEET_PER_ACRE;
    for left in &driving.left {
        assert!(left.feet < least && left.acres <= whole - reached + 0.001, "{round}: {left:?}");
    }
}

/// The marks of loads place tons on ground: from mark to mark the feet of each run by its throw and
/// the rate over the runs are a load; in all they are the tons that go on with the runs, and with
/// what is left those of the spreading, never at more than its rate.
#[test]
fn marks_tons_and_acres_agree() {
    let made = made(same);
    let load = made.ready.spreader.load.value.get();
    let mut dice = Dice(41);
    let (mut narrow, mut too_narrow, mut some_left, mut thinner) = (0, 0, 0, 0);
    for round in 0..150 {
        let ground = match round % 3 {
            0 => MultiPolygon(vec![star(&mut dice, 5, 100.0, 400.0)]),
            1 => MultiPolygon(vec![star(&mut dice, 24, 300.0, 900.0)]),
            _ => {
                let (wide, long) = (dice.between(10.0, 400.0), dice.between(300.0, 2000.0));
                MultiPolygon(vec![geo::Rect::new((0.0, 0.0), (wide, long)).to_polygon()])
            }
        };
        let (surveyed, acres) = on_ground(&made, &ground);
        let rate = (dice.between(4.0, 16.0)).floor() / 4.0;
        let pounds = Pounds::from_tons_down(rate * acres);
        let Some(driving) = balance::driving(&made.ready, &surveyed, &[Spreading { job: 0, rate, pounds }]) else {
            continue;
        };
        let [loads] = driving.loads.as_slice() else { panic!("{round}: {driving:?}") };
        let left = loads.left.unwrap_or_default();
        assert!((loads.on_runs + left - pounds).0.abs() == 0 && left.0 >= 0, "{round}: {loads:?}");
        assert!(loads.rate <= rate, "{round}: {} over {rate}", loads.rate);
        let runs: Vec<Run> = driving.each().copied().collect();
        // Tons up to a mark, by its run and the feet along it.
        let up_to = |run: usize, feet: f64| {
            let whole: f64 = runs[..run - 1].iter().map(|run| run.feet() * run.throw_ft()).sum();
            (whole + feet * runs[run - 1].throw_ft()) / SQUARE_FEET_PER_ACRE * loads.rate
        };
        let mut before = 0.0;
        for end in &loads.ends {
            let tons = up_to(end.run, end.feet);
            let this = if end.load == loads.ends.len() { loads.on_runs.tons() - before } else { load };
            assert!((tons - before - this).abs() < 0.006, "{round}: load {}: {} of {this}", end.load, tons - before);
            before = tons;
        }
        assert!((before - loads.on_runs.tons()).abs() < 0.006, "{round}: {before} of {}", loads.on_runs.tons());
        // The last mark stands where the last run ends: no stretch stays without litter unsaid.
        let last = loads.ends.last().unwrap();
        assert_eq!(last.run, runs.len(), "{round}");
        assert!(runs[last.run - 1].feet() - last.feet < 0.5, "{round}: {} of {}", last.feet, runs[last.run - 1].feet());
        assert_eq!(last.empty, loads.left.is_none(), "{round}");
        // What the runs reach is ground, by another count.
        let reached = driving.reached_acres.unwrap();
        let spots = 4000;
        let bounds = geo::BoundingRect::bounding_rect(&ground).unwrap();
        let strips: Vec<Polygon<f64>> = runs.iter().map(Run::strip).collect();
        let mut on = 0;
        for _ in 0..spots {
            let at =
                Point::new(dice.between(bounds.min().x, bounds.max().x), dice.between(bounds.min().y, bounds.max().y));
            let over = strips.iter().filter(|strip| strip.contains(&at)).count();
            assert!(over <= 1, "{round}: two strips on one spot");
            on += usize::from(over == 1 && ground.contains(&at));
        }
        let counted = on as f64 / f64::from(spots) * bounds.width() * bounds.height() / SQUARE_FEET_PER_ACRE;
        let slack = bounds.width() * bounds.height() / SQUARE_FEET_PER_ACRE * 0.04;
        assert!((counted - reached).abs() < slack, "{round}: {counted} of {reached}");
        assert!(reached <= surveyed.cut.acres + 1e-6 && reached <= driving.thrown_acres + 1e-6, "{round}");
        swaths_are_what_is_reached(round, &driving, &ground, made.ready.least_strip_ft);
        narrow += usize::from(driving.narrow().next().is_some());
        too_narrow += usize::from(!driving.left.is_empty());
        some_left += usize::from(loads.left.is_some());
        thinner += usize::from(loads.rate < rate - 1e-9);
    }
    assert!(
        narrow > 50 && too_narrow > 5 && some_left > 10 && thinner > 50,
        "{narrow} {too_narrow} {some_left} {thinner}"
    );
}

/// Of as many runs those are driven that throw least outside: an arm of 200 ft on a field of 800 ft is
/// no whole number of swaths wide, and neither is the field, so they are counted from the other side.
#[test]
fn runs_over_an_arm_do_not_hang_over_its_fence() {
    let made = made(same);
    let corners = [(0.0, 0.0), (800.0, 0.0), (800.0, 400.0), (200.0, 400.0), (200.0, 1000.0), (0.0, 1000.0)];
    for mirrored in [false, true] {
        let corner = |(x, y): (f64, f64)| if mirrored { (800.0 - x, y) } else { (x, y) };
        let ring: Vec<(f64, f64)> = corners.into_iter().map(corner).collect();
        let ground = MultiPolygon(vec![Polygon::new(ring.into(), vec![])]);
        let (surveyed, acres) = on_ground(&made, &ground);
        let job = Spreading { job: 0, rate: 2.0, pounds: Pounds::from_tons_down(2.0 * acres) };
        let driving = balance::driving(&made.ready, &surveyed, &[job]).unwrap();
        assert_eq!(driving.runs, 27, "{mirrored}");
        assert!(driving.thrown_acres < acres + 0.005, "{mirrored}: {} of {acres}", driving.thrown_acres);
        assert!(driving.missed_acres.unwrap() < 0.005, "{mirrored}");
    }
}

/// A field 100 ft wide at 30 ft: the last 10 ft are thrown on from their inner edge, to one side; 5 ft
/// are left, with their acres; beside a setback the line keeps half a swath off it, on the other side.
#[test]
fn what_no_whole_swath_fits_on_is_ordered_or_told() {
    let made = made(same);
    let drive = |wide: f64, setback: bool| {
        let ground = MultiPolygon(vec![geo::Rect::new((0.0, 0.0), (wide, 1000.0)).to_polygon()]);
        let (mut surveyed, acres) = on_ground(&made, &ground);
        if setback {
            let mut zone = made.ground.iter().find_map(|one| one.cut.zones.first()).unwrap().clone();
            zone.shape = MultiPolygon(vec![geo::Rect::new((wide, -50.0), (wide + 50.0, 1050.0)).to_polygon()]);
            surveyed.cut = Arc::new(Cut { zones: vec![zone], ..(*surveyed.cut).clone() });
        }
        let job = Spreading { job: 0, rate: 2.0, pounds: Pounds::from_tons_down(2.0 * acres) };
        balance::driving(&made.ready, &surveyed, &[job]).unwrap()
    };
    let throws = |driving: &Driving| -> Vec<(f64, [(&str, f64); 2])> {
        driving.narrow().map(|(_, run)| (run.line[0].x.round(), run.throws())).collect()
    };
    let open = drive(100.0, false);
    let [(x, sides)] = throws(&open)[..] else { panic!("{open:?}") };
    assert_eq!((x, open.runs), (90.0, 4));
    assert!(sides.iter().all(|(way, feet)| (feet - if *way == "east" { 10.0 } else { 0.0 }).abs() < 0.01), "{sides:?}");
    assert!((open.reached_acres.unwrap() - open.thrown_acres).abs() < 1e-6 && open.left.is_empty());
    // A line at 90 would lie 10 ft off the setback: the strip is laid on the west side, away from it.
    let beside = drive(100.0, true);
    let [(x, sides)] = throws(&beside)[..] else { panic!("{beside:?}") };
    assert_eq!(x, 10.0);
    assert!(sides.iter().any(|(way, feet)| *way == "west" && (feet - 10.0).abs() < 0.01), "{sides:?}");
    assert!(beside.each().all(|run| run.line[0].x <= 85.01), "{beside:?}");
    let narrow = drive(95.0, false);
    assert!(throws(&narrow).is_empty());
    let [left] = &narrow.left[..] else { panic!("{narrow:?}") };
    assert_eq!((left.way, left.feet.round()), ("east", 5.0));
    assert!((left.acres - 5000.0 / SQUARE_FEET_PER_ACRE).abs() < 1e-3);
    assert!(narrow.loads[0].left.is_some());
}

#[test]
fn a_growers_heading_is_driven() {
    let with = |heading: &str| {
        let line = format!("name: Ridge Piece\n    heading: {heading}");
        made(|text| text.replace("name: Ridge Piece", &line))
    };
    let at = |made: &Made| made.ready.fields.iter().position(|f| f.id() == "N2").unwrap();
    let fixed = with("40");
    let driving = fixed.driving[at(&fixed)].first().cloned().unwrap();
    assert!((driving.pieces[0].heading_deg - 40.0).abs() < 1e-9);
    assert_eq!(driving.heading_by, "the grower's heading");
    assert!(maps(&fixed).iter().any(|m| m.svg.contains("Drive 40 deg, ")));
    let free = made(same);
    let best = free.driving[at(&free)].first().cloned().unwrap();
    assert!(best.runs <= driving.runs);
    let long = with("long side");
    let long = long.driving[at(&long)].first().cloned().unwrap();
    assert_eq!(long.heading_by, "the grower's long side");
    assert!(long.runs < driving.runs.max(long.runs + 1));
    for bad in ["200", "-3", "north", "40 ft"] {
        let headed = format!("name: Ridge Piece\n    heading: {bad}");
        let texts = demo::with_main(|main| main.replace("name: Ridge Piece", &headed));
        let (_, found) = farm::read_text(&texts);
        assert!(found.sorted().iter().any(|f| format!("{f:?}").contains("heading")), "{bad}");
    }
}

#[test]
fn ground_is_told_to_the_hundredth() {
    // Two lines that leave 20 ft between them, less than the swath.
    let line = |lon: f64| {
        format!(
            "{{\"type\": \"Feature\", \"properties\": {{\"kind\": \"property line\", \"name\": \"wire\", \
             \"setback\": \"20 ft\", \"setback_by\": \"a test, 2026-10-20\"}}, \"geometry\": {{\"type\": \"LineString\", \
             \"coordinates\": [[{lon}, 35.72], [{lon}, 35.74]]}}}},"
        )
    };
    let wired = made(|text| {
        let two = format!("\"features\": [{}{}", line(-79.4785), line(-79.478_297_5));
        if text.contains("what litter keeps away from") { text.replace("\"features\": [", &two) } else { text }
    });
    let mut slivers = 0;
    for made in [made(same), wired] {
        for field in &made.audited.plan().fields {
            let zones: f64 = field.kept_off.iter().map(|k| k.acres).sum();
            let rest = field.gross_acres - zones - field.sliver_acres - field.acres;
            assert!((-1e-4..0.0101).contains(&rest), "{}: {rest}", field.id);
            assert_eq!(field.slivers == 0, field.sliver_acres == 0.0);
            slivers += field.slivers;
        }
    }
    assert!(slivers > 0, "no sliver anywhere");
}

#[test]
fn two_runs_give_the_same_bytes() {
    let (one, two) = (made(same), made(same));
    assert_eq!(maps(&one), maps(&two));
    assert_eq!(geojson(&one), geojson(&two));
    let json = |m: &Made| write::map_json(&m.audited, &m.ready, &m.ground, &m.driving);
    assert_eq!(json(&one), json(&two));
}

fn sward(args: &[&str]) -> std::process::Output {
    command(root(), args).output().unwrap()
}

#[test]
fn the_command_writes_all_or_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("maps");
    let out_text = out.to_str().unwrap();
    let done = sward(&["map", "fields", "-o", out_text]);
    assert!(done.status.success() && done.stdout.is_empty(), "{done:?}");
    let names = || kit::names(&out);
    let all = names();
    assert_eq!(all.len(), 12, "{all:?}");
    // One of them is enough to stop the whole.
    for name in all.iter().skip(1) {
        std::fs::remove_file(out.join(name)).unwrap();
    }
    std::fs::write(out.join("farm.svg"), "mine").unwrap();
    let done = sward(&["map", "fields", "-o", out_text]);
    assert_eq!(done.status.code(), Some(2), "{done:?}");
    assert_eq!(names(), ["farm.svg"]);
    assert_eq!(std::fs::read_to_string(out.join("farm.svg")).unwrap(), "mine");
    // A file that cannot be replaced puts back the ones before it.
    std::fs::create_dir(out.join("field-H2.svg")).unwrap();
    std::fs::write(out.join("field-H2.svg").join("x"), "").unwrap();
    let done = sward(&["map", "fields", "-o", out_text, "--force"]);
    assert_eq!(done.status.code(), Some(1), "{done:?}");
    assert_eq!(names(), ["farm.svg", "field-H2.svg"]);
    assert_eq!(std::fs::read_to_string(out.join("farm.svg")).unwrap(), "mine");
    std::fs::remove_dir_all(out.join("field-H2.svg")).unwrap();
    std::fs::write(out.join("field-Gone.svg"), "old").unwrap();
    let done = sward(&["map", "fields", "-o", out_text, "--force"]);
    assert!(done.status.success(), "{done:?}");
    assert!(String::from_utf8(done.stderr).unwrap().contains("field-Gone.svg"));
    assert_eq!(names().len(), 13);
}

#[test]
fn the_command_prints_data_and_nothing_else() {
    for form in ["--geojson", "--json"] {
        let done = sward(&["map", "fields", form]);
        assert!(done.status.success() && done.stderr.is_empty(), "{done:?}");
        let _: serde_json::Value = serde_json::from_slice(&done.stdout).unwrap();
    }
    for wrong in
        [&["map", "fields"][..], &["map", "fields", "--json", "--geojson"], &["map", "fields", "--json", "--force"]]
    {
        assert_eq!(sward(wrong).status.code(), Some(2), "{wrong:?}");
    }
}
