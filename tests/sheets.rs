//! The field sheets of the demo farm: their structure, and that nothing a
//! grower writes can break out of them.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;

use demo::Made;
use std::collections::BTreeSet;
use sward::audit::Audited;
use sward::units::number_text;
use sward::write;

fn sheets(change: impl Fn(String) -> String) -> (Audited, String) {
    let Made { audited, ready, ground, driving, .. } = demo::made(&demo::with_main(change));
    let html = write::sheets(&audited, &ready, &ground, &driving);
    assert!(!html.is_empty());
    (audited, html)
}

/// What stands between two marks, every time.
fn between<'a>(text: &'a str, open: &str, close: &str) -> Vec<&'a str> {
    text.split(open)
        .skip(1)
        .map(|rest| rest.split_once(close).unwrap_or_else(|| panic!("`{open}` without `{close}`")).0)
        .collect()
}

#[test]
fn every_field_with_litter_has_one_page_and_every_other_its_reason() {
    let (audited, html) = sheets(|main| main);
    let plan = audited.plan();
    let pages = between(&html, "<section class=\"page sheet", "</section>");
    let with: Vec<_> = plan.fields.iter().filter(|f| !f.applications.is_empty()).collect();
    assert!(with.len() > 2, "the demo farm should spread on several fields");
    assert_eq!(pages.len(), with.len());
    let none = between(&html, "id=\"no-litter\"", "</section>").concat();
    for field in &plan.fields {
        let tag = format!("<div class=\"tag\">{}</div>", field.id);
        let own: Vec<_> = pages.iter().filter(|p| p.contains(&tag)).collect();
        assert_eq!(own.len(), usize::from(!field.applications.is_empty()), "{}", field.id);
        assert_eq!(none.contains(&format!("<b>{}</b>", field.id)), field.applications.is_empty(), "{}", field.id);
        for bar in &field.bars {
            assert!(none.contains(&bar.why) && none.contains(&bar.fix), "{}", field.id);
        }
        let Some(page) = own.first() else { continue };
        assert!(page.contains(&format!("<dd>{:.2} ac</dd>", field.acres)), "{}", field.id);
        assert_eq!(page.matches("<div class=\"job\">").count(), field.applications.len());
        for a in &field.applications {
            assert!(page.contains(&format!("<b>{:.2}</b><span>tons", a.rate)), "{} {}", field.id, a.rate);
            assert!(page.contains(&format!("<dd>{} tons</dd>", number_text(a.pounds.tons(), 2))), "{}", field.id);
            if let Some(good) = a.analysis_good_until.filter(|good| *good < a.last) {
                assert!(
                    page.contains(&format!("{} on this analysis", good.strftime("%b %-d, %Y")))
                        || page.contains("SAMPLE FIRST")
                );
            }
        }
        for kept in &field.kept_off {
            assert!(page.contains(&kept.name), "{}: {}", field.id, kept.name);
        }
        for stop in &plan.stops {
            assert!(page.contains(&stop.text), "{}: {}", field.id, stop.text);
        }
        assert!(page.contains("911") && page.contains("href=\"geo:"), "{}", field.id);
        let copper = plan.cautions.iter().find(|c| c.about == "copper");
        assert_eq!(copper.is_some_and(|c| page.contains(&c.text)), field.sheep, "{}", field.id);
    }
    for caution in &plan.cautions {
        let cover = between(&html, "id=\"care\"", "</section>").concat();
        assert!(cover.contains(&caution.text.replace('\'', "&#39;")), "{}", caution.text);
    }
}

