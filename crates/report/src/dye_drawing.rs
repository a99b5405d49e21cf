//! The dye map on paper: wall, deck and crown unrolled at full size, coloured by the gap, with the line of contact, the line
//! of the limit and the worst spots. Leaves out how the gaps are found.
//!
//! Colours run from dark orange to pale blue, which eyes of every kind tell apart, and get lighter all the way; what hits is
//! hatched crosswise too, what is under its limit one way.

use std::f64::consts::{FRAC_PI_4, TAU};

use fit::dye_map::DyeMap;
use glam::DVec2;

use crate::cautions::CAUTIONS;
use crate::contour::{Corner, Grid, hatch, loops_below, stretches};
use crate::drawing::{Anchor, Color, Drawing, Layer, Vertex};
use crate::page::{MARGIN_MM, SMALL_MM, TEXT_MM, TITLE_MM, lines, scale_bars};
use crate::sheet::{Paper, Sheet};

/// The maps of one cylinder and what is said about them.
#[derive(Clone, Debug)]
pub struct DyeSheet {
    /// Build and cylinder, in words.
    pub title: String,
    /// Radius of the bore, in metres.
    pub bore_radius_m: f64,
    /// The wall.
    pub wall: DyeMap,
    /// The deck.
    pub deck: DyeMap,
    /// The crown, where valves and crank are known to move.
    pub crown: Option<DyeMap>,
    /// The worst spots, worst first.
    pub spots: Vec<DyeSpot>,
    /// Further lines.
    pub remarks: Vec<String>,
}

/// A surface of the map.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DyeSurface {
    /// Cylinder wall.
    Wall,
    /// Chamfer and deck.
    Deck,
    /// Piston crown.
    Crown,
}

/// A spot to mark.
#[derive(Clone, Debug, PartialEq)]
pub struct DyeSpot {
    /// Where it is marked.
    pub on: DyeSurface,
    /// The point of the bore frame, in metres.
    pub point_m: [f64; 3],
    /// What is to be known of it.
    pub words: String,
}

/// Gaps of up to so much over their limit are shown as near, and as far, in metres.
pub const NEAR_OVER_LIMIT_M: f64 = 1e-3;
/// See [`NEAR_OVER_LIMIT_M`].
pub const FAR_OVER_LIMIT_M: f64 = 3e-3;

/// A gap that is less than its limit by no more than this is at it, in metres: cuts are laid out to leave just the limit.
pub const AT_LIMIT_M: f64 = 1e-5;

/// Bands over the limit, in metres, and their colours; the widest first, as they are painted.
const BANDS: [(f64, Color); 3] = [
    (FAR_OVER_LIMIT_M, Color { red: 222, green: 235, blue: 247, index: 7 }),
    (NEAR_OVER_LIMIT_M, Color { red: 146, green: 197, blue: 222, index: 7 }),
    (0.0, Color { red: 253, green: 196, blue: 86, index: 7 }),
];

/// Where parts run into each other.
const HIT: Color = Color { red: 202, green: 80, blue: 20, index: 7 };

const WHITE: Color = Color { red: 255, green: 255, blue: 255, index: 7 };

/// Distances of hatching lines, in millimetres.
const HIT_HATCH_MM: f64 = 1.2;
const TIGHT_HATCH_MM: f64 = 1.8;

const MM_PER_M: f64 = 1e3;

/// Room between the parts of the sheet, in millimetres.
const SPACE_MM: f64 = 12.0;

/// Width of the column of words beside the plans, in millimetres.
const WORDS_MM: f64 = 100.0;

/// Hours that stand farther to the side than this share of the radius are written beside the plan, the others over and
/// under it.
const BESIDE: f64 = 0.3;

/// Radius of a spot's number plate, in millimetres.
const PLATE_MM: f64 = 2.3;

