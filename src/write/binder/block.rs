//! What a section of the binder is made of.

/// A piece of a section.
pub(super) enum Block {
    /// A sentence or two.
    Say(String),
    /// Sentences, one a line.
    List(Vec<String>),
    /// Something that is wanting, with room to write it in.
    Wanting(String),
    /// A table.
    Table(Grid),
    /// A drawing, as the address of an image that holds it whole.
    Picture(Drawing),
    /// Text set as the terminal sets it.
    Set(String),
    /// An empty form: its heads and how many rows.
    Form(Form),
    /// Lines to sign on.
    Sign(Vec<&'static str>),
}

/// A drawing.
pub(super) struct Drawing {
    /// `data:` address of the whole picture.
    pub(super) address: String,
    /// What it shows.
    pub(super) shows: String,
    /// Whether it takes the width of the page, as the overview does.
    pub(super) wide: bool,
}

/// A table.
pub(super) struct Grid {
    pub(super) title: String,
    pub(super) head: Vec<ColumnHead>,
    pub(super) rows: Vec<Vec<Cell>>,
}

/// The head of a column.
pub(super) struct ColumnHead {
    pub(super) text: &'static str,
    pub(super) right: bool,
}

/// One cell.
pub(super) struct Cell {
    pub(super) text: String,
    pub(super) right: bool,
}

/// An empty form to be filled in by hand.
pub(super) struct Form {
    pub(super) title: &'static str,
    pub(super) heads: Vec<&'static str>,
    pub(super) rows: Vec<()>,
}

impl Block {
    /// A table; heads that end in `>` stand over numbers, which are set to the
    /// right.
    pub(super) fn table(title: &str, heads: &[&'static str], rows: Vec<Vec<String>>) -> Block {
        let head: Vec<ColumnHead> = heads
            .iter()
            .map(|h| ColumnHead { text: h.strip_suffix('>').unwrap_or(h), right: h.ends_with('>') })
            .collect();
        let rows = rows.into_iter().map(|row| {
            let cells = row.into_iter().zip(&head);
            cells.map(|(text, head)| Cell { text, right: head.right }).collect()
        });
        let rows = rows.collect();
        Block::Table(Grid { title: title.to_string(), head, rows })
    }

    /// A table, or a line that says what is wanting where it has no rows.
    pub(super) fn table_or(wanting: &str, title: &str, heads: &[&'static str], rows: Vec<Vec<String>>) -> Block {
        if rows.is_empty() { Block::Wanting(wanting.to_string()) } else { Block::table(title, heads, rows) }
    }

    /// An empty form.
    pub(super) fn form(title: &'static str, heads: &[&'static str], rows: usize) -> Block {
        Block::Form(Form { title, heads: heads.to_vec(), rows: vec![(); rows] })
    }

    /// A picture of the maps. Each stands in an address of its own, so that no
    /// name or style of one drawing reaches another.
    pub(super) fn picture(svg: &str, shows: String, wide: bool) -> Block {
        let mut address = String::from("data:image/svg+xml,");
        for byte in svg.bytes() {
            match byte {
                b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b' ' | b'-' | b'.' | b'_' | b'/' | b':' | b'=' | b';' => {
                    address.push(char::from(byte));
                }
                _ => address.push_str(&format!("%{byte:02X}")),
            }
        }
        Block::Picture(Drawing { address, shows, wide })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_of_a_drawing_can_end_its_address() {
        let Block::Picture(drawing) = Block::picture("<svg a=\"1\">'é%</svg>", String::new(), false) else {
            panic!("a picture is a picture")
        };
        assert!(!drawing.address.contains(['<', '>', '"', '\'']), "{}", drawing.address);
        assert!(drawing.address.contains("%C3%A9%25"), "{}", drawing.address);
    }

    #[test]
    fn numbers_stand_to_the_right() {
        let Block::Table(grid) = Block::table("", &["Field", "Acres>"], vec![vec!["B1".into(), "2.00".into()]]) else {
            panic!("a table is a table")
        };
        assert_eq!(grid.head[1].text, "Acres");
        assert!(grid.rows[0][1].right && !grid.rows[0][0].right);
    }
}
