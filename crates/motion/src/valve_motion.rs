//! Where a valve is at a crank angle, how fast it moves and how hard it is accelerated. Leaves out float and bending.

use std::sync::Arc;

use parts::train::Train;
use units::acceleration::meter_per_second_squared;
use units::angular_velocity::radian_per_second;
use units::length::meter;
use units::velocity::meter_per_second;
use units::{Acceleration, AngularVelocity, CrankAngle, Length, Ratio, Velocity};

use crate::lobe::{Jet, LiftCurve, LiftJet};
use crate::lobe_fit::LobeFit;
use crate::valve_train::{TrainError, TrainState, Transfer, ratio_number};

/// Crank degrees of a four-stroke cycle.
pub(crate) const CYCLE_DEG: f64 = 720.0;
/// Crank degrees in one degree of the cam.
const CRANK_PER_CAM: f64 = 2.0;

/// The motion of one valve over a cycle of 720 crank degrees, 0 at the top dead centre of the firing stroke.
///
/// Copies are cheap: they share the lobe, so thousands of variants (ratio, lash, advance) cost a few numbers each.
#[derive(Clone, Debug, PartialEq)]
pub struct ValveMotion {
    curve: Arc<LiftCurve>,
    transfer: Transfer,
    /// Where the nose stands.
    nose_deg: f64,
    /// Factor on the lobe's lift.
    lift_scale: f64,
    /// Factor on the lobe's angles about its nose.
    angle_scale: f64,
}

impl ValveMotion {
    /// Of a fitted lobe through a train in one state, at the installed position.
    pub fn new(lobe: &LobeFit, train: &Train, state: TrainState) -> Result<Self, TrainError> {
        let curve = Arc::clone(&lobe.curve);
        let transfer = Transfer::new(train, curve.nose_lift_m(), state)?;
        let nose_deg = lobe.nose.degrees();
        Ok(Self { curve, transfer, nose_deg, lift_scale: 1.0, angle_scale: 1.0 })
    }

    /// The same with the cam turned to open earlier; negative for later.
    pub fn advanced(&self, by: CrankAngle) -> Self {
        Self { nose_deg: self.nose_deg - by.degrees(), ..self.clone() }
    }

    /// The same with another rocker ratio at full lift.
    pub fn with_ratio(&self, ratio: Ratio) -> Self {
        let mut other = self.clone();
        other.transfer.scale = ratio_number(ratio);
        other
    }

    /// The same with lash at the valve changed by this much; the lash never goes below nothing.
    pub fn with_more_lash(&self, more: Length) -> Self {
        let mut other = self.clone();
        other.transfer.at_valve_m = (other.transfer.at_valve_m + more.get::<meter>()).max(0.0);
        other
    }

    /// The same with every lift of the lobe multiplied by a factor.
    pub fn with_lobe_lift_scaled(&self, factor: f64) -> Self {
        Self { lift_scale: self.lift_scale * factor, ..self.clone() }
    }

    /// The same with the lobe longer or shorter by a factor about its nose.
    pub fn with_duration_scaled(&self, factor: f64) -> Self {
        Self { angle_scale: self.angle_scale * factor, ..self.clone() }
    }

    /// Lift of the valve.
    pub fn lift_at(&self, angle: CrankAngle) -> Length {
        Length::new::<meter>(self.lift_m(angle.degrees()))
    }

    /// Lift of the valve and its first three derivatives per crank degree.
    pub fn jet_at(&self, angle: CrankAngle) -> LiftJet {
        LiftJet::from_m(self.jet_m(angle.degrees()))
    }

    /// Speed of the valve at a constant crank speed, positive while it opens.
    pub fn velocity(&self, angle: CrankAngle, crank_speed: AngularVelocity) -> Velocity {
        let deg_per_s = crank_speed.get::<radian_per_second>().to_degrees();
        Velocity::new::<meter_per_second>(self.jet_m(angle.degrees())[1] * deg_per_s)
    }

    /// Acceleration of the valve at a constant crank speed, positive in the direction of opening.
    pub fn acceleration(&self, angle: CrankAngle, crank_speed: AngularVelocity) -> Acceleration {
        let deg_per_s = crank_speed.get::<radian_per_second>().to_degrees();
        let per_deg2 = self.jet_m(angle.degrees())[2];
        Acceleration::new::<meter_per_second_squared>(per_deg2 * deg_per_s * deg_per_s)
    }

    /// Greatest lift of the valve.
    pub fn greatest_lift(&self) -> Length {
        self.lift_at(self.nose())
    }

    /// Crank angle of greatest lift, within the cycle.
    pub fn nose(&self) -> CrankAngle {
        CrankAngle::from_degrees(self.nose_deg.rem_euclid(CYCLE_DEG))
    }

    /// The lobe it runs on.
    pub fn lobe(&self) -> &LiftCurve {
        &self.curve
    }

