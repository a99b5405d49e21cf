//! Whether the springs keep the train together at speed: effective mass, lift-off, surge. Leaves out bending of the parts,
//! damping and valve bounce.

use parts::spring::{Coil, ValveSprings};
use parts::train::Train;
use units::angular_velocity::{radian_per_second, revolution_per_second};
use units::force::newton;
use units::mass::kilogram;
use units::{AngularVelocity, CrankAngle, Force, Mass};

use crate::spring::{SpringLoad, active_mass, rate_of_wire, spring_mass};
use crate::valve_motion::{CYCLE_DEG, ValveMotion};
use crate::valve_train::ratio_number;

/// Looks through the cycle: half a crank degree apart.
const N_LOOKS: usize = 1440;
/// Share of a spring's mass that moves with the valve: one end stands still, the other moves with it, so the kinetic
/// energy is that of a third (Rayleigh's method; Timoshenko 1937, "Vibration Problems in Engineering", from memory).
const SPRING_SHARE: f64 = 1.0 / 3.0;

/// Mass at the valve that has the inertia of the whole train.
///
/// m = valve + retainer + spring/3 + rocker inertia/arm^2 + (pushrod + tappet)/ratio^2: kinetic energy is kept when each part
/// moves with its own share of the valve's speed (valve-train texts, from memory). Parts that are not given count as
/// nothing, which flatters the train.
pub fn effective_mass(train: &Train, springs: &ValveSprings) -> Mass {
    let masses = &train.masses;
    let ratio = ratio_number(train.ratio.value);
    let of = |reading: Option<units::Reading<Mass>>| reading.map_or(Mass::default(), |m| m.value);
    masses.valve.value
        + masses.retainer.value
        + spring_mass(springs).unwrap_or_default() * SPRING_SHARE
        + of(masses.rocker_at_valve)
        + (of(masses.pushrod) + of(masses.tappet)) / (ratio * ratio)
}

/// How firmly the train is held together at one speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LiftOffMargin {
    /// Spring force less what the deceleration of the valve takes, where that is least; negative when the train
    /// comes apart.
    pub force: Force,
    /// Where in the cycle.
    pub at: CrankAngle,
}

/// Least force left in the train while the valve is off its seat, at a crank speed.
///
/// Force between the parts = spring(y) + m a, a = y'' w^2: the rigid train; it comes apart where that is negative.
pub fn lift_off_margin(
    motion: &ValveMotion,
    load: &SpringLoad,
    mass: Mass,
    crank_speed: AngularVelocity,
) -> LiftOffMargin {
    let deg_per_s = crank_speed.get::<radian_per_second>().to_degrees();
    let kg = mass.get::<kilogram>();
    let force = |deg: f64| {
        let [lift, _, per_deg2, _] = motion.jet_m(deg);
        if lift > 0.0 { load.at_m(lift) + kg * per_deg2 * deg_per_s * deg_per_s } else { f64::INFINITY }
    };
    let (at, least) = least_over_cycle(force);
    let newtons = if least.is_finite() { least } else { load.at_m(0.0) };
    LiftOffMargin { force: Force::new::<newton>(newtons), at: CrankAngle::from_degrees(at) }
}

/// Crank speed at which the margin is gone, and where in the cycle the train then comes apart first.
///
/// The rigid train comes apart where spring(y) = -m y'' w^2, so the speed is the least of sqrt(spring/(-m y'')) over all
/// angles with the valve decelerating: closed form at each angle. Real trains loft some hundred rpm earlier because they
/// bend (cam designers aim a couple of hundred rpm above the highest speed used; racing press). `None` when nothing
/// decelerates or nothing has mass.
pub fn lift_off_speed(
    motion: &ValveMotion,
    load: &SpringLoad,
    mass: Mass,
) -> Option<(AngularVelocity, CrankAngle)> {
    let kg = mass.get::<kilogram>();
    let speed_squared = |deg: f64| {
        let [lift, _, per_deg2, _] = motion.jet_m(deg);
        let pull = -kg * per_deg2;
        if lift > 0.0 && pull > 0.0 { load.at_m(lift) / pull } else { f64::INFINITY }
    };
    let (at, least) = least_over_cycle(speed_squared);
    let rad_per_s = least.sqrt().to_radians();
    rad_per_s
        .is_finite()
        .then(|| (AngularVelocity::new::<radian_per_second>(rad_per_s), CrankAngle::from_degrees(at)))
}

