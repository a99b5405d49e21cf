//! What running takes from the gap between the crown's flat and the head's face. Leaves out that gap itself (the quench
//! of crate `volume`), the chamber edge (see [`crate::piston_edge_to_chamber`]) and how the crank bends.

use units::angular_velocity::radian_per_second;
use units::length::meter;
use units::{AngularVelocity, Length, Mass, Reading, mass::kilogram};

/// What the rod is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RodMaterial {
    /// Forged or sintered steel.
    Steel,
    /// Aluminium alloy.
    Aluminium,
    /// Titanium alloy.
    Titanium,
}

impl RodMaterial {
    /// Young's modulus in pascals and thermal expansion in 1/K (engineering handbooks, from memory: 206, 71
    /// and 114 GPa; 11.7, 23 and 9 per million).
    fn elastic_and_thermal(self) -> (f64, f64) {
        match self {
            Self::Steel => (206e9, 11.7e-6),
            Self::Aluminium => (71e9, 23.0e-6),
            Self::Titanium => (114e9, 9.0e-6),
        }
    }
}

/// Thermal expansion of the piston's alloy above the pin, in 1/K (handbooks, from memory).
const PISTON_PER_K: f64 = 21e-6;

/// Thermal expansion of an iron block, in 1/K (handbooks, from memory). An aluminium block grows twice as
/// much and leaves more room, which is left out.
const BLOCK_PER_K: f64 = 11.0e-6;

/// Running temperatures over the shop's, in kelvin: rod, upper part of the piston, block between main
/// bearings and deck (common practice, no source).
const ROD_WARMS_K: f64 = 80.0;
const PISTON_WARMS_K: f64 = 150.0;
const BLOCK_WARMS_K: f64 = 65.0;

/// A bearing's clearance on its diameter as a share of the journal: 0.001 in per inch (common practice, no source).
const CLEARANCE_PER_JOURNAL: f64 = 0.001;

/// Journals as shares of the stroke where nobody measured them: main and crank pin (common practice, no source).
const JOURNALS_PER_STROKE: f64 = 0.65 + 0.55;

/// Gudgeon pin and its bore, both ends of a floating pin together, in metres (common practice, no source).
const PIN_CLEARANCE_M: f64 = 0.015e-3;

/// What an engine does to its quench when it runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Running {
    /// Half the stroke.
    pub throw: Length,
    /// Between the centres of the rod.
    pub rod_length: Length,
    /// Its material.
    pub rod_material: RodMaterial,
    /// Section of the beam of the rod at its slimmest, in square metres; [`usual_rod_section_m2`] when not measured.
    pub rod_section_m2: f64,
    /// Piston, pin, rings and a third of the rod.
    pub reciprocating_mass: Mass,
    /// From pin to crown.
    pub compression_height: Length,
    /// Highest speed it is run at.
    pub speed: AngularVelocity,
}

/// How much of the quench each effect takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Growth {
    /// The rod pulled long by the piston's inertia at the top of the exhaust stroke.
    pub rod_stretch: Length,
    /// Clearances of main bearing, crank pin and gudgeon pin, taken up at the top. Turned over by hand the
    /// weight of the parts opens them the other way.
    pub bearing_take_up: Length,
    /// Rod and piston growing more with heat than the block does; may be negative.
    pub thermal: Length,
}

impl Growth {
    /// All of it.
    pub fn total(&self) -> Length {
        self.rod_stretch + self.bearing_take_up + self.thermal
    }

    /// All of it as a reading: the tolerance is half the sum of its parts (common practice, no source), because the
    /// crank's bending is left out and temperatures are guesses.
    pub fn reading(&self) -> Reading<Length> {
        let size = self.rod_stretch.abs() + self.bearing_take_up.abs() + self.thermal.abs();
        Reading::assumed(self.total(), size * 0.5)
    }
}

