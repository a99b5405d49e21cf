//! The document that goes with a finished engine: one description, written as PDF or as one self-contained HTML file.
//!
//! Leaves out what is in it: whoever makes a [`Document`] decides that.

pub mod document;
pub mod html;
#[cfg(feature = "pdf")]
pub mod pdf;
#[cfg(feature = "pdf")]
mod typst_world;

pub use document::{Block, Column, Document, Paper, Section};
pub use html::html;
#[cfg(feature = "pdf")]
pub use pdf::{PdfError, pdf};
