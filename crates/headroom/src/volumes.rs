//! Every cc of a build and the compression they make, cylinder by cylinder, with tolerances and the readings that
//! count most. Leaves out what a swap changes: `volumes_change.rs`.

use parts::{Build, Cylinder};
use units::length::meter;
use units::volume::cubic_meter;
use units::{Basis, Length, Quantity, Ratio, Reading, Volume};
use volume::{ClearancePart, clearance_volumes, compression_ratio, crank_turns, quench, swept_volume};

pub use crate::volumes_propagate::ReadingEffect;
use crate::volumes_propagate::{Effects, basis_of_largest, effects, half_width, without_bystanders};

/// The volumes of a build.
#[derive(Clone, Debug, PartialEq)]
pub struct VolumesAnswer {
    /// Name of the build.
    pub build: String,
    /// All cylinders together.
    pub displacement: Volume,
    /// Cylinders with the same volumes stand together, in the order of their first.
    pub groups: Vec<CylinderVolumes>,
}

/// What one cylinder, or several alike, hold.
///
/// Each figure has the tolerance that all readings together give it (95 % half-width) and the basis of the reading
/// that contributes most to that.
#[derive(Clone, Debug, PartialEq)]
pub struct CylinderVolumes {
    /// Their numbers.
    pub cylinders: Vec<usize>,
    /// Static compression ratio.
    pub compression: Reading<Ratio>,
    /// Swept volume.
    pub swept: Reading<Volume>,
    /// The whole clearance volume.
    pub clearance: Reading<Volume>,
    /// The clearance volume part by part.
    pub parts: Vec<PartVolume>,
    /// Piston to head at top dead centre, cold and at rest.
    pub quench: Reading<Length>,
    /// What each uncertain reading does to the compression ratio, largest first.
    pub effects: Vec<ReadingEffect>,
    /// What the reader of the answer should know.
    pub notes: Vec<String>,
}

/// One part of the clearance volume.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PartVolume {
    /// Which.
    pub part: ClearancePart,
    /// How much.
    pub volume: Reading<Volume>,
}

impl PartVolume {
    /// Whether it is worth a line: an engine nothing was cut out of has no such volumes.
    pub fn is_told(&self) -> bool {
        let cut = matches!(self.part, ClearancePart::Relief | ClearancePart::FlyCut);
        !cut || self.volume.value != Volume::default()
    }
}

impl VolumesAnswer {
    /// The group with the least and the one with the greatest compression.
    pub fn extremes(&self) -> Option<[&CylinderVolumes; 2]> {
        let by_ratio = |a: &&CylinderVolumes, b: &&CylinderVolumes| {
            a.compression.value.value.total_cmp(&b.compression.value.value)
        };
        Some([self.groups.iter().min_by(by_ratio)?, self.groups.iter().max_by(by_ratio)?])
    }
}

impl CylinderVolumes {
    /// The assumed readings among those that move the compression ratio, largest effect first.
    pub fn assumed(&self) -> impl Iterator<Item = &ReadingEffect> {
        self.effects.iter().filter(|effect| effect.basis == Basis::Assumed)
    }
}

/// Every cc of a build and the compression they make.
pub fn volumes(build: &Build) -> VolumesAnswer {
    let mut groups: Vec<(Cylinder, CylinderVolumes)> = Vec::new();
    for cylinder in &build.cylinders {
        let plain = without_bystanders(cylinder);
        match groups.iter_mut().find(|(first, _)| same_volumes(first, &plain)) {
            Some((_, group)) => group.cylinders.push(cylinder.number),
            None => groups.push((plain.clone(), cylinder_volumes(&plain))),
        }
    }
    let swept = build.cylinders.iter().map(|cylinder| swept_volume(&cylinder.block));
    VolumesAnswer {
        build: build.name.clone(),
        displacement: swept.fold(Volume::default(), |sum, swept| sum + swept),
        groups: groups.into_iter().map(|(_, group)| group).collect(),
    }
}

