//! A line of words: some plain, some bold, some small, some a link.

/// How a run of words looks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::write) enum Look {
    Plain,
    Bold,
    /// Beside the point.
    Small,
    /// What somebody is, before the name.
    Soft,
    /// The state of something, in a frame.
    Mark,
    /// Leads to this address.
    Link(String),
}

/// Runs of words, spaces included.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(in crate::write) struct Line(pub(in crate::write) Vec<(Look, String)>);

/// Stands for `<` in what a farm says, so that no name is read as a mark.
const LESS: char = '\u{E000}';

/// What a farm says, fit to be put into marked words.
pub(super) fn kept(text: &str) -> String {
    text.replace('<', &LESS.to_string())
}

impl From<String> for Line {
    fn from(text: String) -> Line {
        Line::plain(text)
    }
}

impl Line {
    /// Words with `<b>`, `<small>` and `<i>`, each closed before the next.
    pub(super) fn marked(text: &str) -> Line {
        let mut runs = Vec::new();
        let mut push = |look: Look, words: &str| {
            if !words.is_empty() {
                runs.push((look, words.replace(LESS, "<")));
            }
        };
        let mut rest = text;
        while let Some((before, after)) = rest.split_once('<') {
            push(Look::Plain, before);
            let (mark, after) = after.split_once('>').unwrap_or(("", after));
            let (inside, after) = after.split_once(&format!("</{mark}>")).unwrap_or((after, ""));
            let look = match mark {
                "b" => Look::Bold,
                "small" => Look::Small,
                _ => Look::Soft,
            };
            push(look, inside);
            rest = after;
        }
        push(Look::Plain, rest);
        Line(runs)
    }

    pub(in crate::write) fn of(look: Look, text: impl Into<String>) -> Line {
        Line([(look, text.into())].into_iter().filter(|(_, text)| !text.is_empty()).collect())
    }

    pub(in crate::write) fn plain(text: impl Into<String>) -> Line {
        Line::of(Look::Plain, text)
    }

    pub(in crate::write) fn bold(text: impl Into<String>) -> Line {
        Line::of(Look::Bold, text)
    }

    pub(in crate::write) fn and(mut self, other: Line) -> Line {
        self.0.extend(other.0);
        self
    }

    pub(in crate::write) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Its words alone.
    pub(in crate::write) fn text(&self) -> String {
        self.0.iter().map(|(_, text)| text.as_str()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_read_and_those_of_a_farm_are_not() {
        let line = Line::marked(&format!("<b>{}</b> of <small>8</small>", kept("a<b>c")));
        let runs = [(Look::Bold, "a<b>c"), (Look::Plain, " of "), (Look::Small, "8")];
        assert_eq!(line.0, runs.map(|(look, text)| (look, text.to_string())));
        assert_eq!(line.text(), "a<b>c of 8");
        assert!(Line::marked("").is_empty());
    }
}
