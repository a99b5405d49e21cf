//! Builds, swaps, pulls and parts: listing, reading, adding, changing and removing them.

use rusqlite::{Connection, OptionalExtension as _, Row, params};

use crate::error::ShopError;
use crate::name;
use crate::open::Shop;

/// Where a thing lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Drawer {
    /// Build sheets.
    Build,
    /// Swap sheets, each on a build.
    Swap,
    /// Dyno runs, which may be of a build.
    Pull,
    /// Parts on the shelf: sections of a sheet.
    Part,
}

/// Kinds of part, named as their sections in a sheet.
pub const PART_KINDS: [&str; 17] = [
    "block",
    "gasket",
    "head",
    "piston",
    "cam",
    "train",
    "spring",
    "port",
    "flow",
    "induction",
    "exhaust",
    "boost",
    "fuel",
    "spark",
    "burning",
    "walls",
    "friction",
];

/// A thing in a drawer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Never used twice.
    pub id: i64,
    /// What people call it, unique in its drawer whatever its case.
    pub name: String,
    /// Byte for byte as it came.
    pub text: String,
    /// Grows with every change.
    pub revision: i64,
    /// When it was last changed, in UTC.
    pub changed_at: String,
    /// The build a swap starts from or a pull is of.
    pub build_id: Option<i64>,
    /// Which kind of part.
    pub kind: Option<String>,
}

/// A thing to be put into a drawer.
#[derive(Clone, Copy, Debug, Default)]
pub struct NewEntry<'a> {
    /// What people call it.
    pub name: &'a str,
    /// Kept byte for byte.
    pub text: &'a str,
    /// The build a swap starts from or a pull is of.
    pub build_id: Option<i64>,
    /// Which kind of part.
    pub kind: Option<&'a str>,
}

impl Drawer {
    /// All drawers.
    pub const ALL: [Self; 4] = [Self::Build, Self::Swap, Self::Pull, Self::Part];

    /// One of its things.
    pub fn word(self) -> &'static str {
        self.table()
    }

    pub(crate) fn table(self) -> &'static str {
        match self {
            Self::Build => "build",
            Self::Swap => "swap",
            Self::Pull => "pull",
            Self::Part => "part",
        }
    }

    /// The column only this drawer has, or nothing in its place.
    fn own_columns(self) -> &'static str {
        match self {
            Self::Build => "NULL, NULL",
            Self::Swap | Self::Pull => "build_id, NULL",
            Self::Part => "NULL, kind",
        }
    }

    fn select(self) -> String {
        let (own, table) = (self.own_columns(), self.table());
        format!("SELECT id, name, text, revision, changed_at, {own} FROM {table}")
    }
}

/// The time, as it is kept.
pub(crate) const NOW: &str = "strftime('%Y-%m-%dT%H:%M:%fZ', 'now')";

fn entry(row: &Row<'_>) -> rusqlite::Result<Entry> {
    Ok(Entry {
        id: row.get(0)?,
        name: row.get(1)?,
        text: row.get(2)?,
        revision: row.get(3)?,
        changed_at: row.get(4)?,
        build_id: row.get(5)?,
        kind: row.get(6)?,
    })
}

fn by_id(connection: &Connection, drawer: Drawer, id: i64) -> rusqlite::Result<Option<Entry>> {
    let mut found = connection.prepare_cached(&format!("{} WHERE id = ?1", drawer.select()))?;
    found.query_row([id], entry).optional()
}

impl Shop {
    /// Everything in a drawer, by name.
    pub fn list(&self, drawer: Drawer) -> Result<Vec<Entry>, ShopError> {
        let all = || {
            let sql = format!("{} ORDER BY name COLLATE NOCASE, id", drawer.select());
            let mut all = self.connection.prepare_cached(&sql)?;
            all.query_map([], entry)?.collect::<rusqlite::Result<Vec<_>>>()
        };
        all().map_err(|error| self.error(&error))
    }

    /// One thing by its number.
    pub fn get(&self, drawer: Drawer, id: i64) -> Result<Entry, ShopError> {
        let found = by_id(&self.connection, drawer, id).map_err(|error| self.error(&error))?;
        found.ok_or(ShopError::NoSuch { drawer, id })
    }

    /// One thing by its name.
    pub fn find(&self, drawer: Drawer, name: &str) -> Result<Option<Entry>, ShopError> {
        let found = || {
            let sql = format!("{} WHERE name = ?1 COLLATE NOCASE", drawer.select());
            self.connection.prepare_cached(&sql)?.query_row([name], entry).optional()
        };
        found().map_err(|error| self.error(&error))
    }

    /// The revision of a thing, without its text.
    pub fn revision(&self, drawer: Drawer, id: i64) -> Result<i64, ShopError> {
        let sql = format!("SELECT revision FROM {} WHERE id = ?1", drawer.table());
        let found = || self.connection.prepare_cached(&sql)?.query_row([id], |row| row.get(0)).optional();
        found().map_err(|error| self.error(&error))?.ok_or(ShopError::NoSuch { drawer, id })
    }

