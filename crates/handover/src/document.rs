//! What a document consists of, without saying how it looks.

use serde::Serialize;

/// A whole document.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Document {
    /// What it is about.
    pub title: String,
    /// A line under the title.
    pub subtitle: String,
    /// What stands at the foot of every page: version, digest of the input, date if the caller wants one.
    pub footer: String,
    /// The paper it is printed on.
    pub paper: Paper,
    /// In reading order.
    pub sections: Vec<Section>,
}

/// A heading with what stands under it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Section {
    /// The heading.
    pub heading: String,
    /// Whether it starts on a page of its own.
    pub new_page: bool,
    /// In reading order.
    pub blocks: Vec<Block>,
}

/// A piece of a section.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Block {
    /// The answer itself, set larger than the rest.
    Answer {
        /// One paragraph a sentence.
        sentences: Vec<String>,
    },
    /// Plain text.
    Paragraph {
        /// The text.
        text: String,
    },
    /// Lines that stand below each other.
    List {
        /// One line each.
        items: Vec<String>,
    },
    /// Rows and columns.
    Table {
        /// Headings, and how the columns stand.
        columns: Vec<Column>,
        /// As many cells as columns each.
        rows: Vec<Vec<String>>,
    },
    /// A picture, as wide as the text.
    Figure {
        /// An SVG text.
        svg: String,
        /// What it shows; also what is read aloud for it.
        caption: String,
    },
    /// A drawing at full size on a page of its own, edge to edge. Its SVG measures the page in millimetres.
    FullSize {
        /// An SVG text.
        svg: String,
        /// What it shows; also what is read aloud for it.
        caption: String,
    },
    /// Warnings in a frame.
    Cautions {
        /// One line each.
        items: Vec<String>,
    },
}

/// A column of a table.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Column {
    /// What stands over it.
    pub heading: String,
    /// Whether its cells are numbers, which stand to the right.
    pub number: bool,
}

/// The paper a document is printed on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Paper {
    /// 210 by 297 mm.
    A4,
    /// 8 1/2 by 11 in.
    Letter,
}

impl Document {
    /// All pictures with what they show, in reading order.
    pub fn pictures(&self) -> impl Iterator<Item = (&str, &str)> {
        self.sections.iter().flat_map(|section| &section.blocks).filter_map(|block| match block {
            Block::Figure { svg, caption } | Block::FullSize { svg, caption } => {
                Some((caption.as_str(), svg.as_str()))
            }
            _ => None,
        })
    }
}
