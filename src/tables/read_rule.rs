//! The rows of a phosphorus rule as they are written; every fault is named at its key.

use crate::findings::{APPLIED, At, Finding, Findings};
use crate::tables::p_rule::{
    PBasis, PEnds, PMost, PMostOf, PNear, POf, POr, PRating, PRule, PSays, PUnless, PWhen, PWins, UNSAID,
};
use crate::tables::value::Shape;
use crate::text::{Kind, Node, Walker, choice, key_of};
use crate::units;

/// What a rating may be.
const RATINGS: [&str; 5] = ["low", "medium", "high", "very_high", "unrated"];
/// What a farm may be.
const FARMS: [&str; 4] = ["large", "permitted", "buyer", UNSAID];
/// Where litter may end up.
const PLACEMENTS: [&str; 2] = ["surface", "worked_in"];
/// The keys of what a row says.
const BASIS: &str = "nitrogen, removal, need, none, ask, warn or cap";
/// The ends of a range.
const ENDS: &str = "`from` or `over`, `below` or `up_to`";

/// A row.
pub(super) fn rule(walk: &Walker<'_>, findings: &mut Findings) -> Option<Shape> {
    let when = match walk.block("when", format!("{}: `when`", walk.what()), findings) {
        Some(block) => conditions(block, findings),
        None => PWhen::default(),
    };
    let says = says(walk, findings);
    let unless = walk.list("unless", findings).iter().filter_map(|node| unless(walk, node, findings)).collect();
    let by = walk.text("by", findings).map(|by| by.value);
    let wins = [("first", PWins::First), ("last", PWins::Last)];
    let wins = match walk.text("wins", findings) {
        Some(word) => word_of(word, "word for `wins`", &wins, findings)?,
        None => PWins::Fewest,
    };
    let says = says?;
    // The note of the edition is what such a row says.
    let words = walk.text("note", findings).filter(|_| says.basis == PBasis::Warn).map(|note| note.value);
    let words = words.map(|note| note.strip_prefix(APPLIED).unwrap_or(&note).trim().to_string());
    if says.basis == PBasis::Warn && words.is_none() {
        let found = format!("{}: `warn` without words", walk.what());
        findings.push(Finding::error("reference", walk.place(), found).accepts("`note`: what is to be watched"));
        return None;
    }
    if says.basis == PBasis::Ask && by.is_none() {
        let found = format!("{}: `ask` without `by`", walk.what());
        findings.push(Finding::error("reference", walk.place(), found).accepts("`by`: who is to be asked"));
        return None;
    }
    Some(Shape::Rule(Box::new(PRule { when, says, unless, by, wins, words })))
}

/// How a place rates.
pub(super) fn rating(walk: &Walker<'_>, findings: &mut Findings) -> Option<Shape> {
    let tool = walk.need_text("tool", "the tool of the place", findings);
    let classes = words(walk, "classes", &RATINGS, findings);
    let by = walk.need_text("by", "who may rate", findings);
    let holds_years = walk.ask("holds_years").and_then(|_| walk.need_number("holds_years", "years", findings));
    let n_rating = walk.yes_no("n_rating", findings).is_some_and(|yes| yes.value);
    let by_rate = walk.yes_no("by_rate", findings).is_some_and(|yes| yes.value);
    let sheets = ["not_read", "tool_only", "published"];
    let worksheet = walk.need_text("worksheet", &sheets.join(", "), findings)?;
    let known = |word: &str| sheets.iter().copied().find(|own| *own == word).map(str::to_string);
    let worksheet = choice(worksheet, "word for `worksheet`", &sheets, known, findings)?;
    let (tool, by, holds_years) = (tool?.value, by?.value, holds_years.map(|years| years.value));
    let worksheet = worksheet.value;
    Some(Shape::Rating(Box::new(PRating { tool, classes, by, holds_years, n_rating, by_rate, worksheet })))
}

