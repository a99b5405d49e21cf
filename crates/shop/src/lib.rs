//! The shop file: what a shop owns, has measured and has asked, kept in one SQLite file that survives a pulled plug.
//!
//! Sheets are kept as the text somebody typed, byte for byte; nothing here reads them. Every change can be undone, and
//! every thing carries a revision, so that of two people who change it the second is told. Knows no engine words beyond the
//! names of its drawers.

mod open;
mod drawer;
mod reading;
mod undo;
mod result;
mod backup;
mod name;
mod error;

pub use drawer::{Drawer, Entry, NewEntry, PART_KINDS};
pub use error::ShopError;
pub use name::name_from_file;
pub use open::Shop;
pub use reading::{NewReading, Owner, Reading};
pub use result::digest;
pub use undo::Change;
