//! The drawing of a cut: bore, chamfer, gasket, holes and the edge of the metal to remove, with its dimensions.
//! Leaves out paper.

use fit::relief_cut::ReliefCut;
use fit::relief_cutter::Cutter;
use fit::relief_extent::Extent;
use fit::relief_fly_cut::FlyCut;
use fit::relief_outline::{Outline, Piece, outline};
use fit::relief_to_holes::Hole;
use fit::relief_volume::Metal;
use fit::solid::Plan;
use glam::DVec2;
use units::{Length, Volume};

use crate::drawing::{Anchor, Drawing, Layer, Vertex, both};
use crate::letters::{add_clearest, width_mm};

/// A dowel, from which the work is set up.
#[derive(Clone, Debug, PartialEq)]
pub struct Dowel {
    /// What it is called.
    pub name: String,
    /// Along the crank from the bore's centre, positive to the front.
    pub x: Length,
    /// Across the engine from the bore's centre, positive to the left.
    pub y: Length,
    /// Its diameter.
    pub diameter: Length,
}

/// A cut, what is around it, and what it is called.
#[derive(Clone, Debug)]
pub struct CutSheet {
    /// Build, cylinder and valve, in words.
    pub title: String,
    /// The tool, in the frame of the deck or of the crown.
    pub cutter: Cutter,
    /// What it goes into.
    pub metal: Metal,
    /// Its line on deck or crown.
    pub outline: Outline,
    /// How far it reaches.
    pub extent: Option<Extent>,
    /// Metal removed.
    pub volume: Volume,
    /// Edge of the gasket opening.
    pub gasket: Option<Plan>,
    /// Edges of its fire ring or bead.
    pub fire_ring: Vec<Plan>,
    /// Bolt, oil and water holes.
    pub holes: Vec<Hole>,
    /// Dowels.
    pub dowels: Vec<Dowel>,
    /// Further lines of text, such as what the cut leaves.
    pub remarks: Vec<String>,
    /// Why the cut is not to be made; empty when the part survives it.
    pub kills: Vec<String>,
}

impl CutSheet {
    /// A sheet for a cut in the block, without surroundings.
    pub fn of_cut(title: impl Into<String>, cut: &ReliefCut, volume: Volume) -> Self {
        let (outline, extent) = (cut.outline.clone(), cut.extent.clone());
        Self::new(title.into(), (cut.cutter, cut.metal), outline, extent, volume)
    }

    /// A sheet for a pocket in a piston.
    pub fn of_pocket(title: impl Into<String>, cut: &FlyCut, volume: Volume) -> Self {
        let (outline, extent) = (cut.outline.clone(), cut.extent.clone());
        Self::new(title.into(), (cut.cutter, cut.metal), outline, extent, volume)
    }

    fn new(
        title: String,
        (cutter, metal): (Cutter, Metal),
        outline: Outline,
        extent: Option<Extent>,
        volume: Volume,
    ) -> Self {
        let (gasket, fire_ring) = (None, Vec::new());
        let (holes, dowels, remarks, kills) = Default::default();
        Self {
            title,
            cutter,
            metal,
            outline,
            extent,
            volume,
            gasket,
            fire_ring,
            holes,
            dowels,
            remarks,
            kills,
        }
    }
}

const MM_PER_M: f64 = 1e3;

/// Points of a drawn curve that is no circle lie this close to their chords: half a micrometre, in metres.
const CHORDAL_ACCURACY_M: f64 = 5e-7;

/// Arms of centre marks, in millimetres.
const CROSS_MM: f64 = 4.0;

/// The drawing of a cut, origin at the bore's centre, in millimetres.
///
/// Circles are circles and arcs are arcs; curves of leaning cutters are polylines true to half a micrometre.
pub fn cut_drawing(sheet: &CutSheet) -> Drawing {
    let mut drawing = Drawing::default();
    surroundings(&mut drawing, sheet);
    // Where the outline is a circle throughout, say so.
    let drawn = outline(&sheet.cutter, &sheet.metal, CHORDAL_ACCURACY_M);
    for pieces in &drawn.loops {
        match pieces.as_slice() {
            [Piece::Arc { center, radius, .. }] => {
                drawing.circle(Layer::Cut, *center * MM_PER_M, radius * MM_PER_M);
            }
            pieces => drawing.path(Layer::Cut, vertices(pieces), true),
        }
    }
    dimensions(&mut drawing, sheet);
    if !sheet.kills.is_empty() {
        warning(&mut drawing, sheet.metal.top_radius() * MM_PER_M);
    }
    drawing
}

