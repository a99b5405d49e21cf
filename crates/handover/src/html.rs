//! A document as one HTML file that needs nothing else: styles and pictures stand in it. Leaves out page breaks, which
//! only print has.

use maud::{DOCTYPE, Markup, PreEscaped, html as markup};

use crate::document::{Block, Column, Document};

/// The document as an HTML file.
pub fn html(document: &Document) -> String {
    markup! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (document.title) }
                style { (PreEscaped(include_str!("document.css"))) }
            }
            body {
                main {
                    h1 { (document.title) }
                    p.subtitle { (document.subtitle) }
                    @for section in &document.sections {
                        section {
                            h2 { (section.heading) }
                            @for block in &section.blocks { (written(block)) }
                        }
                    }
                    footer { (document.footer) }
                }
            }
        }
    }
    .into_string()
}

fn written(block: &Block) -> Markup {
    match block {
        Block::Answer { sentences } => markup! { div.answer { @for s in sentences { p { (s) } } } },
        Block::Paragraph { text } => markup! { p { (text) } },
        Block::List { items } => markup! { ul { @for item in items { li { (item) } } } },
        Block::Table { columns, rows } => table(columns, rows),
        Block::Figure { svg, caption } => picture("picture", svg, caption),
        Block::FullSize { svg, caption } => picture("full-size", svg, caption),
        Block::Cautions { items } => markup! {
            aside.cautions { strong { "Caution" } ul { @for item in items { li { (item) } } } }
        },
    }
}

fn table(columns: &[Column], rows: &[Vec<String>]) -> Markup {
    markup! {
        div.wide {
            table {
                thead { tr { @for column in columns { th scope="col" class=[class(column)] { (column.heading) } } } }
                tbody {
                    @for row in rows {
                        tr { @for (column, cell) in columns.iter().zip(row) { td class=[class(column)] { (cell) } } }
                    }
                }
            }
        }
    }
}

fn class(column: &Column) -> Option<&'static str> {
    column.number.then_some("number")
}

/// Pictures go in as images: names and styles inside one SVG then never reach another.
fn picture(class: &str, svg: &str, caption: &str) -> Markup {
    let address = format!("data:image/svg+xml;base64,{}", base64(svg.as_bytes()));
    markup! {
        figure class=(class) { img src=(address) alt=(caption); figcaption { (caption) } }
    }
}

fn base64(bytes: &[u8]) -> String {
    use base64::Engine as _;
    base64::engine::general_purpose::STANDARD.encode(bytes)
}
