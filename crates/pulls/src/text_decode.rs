//! Which characters a file's bytes are. Leaves out what they say.

use encoding_rs::{UTF_16BE, UTF_16LE, WINDOWS_1252};

use crate::import_error::ImportError;

/// Text of a file, and what had to be supposed to read it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Decoded {
    /// The text, without byte-order mark.
    pub text: String,
    /// The encoding it was read in.
    pub encoding: &'static str,
}

/// Reads bytes as UTF-8, as UTF-16 with or without its mark, or else as Windows-1252, which every byte fits.
///
/// Bytes that are no text at all (zeros, control codes) are refused with their line.
pub fn decode(bytes: &[u8]) -> Result<Decoded, ImportError> {
    let (text, encoding) = if let Some(rest) = bytes.strip_prefix(b"\xEF\xBB\xBF") {
        (utf8_or_western(rest), "UTF-8")
    } else if let Some(rest) = bytes.strip_prefix(b"\xFF\xFE") {
        (UTF_16LE.decode_without_bom_handling(rest).0.into_owned(), "UTF-16LE")
    } else if let Some(rest) = bytes.strip_prefix(b"\xFE\xFF") {
        (UTF_16BE.decode_without_bom_handling(rest).0.into_owned(), "UTF-16BE")
    } else if zeros_at(bytes, 1) {
        (UTF_16LE.decode_without_bom_handling(bytes).0.into_owned(), "UTF-16LE")
    } else if zeros_at(bytes, 0) {
        (UTF_16BE.decode_without_bom_handling(bytes).0.into_owned(), "UTF-16BE")
    } else {
        match std::str::from_utf8(bytes) {
            Ok(text) => (text.to_owned(), "UTF-8"),
            Err(_) => (utf8_or_western(bytes), "Windows-1252"),
        }
    };
    let control = |c: char| {
        c.is_control() && !matches!(c, '\n' | '\r' | '\t' | '\u{c}' | '\u{1a}' | '\u{80}'..='\u{9f}')
    };
    if let Some(at) = text.find(control) {
        let line = 1 + text[..at].matches('\n').count();
        return Err(ImportError::NotText { line });
    }
    Ok(Decoded { text, encoding })
}

fn utf8_or_western(bytes: &[u8]) -> String {
    match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => WINDOWS_1252.decode_without_bom_handling(bytes).0.into_owned(),
    }
}

/// Whether most of every second byte is zero, as in UTF-16 of western text.
fn zeros_at(bytes: &[u8], offset: usize) -> bool {
    let pairs = bytes.chunks_exact(2).take(200);
    let n_pairs = pairs.len();
    let zeros = pairs.filter(|pair| pair[offset] == 0 && pair[1 - offset] != 0).count();
    n_pairs >= 4 && zeros * 10 >= n_pairs * 9
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_one_text_in_five_encodings() {
        let text = "Öltemperatur;°C;α";
        let western = b"\xD6ltemperatur;\xB0C;".to_vec();
        let le: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
        let be: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
        let read = |bytes: &[u8]| decode(bytes).map(|decoded| decoded.text);
        assert_eq!(read(text.as_bytes()).as_deref(), Ok(text));
        assert_eq!(read(&[b"\xEF\xBB\xBF", text.as_bytes()].concat()).as_deref(), Ok(text));
        assert_eq!(read(&[b"\xFF\xFE".as_slice(), &le].concat()).as_deref(), Ok(text));
        assert_eq!(read(&be).as_deref(), Ok(text));
        assert_eq!(read(&western).as_deref(), Ok("Öltemperatur;°C;"));
        assert_eq!(read(b"a\nb\0\x01c"), Err(ImportError::NotText { line: 2 }));
    }
}
