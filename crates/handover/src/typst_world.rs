//! The little world in which a document is typeset: two texts in memory and the embedded fonts. No file, clock or network.

use std::sync::OnceLock;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};
use typst_kit::fonts::FontStore;

/// A layout and the data it lays out.
pub(crate) struct InMemory {
    library: LazyHash<Library>,
    layout: Source,
    data: (FileId, Bytes),
}

impl InMemory {
    pub(crate) fn new(layout: &str, data_name: &str, data: Vec<u8>) -> Self {
        Self {
            library: LazyHash::new(Library::builder().build()),
            layout: Source::new(file_id("/main.typ"), layout.to_owned()),
            data: (file_id(data_name), Bytes::new(data)),
        }
    }
}

fn file_id(name: &str) -> FileId {
    let path = VirtualPath::new(name).expect("our own names are plain paths");
    RootedPath::new(VirtualRoot::Project, path).intern()
}

fn fonts() -> &'static FontStore {
    static FONTS: OnceLock<FontStore> = OnceLock::new();
    FONTS.get_or_init(|| {
        let mut store = FontStore::new();
        store.extend(typst_kit::fonts::embedded());
        store
    })
}

fn missing(id: FileId) -> FileError {
    FileError::NotFound(id.get().vpath().get_with_slash().into())
}

impl World for InMemory {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        fonts().book()
    }

    fn main(&self) -> FileId {
        self.layout.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.layout.id() { Ok(self.layout.clone()) } else { Err(missing(id)) }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        if id == self.data.0 { Ok(self.data.1.clone()) } else { Err(missing(id)) }
    }

    fn font(&self, idx: usize) -> Option<Font> {
        fonts().font(idx)
    }

    /// No clock: the same document is the same file on any day.
    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}
