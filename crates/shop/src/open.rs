//! Opening the shop file, or saying why it is better left alone.

use std::fs::File;
use std::io::Read as _;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags, Transaction, TransactionBehavior};
use rusqlite_migration::{M, Migrations};

use crate::error::ShopError;

/// An open shop file.
#[derive(Debug)]
pub struct Shop {
    pub(crate) connection: Connection,
    pub(crate) path: PathBuf,
}

/// Steps from an empty file to the newest shape, only ever added to.
const STEPS: &[M<'static>] = &[
    M::up(include_str!("../migrations/01_first.sql")),
    M::up(include_str!("../migrations/02_more_kinds_of_part.sql")).foreign_key_check(),
];

/// The format this program writes: how many steps it knows.
pub(crate) const FORMAT: u32 = STEPS.len() as u32;

/// What the file says it is ("HrSh"), at byte 68 of its head.
const APPLICATION_ID: u32 = 0x4872_5368;

/// How long to wait for another program that is writing.
const PATIENCE: Duration = Duration::from_secs(5);

impl Shop {
    /// Opens a shop file, making a new one where there is none. A file that is damaged, newer or something else is left as it
    /// is.
    pub fn open(path: &Path) -> Result<Self, ShopError> {
        if path.exists() {
            look_first(path)?;
        }
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
            | OpenFlags::SQLITE_OPEN_CREATE
            | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection =
            Connection::open_with_flags(path, flags).map_err(|error| cannot_open(path, &error))?;
        let mut shop = Self { connection, path: path.to_owned() };
        shop.set_up()?;
        Ok(shop)
    }

    /// A second connection to the same file, which reads while the first one writes.
    pub fn reader(&self) -> Result<Self, ShopError> {
        let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection =
            Connection::open_with_flags(&self.path, flags).map_err(|error| self.error(&error))?;
        connection.busy_timeout(PATIENCE).map_err(|error| self.error(&error))?;
        Ok(Self { connection, path: self.path.clone() })
    }

    /// Where it lies.
    pub fn path(&self) -> &Path {
        &self.path
    }

    fn set_up(&mut self) -> Result<(), ShopError> {
        let set = |connection: &Connection| {
            connection.busy_timeout(PATIENCE)?;
            connection.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
            connection.set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false)?;
            if connection.pragma_query_value(None, "application_id", |row| row.get::<_, u32>(0))? == 0 {
                connection.pragma_update(None, "application_id", APPLICATION_ID)?;
            }
            connection.pragma_update(None, "journal_mode", "WAL")?;
            // A write is only acknowledged when it has reached the disk.
            connection.pragma_update(None, "synchronous", "FULL")?;
            // A step may make a table anew; what points to it must not go with the old one.
            connection.pragma_update(None, "foreign_keys", false)?;
            connection.pragma_update(None, "cell_size_check", true)
        };
        set(&self.connection).map_err(|error| self.error(&error))?;
        Migrations::from_slice(STEPS).to_latest(&mut self.connection).map_err(|error| match error {
            rusqlite_migration::Error::RusqliteError { err, .. } => self.error(&err),
            other => ShopError::Failed { path: self.path.clone(), reason: other.to_string() },
        })?;
        let enforced = self.connection.pragma_update(None, "foreign_keys", true);
        enforced.map_err(|error| self.error(&error))
    }

    /// An error of the database, with the file's name.
    pub(crate) fn error(&self, error: &rusqlite::Error) -> ShopError {
        ShopError::of(&self.path, error)
    }

    /// Writes all of it or nothing, as one change that can be undone.
    pub(crate) fn write<T>(
        &mut self,
        what: &str,
        act: impl FnOnce(&Transaction<'_>) -> Result<T, rusqlite::Error>,
    ) -> Result<T, ShopError> {
        let all = || {
            let transaction = self.connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
            crate::undo::begin(&transaction, what)?;
            let done = act(&transaction)?;
            transaction.commit()?;
            Ok(done)
        };
        all().map_err(|error: rusqlite::Error| ShopError::of(&self.path, &error))
    }
}

fn cannot_open(path: &Path, error: &rusqlite::Error) -> ShopError {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if !folder.is_dir() {
        let reason = format!("there is no folder {}", folder.display());
        return ShopError::CannotOpen { path: path.to_owned(), reason };
    }
    match ShopError::of(path, error) {
        ShopError::CannotOpen { .. } if !path.exists() => ShopError::ReadOnly { path: path.to_owned() },
        other => other,
    }
}

/// Looks at a file without writing to it.
fn look_first(path: &Path) -> Result<(), ShopError> {
    look_at_head(path)?;
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let look = || {
        let connection = Connection::open_with_flags(path, flags)?;
        connection.busy_timeout(PATIENCE)?;
        let version: u32 = connection.pragma_query_value(None, "user_version", |row| row.get(0))?;
        let sound: String = connection.pragma_query_value(None, "quick_check", |row| row.get(0))?;
        Ok((version, sound))
    };
    let (version, sound) = look().map_err(|error: rusqlite::Error| match ShopError::of(path, &error) {
        // A reader of a file in WAL mode needs to write beside it.
        ShopError::CannotOpen { .. } => ShopError::ReadOnly { path: path.to_owned() },
        other => other,
    })?;
    if sound != "ok" {
        return Err(ShopError::Damaged { path: path.to_owned(), found: sound });
    }
    known_format(path, version)
}

fn known_format(path: &Path, found: u32) -> Result<(), ShopError> {
    if found > FORMAT {
        return Err(ShopError::Newer { path: path.to_owned(), found, known: FORMAT });
    }
    Ok(())
}

/// The first hundred bytes of an SQLite file say what it is (SQLite file format, section 1.3: magic text, user version at
/// byte 60, application id at byte 68).
fn look_at_head(path: &Path) -> Result<(), ShopError> {
    let not = |found: &str| Err(ShopError::NotAShop { path: path.to_owned(), found: found.to_owned() });
    if path.is_dir() {
        return not("it is a folder");
    }
    let mut head = [0_u8; 100];
    let read = File::open(path).and_then(|file| {
        let mut bytes = Vec::new();
        file.take(head.len() as u64).read_to_end(&mut bytes).map(|_| bytes)
    });
    let read =
        read.map_err(|error| ShopError::CannotOpen { path: path.to_owned(), reason: error.to_string() })?;
    if read.is_empty() {
        return not("it is empty");
    }
    if !read.starts_with(b"SQLite format 3\0") {
        return not("it does not begin as one does");
    }
    if read.len() < head.len() {
        let found = format!("it ends after {} bytes", read.len());
        return Err(ShopError::Damaged { path: path.to_owned(), found });
    }
    head.copy_from_slice(&read);
    let word = |at: usize| u32::from_be_bytes([head[at], head[at + 1], head[at + 2], head[at + 3]]);
    if word(68) != APPLICATION_ID {
        return not("it is the database of another program");
    }
    known_format(path, word(60))
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    #[test]
    fn exact_the_steps_can_be_taken() {
        Migrations::from_slice(STEPS).validate().unwrap();
    }
}
