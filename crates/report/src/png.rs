//! A sheet as PNG: its SVG painted, with fonts that are built in. Leaves out everything a screen could do with it.

use std::sync::{Arc, OnceLock};

use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree, fontdb};
use thiserror::Error;

use crate::sheet::Sheet;
use crate::svg::svg;

/// Why there is no picture.
#[derive(Debug, Error)]
pub enum PngError {
    /// The drawing's own SVG is not understood.
    #[error("the drawing cannot be painted: {0}")]
    Painted(#[from] resvg::usvg::Error),
    /// So many dots do not fit a picture.
    #[error("{0} by {1} dots are no picture")]
    Size(u32, u32),
    /// It cannot be packed.
    #[error("the picture cannot be written: {0}")]
    Written(#[from] png::EncodingError),
}

/// Dots to the inch that show lines of a tenth of a millimetre, and print well.
pub const PRINT_DPI: f64 = 300.0;

/// Dots to the inch for a screen, where a map of a bore is two to three thousand dots wide.
pub const SCREEN_DPI: f64 = 200.0;

const MM_PER_INCH: f64 = 25.4;
const INCHES_PER_METRE: f64 = 1e3 / MM_PER_INCH;

/// The sheet as a PNG file of that many dots to the inch, which it states, so that it prints at full size. The same sheet
/// makes the same bytes.
pub fn png(sheet: &Sheet, dots_per_inch: f64) -> Result<Vec<u8>, PngError> {
    // A user unit is a millimetre, and the size is given in millimetres: at this many dots an inch they are the same.
    let options = Options { dpi: MM_PER_INCH as f32, fontdb: fonts(), ..Options::default() };
    let tree = Tree::from_str(&svg(sheet), &options)?;
    let scale = dots_per_inch / MM_PER_INCH;
    let [width, height] = sheet.paper.size_mm().map(|side| (side * scale).round().max(1.0) as u32);
    let mut picture = Pixmap::new(width, height).ok_or(PngError::Size(width, height))?;
    resvg::render(&tree, Transform::from_scale(scale as f32, scale as f32), &mut picture.as_mut());
    packed(&picture, Some((dots_per_inch * INCHES_PER_METRE).round() as u32))
}

/// The dots as a file, which says how many go to a metre where that is known. The ground is one colour throughout: there is
/// nothing to see through.
pub(crate) fn packed(picture: &Pixmap, per_metre: Option<u32>) -> Result<Vec<u8>, PngError> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, picture.width(), picture.height());
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_pixel_dims(per_metre.map(|dots| png::PixelDimensions {
        xppu: dots,
        yppu: dots,
        unit: png::Unit::Meter,
    }));
    let rgb: Vec<u8> = picture.data().chunks_exact(4).flat_map(|dot| [dot[0], dot[1], dot[2]]).collect();
    encoder.write_header()?.write_image_data(&rgb)?;
    Ok(bytes)
}

/// The built-in fonts. Words are set in Libertinus Serif, which is narrower than the Helvetica that widths are reckoned
/// with: what does not overlap there does not here.
pub(crate) fn fonts() -> Arc<fontdb::Database> {
    static FONTS: OnceLock<Arc<fontdb::Database>> = OnceLock::new();
    let load = || {
        let mut known = fontdb::Database::new();
        for font in typst_assets::fonts() {
            known.load_font_data(font.to_vec());
        }
        known.set_sans_serif_family("Libertinus Serif");
        Arc::new(known)
    };
    FONTS.get_or_init(load).clone()
}