fn conditions(block: Walker<'_>, findings: &mut Findings) -> PWhen {
    let mut when = PWhen {
        rating: words(&block, "rating", &RATINGS, findings),
        class: words(&block, "class", &[], findings),
        region: words(&block, "region", &[], findings),
        farm: words(&block, "farm", &FARMS, findings),
        plan: words(&block, "plan", &[], findings),
        way: words(&block, "way", &[], findings),
        placement: words(&block, "placement", &PLACEMENTS, findings),
        ..PWhen::default()
    };
    let of = [("litter", POf::Litter), ("fertilizer", POf::Fertilizer), ("all", POf::All)];
    if let Some(word) = block.text("of", findings) {
        when.of = word_of(word, "word for `of`", &of, findings).unwrap_or_default();
    }
    if let Some(soil) = block.block("soil", format!("{}: `soil`", block.what()), findings) {
        let scale = soil.text("scale", findings);
        let ends = ends(&soil, findings);
        soil.finish(findings);
        match scale.map(|scale| word_of(scale, "scale", &[("saturation", ())], findings)) {
            None => when.soil = ends,
            Some(_) => when.saturation = ends,
        }
    }
    if let Some(own) = block.block("near", format!("{}: `near`", block.what()), findings) {
        let within = own.need_number("within", "feet above 0", findings).filter(|feet| feet.value > 0.0);
        let of = words(&own, "of", &[], findings);
        if within.is_none() || of.is_empty() {
            let found = format!("{}: it needs feet above 0, and what is near", own.what());
            findings.push(Finding::error("reference", own.place(), found).accepts("`within` in ft, and `of`"));
        }
        own.finish(findings);
        when.near = within.map(|feet| PNear { within: feet.value, of });
    }
    when.untested = block.yes_no("untested", findings).is_some_and(|yes| yes.value);
    let (place, what) = (block.place().clone(), block.what().to_string());
    block.finish(findings);
    if when.untested && !is_of_the_farm_alone(&when) {
        let found = format!("{what}: a field without a soil test is planned by what farm.yaml says alone");
        let accepts = "`untested` with `rating`, `farm`, `plan` and `way`";
        findings.push(Finding::error("reference", &place, found).accepts(accepts));
    }
    when
}

/// Whether a row asks for nothing that a soil test, a map or the days of an application say.
fn is_of_the_farm_alone(when: &PWhen) -> bool {
    let words = [&when.class, &when.region, &when.placement];
    let measured = when.soil.is_some() || when.saturation.is_some() || when.near.is_some();
    !measured && words.iter().all(|words| words.is_empty()) && when.of == POf::Litter
}

/// A range: one end or both, that leave something between them.
fn ends(walk: &Walker<'_>, findings: &mut Findings) -> Option<PEnds> {
    let mut end = |key| walk.ask(key).map(|_| walk.need_number(key, "a number", findings).map(|n| n.value));
    let [from, over, below, up_to] = [end("from"), end("over"), end("below"), end("up_to")];
    let clear = !(from.is_some() && over.is_some() || below.is_some() && up_to.is_some());
    let low = from.map(|n| (n, true)).or(over.map(|n| (n, false)));
    let high = up_to.map(|n| (n, true)).or(below.map(|n| (n, false)));
    // A number that could not be read was reported.
    let read = |end: Option<(Option<f64>, bool)>| match end {
        Some((Some(number), within)) => Some(Some((number, within))),
        Some((None, _)) => None,
        None => Some(None),
    };
    let ends = PEnds { low: read(low)?, high: read(high)? };
    let between = ends.low.zip(ends.high).is_none_or(|(low, high)| low.0 < high.0 || low == high && low.1);
    if clear && between && (ends.low.is_some() || ends.high.is_some()) {
        return Some(ends);
    }
    let found = format!("{}: it has no end, two of one side, or nothing between them", walk.what());
    findings.push(Finding::error("reference", walk.place(), found).accepts(ENDS));
    None
}