/// The sheet, as large as the maps at full size need.
pub fn dye_drawing(sheet: &DyeSheet) -> Sheet {
    let bore_mm = sheet.bore_radius_m * MM_PER_M;
    let deck_mm = sheet.deck.along_m[1] * MM_PER_M;
    let crown_mm = sheet.crown.as_ref().map_or(0.0, |crown| crown.along_m[1] * MM_PER_M);
    let n_plans = if sheet.crown.is_some() { 2.0 } else { 1.0 };
    let plans_mm = 2.0 * (deck_mm + crown_mm) + n_plans * (SPACE_MM + 8.0);
    let width = (TAU * bore_mm + 2.0 * MARGIN_MM + 16.0).max(plans_mm + WORDS_MM + 2.0 * MARGIN_MM).ceil();

    // Laid out downward from 0; the height of the paper follows.
    let mut drawing = Drawing::default();
    let mut y = -MARGIN_MM - TITLE_MM;
    drawing.text(DVec2::new(MARGIN_MM, y), TITLE_MM, Anchor::Left, sheet.title.clone());
    y -= 2.0 * TEXT_MM;
    let how = "Full size: print at 100 % and measure the bars. The wall's strip, wrapped into the bore with its front at \
               the front and its upper edge at the deck, lies where it was taken.";
    drawing.text(DVec2::new(MARGIN_MM, y), TEXT_MM, Anchor::Left, how);
    y -= 3.0 * TEXT_MM;

    let [low, high] = sheet.wall.along_m.map(|along| along * MM_PER_M);
    let heading = "Cylinder wall, seen from inside the bore, clockwise to the right";
    drawing.text(DVec2::new(MARGIN_MM, y), TEXT_MM, Anchor::Left, heading);
    y -= 9.0;
    let strip =
        Strip { corner: DVec2::new(MARGIN_MM + 8.0, y), seam_rad: sheet.wall.seam_rad, radius_mm: bore_mm };
    paint(&mut drawing, &sheet.wall, &|at| strip.place(at));
    strip.frame(&mut drawing, [low, high]);
    y -= -low + 2.0 * PLATE_MM + SPACE_MM;

    let top = y;
    let mut x = MARGIN_MM;
    let mut bottom = y;
    let plans = [
        (Some(&sheet.deck), deck_mm, "Deck, seen from above"),
        (sheet.crown.as_ref(), crown_mm, "Piston crown, seen from above"),
    ];
    let mut centers = [DVec2::ZERO; 2];
    for ((map, radius_mm, heading), center) in plans.into_iter().zip(&mut centers) {
        let Some(map) = map else { continue };
        *center = DVec2::new(x + radius_mm + 6.0, top - 10.0 - radius_mm);
        drawing.text(DVec2::new(x, top), TEXT_MM, Anchor::Left, heading);
        let at = *center;
        paint(&mut drawing, map, &|[azimuth, r]| at + DVec2::from_angle(azimuth) * (r * MM_PER_M));
        for edge in map.along_m.map(|r| r * MM_PER_M).into_iter().filter(|radius| *radius > 0.0) {
            drawing.circle(Layer::Bore, at, edge);
        }
        drawing.cross(Layer::Centers, at, 3.0);
        for hour in 1..=12 {
            let way = DVec2::from_angle(azimuth_of(hour));
            let at = at + way * (radius_mm + 2.5 + way.y.abs()) - DVec2::Y * 1.0;
            let anchor = match way.x {
                x if x > BESIDE => Anchor::Left,
                x if x < -BESIDE => Anchor::Right,
                _ => Anchor::Middle,
            };
            drawing.text(at, SMALL_MM, anchor, hour_words(hour));
        }
        x += 2.0 * (radius_mm + 6.0) + SPACE_MM - 4.0;
        bottom = bottom.min(center.y - radius_mm - 8.0);
    }

    let mut plates = Vec::new();
    for (idx, spot) in sheet.spots.iter().enumerate() {
        let plan = DVec2::new(spot.point_m[0], spot.point_m[1]) * MM_PER_M;
        let out = plan.try_normalize().unwrap_or(DVec2::X);
        let (at, plate) = match spot.on {
            DyeSurface::Wall => {
                let at = strip.place([plan.to_angle(), spot.point_m[2]]);
                (at, DVec2::new(at.x, strip.corner.y + low - PLATE_MM - 1.5))
            }
            DyeSurface::Deck => (centers[0] + plan, centers[0] + plan - out * 10.0),
            DyeSurface::Crown => (centers[1] + plan, centers[1] + plan - out * 10.0),
        };
        mark(&mut drawing, at, clear_of(&plates, plate), idx + 1);
        plates.push(plate);
    }

    let column = width - MARGIN_MM - WORDS_MM;
    let end = words(&mut drawing, sheet, DVec2::new(column, top));
    bottom = bottom.min(end) - 4.0;
    bottom = scale_bars(&mut drawing, bottom) - 2.0;
    let cautions: Vec<String> = CAUTIONS.map(String::from).into();
    bottom = lines(&mut drawing, &cautions, DVec2::new(MARGIN_MM, bottom), width - 2.0 * MARGIN_MM, SMALL_MM);

    let height = (MARGIN_MM - bottom).ceil();
    let mut moved = Drawing::default();
    moved.add_moved(&drawing, DVec2::Y * height);
    let paper = Paper::Other { width_mm: width as u16, height_mm: height as u16 };
    Sheet { paper, title: sheet.title.clone(), origin: centers[0] + DVec2::Y * height, drawing: moved }
}

