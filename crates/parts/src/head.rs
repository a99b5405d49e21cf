//! The cylinder head over one bore: chamber, valves and how well it is located.

use units::{Angle, Length, Reading, Volume};

use crate::readings::{ReadingMut, Visit, show};
use crate::{Outline, Valve};

/// What one cylinder sees of its head.
#[derive(Clone, Debug, PartialEq)]
pub struct Head {
    /// Chamber below the head's gasket face with plug fitted and valves shut, as poured with a burette.
    pub chamber_volume: Reading<Volume>,
    /// Edge of the chamber where it meets the gasket face.
    pub chamber: Outline,
    /// How far the chamber wall goes straight up from the gasket face before it turns into the roof.
    pub chamber_wall_height: Reading<Length>,
    /// How far the whole head sits toward the front of where the dowels should hold it.
    pub shift_x: Reading<Length>,
    /// How far the whole head sits to the left of where the dowels should hold it.
    pub shift_y: Reading<Length>,
    /// How far the head is turned about the bore axis, positive anticlockwise seen from above.
    pub twist: Reading<Angle>,
    /// Between the centres of neighbouring chambers.
    pub bore_spacing: Option<Reading<Length>>,
    /// At least two; names are unique.
    pub valves: Vec<Valve>,
}

impl Visit for Head {
    fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, ReadingMut)) {
        show(&mut self.chamber_volume, path, "chamber_volume", see);
        self.chamber.visit_as(["chamber_x", "chamber_y", "chamber_diameter"], path, see);
        show(&mut self.chamber_wall_height, path, "chamber_wall_height", see);
        show(&mut self.shift_x, path, "shift_x", see);
        show(&mut self.shift_y, path, "shift_y", see);
        show(&mut self.twist, path, "twist", see);
        if let Some(spacing) = &mut self.bore_spacing {
            show(spacing, path, "bore_spacing", see);
        }
        for valve in &mut self.valves {
            let valve_path = format!("{path}.valve.{}", valve.name);
            valve.visit(&valve_path, see);
        }
    }
}
