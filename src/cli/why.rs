//! `sward why FIELD`.

use crate::cli::args::WhyArgs;
use crate::cli::exit::Exit;
use crate::cli::{load, out};
use crate::plan;
use crate::text::same_name;
use crate::write;

pub(super) fn run(args: &WhyArgs) -> Result<Exit, Exit> {
    let planned = load::reported(&args.farm)?;
    let plan = planned.audited.plan();
    let named = plan.fields.iter().find(|f| same_name(&f.id, &args.field));
    let Some((field, balance)) = named.and_then(|field| Some((field, planned.balance.field(&field.id)?))) else {
        let parts = plan.in_parts.iter().flat_map(|all| &all.fields).find(|whole| same_name(&whole.id, &args.field));
        if let Some(whole) = parts {
            let ids: Vec<&str> = whole.parts.iter().map(|part| part.id.as_str()).collect();
            out::say(&format!("field {} is done in parts: ask for {}\n", whole.id, ids.join(" or ")));
            return Err(Exit::Usage);
        }
        let ids = plan.fields.iter().map(|f| f.id.as_str());
        return Err(load::unknown("no field is called", &args.field, "fields", ids));
    };
    let sure = plan::how_sure(&planned.ready, &planned.tables, &planned.balance, plan, Some(&field.id));
    let sure = sure.and_then(|sure| sure.fields.into_iter().next());
    out::result(&if args.farm.json {
        write::why_json(field, balance, sure.as_ref())
    } else {
        let own = sure.map(|sure| write::sure_of_field(&sure, out::width())).unwrap_or_default();
        write::why(field, balance, out::width()) + &own
    });
    Ok(Exit::Done)
}
