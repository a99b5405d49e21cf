//! Pressure, temperature, flow and lift over crank angle: a recorder that follows the last cycle.
//!
//! Leaves out everything when nobody asked: then nothing is kept, and a step asks one question.

use crate::prepared::Prepared;

/// Degrees between the entries of a [`CylinderTrace`].
pub const TRACE_STEP_DEG: f64 = 1.0;

/// What a cylinder and its ports did over a cycle. Entries lie a degree apart, from -360 to 360 degrees after firing
/// TDC, both ends among them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CylinderTrace {
    /// Degrees after firing TDC.
    pub angle_deg: Vec<f64>,
    /// Cylinder pressure, Pa.
    pub p_pa: Vec<f64>,
    /// Mean temperature of the gas in it, K.
    pub t_k: Vec<f64>,
    /// Of what has not burned, K; the mean while a valve is open.
    pub t_unburned_k: Vec<f64>,
    /// Mass with that in the top land, kg.
    pub mass_kg: Vec<f64>,
    /// Mass fraction of the burned zone; 0 to 1 from spark to the end of burning.
    pub burned_zone: Vec<f64>,
    /// Through the intake valves, kg/s, positive into the cylinder.
    pub intake_kg_per_s: Vec<f64>,
    /// Through the exhaust valves, kg/s, positive out of the cylinder.
    pub exhaust_kg_per_s: Vec<f64>,
    /// Pressure in the intake port at the valves, Pa; the first of its pipes.
    pub intake_port_pa: Vec<f64>,
    /// Pressure in the exhaust port at the valves, Pa.
    pub exhaust_port_pa: Vec<f64>,
    /// Lift of the intake valves, m.
    pub intake_lift_m: Vec<f64>,
    /// Lift of the exhaust valves, m.
    pub exhaust_lift_m: Vec<f64>,
}

/// Quantities of a note beside its angle.
const N: usize = 9;

/// One step of one cylinder: the angle of its own at the end of the step, then p, T, unburned T, mass, burned zone,
/// intake and exhaust flow, pressures of both ports.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Note {
    pub(crate) angle_deg: f64,
    pub(crate) values: [f64; N],
}

/// Notes of a cycle, cylinder by cylinder.
#[derive(Clone, Debug)]
pub(crate) struct Recorder {
    notes: Vec<Vec<Note>>,
}

impl Recorder {
    /// For so many cylinders.
    pub(crate) fn new(n_cylinders: usize) -> Self {
        Self { notes: vec![Vec::new(); n_cylinders] }
    }

    /// Forgets the cycle before.
    pub(crate) fn begin(&mut self) {
        self.notes.iter_mut().for_each(Vec::clear);
    }

    /// Keeps a step.
    pub(crate) fn note(&mut self, cylinder: usize, note: Note) {
        self.notes[cylinder].push(note);
    }

    /// What was kept, on even angles of each cylinder's own.
    pub(crate) fn traces(&self, engine: &Prepared) -> Vec<CylinderTrace> {
        self.notes.iter().enumerate().map(|(cylinder, notes)| trace(engine, cylinder, notes)).collect()
    }
}

/// Between -360 and 360.
fn turned(angle_deg: f64) -> f64 {
    angle_deg - 720.0 * ((angle_deg + 360.0) / 720.0).floor()
}

fn trace(engine: &Prepared, cylinder: usize, notes: &[Note]) -> CylinderTrace {
    let mut trace = CylinderTrace::default();
    let mut notes: Vec<Note> =
        notes.iter().map(|note| Note { angle_deg: turned(note.angle_deg), ..*note }).collect();
    notes.sort_by(|a, b| a.angle_deg.total_cmp(&b.angle_deg));
    let (Some(first), Some(last)) = (notes.first().copied(), notes.last().copied()) else { return trace };
    // The cycle repeats itself: what comes before the first note is the last one, a cycle earlier.
    notes.insert(0, Note { angle_deg: last.angle_deg - 720.0, ..last });
    notes.push(Note { angle_deg: first.angle_deg + 720.0, ..first });
    let model = &engine.model.cylinders[cylinder];
    let n = (720.0 / TRACE_STEP_DEG).round() as usize;
    for idx in 0..=n {
        let angle = -360.0 + idx as f64 * TRACE_STEP_DEG;
        let v = at(&notes, angle);
        trace.angle_deg.push(angle);
        trace.p_pa.push(v[0]);
        trace.t_k.push(v[1]);
        trace.t_unburned_k.push(v[2]);
        trace.mass_kg.push(v[3]);
        trace.burned_zone.push(v[4]);
        trace.intake_kg_per_s.push(v[5]);
        trace.exhaust_kg_per_s.push(v[6]);
        trace.intake_port_pa.push(v[7]);
        trace.exhaust_port_pa.push(v[8]);
        trace.intake_lift_m.push(of_table(&model.intake.lift_m, angle));
        trace.exhaust_lift_m.push(of_table(&model.exhaust.lift_m, angle));
    }
    trace
}

/// On a straight line between the notes around an angle.
fn at(notes: &[Note], angle_deg: f64) -> [f64; N] {
    let above = notes.partition_point(|note| note.angle_deg < angle_deg).clamp(1, notes.len() - 1);
    let (a, b) = (&notes[above - 1], &notes[above]);
    let share = ((angle_deg - a.angle_deg) / (b.angle_deg - a.angle_deg).max(1e-12)).clamp(0.0, 1.0);
    std::array::from_fn(|k| a.values[k] + share * (b.values[k] - a.values[k]))
}

/// Of a table that is evenly spaced over 720 degrees from firing TDC; 0 where there is none.
fn of_table(table: &[f64], angle_deg: f64) -> f64 {
    let n = table.len();
    if n == 0 {
        return 0.0;
    }
    let turns = angle_deg / 720.0;
    let place = (turns - turns.floor()) * n as f64;
    let below = (place as usize).min(n - 1);
    table[below] + (place - below as f64) * (table[(below + 1) % n] - table[below])
}
