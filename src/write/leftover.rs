//! What the leftover means, on a terminal.

use crate::plan::answer::{LeftLot, Leftover};
use crate::units::number_text;
use crate::write::page::{drawn, plain, table, tons, widths, wrapped};

pub(super) fn leftover(left: &Leftover, width: usize) -> String {
    if left.pounds.0 == 0 {
        return "Nothing is left over.\n".to_string();
    }
    let mut line = format!("Left over: {} = {} tons.", left.pounds, tons(left.pounds));
    if let Some(value) = left.sale_value {
        line.push_str(&format!(" Sold at the shed it brings ${}.", number_text(value, 0)));
    }
    if left.acres_more > 0.0 {
        line.push_str(&format!(
            " At this plan's average of {} tons/ac it would cover {} acres of other ground; until then keep it dry or sell it.",
            number_text(left.average_rate, 2),
            number_text(left.acres_more, 0)
        ));
    }
    if left.acres_wanting > 0.0 {
        line.push_str(&format!(
            " {} acres of this farm could take more of a lot that runs out.",
            number_text(left.acres_wanting, 0)
        ));
    }
    let mut text = wrapped(&line, "", "  ", width);
    text.push_str(&outside(left, width));
    text
}

/// Ground elsewhere: acres, worth and miles of each lot.
fn outside(left: &Leftover, width: usize) -> String {
    let Some(like) = &left.like else { return String::new() };
    let mut text = String::new();
    let line = format!(
        "On ground elsewhere like {} ({}, {}, {} tons/ac: it needs {} lb/ac N and carries off {} P2O5, {} K2O):",
        like.field,
        like.forage,
        like.usage,
        number_text(like.goal, 2),
        number_text(like.n, 0),
        number_text(like.p2o5, 0),
        number_text(like.k2o, 0)
    );
    text.push_str(&wrapped(&plain(&line), "", "  ", width));
    let head = [
        "Lot",
        "Tons\nleft",
        "Tons/ac by\nP2O5 removed",
        "Acres",
        "Tons/ac by\nN needed",
        "Acres",
        "Worth\n$/ton",
        "Break-\neven mi",
    ];
    let mut t = table(&head, &[1, 2, 3, 4, 5, 6, 7], width);
    widths(&mut t, &[14, 9, 13, 8, 11, 8, 8, 9]);
    let shown = |v: Option<f64>, decimals| v.map_or("-".to_string(), |v| number_text(v, decimals));
    for lot in &left.lots {
        t.add_row(vec![
            plain(&lot.lot),
            tons(lot.pounds),
            shown(lot.rate_by_p2o5, 2),
            shown(lot.acres_by_p2o5, 0),
            shown(lot.rate_by_n, 2),
            shown(lot.acres_by_n, 0),
            shown(lot.worth, 2),
            shown(lot.break_even_miles, 0),
        ]);
    }
    if left.lots.len() > 1 {
        let tons = tons(left.pounds);
        let (by_p, by_n) = (shown(left.acres_by_p2o5, 0), shown(left.acres_by_n, 0));
        t.add_row(["Together", &tons, "", &by_p, "", &by_n, "", ""].map(String::from).to_vec());
    }
    text.push_str(&drawn(&t, 2, width));
    text.push_str(&remarks(left, width));
    text
}

fn remarks(left: &Leftover, width: usize) -> String {
    let mut text = String::new();
    let mut say = |line: &str| text.push_str(&wrapped(&plain(line), "", "  ", width));
    if left.lots.iter().any(|l| l.worth.is_some()) {
        say(
            "Worth is what the crop there uses at the P2O5 it carries off, by `prices`. Miles: worth less loading and spreading, over the cost of a ton-mile.",
        );
        let never: Vec<&str> =
            left.lots.iter().filter(|l| l.break_even_miles == Some(0.0)).map(|l| l.lot.as_str()).collect();
        if !never.is_empty() {
            say(&format!(
                "Never worth hauling, since loading and spreading cost more than it is worth: {}.",
                never.join(", ")
            ));
        }
    }
    if let Some(room) = left.room {
        let over = left.pounds.tons() - room;
        let fits = if over > 0.0 {
            format!("{} tons of it must leave before then", number_text(over, 2))
        } else {
            "all of it fits".to_string()
        };
        say(&format!("There is dry room for {} tons: {fits}.", number_text(room, 2)));
    }
    match (&left.keeps, left.next_year) {
        (Some(keeps), Some(value)) => say(&format!(
            "Carried over, it is worth ${} next year on such ground, with {} % of its N left ({}, {}).",
            number_text(value, 0),
            number_text(keeps.percent, 0),
            keeps.by,
            keeps.on
        )),
        (None, _) if left.lots.iter().any(|l: &LeftLot| l.worth.is_some()) => say(
            "What it is worth next year is left out: there is no published share of nitrogen lost. `carry_over:` in farm.yaml takes yours.",
        ),
        _ => {}
    }
    text
}
