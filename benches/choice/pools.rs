//! The pool of a farm folder as the program makes it, with its bills, and the program's own search on
//! it: to the gap, and with the effort, of the product.

use crate::case_of;
use jiff::civil::Date;
use std::path::Path;
use std::time::Instant;
use sward::pipeline::{Day, Folder, Question};
use sward::plan::{LeastCost, asked, pool_of};
use sward::solve::{check, solve};

/// Writes the pool of a folder as of a day, and what the search made of it.
pub fn write(out: &Path, folder: &Path, today: Date) {
    let question = Question::of(Folder::at(folder), Day::Stated { today });
    let weighed = question.open().check().weigh().unwrap_or_else(|found| panic!("{}: {found:?}", folder.display()));
    let problem = asked(&weighed.ready, &weighed.tables, &weighed.balance);
    let began = Instant::now();
    let pool = pool_of(&problem).expect("the numbers are those of a farm");
    let made = began.elapsed().as_secs_f64();
    let target = LeastCost::default().target;
    let mut least = f64::INFINITY;
    let label = folder.file_name().map_or("farm".into(), |name| name.to_string_lossy());
    for _ in 0..3 {
        let began = Instant::now();
        let answer = solve(&pool, &target).unwrap();
        least = least.min(began.elapsed().as_secs_f64());
        if least > 0.5 {
            assert_eq!(check(&pool, &answer.taken), Ok(answer.worth));
            break;
        }
    }
    let answer = solve(&pool, &target).unwrap();
    let options: usize = pool.iter().map(|group| group.options().count()).sum();
    println!("{label}: {} groups, {options} options, made in {made:.3} s, solved in {least:.3} s", pool.groups());
    case_of(out, &label, &pool, target.gap, (&answer, least));
}
