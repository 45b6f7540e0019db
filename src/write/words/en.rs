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
    DONE_HERE = "DONE";
    LEFT_HERE = "LEFT TO DO";
    GATE_HERE = "gate";
    STACK_HERE = "stack";
    GATE_LETTER = "G";
    STACK_LETTER = "S";
    NORTH = "N";
    THEN = ", then ";
    ONE_RUN = "1 run";
}
filled! {
    growing_year(field, last) = "{field}, growing year to {last}";
    growing_year_ahead(field, last) = "{field}, growing year to {last}, most of it in another plan";
    line_ends(from, to) = ", from {from} to {to}";
    other_part(id) = "The other part, {id}, has a sheet of its own";
    no_other_part(id) = "The other part, {id}, gets no litter: leave it off";
    acres(acres) = "{acres} ac";
    feet(feet) = "{feet} ft";
    stack_of(lot) = "{lot} stack";
    stack_miles(lot, miles) = "{lot} stack, {miles} mi";
    map_of(id, name, acres) = "Map of {id} {name}: {acres} acres to spread, north up";
    of_spreading(number) = " of spreading {number}";
    runs(count) = "{count} runs";
    one_side(runs, way, feet) = "{runs}: throw to the {way} only, {feet} ft wide";
    two_sides(runs, feet, way, less, other) = "{runs}: throw {feet} ft to the {way} and {less} ft to the {other}";
    a_run(run) = "run {run}";
    runs_to(first, last) = "runs {first} to {last}";
    or_leave(narrow) = "{narrow}, or leave it out";
    many_narrow(count) = "{count} runs cover less than the swath: throw only on what the run before did not reach";
    no_run(way, feet, acres) = "no run on the last {feet} ft at the {way} side: {acres} acres get no litter";
    no_runs(count, acres) = "{count} strips too narrow for a run: {acres} acres get no litter";
    left_for_corners(left) = "{left} left for ground they miss: no thicker there, or bring it back";
    left_for(left, acres) = "{left} left for the {acres} acres they miss: no thicker there, or bring it back";
    thinner(rate, acres) = "at {rate} tons/ac: runs and their overhang make {acres} acres";
    taken(tons, more) = "Runs take {tons}, {more}";
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
    TO_COME = "To come";
    TO_COME_TONS = "To come, tons";
    TO_SPREAD = "To spread";
    TO_SPREAD_TONS = "To spread, tons";
    LEFT_AFTER = "After spreading";
    LEFT_AFTER_TONS = "After spreading, tons";
    GOOD_THROUGH = "Analysis good through";
    STACK = "Stack";
    NOT_ANALYZED = "not analyzed";
    NO_LAST_DAY = "no last day set";
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
    fields_with(with, without) = "Fields that get litter: {with}; that get none: {without}";
    and_more(more) = "and {more} more: `sward check` names them";
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
    APPLIED = " (printed for another case)";
}
pub(in crate::write) const SIGN: [&str; 4] = ["Grower", "Date", "Applicator", "Date"];

