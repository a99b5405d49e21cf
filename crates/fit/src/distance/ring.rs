//! The least value of a distance along a circle in space.

use glam::DVec3;

use super::RESOLUTION_M;
use super::minimise::Minimum;

/// A circle in space: the point at angle `t` is `center + to_cos cos t + to_sin sin t`.
#[derive(Clone, Copy, Debug)]
pub struct Ring {
    /// Its centre.
    pub center: DVec3,
    /// From the centre to the point at angle 0.
    pub to_cos: DVec3,
    /// From the centre to the point at a right angle.
    pub to_sin: DVec3,
}

impl Ring {
    /// A circle in a plane of constant `z`.
    pub fn level(x: f64, y: f64, z: f64, radius: f64) -> Self {
        Self { center: DVec3::new(x, y, z), to_cos: DVec3::X * radius, to_sin: DVec3::Y * radius }
    }

    /// The point at an angle.
    pub fn point(&self, angle: f64) -> DVec3 {
        let (sin, cos) = angle.sin_cos();
        self.center + self.to_cos * cos + self.to_sin * sin
    }

    /// The ring with its angles counted from the one given.
    #[inline]
    pub(super) fn turned(&self, [cos, sin]: [f64; 2]) -> Self {
        Self {
            center: self.center,
            to_cos: self.to_cos * cos + self.to_sin * sin,
            to_sin: self.to_sin * cos - self.to_cos * sin,
        }
    }
}

/// A distance and its gradient at a point.
pub type Sloped = (f64, DVec3);

/// Places on a ring that may be looked at, and how many of them are looked at first.
const N_PLACES: usize = 128;
const N_FIRST: usize = 8;

/// Value and slope along a ring at a place.
#[derive(Clone, Copy)]
pub(super) struct Look {
    pub value: f64,
    pub slope: f64,
}

#[inline]
pub(super) fn look(ring: &Ring, [cos, sin]: [f64; 2], distance: &impl Fn(DVec3) -> Sloped) -> Look {
    let (value, gradient) = distance(ring.center + ring.to_cos * cos + ring.to_sin * sin);
    Look { value, slope: gradient.dot(ring.to_sin * cos - ring.to_cos * sin) }
}

/// The lowest a distance can be between two looks `step` apart on a ring of that radius.
///
/// It cannot fall faster than the place moves; and where it nowhere bends down by more than `bend`, the tangents at the
/// ends, each turned down by what the bend allows, cannot cross higher than it runs.
#[inline]
pub(super) fn floor_between(left: Look, right: Look, step: f64, radius: f64, bend: f64) -> f64 {
    let ends = left.value.min(right.value);
    let from_left = left.slope - 0.5 * bend * step;
    let from_right = right.slope + 0.5 * bend * step;
    if from_left >= 0.0 || from_right <= 0.0 {
        return ends;
    }
    let steepest = 0.5 * (left.value + right.value - radius * step);
    let cross = (right.value - left.value - from_right * step) / (from_left - from_right);
    let crossing = left.value + from_left * cross;
    // With no bound on the bend the crossing is no number, and does not count.
    if crossing > steepest { crossing.min(ends) } else { steepest.min(ends) }
}

/// Least `distance` over the ring: the angle where, and the value, true to [`RESOLUTION_M`]. Nothing is looked for above
/// `to_beat`; what comes back is then just not below it.
///
/// `bend` bounds how sharply the distance may curve downward along the ring, in metres per radian squared. A distance to a
/// convex solid never bends down more than the ring itself does, which is its radius; a stretch whose floor is above the
/// lowest value seen is left alone, the others are halved.
#[inline]
pub fn least_on_ring(ring: &Ring, bend: f64, to_beat: f64, distance: impl Fn(DVec3) -> Sloped) -> Minimum {
    let radius = ring.to_cos.length();
    let first_looks: [Look; N_FIRST] =
        std::array::from_fn(|idx| look(ring, PLACES[idx * FIRST_STRETCH], &distance));
    let first = (1..N_FIRST)
        .fold(0, |least, idx| if first_looks[idx].value < first_looks[least].value { idx } else { least });
    let mut lowest = Minimum { at: 0.0, value: to_beat };
    let see = |lowest: &mut Minimum, at: f64, value: f64| {
        if value < lowest.value {
            *lowest = Minimum { at, value };
        }
    };
    see(&mut lowest, angle_of(first * FIRST_STRETCH), first_looks[first].value);
    for away in 0..N_FIRST {
        // The stretches 0, -1, 1, -2, 2 ... from the lowest look.
        let offset = if away % 2 == 0 { away / 2 } else { N_FIRST - away.div_ceil(2) };
        let idx = (first + offset) % N_FIRST;
        let ends = [first_looks[idx], first_looks[(idx + 1) % N_FIRST]];
        let mut open = [Stretch { start: idx * FIRST_STRETCH, length: FIRST_STRETCH, ends }; MAX_OPEN];
        let mut n_open = 1;
        while n_open > 0 {
            n_open -= 1;
            let Stretch { start, length, ends: [left, right] } = open[n_open];
            let step = length as f64 * PLACE_STEP;
            if floor_between(left, right, step, radius, bend) > lowest.value - RESOLUTION_M {
                continue;
            }
            if length > 1 {
                let half = length / 2;
                let middle = look(ring, PLACES[start + half], &distance);
                see(&mut lowest, angle_of(start + half), middle.value);
                open[n_open] = Stretch { start, length: half, ends: [left, middle] };
                open[n_open + 1] = Stretch { start: start + half, length: half, ends: [middle, right] };
                n_open += 2;
            } else if left.slope < 0.0 && right.slope > 0.0 {
                let ends = [(0.0, left), (PLACE_STEP, right)];
                let found = valley(&ring.turned(PLACES[start]), ends, bend, &distance);
                see(&mut lowest, angle_of(start) + found.at, found.value);
            }
        }
    }
    lowest
}