/// The wall's strip on the paper.
struct Strip {
    /// Where its upper left corner, at the height of the deck, is.
    corner: DVec2,
    seam_rad: f64,
    radius_mm: f64,
}

impl Strip {
    /// An azimuth and a height over the deck on the paper. Clockwise, seen from above, is to the right.
    fn place(&self, [azimuth, height_m]: [f64; 2]) -> DVec2 {
        let turn = azimuth - self.seam_rad;
        // Columns run once around from the seam; a single place may be given a turn farther on.
        let share = if (0.0..=TAU).contains(&turn) { turn } else { turn.rem_euclid(TAU) };
        self.corner + DVec2::new((TAU - share) * self.radius_mm, height_m * MM_PER_M)
    }

    fn frame(&self, drawing: &mut Drawing, [low, high]: [f64; 2]) {
        let (left, right) = (self.corner.x, self.corner.x + TAU * self.radius_mm);
        let corners = [(left, low), (right, low), (right, high), (left, high)];
        let corners = corners.map(|(x, z)| Vertex { at: DVec2::new(x, self.corner.y + z), bulge: 0.0 });
        drawing.path(Layer::Bore, corners.into(), true);
        let up = self.corner.y + 1.0;
        for hour in 1..=12 {
            let at = self.place([azimuth_of(hour), 0.0]);
            drawing.line(Layer::Centers, DVec2::new(at.x, self.corner.y + high), DVec2::new(at.x, up + 1.0));
            drawing.text(DVec2::new(at.x, up + 2.0), SMALL_MM, Anchor::Middle, hour_words(hour));
        }
        // Depth below the deck, millimetres on the left, inches on the right.
        for step in (0..).map(|step| 5.0 * f64::from(step)).take_while(|depth| *depth <= -low) {
            let at = DVec2::new(left, self.corner.y - step);
            drawing.line(Layer::Dimensions, at, at - DVec2::X * 1.5);
            drawing.text(at - DVec2::new(2.0, 1.0), SMALL_MM, Anchor::Right, format!("{step:.0}"));
        }
        for step in (0..).map(|step| 0.25 * f64::from(step)).take_while(|depth| *depth * 25.4 <= -low) {
            let at = DVec2::new(right, self.corner.y - step * 25.4);
            drawing.line(Layer::Dimensions, at, at + DVec2::X * 1.5);
            drawing.text(at + DVec2::new(2.0, -1.0), SMALL_MM, Anchor::Left, format!("{step:.2}"));
        }
        let foot = self.corner.y + low - 4.0;
        drawing.text(DVec2::new(left - 2.0, foot), SMALL_MM, Anchor::Right, "mm");
        drawing.text(DVec2::new(right + 2.0, foot), SMALL_MM, Anchor::Left, "in");
    }
}

