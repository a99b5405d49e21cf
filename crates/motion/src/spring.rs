//! How hard the springs push and how far they may still be pressed. Leaves out what happens at speed.

use parts::spring::{Coil, CoilLoad, ValveSprings, Wire};
use thiserror::Error;
use units::force::newton;
use units::length::meter;
use units::mass::kilogram;
use units::{Force, Length, Mass, SpringRate};

/// Springs that cannot be.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum SpringError {
    /// A progressive spring needs two heights.
    #[error("{n_points} loads are too few for a progressive spring, at least 2 are needed")]
    TooFewLoads {
        /// How many there are.
        n_points: usize,
    },
    /// Two loads at one height, or a load that does not rise as the spring is pressed.
    #[error("load of {newtons} N at a height of {height_mm} mm does not rise with pressing")]
    LoadDoesNotRise {
        /// The load.
        newtons: f64,
        /// Its height.
        height_mm: f64,
    },
    /// Zero, negative or not a number.
    #[error("{what} of {value} cannot be")]
    Impossible {
        /// Which reading.
        what: &'static str,
        /// Its value in SI.
        value: f64,
    },
}

/// Shear modulus of spring steel: 79.3 GPa, 11.5 million psi (spring handbooks, from memory; chrome silicon 77 to 80).
pub const SPRING_STEEL_SHEAR_PA: f64 = 79.3e9;
/// Density of spring steel (engineering handbooks, from memory).
pub const SPRING_STEEL_KG_PER_M3: f64 = 7850.0;

/// Load of the nested springs against the lift of the valve.
#[derive(Clone, Debug, PartialEq)]
pub struct SpringLoad {
    coils: Vec<CoilCurve>,
}

impl SpringLoad {
    /// Of all springs of one valve.
    pub fn new(springs: &ValveSprings) -> Result<Self, SpringError> {
        let coils = std::iter::once(&springs.outer).chain(&springs.inner);
        Ok(Self { coils: coils.map(CoilCurve::new).collect::<Result<_, _>>()? })
    }

    /// Load with the valve seated.
    pub fn seat(&self) -> Force {
        self.at(Length::default())
    }

    /// Load with the valve lifted; a rising load beyond coil bind is not modelled.
    pub fn at(&self, lift: Length) -> Force {
        Force::new::<newton>(self.at_m(lift.get::<meter>()))
    }

    /// Rate with the valve lifted.
    pub fn rate_at(&self, lift: Length) -> SpringRate {
        let lift_m = lift.get::<meter>();
        SpringRate::from_newtons_per_metre(self.coils.iter().map(|coil| coil.at(lift_m).1).sum())
    }

    pub(crate) fn at_m(&self, lift_m: f64) -> f64 {
        self.coils.iter().map(|coil| coil.at(lift_m).0).sum()
    }
}

/// One spring: load against lift, straight between readings and beyond them.
#[derive(Clone, Debug, PartialEq)]
struct CoilCurve {
    /// Lift of the valve and load there, rising.
    points: Vec<(f64, f64)>,
}

impl CoilCurve {
    fn new(coil: &Coil) -> Result<Self, SpringError> {
        let installed = positive("installed height", coil.installed_height.value.get::<meter>())?;
        let points = match &coil.load {
            CoilLoad::Linear { seat_load, rate } => {
                let seat = seat_load.value.get::<newton>();
                let rate = positive("spring rate", rate.value.newtons_per_metre())?;
                if !seat.is_finite() || seat < 0.0 {
                    return Err(SpringError::Impossible { what: "seat load", value: seat });
                }
                vec![(0.0, seat), (installed, seat + rate * installed)]
            }
            CoilLoad::Progressive { points } => {
                let mut points: Vec<(f64, f64)> = points
                    .iter()
                    .map(|p| (installed - p.height.value.get::<meter>(), p.load.value.get::<newton>()))
                    .collect();
                if points.len() < 2 {
                    return Err(SpringError::TooFewLoads { n_points: points.len() });
                }
                points.sort_by(|a, b| a.0.total_cmp(&b.0));
                points
            }
        };
        for pair in points.windows(2) {
            let rises = pair[1].0 > pair[0].0 && pair[1].1 > pair[0].1;
            if !rises || !pair[1].0.is_finite() || !pair[1].1.is_finite() {
                let height_mm = (installed - pair[1].0) * 1e3;
                return Err(SpringError::LoadDoesNotRise { newtons: pair[1].1, height_mm });
            }
        }
        Ok(Self { points })
    }

    /// Load and rate.
    fn at(&self, lift_m: f64) -> (f64, f64) {
        let right = self.points.partition_point(|p| p.0 <= lift_m).clamp(1, self.points.len() - 1);
        let ((x0, y0), (x1, y1)) = (self.points[right - 1], self.points[right]);
        let rate = (y1 - y0) / (x1 - x0);
        ((y0 + rate * (lift_m - x0)).max(0.0), rate)
    }
}

fn positive(what: &'static str, value: f64) -> Result<f64, SpringError> {
    if value.is_finite() && value > 0.0 { Ok(value) } else { Err(SpringError::Impossible { what, value }) }
}

/// Distance left to solid at a lift, of the spring that binds first; `None` when no bind height is known.
pub fn coil_bind_margin(springs: &ValveSprings, lift: Length) -> Option<Length> {
    let coils = std::iter::once(&springs.outer).chain(&springs.inner);
    coils
        .filter_map(|coil| Some(coil.installed_height.value - lift - coil.coil_bind_height?.value))
        .min_by(|a, b| a.value.total_cmp(&b.value))
}

