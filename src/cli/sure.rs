//! `sward sure`.

use crate::cli::args::SureArgs;
use crate::cli::exit::Exit;
use crate::cli::{load, out};
use crate::plan;
use crate::text::same_name;
use crate::write;

pub(super) fn run(args: &SureArgs) -> Result<Exit, Exit> {
    let planned = load::reported(&args.farm)?;
    let plan = planned.audited.plan();
    let ids = || plan.fields.iter().map(|field| field.id.as_str());
    let only = match &args.field {
        None => None,
        Some(name) => {
            let named = ids().find(|id| same_name(id, name));
            Some(named.ok_or_else(|| load::unknown("no field is called", name, "fields", ids()))?)
        }
    };
    let sure = plan::how_sure(&planned.ready, &planned.tables, &planned.balance, plan, only);
    let Some(sure) = sure else { return Err(load::no_tables(&planned.tables, &plan.place)) };
    out::result(&if args.farm.json { write::sure_json(&sure) } else { write::sure(&sure, out::width()) });
    Ok(Exit::Done)
}
