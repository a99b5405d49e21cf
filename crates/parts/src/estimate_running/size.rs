//! What the estimates stand on: how large the engine is, how its valves lie, how fast it is used.

use std::f64::consts::PI;

use units::Quantity;

use crate::{Build, Cylinder, Duty};

/// How the valves of a chamber lie. More flow comes from the same bore down the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ValveLayout {
    /// Two valves side by side or nearly so: wedge, bathtub, bowl in piston.
    Parallel,
    /// Two valves that lean apart: hemispherical and pent-roof chambers.
    Inclined,
    /// More than one intake valve.
    Multi,
}

/// When an engine was designed, as far as it steers estimates. Without a year the middle of all is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Era {
    /// Before 1970: carburettors, open chambers, small ports.
    Early,
    /// 1970 to 1989: first emission rules, unleaded regular fuel.
    Middle,
    /// From 1990: injection, fast chambers, ports that were flowed.
    Late,
}

/// Sizes of an engine in SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EngineSize {
    /// Number of cylinders.
    pub n_cylinders: usize,
    /// Rows of them.
    pub banks: usize,
    /// Bore, m.
    pub bore_m: f64,
    /// Stroke, m.
    pub stroke_m: f64,
    /// One cylinder, m3.
    pub swept_m3: f64,
    /// Head diameter of one intake valve, m.
    pub intake_head_m: f64,
    /// Head diameter of one exhaust valve, m.
    pub exhaust_head_m: f64,
    /// Intake valves of a cylinder.
    pub n_intake: usize,
    /// Exhaust valves of a cylinder.
    pub n_exhaust: usize,
    /// Largest lift of any valve, m.
    pub lift_m: f64,
    /// How the valves lie.
    pub layout: ValveLayout,
    /// Speed of most power, as far as anybody can say without running it, rpm.
    pub rated_rpm: f64,
    /// Era of design, when a year is given.
    pub era: Option<Era>,
}

/// Two valves that lean apart by more than this, degrees, count as inclined.
const INCLINED_DEG: f64 = 20.0;

/// Mean piston speed at most power of road engines, m/s: 13 to 16 (common practice, no source).
const RATED_PISTON_SPEED_M_PER_S: f64 = 14.5;

/// The highest speed in use lies above that of most power by this factor (common practice, no source).
const LIMIT_OVER_RATED: f64 = 1.07;

impl Era {
    /// The era of a year.
    pub fn of(year: u32) -> Self {
        match year {
            ..1970 => Self::Early,
            1970..1990 => Self::Middle,
            1990.. => Self::Late,
        }
    }
}

impl EngineSize {
    /// Of a build; the first cylinder stands for all.
    pub fn of(build: &Build) -> Self {
        let cylinder = &build.cylinders[0];
        let (bore_m, stroke_m) = (cylinder.block.bore.value.si(), cylinder.block.stroke.value.si());
        let (intake_head_m, n_intake) = heads(cylinder, Duty::Intake);
        let (exhaust_head_m, n_exhaust) = heads(cylinder, Duty::Exhaust);
        Self {
            n_cylinders: build.cylinders.len(),
            banks: build.engine.banks.max(1),
            bore_m,
            stroke_m,
            swept_m3: 0.25 * PI * bore_m * bore_m * stroke_m,
            intake_head_m,
            exhaust_head_m,
            n_intake,
            n_exhaust,
            lift_m: cylinder.head.valves.iter().map(|valve| valve.lift.value.si()).fold(0.0, f64::max),
            layout: layout(cylinder, n_intake),
            rated_rpm: rated_rpm(build, stroke_m),
            era: build.running.year.map(Era::of),
        }
    }

    /// All cylinders, m3.
    pub fn displacement_m3(&self) -> f64 {
        self.swept_m3 * self.n_cylinders as f64
    }

    /// Diameter of a circle of the area of all intake or exhaust valve heads of a cylinder, m.
    pub fn heads_m(&self, duty: Duty) -> f64 {
        match duty {
            Duty::Intake => self.intake_head_m * (self.n_intake as f64).sqrt(),
            Duty::Exhaust => self.exhaust_head_m * (self.n_exhaust as f64).sqrt(),
        }
    }

    /// Number of intake or exhaust valves of a cylinder.
    pub fn n_valves(&self, duty: Duty) -> usize {
        match duty {
            Duty::Intake => self.n_intake,
            Duty::Exhaust => self.n_exhaust,
        }
    }

    /// Air asked for against that of two litres at 5,500 rpm: what pipes common to all cylinders are sized by.
    pub fn air_against_two_litres(&self, share: f64) -> f64 {
        self.displacement_m3() * share * self.rated_rpm / (0.002 * 5500.0)
    }
}

/// Diameter of one head and the number of them; a middling head where a duty has no valve.
fn heads(cylinder: &Cylinder, duty: Duty) -> (f64, usize) {
    let of_duty = || cylinder.head.valves.iter().filter(|valve| valve.duty == duty);
    let n = of_duty().count();
    let area: f64 = of_duty().map(|valve| valve.head_diameter.value.si().powi(2)).sum();
    if n == 0 { (0.4 * cylinder.block.bore.value.si(), 1) } else { ((area / n as f64).sqrt(), n) }
}

fn layout(cylinder: &Cylinder, n_intake: usize) -> ValveLayout {
    if n_intake > 1 {
        return ValveLayout::Multi;
    }
    let axis = |duty: Duty| cylinder.head.valves.iter().find(|valve| valve.duty == duty).map(|v| v.axis());
    let (Some(a), Some(b)) = (axis(Duty::Intake), axis(Duty::Exhaust)) else { return ValveLayout::Parallel };
    let along: f64 = a.iter().zip(b).map(|(a, b)| a * b).sum();
    let apart = along.clamp(-1.0, 1.0).acos().to_degrees();
    if apart > INCLINED_DEG { ValveLayout::Inclined } else { ValveLayout::Parallel }
}

/// The upper end of the band, else a little under the rev limit, else by piston speed.
fn rated_rpm(build: &Build, stroke_m: f64) -> f64 {
    const RPM: f64 = 30.0 / PI;
    if let Some(to) = build.running.band.to {
        return to.value.si() * RPM;
    }
    if let Some(limit) = build.used.rev_limit {
        return limit.value.si() * RPM / LIMIT_OVER_RATED;
    }
    30.0 * RATED_PISTON_SPEED_M_PER_S / stroke_m
}
