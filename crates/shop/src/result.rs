//! Answers that were dear to make, kept by the digest of everything they came from. They can always be made again, so
//! losing one loses nothing, and they are no part of what can be undone.

use rusqlite::{OptionalExtension as _, params};

use crate::drawer::NOW;
use crate::error::ShopError;
use crate::open::Shop;

/// Answers kept; the oldest go first.
const MOST_KEPT: i64 = 400;

/// The digest of several pieces of content, in this order. Each piece's length is part of it, so that moving a byte from one
/// piece to the next is another digest.
pub fn digest(pieces: &[&[u8]]) -> [u8; 32] {
    let mut hasher = blake3::Hasher::new();
    for piece in pieces {
        hasher.update(&(piece.len() as u64).to_le_bytes());
        hasher.update(piece);
    }
    *hasher.finalize().as_bytes()
}

impl Shop {
    /// The answer made from that content, if it is kept.
    pub fn kept_result(&self, digest: &[u8; 32]) -> Result<Option<String>, ShopError> {
        let found = || {
            let mut found = self.connection.prepare_cached("SELECT body FROM result WHERE digest = ?1")?;
            found.query_row([digest.as_slice()], |row| row.get(0)).optional()
        };
        found().map_err(|error| self.error(&error))
    }

    /// Keeps an answer.
    pub fn keep_result(&mut self, digest: &[u8; 32], kind: &str, body: &str) -> Result<(), ShopError> {
        let keep = || {
            let sql = format!(
                "INSERT OR REPLACE INTO result (digest, kind, body, made_at) VALUES (?1, ?2, ?3, {NOW})"
            );
            self.connection.execute(&sql, params![digest.as_slice(), kind, body])?;
            self.connection.execute(
                "DELETE FROM result WHERE digest IN (SELECT digest FROM result ORDER BY made_at DESC LIMIT -1 OFFSET ?1)",
                [MOST_KEPT],
            )
        };
        keep().map_err(|error| self.error(&error))?;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_a_digest_tells_where_one_piece_ends() {
        assert_ne!(digest(&[b"ab", b"c"]), digest(&[b"a", b"bc"]));
        assert_ne!(digest(&[b"abc"]), digest(&[b"abc", b""]));
        assert_eq!(digest(&[b"ab", b"c"]), digest(&[b"ab", b"c"]));
    }
}
