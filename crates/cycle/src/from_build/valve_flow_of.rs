//! What the valves of a cylinder let through at every crank degree: lift from the valve gear, area from the flow table.

use std::f64::consts::PI;

use parts::estimate_running::{EngineSize, gear, rule};
use parts::readings::Visit;
use parts::running::{BenchTable, FlowMeasure, ReferenceArea};
use parts::{Build, Cylinder, Duty, ValveGear};
use units::Quantity;

use super::bench_flow::effective_area_m2;
use super::lobe_fits::LobeFits;
use super::{Assumed, FromBuildError, Taken, si, word};
use crate::model::ValveFlow;

/// Entries of a table over the cycle: one a crank degree.
const ENTRIES: usize = 720;

/// Lift tables of the gears of one build.
pub(super) struct ValveLifts<'f> {
    fits: &'f mut LobeFits,
    known: Vec<Known>,
}

struct Known {
    duty: Duty,
    gear: ValveGear,
    /// Lift at every crank degree, m.
    lifts_m: Vec<f64>,
    estimated: bool,
}

impl<'f> ValveLifts<'f> {
    /// None yet.
    pub(super) fn new(fits: &'f mut LobeFits) -> Self {
        Self { fits, known: Vec::new() }
    }

    /// Lift of the valves of a duty at every degree, m; of an estimated lobe where the build has none.
    fn lifts_m(
        &mut self,
        build: &Build,
        cylinder: &Cylinder,
        duty: Duty,
    ) -> Result<Vec<f64>, FromBuildError> {
        let given = cylinder.gear.of(duty);
        let gear = match given {
            Some(given) => given.clone(),
            None => {
                let valve = cylinder.head.valves.iter().find(|valve| valve.duty == duty);
                let missing = FromBuildError::NoValve { cylinder: cylinder.number, duty };
                gear(duty, valve.ok_or(missing)?.lift, &EngineSize::of(build))
            }
        };
        if let Some(known) = self.known.iter().find(|known| known.duty == duty && known.gear == gear) {
            return Ok(known.lifts_m.clone());
        }
        let lifts_m = self.fits.motion(duty, &gear)?.table(ENTRIES).lift_m;
        self.known.push(Known { duty, gear, lifts_m: lifts_m.clone(), estimated: given.is_none() });
        Ok(lifts_m)
    }

    /// Largest lift of all, m.
    pub(super) fn largest_m(&self) -> f64 {
        self.known.iter().flat_map(|known| &known.lifts_m).copied().fold(0.0, f64::max)
    }

    /// What was assumed of gears that the build does not describe.
    pub(super) fn assumed(&mut self) -> Vec<Assumed> {
        let mut assumed = Vec::new();
        for known in self.known.iter_mut().filter(|known| known.estimated) {
            let path = format!("cam.{}", word(known.duty));
            known.gear.lobe.visit(&path, &mut |path, reading| {
                assumed.push(Assumed {
                    path: path.to_owned(),
                    taken: Taken::Reading {
                        value_si: *reading.value_si,
                        tolerance_si: reading.tolerance_si,
                        kind: reading.kind,
                    },
                    rule: rule(path).unwrap_or("a middling road camshaft for that speed"),
                });
            });
        }
        assumed
    }
}

/// The valves of one duty of a cylinder.
pub(super) fn valve_flow(
    build: &Build,
    cylinder: &Cylinder,
    duty: Duty,
    lifts: &mut ValveLifts<'_>,
) -> Result<ValveFlow, FromBuildError> {
    let valves = Valves::of(build, cylinder, duty)?;
    let flow = &build.running.flow;
    let forward = AreaCurve::of(flow.of(duty, false), &valves, duty)?;
    let reverse = match flow.of(duty, true) {
        Some(table) => AreaCurve::of(Some(table), &valves, duty)?,
        None => forward.clone(),
    };
    let lifts_m = lifts.lifts_m(build, cylinder, duty)?;
    let shrouding = si(flow.shrouding, 0.0);
    let open = |lift_m: f64| 1.0 - shrouding * valves.shrouded(lift_m);
    let areas = |curve: &AreaCurve| -> Vec<f64> {
        lifts_m.iter().map(|&lift_m| curve.at_m2(lift_m) * open(lift_m)).collect()
    };
    let (along, against) = (areas(&forward), areas(&reverse));
    let (into_m2, out_m2) = match duty {
        Duty::Intake => (along, against),
        Duty::Exhaust => (against, along),
    };
    Ok(ValveFlow { into_m2, out_m2, head_area_m2: valves.head_area_m2(), lift_m: lifts_m })
}

/// The valves of one duty, as alike.
struct Valves {
    n: usize,
    head_m: f64,
    throat_m: f64,
    stem_m: f64,
    /// Closest distance from the rim of each valve to the bore's wall, at evenly spaced places around it, m.
    gaps_m: Vec<f64>,
}

/// Places around the rim where shrouding is looked at.
const RIM_PLACES: usize = 72;

