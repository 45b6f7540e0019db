//! The same done to every item, on every core.
//!
//! Lives here: sharing out items that do not wait for each other. Never here:
//! what is done to them.

/// Does `one` to every item; the answers come in the order of the items. A
/// panic in one of them is one here.
pub fn each<T: Sync, U: Send>(items: &[T], one: impl Fn(&T) -> U + Sync) -> Vec<U> {
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    // Dealt in turn: items that take long often stand together.
    let run = |turn: usize| -> Vec<(usize, U)> {
        items.iter().enumerate().skip(turn).step_by(threads).map(|(place, item)| (place, one(item))).collect()
    };
    let mut all = std::thread::scope(|scope| {
        let others: Vec<_> = (1..threads.min(items.len())).map(|turn| scope.spawn(move || run(turn))).collect();
        let mut all = run(0);
        for other in others {
            all.extend(other.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)));
        }
        all
    });
    all.sort_by_key(|(place, _)| *place);
    all.into_iter().map(|(_, answer)| answer).collect()
}

#[cfg(test)]
mod tests {
    use super::each;

    #[test]
    fn answers_come_in_order() {
        for many in [0, 1, 2, 3, 100] {
            let items: Vec<u32> = (0..many).collect();
            assert_eq!(each(&items, |n| n * n), items.iter().map(|n| n * n).collect::<Vec<_>>());
        }
    }
}
