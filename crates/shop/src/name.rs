//! What a thing in the shop may be called: whatever a file may be called everywhere, since it may become one.

use crate::error::ShopError;

/// Longest name, in characters.
const LONGEST: usize = 80;

/// Characters that some system does not allow in the name of a file.
const REFUSED: &str = "/\\:*?\"<>|";

/// Checks a name.
pub(crate) fn checked(name: &str) -> Result<(), ShopError> {
    let expected = if name.is_empty() {
        "a name has at least one character"
    } else if name.chars().count() > LONGEST {
        "a name has at most 80 characters"
    } else if name.trim() != name || name.starts_with('.') || name.ends_with('.') {
        "a name neither begins nor ends with a blank or a full stop"
    } else if name.chars().any(|c| c.is_control() || REFUSED.contains(c)) {
        "a name holds none of / \\ : * ? \" < > | and no control characters"
    } else {
        return Ok(());
    };
    Err(ShopError::BadName { found: name.to_owned(), expected })
}

/// The name of what a file holds: its own without `.build.toml` or `.swap.toml`.
pub fn name_from_file(file_name: &str) -> &str {
    let ends = [".build.toml", ".swap.toml", ".toml"];
    ends.iter().find_map(|end| file_name.strip_suffix(end)).unwrap_or(file_name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_names_that_no_file_may_have_are_refused() {
        for name in ["", " heron", "heron ", ".heron", "..", "a/b", "a\\b", "a\u{0}b", "a\nb", "nul:"] {
            assert!(checked(name).is_err(), "{name:?}");
        }
        assert!(checked(&"x".repeat(81)).is_err());
        assert!(checked(&"ö".repeat(80)).is_ok());
        assert!(checked("heron, second engine (spare)").is_ok());
    }

    #[test]
    fn exact_the_name_of_a_file_loses_its_ending() {
        assert_eq!(name_from_file("heron.build.toml"), "heron");
        assert_eq!(name_from_file("teal.1.swap.toml"), "teal.1");
        assert_eq!(name_from_file("heron"), "heron");
    }
}
