//! How far a cut reaches: around the bore, down the wall, and away from the axis. Leaves out how much it removes.

use glam::{DVec2, DVec3};

use crate::relief_cutter::Cutter;
use crate::relief_line::{deepest_on_line, inside_on_line};
use crate::relief_outline::{least_of_span, negative_spans};
use crate::relief_volume::Metal;

/// Where a cut ends.
#[derive(Clone, Debug, PartialEq)]
pub struct Extent {
    /// Azimuths between which the bore wall or its chamfer, or the side of the piston, is opened, in radians from
    /// `+x` toward `+y`; ascending, the second may pass pi.
    pub azimuths: Vec<[f64; 2]>,
    /// The lowest point of the removed metal.
    pub lowest: DVec3,
    /// The point of the removed metal farthest from the bore axis.
    pub farthest: DVec3,
}

/// Azimuths at which the wall is looked at first.
const N_LOOKS: usize = 256;

/// Looks within a span for its lowest place.
const N_LOOKS_IN_SPAN: usize = 64;

/// Directions about the cutter's axis that are looked at for the farthest point, and looks along its rounded corner.
const N_LOOKS_AROUND: usize = 128;
const N_LOOKS_IN_CORNER: usize = 6;

/// Outside by more than this, in metres, a distance need not be exact: between two looks the border moves less on a bore
/// of up to 160 mm, so that no dip into the cutter can be next to it.
const FAR_M: f64 = 2e-3;

/// Lines of the border start this far below the cutter, in metres.
const BELOW_M: f64 = 1e-4;

/// Halvings for the farthest point on one azimuth.
const N_HALVINGS: usize = 44;

/// The extent of the metal removed; `None` when the cutter does not reach any.
pub fn extent(cutter: &Cutter, metal: &Metal) -> Option<Extent> {
    if cutter.lowest() >= 0.0 {
        return None;
    }
    let border = Border { cutter, metal, below: cutter.lowest() - BELOW_M };
    let azimuths = negative_spans(|azimuth| border.deepest(azimuth), N_LOOKS);
    let lowest = border.lowest(&azimuths)?;
    let farthest = border.farthest(&azimuths)?;
    Some(Extent { azimuths, lowest, farthest })
}

/// Bore wall and chamfer, or the side of a piston, under a cutter.
struct Border<'a> {
    cutter: &'a Cutter,
    metal: &'a Metal,
    /// A level below the whole cutter.
    below: f64,
}

