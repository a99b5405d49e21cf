//! A copy of the shop file while it is open and being written to.

use std::path::Path;
use std::time::Duration;

use rusqlite::Connection;
use rusqlite::backup::Backup;

use crate::error::ShopError;
use crate::open::Shop;

/// Pages copied before others may write again.
const PAGES_AT_ONCE: i32 = 256;

impl Shop {
    /// Writes a copy that is whole in itself. An existing file is not overwritten.
    pub fn backup(&self, to: &Path) -> Result<(), ShopError> {
        if to.exists() {
            let reason = "there is a file of that name already; name another".to_owned();
            return Err(ShopError::CannotOpen { path: to.to_owned(), reason });
        }
        let copy = || {
            let mut target = Connection::open(to)?;
            Backup::new(&self.connection, &mut target)?.run_to_completion(
                PAGES_AT_ONCE,
                Duration::from_millis(1),
                None,
            )?;
            // One file that can be carried away: no log beside it.
            target.pragma_update(None, "journal_mode", "DELETE")?;
            target.close().map_err(|(_, error)| error)
        };
        copy().map_err(|error| {
            // Half a copy is worse than none.
            let _ = std::fs::remove_file(to);
            ShopError::of(to, &error)
        })
    }
}