/// Place in crank degrees and value of the least over a cycle: looks, then golden section around the best.
fn least_over_cycle(of: impl Fn(f64) -> f64) -> (f64, f64) {
    let step = CYCLE_DEG / N_LOOKS as f64;
    let mut best = (0.0, f64::INFINITY);
    for i in 0..N_LOOKS {
        let deg = i as f64 * step;
        let value = of(deg);
        if value < best.1 {
            best = (deg, value);
        }
    }
    let golden = 0.5 * (5f64.sqrt() - 1.0);
    let (mut lo, mut hi) = (best.0 - step, best.0 + step);
    for _ in 0..50 {
        let (a, b) = (hi - golden * (hi - lo), lo + golden * (hi - lo));
        if of(a) <= of(b) { hi = b } else { lo = a }
    }
    let refined = 0.5 * (lo + hi);
    let value = of(refined);
    if value < best.1 { (refined.rem_euclid(CYCLE_DEG), value) } else { best }
}

/// Lowest frequency of a spring between two fixed ends, the pattern in which it surges; one cycle counts as one
/// revolution.
///
/// f = sqrt(k/m)/2, m the mass of the active coils; Shigley, "Mechanical Engineering Design" ch. on springs, from
/// memory. From wire alone this is about 14 070 d/(D^2 n) Hz for steel in inches. `None` without a wire: neither the
/// weighed mass nor the rate alone tells which coils are active.
pub fn surge_frequency(coil: &Coil) -> Option<AngularVelocity> {
    let wire = coil.wire?;
    let rate = rate_of_wire(&wire).newtons_per_metre();
    let kg = active_mass(&wire).get::<kilogram>();
    Some(AngularVelocity::new::<revolution_per_second>(0.5 * (rate / kg).sqrt()))
}

/// A spring's surge against the cam that drives it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Surge {
    /// Surge frequency over the cam's turning frequency. Practice asks for 11 to 13 at the highest speed and more;
    /// below, strong harmonics of the lift drive the surge (racing press; Shigley asks 15 to 20).
    pub order: f64,
    /// The whole harmonic of the cam nearest to it.
    pub harmonic: usize,
    /// Size of that harmonic in the lift, as a share of the greatest lift.
    pub share: f64,
    /// Crank speed at which that harmonic hits the surge exactly.
    pub resonance: AngularVelocity,
}

/// Which harmonic of the lift is nearest to a surge frequency at a crank speed, and how strong it is.
pub fn surge(motion: &ValveMotion, frequency: AngularVelocity, crank_speed: AngularVelocity) -> Surge {
    let cam_hz = 0.5 * crank_speed.get::<radian_per_second>() / std::f64::consts::TAU;
    let order = frequency.get::<revolution_per_second>() / cam_hz;
    let harmonic = order.round().clamp(1.0, 1000.0) as usize;
    let resonance = 2.0 * std::f64::consts::TAU * frequency.get::<revolution_per_second>() / harmonic as f64;
    Surge {
        order,
        harmonic,
        share: harmonic_share(motion, harmonic),
        resonance: AngularVelocity::new::<radian_per_second>(resonance),
    }
}

/// Amplitude of a harmonic of the cam in the valve's lift over its greatest lift: Fourier's integral by the trapezoidal
/// rule, which for periodic curves is as good as the curve is smooth.
pub fn harmonic_share(motion: &ValveMotion, harmonic: usize) -> f64 {
    let n = N_LOOKS.max(8 * harmonic);
    let (mut cosine, mut sine) = (0.0, 0.0);
    for i in 0..n {
        let turn = i as f64 / n as f64;
        let lift = motion.lift_m(turn * CYCLE_DEG);
        let (s, c) = (std::f64::consts::TAU * harmonic as f64 * turn).sin_cos();
        cosine += lift * c;
        sine += lift * s;
    }
    let greatest = motion.lift_m(motion.nose().degrees());
    if greatest > 0.0 { 2.0 / n as f64 * cosine.hypot(sine) / greatest } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use parts::spring::{CoilLoad, Wire};
    use units::length::inch;
    use units::ratio::ratio;
    use units::{Length, Ratio, Reading, SpringRate};

    /// The spring of 296 lb/in: 434 Hz (Shigley's formula).
    #[test]
    fn exact_surge_frequency() {
        fn catalogue<Q: Default>(value: Q) -> Reading<Q> {
            Reading::catalogue(value, Q::default())
        }
        let wire = Wire {
            diameter: catalogue(Length::new::<inch>(0.2)),
            mean_diameter: catalogue(Length::new::<inch>(1.2)),
            active_coils: catalogue(Ratio::new::<ratio>(4.5)),
        };
        let rate = SpringRate::from_newtons_per_metre(50e3);
        let coil = Coil {
            installed_height: catalogue(Length::new::<inch>(1.8)),
            load: CoilLoad::Linear {
                seat_load: catalogue(Force::new::<newton>(400.0)),
                rate: Reading::catalogue(rate, rate),
            },
            coil_bind_height: None,
            wire: Some(wire),
            mass: None,
        };
        let got = surge_frequency(&coil).expect("a wire").get::<revolution_per_second>();
        assert!((got - 434.0).abs() < 1.0, "{got}");
    }
}
