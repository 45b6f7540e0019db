//! `sward compare A B`.

use crate::cli::args::CompareArgs;
use crate::cli::exit::Exit;
use crate::cli::{load, out};
use crate::pipeline::Folder;
use crate::plan;
use crate::write;

pub(super) fn run(args: &CompareArgs) -> Exit {
    let mut plans = Vec::new();
    for (letter, path) in [("A", &args.a), ("B", &args.b)] {
        let folder = Folder::at(path);
        match load::question(folder, &args.basis).plan() {
            Ok(planned) => plans.push(planned),
            Err(findings) => {
                if !args.json {
                    out::say(&format!("{letter}, {}: there is no plan\n\n", path.display()));
                }
                return load::refuse(&findings, folder.path().unwrap_or(path), args.json);
            }
        }
    }
    let [a, b] = plans.as_slice() else { return Exit::Errors };
    let differs = plan::differences(a.audited.plan(), b.audited.plan());
    let (name_a, name_b) = (args.a.display().to_string(), args.b.display().to_string());
    out::result(&if args.json {
        write::compared_json(&differs, &name_a, &name_b)
    } else {
        write::compared(&differs, &name_a, &name_b, out::width())
    });
    Exit::Done
}
