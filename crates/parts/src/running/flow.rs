//! What the valves let through at each lift, as a flow bench or a published coefficient says. Leaves out the port's own
//! length, which is `port.rs`.

use units::{Length, Pressure, Quantity, Ratio, Reading, VolumeRate};

use crate::Duty;
use crate::readings::{ReadingMut, Visit, show};

/// Flow of both duties.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Flow {
    /// Intake valves, port to cylinder.
    pub intake: Option<BenchTable>,
    /// Intake valves, cylinder to port.
    pub intake_reverse: Option<BenchTable>,
    /// Exhaust valves, cylinder to port.
    pub exhaust: Option<BenchTable>,
    /// Exhaust valves, port to cylinder.
    pub exhaust_reverse: Option<BenchTable>,
    /// How much of the curtain that stands nearer to the bore wall than the valve has lifted is lost, 0 to 1. Off unless
    /// somebody calibrated it against two bore sleeves; a table measured on the right sleeve already has it.
    pub shrouding: Option<Reading<Ratio>>,
}

/// A table for all valves of one duty of a cylinder, in one direction.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchTable {
    /// What its rows hold.
    pub measure: FlowMeasure,
    /// In rising order of lift; never empty.
    pub rows: Vec<BenchRow>,
    /// All rows times this: 1, with what the whole table may be off by as tolerance.
    pub factor: Reading<Ratio>,
}

/// What a flow table holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FlowMeasure {
    /// Volume of air a second at the density of the air before the valve.
    Flow {
        /// Pressure drop it was measured at.
        test_pressure: Reading<Pressure>,
    },
    /// Discharge coefficient on a stated area.
    Coefficient(ReferenceArea),
}

/// The area that a discharge coefficient stands on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReferenceArea {
    /// pi x head diameter x lift.
    Curtain,
    /// The throat under the seat less the stem.
    Throat,
    /// The circle of the valve head.
    Head,
}

/// One row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BenchRow {
    /// Lift of the valve.
    pub lift: Length,
    /// m3/s or a bare number, as the measure says.
    pub value_si: f64,
}

impl BenchRow {
    /// A row of measured flow.
    pub fn flow(lift: Length, flow: VolumeRate) -> Self {
        Self { lift, value_si: flow.si() }
    }
}

impl Flow {
    /// The table of one duty in its ordinary direction, or against it.
    pub fn of(&self, duty: Duty, reverse: bool) -> Option<&BenchTable> {
        match (duty, reverse) {
            (Duty::Intake, false) => self.intake.as_ref(),
            (Duty::Intake, true) => self.intake_reverse.as_ref(),
            (Duty::Exhaust, false) => self.exhaust.as_ref(),
            (Duty::Exhaust, true) => self.exhaust_reverse.as_ref(),
        }
    }
}

impl Visit for Flow {
    fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, ReadingMut)) {
        let tables = [
            ("intake", &mut self.intake),
            ("intake_reverse", &mut self.intake_reverse),
            ("exhaust", &mut self.exhaust),
            ("exhaust_reverse", &mut self.exhaust_reverse),
        ];
        for (name, table) in tables {
            let Some(table) = table else { continue };
            let path = format!("{path}.{name}");
            if let FlowMeasure::Flow { test_pressure } = &mut table.measure {
                show(test_pressure, &path, "test_pressure", see);
            }
            show(&mut table.factor, &path, "factor", see);
        }
        if let Some(shrouding) = &mut self.shrouding {
            show(shrouding, path, "shrouding", see);
        }
    }
}
