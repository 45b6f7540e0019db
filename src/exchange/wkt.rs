//! The text of a `.prj` as a tree: `NAME["text", 1.0, INNER[...]]`. Both forms of well-known text
//! (OGC 01-009 and ISO 19162) are built like that.

/// Deepest nesting that is read; a projection needs four levels.
const DEEPEST: usize = 16;

/// One bracket of the text.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Wkt {
    /// The word before the bracket, in capitals.
    pub(super) word: String,
    /// The texts in it.
    pub(super) texts: Vec<String>,
    /// The numbers in it.
    pub(super) numbers: Vec<f64>,
    /// The brackets in it.
    pub(super) inner: Vec<Wkt>,
}

impl Wkt {
    /// Reads a text; `None` when its form is broken. Some offices' files have the heights' system
    /// behind a comma after that of the ground.
    pub(super) fn read(text: &str) -> Option<Wkt> {
        let mut rest = text.trim();
        let tree = bracket(&mut rest, 0)?;
        if let Some(after) = rest.trim_start().strip_prefix(',') {
            rest = after;
            let beside = bracket(&mut rest, 0)?;
            if !beside.word.starts_with("VERT") {
                return None;
            }
        }
        rest.trim().is_empty().then_some(tree)
    }

    /// The first bracket directly in it that has one of these words.
    pub(super) fn get(&self, words: &[&str]) -> Option<&Wkt> {
        self.inner.iter().find(|inner| words.contains(&inner.word.as_str()))
    }

    /// Its first number.
    pub(super) fn number(&self) -> Option<f64> {
        self.numbers.first().copied().filter(|number| number.is_finite())
    }

    /// Its first text.
    pub(super) fn name(&self) -> &str {
        self.texts.first().map_or("", String::as_str)
    }
}

fn bracket(rest: &mut &str, depth: usize) -> Option<Wkt> {
    let open = rest.find(['[', '('])?;
    let (word, after) = rest.split_at(open);
    let mut node = Wkt { word: word.trim().to_ascii_uppercase(), ..Wkt::default() };
    if depth > DEEPEST || node.word.is_empty() || !node.word.chars().all(|c| c.is_ascii_alphanumeric() || c == '_') {
        return None;
    }
    *rest = after.get(1..)?;
    loop {
        *rest = rest.trim_start();
        match rest.chars().next()? {
            ']' | ')' => {
                *rest = rest.get(1..)?;
                return Some(node);
            }
            ',' => *rest = rest.get(1..)?,
            '"' => {
                node.texts.push(quoted(rest)?);
            }
            _ => {
                let end = rest.find([',', '[', ']', '(', ')', '"'])?;
                if rest.get(end..)?.starts_with(['[', '(']) {
                    node.inner.push(bracket(rest, depth + 1)?);
                } else {
                    let word = rest.get(..end)?.trim();
                    match word.parse::<f64>() {
                        Ok(number) => node.numbers.push(number),
                        // A bare word, as in AXIS["Easting",EAST].
                        Err(_) => node.texts.push(word.to_string()),
                    }
                    *rest = rest.get(end..)?;
                }
            }
        }
    }
}

/// A text in quotes; a quote in it is written twice.
fn quoted(rest: &mut &str) -> Option<String> {
    let mut text = String::new();
    while let Some(after) = rest.strip_prefix('"') {
        let (own, after) = after.split_once('"')?;
        if !text.is_empty() || own.is_empty() && after.starts_with('"') {
            text.push('"');
        }
        text.push_str(own);
        *rest = after;
    }
    Some(text)
}
