//! What can go wrong with a shop file, in words that say what to do. Leaves out how it is shown.

use std::path::{Path, PathBuf};

use rusqlite::ErrorCode;

use crate::drawer::{Drawer, Entry};

/// Why the shop file could not do as asked. Nothing was changed.
#[derive(Debug, thiserror::Error)]
pub enum ShopError {
    /// Some other kind of file.
    #[error("{} is not a shop file: {found}; name another file, or a new one", path.display())]
    NotAShop {
        /// The file.
        path: PathBuf,
        /// What it looks like.
        found: String,
    },
    /// Written by a newer program.
    #[error("{} has shop format {found}, this program knows {known}: open it with the newer program", path.display())]
    Newer {
        /// The file.
        path: PathBuf,
        /// The number in it.
        found: u32,
        /// The newest that is known here.
        known: u32,
    },
    /// Some of it cannot be read.
    #[error("{} is damaged: {found}; it was left as it is, put the latest backup in its place", path.display())]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What was met.
        found: String,
    },
    /// It cannot be opened.
    #[error("{} cannot be opened: {reason}", path.display())]
    CannotOpen {
        /// The file.
        path: PathBuf,
        /// Why.
        reason: String,
    },
    /// File or folder are read-only.
    #[error("{} cannot be written: file or folder is read-only; nothing was changed", path.display())]
    ReadOnly {
        /// The file.
        path: PathBuf,
    },
    /// No room.
    #[error("{} cannot be written: the disk is full or the file may grow no further; nothing was changed, all that was kept before is there", path.display())]
    Full {
        /// The file.
        path: PathBuf,
    },
    /// Another program holds it.
    #[error("{} is in use by another program; try again", path.display())]
    Busy {
        /// The file.
        path: PathBuf,
    },
    /// Somebody else was quicker.
    #[error("{} {} was changed in the meantime: revision {expected} was expected, it has {}", drawer.word(), current.name, current.revision)]
    Stale {
        /// Where it lies.
        drawer: Drawer,
        /// The revision the change was made from.
        expected: i64,
        /// As it stands now.
        current: Box<Entry>,
    },
    /// The last change is another one than was meant.
    #[error("another change came after that one: {last}")]
    NotLast {
        /// What the last change was.
        last: String,
    },
    /// No such thing.
    #[error("no {} number {id}", drawer.word())]
    NoSuch {
        /// Where it was looked for.
        drawer: Drawer,
        /// Its number.
        id: i64,
    },
    /// Two things of one name.
    #[error("there is a {} called {name} already", drawer.word())]
    NameTaken {
        /// Where.
        drawer: Drawer,
        /// The name.
        name: String,
    },
    /// A name that no file could have.
    #[error("the name {found:?}: {expected}")]
    BadName {
        /// As given.
        found: String,
        /// What a name is like.
        expected: &'static str,
    },
    /// Text that cannot be kept.
    #[error("the text holds {found}")]
    BadText {
        /// What is in it.
        found: String,
    },
    /// Other things hang on it.
    #[error("{} still needed by {by}: remove those first", drawer.word())]
    Needed {
        /// What was to be removed.
        drawer: Drawer,
        /// Names of what needs it.
        by: String,
    },
    /// Reading or writing failed in some other way.
    #[error("{}: {reason}; nothing was changed", path.display())]
    Failed {
        /// The file.
        path: PathBuf,
        /// As the database says it.
        reason: String,
    },
}

impl ShopError {
    /// Puts an error of the database into words.
    pub(crate) fn of(path: &Path, error: &rusqlite::Error) -> Self {
        let path = path.to_owned();
        if error.sqlite_error().is_some_and(|error| error.extended_code == rusqlite::ffi::SQLITE_IOERR_WRITE)
        {
            return Self::Full { path };
        }
        match error.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => Self::Full { path },
            Some(ErrorCode::ReadOnly) => Self::ReadOnly { path },
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy { path },
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => {
                Self::Damaged { path, found: error.to_string() }
            }
            Some(ErrorCode::CannotOpen) => Self::CannotOpen { path, reason: error.to_string() },
            _ => Self::Failed { path, reason: error.to_string() },
        }
    }
}
