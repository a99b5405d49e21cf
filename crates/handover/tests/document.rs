//! Documents as files. That the text can be searched and full-size pages are true to scale is read back by
//! checks/report_drawings.

use handover::{Block, Column, Document, Paper, PdfError, Section, html, pdf};

const SQUARE: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="210mm" height="297mm" viewBox="0 0 210 297"><rect x="50" y="50" width="100" height="100" fill="none" stroke="#000"/></svg>"##;

fn document(svg: &str) -> Document {
    let section = |heading: &str, blocks| Section { heading: heading.to_owned(), new_page: false, blocks };
    Document {
        title: "Heron six with the Bittern head".to_owned(),
        subtitle: "an invented engine".to_owned(),
        footer: "Headroom 0.1.0, input 1f2e".to_owned(),
        paper: Paper::A4,
        sections: vec![
            section(
                "Verdict",
                vec![Block::Answer { sentences: vec!["It does not clear, -1.28 mm < 0.".to_owned()] }],
            ),
            section(
                "Findings",
                vec![
                    Block::Table {
                        columns: vec![
                            Column { heading: "check".to_owned(), number: false },
                            Column { heading: "gap".to_owned(), number: true },
                        ],
                        rows: (0..80)
                            .map(|row| vec![format!("valve #{row} *to* block"), format!("{row} mm")])
                            .collect(),
                    },
                    Block::Cautions { items: vec!["Sonic-check before boring.".to_owned()] },
                ],
            ),
            section("Drawings", vec![Block::FullSize { svg: svg.to_owned(), caption: "the cut".to_owned() }]),
        ],
    }
}

#[test]
fn exact_same_document_same_bytes() {
    let (first, second) = (pdf(&document(SQUARE)), pdf(&document(SQUARE)));
    assert!(first.as_ref().is_ok_and(|bytes| bytes.starts_with(b"%PDF-")));
    assert_eq!(first, second);
}

#[test]
fn exact_letter_is_another_size() {
    let letter = Document { paper: Paper::Letter, ..document(SQUARE) };
    let bytes = pdf(&letter).expect("it typesets");
    let has = |text: &[u8]| bytes.windows(text.len()).any(|window| window == text);
    assert!(has(b"/MediaBox[0 0 612 792]") || has(b"/MediaBox [0 0 612 792]"));
}

#[test]
fn exact_a_broken_picture_is_told() {
    let Err(PdfError::Refused { said }) = pdf(&document("<svg")) else { panic!("it was typeset") };
    assert!(said.iter().any(|line| line.contains("SVG")), "{said:?}");
}

#[test]
fn exact_html_escapes_and_holds_everything() {
    let page = html(&document(SQUARE));
    assert!(page.contains("-1.28 mm &lt; 0."));
    assert!(page.contains("<img src=\"data:image/svg+xml;base64,"));
    assert!(!page.contains("http://") || page.matches("http").count() == 0, "nothing is fetched");
    assert!(page.contains("Sonic-check before boring."));
}

#[test]
fn exact_pictures_in_order() {
    let document = document(SQUARE);
    assert_eq!(document.pictures().map(|(caption, _)| caption).collect::<Vec<_>>(), ["the cut"]);
}
