//! How far each reading of a cylinder moves a computed figure: linear propagation of tolerances. Leaves out
//! sampling; tests hold the one against the other.

use fit::relief_of_block::removed_by;
use parts::readings::{Kind, Visit};
use parts::{Cylinder, Pocket, Relief};
use units::reading::SDS_IN_TOLERANCE;
use units::{Angle, Basis, Length, Quantity, Reading, UnitSystem, Volume};
use volume::clearance_volumes;

use crate::assumed::Assumed;

/// What one reading does to a figure.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingEffect {
    /// Where the reading stands in the sheet, such as `gasket.thickness`.
    pub path: String,
    /// The kind of quantity it is.
    pub kind: Kind,
    /// Its value in SI.
    pub value_si: f64,
    /// Its 95 % half-width in SI.
    pub tolerance_si: f64,
    /// Where it comes from.
    pub basis: Basis,
    /// How far the figure moves when the reading rises by its tolerance, in the figure's own unit.
    pub effect: f64,
}

impl ReadingEffect {
    /// Value and tolerance for people.
    pub fn shown(&self, system: UnitSystem) -> String {
        self.as_assumed().shown(system)
    }

    /// The reading with the rule it was taken by, as far as one is known.
    pub fn as_assumed(&self) -> Assumed {
        Assumed {
            path: self.path.clone(),
            value_si: self.value_si,
            tolerance_si: self.tolerance_si,
            kind: self.kind,
            rule: parts::estimate::rule(&self.path).unwrap_or("given as assumed"),
        }
    }
}

/// One reading of a cylinder and what it does to several figures at once.
#[derive(Clone, Debug)]
pub(crate) struct Effects {
    pub reading: ReadingEffect,
    pub on: Vec<f64>,
}

impl Effects {
    /// The effect on one of the figures.
    pub fn on_figure(&self, idx: usize) -> ReadingEffect {
        ReadingEffect { effect: self.on[idx], ..self.reading.clone() }
    }
}

/// The cylinder without what takes no part in its volumes, so that walks over its readings are short; of every cut only the
/// volume is left.
pub(crate) fn without_bystanders(cylinder: &Cylinder) -> Cylinder {
    let mut cylinder = cylinder.clone();
    known_by_volume(&mut cylinder);
    cylinder.head.valves.clear();
    cylinder.piston.pockets.clear();
    cylinder.piston.metal = parts::CrownMetal::default();
    cylinder.block.metal = parts::DeckMetal::default();
    cylinder.gasket.ring_inset = None;
    cylinder.gasket.ring_width = None;
    cylinder.gear = parts::Gear::default();
    cylinder
}

/// Puts a reading of its volume in the place of each cut, with the tolerance that the cut's own readings give it.
fn known_by_volume(cylinder: &mut Cylinder) {
    let removed: Vec<Reading<Volume>> = (0..cylinder.block.reliefs.len())
        .map(|idx| {
            let path = format!("block.relief.{}.", cylinder.block.reliefs[idx].valve);
            reckoned(cylinder, &path, &|cylinder| removed_by(&cylinder.block, &cylinder.block.reliefs[idx]))
        })
        .collect();
    if !cylinder.piston.fly_cuts.is_empty() && cylinder.piston.fly_cut_volume.is_none() {
        let volume = reckoned(cylinder, "piston.fly_cut.", &|cylinder| clearance_volumes(cylinder).fly_cut);
        cylinder.piston.fly_cut_volume = Some(volume);
    }
    for cut in &mut cylinder.piston.fly_cuts {
        *cut = Pocket { valve: std::mem::take(&mut cut.valve), ..exact_pocket() };
    }
    for (relief, removed) in cylinder.block.reliefs.iter_mut().zip(removed) {
        let (length, angle) = (exact::<Length>(), exact::<Angle>());
        *relief = Relief {
            valve: std::mem::take(&mut relief.valve),
            x: length,
            y: length,
            diameter: length,
            plunge: length,
            corner_radius: length,
            layback: angle,
            tilt_x: angle,
            tilt_y: angle,
            removed: Some(removed),
        };
    }
}

fn exact_pocket() -> Pocket {
    let (length, angle) = (exact::<Length>(), exact::<Angle>());
    Pocket {
        valve: String::new(),
        x: length,
        y: length,
        diameter: length,
        depth: length,
        tilt_x: angle,
        tilt_y: angle,
        from_valve: [false; 2],
    }
}