/// A stretch of a ring between two looks, by the places it starts at and spans.
#[derive(Clone, Copy)]
struct Stretch {
    start: usize,
    length: usize,
    ends: [Look; 2],
}

/// Places in each of the first stretches, and how many stretches halving them can leave open.
const FIRST_STRETCH: usize = N_PLACES / N_FIRST;
const MAX_OPEN: usize = FIRST_STRETCH.ilog2() as usize + 1;

fn angle_of(place: usize) -> f64 {
    place as f64 * PLACE_STEP
}

/// Angle between neighbouring places.
const PLACE_STEP: f64 = std::f64::consts::TAU / N_PLACES as f64;

/// Finest angle worth finding: less than a nanometre on any ring here, even where the distance has a kink.
const PLACE_ACCURACY: f64 = 1e-8;

/// Steps after which any bracket is exhausted.
const MAX_STEPS: usize = 64;

/// The valley between a place where the distance falls and one where it rises.
///
/// Takes turns between the zero of the slope's secant, which is right for a smooth valley, and the crossing of the end
/// tangents, which is right for a kink. The tangents also say how much lower the valley can be.
#[inline]
pub(super) fn valley(
    ring: &Ring,
    [(mut low, mut falls), (mut high, mut rises)]: [(f64, Look); 2],
    bend: f64,
    distance: &impl Fn(DVec3) -> Sloped,
) -> Minimum {
    // Where no bound is known, the ring's own bend is the usual one.
    let bend = if bend.is_finite() { bend } else { 2.0 * ring.to_cos.length() };
    let mut best = if falls.value < rises.value {
        Minimum { at: low, value: falls.value }
    } else {
        Minimum { at: high, value: rises.value }
    };
    for step_idx in 0..MAX_STEPS {
        let width = high - low;
        if width < PLACE_ACCURACY {
            break;
        }
        let falls_to_zero = width * falls.slope / (falls.slope - rises.slope);
        let crossing = (rises.value - falls.value - rises.slope * width) / (falls.slope - rises.slope);
        let sag = 0.5 * bend * width;
        let (down, up) = (falls.slope - sag, rises.slope + sag);
        let floor = falls.value + down * (rises.value - falls.value - up * width) / (down - up);
        if best.value - floor < RESOLUTION_M {
            break;
        }
        let inner = match step_idx % 3 {
            0 => falls_to_zero,
            1 => crossing,
            _ => 0.5 * width,
        };
        let middle = low + inner.clamp(1e-3 * width, 0.999 * width);
        let (sin, cos) = small_sin_cos(middle);
        let here = look(ring, [cos, sin], distance);
        if here.value < best.value {
            best = Minimum { at: middle, value: here.value };
        }
        let way = if here.slope < 0.0 { high - middle } else { middle - low };
        if (here.slope.abs() + sag) * way < RESOLUTION_M {
            break;
        }
        if here.slope < 0.0 { (low, falls) = (middle, here) } else { (high, rises) = (middle, here) }
    }
    best
}