fn says(walk: &Walker<'_>, findings: &mut Findings) -> Option<PSays> {
    let basis = walk.need_text("basis", BASIS, findings);
    let basis = basis.and_then(|word| word_of(word, "basis", &PBasis::WORDS, findings));
    let times = number(walk, "times", (0.0, 10.0), findings);
    let years = number(walk, "years", (0.5, 10.0), findings);
    let or = walk.block("or", format!("{}: `or`", walk.what()), findings);
    let or = or.map(|block| second(block, basis, findings));
    let most = walk.block("most", format!("{}: `most`", walk.what()), findings);
    let most = most.map(|block| cap(block, findings));
    let n_most = walk.block("n_most", format!("{}: `n_most`", walk.what()), findings);
    let n_most = n_most.map(|block| {
        let share = number(&block, "share", (0.0, 2.0), findings);
        block.finish(findings);
        share
    });
    let (basis, times, years) = (basis?, times?, years?);
    let counts = matches!(basis, PBasis::Removal | PBasis::Need);
    if !counts && (times.is_some() || years.is_some() || or.is_some()) {
        let found = format!("{}: `times`, `years` and `or` go with pounds", walk.what());
        findings.push(Finding::error("reference", walk.place(), found).accepts("`basis: removal` or `basis: need`"));
        return None;
    }
    if basis == PBasis::Cap && most.is_none() && n_most.is_none() {
        let found = format!("{}: a row of `cap` has no cap", walk.what());
        findings.push(Finding::error("reference", walk.place(), found).accepts("`most` or `n_most` beside it"));
        return None;
    }
    let years = years.unwrap_or(1.0);
    if years.fract() != 0.0 {
        let found = format!("{}: `years` is {years}", walk.what());
        findings.push(Finding::error("reference", walk.place(), found).accepts("whole years, 1 to 10"));
        return None;
    }
    Some(PSays {
        basis,
        times: times.unwrap_or(1.0),
        or: or.map_or(Some(None), |or| or.map(Some))?,
        years: years as u16,
        most: most.map_or(Some(None), |most| most.map(Some))?,
        n_most: n_most.flatten().flatten(),
    })
}

/// The greater or the lesser of another basis.
fn second(block: Walker<'_>, basis: Option<PBasis>, findings: &mut Findings) -> Option<POr> {
    let sides = [("need", PBasis::Need), ("removal", PBasis::Removal)];
    let mut side = |key| Some(word_of(block.text(key, findings)?, "basis", &sides, findings));
    let (greater, lesser) = (side("greater"), side("lesser"));
    let place = block.place().clone();
    let what = block.what().to_string();
    block.finish(findings);
    let or = match (greater, lesser) {
        (Some(side), None) => POr::Greater(side?),
        (None, Some(side)) => POr::Lesser(side?),
        _ => return refused(&what, &place, findings),
    };
    let (POr::Greater(other) | POr::Lesser(other)) = or;
    if basis == Some(other) { refused(&what, &place, findings) } else { Some(or) }
}

fn refused(what: &str, place: &crate::findings::Place, findings: &mut Findings) -> Option<POr> {
    let found = format!("{what} names no other basis, or two of them");
    findings.push(Finding::error("reference", place, found).accepts("`greater` or `lesser`, with need or removal"));
    None
}

/// A cap in pounds of phosphate or tons of litter.
fn cap(block: Walker<'_>, findings: &mut Findings) -> Option<PMost> {
    let p2o5 = number(&block, "p2o5", (0.0, 1_000.0), findings);
    let litter = number(&block, "litter", (0.0, 50.0), findings);
    let total_n = number(&block, "total_n", (0.0, 1_000.0), findings);
    let over = number(&block, "over", (0.5, 10.0), findings);
    let (place, what) = (block.place().clone(), block.what().to_string());
    block.finish(findings);
    let (p2o5, litter, total_n, over) = (p2o5?, litter?, total_n?, over?.unwrap_or(1.0));
    let given = [(p2o5, PMostOf::P2o5), (litter, PMostOf::Litter), (total_n, PMostOf::TotalN)];
    let given: Vec<(f64, PMostOf)> = given.into_iter().filter_map(|(amount, of)| Some((amount?, of))).collect();
    match given[..] {
        [(amount, of)] if over.fract() == 0.0 => Some(PMost { amount, of, over: over as u16 }),
        _ => {
            let found = format!("{what} is not one amount over whole years");
            let accepts = "`p2o5` or `total_n` in lb/ac or `litter` in tons/ac, and `over` in years";
            findings.push(Finding::error("reference", &place, found).accepts(accepts));
            None
        }
    }
}

