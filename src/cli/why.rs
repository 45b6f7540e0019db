//! `sward why FIELD`.

use crate::cli::args::WhyArgs;
use crate::cli::exit::Exit;
use crate::cli::{load, out};
use crate::findings::nearest;
use crate::write;

pub(super) fn run(args: &WhyArgs) -> Exit {
    let planned = match load::planned(&args.folder, &args.basis, args.json) {
        Ok(planned) => planned,
        Err(exit) => return exit,
    };
    let plan = planned.audited.plan();
    let Some(i) = plan.fields.iter().position(|f| f.id.eq_ignore_ascii_case(&args.field)) else {
        let ids: Vec<&str> = plan.fields.iter().map(|f| f.id.as_str()).collect();
        let near =
            nearest(&args.field, ids.iter().copied()).map_or(String::new(), |n| format!("; did you mean `{n}`?"));
        out::say(&format!("no field is called `{}`{near}\nfields: {}\n", args.field, ids.join(", ")));
        return Exit::Usage;
    };
    let (field, balance) = (&plan.fields[i], &planned.balance.fields[i]);
    out::result(&if args.json { write::why_json(field, balance) } else { write::why(field, balance, out::width()) });
    Exit::Done
}