/// sin and cos of an angle below half a radian, by their series to the 13th power: true to 1e-16.
#[inline]
fn small_sin_cos(x: f64) -> (f64, f64) {
    let q = x * x;
    let sin = x
        * (1.0
            - q / 6.0
                * (1.0
                    - q / 20.0
                        * (1.0 - q / 42.0 * (1.0 - q / 72.0 * (1.0 - q / 110.0 * (1.0 - q / 156.0))))));
    let cos = 1.0
        - q / 2.0
            * (1.0
                - q / 12.0
                    * (1.0
                        - q / 30.0
                            * (1.0 - q / 56.0 * (1.0 - q / 90.0 * (1.0 - q / 132.0 * (1.0 - q / 182.0))))));
    (sin, cos)
}

/// How far from a known valley the valley of a scene that differs by tolerances is looked for.
const NEAR: f64 = 0.25;

/// Least `distance` in the valley around a known angle, for scenes that differ little from one already solved.
#[inline]
pub fn least_on_ring_near(ring: &Ring, angle: f64, distance: impl Fn(DVec3) -> Sloped) -> Minimum {
    let (sin, cos) = angle.sin_cos();
    let ring = ring.turned([cos, sin]);
    let here = look(&ring, [1.0, 0.0], &distance);
    if here.slope == 0.0 {
        return Minimum { at: angle, value: here.value };
    }
    // Downhill in growing strides until it rises.
    let mut from = (0.0, here);
    let mut stride = if here.slope < 0.0 { 0.02 } else { -0.02 };
    loop {
        let at = from.0 + stride;
        let (sin, cos) = small_sin_cos(at);
        let next = look(&ring, [cos, sin], &distance);
        if next.slope * here.slope <= 0.0 {
            let bracket = if from.0 < at { [from, (at, next)] } else { [(at, next), from] };
            let found = valley(&ring, bracket, ring.to_cos.length(), &distance);
            return Minimum { at: angle + found.at, value: found.value };
        }
        if at.abs() > NEAR {
            return Minimum { at: angle + at, value: next.value.min(here.value) };
        }
        from = (at, next);
        stride *= 2.0;
    }
}

