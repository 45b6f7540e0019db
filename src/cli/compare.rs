//! `sward compare A B`.

use crate::cli::args::CompareArgs;
use crate::cli::load::Source;
use crate::cli::{Exit, load, out};
use crate::plan;
use crate::write;

pub(super) fn run(args: &CompareArgs) -> Exit {
    let own = args.common.reference.as_ref();
    let mut plans = Vec::new();
    for (letter, path) in [("A", &args.a), ("B", &args.b)] {
        let source = Source::at(path);
        match load::made(source, own) {
            Ok(planned) => plans.push(planned),
            Err(findings) => {
                if !args.common.json {
                    out::say(&format!("{letter}, {}: there is no plan\n\n", path.display()));
                }
                return load::refuse(&findings, source.folder, args.common.json);
            }
        }
    }
    let [a, b] = plans.as_slice() else { return Exit::Errors };
    let differs = plan::differences(a.audited.plan(), b.audited.plan());
    let (name_a, name_b) = (args.a.display().to_string(), args.b.display().to_string());
    out::result(&if args.common.json {
        write::compared_json(&differs, &name_a, &name_b)
    } else {
        write::compared(&differs, &name_a, &name_b, out::width())
    });
    Exit::Done
}
