//! Valve springs: loads, heights and wires as somebody measured them. Leaves out what they do at speed.

use units::{Force, Length, Mass, Ratio, Reading, SpringRate};

use crate::readings::{ReadingMut, Visit, show};

/// The springs of one valve, nested.
#[derive(Clone, Debug, PartialEq)]
pub struct ValveSprings {
    /// The only spring, or the outer one. A pair that was tested together may stand here as one spring.
    pub outer: Coil,
    /// The inner one, when it was tested by itself.
    pub inner: Option<Coil>,
    /// Between retainer and stem seal with the valve seated.
    pub retainer_to_seal: Option<Reading<Length>>,
}

/// One spring as installed.
#[derive(Clone, Debug, PartialEq)]
pub struct Coil {
    /// Height with the valve seated.
    pub installed_height: Reading<Length>,
    /// How hard it pushes.
    pub load: CoilLoad,
    /// Height with all coils touching.
    pub coil_bind_height: Option<Reading<Length>>,
    /// The wire it is wound from.
    pub wire: Option<Wire>,
    /// Weighed mass; worked out from the wire otherwise.
    pub mass: Option<Reading<Mass>>,
}

/// How hard a spring pushes.
#[derive(Clone, Debug, PartialEq)]
pub enum CoilLoad {
    /// One rate throughout.
    Linear {
        /// At the installed height.
        seat_load: Reading<Force>,
        /// Force gained for each unit it is pushed together.
        rate: Reading<SpringRate>,
    },
    /// Loads read at several heights: two or more, in any order.
    Progressive {
        /// The readings.
        points: Vec<LoadAtHeight>,
    },
}

/// A load read on a spring tester.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadAtHeight {
    /// Height of the spring.
    pub height: Reading<Length>,
    /// Force it takes to hold it there.
    pub load: Reading<Force>,
}

/// Round wire wound to a cylinder.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wire {
    /// Thickness of the wire.
    pub diameter: Reading<Length>,
    /// Diameter of the coil, from wire centre to wire centre.
    pub mean_diameter: Reading<Length>,
    /// Coils that work: the closed end coils do not count.
    pub active_coils: Reading<Ratio>,
}

impl Visit for ValveSprings {
    fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, ReadingMut)) {
        self.outer.visit(path, see);
        if let Some(inner) = &mut self.inner {
            inner.visit(&format!("{path}.inner"), see);
        }
        if let Some(gap) = &mut self.retainer_to_seal {
            show(gap, path, "retainer_to_seal", see);
        }
    }
}

impl Visit for Coil {
    fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, ReadingMut)) {
        show(&mut self.installed_height, path, "installed_height", see);
        match &mut self.load {
            CoilLoad::Linear { seat_load, rate } => {
                show(seat_load, path, "seat_load", see);
                show(rate, path, "rate", see);
            }
            CoilLoad::Progressive { points } => {
                for (idx, point) in points.iter_mut().enumerate() {
                    let path = format!("{path}.load.#{}", idx + 1);
                    show(&mut point.height, &path, "height", see);
                    show(&mut point.load, &path, "load", see);
                }
            }
        }
        if let Some(height) = &mut self.coil_bind_height {
            show(height, path, "coil_bind_height", see);
        }
        if let Some(wire) = &mut self.wire {
            show(&mut wire.diameter, path, "wire_diameter", see);
            show(&mut wire.mean_diameter, path, "mean_diameter", see);
            show(&mut wire.active_coils, path, "active_coils", see);
        }
        if let Some(mass) = &mut self.mass {
            show(mass, path, "mass", see);
        }
    }
}
