//! The paper a machinist tapes to the deck: a cut at full size, with bars that show whether the printer kept the
//! size, and the cautions. Leaves out tiling: what does not fit one sheet is refused.

use glam::DVec2;
use thiserror::Error;

use crate::cautions::CAUTIONS;
use crate::cut_drawing::{CutSheet, cut_drawing};
use crate::cut_words::cut_words;
use crate::drawing::{Anchor, Drawing, Item, Layer};
use crate::sheet::{Paper, Sheet};

/// Why there is no template.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum TemplateError {
    /// The bore and the cut are larger than the paper.
    #[error("cut and bore need {needed_mm:.0} mm of width, {paper} leaves {width_mm:.0} mm")]
    TooLarge {
        /// Width that is needed.
        needed_mm: f64,
        /// Width that there is.
        width_mm: f64,
        /// Which paper.
        paper: &'static str,
    },
}

/// Blank edge that every printer leaves, in millimetres.
const MARGIN_MM: f64 = 10.0;

/// Sizes of text, in millimetres.
const TITLE_MM: f64 = 5.0;
const TEXT_MM: f64 = 3.2;
const SMALL_MM: f64 = 2.8;

/// Width of an average letter against its size; words are broken by it, with something to spare.
const LETTER_WIDTH: f64 = 0.49;

/// A sheet with the cut at full size.
///
/// The bore's centre stands in the middle of the width. Holes and dowels that do not fit are left off; the words give
/// the dowels' places. Two bars, 100 mm and 4 in, stand below the drawing.
pub fn template(sheet: &CutSheet, paper: Paper) -> Result<Sheet, TemplateError> {
    let [width, height] = paper.size_mm();
    let all = cut_drawing(sheet);
    let bounds = |wanted: &dyn Fn(&Item) -> bool| {
        let drawing = Drawing { items: all.items.iter().filter(|item| wanted(item)).cloned().collect() };
        drawing.bounds().unwrap_or([DVec2::ZERO; 2])
    };
    let room = width - 2.0 * MARGIN_MM;
    // The gasket too, where the paper is wide enough for it.
    let with_gasket = bounds(&|item| must_fit(item) || item.layer == Layer::Gasket);
    let gasket_fits = with_gasket[1].x - with_gasket[0].x <= room;
    let [low, high] = if gasket_fits { with_gasket } else { bounds(&must_fit) };
    if high.x - low.x > room {
        return Err(TemplateError::TooLarge {
            needed_mm: high.x - low.x,
            width_mm: room,
            paper: paper.name(),
        });
    }
    let mut drawing = Drawing::default();
    let top = heading(&mut drawing, sheet, [width, height]);
    let center = DVec2::new(0.5 * width - 0.5 * (low.x + high.x), top - 4.0 - high.y);
    let fits = |item: &&Item| {
        item.bounds().is_none_or(|[item_low, item_high]| {
            let (item_low, item_high) = (item_low + center, item_high + center);
            item_low.x >= MARGIN_MM
                && item_high.x <= width - MARGIN_MM
                && item_high.y <= top
                && item_low.y >= center.y + low.y - 12.0
        })
    };
    let shown = Drawing { items: all.items.iter().filter(fits).cloned().collect() };
    drawing.add_moved(&shown, center);
    let below = scale_bars(&mut drawing, center.y + low.y - 10.0);
    let below = lines(&mut drawing, &cut_words(sheet), below - 6.0, room, TEXT_MM);
    let cautions: Vec<String> = CAUTIONS.map(String::from).into();
    lines(&mut drawing, &cautions, below - 3.0, room, SMALL_MM);
    Ok(Sheet { paper, title: sheet.title.clone(), origin: center, drawing })
}

/// Bore, chamfer and cut have to be on the sheet whole; words and dimensions may shrink into it.
fn must_fit(item: &Item) -> bool {
    matches!(item.layer, Layer::Bore | Layer::Chamfer | Layer::Cut)
}

fn heading(drawing: &mut Drawing, sheet: &CutSheet, [width, height]: [f64; 2]) -> f64 {
    let mut y = height - MARGIN_MM - TITLE_MM;
    drawing.text(DVec2::new(MARGIN_MM, y), TITLE_MM, Anchor::Left, sheet.title.clone());
    y -= 1.5 * TEXT_MM;
    let words = "Full size. Print at 100 %, without fitting to the page; then measure both bars.";
    drawing.text(DVec2::new(MARGIN_MM, y), TEXT_MM, Anchor::Left, words);
    y -= 2.0;
    drawing.line(Layer::Frame, DVec2::new(MARGIN_MM, y), DVec2::new(width - MARGIN_MM, y));
    y
}

/// Two bars with their ticks; returns the height of what is below.
fn scale_bars(drawing: &mut Drawing, y: f64) -> f64 {
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
fn lines(drawing: &mut Drawing, words: &[String], top: f64, width_mm: f64, size_mm: f64) -> f64 {
    let n_letters = (width_mm / (LETTER_WIDTH * size_mm)) as usize;
    let mut y = top;
    for line in words.iter().flat_map(|line| broken(line, n_letters)) {
        y -= 1.35 * size_mm;
        drawing.text(DVec2::new(MARGIN_MM, y), size_mm, Anchor::Left, line);
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