/// Across the whole drawing, under its lines: that it is not to be made.
fn warning(drawing: &mut Drawing, radius_mm: f64) {
    const SLANT_RAD: f64 = 0.6;
    let size_mm = 2.0 * radius_mm / width_mm(DOES_NOT_SURVIVE, 1.0);
    let along = DVec2::from_angle(SLANT_RAD);
    for (row, words) in [DOES_NOT_SURVIVE, DO_NOT_CUT].into_iter().enumerate() {
        let at = -along.perp() * (size_mm * (1.3 * row as f64 + 0.1));
        drawing.turned_text(Layer::Warning, at, size_mm, SLANT_RAD, Anchor::Middle, words.to_owned());
    }
}

/// What stands across a drawing of a cut that the part does not survive.
pub const DOES_NOT_SURVIVE: &str = "DOES NOT SURVIVE";
const DO_NOT_CUT: &str = "DO NOT CUT";

fn surroundings(drawing: &mut Drawing, sheet: &CutSheet) {
    let bore_mm = match sheet.metal {
        Metal::Block { bore_radius, .. } => bore_radius,
        Metal::Piston { radius } => radius,
    } * MM_PER_M;
    drawing.circle(Layer::Bore, DVec2::ZERO, bore_mm);
    drawing.cross(Layer::Centers, DVec2::ZERO, CROSS_MM);
    let edge_mm = sheet.metal.top_radius() * MM_PER_M;
    if edge_mm > bore_mm {
        drawing.circle(Layer::Chamfer, DVec2::ZERO, edge_mm);
    }
    for edge in sheet.gasket.iter().chain(&sheet.fire_ring) {
        match edge {
            Plan::Circle { center, radius } => {
                drawing.circle(Layer::Gasket, DVec2::from_array(*center) * MM_PER_M, radius * MM_PER_M);
            }
            Plan::Polygon { corners } => {
                let corner = |at: &[f64; 2]| Vertex { at: DVec2::from_array(*at) * MM_PER_M, bulge: 0.0 };
                drawing.path(Layer::Gasket, corners.iter().map(corner).collect(), true);
            }
        }
    }
    for hole in &sheet.holes {
        let center = DVec2::new(hole.x.value, hole.y.value) * MM_PER_M;
        drawing.circle(Layer::Holes, center, 0.5 * hole.diameter.value * MM_PER_M);
    }
    for dowel in &sheet.dowels {
        let center = DVec2::new(dowel.x.value, dowel.y.value) * MM_PER_M;
        drawing.circle(Layer::Dowels, center, 0.5 * dowel.diameter.value * MM_PER_M);
        drawing.cross(Layer::Dowels, center, CROSS_MM);
    }
}

/// A closed line of exact arcs and chords; every piece ends where the next starts.
fn vertices(pieces: &[Piece]) -> Vec<Vertex> {
    let mut vertices = Vec::new();
    for piece in pieces {
        match piece {
            Piece::Arc { center, radius, from_rad, to_rad } => {
                let at = (*center + DVec2::from_angle(*from_rad) * *radius) * MM_PER_M;
                vertices.push(Vertex { at, bulge: (0.25 * (to_rad - from_rad)).tan() });
            }
            Piece::Points(points) => {
                let ends = points.len().saturating_sub(1);
                vertices.extend(points[..ends].iter().map(|at| Vertex { at: *at * MM_PER_M, bulge: 0.0 }));
            }
        }
    }
    vertices
}