#[test]
fn every_ring_is_closed_and_inside_its_picture() {
    let (_, html) = sheets(|main| main);
    let maps = between(&html, "<svg class=\"map\"", "</svg>");
    assert!(!maps.is_empty());
    for map in maps {
        let size: Vec<f64> = between(map, "viewBox=\"", "\"")[0].split(' ').map(|n| n.parse().unwrap()).collect();
        for class in ["all", "spread", "off", "edge"] {
            for path in between(map, &format!("<path class=\"{class}\" d=\""), "\"") {
                let rings: Vec<&str> = path.split_inclusive('Z').collect();
                assert!(!rings.is_empty());
                for ring in rings {
                    assert!(ring.starts_with('M') && ring.ends_with('Z'), "{ring}");
                    assert_eq!(ring.matches('M').count(), 1, "{ring}");
                    let places: Vec<&str> = ring.trim_matches(['M', 'Z']).split('L').collect();
                    assert!(places.len() >= 3, "{ring}");
                    for place in places {
                        let (x, y) = place.split_once(' ').unwrap();
                        let (x, y): (f64, f64) = (x.parse().unwrap(), y.parse().unwrap());
                        assert!((0.0..=size[2]).contains(&x) && (0.0..=size[3]).contains(&y), "{place}");
                    }
                }
            }
        }
        assert!(map.contains("SPREAD"), "no word on the ground to spread on");
        assert_eq!(map.contains("class=\"off\""), map.contains("NO SPREAD"), "a zone without its words");
    }
}

#[test]
fn the_file_needs_nothing_else() {
    let (_, html) = sheets(|main| main);
    for word in ["http", "<script", "<link", "<img", "src=", "@import", "javascript:", " onload", "tel:"] {
        assert!(!html.contains(word), "{word}");
    }
    assert_eq!(html.matches("url(").count(), html.matches("fill=\"url(#no-spread-").count());
    let links = between(&html, "href=\"", "\"");
    for kind in ["geo:", "#sheet-"] {
        assert!(links.iter().any(|link| link.starts_with(kind)), "no {kind}");
    }
    for link in links {
        assert!(link.starts_with("geo:") || link.starts_with("#sheet-"), "{link}");
        if let Some(place) = link.strip_prefix("geo:") {
            let (lat, lon) = place.split_once(',').unwrap();
            assert!(lat.parse::<f64>().unwrap().abs() <= 90.0 && lon.parse::<f64>().unwrap().abs() <= 180.0);
        }
    }
    let ids = between(&html, " id=\"", "\"");
    assert_eq!(ids.len(), ids.iter().collect::<BTreeSet<_>>().len(), "an id stands twice: {ids:?}");
    for name in between(&html, "url(#", ")").into_iter().chain(between(&html, "href=\"#", "\"")) {
        assert!(ids.contains(&name), "{name} names nothing");
    }
}

#[test]
fn the_same_plan_gives_the_same_file() {
    assert_eq!(sheets(|main| main).1, sheets(|main| main).1);
}

#[test]
fn nothing_a_grower_writes_breaks_out_of_its_place() {
    const EVIL: &str = "<script>alert(1)</script>";
    let (_, html) = sheets(|main| {
        main.replace("name: Creek Bottom", &format!("name: \"{EVIL}\""))
            .replace("farm: Two Chimney Farm", &format!("farm: '{EVIL}\" onload=\"alert(1)'"))
            .replace("name: Dell Farrow", &format!("name: \"{EVIL}\""))
            .replace("from: full clean-out", &format!("from: {EVIL} clean-out"))
    });
    assert!(!html.contains("<script"), "a tag came through");
    assert!(!html.contains("\" onload"), "a quotation mark came through");
    assert!(html.contains("&#60;script&#62;alert(1)") || html.contains("&lt;script&gt;alert(1)"));
}

/// The words of a file: tags and style left out, entities read, one line a
/// run of text.
fn words(html: &str) -> String {
    let body = html.split("</style>").last().unwrap();
    let mut text = String::new();
    for part in body.split('<').skip(1) {
        let words = part.split_once('>').map_or("", |(_, after)| after);
        let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
        if !words.is_empty() {
            text.push_str(&words.replace("&amp;", "&").replace("&#38;", "&").replace("&#39;", "'"));
            text.push('\n');
        }
    }
    text
}

/// Everything the applicator reads, held as text.
#[test]
fn the_sheets_say_what_they_said() {
    let (_, html) = sheets(|yaml| yaml);
    let now = words(&html);
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/screens/sheets-words.txt");
    if std::env::var_os("UPDATE_EXPECTED").is_some() {
        std::fs::write(&path, &now).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default().replace("\r\n", "\n");
    let changed = now.lines().zip(kept.lines()).find(|(a, b)| a != b);
    assert!(now == kept, "sheets-words.txt: now and kept differ first at {changed:?}");
}
