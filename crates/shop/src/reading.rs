//! Readings with their history: what was measured, when, by whom, with which instrument. Only ever added to.

use rusqlite::{Row, params};

use crate::drawer::{Drawer, NOW, checked_text};
use crate::error::ShopError;
use crate::open::Shop;

/// What a reading was taken of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Owner {
    /// A build, by its number.
    Build(i64),
    /// A part on the shelf, by its number.
    Part(i64),
}

/// A reading as it was taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reading {
    /// Its number; later readings have larger ones.
    pub id: i64,
    /// Which reading, such as `head.valve.exhaust.x`.
    pub path: String,
    /// As typed, with unit and tolerance.
    pub text: String,
    /// When.
    pub taken_at: String,
    /// By whom.
    pub taken_by: String,
    /// With what.
    pub instrument: String,
    /// Remarks.
    pub note: String,
}

/// A reading to be kept.
#[derive(Clone, Copy, Debug, Default)]
pub struct NewReading<'a> {
    /// Which reading.
    pub path: &'a str,
    /// As typed.
    pub text: &'a str,
    /// When; now where nothing is said.
    pub taken_at: Option<&'a str>,
    /// By whom.
    pub taken_by: &'a str,
    /// With what.
    pub instrument: &'a str,
    /// Remarks.
    pub note: &'a str,
}

impl Owner {
    fn column(self) -> &'static str {
        match self {
            Self::Build(_) => "build_id",
            Self::Part(_) => "part_id",
        }
    }

    fn drawer_and_id(self) -> (Drawer, i64) {
        match self {
            Self::Build(id) => (Drawer::Build, id),
            Self::Part(id) => (Drawer::Part, id),
        }
    }
}

fn reading(row: &Row<'_>) -> rusqlite::Result<Reading> {
    Ok(Reading {
        id: row.get(0)?,
        path: row.get(1)?,
        text: row.get(2)?,
        taken_at: row.get(3)?,
        taken_by: row.get(4)?,
        instrument: row.get(5)?,
        note: row.get(6)?,
    })
}

impl Shop {
    /// Adds readings to the history of their owner, all in one change.
    pub fn record(&mut self, owner: Owner, readings: &[NewReading<'_>]) -> Result<(), ShopError> {
        let (drawer, id) = owner.drawer_and_id();
        let entry = self.get(drawer, id)?;
        for new in readings {
            for text in [new.path, new.text, new.taken_by, new.instrument, new.note] {
                checked_text(text)?;
            }
        }
        let n = readings.len();
        self.write(&format!("recorded {n} reading(s) of {} {}", drawer.word(), entry.name), |transaction| {
            let sql = format!(
                "INSERT INTO reading ({}, path, text, taken_at, taken_by, instrument, note)
                 VALUES (?1, ?2, ?3, coalesce(?4, {NOW}), ?5, ?6, ?7)",
                owner.column()
            );
            let mut insert = transaction.prepare(&sql)?;
            for new in readings {
                insert.execute(params![
                    id,
                    new.path,
                    new.text,
                    new.taken_at,
                    new.taken_by,
                    new.instrument,
                    new.note
                ])?;
            }
            Ok(())
        })
    }

    /// Everything recorded of an owner, oldest first; the last of a path is the one in force.
    pub fn history(&self, owner: Owner) -> Result<Vec<Reading>, ShopError> {
        let (drawer, id) = owner.drawer_and_id();
        self.revision(drawer, id)?;
        let all = || {
            let sql = format!(
                "SELECT id, path, text, taken_at, taken_by, instrument, note FROM reading WHERE {} = ?1 ORDER BY id",
                owner.column()
            );
            self.connection
                .prepare_cached(&sql)?
                .query_map([id], reading)?
                .collect::<rusqlite::Result<Vec<_>>>()
        };
        all().map_err(|error| self.error(&error))
    }
}
