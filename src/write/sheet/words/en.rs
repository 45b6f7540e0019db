//! Every word of the field sheets, in English. The compiler holds that each
//! one is there, is used, and has its blanks filled; another language is
//! another file with these names.

use super::line::{Line, kept};
use std::fmt::Display;

/// Words without blanks.
macro_rules! words {
    ($($name:ident = $text:literal;)*) => { $(pub(in crate::write) const $name: &str = $text;)* };
}

/// Words with blanks.
macro_rules! filled {
    ($($name:ident($($blank:ident),+) = $text:literal;)*) => {
        $(pub(in crate::write) fn $name($($blank: impl Display),+) -> String { format!($text) })*
    };
}

/// Words with blanks and `<b>`, `<small>` or `<i>` in them.
macro_rules! marked {
    ($($name:ident($($blank:ident),*) = $text:literal;)*) => {
        $(pub(in crate::write) fn $name($($blank: impl Display),*) -> Line {
            $(let $blank = kept(&$blank.to_string());)*
            Line::marked(&format!($text))
        })*
    };
}

// On the map.
words! {
    SPREAD_HERE = "SPREAD";
    NO_LITTER = "NO LITTER";
    NO_SPREAD_HERE = "NO SPREAD";
    GATE_HERE = "gate";
    STACK_HERE = "stack";
    GATE_LETTER = "G";
    STACK_LETTER = "S";
    NORTH = "N";
    THEN = ", then ";
    ONE_RUN = "1 run";
    OF_SPREADING_1 = " of spreading 1";
}
filled! {
    acres(acres) = "{acres} ac";
    feet(feet) = "{feet} ft";
    stack_of(lot) = "{lot} stack";
    stack_miles(lot, miles) = "{lot} stack, {miles} mi";
    map_of(id, name, acres) = "Map of {id} {name}: {acres} acres to spread, north up";
    runs(count) = "{count} runs";
    one_heading(heading, runs) = "{heading} deg, {runs}";
    some_headings(runs, headings) = "{runs}: {headings} deg";
    many_headings(runs, pieces, heading) = "{runs} in {pieces} pieces, mostly {heading} deg";
}

// At the head and the foot of every sheet.
words! {
    DECIDE = "Local codes and the certified planner decide.";
    STOP = "STOP";
    STOP_SIGN = "Stop";
}
filled! {
    title(farm, span) = "Field sheets: {farm}, {span}";
    rules_of(farm, place) = "{farm} · rules of {place}";
    plan_of(span, day) = "Plan {span}, as of {day}";
}
marked! {
    emergency() = "<i>Emergency</i> <b>911</b>";
    call(part, name) = "<i>{part}</i> <b>{name}</b>";
    call_at(part, name, phone) = "<i>{part}</i> <b>{name}</b> <b>{phone}</b>";
}

// The cover.
words! {
    FIELD_SHEETS = "Field sheets";
    THE_WORK = "The work, in the order the days open";
    SHEET = "Sheet";
    DAYS = "Days";
    FIELD = "Field";
    LOT = "Lot";
    TONS_AC = "Tons/ac";
    ACRES = "Acres";
    TONS = "Tons";
    LOADS = "Loads";
    ANALYSIS = "Analysis";
    DONE = "Done";
    ALL = "All";
    SAMPLE_FIRST = "sample first";
    GOOD = "good";
    BY_LOT = "Litter, tons by lot";
    STORED = "Stored";
    ON_HAND = "On hand";
    ON_HAND_TONS = "On hand, tons";
    TO_SPREAD = "To spread";
    TO_SPREAD_TONS = "To spread, tons";
    LEFT_AFTER = "Left after";
    LEFT_AFTER_TONS = "Left after, tons";
    GOOD_THROUGH = "Analysis good through";
    STACK = "Stack";
    NOT_ANALYZED = "not analyzed";
    NOT_DRAWN = "not drawn";
    NEVER_CALIBRATED = "no calibration on file";
    IF_SPILLED = "If litter spills (common practice)";
}
/// What to do when litter spills: common practice.
pub(in crate::write) const SPILL: [&str; 5] = [
    "Stop the spreader and the truck. Warn traffic.",
    "Contain it: bank soil or hay around it.",
    "Keep it out of ditches, drains, streams, ponds and wells.",
    "Call the grower. In an emergency call 911. Ask at once whether the state must be notified.",
    "Scrape it up dry, put it back on the stack, write it down.",
];
filled! {
    litter_to_spread(span, place) = "Litter to spread, {span}, {place}";
    litter_in_county(span, county, place) = "Litter to spread, {span} · {county} County, {place}";
    fields_with(with, without) = "{with} fields get litter, {without} get none";
    up_to(day) = "to {day}";
    certificate(name, part, number) = "Certificate of {name}, {part}: {number}.";
    calibrated(day) = "last calibrated {day}";
    in_tons(tons) = "{tons} tons";
}
marked! {
    field(id, name) = "<b>{id}</b> {name}";
    lot_of(lot, kind) = "<b>{lot}</b>, {kind}";
    spreader(name, load, swath, calibrated) = "<b>Spreader:</b> {name}, load {load}, swath {swath}, {calibrated}.";
    decides(decides) = "<b>Who decides here:</b> {decides} These sheets do not replace local codes or the certified planner.";
}