// The page of a field.
words! {
    TONS_UNIT = "tons";
    PER_ACRE = "per acre";
    SPREAD_ON = "Spread on";
    IN_ALL = "In all";
    LOAD_RUNS = "Load runs";
    RUNS_TAKE = "Runs take";
    SET = "Set";
    DRIVE = "Drive";
    HAUL = "Haul";
    GATE = "Gate";
    CUT = "Cut";
    GRAZED = "Grazed";
    SPREADER = "Spreader";
    WET = "Wet ground";
    IN_PART = "Done in part";
    ONE_PART = "Part of a field";
    NOT_IN_LOG = "Not in the log";
    LEFT = "Left to do";
    NO_GATE = "not drawn: ask the grower";
    ACROSS = "Across water";
    NONE_PLANNED = "none planned";
    DAYS_UNKNOWN = "days unknown: keep stock off after litter, ask the grower";
    AROUND = "No spread around";
    KEEP_OFF = "Keep off";
    BLANK = "Left blank: too narrow for the swath";
    ASK = "* Distance from memory, or printed for another use or place. Ask the planner.";
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
    same_as(field) = "the same as {field}";
    spreading_of(number, of) = "Spreading {number} of {of}, ";
    stored(place) = ", {place}";
}
marked! {
    job_lot(count, season, lot, kind, stored) = "{count}{season} · lot <b>{lot}</b>, {kind}{stored}";
    loads_and_little(loads, load, last, before) =
        "{loads} <small>of {load}, last one only {last} lb: leave it, stop after load {before}</small>";
    loads(loads, load, last) = "{loads} <small>of {load}, last one {last}</small>";
    there_from(tons, day) = "{tons} <small>not before {day}: litter for it is still to come</small>";
    load_runs(feet, swath) = "{feet} ft <small>at {swath} swath</small>";
    with_more(setting, more) = "{setting} <small>{more}</small>";
    with_note(what, note) = "{what} <small>{note}</small>";
    haul(miles, way) = "{miles} mi <small>{way}</small>";
    cut_after(cuttings, days, whose) = "{cuttings} <small>at least {days} after litter, by {whose}</small>";
    apart_from_bag(most) = "No bagged nitrogen on the day of the litter: both together would pass {most} lb/ac at once.";
    across(acres, way, water) = "{acres} ac {way} of the gate side, across {water} <small>no gate is drawn there: ask the grower for the way in</small>";
    stock_waits(days) = "days unknown: keep stock off {days} <small>after litter; ask the grower when they come</small>";
    from_day(tons, day) = "{tons} <small>from {day}</small>";
    wet(acres) = "{acres} ac poorly drained <small>by the soil map</small>";
    ground(gross) = "<b>Spread</b>, of {gross} acres in the field";
    part(done, all, days, until) = "<b>{done} of {all} acres are done</b> ({days}): keep off them until {until}";
    one_part(side, field, acres, runs, feet, from, rest) = "<b>Only the {side} part of {field}, {acres} acres.</b> The line between its parts lies {runs} runs ({feet} ft) from the {from} edge of the ground to spread on{rest}";
    part_of(field, told) = "<b>{field}</b>: {told}";
    done_ground(until) = "<b>Done</b>: keep off until {until}";
    left_before(left, all, until) = "{left} of {all} acres until {until} <small>see the cover; then the job of this sheet, on all of it</small>";
    acres_left(left, all) = "<b>{left} ac left</b>, of {all}";
    lines(whose) = "<b>Runs{whose} cover</b>, arrow to square";
    lines_and_loads(whose) = "<b>Runs cover</b>, arrow to square; 1: load 1{whose} runs out here";
}

/// Words in a row, as the heads of a table; `>` marks one that stands over numbers.
macro_rules! rows_of_words {
    ($($name:ident = $texts:expr;)*) => { $(pub(in crate::write) const $name: &[&str] = &$texts;)* };
}

// The front of the binder, and what frames its sections.
words! {
    MISSING = "MISSING";
    IN_HERE = "What is in here";
    NONE_MISSING = "Nothing on the list is missing or stale.";
    OUTSIDE = " An item marked outside is not kept in the farm folder: the planner looks.";
    FIGURES = "Figures and their sources";
    EVERY_FIGURE = "Every published figure behind the plan. Figures marked memory were not read in their source: check them first. Those marked applied were printed for another use, place or condition, which stands there.";
    WHO_DECIDES = "Who decides, who signs";
    LINE_BY_LINE = "Line by line";
    EVERY_NUMBER = "How every number of every field was reached: the value, then where it comes from.";
    NOT_KEPT = "not kept in the farm folder; write it here";
}
rows_of_words! {
    CONTENTS = ["No.>", "The plan must include", "State", "What is there, or missing"];
    SOURCES = ["Source and place in it", "Figures", "Known"];
}
filled! {
    binder_title(farm, span) = "Plan binder: {farm}, {span}";
    litter_plan(span, day) = "Litter plan, {span}, as of {day}";
    rules(place) = "rules of {place}";
    county_rules(county, place) = "{county} County, rules of {place}";
    required_by(remark, cite) = " {remark}. Required by: {cite}";
}
marked! {
    wanting(count, of) = "<b>{count}</b> of {of} items are missing or stale.";
}

// The binder: people, maps, soils, setbacks and slopes.
words! {
    NO_ADDRESS = "address, which farm.yaml does not keep";
    NO_PLANNER = "name and certificate of the planner";
    ACRES_OF_FIELDS = "Acres of every field";
    NO_SOIL_MAP = "no soils.geojson in the farm folder; put the soil survey's map here";
    NO_SOILS = "no soils.geojson in the farm folder";
    NO_WATER_TABLE = "depth to the water table and flooding, which the farm folder does not keep";
    IN_KEEPOUTS = "keepouts.geojson";
    NO_KEEPOUTS = "nothing drawn in keepouts.geojson";
    KEPT_OFF = "What litter keeps off";
    NO_HOUSE = "no house drawn in keepouts.geojson";
    YES = "yes";
    NO = "no";
}
rows_of_words! {
    PERSON = ["", "Name", "Telephone", "Certificate"];
    REVIEWED_BY = ["Planner", "Date of review"];
    ACRE_HEADS = ["Field", "Acres in all>", "Setbacks>", "Too narrow>", "Spreadable>"];
    SOIL_HEADS = ["Field", "Soil", "Acres>"];
    PROPERTY_HEADS = ["Soil", "Slope", "Drainage", "Hydrologic group", "Water stands"];
    KEEP_HEADS = ["Name", "What it is", "Feet>", "Who says so"];
    SLOPE_HEADS = ["Field", "Slope", "Length", "Soil loss, tons/ac a year>"];
}
filled! {
    farm_at(farm, place) = "Farm: {farm}, {place}.";
    period(first, last) = "{first} to {last}, first and last day included.";
    map_north_up(of) = "Map of {of}, north up";
    mapped_by(by) = "As mapped in soils.geojson, after: {by}.";
    percent(number) = "{number} %";
    percent_by_map(slopes) = "{slopes} (soil map)";
    set_by(by) = "set by {by}";
    but_for(feet, who) = "; {feet} ft but for the consent of {who}";
}