    /// Puts a new thing into a drawer.
    pub fn add(&mut self, drawer: Drawer, new: &NewEntry<'_>) -> Result<Entry, ShopError> {
        name::checked(new.name)?;
        checked_text(new.text)?;
        self.free_name(drawer, new.name, None)?;
        if let Some(build) = new.build_id {
            self.revision(Drawer::Build, build)?;
        }
        let id = self.write(&format!("added {} {}", drawer.word(), new.name), |transaction| {
            let table = drawer.table();
            let (own, value) = match drawer {
                Drawer::Build => ("", ""),
                Drawer::Swap | Drawer::Pull => (", build_id", ", ?3"),
                Drawer::Part => (", kind", ", ?3"),
            };
            let sql = format!(
                "INSERT INTO {table} (name, text, revision, changed_at{own}) VALUES (?1, ?2, 1, {NOW}{value})"
            );
            match drawer {
                Drawer::Build => transaction.execute(&sql, params![new.name, new.text])?,
                Drawer::Swap | Drawer::Pull => {
                    transaction.execute(&sql, params![new.name, new.text, new.build_id])?
                }
                Drawer::Part => transaction.execute(&sql, params![new.name, new.text, new.kind])?,
            };
            Ok(transaction.last_insert_rowid())
        })?;
        self.get(drawer, id)
    }

    /// Changes name and text of a thing that still has the revision it was read with.
    pub fn put(
        &mut self,
        drawer: Drawer,
        id: i64,
        revision: i64,
        name: &str,
        text: &str,
    ) -> Result<Entry, ShopError> {
        name::checked(name)?;
        checked_text(text)?;
        self.free_name(drawer, name, Some(id))?;
        let table = drawer.table();
        let changed = self.write(&format!("changed {} {name}", drawer.word()), |transaction| {
            let sql = format!(
                "UPDATE {table} SET name = ?3, text = ?4, revision = revision + 1, changed_at = {NOW}
                 WHERE id = ?1 AND revision = ?2"
            );
            let n_changed = transaction.execute(&sql, params![id, revision, name, text])?;
            if n_changed == 0 {
                crate::undo::forget_this(transaction)?;
            }
            Ok(n_changed)
        })?;
        let current = self.get(drawer, id)?;
        if changed == 0 {
            return Err(ShopError::Stale { drawer, expected: revision, current: Box::new(current) });
        }
        Ok(current)
    }

    /// Takes a thing out, if it still has that revision and nothing else hangs on it.
    pub fn remove(&mut self, drawer: Drawer, id: i64, revision: i64) -> Result<(), ShopError> {
        let current = self.get(drawer, id)?;
        if drawer == Drawer::Build {
            let by = self.needing(id)?;
            if !by.is_empty() {
                return Err(ShopError::Needed { drawer, by: by.join(", ") });
            }
        }
        let table = drawer.table();
        let removed = self.write(&format!("removed {} {}", drawer.word(), current.name), |transaction| {
            let sql = format!("DELETE FROM {table} WHERE id = ?1 AND revision = ?2");
            let n_removed = transaction.execute(&sql, params![id, revision])?;
            if n_removed == 0 {
                crate::undo::forget_this(transaction)?;
            }
            Ok(n_removed)
        })?;
        if removed == 0 {
            return Err(ShopError::Stale { drawer, expected: revision, current: Box::new(current) });
        }
        Ok(())
    }

    /// Names of swaps and pulls that are of a build.
    fn needing(&self, build: i64) -> Result<Vec<String>, ShopError> {
        let names = || {
            let mut names = self.connection.prepare_cached(
                "SELECT 'swap ' || name FROM swap WHERE build_id = ?1
                 UNION ALL SELECT 'pull ' || name FROM pull WHERE build_id = ?1",
            )?;
            names.query_map([build], |row| row.get(0))?.collect::<rusqlite::Result<Vec<_>>>()
        };
        names().map_err(|error| self.error(&error))
    }

    fn free_name(&self, drawer: Drawer, name: &str, but: Option<i64>) -> Result<(), ShopError> {
        match self.find(drawer, name)? {
            Some(other) if Some(other.id) != but => Err(ShopError::NameTaken { drawer, name: other.name }),
            _ => Ok(()),
        }
    }
}

/// Text is kept whatever it says; only what a database cannot give back is refused.
pub(crate) fn checked_text(text: &str) -> Result<(), ShopError> {
    if let Some(at) = text.find('\0') {
        return Err(ShopError::BadText { found: format!("a zero byte at byte {at}, as in a binary file") });
    }
    if text.len() > MOST_BYTES {
        let found = format!("{} bytes, more than the {MOST_BYTES} that are kept", text.len());
        return Err(ShopError::BadText { found });
    }
    Ok(())
}

/// Longest text, in bytes: as long as the longest sheet that is read.
const MOST_BYTES: usize = 1_000_000;