// What to take care of, and the fields that get none.
words! {
    TAKE_CARE = "Take care";
    RECORD = "What the record must include";
    AGREED = "Agreed before the first load (common practice)";
    WITHOUT = "No litter on these fields";
    ACRES_IN_ALL = "Acres in all";
    WHY_NONE = "Why none";
    WOULD_CHANGE = "What would change it";
    CALL_BEFORE = "No litter goes on these fields under this plan. Call before a load is opened at one of them.";
    FROM_MEMORY = " (from memory, not read in its source)";
    COMMON_PRACTICE = " (common practice)";
}
pub(in crate::write) const SIGN: [&str; 4] = ["Grower", "Date", "Applicator", "Date"];

// The page of a field.
words! {
    TONS_UNIT = "tons";
    PER_ACRE = "per acre";
    SPREAD_ON = "Spread on";
    IN_ALL = "In all";
    LOAD_RUNS = "Load runs";
    SET = "Set";
    DRIVE = "Drive";
    HAUL = "Haul";
    GATE = "Gate";
    CUT = "Cut";
    GRAZED = "Grazed";
    SPREADER = "Spreader";
    WET = "Wet ground";
    NO_GATE = "not drawn: ask the grower";
    NONE_PLANNED = "none planned";
    AROUND = "No spread around";
    KEEP_OFF = "Keep off";
    BLANK = "Left blank: too narrow for the swath";
    ASK = "* Distance from memory, not read in its source. Ask the planner.";
    ON_THIS_FIELD = "On this field";
    WRITE_DOWN = "Write down what was done";
    REMARKS = "Remarks";
    OFF_IT = "off it";
    UNDER = "under 0.01";
    OWN_COUNT = "by the grower's own count";
    STRAIGHT = "in a straight line";
}
/// What is written down of every spreading, with its share of the width.
pub(in crate::write) const WRITTEN: [(&str, f32); 10] = [
    ("Date", 1.15),
    ("Start", 0.9),
    ("Stop", 0.9),
    ("Loads (tally)", 1.7),
    ("Tons", 0.9),
    ("Weather: 24 h before, during, 24 h after", 2.1),
    ("Wind: from, mph", 1.2),
    ("Soil condition", 1.3),
    ("Operator", 1.2),
    ("Initials", 0.8),
];
filled! {
    sheet_of(number, of) = "Sheet {number} of {of}";
    forage(forage, usage, span) = "{forage}, {usage} · {span}";
    good_through(day) = "good through {day}";
    sample(day) =
        "SAMPLE FIRST. This lot's analysis expired {day}. Do not spread on it: sample again and re-run the plan.";
    not_after(day) = "Do not spread after {day} on this analysis: sample again.";
    named(name, kind) = "{name} ({kind})";
    by_road(miles, times) = "by road: {miles} in a straight line x {times}";
    spreading_of(number, of) = "Spreading {number} of {of}, ";
    stored(place) = ", {place}";
}
marked! {
    job_lot(count, season, lot, kind, stored) = "{count}{season} · lot <b>{lot}</b>, {kind}{stored}";
    loads(loads, load, last) = "{loads} <small>of {load}, last one {last}</small>";
    load_runs(feet, swath) = "{feet} ft <small>at {swath} swath</small>";
    with_more(setting, more) = "{setting} <small>{more}</small>";
    haul(miles, way) = "{miles} mi <small>{way}</small>";
    wet(acres) = "{acres} ac poorly drained <small>by the soil map</small>";
    ground(gross) = "<b>Spread</b>, of {gross} acres in the field";
    lines() = "<b>Runs</b> from arrow to square";
    lines_and_loads(whose) = "<b>Runs</b> from arrow to square; 1: load 1{whose} runs out here";
}