fn exact<Q: Quantity>() -> Reading<Q> {
    Reading::measured(Q::from_si(0.0), Q::from_si(0.0))
}

/// A volume with what the readings below a path make it uncertain by. Rounded to a hundredth of a cubic
/// millimetre, so that a mirrored cut holds the same.
fn reckoned(cylinder: &Cylinder, path: &str, volume: &dyn Fn(&Cylinder) -> Volume) -> Reading<Volume> {
    const ROUNDING_M3: f64 = 1e-11;
    let mut moved = cylinder.clone();
    let own = uncertain_readings(cylinder).into_iter().filter(|reading| reading.path.starts_with(path));
    let effects: Vec<(ReadingEffect, f64)> = own
        .map(|reading| {
            let step = reading.tolerance_si / SDS_IN_TOLERANCE;
            let mut at = |value_si: f64| {
                put(&mut moved, &reading.path, value_si);
                volume(&moved).si()
            };
            let (below, above) = (at(reading.value_si - step), at(reading.value_si + step));
            at(reading.value_si);
            let effect = 0.5 * (above - below) * SDS_IN_TOLERANCE;
            (reading, effect)
        })
        .collect();
    let rounded = |si: f64| Volume::from_si((si / ROUNDING_M3).round() * ROUNDING_M3);
    Reading {
        value: rounded(volume(cylinder).si()),
        tolerance: rounded(half_width(effects.iter().map(|(_, effect)| *effect))),
        basis: basis_of_largest(effects.iter().map(|(reading, effect)| (reading, *effect))),
    }
}

/// Every reading of a cylinder with a tolerance, in the order of the sheet; `effect` is still zero.
pub(crate) fn uncertain_readings(cylinder: &Cylinder) -> Vec<ReadingEffect> {
    let mut found = Vec::new();
    cylinder.clone().visit("", &mut |path, reading| {
        if 0.0 < reading.tolerance_si {
            found.push(ReadingEffect {
                path: path.to_owned(),
                kind: reading.kind,
                value_si: *reading.value_si,
                tolerance_si: reading.tolerance_si,
                basis: reading.basis,
                effect: 0.0,
            });
        }
    });
    found
}

/// Sets the reading at a path.
pub(crate) fn put(cylinder: &mut Cylinder, wanted: &str, value_si: f64) {
    cylinder.visit("", &mut |path, reading| {
        if path == wanted {
            *reading.value_si = value_si;
        }
    });
}

/// What each uncertain reading of a cylinder does to the figures. Readings that move none are left out.
///
/// The slope is the central difference over one standard deviation each way, so that a gentle bend within the
/// tolerance cancels; a figure that is symmetric about the reading, as the travel is about a pin offset of 0, does not
/// move at all. Effects of readings that vary independently add as squares.
pub(crate) fn effects(cylinder: &Cylinder, figures: impl Fn(&Cylinder) -> Vec<f64>) -> Vec<Effects> {
    let mut moved = cylinder.clone();
    uncertain_readings(cylinder)
        .into_iter()
        .map(|reading| {
            let (value, step) = (reading.value_si, reading.tolerance_si / SDS_IN_TOLERANCE);
            let mut at = |value_si: f64| {
                put(&mut moved, &reading.path, value_si);
                figures(&moved)
            };
            let on = central_effects(&at(value - step), &at(value + step));
            at(value);
            Effects { reading, on }
        })
        .filter(|effects| effects.on.iter().any(|effect| *effect != 0.0))
        .collect()
}

/// Effects of a whole tolerance from the figures one standard deviation below and above.
pub(crate) fn central_effects(below: &[f64], above: &[f64]) -> Vec<f64> {
    below.iter().zip(above).map(|(below, above)| (above - below) / 2.0 * SDS_IN_TOLERANCE).collect()
}

/// The 95 % half-width of a figure under independent readings.
pub(crate) fn half_width(effects: impl IntoIterator<Item = f64>) -> f64 {
    effects.into_iter().map(|effect| effect * effect).sum::<f64>().sqrt()
}

/// The basis of the reading that moves a figure most; measured when none does.
pub(crate) fn basis_of_largest<'a>(effects: impl IntoIterator<Item = (&'a ReadingEffect, f64)>) -> Basis {
    let largest = effects
        .into_iter()
        .filter(|(_, effect)| *effect != 0.0)
        .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    largest.map_or(Basis::Measured, |(reading, _)| reading.basis)
}
