//! What every sheet of paper has: margins, sizes of words, the bars that check a printer, paragraphs. Leaves out what the sheet
//! shows.

use glam::DVec2;

use crate::drawing::{Anchor, Drawing, Layer};

/// Blank edge that every printer leaves, in millimetres.
pub(crate) const MARGIN_MM: f64 = 10.0;

/// Sizes of text, in millimetres.
pub(crate) const TITLE_MM: f64 = 5.0;
pub(crate) const TEXT_MM: f64 = 3.2;
pub(crate) const SMALL_MM: f64 = 2.8;

/// Width of an average letter against its size; words are broken by it, with something to spare.
pub(crate) const LETTER_WIDTH: f64 = 0.49;

/// Two bars with their ticks; returns the height of what is below.
pub(crate) fn scale_bars(drawing: &mut Drawing, y: f64) -> f64 {
    let bars: [(&str, f64, usize, usize); 2] = [("mm", 1.0, 100, 10), ("in", 25.4, 4, 1)];
    for (row, (unit, step_mm, n_steps, n_labelled)) in bars.into_iter().enumerate() {
        let from = DVec2::new(MARGIN_MM + 5.0, y - 10.0 * row as f64);
        drawing.line(Layer::ScaleBar, from, from + DVec2::X * (step_mm * n_steps as f64));
        for step in 0..=n_steps {
            let at = from + DVec2::X * (step_mm * step as f64);
            let labelled = step % n_labelled == 0;
            let half = step % 5 == 0;
            let tick = if labelled {
                4.0
            } else if half {
                2.8
            } else {
                1.6
            };
            drawing.line(Layer::ScaleBar, at, at + DVec2::Y * tick);
            if labelled && (step == 0 || step == n_steps || n_labelled > 1) && step % (n_labelled * 2) == 0
                || step == n_steps
            {
                let unit = if step == n_steps { unit } else { "" };
                drawing.text(at + DVec2::new(0.6, 2.0), SMALL_MM, Anchor::Left, format!("{step} {unit}"));
            }
        }
    }
    y - 10.0
}

/// Lines of words, broken to a width; returns the height of the last base line.
pub(crate) fn lines(
    drawing: &mut Drawing,
    words: &[String],
    corner: DVec2,
    width_mm: f64,
    size_mm: f64,
) -> f64 {
    let n_letters = (width_mm / (LETTER_WIDTH * size_mm)) as usize;
    let mut y = corner.y;
    for line in words.iter().flat_map(|line| broken(line, n_letters)) {
        y -= 1.35 * size_mm;
        drawing.text(DVec2::new(corner.x, y), size_mm, Anchor::Left, line);
    }
    y
}

/// A line broken between words.
fn broken(line: &str, n_letters: usize) -> Vec<String> {
    let mut parts: Vec<String> = Vec::new();
    for word in line.split_whitespace() {
        match parts.last_mut() {
            Some(part) if part.chars().count() + 1 + word.chars().count() <= n_letters => {
                part.push(' ');
                part.push_str(word);
            }
            _ => parts.push(word.to_owned()),
        }
    }
    parts
}
