//! Wall, deck and crown unrolled, with the gap of the valves at every point: what layout dye shows after a trial assembly.
//! Leaves out colours and paper, and everything but valves (gasket, head face, chamber).
//!
//! Positive gaps to block and deck are straight distances, as `valve_to_metal` has them, over the whole lift; where the
//! valve runs in, the depth is taken at the place where its deepest point would come out. Gaps to the crown are along the
//! valve, as `two_turns` has them, over the crank angles that were asked for. The least of a map is then the gap of its
//! check, but for the width of a cell.

use std::f64::consts::TAU;

use glam::DVec3;

use crate::dye_swept::{depth_behind, least_over_lift};
use crate::lift_law::LiftLaw;
use crate::relief_cutter::Cutter;
use crate::solid::{Obstacle, Profile, ValveHead};
use crate::two_turns::MovingParts;

/// A surface around the bore's axis with a gap at every node of a grid of azimuths and heights or radii.
#[derive(Clone, Debug, PartialEq)]
pub struct DyeMap {
    /// Azimuth of the first and last column, in radians from `+x` toward `+y`: where the surface is cut open.
    pub seam_rad: f64,
    /// Cells around; there is one column of nodes more, and the last is the first again.
    pub n_columns: usize,
    /// First and last row: heights over the deck on a wall, radii on deck and crown; in metres.
    pub along_m: [f64; 2],
    /// Cells along; there is one row of nodes more.
    pub n_rows: usize,
    /// Least gap at each node, row by row, in metres; infinite where no valve ever passes.
    pub gap_m: Vec<f64>,
    /// The same less the limit of the valve that comes nearest to its limit.
    pub over_limit_m: Vec<f64>,
}

impl DyeMap {
    /// Azimuth of a column, in radians, and place of a row, in metres; fractions lie between.
    pub fn place(&self, column: f64, row: f64) -> [f64; 2] {
        let [from, to] = self.along_m;
        [self.seam_rad + TAU * column / self.n_columns as f64, from + (to - from) * row / self.n_rows as f64]
    }

    /// The least gap of all.
    pub fn least_gap_m(&self) -> f64 {
        self.gap_m.iter().copied().fold(f64::INFINITY, f64::min)
    }

    /// The map opened where the gap is greatest, so that what is near a limit stays in one piece.
    pub fn opened_at_widest(&self) -> Self {
        let width = self.n_columns + 1;
        let least = |column: usize| {
            self.over_limit_m.iter().skip(column).step_by(width).copied().fold(f64::INFINITY, f64::min)
        };
        let widest = (1..self.n_columns).fold((0, least(0)), |best, column| {
            let value = least(column);
            if value > best.1 { (column, value) } else { best }
        });
        let turned = |values: &[f64]| {
            values
                .chunks(width)
                .flat_map(|row| (0..width).map(|column| row[(column + widest.0) % self.n_columns]))
                .collect()
        };
        Self {
            seam_rad: self.place(widest.0 as f64, 0.0)[0],
            gap_m: turned(&self.gap_m),
            over_limit_m: turned(&self.over_limit_m),
            ..self.clone()
        }
    }
}

/// A valve on its way, and the least gap it may have.
#[derive(Clone, Copy, Debug)]
pub struct Passing<'a> {
    /// The valve at its seat, in the bore frame.
    pub valve: &'a ValveHead,
    /// How far it opens, in metres.
    pub travel_m: f64,
    /// The least its gap may be, in metres.
    pub limit_m: f64,
}

/// How fine a map is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fineness {
    /// Cells around.
    pub n_columns: usize,
    /// Cells along.
    pub n_rows: usize,
}

/// The bore's wall from the foot of its chamfer down to `depth_m` below the deck; the floor and wall of a relief are seen
/// through its opening, straight outward.
pub fn wall(block: &Obstacle, valves: &[Passing], depth_m: f64, fineness: Fineness) -> DyeMap {
    let (radius, [_, chamfer_depth]) = edge_of(block);
    let along_m = [-depth_m, -chamfer_depth];
    map(along_m, fineness, valves, |passing, [azimuth, z]| {
        let out = DVec3::new(azimuth.cos(), azimuth.sin(), 0.0);
        gap_to_block(block, passing, out * radius + DVec3::Z * z, out)
    })
}

/// Chamfer and deck from the bore's edge out to `reach_m` beyond it, seen from above; floors of reliefs are seen through
/// their openings.
pub fn deck(block: &Obstacle, valves: &[Passing], reach_m: f64, fineness: Fineness) -> DyeMap {
    let (radius, [width, depth]) = edge_of(block);
    map([radius, radius + reach_m], fineness, valves, |passing, [azimuth, r]| {
        let below = if r < radius + width { depth * (1.0 - (r - radius) / width) } else { 0.0 };
        let p = DVec3::new(r * azimuth.cos(), r * azimuth.sin(), -below);
        gap_to_block(block, passing, p, -DVec3::Z)
    })
}

/// Radius of the bore, width and depth of its chamfer.
fn edge_of(block: &Obstacle) -> (f64, [f64; 2]) {
    let radius = match &block.plan {
        crate::solid::Plan::Circle { radius, .. } => *radius,
        crate::solid::Plan::Polygon { .. } => 0.0,
    };
    match block.profile {
        Profile::Block { width, depth } => (radius, [width, depth]),
        _ => (radius, [0.0; 2]),
    }
}

