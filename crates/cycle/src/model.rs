//! What an engine is to the cycle: cylinders, valves, pipes, volumes and what they run on, as plain SI numbers.
//!
//! A [`Model`] says nothing about speed or fidelity: the same model is marched at every speed and on every grid.
//! Leaves out where the numbers come from; `from_build` makes a model of a build sheet.

use gas::fuel::Fuel;

/// One engine, ready to be run.
#[derive(Clone, Debug, PartialEq)]
pub struct Model {
    /// In the order of their numbers; never empty.
    pub cylinders: Vec<Cylinder>,
    /// Ports, runners, primaries and what follows them.
    pub pipes: Vec<Pipe>,
    /// Plenums, collectors, silencers and junctions.
    pub volumes: Vec<Volume>,
    /// The open air, and boost after its cooler. Never empty; the first is the air outside.
    pub sources: Vec<Source>,
    /// What is burned, and how rich.
    pub charge: Charge,
    /// When the charge is lit.
    pub spark: Spark,
    /// How fast it burns.
    pub burn: Burn,
    /// What the walls take.
    pub heat: Heat,
    /// What rubbing and accessories take.
    pub friction: Friction,
}

/// One cylinder and its valves.
#[derive(Clone, Debug, PartialEq)]
pub struct Cylinder {
    /// Bore, m.
    pub bore_m: f64,
    /// Stroke, m.
    pub stroke_m: f64,
    /// Rod length between centres, m.
    pub rod_m: f64,
    /// Wrist pin off the bore axis toward the major thrust side, m.
    pub pin_offset_m: f64,
    /// Clearance volume at top dead centre without the crevice, m3.
    pub clearance_m3: f64,
    /// Volume between top land and bore above the ring, m3.
    pub crevice_m3: f64,
    /// Crank angle of this cylinder's firing TDC in the engine's cycle, degrees, 0 to 720.
    pub fires_at_deg: f64,
    /// Surface of the chamber in the head over the bore area.
    pub head_area_ratio: f64,
    /// Surface of the crown over the bore area.
    pub crown_area_ratio: f64,
    /// Plug to the farthest wall over the bore: 0.5 in the middle, 1 at the edge.
    pub flame_travel: f64,
    /// Intake valves, together.
    pub intake: ValveFlow,
    /// Exhaust valves, together.
    pub exhaust: ValveFlow,
}

/// What the valves of one duty of a cylinder let through at every crank angle.
///
/// Angles are the cylinder's own, 0 at its firing TDC; the tables repeat after 720 degrees and are linear between
/// their evenly spaced entries.
#[derive(Clone, Debug, PartialEq)]
pub struct ValveFlow {
    /// Effective area (discharge coefficient times its reference area, all valves together) from port to cylinder, m2.
    pub into_m2: Vec<f64>,
    /// The same from cylinder to port, m2.
    pub out_m2: Vec<f64>,
    /// All valve head areas together, m2: what the Mach index is taken on.
    pub head_area_m2: f64,
    /// Lift at the angles of the tables, m, for those who look at traces; may be empty.
    pub lift_m: Vec<f64>,
}

/// Which half of the engine a pipe or volume belongs to: what gas it starts with and how long its cells are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Fresh charge.
    Intake,
    /// Burned gas.
    Exhaust,
}

/// A pipe, from its left to its right end. Gas flows to the right in forward running.
#[derive(Clone, Debug, PartialEq)]
pub struct Pipe {
    /// Which half it belongs to.
    pub side: Side,
    /// Its left end.
    pub left: End,
    /// Its right end.
    pub right: End,
    /// Distance from the left end and inner diameter there, m; rising, the first at 0, at least two.
    pub bore_m: Vec<(f64, f64)>,
    /// Wall temperature, K.
    pub wall_k: f64,
    /// Roughness of the wall, m.
    pub roughness_m: f64,
    /// Wall heat transfer and friction over those of a straight pipe: bends, port walls.
    pub wall_factor: f64,
}

impl Loss {
    /// A plain open end.
    pub const NONE: Self = Self { into: 0.0, out: 0.0, open: 1.0 };
}

impl Pipe {
    /// Its length, m.
    pub fn length_m(&self) -> f64 {
        self.bore_m.last().map_or(0.0, |&(x, _)| x)
    }

    /// Inner diameter at a distance from the left end, m: linear between what is given.
    pub fn diameter_m(&self, x_m: f64) -> f64 {
        let above = self.bore_m.partition_point(|&(x, _)| x < x_m);
        match (above.checked_sub(1).and_then(|i| self.bore_m.get(i)), self.bore_m.get(above)) {
            (Some(&(x0, d0)), Some(&(x1, d1))) => d0 + (d1 - d0) * (x_m - x0) / (x1 - x0),
            (Some(&(_, d)), None) | (None, Some(&(_, d))) => d,
            (None, None) => f64::NAN,
        }
    }
}