fn unless(walk: &Walker<'_>, node: &Node, findings: &mut Findings) -> Option<PUnless> {
    let one = Walker::new(format!("{}: an entry of `unless`", walk.what()), node, findings)?;
    let stated = one.need_text("stated", "the word that farm.yaml states", findings);
    let words = one.need_text("words", "what it says", findings);
    let by = one.need_text("by", "who may say so", findings);
    let one_year = one.yes_no("one_year", findings).is_some_and(|yes| yes.value);
    let once_in = once_in(&one, one_year, findings);
    let with_most = one.yes_no("with_most", findings).is_some_and(|yes| yes.value);
    one.need("then", "what the row then says", findings);
    let then = one.block("then", format!("{}: `then`", one.what()), findings).and_then(|block| {
        let said = says(&block, findings);
        block.finish(findings);
        said
    });
    one.finish(findings);
    Some(PUnless {
        stated: key_of(&stated?.value),
        words: words?.value,
        by: by?.value,
        one_year,
        once_in,
        with_most,
        then: then?,
    })
}

/// One year of so many; it goes with a statement of one year.
fn once_in(one: &Walker<'_>, one_year: bool, findings: &mut Findings) -> Option<u16> {
    let years = number(one, "once_in", (1.0, 10.0), findings)??;
    if one_year && years.fract() == 0.0 {
        return Some(years as u16);
    }
    let found = format!("{}: `once_in` is {years}", one.what());
    let accepts = "whole years, 2 to 10, beside `one_year: \"yes\"`";
    findings.push(Finding::error("reference", one.place(), found).accepts(accepts));
    None
}

/// A number over the first bound and up to the second, where there is one; none where
/// it was refused.
fn number(
    walk: &Walker<'_>,
    key: &'static str,
    (over, up_to): (f64, f64),
    findings: &mut Findings,
) -> Option<Option<f64>> {
    if walk.ask(key).is_none() {
        return Some(None);
    }
    let accepts = format!("a number over {over}, up to {up_to}");
    let number = walk.need_number(key, &accepts, findings)?;
    if number.value > over && number.value <= up_to {
        return Some(Some(number.value));
    }
    let found = format!("{}: `{key}` is {}", walk.what(), units::trimmed(number.value));
    findings.push(Finding::error("reference", &number.place, found).accepts(accepts));
    None
}

/// One word of a list with what it stands for.
fn word_of<T: Copy>(word: At<String>, what: &str, known: &[(&'static str, T)], findings: &mut Findings) -> Option<T> {
    let words: Vec<&'static str> = known.iter().map(|(word, _)| *word).collect();
    let named = |word: &str| known.iter().find(|(own, _)| *own == word).map(|(_, value)| *value);
    choice(word, what, &words, named, findings).map(|at| at.value)
}

/// A word, or a list of words; any word where none are named.
fn words(walk: &Walker<'_>, key: &'static str, known: &[&'static str], findings: &mut Findings) -> Vec<String> {
    let Some(node) = walk.ask(key) else { return Vec::new() };
    let all: Vec<At<String>> = match &node.kind {
        Kind::List(_) => walk.words(key, findings),
        _ => walk.text(key, findings).into_iter().collect(),
    };
    let named = |word: &str| (known.is_empty() || known.contains(&word)).then(|| key_of(word));
    let what = format!("word for `{key}`");
    all.into_iter().filter_map(|word| choice(word, &what, known, named, findings)).map(|word| word.value).collect()
}
