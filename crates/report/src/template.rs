//! The paper a machinist tapes to the deck: a cut at full size, with bars that show whether the printer kept the
//! size, and the cautions. Leaves out tiling: what does not fit one sheet is refused.

use glam::DVec2;
use thiserror::Error;

use crate::cautions::CAUTIONS;
use crate::cut_drawing::{CutSheet, cut_drawing};
use crate::cut_words::cut_words;
use crate::drawing::{Anchor, Drawing, Item, Layer};
use crate::page::{MARGIN_MM, SMALL_MM, TEXT_MM, TITLE_MM, lines, scale_bars};
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
    let below = lines(&mut drawing, &cut_words(sheet), DVec2::new(MARGIN_MM, below - 6.0), room, TEXT_MM);
    let cautions: Vec<String> = CAUTIONS.map(String::from).into();
    lines(&mut drawing, &cautions, DVec2::new(MARGIN_MM, below - 3.0), room, SMALL_MM);
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
    if !sheet.kills.is_empty() {
        let words = format!("Does not survive, do not cut: it {}.", sheet.kills.join(" and "));
        y = lines(drawing, &[words], DVec2::new(MARGIN_MM, y), width - 2.0 * MARGIN_MM, TEXT_MM);
    }
    y -= 2.0;
    drawing.line(Layer::Frame, DVec2::new(MARGIN_MM, y), DVec2::new(width - MARGIN_MM, y));
    y
}