/// cos and sin of the places.
#[expect(clippy::approx_constant, reason = "a table of equal steps, written out")]
static PLACES: [[f64; 2]; N_PLACES] = [
    [1.0, 0.0],
    [0.9987954562051724, 0.04906767432741801],
    [0.9951847266721969, 0.0980171403295606],
    [0.989176509964781, 0.14673047445536175],
    [0.9807852804032304, 0.19509032201612825],
    [0.970031253194544, 0.24298017990326387],
    [0.9569403357322088, 0.29028467725446233],
    [0.9415440651830208, 0.33688985339222005],
    [0.9238795325112867, 0.3826834323650898],
    [0.9039892931234433, 0.4275550934302821],
    [0.881921264348355, 0.47139673682599764],
    [0.8577286100002721, 0.5141027441932217],
    [0.8314696123025452, 0.5555702330196022],
    [0.8032075314806449, 0.5956993044924334],
    [0.773010453362737, 0.6343932841636455],
    [0.7409511253549591, 0.6715589548470183],
    [0.7071067811865476, 0.7071067811865475],
    [0.6715589548470183, 0.7409511253549591],
    [0.6343932841636455, 0.773010453362737],
    [0.5956993044924335, 0.8032075314806448],
    [0.5555702330196023, 0.8314696123025452],
    [0.5141027441932217, 0.8577286100002721],
    [0.4713967368259978, 0.8819212643483549],
    [0.4275550934302822, 0.9039892931234433],
    [0.38268343236508984, 0.9238795325112867],
    [0.33688985339222005, 0.9415440651830208],
    [0.29028467725446233, 0.9569403357322089],
    [0.24298017990326398, 0.970031253194544],
    [0.19509032201612833, 0.9807852804032304],
    [0.14673047445536175, 0.989176509964781],
    [0.09801714032956077, 0.9951847266721968],
    [0.04906767432741813, 0.9987954562051724],
    [6e-17, 1.0],
    [-0.04906767432741801, 0.9987954562051724],
    [-0.09801714032956065, 0.9951847266721969],
    [-0.14673047445536164, 0.989176509964781],
    [-0.1950903220161282, 0.9807852804032304],
    [-0.24298017990326387, 0.970031253194544],
    [-0.29028467725446216, 0.9569403357322089],
    [-0.33688985339221994, 0.9415440651830208],
    [-0.3826834323650897, 0.9238795325112867],
    [-0.42755509343028186, 0.9039892931234434],
    [-0.4713967368259977, 0.881921264348355],
    [-0.5141027441932217, 0.8577286100002721],
    [-0.555570233019602, 0.8314696123025455],
    [-0.5956993044924334, 0.8032075314806449],
    [-0.6343932841636454, 0.7730104533627371],
    [-0.6715589548470184, 0.740951125354959],
    [-0.7071067811865475, 0.7071067811865476],
    [-0.7409511253549589, 0.6715589548470186],
    [-0.773010453362737, 0.6343932841636455],
    [-0.8032075314806448, 0.5956993044924335],
    [-0.8314696123025453, 0.5555702330196022],
    [-0.857728610000272, 0.5141027441932218],
    [-0.8819212643483549, 0.47139673682599786],
    [-0.9039892931234433, 0.42755509343028203],
    [-0.9238795325112867, 0.3826834323650899],
    [-0.9415440651830207, 0.33688985339222033],
    [-0.9569403357322088, 0.2902846772544624],
    [-0.970031253194544, 0.24298017990326407],
    [-0.9807852804032304, 0.1950903220161286],
    [-0.989176509964781, 0.1467304744553618],
    [-0.9951847266721968, 0.09801714032956083],
    [-0.9987954562051724, 0.04906767432741797],
    [-1.0, 1.2e-16],
    [-0.9987954562051724, -0.04906767432741772],
    [-0.9951847266721969, -0.09801714032956059],
    [-0.989176509964781, -0.14673047445536158],
    [-0.9807852804032304, -0.19509032201612836],
    [-0.970031253194544, -0.24298017990326382],
    [-0.9569403357322089, -0.2902846772544621],
    [-0.9415440651830208, -0.3368898533922201],
    [-0.9238795325112868, -0.38268343236508967],
    [-0.9039892931234434, -0.4275550934302818],
    [-0.881921264348355, -0.47139673682599764],
    [-0.8577286100002721, -0.5141027441932216],
    [-0.8314696123025455, -0.555570233019602],
    [-0.8032075314806449, -0.5956993044924332],
    [-0.7730104533627371, -0.6343932841636453],
    [-0.7409511253549591, -0.6715589548470184],
    [-0.7071067811865477, -0.7071067811865475],
    [-0.6715589548470187, -0.7409511253549589],
    [-0.6343932841636459, -0.7730104533627367],
    [-0.5956993044924331, -0.803207531480645],
    [-0.5555702330196022, -0.8314696123025452],
    [-0.5141027441932218, -0.857728610000272],
    [-0.47139673682599786, -0.8819212643483549],
    [-0.4275550934302825, -0.9039892931234431],
    [-0.38268343236509034, -0.9238795325112865],
    [-0.33688985339221994, -0.9415440651830208],
    [-0.29028467725446244, -0.9569403357322088],
    [-0.24298017990326412, -0.970031253194544],
    [-0.19509032201612866, -0.9807852804032303],
    [-0.1467304744553623, -0.9891765099647809],
    [-0.09801714032956045, -0.9951847266721969],
    [-0.04906767432741803, -0.9987954562051724],
    [-1.8e-16, -1.0],
    [0.04906767432741766, -0.9987954562051724],
    [0.09801714032956009, -0.9951847266721969],
    [0.14673047445536194, -0.9891765099647809],
    [0.1950903220161283, -0.9807852804032304],
    [0.24298017990326376, -0.970031253194544],
    [0.29028467725446205, -0.9569403357322089],
    [0.3368898533922196, -0.9415440651830209],
    [0.38268343236509, -0.9238795325112866],
    [0.42755509343028214, -0.9039892931234433],
    [0.4713967368259976, -0.881921264348355],
    [0.5141027441932216, -0.8577286100002722],
    [0.5555702330196018, -0.8314696123025455],
    [0.5956993044924329, -0.8032075314806453],
    [0.6343932841636456, -0.7730104533627369],
    [0.6715589548470183, -0.7409511253549591],
    [0.7071067811865474, -0.7071067811865477],
    [0.7409511253549589, -0.6715589548470187],
    [0.7730104533627367, -0.6343932841636459],
    [0.803207531480645, -0.5956993044924332],
    [0.8314696123025452, -0.5555702330196022],
    [0.857728610000272, -0.5141027441932219],
    [0.8819212643483548, -0.4713967368259979],
    [0.9039892931234431, -0.42755509343028253],
    [0.9238795325112865, -0.3826834323650904],
    [0.9415440651830208, -0.33688985339222],
    [0.9569403357322088, -0.2902846772544625],
    [0.970031253194544, -0.24298017990326418],
    [0.9807852804032303, -0.19509032201612872],
    [0.9891765099647809, -0.1467304744553624],
    [0.9951847266721969, -0.0980171403295605],
    [0.9987954562051724, -0.04906767432741809],
];