impl Valves {
    fn of(build: &Build, cylinder: &Cylinder, duty: Duty) -> Result<Self, FromBuildError> {
        let of_duty: Vec<_> = cylinder.head.valves.iter().filter(|valve| valve.duty == duty).collect();
        let n = of_duty.len();
        if n == 0 {
            return Err(FromBuildError::NoValve { cylinder: cylinder.number, duty });
        }
        let mean_square =
            |size: &dyn Fn(usize) -> f64| ((0..n).map(|at| size(at).powi(2)).sum::<f64>() / n as f64).sqrt();
        let head_m = mean_square(&|at| of_duty[at].head_diameter.value.si());
        let port = match duty {
            Duty::Intake => &build.running.ports.intake,
            Duty::Exhaust => &build.running.ports.exhaust,
        };
        let radius_m = 0.5 * cylinder.block.bore.value.si();
        let gaps_m = of_duty
            .iter()
            .flat_map(|valve| {
                let [x, y, rim] = [valve.x, valve.y, valve.head_diameter].map(|reading| reading.value.si());
                (0..RIM_PLACES).map(move |place| {
                    let angle = 2.0 * PI * place as f64 / RIM_PLACES as f64;
                    let (px, py) = (x + 0.5 * rim * angle.cos(), y + 0.5 * rim * angle.sin());
                    radius_m - px.hypot(py)
                })
            })
            .collect();
        Ok(Self {
            n,
            head_m,
            throat_m: si(port.throat_diameter, 0.86 * head_m),
            stem_m: mean_square(&|at| of_duty[at].stem_diameter.value.si()),
            gaps_m,
        })
    }

    fn head_area_m2(&self) -> f64 {
        0.25 * PI * self.head_m * self.head_m * self.n as f64
    }

    /// Share of the curtain that the bore wall covers at a lift: where the rim stands nearer to the wall than the valve
    /// has lifted, the gap is all that is left of the lift.
    ///
    /// A first-order picture without a published source, which is why it is off unless calibrated; chamber walls and
    /// a leaning valve's own travel sideways are left out.
    fn shrouded(&self, lift_m: f64) -> f64 {
        if lift_m <= 0.0 {
            return 0.0;
        }
        let lost = |gap: &f64| 1.0 - (gap.max(0.0) / lift_m).min(1.0);
        self.gaps_m.iter().map(lost).sum::<f64>() / self.gaps_m.len() as f64
    }
}

/// Effective area of all valves over lift: linear between the rows, from nothing at no lift, level after the last row.
#[derive(Clone)]
struct AreaCurve {
    rows: Vec<(f64, f64)>,
}

impl AreaCurve {
    fn of(table: Option<&BenchTable>, valves: &Valves, duty: Duty) -> Result<Self, FromBuildError> {
        let wrong = |found: String, expected| FromBuildError::FlowTable { duty, found, expected };
        let Some(table) = table.filter(|table| !table.rows.is_empty()) else {
            return Err(wrong("no rows".to_owned(), "rows of lift and flow"));
        };
        let mut rows = vec![(0.0, 0.0)];
        for row in &table.rows {
            let lift_m = row.lift.si();
            let (last_m, _) = rows[rows.len() - 1];
            if lift_m <= 0.0 && rows.len() == 1 {
                continue;
            }
            if lift_m <= last_m || !lift_m.is_finite() {
                let found = format!("a lift of {:.2} mm after {:.2} mm", lift_m * 1e3, last_m * 1e3);
                return Err(wrong(found, "lifts in rising order"));
            }
            let area_m2 = table.factor.value.si() * area_of(table.measure, row.value_si, lift_m, valves);
            if !(area_m2 >= 0.0 && area_m2.is_finite()) {
                let found = format!("{} at {:.2} mm lift", row.value_si, lift_m * 1e3);
                return Err(wrong(found, "a flow of zero or more at a positive test pressure"));
            }
            rows.push((lift_m, area_m2));
        }
        Ok(Self { rows })
    }

    fn at_m2(&self, lift_m: f64) -> f64 {
        let above = self.rows.partition_point(|&(lift, _)| lift < lift_m);
        match (above.checked_sub(1).map(|below| self.rows[below]), self.rows.get(above)) {
            (Some((l0, a0)), Some(&(l1, a1))) => a0 + (a1 - a0) * (lift_m - l0) / (l1 - l0),
            (Some((_, area)), None) => area,
            (None, _) => 0.0,
        }
    }
}

/// Effective area of one row, all valves together.
fn area_of(measure: FlowMeasure, value_si: f64, lift_m: f64, valves: &Valves) -> f64 {
    let n = valves.n as f64;
    match measure {
        FlowMeasure::Flow { test_pressure } => effective_area_m2(value_si, test_pressure.value.si()),
        FlowMeasure::Coefficient(area) => {
            value_si
                * n
                * match area {
                    ReferenceArea::Curtain => PI * valves.head_m * lift_m,
                    ReferenceArea::Throat => {
                        0.25 * PI * (valves.throat_m * valves.throat_m - valves.stem_m * valves.stem_m)
                    }
                    ReferenceArea::Head => 0.25 * PI * valves.head_m * valves.head_m,
                }
        }
    }
}
