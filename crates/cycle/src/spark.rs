//! When to light the charge: as given, for best torque, or as early as knock allows.
//!
//! Found on the closed cycle of the charge that was trapped, several sparks side by side. Leaves out that another spark
//! changes the exhaust and so the next charge; marching on with the chosen spark and choosing again settles that.

use crate::burn_duration::{BurnAngles, Closing, burn_angles};
use crate::burning::Burning;
use crate::closed_cycle::run_closed;
use crate::cylinder::{CycleSums, Cylinder as Gas, CylinderSetup};
use crate::model::{Cylinder, Model, Spark};
use gas::lane::{Lane, Layout, Program, Width, dispatch};
use std::f64::consts::PI;

/// What was trapped when the intake closed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trapped {
    /// Pressure, Pa.
    pub p_pa: f64,
    /// Temperature, K.
    pub t_k: f64,
    /// Mass fraction of fuel vapour.
    pub fuel: f64,
    /// Mass fraction of burned gas.
    pub residual: f64,
}

impl Trapped {
    /// As counted over a cycle.
    pub fn of(sums: &CycleSums<f64>) -> Self {
        Self {
            p_pa: sums.closing_pa,
            t_k: sums.closing_k,
            fuel: sums.trapped_fuel / sums.trapped.max(1e-12),
            residual: sums.residual,
        }
    }
}

/// The closed cycle at one spark.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SparkPoint {
    /// Deg before TDC.
    pub spark_deg: f64,
    /// Half burned, deg after TDC.
    pub half_deg: f64,
    /// Work from intake closing to BDC, J.
    pub work_j: f64,
    /// Induction-time integral; 1 is knock.
    pub knock: f64,
    /// Greatest pressure, Pa.
    pub peak_pa: f64,
    /// Where, deg after TDC.
    pub peak_deg: f64,
}

/// The spark that was chosen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SparkChoice {
    /// How the charge burns with it.
    pub burning: Burning<f64>,
    /// The spark of best torque, deg before TDC.
    pub best_deg: f64,
    /// How much later than that it is lit, deg; negative when earlier.
    pub retard_deg: f64,
    /// Part of the work from intake closing to BDC that this costs.
    pub work_lost: f64,
    /// Induction-time integral at the chosen spark; 1 is knock.
    pub knock: f64,
    /// How much later than the spark whose integral is 1, deg: the margin to knock; `None` when no spark tried knocks or
    /// all do.
    pub knock_margin_deg: Option<f64>,
    /// Whether knock set the spark.
    pub knock_limited: bool,
}

/// How a cylinder burns before anything is known of its charge: air outside, 6 % of residual, half burned at 8 degrees
/// after TDC unless the spark is given.
pub fn first_burning(model: &Model, cylinder: &Cylinder, speed_rpm: f64) -> Burning<f64> {
    let p_pa = model.sources.first().map_or(OUTSIDE_PA, |s| s.p_pa);
    let swept = 0.25 * PI * cylinder.bore_m * cylinder.bore_m * cylinder.stroke_m;
    let volume_m3 = cylinder.clearance_m3 + 0.8 * swept;
    let closing = Closing { p_pa: 1.1 * p_pa, t_k: 360.0, volume_m3, residual: 0.06 };
    let angles = burn_angles(&model.burn, &model.charge, cylinder, speed_rpm, &closing);
    match &model.spark {
        Spark::Given(table) => {
            Burning::new(table_at(table, speed_rpm), angles.delay_deg, angles.duration_deg)
        }
        Spark::HalfBurnedAt(half) => Burning::half_burned_at(*half, angles.delay_deg, angles.duration_deg),
        Spark::Best | Spark::KnockLimited { .. } => {
            Burning::half_burned_at(8.0, angles.delay_deg, angles.duration_deg)
        }
    }
}

