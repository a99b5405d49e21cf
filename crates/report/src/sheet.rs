//! A sheet of paper with a drawing at full size. Leaves out what is on it.

use glam::DVec2;

use crate::drawing::Drawing;

/// Sizes of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 210 by 297 mm.
    A4,
    /// 8.5 by 11 in.
    Letter,
    /// Any other size, in millimetres.
    Other {
        /// From left to right.
        width_mm: u16,
        /// From top to bottom.
        height_mm: u16,
    },
}

impl Paper {
    /// Width and height, upright, in millimetres.
    pub fn size_mm(self) -> [f64; 2] {
        match self {
            Self::A4 => [210.0, 297.0],
            Self::Letter => [8.5 * 25.4, 11.0 * 25.4],
            Self::Other { width_mm, height_mm } => [width_mm, height_mm].map(f64::from),
        }
    }

    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "Letter",
            Self::Other { .. } => "a sheet of its own",
        }
    }
}

/// A sheet: the drawing's origin is the lower left corner of the paper, its millimetres are the paper's.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Which paper.
    pub paper: Paper,
    /// Name of the document.
    pub title: String,
    /// Where on the paper the bore's centre lies.
    pub origin: DVec2,
    /// Everything on it.
    pub drawing: Drawing,
}
