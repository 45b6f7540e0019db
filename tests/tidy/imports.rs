//! What each source file uses of the others, read from its text: imports, also
//! grouped ones, and paths that are written out where they are used.

use std::collections::{BTreeMap, BTreeSet};

/// The path of a module or of what stands in it.
pub(crate) type Path = Vec<String>;

/// One path that a file names.
pub(crate) struct Import {
    /// Where it leads, from the crate's root.
    pub(crate) to: Path,
    /// Whether the file only hands it on to others (`pub use`).
    pub(crate) handed_on: bool,
    /// The line it stands in.
    pub(crate) line: usize,
}

/// Source files and what they import.
pub(crate) struct Crate {
    files: BTreeMap<Path, File>,
}

struct File {
    name: String,
    imports: Vec<Import>,
}

impl Crate {
    /// Reads sources, each with its name, such as `src/farm/mod.rs`.
    pub(crate) fn read(sources: &[(String, String)]) -> Crate {
        let modules: BTreeSet<Path> = sources.iter().map(|(name, _)| module(name)).collect();
        let file = |(name, text): &(String, String)| {
            let file = File { name: name.clone(), imports: imports(&module(name), text, &modules) };
            (module(name), file)
        };
        Crate { files: sources.iter().map(file).collect() }
    }

    /// What a file imports.
    pub(crate) fn imports(&self, name: &str) -> &[Import] {
        self.files.get(&module(name)).map_or(&[], |file| file.imports.as_slice())
    }

    /// The circles of files inside a room: each of their files uses all of the
    /// others, directly or by way of more files of the room.
    pub(crate) fn circles(&self, room: &str) -> Vec<Vec<&str>> {
        let files: Vec<&Path> = self.files.keys().filter(|path| path.first().is_some_and(|own| own == room)).collect();
        let uses: BTreeMap<&Path, BTreeSet<&Path>> = files.iter().map(|path| (*path, self.used_by(path))).collect();
        let reached: BTreeMap<&Path, BTreeSet<&Path>> = files.iter().map(|path| (*path, reach(path, &uses))).collect();
        let mut circles: BTreeSet<Vec<&str>> = BTreeSet::new();
        for path in files.iter().filter(|path| reached[**path].contains(**path)) {
            let back = reached[*path].iter().filter(|other| reached[**other].contains(*path));
            circles.insert(back.map(|other| self.files[*other].name.as_str()).collect());
        }
        circles.into_iter().collect()
    }

    /// The files of its room that a file uses; handing on is no use.
    fn used_by<'a>(&'a self, path: &'a Path) -> BTreeSet<&'a Path> {
        let imports = self.files[path].imports.iter().filter(|import| !import.handed_on);
        let files = imports.filter_map(|import| self.file_of(&import.to, 0));
        files.filter(|file| *file != path && file.first() == path.first()).collect()
    }

    /// The file in which a path's last part is written, also when others hand it on.
    fn file_of(&self, to: &[String], depth: usize) -> Option<&Path> {
        if let Some((path, _)) = self.files.get_key_value(to) {
            return Some(path);
        }
        let (last, parent) = to.split_last()?;
        let Some((path, file)) = self.files.get_key_value(parent) else { return self.file_of(parent, depth) };
        let on = file.imports.iter().find(|import| import.handed_on && import.to.last() == Some(last));
        match on.filter(|_| depth < 6) {
            Some(import) => self.file_of(&import.to, depth + 1),
            None => Some(path),
        }
    }
}

/// Everything that is reached from a file along what is used.
fn reach<'a>(from: &'a Path, uses: &BTreeMap<&'a Path, BTreeSet<&'a Path>>) -> BTreeSet<&'a Path> {
    let mut reached = BTreeSet::new();
    let mut open: Vec<&Path> = vec![from];
    while let Some(path) = open.pop() {
        let next = uses.get(path).into_iter().flatten();
        open.extend(next.copied().filter(|next| reached.insert(*next)));
    }
    reached
}