/// How a cylinder should burn in the cycle to come, from what it trapped in the last one.
pub fn next_burning(
    model: &Model,
    cylinder: &Cylinder,
    setup: &CylinderSetup<f64>,
    last: &CycleSums<f64>,
) -> (BurnAngles, SparkChoice) {
    let closing = Closing::of(last, setup);
    let angles = burn_angles(&model.burn, &model.charge, cylinder, setup.speed_rpm, &closing);
    let choice = choose_spark(&model.spark, setup, &Trapped::of(last), &angles);
    (angles, choice)
}

/// A spark that was chosen for what a cylinder had trapped.
#[derive(Clone, Debug)]
pub(crate) struct Known {
    /// The first cylinder of the same sizes.
    alike: usize,
    trapped: Trapped,
    angles: BurnAngles,
    choice: SparkChoice,
}

impl Known {
    /// Whether a charge is the same within `part` of each of its quantities, the residual within `part` of the whole.
    fn is_near(&self, trapped: &Trapped, angles: &BurnAngles, part: f64) -> bool {
        let near = |a: f64, b: f64| (a - b).abs() <= part * b.abs();
        let t = &self.trapped;
        near(trapped.p_pa, t.p_pa)
            && near(trapped.t_k, t.t_k)
            && near(trapped.fuel, t.fuel)
            && (trapped.residual - t.residual).abs() <= part
            && near(angles.delay_deg, self.angles.delay_deg)
            && near(angles.duration_deg, self.angles.duration_deg)
    }
}

/// As [`next_burning`], without the sweep over sparks where one is known for nearly this charge.
///
/// `within` is how near; the half-burned angle and what is said beside it are then those of the known charge. It moves
/// the spark by less than 0.1 degrees for a part of 1e-3: the knock integral goes with the fifth power of temperature or
/// so and falls by some 6 % a degree of retard.
pub(crate) fn next_burning_near(
    model: &Model,
    (at, alike): (usize, usize),
    setup: &CylinderSetup<f64>,
    last: &CycleSums<f64>,
    within: f64,
    known: &mut Vec<Known>,
) -> SparkChoice {
    let closing = Closing::of(last, setup);
    let angles = burn_angles(&model.burn, &model.charge, &model.cylinders[at], setup.speed_rpm, &closing);
    let trapped = Trapped::of(last);
    let near = known.iter().rfind(|k| k.alike == alike && k.is_near(&trapped, &angles, within));
    if let Some(Known { choice, .. }) = near {
        let half = choice.burning.angle_deg(0.5);
        let burning = match &model.spark {
            Spark::Given(table) => {
                Burning::new(table_at(table, setup.speed_rpm), angles.delay_deg, angles.duration_deg)
            }
            _ => Burning::half_burned_at(half, angles.delay_deg, angles.duration_deg),
        };
        return SparkChoice { burning, ..*choice };
    }
    let choice = choose_spark(&model.spark, setup, &trapped, &angles);
    known.push(Known { alike, trapped, angles, choice });
    choice
}

/// Half-burned angles that are tried, deg after TDC.
const TRIED_DEG: [f64; 8] = [-4.0, 1.0, 5.0, 9.0, 13.0, 19.0, 27.0, 38.0];

/// Degrees of a step; work differs from that of fine steps by 2e-4, the same at every spark.
const STEP_DEG: f64 = 2.0;

/// The closed cycle at sparks that burn half at the given angles after TDC.
pub fn spark_points(
    setup: &CylinderSetup<f64>,
    trapped: &Trapped,
    angles: &BurnAngles,
    half_deg: &[f64],
) -> Vec<SparkPoint> {
    let burnings: Vec<Burning<f64>> =
        half_deg.iter().map(|&h| Burning::half_burned_at(h, angles.delay_deg, angles.duration_deg)).collect();
    dispatch(Width::widest(), Sweep { setup, trapped, burnings: &burnings })
}

struct Sweep<'a> {
    setup: &'a CylinderSetup<f64>,
    trapped: &'a Trapped,
    burnings: &'a [Burning<f64>],
}

