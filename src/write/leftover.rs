//! What the leftover means, on a terminal.

use crate::plan::answer::{LeftLot, Leftover, Plan};
use crate::units::number_text;
use crate::write::page::{Page, or_dash, tons, whole};

pub(super) fn leftover(page: &mut Page, plan: &Plan) {
    let left = &plan.leftover;
    if left.pounds.0 == 0 {
        page.line("Nothing is left over.");
        return;
    }
    let mut line = format!("Left over: {} = {} tons.", left.pounds, tons(left.pounds));
    if let Some(value) = left.sale_value.filter(|value| *value > 0.0) {
        line.push_str(&format!(" Sold at the shed it brings ${}.", whole(value)));
    }
    if left.acres_more > 0.0 {
        line.push_str(&format!(
            " At this plan's average of {} tons/ac it would cover {} acres of other ground; until then keep it dry{}.",
            number_text(left.average_rate, 2),
            whole(left.acres_more),
            if left.lots.iter().all(|lot| lot.where_to.is_some()) { "" } else { " or sell it" }
        ));
    }
    if left.acres_wanting > 0.0 {
        line.push_str(&format!(
            " {} acres of this farm could take more of a lot that runs out.",
            whole(left.acres_wanting)
        ));
    }
    page.say(line);
    for lot in &left.lots {
        if let Some(where_to) = &lot.where_to {
            page.say(format!("Lot {}, {} tons: {where_to}", lot.lot, tons(lot.pounds)));
        }
    }
    outside(page, left);
}

/// Ground elsewhere: acres, worth and miles of each lot.
fn outside(page: &mut Page, left: &Leftover) {
    let Some(like) = &left.like else { return };
    page.say(format!(
        "On ground elsewhere like {} ({}, {}, {} tons/ac: it needs {} lb/ac N and carries off {} P2O5, {} K2O):",
        like.field,
        like.forage,
        like.usage,
        number_text(like.goal, 2),
        whole(like.n),
        whole(like.p2o5),
        whole(like.k2o)
    ));
    let shown = |v: Option<f64>, decimals| or_dash(v.map(|v| number_text(v, decimals)));
    let row = |lot: &LeftLot| {
        vec![
            lot.lot.clone(),
            tons(lot.pounds),
            shown(lot.rate_by_p2o5, 2),
            shown(lot.acres_by_p2o5, 0),
            shown(lot.rate_by_n, 2),
            shown(lot.acres_by_n, 0),
            shown(lot.worth, 2),
            shown(lot.break_even_miles, 0),
        ]
    };
    let all = (left.lots.len() > 1).then(|| {
        let (by_p, by_n) = (shown(left.acres_by_p2o5, 0), shown(left.acres_by_n, 0));
        ["Together", &tons(left.pounds), "", &by_p, "", &by_n, "", ""].map(String::from).to_vec()
    });
    let heads = [
        "Lot",
        "Tons\nleft>",
        "Tons/ac by\nP2O5 removed>",
        "Acres>",
        "Tons/ac by\nN needed>",
        "Acres>",
        "Worth\n$/ton>",
        "Break-\neven mi>",
    ];
    page.table_of(&heads, &[14, 9, 13, 8, 11, 8, 8, 9], left.lots.iter().map(row).chain(all));
    remarks(page, left);
}

fn remarks(page: &mut Page, left: &Leftover) {
    if left.lots.iter().any(|l| l.worth.is_some()) {
        page.say(
            "Worth is what the crop there uses at the P2O5 it carries off, by `prices`. Miles: worth less loading and spreading, over the cost of a ton-mile.",
        );
        let never: Vec<&str> =
            left.lots.iter().filter(|l| l.break_even_miles == Some(0.0)).map(|l| l.lot.as_str()).collect();
        if !never.is_empty() {
            page.say(format!(
                "Never worth hauling, since loading and spreading cost more than it is worth: {}.",
                never.join(", ")
            ));
        }
    }
    if let Some(room) = left.room {
        let mut line = format!("Storage holds {} tons", number_text(room, 2));
        if left.over.0 > 0 {
            line.push_str(&format!(": {} tons of what is left in it must leave", tons(left.over)));
        } else if left.stored.0 > 0 {
            line.push_str(&format!(": the {} tons left in it fit", tons(left.stored)));
        }
        let outside = left.pounds - left.stored;
        if outside.0 > 0 {
            line.push_str(&format!("; {} tons are left in lots that no storage is named for", tons(outside)));
        }
        page.say(format!("{line}."));
    }
    match (&left.keeps, left.next_year) {
        (Some(keeps), Some(value)) => page.say(format!(
            "Carried over, {} worth ${} next year on such ground, with {} % of its N left ({}, {}).",
            if left.over.0 > 0 { "all of it, with what must leave, would be" } else { "it is" },
            whole(value),
            whole(keeps.percent),
            keeps.by,
            keeps.on
        )),
        (None, _) if left.lots.iter().any(|l: &LeftLot| l.worth.is_some()) => page.say(
            "What it is worth next year is left out: there is no published share of nitrogen lost. `carry_over:` in farm.yaml takes yours.",
        ),
        _ => {}
    }
}
