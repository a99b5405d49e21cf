//! A first contact that was measured in a trial assembly: where the valve must sit to explain it, and how well that is
//! known.

use fit::offset_from_contact::{OffsetError, offset_from_contact};
use fit::{Scene, Surrounding};
use parts::{Build, Cylinder, Valve};
use units::length::meter;
use units::{Length, Reading};

/// What a measured contact says about one valve.
#[derive(Clone, Debug)]
pub struct Explained {
    /// Numbers of the cylinders it was said of.
    pub cylinders: Vec<usize>,
    /// The valve.
    pub valve: String,
    /// Lift of contact as measured.
    pub contact_lift: Reading<Length>,
    /// How far outward from the sheet's position the valve sits, or why no position explains the contact.
    pub moved: Result<Reading<Length>, OffsetError>,
}

/// The build with every valve that has a measured contact put where that contact says it is, and what was done.
///
/// The position found carries the tolerance of the measured lift instead of the sheet's own: the trial measured the
/// assembly as it stands, so bore, gasket and tilt have already had their say in it. A valve whose contact cannot be
/// explained stays where the sheet has it.
pub fn with_contacts(build: &Build) -> (Build, Vec<Explained>) {
    let mut build = build.clone();
    let mut explained: Vec<Explained> = Vec::new();
    for cylinder in &mut build.cylinders {
        let found: Vec<(usize, Reading<Length>, Result<Placed, OffsetError>)> = cylinder
            .head
            .valves
            .iter()
            .enumerate()
            .filter_map(|(idx, valve)| {
                let contact_lift = valve.contact_lift?;
                Some((idx, contact_lift, placed(cylinder, valve, contact_lift)))
            })
            .collect();
        for (idx, contact_lift, placed) in found {
            let valve = &mut cylinder.head.valves[idx];
            let moved = placed.map(|placed| {
                (valve.x, valve.y) = (placed.x, placed.y);
                placed.moved
            });
            let same = explained.iter_mut().find(|known| known.valve == valve.name && known.moved == moved);
            match same {
                Some(known) => known.cylinders.push(cylinder.number),
                None => explained.push(Explained {
                    cylinders: vec![cylinder.number],
                    valve: valve.name.clone(),
                    contact_lift,
                    moved,
                }),
            }
        }
    }
    (build, explained)
}

struct Placed {
    x: Reading<Length>,
    y: Reading<Length>,
    moved: Reading<Length>,
}

fn placed(cylinder: &Cylinder, valve: &Valve, contact_lift: Reading<Length>) -> Result<Placed, OffsetError> {
    // Whoever pushed the valve open in the trial met the block as it was before anything was cut.
    let mut uncut = cylinder.clone();
    uncut.block.reliefs.clear();
    let scene = Scene::new(&uncut, valve);
    let found = offset_from_contact(&scene, Surrounding::Block, contact_lift.value.value)?;
    let tolerance = contact_lift.tolerance * found.per_lift.abs();
    let basis = contact_lift.basis;
    let reading = |value_m: f64| Reading { value: Length::new::<meter>(value_m), tolerance, basis };
    Ok(Placed { x: reading(found.x_m), y: reading(found.y_m), moved: reading(found.moved_m) })
}
