//! The valve gear of a cylinder: lobe, train and springs of each duty, and the lift they give at most. Leaves out how
//! the valve moves on the way, which is the crate `motion`.

use units::{Length, Quantity, Reading};

use crate::Duty;
use crate::cam::{Lobe, LobeSource};
use crate::readings::{ReadingMut, Visit};
use crate::spring::ValveSprings;
use crate::train::Train;

/// The valve gear of both duties; `None` where the sheet describes no lobe.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Gear {
    /// Of the intake valves.
    pub intake: Option<ValveGear>,
    /// Of the exhaust valves.
    pub exhaust: Option<ValveGear>,
}

/// What opens and closes the valves of one duty.
#[derive(Clone, Debug, PartialEq)]
pub struct ValveGear {
    /// The lobe.
    pub lobe: Lobe,
    /// Between lobe and valve.
    pub train: Train,
    /// The springs of one valve, when they are known.
    pub springs: Option<ValveSprings>,
}

impl Gear {
    /// The gear of one duty.
    pub fn of(&self, duty: Duty) -> Option<&ValveGear> {
        match duty {
            Duty::Intake => self.intake.as_ref(),
            Duty::Exhaust => self.exhaust.as_ref(),
        }
    }

    /// Whether neither duty has any.
    pub fn is_empty(&self) -> bool {
        self.intake.is_none() && self.exhaust.is_none()
    }
}

impl ValveGear {
    /// The most the valve can lift: greatest lift of the lobe times the rocker ratio, lash left out.
    ///
    /// The relative tolerances of lobe and ratio add as the root sum of squares; the basis is the weaker of the two.
    pub fn full_lift(&self) -> Reading<Length> {
        let (lobe, ratio) = (lobe_lift(&self.lobe.source), self.train.ratio);
        let of_lobe = lobe.tolerance.si() * ratio.value.si();
        let of_ratio = lobe.value.si() * ratio.tolerance.si();
        Reading {
            value: lobe.value * ratio.value,
            tolerance: Length::from_si(of_lobe.hypot(of_ratio)),
            basis: lobe.basis.min(ratio.basis),
        }
    }
}

/// Greatest lift of the tappet. Of a table it is the span of its lifts: what the indicator showed on the base circle is
/// taken off, and the noise of the reading lets it come out high rather than low.
pub fn lobe_lift(source: &LobeSource) -> Reading<Length> {
    match source {
        LobeSource::Card(card) => card.lobe_lift,
        LobeSource::Table(table) => {
            let lifts = table.rows.iter().map(|row| row.lift.si());
            let (low, high) = lifts.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), lift| {
                (low.min(lift), high.max(lift))
            });
            let span = if low <= high { high - low } else { 0.0 };
            let tolerance =
                table.noise.map_or(TABLE_TOLERANCE_M, |sd| sd.si() * units::reading::SDS_IN_TOLERANCE);
            let measured = Reading::measured(Length::from_si(span), Length::from_si(tolerance));
            table.lifts.at_tappet(measured)
        }
    }
}

/// What a lift read off a dial indicator is good for, 0.002 in (common practice, no source).
const TABLE_TOLERANCE_M: f64 = 0.05e-3;

impl Visit for Gear {
    fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, ReadingMut)) {
        let within = |part: &str| if path.is_empty() { part.to_owned() } else { format!("{path}.{part}") };
        for (duty, gear) in [("intake", &mut self.intake), ("exhaust", &mut self.exhaust)] {
            let Some(gear) = gear else { continue };
            gear.lobe.visit(&within(&format!("cam.{duty}")), see);
            gear.train.visit(&within(&format!("train.{duty}")), see);
            if let Some(springs) = &mut gear.springs {
                springs.visit(&within(&format!("spring.{duty}")), see);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cam::{
        LiftAt, LobeCentre, LobeRow, LobeTable, LobeTiming, Phasing, TableAngles, TimingReference,
    };
    use crate::train::{Follower, Lash, LashAt, TrainMasses};
    use units::length::millimeter;
    use units::ratio::ratio;
    use units::{Angle, Basis, CrankAngle, Mass, Ratio};

    fn mm(value: f64, tolerance: f64) -> Reading<Length> {
        Reading::measured(Length::new::<millimeter>(value), Length::new::<millimeter>(tolerance))
    }

    fn gear(lifts: LiftAt, rows_mm: &[f64]) -> ValveGear {
        let rows = rows_mm.iter().enumerate().map(|(idx, lift)| LobeRow {
            number: idx + 1,
            angle: Angle::default(),
            lift: Length::new::<millimeter>(*lift),
        });
        let table = LobeTable {
            angles: TableAngles::Cam,
            lifts,
            rows: rows.collect(),
            noise: Some(Length::default()),
        };
        let zero = CrankAngle::from_degrees(0.0);
        let timing = LobeTiming {
            reference: TimingReference::Centreline(Reading::assumed(CrankAngle::from_degrees(108.0), zero)),
            centre: LobeCentre::Nose,
            installed_advance: Reading::assumed(zero, zero),
            phasing: Phasing { advance: zero, retard: zero },
        };
        let lobe = Lobe {
            source: LobeSource::Table(table),
            timing,
            pins: Vec::new(),
            base_radius: None,
            face_width: None,
        };
        let none = Reading::assumed(Mass::default(), Mass::default());
        let train = Train {
            follower: Follower::Flat { diameter: mm(21.4, 0.0) },
            ratio: Reading::catalogue(Ratio::new::<ratio>(1.5), Ratio::new::<ratio>(0.03)),
            ratio_against_lift: Vec::new(),
            lash: Lash::Solid { at: LashAt::Valve, cold: mm(0.2, 0.0), hot: None },
            masses: TrainMasses {
                valve: none,
                retainer: none,
                rocker_at_valve: None,
                pushrod: None,
                tappet: None,
            },
            rocker_slot: None,
            pushrod_hole_gap: None,
            loft: None,
        };
        ValveGear { lobe, train, springs: None }
    }

    #[test]
    fn exact_full_lift_is_lobe_times_ratio_without_lash() {
        let full = gear(LiftAt::Tappet, &[0.1, 3.0, 7.1, 0.1]).full_lift();
        assert!((full.value.get::<millimeter>() - 10.5).abs() < 1e-12);
        // 2 % of the ratio.
        assert!((full.tolerance.get::<millimeter>() - 0.21).abs() < 1e-12);
        assert_eq!(full.basis, Basis::Catalogue);
    }

    #[test]
    fn exact_a_valve_table_keeps_its_lobe_when_the_rocker_changes() {
        let old = Reading::measured(Ratio::new::<ratio>(1.6), Ratio::new::<ratio>(0.0));
        let full = gear(LiftAt::Valve { ratio: old, lash: mm(0.2, 0.0) }, &[0.0, 9.4, 0.0]).full_lift();
        assert!((full.value.get::<millimeter>() - 9.6 / 1.6 * 1.5).abs() < 1e-12);
    }

    #[test]
    fn exact_readings_are_walked_under_the_keys_of_the_sheet() {
        let mut both = Gear { intake: Some(gear(LiftAt::Tappet, &[0.0, 7.0, 0.0])), exhaust: None };
        let mut paths = Vec::new();
        both.visit("", &mut |path, _| paths.push(path.to_owned()));
        for path in ["cam.intake.centreline", "train.intake.ratio", "train.intake.lash_cold"] {
            assert!(paths.iter().any(|known| known == path), "{path} is not in {paths:?}");
        }
    }
}
