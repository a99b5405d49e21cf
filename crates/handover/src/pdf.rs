//! A document as PDF: searchable text, vector pictures, full-size drawings true to scale.

use thiserror::Error;
use typst::diag::SourceDiagnostic;
use typst::foundations::Smart;
use typst_layout::PagedDocument;
use typst_pdf::PdfOptions;

use crate::document::Document;
use crate::typst_world::InMemory;

/// A document that could not be typeset.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum PdfError {
    /// A picture or a table that the typesetter refuses.
    #[error("the document cannot be typeset: {}", said.join("; "))]
    Refused {
        /// What it says.
        said: Vec<String>,
    },
}

/// The document as a PDF file. The same document makes the same bytes.
pub fn pdf(document: &Document) -> Result<Vec<u8>, PdfError> {
    let data = serde_json::to_vec(document).expect("a document is plain text and lists");
    let world = InMemory::new(include_str!("document.typ"), "/document.json", data);
    let laid_out = typst::compile::<PagedDocument>(&world).output.map_err(|said| refused(&said))?;
    let options = PdfOptions {
        ident: Smart::Custom(format!("{} {}", document.title, document.footer)),
        creator: Smart::Custom(Some("Headroom".to_owned())),
        ..PdfOptions::default()
    };
    let file = typst_pdf::pdf(&laid_out, &options).map_err(|said| refused(&said));
    // What the typesetter remembers between documents would only grow.
    typst::comemo::evict(0);
    file
}

fn refused(said: &[SourceDiagnostic]) -> PdfError {
    PdfError::Refused { said: said.iter().map(|diagnostic| diagnostic.message.to_string()).collect() }
}