/// Estimates what running takes from the quench.
///
/// * Stretch of the rod `F L / (E A)` under `F = m r w^2 (1 + r / L)`, the reciprocating mass at the top of a
///   slider-crank to second order (Taylor (1985), "The Internal-Combustion Engine in Theory and Practice"
///   vol. 2, from memory). 0.65 kg at 44 mm throw, 7000 rpm and 180 mm2 of steel give 0.08 mm. The beam is
///   taken as of one section; the ends are stiffer, so it is an upper estimate.
/// * Bearings: the whole clearance of each, 0.001 in per inch of journal.
/// * Heat: rod 80 K, piston 150 K over the pin, iron block 65 K from crank to deck.
///
/// Leaves out the bending of the crank, which adds the most in engines with a main bearing on every second
/// throw only: one touched its head with 0.66 mm (0.026 in) of quench at 6500 rpm (a builder's account,
/// unchecked). Holds for speeds an engine survives.
pub fn running_growth(running: &Running) -> Growth {
    let (throw_m, rod_m) = (running.throw.get::<meter>(), running.rod_length.get::<meter>());
    let (elastic_pa, rod_per_k) = running.rod_material.elastic_and_thermal();
    let speed = running.speed.get::<radian_per_second>();
    let force_n =
        running.reciprocating_mass.get::<kilogram>() * throw_m * speed * speed * (1.0 + throw_m / rod_m);
    let stretch_m = force_n * rod_m / (elastic_pa * running.rod_section_m2);
    let above_pin_m = running.compression_height.get::<meter>();
    let stack_m = throw_m + rod_m + above_pin_m;
    let thermal_m = rod_m * rod_per_k * ROD_WARMS_K + above_pin_m * PISTON_PER_K * PISTON_WARMS_K
        - stack_m * BLOCK_PER_K * BLOCK_WARMS_K;
    let bearings_m = 2.0 * throw_m * JOURNALS_PER_STROKE * CLEARANCE_PER_JOURNAL + PIN_CLEARANCE_M;
    Growth {
        rod_stretch: Length::new::<meter>(stretch_m),
        bearing_take_up: Length::new::<meter>(bearings_m),
        thermal: Length::new::<meter>(thermal_m),
    }
}

/// Section of a steel rod's beam that nobody measured: 2 % of the bore's square, 180 mm2 at 95 mm; twice that for
/// aluminium, the half more for titanium (common practice, no source).
pub fn usual_rod_section_m2(bore: Length, material: RodMaterial) -> f64 {
    let bore_m = bore.get::<meter>();
    let share = match material {
        RodMaterial::Steel => 1.0,
        RodMaterial::Titanium => 1.5,
        RodMaterial::Aluminium => 2.0,
    };
    0.02 * bore_m * bore_m * share
}

/// Piston, pin, rings and a third of the rod where nobody weighed them: grows with the cube of the bore, 0.65 kg at
/// 98 mm (common practice, no source).
pub fn usual_reciprocating_mass(bore: Length) -> Mass {
    Mass::new::<kilogram>(690.0 * bore.get::<meter>().powi(3))
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::angular_velocity::revolution_per_minute;
    use units::length::{inch, millimeter};

    fn example() -> Running {
        Running {
            throw: Length::new::<millimeter>(44.0),
            rod_length: Length::new::<millimeter>(150.0),
            rod_material: RodMaterial::Steel,
            rod_section_m2: 180e-6,
            reciprocating_mass: Mass::new::<kilogram>(0.65),
            compression_height: Length::new::<millimeter>(32.0),
            speed: AngularVelocity::new::<revolution_per_minute>(7000.0),
        }
    }

    #[test]
    fn exact_stretch_of_a_steel_rod() {
        let growth = running_growth(&example());
        // By hand: 0.65 * 0.044 * 733.04^2 * (1 + 44/150) = 19 876 N; * 0.15 / (206e9 * 180e-6) = 0.0804 mm.
        assert!((growth.rod_stretch.get::<millimeter>() - 0.0804).abs() < 1e-4, "{:?}", growth.rod_stretch);
        let twice = Running { speed: example().speed * 2.0, ..example() };
        assert!((running_growth(&twice).rod_stretch / growth.rod_stretch).value - 4.0 < 1e-12);
    }

    /// An aluminium rod of 6 in grows by about 0.011 in over 80 K, a steel one by half of it.
    #[test]
    fn exact_heat_of_rods() {
        for (material, thou) in [(RodMaterial::Aluminium, 11.0), (RodMaterial::Steel, 5.6)] {
            let (_, per_k) = material.elastic_and_thermal();
            let grows = Length::new::<inch>(6.0) * per_k * 80.0;
            assert!((grows.get::<inch>() * 1000.0 - thou).abs() < 0.1, "{:?}", grows.get::<inch>());
        }
    }

    #[test]
    fn exact_growth_is_the_sum_of_its_parts() {
        let growth = running_growth(&example());
        let total = growth.rod_stretch + growth.bearing_take_up + growth.thermal;
        assert!((growth.total() - total).abs() < Length::new::<millimeter>(1e-12));
        assert!(growth.reading().tolerance > Length::default());
    }
}