impl Border<'_> {
    /// The straight lines of the border at an azimuth, from below upward: start and way.
    fn lines(&self, azimuth: f64) -> [Option<[DVec3; 2]>; 2] {
        let out = DVec2::from_angle(azimuth);
        let at = |radius: f64, z: f64| (out * radius).extend(z);
        match *self.metal {
            Metal::Piston { radius } => [Some([at(radius, self.below), at(0.0, -self.below)]), None],
            Metal::Block { bore_radius, chamfer_width, chamfer_depth } => {
                let wall = (self.below < -chamfer_depth)
                    .then(|| [at(bore_radius, self.below), at(0.0, -chamfer_depth - self.below)]);
                let chamfer = (chamfer_depth > 0.0)
                    .then(|| [at(bore_radius, -chamfer_depth), at(chamfer_width, chamfer_depth)]);
                [wall, chamfer]
            }
        }
    }

    /// Signed distance of the deepest border point at an azimuth from the cutter's surface; where that is far outside, a
    /// lesser distance that is outside too.
    fn deepest(&self, azimuth: f64) -> f64 {
        let distance = |[from, way]: [DVec3; 2]| {
            let at_least = self.cutter.distance(from + 0.5 * way) - 0.5 * way.length();
            if at_least > FAR_M { at_least } else { deepest_on_line(self.cutter, from, way, [0.0, 1.0]).1 }
        };
        self.lines(azimuth).into_iter().flatten().map(distance).fold(f64::INFINITY, f64::min)
    }

    /// The lowest border point that is cut at an azimuth.
    fn lowest_at(&self, azimuth: f64) -> Option<DVec3> {
        let lines = self.lines(azimuth);
        let mut cut = lines.iter().flatten().filter_map(|&[from, way]| {
            inside_on_line(self.cutter, from, way, [0.0, 1.0]).map(|[low, _]| from + way * low)
        });
        cut.next()
    }

    /// The cutter's own lowest point if that is metal; else the removed metal is lowest on the border, because the
    /// cutter's underside only rises from its lowest point.
    fn lowest(&self, azimuths: &[[f64; 2]]) -> Option<DVec3> {
        let cutter = self.cutter;
        let lean = DVec2::new(cutter.axis.x, cutter.axis.y);
        let own = if cutter.is_upright() {
            let off = DVec2::new(cutter.end.x, cutter.end.y);
            let toward = match self.metal {
                Metal::Block { .. } => off.try_normalize().unwrap_or(DVec2::X),
                // As far to the bore axis as the flat goes.
                Metal::Piston { .. } => -off / cutter.flat.max(off.length()),
            };
            cutter.end + (toward * cutter.flat).extend(0.0)
        } else {
            // Down the end's slope, which lies to the side that the axis leans to.
            let down = (lean.normalize() * cutter.axis.z).extend(-lean.length());
            cutter.end + cutter.axis * cutter.corner + down * cutter.flat - DVec3::Z * cutter.corner
        };
        if self.metal.holds(own) {
            return Some(own);
        }
        let height = |azimuth: f64| self.lowest_at(azimuth).map_or(0.0, |p| p.z);
        let best = azimuths.iter().map(|&span| least_of_span(height, span, N_LOOKS_IN_SPAN));
        let best = best.min_by(|a, b| a.value.total_cmp(&b.value))?;
        self.lowest_at(best.at)
    }

    /// Farthest point of the removed metal from the bore axis.
    fn farthest(&self, azimuths: &[[f64; 2]]) -> Option<DVec3> {
        let own = self.farthest_of_cutter()?;
        let out = DVec2::new(own.x, own.y);
        match self.metal {
            _ if self.metal.holds(own) => Some(own),
            // The cutter comes out of the piston's side.
            Metal::Piston { radius } => Some((out.normalize() * *radius).extend(own.z)),
            Metal::Block { .. } => {
                let cost = |azimuth: f64| self.farthest_at(azimuth).map_or(0.0, |p| -p.truncate().length());
                let best = azimuths.iter().map(|&span| least_of_span(cost, span, N_LOOKS_IN_SPAN));
                let best = best.min_by(|a, b| a.value.total_cmp(&b.value))?;
                self.farthest_at(best.at)
            }
        }
    }

    /// Farthest point of the cutter from the bore axis, at or below the level `z = 0`.
    ///
    /// The distance from an axis is convex, so along every straight line up the cutter's side it is greatest at an
    /// end: at the level, or where the side runs into the corner; else it is greatest on the corner.
    fn farthest_of_cutter(&self) -> Option<DVec3> {
        let corner_angle = std::f64::consts::FRAC_PI_2 - self.cutter.layback[0].asin();
        let off = |p: DVec3| if p.z <= 0.0 { -p.truncate().length() } else { f64::INFINITY };
        let on_corner = |angle: f64, from_down: f64| {
            let (sin, cos) = from_down.sin_cos();
            let corner = self.cutter.corner;
            self.cutter.point(angle, self.cutter.flat + corner * sin, corner * (1.0 - cos))
        };
        let best_at = |angle: f64| {
            let foot = on_corner(angle, corner_angle);
            let mut best = foot;
            if self.cutter.corner > 0.0 {
                let cost = |from_down: f64| off(on_corner(angle, from_down));
                let found = least_of_span(cost, [0.0, corner_angle], N_LOOKS_IN_CORNER);
                if found.value < off(best) {
                    best = on_corner(angle, found.at);
                }
            }
            if foot.z <= 0.0 {
                let [sin, cos] = self.cutter.layback;
                let way =
                    self.cutter.axis * cos + (self.cutter.point(angle, 1.0, 0.0) - self.cutter.end) * sin;
                let at_level = foot - way * (foot.z / way.z);
                let at_level = at_level.truncate().extend(0.0);
                if off(at_level) <= off(best) {
                    best = at_level;
                }
            }
            best
        };
        let turn = [-std::f64::consts::PI, std::f64::consts::PI];
        let best = least_of_span(|angle| off(best_at(angle)), turn, N_LOOKS_AROUND);
        best.value.is_finite().then(|| best_at(best.at))
    }

    /// Farthest removed point on one azimuth, where the block's chamfer takes off the cutter's own farthest.
    ///
    /// Upright lines are cut where their lower part, below chamfer and level, dips into the cutter; how deep it dips
    /// is a convex function of their distance from the bore axis, as both solids are convex in the half plane.
    fn farthest_at(&self, azimuth: f64) -> Option<DVec3> {
        let Metal::Block { bore_radius, chamfer_width, chamfer_depth } = *self.metal else { return None };
        let out = DVec2::from_angle(azimuth);
        let dip = |radius: f64| {
            let in_chamfer = if chamfer_width > 0.0 { (radius - bore_radius) / chamfer_width } else { 1.0 };
            let top = (chamfer_depth * (in_chamfer - 1.0)).min(0.0);
            let from = (out * radius).extend(self.below);
            let way = DVec3::Z * (top - self.below);
            let (at, distance) = deepest_on_line(self.cutter, from, way, [0.0, 1.0]);
            (from + way * at, distance)
        };
        let beyond = bore_radius + chamfer_width;
        let deepest = least_of_span(|radius| dip(radius).1, [bore_radius, beyond], N_LOOKS_IN_CORNER);
        if deepest.value > 0.0 {
            return None;
        }
        let (mut low, mut high) = (deepest.at, beyond);
        for _ in 0..N_HALVINGS {
            let middle = 0.5 * (low + high);
            if dip(middle).1 <= 0.0 {
                low = middle;
            } else {
                high = middle;
            }
        }
        Some(dip(low).0)
    }
}