impl Program for Sweep<'_> {
    type Output = Vec<SparkPoint>;
    #[inline(always)]
    fn run<X: Layout>(self) -> Self::Output {
        let splat = X::End::splat;
        let Trapped { p_pa, t_k, fuel, residual } = *self.trapped;
        let (from, to) = (self.setup.closes_deg, self.setup.opens_deg);
        let n = (((to - from) / STEP_DEG).ceil() as usize).max(1);
        let mut points = Vec::with_capacity(self.burnings.len());
        for chunk in self.burnings.chunks(X::End::N) {
            let setups: Vec<_> = chunk.iter().map(|b| self.setup.burning_as(b)).collect();
            let setup = CylinderSetup::<X::End>::gather(&setups);
            let start =
                Gas::filled(&setup, splat(from), splat(p_pa), splat(t_k), [splat(fuel), splat(residual)]);
            let end = run_closed(start, &setup, splat(from), splat(to), n, |_, _| ());
            let rest = (self.setup.volume(180.0) - self.setup.volume(to)).max(0.0);
            for (lane, burning) in chunk.iter().enumerate() {
                let sums = end.cycle.get(lane);
                // After the valve has opened the pressure is taken to fall evenly to that of the outside.
                let blowdown = 0.5 * (end.pressure().get(lane) - OUTSIDE_PA) * rest;
                points.push(SparkPoint {
                    spark_deg: burning.spark_deg,
                    half_deg: burning.angle_deg(0.5),
                    work_j: sums.gross_work + sums.pumping_work + blowdown,
                    knock: sums.knock,
                    peak_pa: sums.peak_pa,
                    peak_deg: sums.peak_deg,
                });
            }
        }
        points
    }
}

const OUTSIDE_PA: f64 = 101_325.0;

/// Chooses the spark of a cylinder at the speed of its setup.
pub fn choose_spark(
    spark: &Spark,
    setup: &CylinderSetup<f64>,
    trapped: &Trapped,
    angles: &BurnAngles,
) -> SparkChoice {
    let points = spark_points(setup, trapped, angles, &TRIED_DEG);
    let best = best_half_deg(&points);
    let lit_at = |half: f64| Burning::half_burned_at(half, angles.delay_deg, angles.duration_deg);
    let edge = half_of_knock(&points, 1.0);
    let (half, knock_limited) = match spark {
        Spark::Given(table) => {
            let late = table_at(table, setup.speed_rpm);
            let half = lit_at(0.0).spark_deg - late;
            (half, false)
        }
        Spark::HalfBurnedAt(half) => (*half, false),
        Spark::Best => (best, false),
        Spark::KnockLimited { integral } => match half_of_knock(&points, *integral) {
            Edge::Never => (best, false),
            Edge::At(half) => (half.max(best), best < half),
            Edge::Always => (TRIED_DEG[TRIED_DEG.len() - 1], true),
        },
    };
    let burning = lit_at(half);
    let work = |half: f64| interpolate(&points, half, |p| p.work_j);
    SparkChoice {
        burning,
        best_deg: lit_at(best).spark_deg,
        retard_deg: half - best,
        work_lost: 1.0 - work(half) / work(best),
        knock: interpolate(&points, half, |p| p.knock.max(1e-30).ln()).exp(),
        knock_margin_deg: match edge {
            Edge::At(at) => Some(half - at),
            Edge::Never | Edge::Always => None,
        },
        knock_limited,
    }
}

/// Spark before TDC at a speed, linear between entries, the end values beyond.
fn table_at(table: &[(f64, f64)], rpm: f64) -> f64 {
    let Some(&(first_rpm, first)) = table.first() else { return 0.0 };
    if rpm <= first_rpm {
        return first;
    }
    for pair in table.windows(2) {
        let ((lo, a), (hi, b)) = (pair[0], pair[1]);
        if rpm <= hi {
            return a + (b - a) * (rpm - lo) / (hi - lo);
        }
    }
    table[table.len() - 1].1
}