/// What a pipe end opens to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum End {
    /// A wall.
    Closed,
    /// Outside air or boost; the loss coefficients of inflow to and outflow from the pipe, of the dynamic head.
    Source(usize, Loss),
    /// A volume.
    Volume(usize, Loss),
    /// The valves of a cylinder.
    Valves(usize, Side),
    /// Another pipe's left or right end, which names this one.
    Join(usize, PipeSide),
}

/// A side of a pipe.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PipeSide {
    /// Where the pipe begins.
    Left,
    /// Where it ends.
    Right,
}

/// Losses at an end, of the dynamic head in the pipe; and a throttle there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Loss {
    /// For flow into the pipe.
    pub into: f64,
    /// For flow out of the pipe.
    pub out: f64,
    /// Effective open area over pipe area, 0 to 1: a throttle, an air cleaner, a silencer's outlet.
    pub open: f64,
}

/// A volume where pipes meet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Volume {
    /// Which half it belongs to.
    pub side: Side,
    /// m3.
    pub volume_m3: f64,
    /// Heat loss area times coefficient, W/K.
    pub wall_w_per_k: f64,
    /// Wall temperature, K.
    pub wall_k: f64,
}

/// Gas at rest: the air outside, or what a compressor and its cooler deliver.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Source {
    /// Absolute pressure, Pa.
    pub p_pa: f64,
    /// Temperature, K.
    pub t_k: f64,
    /// Water vapour, kg per kg of dry air.
    pub humidity: f64,
    /// What this source's air costs the crankshaft, J/kg: a driven compressor; 0 for open air.
    pub work_j_per_kg: f64,
}

/// What is burned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Charge {
    /// The fuel.
    pub fuel: Fuel,
    /// Air over what the fuel needs; below 1 is rich.
    pub lambda: f64,
    /// Part of the fuel that is vapour where it is mixed in, 0 to 1; the rest evaporates in the cylinder.
    pub vapour: f64,
    /// Research octane number, for the knock limit.
    pub ron: f64,
    /// Motor octane number.
    pub mon: f64,
}

/// When the charge is lit.
#[derive(Clone, Debug, PartialEq)]
pub enum Spark {
    /// Engine speed in rpm and spark before TDC in degrees, in rising order of speed; linear between, the end values
    /// beyond.
    Given(Vec<(f64, f64)>),
    /// So that half is burned at a given angle after TDC, degrees.
    HalfBurnedAt(f64),
    /// Best torque, found.
    Best,
    /// Best torque or the knock limit less a margin of the induction-time integral, whichever is later.
    KnockLimited {
        /// Largest integral that is allowed; 1 is knock.
        integral: f64,
    },
}

/// How fast it burns.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Burn {
    /// Degrees from spark to 10 % and from 10 % to 90 % at every speed.
    Given {
        /// Spark to 10 % burned, deg.
        delay_deg: f64,
        /// 10 % to 90 % burned, deg.
        duration_deg: f64,
    },
    /// From a published correlation, times factors.
    Correlated {
        /// On both angles.
        factor: f64,
    },
}

/// What the walls take.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heat {
    /// Whose coefficient.
    pub law: HeatLaw,
    /// Times this.
    pub factor: f64,
    /// Chamber and valve faces, K.
    pub head_k: f64,
    /// Crown, K.
    pub crown_k: f64,
    /// Bore, K.
    pub bore_k: f64,
}

/// A correlation for the heat transfer coefficient in the cylinder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeatLaw {
    /// No heat loss.
    None,
    /// Woschni (1967).
    Woschni,
    /// Hohenberg (1979).
    Hohenberg,
    /// Annand (1963).
    Annand,
}

/// What rubbing and accessories take.
#[derive(Clone, Debug, PartialEq)]
pub struct Friction {
    /// Which model.
    pub law: FrictionLaw,
    /// Times this.
    pub factor: f64,
}

/// A friction model.
#[derive(Clone, Debug, PartialEq)]
pub enum FrictionLaw {
    /// Frictionless.
    None,
    /// Mean pressure over speed: Barnes-Moss (1975).
    BarnesMoss,
    /// Over peak pressure and piston speed: Chen and Flynn (1965); bar, -, bar/(m/s), bar/(m/s)^2.
    ChenFlynn([f64; 4]),
    /// Component by component: Patton, Nitschke and Heywood (1989).
    Components(Bearings),
}

/// Sizes of the component friction model.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bearings {
    /// Main bearing diameter, m.
    pub main_m: f64,
    /// Main bearing length, m.
    pub main_length_m: f64,
    /// Number of main bearings.
    pub n_main: usize,
    /// Rod bearing diameter, m.
    pub rod_m: f64,
    /// Rod bearing length, m.
    pub rod_length_m: f64,
    /// Camshaft bearings.
    pub n_cam: usize,
    /// Valves of the engine.
    pub n_valves: usize,
    /// Largest valve lift, m.
    pub lift_m: f64,
    /// Cam followers roll.
    pub roller: bool,
}
