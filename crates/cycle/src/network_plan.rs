//! What of a model becomes which part of a gas network.
//!
//! Every source end is a port of the network like the valves are, so that what passes there is counted. Leaves out
//! the state of anything, and time.

use crate::charge_gas::ChargeGas;
use crate::fidelity::Settings;
use crate::grid::Grid;
use crate::model::{End, Loss, Model, Pipe, PipeSide, Side, ValveFlow};
use gas::equilibrium::EquilibriumError;
use gas::network::{EndKind, NetworkError, PipePlan, Plan};
use gas::pipe::{PipeShape, ShapeError, Side as GasSide};
use thiserror::Error;

/// A model that cannot be run.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum PlanError {
    /// Nothing to run.
    #[error("an engine without {0}")]
    Without(&'static str),
    /// A pipe's measures.
    #[error("pipe {pipe}: {source}")]
    Shape {
        /// Which pipe.
        pipe: usize,
        /// What is wrong.
        source: ShapeError,
    },
    /// A pipe end that leads nowhere.
    #[error(transparent)]
    Network(#[from] NetworkError),
    /// A cylinder that no pipe leads to or from.
    #[error("cylinder {cylinder}: no pipe at its {side} valves")]
    NoPort {
        /// Which cylinder.
        cylinder: usize,
        /// Its intake or exhaust valves.
        side: &'static str,
    },
    /// A number outside what the physics is defined for.
    #[error("{place}: {what} is {value}, expected {expected}")]
    Value {
        /// Where.
        place: String,
        /// Which quantity, with its unit.
        what: &'static str,
        /// As given.
        value: f64,
        /// What would do.
        expected: &'static str,
    },
    /// The burned gas of the charge.
    #[error(transparent)]
    Burned(#[from] EquilibriumError),
}

/// A pipe end at the valves of a cylinder.
#[derive(Clone, Debug)]
pub struct ValveEnd {
    /// Whose valves.
    pub cylinder: usize,
    /// Intake or exhaust valves.
    pub side: Side,
    /// The pipe.
    pub pipe: usize,
    /// Its end: 0 left, 1 right.
    pub end: usize,
    /// Opening over crank angle.
    pub table: OpeningTable,
}

/// A pipe end at a source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SourceEnd {
    /// Which of the model's sources.
    pub source: usize,
    /// Fresh charge comes in from the intake side, plain air from the exhaust side.
    pub side: Side,
}

/// Openings of a valve end: effective area over pipe area out of and into the pipe, evenly spaced over 720 degrees.
#[derive(Clone, Debug, PartialEq)]
pub struct OpeningTable {
    /// Out of the pipe, into the pipe; one entry more than the period has, so that the last meets the first.
    pub values: Vec<[f64; 2]>,
}

impl OpeningTable {
    /// From a valve's effective areas, of which this end has a share, over the area of the pipe's end.
    pub fn new(flow: &ValveFlow, share: f64, pipe_area_m2: f64) -> Self {
        let n = flow.into_m2.len();
        let scale = share / pipe_area_m2;
        let values = (0..=n)
            .map(|i| [flow.into_m2[i % n], flow.out_m2[i % n]].map(|area| (scale * area).clamp(0.0, 1.0)))
            .collect();
        Self { values }
    }

    /// Openings at an angle of the cylinder's own, degrees, any number of turns.
    #[inline(always)]
    pub fn at(&self, angle_deg: f64) -> [f64; 2] {
        let n = self.values.len() - 1;
        let turns = angle_deg * (1.0 / 720.0);
        let place = (turns - turns.floor()) * n as f64;
        let below = (place as usize).min(n - 1);
        let part = place - below as f64;
        let (a, b) = (self.values[below], self.values[below + 1]);
        [part.mul_add(b[0] - a[0], a[0]), part.mul_add(b[1] - a[1], a[1])]
    }
}

/// A model as a network.
#[derive(Clone, Debug)]
pub struct NetworkPlan {
    /// What is joined to what.
    pub plan: Plan,
    /// Cells of each pipe.
    pub grid: Grid,
    /// Measures of each pipe.
    pub shapes: Vec<PipeShape>,
    /// Which half each pipe belongs to.
    pub sides: Vec<Side>,
    /// Volumes, m3.
    pub volumes_m3: Vec<f64>,
    /// Which half each volume belongs to.
    pub volume_sides: Vec<Side>,
    /// Fixed openings of all pipe ends: out of the pipe, into the pipe.
    pub openings: Vec<[[f64; 2]; 2]>,
    /// The first ports of the network.
    pub valve_ends: Vec<ValveEnd>,
    /// The ports after those.
    pub source_ends: Vec<SourceEnd>,
    /// The gases.
    pub gas: ChargeGas,
}

impl NetworkPlan {
    /// The network of a model.
    pub fn new(model: &Model, settings: &Settings) -> Result<Self, PlanError> {
        check(model)?;
        Self::with_gas(model, settings, ChargeGas::of(model)?)
    }

    /// The same of a model that was planned before, on another grid, with the gases that are known from then.
    pub(crate) fn with_gas(model: &Model, settings: &Settings, gas: ChargeGas) -> Result<Self, PlanError> {
        let grid = Grid::of(model, settings);
        let shapes = (model.pipes.iter().zip(&grid.n_cells).enumerate())
            .map(|(at, (pipe, &n))| shape_of(pipe, n).map_err(|source| PlanError::Shape { pipe: at, source }))
            .collect::<Result<Vec<_>, _>>()?;
        let mut ends = Ends { valve_ends: Vec::new(), source_ends: Vec::new() };
        ends.collect(model, &shapes);
        let mut ports = Ports { valves: 0, sources: ends.valve_ends.len() };
        let pipes = (model.pipes.iter())
            .map(|pipe| PipePlan { left: ports.kind(pipe.left), right: ports.kind(pipe.right) })
            .collect();
        let plan = Plan {
            pipes,
            n_sources: 0,
            n_volumes: model.volumes.len(),
            n_ports: ends.valve_ends.len() + ends.source_ends.len(),
        };
        plan.check()?;
        let volumes_m3 = (0..model.volumes.len()).map(|v| volume_of(model, settings, &shapes, v)).collect();
        Ok(Self {
            plan,
            grid,
            shapes,
            sides: model.pipes.iter().map(|p| p.side).collect(),
            volume_sides: model.volumes.iter().map(|v| v.side).collect(),
            volumes_m3,
            openings: model.pipes.iter().map(|p| [opening_of(p.left), opening_of(p.right)]).collect(),
            valve_ends: ends.valve_ends,
            source_ends: ends.source_ends,
            gas,
        })
    }
}

struct Ends {
    valve_ends: Vec<ValveEnd>,
    source_ends: Vec<SourceEnd>,
}

impl Ends {
    /// All ends at valves and sources, in the order of the pipes.
    fn collect(&mut self, model: &Model, shapes: &[PipeShape]) {
        let area = |pipe: usize, end: usize| {
            let faces = shapes[pipe].face_areas_m2();
            if end == 0 { faces[0] } else { faces[faces.len() - 1] }
        };
        // Several pipes at one set of valves share it by their area.
        let together = |cylinder: usize, side: Side| -> f64 {
            ends_of(model).filter(|e| e.2 == End::Valves(cylinder, side)).map(|(p, e, _)| area(p, e)).sum()
        };
        for (pipe, end, what) in ends_of(model) {
            match what {
                End::Valves(cylinder, side) => {
                    let own = area(pipe, end);
                    let flow = match side {
                        Side::Intake => &model.cylinders[cylinder].intake,
                        Side::Exhaust => &model.cylinders[cylinder].exhaust,
                    };
                    let table = OpeningTable::new(flow, own / together(cylinder, side), own);
                    self.valve_ends.push(ValveEnd { cylinder, side, pipe, end, table });
                }
                End::Source(source, _) => {
                    self.source_ends.push(SourceEnd { source, side: model.pipes[pipe].side });
                }
                End::Closed | End::Volume(..) | End::Join(..) => {}
            }
        }
    }
}

/// Pipe, end (0 left, 1 right), what it opens to.
fn ends_of(model: &Model) -> impl Iterator<Item = (usize, usize, End)> {
    model.pipes.iter().enumerate().flat_map(|(at, pipe)| [(at, 0, pipe.left), (at, 1, pipe.right)])
}

/// The next free ports.
struct Ports {
    valves: usize,
    sources: usize,
}

impl Ports {
    fn kind(&mut self, end: End) -> EndKind {
        let next = |counter: &mut usize| {
            *counter += 1;
            EndKind::Port(*counter - 1)
        };
        match end {
            End::Closed => EndKind::Closed,
            End::Source(..) => next(&mut self.sources),
            End::Valves(..) => next(&mut self.valves),
            End::Volume(v, _) => EndKind::Volume(v),
            End::Join(pipe, PipeSide::Left) => EndKind::Join(pipe, GasSide::Left),
            End::Join(pipe, PipeSide::Right) => EndKind::Join(pipe, GasSide::Right),
        }
    }
}

fn shape_of(pipe: &Pipe, n_cells: usize) -> Result<PipeShape, ShapeError> {
    PipeShape::from_diameter(pipe.length_m(), n_cells, |x| pipe.diameter_m(x))?.with_wall(
        pipe.roughness_m,
        pipe.wall_k,
        pipe.wall_factor,
        pipe.wall_factor,
    )
}

/// Opening of an end whose throttle leaves `open` of the pipe area and that loses K of the dynamic head besides:
/// the two pressure losses add, 1/phi^2 = 1/open^2 + K. Flow out of the pipe loses its dynamic head anyway (opening
/// 1); K is what it loses beyond that.
fn opening_of(end: End) -> [f64; 2] {
    match end {
        End::Source(_, loss) | End::Volume(_, loss) => [loss.out, loss.into].map(|k| opening(&loss, k)),
        End::Valves(..) => [0.0, 0.0],
        End::Closed | End::Join(..) => [1.0, 1.0],
    }
}

fn opening(loss: &Loss, k: f64) -> f64 {
    let open = loss.open.clamp(1e-4, 1.0);
    1.0 / (1.0 / (open * open) + k.max(0.0)).sqrt()
}

/// Cells of its widest end that a volume must hold, else it, not the pipes, would set the time step. A smaller one
/// is enlarged to that; what it adds shrinks with the cells like the rest of the grid's error.
const LEAST_CELLS_IN_VOLUME: f64 = 1.5;

fn volume_of(model: &Model, settings: &Settings, shapes: &[PipeShape], volume: usize) -> f64 {
    let given = &model.volumes[volume];
    let wished = match given.side {
        Side::Intake => settings.intake_cell_m,
        Side::Exhaust => settings.exhaust_cell_m,
    };
    let widest = ends_of(model)
        .filter(|e| matches!(e.2, End::Volume(v, _) if v == volume))
        .map(|(pipe, end, _)| {
            let faces = shapes[pipe].face_areas_m2();
            if end == 0 { faces[0] } else { faces[faces.len() - 1] }
        })
        .fold(0.0, f64::max);
    given.volume_m3.max(LEAST_CELLS_IN_VOLUME * wished * widest)
}

/// Refuses what the physics is not defined for, with place, found and expected.
pub(crate) fn check(model: &Model) -> Result<(), PlanError> {
    for (what, missing) in [
        ("cylinders", model.cylinders.is_empty()),
        ("pipes", model.pipes.is_empty()),
        ("a source", model.sources.is_empty()),
    ] {
        if missing {
            return Err(PlanError::Without(what));
        }
    }
    for (at, c) in model.cylinders.iter().enumerate() {
        let place = || format!("cylinder {at}");
        for (what, value) in [
            ("bore in m", c.bore_m),
            ("stroke in m", c.stroke_m),
            ("rod length in m", c.rod_m),
            ("clearance volume in m3", c.clearance_m3),
        ] {
            positive(place, what, value)?;
        }
        if c.rod_m <= 0.5 * c.stroke_m + c.pin_offset_m.abs() {
            return Err(PlanError::Value {
                place: place(),
                what: "rod length in m",
                value: c.rod_m,
                expected: "more than half the stroke and the pin offset",
            });
        }
        for (side, name, flow) in
            [(Side::Intake, "intake", &c.intake), (Side::Exhaust, "exhaust", &c.exhaust)]
        {
            let place = || format!("cylinder {at}, {name} valves");
            if flow.into_m2.len() < 2 || flow.into_m2.len() != flow.out_m2.len() {
                return Err(PlanError::Value {
                    place: place(),
                    what: "length of the flow tables",
                    value: flow.into_m2.len().min(flow.out_m2.len()) as f64,
                    expected: "two or more, the same for both directions",
                });
            }
            for &area in flow.into_m2.iter().chain(&flow.out_m2) {
                not_negative(place, "effective area in m2", area)?;
            }
            if !ends_of(model).any(|e| e.2 == End::Valves(at, side)) {
                return Err(PlanError::NoPort { cylinder: at, side: name });
            }
        }
    }
    for (pipe, end, what) in ends_of(model) {
        let (named, available, what) = match what {
            End::Source(i, _) => (i, model.sources.len(), "source"),
            End::Volume(i, _) => (i, model.volumes.len(), "volume"),
            End::Valves(i, _) => (i, model.cylinders.len(), "cylinder"),
            End::Closed | End::Join(..) => continue,
        };
        if named >= available {
            return Err(NetworkError::NoSuch { pipe, what, named, available }.into());
        }
        if let End::Source(_, loss) | End::Volume(_, loss) =
            if end == 0 { model.pipes[pipe].left } else { model.pipes[pipe].right }
        {
            let place = || format!("pipe {pipe}");
            not_negative(place, "loss coefficient into the pipe", loss.into)?;
            not_negative(place, "loss coefficient out of the pipe", loss.out)?;
            not_negative(place, "open share", loss.open)?;
        }
    }
    for (at, source) in model.sources.iter().enumerate() {
        let place = || format!("source {at}");
        positive(place, "pressure in Pa", source.p_pa)?;
        positive(place, "temperature in K", source.t_k)?;
        not_negative(place, "humidity", source.humidity)?;
    }
    for (at, volume) in model.volumes.iter().enumerate() {
        let place = || format!("volume {at}");
        positive(place, "volume in m3", volume.volume_m3)?;
        not_negative(place, "wall loss in W/K", volume.wall_w_per_k)?;
        positive(place, "wall temperature in K", volume.wall_k)?;
    }
    positive(|| "charge".to_owned(), "lambda", model.charge.lambda)?;
    not_negative(|| "charge".to_owned(), "vapour share", model.charge.vapour)
}

fn positive(place: impl Fn() -> String, what: &'static str, value: f64) -> Result<(), PlanError> {
    if 0.0 < value && value.is_finite() {
        return Ok(());
    }
    Err(PlanError::Value { place: place(), what, value, expected: "a positive number" })
}

fn not_negative(place: impl Fn() -> String, what: &'static str, value: f64) -> Result<(), PlanError> {
    if 0.0 <= value && value.is_finite() {
        return Ok(());
    }
    Err(PlanError::Value { place: place(), what, value, expected: "zero or more" })
}