fn dimensions(drawing: &mut Drawing, sheet: &CutSheet) {
    // Where the cutter's axis goes through deck or crown: what a machinist sets to.
    let cutter = &sheet.cutter;
    let on_axis = cutter.end - cutter.axis * (cutter.end.z / cutter.axis.z);
    let center = on_axis.truncate() * MM_PER_M;
    drawing.cross(Layer::Centers, center, CROSS_MM);
    let corner = DVec2::new(center.x, 0.0);
    if center.x.abs() > LEAST_DIMENSION_MM {
        let off = -8.0 * center.x.signum() * center.y.signum_or(1.0);
        dimension(drawing, DVec2::ZERO, corner, off);
    }
    if center.y.abs() > LEAST_DIMENSION_MM {
        dimension(drawing, corner, center, 8.0 * center.x.signum_or(1.0) * center.y.signum());
    }
    let edge_mm = sheet.metal.top_radius() * MM_PER_M;
    let Some(extent) = &sheet.extent else { return };
    let Some(farthest) = sheet.outline.farthest.map(|p| p * MM_PER_M) else { return };
    let out = farthest.try_normalize().unwrap_or(DVec2::X);
    if let Metal::Block { bore_radius, .. } = sheet.metal {
        let bore_mm = bore_radius * MM_PER_M;
        for &[from, to] in &extent.azimuths {
            if to - from < std::f64::consts::PI {
                let [a, b] = [to, from].map(|azimuth| DVec2::from_angle(azimuth) * bore_mm);
                dimension(drawing, a, b, -0.3 * bore_mm);
            }
        }
        let over = farthest.length() - bore_mm;
        leader(
            drawing,
            farthest,
            words_beside(extent, out) * bore_mm,
            &format!("{} beyond the bore", both(over)),
        );
    } else if farthest.length() < edge_mm - LEAST_DIMENSION_MM {
        let words = format!("{} to the edge", both(edge_mm - farthest.length()));
        leader(drawing, farthest, words_beside(extent, out) * edge_mm, &words);
    }
    // Across the bore from the cut there is room.
    let ways = TURNS_RAD.map(|turn| {
        let mut way = Drawing::default();
        let front = -DVec2::from_angle(turn).rotate(out) * (0.6 * edge_mm) - DVec2::X * 7.0;
        way.leader(front + DVec2::X * 14.0, front, "front");
        way.text(front - DVec2::Y * 4.5, 2.6, Anchor::Middle, "seen from above");
        way
    });
    add_clearest(drawing, ways);
}

/// Other places for a dimension's line, against the usual one, and for words, turned about the bore's centre.
const OFFSETS: [f64; 9] = [1.0, 1.5, 2.0, 2.5, 3.0, -1.0, -1.5, -2.0, -2.5];
const TURNS_RAD: [f64; 9] = [0.0, 0.3, -0.3, 0.6, -0.6, 0.9, -0.9, 1.3, -1.3];

/// A dimension, its line as near the usual place as words leave room.
fn dimension(drawing: &mut Drawing, from: DVec2, to: DVec2, off_mm: f64) {
    add_clearest(
        drawing,
        OFFSETS.map(|share| {
            let mut way = Drawing::default();
            way.dimension(from, to, off_mm * share);
            way
        }),
    );
}

/// Words about a point, as near the usual place as others leave room.
fn leader(drawing: &mut Drawing, to: DVec2, from: DVec2, words: &str) {
    add_clearest(
        drawing,
        TURNS_RAD.map(|turn| {
            let mut way = Drawing::default();
            way.leader(to, DVec2::from_angle(turn).rotate(from), words);
            way
        }),
    );
}

/// Where words about the farthest point stand, in radii: inside the bore, past the upper end of the opening.
fn words_beside(extent: &Extent, out: DVec2) -> DVec2 {
    let half = extent.azimuths.iter().map(|[from, to]| 0.5 * (to - from)).fold(0.0, f64::max);
    let past = half.min(std::f64::consts::FRAC_PI_3) + PAST_OPENING_RAD;
    let turned = [past, -past].map(|turn| DVec2::from_angle(turn).rotate(out) * 0.75);
    if turned[0].y > turned[1].y { turned[0] } else { turned[1] }
}

/// Words stand this far past the end of an opening, in radians.
const PAST_OPENING_RAD: f64 = 0.22;

/// Distances shorter than this are not dimensioned, in millimetres.
const LEAST_DIMENSION_MM: f64 = 0.05;

/// The sign of a number, or another where it is zero.
trait SignumOr {
    fn signum_or(self, other: f64) -> f64;
}

impl SignumOr for f64 {
    fn signum_or(self, other: f64) -> f64 {
        if self == 0.0 { other } else { self.signum() }
    }
}
