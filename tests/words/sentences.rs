//! Where a person meets a sentence of the program: string literals, the page
//! templates, the words of the tables, the texts of the repository.

use std::path::Path;

/// Words that a person may read, and where they are written.
pub(super) struct Sentence {
    pub(super) file: String,
    pub(super) line: usize,
    pub(super) text: String,
}

/// Every sentence of the program.
pub(super) fn all() -> Vec<Sentence> {
    let mut all = Vec::new();
    for (file, text) in files(&["src", "reference", "README.md", "fields/README.md"]) {
        let end = file.rsplit('.').next().unwrap_or_default();
        all.extend(match end {
            "rs" => of_code(&file, &text),
            "html" | "svg" => of_page(&file, &text),
            "yaml" if file.starts_with("reference/") => of_figures(&file, &text),
            "yaml" | "md" | "geojson" => of_text(&file, &text),
            _ => Vec::new(),
        });
    }
    all
}

/// The files below some places of the repository, by name.
fn files(places: &[&str]) -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut waiting: Vec<_> = places.iter().map(|p| root.join(p)).collect();
    let mut found = Vec::new();
    while let Some(path) = waiting.pop() {
        if path.is_dir() {
            waiting.extend(std::fs::read_dir(&path).unwrap().map(|e| e.unwrap().path()));
        } else if let Ok(text) = std::fs::read_to_string(&path) {
            let name = path.strip_prefix(root).unwrap().components().map(|c| c.as_os_str().to_string_lossy());
            found.push((name.collect::<Vec<_>>().join("/"), text));
        }
    }
    found.sort();
    found
}

fn one(file: &str, line: usize, text: &str) -> Option<Sentence> {
    let words = text.chars().any(char::is_alphabetic);
    words.then(|| Sentence { file: file.to_string(), line, text: text.to_string() })
}

/// The string literals of a Rust file, continued lines put together.
pub(super) fn of_code(file: &str, code: &str) -> Vec<Sentence> {
    let mut found = Vec::new();
    let (mut at, mut line) = (0, 1);
    while let Some(c) = code[at..].chars().next() {
        let rest = &code[at..];
        let length = if rest.starts_with("//") {
            let end = rest.find('\n').unwrap_or(rest.len());
            // What the command line's help says is written as comments.
            if rest.starts_with("///") && file.starts_with("src/cli/args") {
                found.extend(one(file, line, &rest[3..end]));
            }
            end
        } else if let Some((start, close)) = opens(rest) {
            let end = start + if close == "\"" { closes(&rest[start..]) } else { rest[start..].find(&close).unwrap() };
            // An older name of a command still works, and is shown nowhere.
            if !code[..at].ends_with(".alias(") {
                found.extend(one(file, line, &plain(&rest[start..end])));
            }
            end + close.len()
        } else if let Some(escaped) = rest.strip_prefix("'\\") {
            2 + escaped.char_indices().skip(1).find(|(_, c)| *c == '\'').map_or(0, |(i, _)| i + 1)
        } else if rest.starts_with("'\"'") {
            3
        } else {
            c.len_utf8()
        };
        line += rest[..length].matches('\n').count();
        at += length;
    }
    found
}

/// Where the text of a literal begins, and what ends it.
fn opens(rest: &str) -> Option<(usize, String)> {
    if rest.starts_with('"') {
        return Some((1, "\"".to_string()));
    }
    let raw = rest.strip_prefix('r')?;
    let marks = raw.len() - raw.trim_start_matches('#').len();
    raw[marks..].starts_with('"').then(|| (2 + marks, format!("\"{}", "#".repeat(marks))))
}

/// The length of a plain literal up to its closing quote.
fn closes(text: &str) -> usize {
    let mut escaped = false;
    let end = text.char_indices().find(|(_, c)| {
        let ends = *c == '"' && !escaped;
        escaped = *c == '\\' && !escaped;
        ends
    });
    end.map_or(text.len(), |(i, _)| i)
}

/// A literal as it is shown: escapes are spaces, and the name of what is put in is no word.
fn plain(literal: &str) -> String {
    let mut pieces = literal.split('{');
    let first = pieces.next().unwrap_or_default().to_string();
    let shown = pieces.fold(first, |text, piece| text + "{" + piece.find('}').map_or(piece, |end| &piece[end..]));
    shown.replace("\\\n", " ").replace("\\n", " ").replace("\\\"", "\"").replace("\\u{a0}", " ")
}

/// The text between the tags of a template.
pub(super) fn of_page(file: &str, page: &str) -> Vec<Sentence> {
    let mut found = Vec::new();
    for (i, line) in page.lines().enumerate() {
        let mut text = String::new();
        let mut rest = line;
        while let Some(c) = rest.chars().next() {
            let close = [("{{", "}}"), ("{%", "%}"), ("<", ">")].iter().find(|(open, _)| rest.starts_with(open));
            let length = match close {
                Some((_, close)) => rest.find(close).map_or(rest.len(), |end| end + close.len()),
                None => c.len_utf8(),
            };
            text.push_str(if close.is_some() { "|" } else { &rest[..length] });
            rest = &rest[length..];
        }
        found.extend(one(file, i + 1, &text));
    }
    found
}

/// Keys of a figure that quote or name somebody else's text.
const QUOTED: &[&str] = &["quote", "title", "at", "publisher", "author", "authors", "id", "name", "url"];

/// The words of the tables that are the program's own.
pub(super) fn of_figures(file: &str, figures: &str) -> Vec<Sentence> {
    let lines = figures.lines().enumerate().filter(|(_, l)| !l.trim_start().starts_with('#'));
    let own = lines.filter(|(_, l)| {
        let key = l.trim_start().trim_start_matches("- ").split(':').next().unwrap_or_default();
        !QUOTED.contains(&key)
    });
    own.filter_map(|(i, l)| one(file, i + 1, l)).collect()
}

/// A text by its paragraphs, so that a phrase over a line's end is found too.
fn of_text(file: &str, text: &str) -> Vec<Sentence> {
    let mut found = Vec::new();
    let mut line = 1;
    for paragraph in text.split("\n\n") {
        let words = paragraph.replace("\n#", "\n").replace("\n    #", "\n");
        found.extend(one(file, line, &words));
        line += paragraph.matches('\n').count() + 2;
    }
    found
}