/// The module that a file is.
fn module(name: &str) -> Path {
    let inner = name.trim_start_matches("src/").trim_end_matches(".rs");
    let parts = inner.split('/').filter(|part| !["mod", "lib"].contains(part));
    parts.map(str::to_string).collect()
}

/// The paths that a text names, from the crate's root.
fn imports(module: &Path, text: &str, modules: &BTreeSet<Path>) -> Vec<Import> {
    let (mut rest, mut found) = (String::new(), Vec::new());
    let mut lines = text.lines().map(|line| line.split("//").next().unwrap_or("")).enumerate();
    while let Some((at, line)) = lines.next() {
        let Some((handed_on, tree)) = use_in(line) else {
            rest.push_str(line);
            rest.push('\n');
            continue;
        };
        rest.push('\n');
        let mut tree = tree.to_string();
        while !tree.contains(';') {
            let Some((_, line)) = lines.next() else { break };
            rest.push('\n');
            tree.push_str(line);
        }
        let mut paths = Vec::new();
        expand(&[], tree.split(';').next().unwrap_or(""), &mut paths);
        let absolute = paths.iter().filter_map(|path| absolute(module, path, modules));
        found.extend(absolute.map(|to| Import { to, handed_on, line: at + 1 }));
    }
    for (at, line) in rest.lines().enumerate() {
        let inline = inline(line).into_iter().filter_map(|path| absolute(module, &path, modules));
        found.extend(inline.map(|to| Import { to, handed_on: false, line: at + 1 }));
    }
    found
}

/// The tree of a line that imports, and whether it hands on.
fn use_in(line: &str) -> Option<(bool, &str)> {
    let line = line.trim_start();
    let bare = line.strip_prefix("pub").map(|rest| rest.split_once(')').map_or(rest, |(_, rest)| rest).trim_start());
    match bare.and_then(|rest| rest.strip_prefix("use ")) {
        Some(tree) => Some((true, tree)),
        None => Some((false, line.strip_prefix("use ")?)),
    }
}

/// Every path of a tree of imports.
fn expand(before: &[String], tree: &str, paths: &mut Vec<Path>) {
    let Some((path, group)) = tree.split_once('{') else {
        let path = tree.split(" as ").next().unwrap_or("");
        let parts = path.split("::").map(str::trim).filter(|part| !part.is_empty() && *part != "self");
        let own = if path.trim().starts_with("self::") { vec!["self".to_string()] } else { Vec::new() };
        let whole: Path = before.iter().cloned().chain(own).chain(parts.map(str::to_string)).collect();
        if !tree.trim().is_empty() {
            paths.push(whole);
        }
        return;
    };
    let path = path.split("::").map(str::trim).filter(|part| !part.is_empty());
    let before: Path = before.iter().cloned().chain(path.map(str::to_string)).collect();
    let inner = group.rsplit_once('}').map_or(group, |(inner, _)| inner);
    let (mut depth, mut start) = (0, 0);
    for (at, c) in inner.char_indices().chain([(inner.len(), ',')]) {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 0 => {
                expand(&before, &inner[start..at], paths);
                start = (at + 1).min(inner.len());
            }
            _ => {}
        }
    }
}

/// Paths that a line of code writes out.
fn inline(line: &str) -> Vec<Path> {
    let part = |c: char| c.is_alphanumeric() || c == '_' || c == ':';
    let words = line.split(|c| !part(c)).filter(|word| word.contains("::"));
    words.map(|word| word.split("::").filter(|p| !p.is_empty()).map(str::to_string).collect()).collect()
}

/// A path from the crate's root; none where it leads out of the crate.
fn absolute(module: &Path, path: &[String], modules: &BTreeSet<Path>) -> Option<Path> {
    let (first, rest) = path.split_first()?;
    let under = |base: &[String]| base.iter().chain(rest).cloned().collect();
    match first.as_str() {
        "crate" => Some(rest.to_vec()),
        "self" => Some(under(module)),
        "super" => Some(under(module.split_last()?.1)),
        _ => {
            let child: Path = module.iter().chain([first]).cloned().collect();
            modules.contains(&child).then(|| under(&child))
        }
    }
}