/// Whether two cylinders have the same readings where volumes are concerned; one may mirror the other.
pub(crate) fn same_volumes(a: &Cylinder, b: &Cylinder) -> bool {
    let mut mirrored = b.gasket.clone();
    mirrored.opening.mirror();
    a.block == b.block
        && (a.gasket == b.gasket || a.gasket == mirrored)
        && a.head.chamber_volume == b.head.chamber_volume
        && a.piston.deck_offset == b.piston.deck_offset
        && a.piston.crown_volume == b.piston.crown_volume
        && a.piston.land_clearance == b.piston.land_clearance
        && a.piston.top_land_height == b.piston.top_land_height
        && a.piston.fly_cuts == b.piston.fly_cuts
        && a.piston.fly_cut_volume == b.piston.fly_cut_volume
}

/// Figures of a cylinder in SI: compression, swept, clearance, quench, then each part.
const FIGURES_BEFORE_PARTS: usize = 4;

fn figures(cylinder: &Cylinder) -> Vec<f64> {
    let (swept, clearance) = (swept_volume(&cylinder.block), clearance_volumes(cylinder));
    let total = clearance.total();
    let mut figures = vec![
        compression_ratio(swept, total),
        swept.get::<cubic_meter>(),
        total.get::<cubic_meter>(),
        quench(cylinder).get::<meter>(),
    ];
    figures.extend(ClearancePart::ALL.map(|part| clearance.of(part).get::<cubic_meter>()));
    figures
}

fn cylinder_volumes(cylinder: &Cylinder) -> CylinderVolumes {
    let values = figures(cylinder);
    let all = effects(cylinder, figures);
    let parts = ClearancePart::ALL.into_iter().enumerate();
    CylinderVolumes {
        cylinders: vec![cylinder.number],
        compression: figure(&values, &all, 0),
        swept: figure(&values, &all, 1),
        clearance: figure(&values, &all, 2),
        quench: figure(&values, &all, 3),
        parts: parts
            .map(|(idx, part)| PartVolume { part, volume: figure(&values, &all, FIGURES_BEFORE_PARTS + idx) })
            .collect(),
        effects: largest_first(all.iter().map(|effects| effects.on_figure(0))),
        notes: notes(cylinder),
    }
}

/// One figure with its tolerance and the basis of what makes most of that.
pub(crate) fn figure<Q: Quantity>(values: &[f64], all: &[Effects], idx: usize) -> Reading<Q> {
    let tolerance = half_width(all.iter().map(|effects| effects.on[idx]));
    Reading {
        value: Q::from_si(values[idx]),
        tolerance: Q::from_si(tolerance),
        basis: basis_of_largest(all.iter().map(|effects| (&effects.reading, effects.on[idx]))),
    }
}

/// Effects that are not zero, the largest first.
pub(crate) fn largest_first(effects: impl Iterator<Item = ReadingEffect>) -> Vec<ReadingEffect> {
    let mut effects: Vec<ReadingEffect> = effects.filter(|effect| effect.effect != 0.0).collect();
    effects.sort_by(|a, b| b.effect.abs().total_cmp(&a.effect.abs()));
    effects
}

fn notes(cylinder: &Cylinder) -> Vec<String> {
    let mut notes = Vec::new();
    if !crank_turns(&cylinder.block) {
        notes
            .push("the rod is too short for the crank to turn; swept volume is taken from the stroke".into());
    }
    if clearance_volumes(cylinder).total() <= Volume::default() {
        notes.push("the parts leave no space above the piston, so there is no compression ratio".into());
    }
    if quench(cylinder) <= Length::default() {
        notes.push("the flat of the crown reaches the head's gasket face at top dead centre".into());
    }
    notes
}

#[cfg(test)]
#[path = "volumes_tests.rs"]
mod tests;