/// The half-burned angle of most work: the top of the parabola through the best point and its neighbours.
fn best_half_deg(points: &[SparkPoint]) -> f64 {
    let n = points.len();
    let top = (0..n).max_by(|&a, &b| points[a].work_j.total_cmp(&points[b].work_j)).unwrap_or(0);
    if top == 0 || top + 1 >= n {
        return points[top].half_deg;
    }
    let [a, b, c] = [&points[top - 1], &points[top], &points[top + 1]];
    let (left, right) = (b.half_deg - a.half_deg, c.half_deg - b.half_deg);
    let (s0, s1) = ((b.work_j - a.work_j) / left, (c.work_j - b.work_j) / right);
    let (slope, bend) = ((s0 * right + s1 * left) / (left + right), (s1 - s0) / (left + right));
    if bend < 0.0 { b.half_deg - 0.5 * slope / bend } else { b.half_deg }
}

enum Edge {
    /// The integral is below at every spark tried.
    Never,
    /// Later than this half-burned angle it is below.
    At(f64),
    /// It is above at every spark tried.
    Always,
}

/// Where the integral falls through a limit as the spark is retarded; its logarithm is linear between points.
fn half_of_knock(points: &[SparkPoint], limit: f64) -> Edge {
    let over = |p: &SparkPoint| (p.knock.max(1e-30) / limit.max(1e-30)).ln();
    let Some(at) = points.iter().rposition(|p| 0.0 < over(p)) else { return Edge::Never };
    let Some(next) = points.get(at + 1) else { return Edge::Always };
    let (a, b) = (over(&points[at]), over(next));
    Edge::At(points[at].half_deg + (next.half_deg - points[at].half_deg) * a / (a - b))
}