    /// Lift, slope and curvature at equal steps through the cycle, from 0; `n_steps` of 720 gives one a degree.
    pub fn table(&self, n_steps: usize) -> LiftTable {
        let step_deg = CYCLE_DEG / n_steps.max(1) as f64;
        let mut table = LiftTable {
            step_deg,
            lift_m: Vec::with_capacity(n_steps),
            m_per_deg: Vec::with_capacity(n_steps),
            m_per_deg2: Vec::with_capacity(n_steps),
        };
        for i in 0..n_steps {
            let [lift, slope, curvature, _] = self.jet_m(i as f64 * step_deg);
            table.lift_m.push(lift);
            table.m_per_deg.push(slope);
            table.m_per_deg2.push(curvature);
        }
        table
    }

    /// Angle from the nose in degrees of the unscaled lobe.
    fn past_nose_deg(&self, crank_deg: f64) -> f64 {
        const HALF: f64 = 0.5 * CYCLE_DEG;
        let mut past = crank_deg - self.nose_deg;
        // Most angles are within a cycle: adding is cheaper than dividing.
        if past < -HALF {
            past += CYCLE_DEG;
        } else if past >= HALF {
            past -= CYCLE_DEG;
        }
        if !(-HALF..HALF).contains(&past) {
            past = (past + HALF).rem_euclid(CYCLE_DEG) - HALF;
        }
        past / (CRANK_PER_CAM * self.angle_scale)
    }

    pub(crate) fn lift_m(&self, crank_deg: f64) -> f64 {
        let tappet_m = self.curve.lift_m(self.past_nose_deg(crank_deg)) * self.lift_scale;
        self.transfer.valve_lift_m(tappet_m)
    }

    /// Metres and crank degrees.
    pub(crate) fn jet_m(&self, crank_deg: f64) -> Jet {
        self.transfer.valve_jet(self.tappet_jet_m(crank_deg))
    }

    /// Of the tappet, metres and crank degrees.
    fn tappet_jet_m(&self, crank_deg: f64) -> Jet {
        self.tappet_jet_per(crank_deg, 1.0 / (CRANK_PER_CAM * self.angle_scale))
    }

    /// Of the tappet, metres and cam degrees.
    pub(crate) fn lobe_jet_m(&self, crank_deg: f64) -> Jet {
        self.tappet_jet_per(crank_deg, 1.0 / self.angle_scale)
    }

    fn tappet_jet_per(&self, crank_deg: f64, per_deg: f64) -> Jet {
        let [lift, d1, d2, d3] = self.curve.jet_m(self.past_nose_deg(crank_deg)).map(|v| v * self.lift_scale);
        [lift, d1 * per_deg, d2 * per_deg * per_deg, d3 * per_deg.powi(3)]
    }

    /// Crank angle, not wrapped, of a place on the lobe.
    pub(crate) fn crank_deg(&self, from_nose_cam_deg: f64) -> f64 {
        self.nose_deg + from_nose_cam_deg * CRANK_PER_CAM * self.angle_scale
    }

    /// Lift of the lobe, as it was fitted, at which the valve has this lift.
    pub(crate) fn lobe_lift_m(&self, valve_m: f64) -> f64 {
        self.transfer.tappet_lift_m(valve_m) / self.lift_scale
    }

    pub(crate) fn lift_scale(&self) -> f64 {
        self.lift_scale
    }

    /// Valve speed over tappet speed where the tappet has this lift.
    pub(crate) fn ratio_at(&self, tappet_m: f64) -> f64 {
        self.transfer.slope_at(tappet_m)
    }
}

/// Lift through the cycle at equal steps, in metres and crank degrees.
#[derive(Clone, Debug, PartialEq)]
pub struct LiftTable {
    /// Crank degrees from one entry to the next; the first is at 0.
    pub step_deg: f64,
    /// Lift of the valve.
    pub lift_m: Vec<f64>,
    /// First derivative.
    pub m_per_deg: Vec<f64>,
    /// Second derivative.
    pub m_per_deg2: Vec<f64>,
}

impl LiftTable {
    /// Lift between entries by the quintic that has value, slope and curvature of both neighbours.
    ///
    /// Hermite's two-point interpolation of order two: its error goes with the sixth power of the step.
    pub fn lift_at(&self, angle: CrankAngle) -> Length {
        let n = self.lift_m.len();
        let place = angle.degrees().rem_euclid(CYCLE_DEG) / self.step_deg;
        let i = (place as usize).min(n.saturating_sub(1));
        let t = place - i as f64;
        let j = (i + 1) % n;
        let h = self.step_deg;
        let (y0, y1) = (self.lift_m[i], self.lift_m[j]);
        let (d0, d1) = (self.m_per_deg[i] * h, self.m_per_deg[j] * h);
        let (c0, c1) = (self.m_per_deg2[i] * h * h, self.m_per_deg2[j] * h * h);
        let rise = y1 - y0;
        let a3 = 10.0 * rise - 6.0 * d0 - 4.0 * d1 - 1.5 * c0 + 0.5 * c1;
        let a4 = -15.0 * rise + 8.0 * d0 + 7.0 * d1 + 1.5 * c0 - c1;
        let a5 = 6.0 * rise - 3.0 * (d0 + d1) - 0.5 * (c0 - c1);
        let lift = ((((a5 * t + a4) * t + a3) * t + 0.5 * c0) * t + d0) * t + y0;
        Length::new::<meter>(lift)
    }
}
