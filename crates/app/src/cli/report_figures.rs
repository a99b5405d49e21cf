//! The report's pictures as files for slides and video: each as SVG, and as PNG of 1920 by 1080 dots, light and dark.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result};
use handover::Document;

use super::picture::slides;

/// Most letters of a caption in a file's name.
const MOST_LETTERS: usize = 64;

/// Writes them, numbered in reading order, and adds what was written.
pub fn write(document: &Document, folder: &Path, written: &mut Vec<PathBuf>) -> Result<()> {
    fs::create_dir_all(folder).with_context(|| format!("{} cannot be made", folder.display()))?;
    let mut put = |name: String, content: &[u8]| -> Result<()> {
        let path = folder.join(name);
        fs::write(&path, content).with_context(|| format!("{} cannot be written", path.display()))?;
        written.push(path);
        Ok(())
    };
    for (idx, (caption, svg)) in document.pictures().enumerate() {
        let name = format!("{:02}-{}", idx + 1, file_word(caption));
        put(format!("{name}.svg"), svg.as_bytes())?;
        for (ending, png) in slides(svg).with_context(|| format!("picture \"{caption}\""))? {
            put(format!("{name}-{ending}"), &png)?;
        }
    }
    Ok(())
}

/// A caption as part of a file's name: whole words, as many as fit.
fn file_word(caption: &str) -> String {
    let plain: String =
        caption.chars().map(|c| if c.is_alphanumeric() { c.to_ascii_lowercase() } else { ' ' }).collect();
    let mut name = String::new();
    for word in plain.split_whitespace() {
        if !name.is_empty() && name.len() + 1 + word.len() > MOST_LETTERS {
            break;
        }
        if !name.is_empty() {
            name.push('-');
        }
        name.push_str(word);
    }
    name
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_names_are_whole_words() {
        assert_eq!(file_word("Cut in bore & deck, \u{2300} 3"), "cut-in-bore-deck-3");
        let long = file_word(&"notch ".repeat(40));
        assert!(long.len() <= MOST_LETTERS && long.ends_with("-notch"), "{long}");
    }
}