/// A quantity at a half-burned angle: the parabola through the three nearest points.
fn interpolate(points: &[SparkPoint], half: f64, value: impl Fn(&SparkPoint) -> f64) -> f64 {
    let after = points.iter().position(|p| half < p.half_deg).unwrap_or(points.len() - 1);
    let nearer_left = 0 < after && half - points[after - 1].half_deg < points[after].half_deg - half;
    let middle = (after - usize::from(nearer_left)).clamp(1, points.len() - 2);
    let three = &points[middle - 1..=middle + 1];
    let weight = |i: usize| -> f64 {
        (0..3)
            .filter(|&j| j != i)
            .map(|j| (half - three[j].half_deg) / (three[i].half_deg - three[j].half_deg))
            .product()
    };
    (0..3).map(|i| weight(i) * value(&three[i])).sum()
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::charge_gas::ChargeGas;
    use crate::cylinder::WorkingGas;
    use crate::example::{Sizes, engine};

    const ANGLES: BurnAngles = BurnAngles { delay_deg: 22.0, duration_deg: 28.0 };

    fn setup(compression: f64, octane: f64, rpm: f64) -> (CylinderSetup<f64>, Trapped) {
        let mut model = engine(&Sizes { compression, ..Sizes::default() });
        (model.charge.ron, model.charge.mon) = (octane, octane);
        let gas = ChargeGas::of(&model).unwrap();
        let working = WorkingGas::new(&gas, 0.0).unwrap();
        let burning = Burning::half_burned_at(8.0, ANGLES.delay_deg, ANGLES.duration_deg);
        let setup = CylinderSetup::new(&model, &model.cylinders[0], &working, rpm, &burning);
        let fuel = gas.fuel_per_air / (1.0 + gas.fuel_per_air) * 0.95;
        (setup, Trapped { p_pa: 1.3e5, t_k: 360.0, fuel, residual: 0.05 })
    }

    /// Best torque with half burned 5 to 11 degrees after TDC; a retard of 5 degrees costs about 1 % and one of 10
    /// degrees 4 to 5 %. J. B. Heywood (1988), section 9.2, and common practice. Of the brake torque of an engine that
    /// loses a seventh of its closed-cycle work to pumping and friction.
    #[test]
    fn val_heywood_1988_best_spark_and_what_retard_costs() {
        for rpm in [2000.0, 3000.0, 5000.0] {
            let (setup, trapped) = setup(10.0, 95.0, rpm);
            let choice = choose_spark(&Spark::Best, &setup, &trapped, &ANGLES);
            let best = choice.burning.angle_deg(0.5);
            assert!((5.0..11.0).contains(&best), "{rpm} rpm: half burned at {best}");
            let points = spark_points(&setup, &trapped, &ANGLES, &[best, best + 5.0, best + 10.0]);
            assert!((12.0..19.0).contains(&points[0].peak_deg), "peak at {}", points[0].peak_deg);
            let lost = |i: usize| (1.0 - points[i].work_j / points[0].work_j) / (6.0 / 7.0);
            assert!((0.006..0.015).contains(&lost(1)), "{rpm} rpm: 5 deg cost {}", lost(1));
            assert!((0.030..0.055).contains(&lost(2)), "{rpm} rpm: 10 deg cost {}", lost(2));
        }
    }

    #[test]
    fn exact_knock_limit_is_kept_and_more_octane_allows_more() {
        let mut last = f64::INFINITY;
        for octane in [80.0, 88.0, 96.0, 120.0] {
            let (setup, trapped) = setup(12.0, octane, 2000.0);
            let choice = choose_spark(&Spark::KnockLimited { integral: 0.9 }, &setup, &trapped, &ANGLES);
            assert!(choice.retard_deg <= last, "octane {octane}: retard {}", choice.retard_deg);
            last = choice.retard_deg;
            let half = choice.burning.angle_deg(0.5);
            let point = spark_points(&setup, &trapped, &ANGLES, &[half])[0];
            assert!((point.knock / choice.knock - 1.0).abs() < 0.03, "{} {}", point.knock, choice.knock);
            if choice.knock_limited && half < 37.0 {
                assert!((point.knock / 0.9 - 1.0).abs() < 0.03, "octane {octane}: {}", point.knock);
                assert!(0.0 < choice.knock_margin_deg.unwrap() && 0.0 < choice.work_lost);
            }
        }
        assert!(last.abs() < 1e-9, "no knock at 120: retard {last}");
    }

    /// The first guess and what follows from the charge agree when the charge is the one guessed.
    #[test]
    fn exact_first_burn_is_near_the_next() {
        let model = engine(&Sizes::default());
        let (setup, trapped) = setup(10.0, 95.0, 3000.0);
        let last = CycleSums {
            closing_pa: trapped.p_pa,
            closing_k: trapped.t_k,
            residual: trapped.residual,
            trapped: 6e-4,
            trapped_fuel: 6e-4 * trapped.fuel,
            ..CycleSums::zero()
        };
        let first = first_burning(&model, &model.cylinders[0], 3000.0);
        let (angles, choice) = next_burning(&model, &model.cylinders[0], &setup, &last);
        assert_eq!(angles, BurnAngles { delay_deg: 22.0, duration_deg: 28.0 });
        assert!((first.spark_deg - choice.burning.spark_deg).abs() < 1e-9);
    }

    #[test]
    fn exact_given_spark_is_read_off_the_table() {
        let (setup, trapped) = setup(10.0, 95.0, 3000.0);
        let table = vec![(1000.0, 10.0), (2000.0, 20.0), (4000.0, 30.0)];
        let choice = choose_spark(&Spark::Given(table), &setup, &trapped, &ANGLES);
        assert!((choice.burning.spark_deg - 25.0).abs() < 1e-9);
        let choice = choose_spark(&Spark::HalfBurnedAt(8.0), &setup, &trapped, &ANGLES);
        assert!((choice.burning.angle_deg(0.5) - 8.0).abs() < 1e-9);
    }
}