/// Distance left between retainer and stem seal at a lift; `None` when it was not measured.
pub fn retainer_to_seal(springs: &ValveSprings, lift: Length) -> Option<Length> {
    springs.retainer_to_seal.map(|seated| seated.value - lift)
}

/// Rate of a spring of round steel wire: k = G d^4 / (8 D^3 n), wire d, mean coil diameter D, active coils n; Wahl
/// (1963), "Mechanical Springs", from memory. Holds for small pitch and evenly wound cylinders.
pub fn rate_of_wire(wire: &Wire) -> SpringRate {
    let (d, mean, n) = wire_m(wire);
    SpringRate::from_newtons_per_metre(SPRING_STEEL_SHEAR_PA * d.powi(4) / (8.0 * mean.powi(3) * n))
}

/// Mass of the active coils: pi^2 d^2 D n rho / 4.
pub fn active_mass(wire: &Wire) -> Mass {
    let (d, mean, n) = wire_m(wire);
    let pi2 = std::f64::consts::PI.powi(2);
    Mass::new::<kilogram>(pi2 * d * d * mean * n * SPRING_STEEL_KG_PER_M3 / 4.0)
}

/// Mass of all springs of a valve: weighed, or of the wire's active coils; `None` when one has neither.
pub fn spring_mass(springs: &ValveSprings) -> Option<Mass> {
    let coils = std::iter::once(&springs.outer).chain(&springs.inner);
    coils
        .map(|coil| coil.mass.map(|m| m.value).or_else(|| coil.wire.map(|w| active_mass(&w))))
        .try_fold(Mass::default(), |sum, mass| Some(sum + mass?))
}

fn wire_m(wire: &Wire) -> (f64, f64, f64) {
    let d = wire.diameter.value.get::<meter>();
    let mean = wire.mean_diameter.value.get::<meter>();
    (d, mean, wire.active_coils.value.get::<units::ratio::ratio>())
}

#[cfg(test)]
mod tests {
    use super::*;
    use parts::spring::LoadAtHeight;
    use units::length::inch;
    use units::ratio::ratio;
    use units::{Ratio, Reading};

    const N_PER_LBF: f64 = 4.448_221_615_260_5;
    const M_PER_IN: f64 = 0.0254;

    fn catalogue<Q: Default>(value: Q) -> Reading<Q> {
        Reading::catalogue(value, Q::default())
    }

    fn pounds(lbf: f64) -> Force {
        Force::new::<newton>(lbf * N_PER_LBF)
    }

    fn one(load: CoilLoad) -> ValveSprings {
        let outer = Coil {
            installed_height: catalogue(Length::new::<inch>(1.8)),
            load,
            coil_bind_height: Some(catalogue(Length::new::<inch>(1.15))),
            wire: None,
            mass: None,
        };
        ValveSprings { outer, inner: None, retainer_to_seal: Some(catalogue(Length::new::<inch>(0.6))) }
    }

    fn linear() -> ValveSprings {
        let rate = SpringRate::from_newtons_per_metre(300.0 * N_PER_LBF / M_PER_IN);
        one(CoilLoad::Linear {
            seat_load: catalogue(pounds(100.0)),
            rate: Reading::catalogue(rate, rate * 0.0),
        })
    }

    /// The trade's own example: 100 lb on the seat and 300 lb/in over 0.500 in give 250 lb.
    #[test]
    fn exact_open_load() {
        let load = SpringLoad::new(&linear()).expect("a spring");
        assert!((load.seat() - pounds(100.0)).value.abs() < 1e-9);
        assert!((load.at(Length::new::<inch>(0.5)) - pounds(250.0)).value.abs() < 1e-9);
        let bind = coil_bind_margin(&linear(), Length::new::<inch>(0.5)).expect("known");
        assert!((bind.get::<inch>() - 0.15).abs() < 1e-12);
        let seal = retainer_to_seal(&linear(), Length::new::<inch>(0.5)).expect("known");
        assert!((seal.get::<inch>() - 0.1).abs() < 1e-12);
    }

    /// Wire 0.200 in on 1.200 in with 4.5 coils: 296 lb/in (spring handbook formula, G 11.5 million psi).
    #[test]
    fn exact_rate_of_wire() {
        let wire = Wire {
            diameter: catalogue(Length::new::<inch>(0.2)),
            mean_diameter: catalogue(Length::new::<inch>(1.2)),
            active_coils: catalogue(Ratio::new::<ratio>(4.5)),
        };
        let lb_per_in = rate_of_wire(&wire).newtons_per_metre() * M_PER_IN / N_PER_LBF;
        assert!((lb_per_in - 296.0).abs() < 0.5, "{lb_per_in}");
    }

    #[test]
    fn exact_progressive_passes_its_readings() {
        let at = |height: f64, load: f64| LoadAtHeight {
            height: catalogue(Length::new::<inch>(height)),
            load: catalogue(pounds(load)),
        };
        let springs =
            one(CoilLoad::Progressive { points: vec![at(1.3, 260.0), at(1.8, 100.0), at(1.6, 155.0)] });
        let load = SpringLoad::new(&springs).expect("a spring");
        for (lift, lb) in [(0.0, 100.0), (0.2, 155.0), (0.5, 260.0)] {
            assert!((load.at(Length::new::<inch>(lift)) - pounds(lb)).value.abs() < 1e-9);
        }
        let falling = one(CoilLoad::Progressive { points: vec![at(1.8, 100.0), at(1.5, 90.0)] });
        assert!(matches!(SpringLoad::new(&falling), Err(SpringError::LoadDoesNotRise { .. })));
    }
}
