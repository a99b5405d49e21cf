//! The word of the sheet that a reading's path belongs to, so that an answer can say how the reading is taken. Leaves out
//! paths of parts that no key describes.

use super::{Entry, Section, Shape, sheet};

/// The key of a path such as `head.valve.intake.x` or `flow.intake.factor`; names of valves and places in lists are passed
/// over.
pub fn entry_of(path: &str) -> Option<&'static Entry> {
    let mut words = path.split('.').peekable();
    let mut section: &'static Section = &sheet::BUILD;
    while let Some(word) = words.next() {
        // What a whole table of flow may be off by is typed as its tolerance.
        let key = if word == "factor" && path.starts_with("flow.") { "tolerance" } else { word };
        if words.peek().is_none() {
            return section.entries.iter().find(|entry| entry.words.key == key).copied();
        }
        section = section.sections.iter().find(|inner| inner.key == word)?;
        let named =
            section.shape == Shape::Named || (section.shape == Shape::List && words.clone().nth(1).is_some());
        if named {
            words.next();
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_paths_lead_to_their_words() {
        for (path, key) in [
            ("head.valve.intake.x", "x"),
            ("head.chamber_volume", "chamber_volume"),
            ("gasket.thickness", "thickness"),
            ("flow.intake.factor", "tolerance"),
            ("port.intake.volume", "volume"),
            ("train.exhaust.ratio", "ratio"),
        ] {
            let found = entry_of(path).map(|entry| entry.words.key);
            assert_eq!(found, Some(key), "{path}");
        }
        assert!(entry_of("head.valve").is_none());
        assert!(entry_of("nothing.like.it").is_none());
    }
}
