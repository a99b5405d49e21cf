//! Undoing the last change. Triggers in the file keep how each row looked before; putting that back is a change like any
//! other, so revisions go on growing and nobody mistakes the old text for the one they had read.

use rusqlite::{OptionalExtension as _, Transaction, TransactionBehavior, params};

use crate::error::ShopError;
use crate::open::Shop;

/// A change that was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// Later changes have larger numbers.
    pub id: i64,
    /// When, in UTC.
    pub at: String,
    /// What, in words.
    pub what: String,
}

/// So many changes can be undone, one after the other.
const CHANGES_KEPT: i64 = 200;

/// Opens a change; rows changed from here on are kept under it.
pub(crate) fn begin(transaction: &Transaction<'_>, what: &str) -> rusqlite::Result<()> {
    let now = crate::drawer::NOW;
    transaction.execute(&format!("INSERT INTO change (at, what) VALUES ({now}, ?1)"), [what])?;
    transaction
        .execute("DELETE FROM change WHERE id <= (SELECT max(id) FROM change) - ?1", [CHANGES_KEPT])?;
    Ok(())
}

/// Takes back that a change was opened, when nothing came of it.
pub(crate) fn forget_this(transaction: &Transaction<'_>) -> rusqlite::Result<()> {
    transaction.execute("DELETE FROM change WHERE id = (SELECT max(id) FROM change)", [])?;
    Ok(())
}

impl Shop {
    /// The change that [`Self::undo`] would take back.
    pub fn last_change(&self) -> Result<Option<Change>, ShopError> {
        let last = || {
            let mut last = self.connection.prepare_cached(
                "SELECT id, at, what FROM change WHERE undone = 0 ORDER BY id DESC LIMIT 1",
            )?;
            let change =
                |row: &rusqlite::Row<'_>| Ok(Change { id: row.get(0)?, at: row.get(1)?, what: row.get(2)? });
            last.query_row([], change).optional()
        };
        last().map_err(|error| self.error(&error))
    }

    /// The number of the latest change of any kind, undoing among them; another number means that something may be different.
    pub fn last_change_number(&self) -> Result<i64, ShopError> {
        let last = || {
            self.connection
                .prepare_cached("SELECT coalesce(max(id), 0) FROM change")?
                .query_row([], |row| row.get(0))
        };
        last().map_err(|error| self.error(&error))
    }

    /// Takes the last change back and says which it was; `None` when there is none. With `expected`, only when the last
    /// change is that one. Called again it goes one further back.
    pub fn undo(&mut self, expected: Option<i64>) -> Result<Option<Change>, ShopError> {
        let Some(last) = self.last_change()? else { return Ok(None) };
        if expected.is_some_and(|expected| expected != last.id) {
            return Err(ShopError::NotLast { last: last.what });
        }
        let mut all = || {
            let transaction = self.connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
            put_back(&transaction, &last)?;
            transaction.commit()
        };
        all().map_err(|error: rusqlite::Error| ShopError::of(&self.path, &error))?;
        Ok(Some(last))
    }

    /// Forgets what was changed so far, so that it cannot be undone: for a shop that was just filled.
    pub fn forget_changes(&mut self) -> Result<(), ShopError> {
        self.connection.execute("DELETE FROM change", []).map_err(|error| self.error(&error))?;
        Ok(())
    }
}

fn put_back(transaction: &Transaction<'_>, change: &Change) -> rusqlite::Result<()> {
    // A build and what hung on it come back in any order.
    transaction.pragma_update(None, "defer_foreign_keys", true)?;
    begin(transaction, &format!("undid: {}", change.what))?;
    let images: Vec<(String, i64, Option<String>)> = transaction
        .prepare("SELECT drawer, row_id, before FROM image WHERE change_id = ?1 ORDER BY id DESC")?
        .query_map([change.id], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?
        .collect::<rusqlite::Result<_>>()?;
    for (table, row_id, before) in images {
        let Some((columns, has_revision)) = columns(&table) else { continue };
        match before {
            None => {
                transaction.execute(&format!("DELETE FROM {table} WHERE id = ?1"), [row_id])?;
            }
            Some(before) => {
                transaction.execute(&restore(&table, columns, has_revision), params![before])?;
            }
        }
    }
    // Undoing is not itself undone: what it changed is not kept, and it is marked together with what it took back.
    transaction.execute("DELETE FROM image WHERE change_id = (SELECT max(id) FROM change)", [])?;
    transaction.execute(
        "UPDATE change SET undone = 1 WHERE id = ?1 OR id = (SELECT max(id) FROM change)",
        [change.id],
    )?;
    Ok(())
}

/// Columns of a drawer as its images have them, and whether it has a revision.
fn columns(table: &str) -> Option<(&'static [&'static str], bool)> {
    match table {
        "build" => Some((&["id", "name", "text", "changed_at"], true)),
        "swap" | "pull" => Some((&["id", "name", "text", "changed_at", "build_id"], true)),
        "part" => Some((&["id", "name", "text", "changed_at", "kind"], true)),
        "reading" => Some((
            &["id", "build_id", "part_id", "path", "text", "taken_at", "taken_by", "instrument", "note"],
            false,
        )),
        _ => None,
    }
}

/// SQL that puts a row back from its image, whether or not something stands in its place.
fn restore(table: &str, columns: &[&str], has_revision: bool) -> String {
    let mut names = columns.join(", ");
    let values: Vec<String> = columns.iter().map(|name| format!("json_extract(?1, '$.{name}')")).collect();
    let mut values = values.join(", ");
    let mut sets: Vec<String> = columns
        .iter()
        .filter(|name| **name != "id")
        .map(|name| format!("{name} = excluded.{name}"))
        .collect();
    if has_revision {
        names.push_str(", revision");
        values.push_str(", json_extract(?1, '$.revision') + 1");
        sets.push(format!("revision = max({table}.revision, excluded.revision) + 1"));
    }
    format!(
        "INSERT INTO {table} ({names}) VALUES ({values}) ON CONFLICT (id) DO UPDATE SET {}",
        sets.join(", ")
    )
}
