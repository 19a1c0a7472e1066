//! A worksheet as blocks, before it is Markdown or HTML. Every text in it is plain text; the printers
//! escape it, so nothing that a record says can become markup.

/// A part of the sheet.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// Level 2 to 4; the title of the sheet is level 1.
    Heading(u8, String),
    Text(String),
    /// What can hurt: framed, and never left out.
    Caution(Vec<String>),
    List {
        numbered: bool,
        items: Vec<String>,
    },
    Table(Table),
    /// Drawing and table side by side where the paper allows it.
    Pair(Figure, Table),
    /// Blocks that belong together and stay on one page if they can.
    Card(Vec<Block>),
    /// A new sheet of paper.
    Page,
}

/// A table; the first column names its rows.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    pub caption: String,
    pub head: Vec<String>,
    pub rows: Vec<Vec<Cell>>,
}

/// A cell: told, or left for the pen.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    Told(String),
    Blank,
}

impl Cell {
    /// A told cell.
    pub fn told(text: impl Into<String>) -> Self {
        Self::Told(text.into())
    }
}

/// A drawing, with what it shows in words.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// A whole `<svg>` element, its texts already escaped.
    pub svg: String,
    pub caption: String,
}

/// A sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Document {
    pub title: String,
    /// Small print under the title.
    pub under: String,
    pub blocks: Vec<Block>,
}

impl Table {
    /// A table of told pairs.
    pub fn facts(caption: impl Into<String>, rows: Vec<(String, String)>) -> Self {
        let row = |(key, value): (String, String)| vec![Cell::Told(key), Cell::Told(value)];
        Self {
            caption: caption.into(),
            head: Vec::new(),
            rows: rows.into_iter().map(row).collect(),
        }
    }

    /// Rows with a name, and blanks for everything else.
    pub fn blank(
        caption: impl Into<String>,
        head: &[&str],
        names: impl IntoIterator<Item = String>,
    ) -> Self {
        let width = head.len().saturating_sub(1);
        let row = |name: String| {
            std::iter::once(Cell::Told(name))
                .chain(std::iter::repeat_n(Cell::Blank, width))
                .collect()
        };
        Self {
            caption: caption.into(),
            head: head.iter().map(|word| (*word).to_owned()).collect(),
            rows: names.into_iter().map(row).collect(),
        }
    }
}