// The binder: tests, forage, goals and sources.
words! {
    AS_ANALYZED = "Pounds per ton, on the laboratory's basis";
    STATED = "stated by the grower";
    BEST_YEARS = "mean of the best of the latest years";
    SURVEYED = "a soil survey's figure";
    FROM_SOILS = "the soils mapped under it, by their acres";
    LITTER = "Litter";
    ANIMALS = "Animals";
    NO_ANIMALS = "no livestock in farm.yaml";
    MADE = "Litter that the houses make";
    TO_BUY = "Fertilizer to buy";
    NONE_NEEDED = "none needed";
}
rows_of_words! {
    TEST_HEADS = ["Field", "Sampled, laboratory", "Extractant", "P>", "Class", "K>", "pH>", "Zinc>", "Copper>"];
    ANALYSIS_HEADS = [
        "Lot",
        "Sampled, laboratory",
        "Basis",
        "Moisture %>",
        "Total N>",
        "Ammonium N>",
        "Phosphorus>",
        "Potassium>",
        "Good through",
    ];
    CROP_HEADS = ["Field", "Forage", "Use", "Cuttings planned", "Grazing planned"];
    GOAL_HEADS = ["Field", "Forage", "Tons/ac, dry hay or grain>", "Where it comes from"];
    LOT_HEADS = ["Lot", "Kind", "From", "Tons on hand>", "To come>", "To spread>", "Left>", "How counted"];
    HERD_HEADS = ["Kind", "Head>", "On"];
    HOUSE_HEADS = ["House", "Tons a year>"];
    PRODUCT_HEADS = ["Product", "N-P2O5-K2O", "Tons>"];
}
filled! {
    new_test(field, why) = "a new soil test of {field}: {why}";
    new_analysis(lot, contents, cite) =
        "a litter analysis of {lot}; the plan takes typical contents, {contents} pounds of N, P2O5 and K2O a ton ({cite})";
    content_as(content, of) = "{content} as {of}";
}

// The binder: budget, limits, ratings and where they lead.
words! {
    BUDGET_UNITS = "Pounds per acre in the plan's year, as far as they count toward the need: nitrogen as it is available. The limits count all. Planned: log and plan together over the days of the limit that leaves the least room. All N on is over the growing years of the plan.";
    NEEDED = "Nutrients needed and what the plan applies";
    RESULT = "The result";
    CHECK_THESE = "Check these:";
    LIMITS = "Limits, phosphorus first";
    EVERY_YEAR = "If every year were like this plan: a straight-line estimate.";
}
rows_of_words! {
    NEED_HEADS = [
        "Field", "Needed: N>", "P2O5>", "K2O>", "On already: N>", "P2O5>", "K2O>", "Litter: N>", "P2O5>", "K2O>",
    ];
    RESULT_HEADS = [
        "Field", "Short: N>", "P2O5>", "K2O>", "Over: N>", "P2O5>", "K2O>", "Carried off: N>", "P2O5>", "K2O>",
    ];
    LIMIT_HEADS = [
        "Field",
        "N allowed>",
        "N planned>",
        "Phosphate by",
        "P2O5 allowed>",
        "P2O5 planned>",
        "Limited by",
        "tons/ac>",
        "Next limit, tons/ac",
        "All N on, available or not>",
    ];
    RISK_HEADS = [
        "Field",
        "Phosphorus rating",
        "Score",
        "Rated with",
        "Rated by",
        "Nitrogen leaching",
        "Phosphate limited by",
        "Soil loss, tons/ac a year>",
    ];
    OUTLOOK_HEADS =
        ["Field", "Soil P", "a year>", "Next class, about", "Phosphate carried off in", "Zinc, lb/ac>", "Copper, lb/ac>"];
}
filled! {
    limit_at(limit, rate) = "{limit} at {rate}";
    rates_with(place, words, source) = "{place} rates with: {words} ({source}).";
    not_rated(fields) =
        "the nitrogen leaching risk of {fields}, which the planner rates: `n_leaching` under `phosphorus_rating`";
    rising(fields) =
        "for {fields}: the soil phosphorus at which these switch to a phosphorus-based rate, and how it is drawn down";
}