/// Azimuth of an hour on a clock seen from above, its 12 at the front.
fn azimuth_of(hour: u32) -> f64 {
    -TAU * f64::from(hour % 12) / 12.0
}

fn hour_words(hour: u32) -> String {
    if hour == 12 { "12 front".to_owned() } else { hour.to_string() }
}

/// Colours, hatching and lines of one map; `place` takes azimuth and row to the paper.
fn paint(drawing: &mut Drawing, map: &DyeMap, place: &dyn Fn([f64; 2]) -> DVec2) {
    let n_columns = map.n_columns + 1;
    let over = Grid { n_columns, values: &map.over_limit_m };
    let gap = Grid { n_columns, values: &map.gap_m };
    let on_paper = |loops: &[Vec<Corner>]| -> Vec<Vec<DVec2>> {
        let corner = |corner: &Corner| place(map.place(corner.at.x, corner.at.y));
        loops.iter().map(|corners| corners.iter().map(corner).collect()).collect()
    };
    let mut paint_one = |loops: &[Vec<Corner>], color: Color| {
        let placed = on_paper(loops);
        if !placed.is_empty() {
            drawing.area(Layer::Dye, placed.clone(), color);
        }
        placed
    };
    for (level, color) in &BANDS[..2] {
        paint_one(&loops_below(over, *level), *color);
    }
    let (limit, contact) = (loops_below(over, -AT_LIMIT_M), loops_below(gap, 0.0));
    let tight = paint_one(&limit, BANDS[2].1);
    let hits = paint_one(&contact, HIT);
    for ends in hatch(&tight, FRAC_PI_4, TIGHT_HATCH_MM) {
        drawing.line(Layer::Hatch, ends[0], ends[1]);
    }
    for turn in [FRAC_PI_4, -FRAC_PI_4] {
        for ends in hatch(&hits, turn, HIT_HATCH_MM) {
            drawing.line(Layer::Hatch, ends[0], ends[1]);
        }
    }
    let mut labels: Vec<DVec2> = Vec::new();
    for (loops, placed, layer, words) in
        [(&contact, &hits, Layer::Contact, "0"), (&limit, &tight, Layer::Limit, "limit")]
    {
        for (corners, placed) in loops.iter().zip(placed) {
            for line in stretches(corners, placed) {
                label(drawing, &mut labels, &line, words);
                let vertices = line.into_iter().map(|at| Vertex { at, bulge: 0.0 }).collect();
                drawing.path(layer, vertices, false);
            }
        }
    }
}

/// Lines shorter than this have no label, and labels keep this far from each other, in millimetres.
const LABELLED_MM: f64 = 15.0;
const LABELS_APART_MM: f64 = 12.0;

/// Writes on a line what it is, on white, in its middle.
fn label(drawing: &mut Drawing, known: &mut Vec<DVec2>, line: &[DVec2], words: &str) {
    let length: f64 = line.windows(2).map(|ends| ends[0].distance(ends[1])).sum();
    let at = line[line.len() / 2];
    if length < LABELLED_MM || known.iter().any(|other| other.distance(at) < LABELS_APART_MM) {
        return;
    }
    known.push(at);
    let half = DVec2::new(0.29 * SMALL_MM * words.len() as f64 + 0.5, 0.55 * SMALL_MM);
    let corners = [-half, DVec2::new(half.x, -half.y), half, DVec2::new(-half.x, half.y)];
    drawing.area(Layer::Dimensions, vec![corners.map(|by| at + by).into()], WHITE);
    drawing.text(at - DVec2::Y * (0.35 * SMALL_MM), SMALL_MM, Anchor::Middle, words);
}

