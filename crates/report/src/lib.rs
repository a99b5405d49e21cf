//! Drawings and files a machinist works from: one description of a cut, written as DXF, SVG, PDF, PNG and STL.
//!
//! A [`Drawing`] is in millimetres in the plane of deck or crown seen from above, `+x` to the right (toward the front
//! of the engine), `+y` up (to the left of the engine). A [`Sheet`] is the same with a sheet of paper around it, at
//! full size.

pub mod drawing;
pub mod letters;
pub mod cut_drawing;
pub mod cut_words;
pub mod cautions;
pub mod sheet;
mod page;
pub mod template;
pub mod contour;
pub mod dye_drawing;
pub mod svg;
pub mod pdf;
#[cfg(feature = "png")]
pub mod png;
pub mod ground;
#[cfg(feature = "png")]
pub mod picture;
pub mod dxf_file;
pub mod stl;

pub use cut_drawing::{CutSheet, Dowel, cut_drawing};
pub use drawing::{Drawing, Layer};
pub use dxf_file::dxf;
pub use dye_drawing::{DyeSheet, DyeSpot, DyeSurface, dye_drawing};
pub use ground::Ground;
pub use pdf::pdf;
#[cfg(feature = "png")]
pub use picture::{SLIDE, picture, slide};
#[cfg(feature = "png")]
pub use png::{PRINT_DPI, SCREEN_DPI, png};
pub use sheet::{Paper, Sheet};
pub use stl::stl;
pub use svg::svg;
pub use template::{TemplateError, template};
