//! A build: one complete engine, cylinder by cylinder.

use units::{AngularVelocity, Length, Quantity, Reading};

use crate::limit::Limits;
use crate::readings::{ReadingMut, Visit};
use crate::running::Running;
use crate::{Block, Gasket, Gear, Head, Piston, Valve};

/// One complete engine.
///
/// Every cylinder carries its whole set of parts, already resolved: what is common to all cylinders stands in each
/// of them, and a reading of its own replaces the common one. Code that looks at one cylinder needs nothing else.
#[derive(Clone, Debug, PartialEq)]
pub struct Build {
    /// What people call it.
    pub name: String,
    /// Remarks, printed with the answer.
    pub note: Option<String>,
    /// How the cylinders are arranged.
    pub engine: Engine,
    /// How it is used.
    pub used: Use,
    /// In the order of their numbers; never empty.
    pub cylinders: Vec<Cylinder>,
    /// The least gap each check may show.
    pub limits: Limits,
    /// What it needs besides to run, as far as it was given.
    pub running: Running,
}

/// How the cylinders are arranged.
#[derive(Clone, Debug, PartialEq)]
pub struct Engine {
    /// Rows of cylinders: 1 in line, 2 in a V or flat engine. Numbers count along the first row, then the next.
    pub banks: usize,
}

/// How the engine is used.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Use {
    /// The highest engine speed that is used.
    pub rev_limit: Option<Reading<AngularVelocity>>,
    /// How far above that the valve trains have to stay on their lobes; [`crate::limit::usual_lift_off_margin`] where it
    /// was not said.
    pub lift_off_margin: Option<Reading<AngularVelocity>>,
}

/// One cylinder with all its parts in its own bore frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Cylinder {
    /// 1 is nearest the front of the engine.
    pub number: usize,
    /// Bore, stroke and deck.
    pub block: Block,
    /// Between deck and head.
    pub gasket: Gasket,
    /// Chamber and valves.
    pub head: Head,
    /// Crown, ring land and where the crown stands at top dead centre.
    pub piston: Piston,
    /// What opens and closes the valves, as far as it is known.
    pub gear: Gear,
}

impl Cylinder {
    /// Height of the head's gasket face above the block deck.
    pub fn head_face_height(&self) -> Length {
        self.gasket.thickness.value
    }

    /// The farthest a valve of this cylinder opens: its lift, and what is allowed for loft and float.
    ///
    /// The tolerances add as the root sum of squares; the basis is the weaker of the two.
    pub fn travel(&self, valve: &Valve) -> Reading<Length> {
        let loft = self.gear.of(valve.duty).and_then(|gear| gear.train.loft);
        let Some(loft) = loft else { return valve.lift };
        Reading {
            value: valve.lift.value + loft.value,
            tolerance: Length::from_si(valve.lift.tolerance.si().hypot(loft.tolerance.si())),
            basis: valve.lift.basis.min(loft.basis),
        }
    }

    /// The valve of that name.
    pub fn valve(&self, name: &str) -> Option<&Valve> {
        self.head.valves.iter().find(|valve| valve.name == name)
    }
}

impl Visit for Cylinder {
    fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, ReadingMut)) {
        let within = |part: &str| if path.is_empty() { part.to_owned() } else { format!("{path}.{part}") };
        self.block.visit(&within("block"), see);
        self.gasket.visit(&within("gasket"), see);
        self.head.visit(&within("head"), see);
        self.piston.visit(&within("piston"), see);
        self.gear.visit(path, see);
    }
}

impl Engine {
    /// How far the head's chamber sits toward the front from its bore when head and block were made for different
    /// bore spacings and meet in the middle of the row.
    ///
    /// `place` is the position in the row, 1 at the front, of `row` cylinders. Positive moves the chamber to `+x`.
    pub fn spacing_mismatch(
        place: usize,
        row: usize,
        block_spacing: Option<Reading<Length>>,
        head_spacing: Option<Reading<Length>>,
    ) -> Length {
        let (Some(block), Some(head)) = (block_spacing, head_spacing) else { return Length::default() };
        let from_middle = (row as f64 + 1.0) / 2.0 - place as f64;
        (head.value - block.value) * from_middle
    }
}