/// A place for a number plate that no other covers.
fn clear_of(known: &[DVec2], mut plate: DVec2) -> DVec2 {
    while known.iter().any(|other| other.distance(plate) < 2.2 * PLATE_MM) {
        plate.x += 2.2 * PLATE_MM;
    }
    plate
}

/// A cross at a spot, and its number on a plate beside it.
fn mark(drawing: &mut Drawing, at: DVec2, plate: DVec2, number: usize) {
    let layer = Layer::Dimensions;
    let way = (plate - at).try_normalize().unwrap_or(DVec2::Y);
    for arm in [DVec2::new(1.5, 1.5), DVec2::new(1.5, -1.5)] {
        drawing.line(Layer::Bore, at - arm, at + arm);
    }
    drawing.line(layer, at, plate - way * PLATE_MM);
    let around = (0..24).map(|idx| plate + DVec2::from_angle(TAU * f64::from(idx) / 24.0) * PLATE_MM);
    drawing.area(layer, vec![around.collect()], WHITE);
    drawing.circle(layer, plate, PLATE_MM);
    drawing.text(plate - DVec2::Y * 1.0, SMALL_MM, Anchor::Middle, number.to_string());
}

/// The key, the worst spots and the remarks; returns the height of the last line.
fn words(drawing: &mut Drawing, sheet: &DyeSheet, corner: DVec2) -> f64 {
    let mut y = corner.y;
    drawing.text(DVec2::new(corner.x, y), TEXT_MM, Anchor::Left, "Key: gap between valve and surface");
    let mm = |metres: f64| crate::drawing::both(metres * MM_PER_M);
    let rows = [
        (HIT, "hits: the parts run into each other".to_owned()),
        (BANDS[2].1, "clears, but under its limit".to_owned()),
        (BANDS[1].1, format!("up to {} over its limit", mm(BANDS[1].0))),
        (BANDS[0].1, format!("up to {} over its limit", mm(BANDS[0].0))),
        (WHITE, "more, or no valve ever there".to_owned()),
    ];
    for (idx, (color, words)) in rows.into_iter().enumerate() {
        y -= 6.0;
        let [width, height] = [9.0, 4.4];
        let at = DVec2::new(corner.x, y - 1.2);
        let box_of = [at, at + DVec2::X * width, at + DVec2::new(width, height), at + DVec2::Y * height];
        drawing.area(Layer::Dye, vec![box_of.into()], color);
        drawing.path(Layer::Frame, box_of.map(|at| Vertex { at, bulge: 0.0 }).into(), true);
        let turns: &[f64] = match idx {
            0 => &[FRAC_PI_4, -FRAC_PI_4],
            1 => &[FRAC_PI_4],
            _ => &[],
        };
        let spacing = if idx == 0 { HIT_HATCH_MM } else { TIGHT_HATCH_MM };
        for turn in turns {
            for ends in hatch(&[box_of.into()], *turn, spacing) {
                drawing.line(Layer::Hatch, ends[0], ends[1]);
            }
        }
        drawing.text(DVec2::new(corner.x + width + 2.5, y), TEXT_MM, Anchor::Left, words);
    }
    for (layer, words) in
        [(Layer::Contact, "0: where they touch"), (Layer::Limit, "limit: where the gap is on it")]
    {
        y -= 5.5;
        let from = DVec2::new(corner.x, y + 1.0);
        drawing.line(layer, from, from + DVec2::X * 9.0);
        drawing.text(DVec2::new(corner.x + 11.5, y), TEXT_MM, Anchor::Left, words);
    }
    y -= 4.0;
    let spots = sheet.spots.iter().enumerate().map(|(idx, spot)| format!("{} {}", idx + 1, spot.words));
    let mut all: Vec<String> = vec!["The worst spots:".to_owned()];
    all.extend(spots);
    all.extend(sheet.remarks.iter().cloned());
    lines(drawing, &all, DVec2::new(corner.x, y), WORDS_MM, TEXT_MM)
}