// The binder: rates, the calendar, methods and the machine.
words! {
    NO_RATES = "no field gets litter under this plan";
    GET_NONE = "Fields that get none";
    NO_CALENDAR = "a calendar: farm.yaml has no block `days:`";
    CALENDAR = "Calendar, as expected";
    NOTHING_LEFT = "nothing left to spread";
    TO_BUY_FOR_SHORT = "Fertilizer for what is short";
    NONE_SHORT = "none is short";
    NOTHING_SPREAD = "nothing is spread";
    ON_SOD = "spread on top of the sod";
    ON_GROUND = "spread on top of the ground, not worked in";
    LIMITS_TWICE = "Every limit was reached a second time, another way, and every field passed.";
    LAST_PART = "Line by line, field by field: the last part of this binder.";
}
rows_of_words! {
    RATE_HEADS = ["Field", "Lot", "Window", "Tons/ac>", "Acres>", "Tons>", "Loads>"];
    WHY_HEADS = ["Field", "Why"];
    CALENDAR_HEADS = ["From", "To", "Field", "Lot", "Tons>", "Done with 80 % chance", "Window closes"];
    MIX_HEADS = ["Field", "Product", "lb/ac>"];
    METHOD_HEADS = ["Field", "Method"];
}
filled! {
    worked_in(days) = "spread and worked in within {days}";
    machine(name, swath, load, least, most, step) =
        "Spreader: {name}, swath {swath} ft, load {load} tons, even from {least} to {most} tons/ac in steps of {step}.";
}

// The binder: guidance, upkeep, records and signatures.
words! {
    STOP_WHEN = "Stop, or do not start, when:";
    TAKE_CARE_OF = "Take care:";
    FOR_PLANNER = "For the planner:";
    REVIEWED = "Reviewed each year";
    HOW_TO_SET = "How to set it";
    CALIBRATED_AGAIN = "Calibrated again";
    SOIL = "soil";
    LITTER_TEST = "litter";
    SAMPLED_AGAIN = "Sampled again";
    DIFFERED = "Where it differed from the plan";
    EMERGENCY = "In an emergency call 911. Spills: stop, contain, keep it out of water, call the grower, ask at once whether the state must be notified (common practice).";
    RECORD_OF = "A spreading record must include:";
    SPREAD_FORM = "Litter spread";
    HAULED_FORM = "Litter that left the farm";
    NOT_INSTEAD = "This binder does not replace local codes or a licensed or certified planner.";
}
rows_of_words! {
    REVIEW_HEADS = ["Year", "What changed: crops, animals, tests, fields", "Planner", "Date"];
    SET_HEADS = ["Tons/ac>", "Setting"];
    CALIBRATION_HEADS = ["Date", "Setting", "Speed", "Sheet, ft x ft", "Pounds on it", "Tons/ac", "Swath", "By"];
    RETEST_HEADS = ["Field or lot", "Test", "Last sampled"];
    SAMPLE_HEADS = ["Field or lot", "Date", "Laboratory", "By", "Report filed"];
    DIFFER_HEADS = ["Date", "Field", "Planned", "Done", "Why"];
    SPREAD_HEADS = [
        "Date",
        "Field",
        "Lot",
        "Acres",
        "Loads",
        "Tons",
        "From - to",
        "Weather, wind",
        "Rain before, after",
        "Soil",
        "Operator",
    ];
    HAULED_HEADS = ["Date", "To whom, address, telephone", "Lot", "Tons", "Analysis given", "Use", "Hauler", "Signed"];
    SIGN_GROWER = ["Grower", "Date", "Planner", "Date"];
    SIGN_APPLICATOR = ["Applicator", "Date", "", ""];
}
filled! {
    ends(day) = "This plan ends on {day}.";
    last_calibrated(name, day, swath) = "{name}: last calibrated {day}, swath {swath} ft.";
    a_calibration(name) = "a calibration of {name}";
    sampled_expired(sampled, lab, last) = "{sampled}, {lab}; expired {last}";
    sampled_over(sampled, last) = "{sampled}; expired {last}";
    sampled_good(sampled, good) = "{sampled}; good through {good}";
    decides_here(decides) = "Who decides here: {decides}";
}