/// Gap of a valve to a point of the block's surface; where something was cut away, to what is seen behind it along `way`.
fn gap_to_block(block: &Obstacle, passing: &Passing, p: DVec3, way: DVec3) -> f64 {
    let swept = |q: DVec3| least_over_lift(passing.valve, passing.travel_m, q);
    let seen = behind_cuts(&block.cuts, p, way);
    let gap = swept(seen);
    if seen != p {
        return gap;
    }
    // Deeper than it is away a valve can only be that has come in beside this point.
    if gap > NEAR_M {
        return gap;
    }
    let depth = depth_behind(block, p, swept);
    if depth > 0.0 { gap.min(-depth) } else { gap }
}

/// Points farther than this from the valve have none of it behind them that a nearer point would not show, in metres.
const NEAR_M: f64 = 3e-3;

/// Ways through a cut are followed to this, and no farther than so far, in metres.
const ON_CUT_M: f64 = 1e-7;
const LONGEST_WAY_M: f64 = 0.1;

/// Where one looking along `way` from a point sees metal: the point itself unless it was cut away.
fn behind_cuts(cuts: &[Cutter], p: DVec3, way: DVec3) -> DVec3 {
    let mut gone = 0.0;
    while gone < LONGEST_WAY_M {
        let deepest = cuts.iter().map(|cutter| -cutter.distance(p + way * gone)).fold(0.0, f64::max);
        if deepest <= ON_CUT_M {
            break;
        }
        gone += deepest;
    }
    if gone == 0.0 { p } else { p + way * gone }
}

/// Crank angles at which the crown is looked at, and the limits of its valves.
#[derive(Clone, Copy, Debug)]
pub struct Turning<'a> {
    /// In degrees of the cycle.
    pub crank_deg: &'a [f64],
    /// The least the gap of each valve may be, in metres, in the order of the parts.
    pub limits_m: &'a [f64],
}

/// The crown seen from above, out to the edge of the piston: for each valve how much farther it could open before its face
/// meets that point, at the worst of the crank angles and leans; infinite where its face never stands over the point.
///
/// Each valve sees the crown with its own pocket alone, as in [`MovingParts`]. The upright walls of pockets are edge on.
pub fn crown<L: LiftLaw>(parts: &MovingParts<L>, turning: Turning, fineness: Fineness) -> DyeMap {
    let radius = parts.top.radius_m;
    let width = fineness.n_columns + 1;
    let mut found = empty([0.0, radius], fineness);
    let leans: &[f64] = if parts.rock_rad == 0.0 { &[0.0] } else { &[-1.0, 1.0] };
    for (valve, limit_m) in parts.valves.iter().zip(turning.limits_m) {
        let nodes: Vec<DVec3> = (0..=fineness.n_rows)
            .flat_map(|row| (0..width).map(move |column| [column as f64, row as f64]))
            .map(|[column, row]| {
                let [azimuth, r] = found.place(column, row);
                let above = DVec3::new(r * azimuth.cos(), r * azimuth.sin(), ABOVE_M);
                above - DVec3::Z * valve.crown.travel(above, -DVec3::Z).travel
            })
            .collect();
        for &crank_deg in turning.crank_deg {
            let lift_m = valve.lift.lift_m(crank_deg);
            for &lean in leans {
                let head = parts.pose(crank_deg, lean).valve_in_piston(&valve.head, lift_m);
                let radius_sq = head.head_radius * head.head_radius;
                for (idx, node) in nodes.iter().enumerate() {
                    let from_face = *node - head.seated;
                    let height = from_face.dot(head.axis);
                    if from_face.length_squared() - height * height <= radius_sq {
                        found.see(idx, -height, *limit_m);
                    }
                }
            }
        }
    }
    found
}

/// Crowns are looked at from this height over their flat, in metres.
const ABOVE_M: f64 = 0.1;

impl DyeMap {
    fn see(&mut self, idx: usize, gap_m: f64, limit_m: f64) {
        self.gap_m[idx] = self.gap_m[idx].min(gap_m);
        self.over_limit_m[idx] = self.over_limit_m[idx].min(gap_m - limit_m);
    }
}

fn empty(along_m: [f64; 2], Fineness { n_columns, n_rows }: Fineness) -> DyeMap {
    let unknown = vec![f64::INFINITY; (n_columns + 1) * (n_rows + 1)];
    DyeMap { seam_rad: 0.0, n_columns, along_m, n_rows, gap_m: unknown.clone(), over_limit_m: unknown }
}

fn map(
    along_m: [f64; 2],
    fineness: Fineness,
    valves: &[Passing],
    gap_m: impl Fn(&Passing, [f64; 2]) -> f64,
) -> DyeMap {
    let mut found = empty(along_m, fineness);
    let width = fineness.n_columns + 1;
    for idx in 0..found.gap_m.len() {
        let (column, row) = (idx % width, idx / width);
        if column == fineness.n_columns {
            found.gap_m[idx] = found.gap_m[idx - column];
            found.over_limit_m[idx] = found.over_limit_m[idx - column];
            continue;
        }
        let place = found.place(column as f64, row as f64);
        for passing in valves {
            found.see(idx, gap_m(passing, place), passing.limit_m);
        }
    }
    found
}
