//! What a cylinder is at one speed: sizes, wall heat, how the charge burns, in lanes.
//!
//! Leaves out what is in it.

use super::lanes::gather;
use super::working_gas::{N_COMPONENTS, WorkingGas};
use crate::burning::Burning;
use crate::heat_transfer::HeatCoefficient;
use crate::knock::KnockDelay;
use crate::model::{Cylinder, Model, ValveFlow};
use gas::lane::{Lane, cos_sin_deg};
use std::f64::consts::PI;

/// A cylinder at one speed, or several side by side: each lane its own in every respect.
#[derive(Clone, Copy, Debug)]
pub struct CylinderSetup<L> {
    /// The gases.
    pub gas: WorkingGas<L>,
    /// Engine speed, rpm.
    pub speed_rpm: L,
    /// Angle after firing TDC at which the exhaust opens, deg.
    pub opens_deg: L,
    /// Angle after firing TDC at which the intake has closed, deg; negative.
    pub closes_deg: L,
    /// How the charge burns.
    pub burning: Burning<L>,
    /// Fuel that came in short of the charge's share is sprayed in with the fresh air: 1, or 0 for a gas.
    pub liquid: L,
    pub(super) bore_area: L,
    pub(super) throw: L,
    pub(super) rod: L,
    pub(super) pin_offset: L,
    pub(super) top_deg: L,
    pub(super) top: L,
    pub(super) clearance: L,
    pub(super) swept: L,
    /// Head and crown: m2 and K. Bore: K.
    pub(super) head_area: L,
    pub(super) crown_area: L,
    pub(super) head_k: L,
    pub(super) crown_k: L,
    pub(super) bore_k: L,
    /// Wetted bore over the volume uncovered, 1/m.
    pub(super) bore_per_volume: L,
    pub(super) heat: HeatCoefficient<L>,
    pub(super) knock: KnockDelay<L>,
    /// Top land volume, m3, and temperature of the gas in it, K.
    pub(super) crevice: L,
    pub(super) crevice_k: L,
    /// Internal energy (J/kg) and R T (J/kg) of each component at that temperature.
    pub(super) crevice_u: [L; N_COMPONENTS],
    pub(super) crevice_r_t: [L; N_COMPONENTS],
    /// Effective area of the gaps past the rings, m2.
    pub(super) blow_by_m2: L,
}

impl CylinderSetup<f64> {
    /// One cylinder of a model at a speed.
    pub fn new(
        model: &Model,
        cylinder: &Cylinder,
        gas: &WorkingGas<f64>,
        speed_rpm: f64,
        burning: &Burning<f64>,
    ) -> Self {
        let throw = 0.5 * cylinder.stroke_m;
        let bore_area = 0.25 * PI * cylinder.bore_m * cylinder.bore_m;
        let swept = bore_area * cylinder.stroke_m;
        let (closes_deg, opens_deg) = closed_period_deg(&cylinder.intake, &cylinder.exhaust);
        let reach = throw + cylinder.rod_m;
        let crevice_k = 0.5 * (model.heat.crown_k + model.heat.bore_k);
        let in_crevice = [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)]
            .map(|(fuel, burned)| gas.state(&gas.zone(fuel, burned), crevice_k, 0.0));
        Self {
            gas: *gas,
            speed_rpm,
            opens_deg,
            closes_deg,
            burning: *burning,
            liquid: if model.charge.vapour < 1.0 { 1.0 } else { 0.0 },
            bore_area,
            throw,
            rod: cylinder.rod_m,
            pin_offset: cylinder.pin_offset_m,
            top_deg: (cylinder.pin_offset_m / reach).asin().to_degrees(),
            top: (reach * reach - cylinder.pin_offset_m * cylinder.pin_offset_m).sqrt(),
            clearance: cylinder.clearance_m3,
            swept,
            head_area: cylinder.head_area_ratio * bore_area,
            crown_area: cylinder.crown_area_ratio * bore_area,
            head_k: model.heat.head_k,
            crown_k: model.heat.crown_k,
            bore_k: model.heat.bore_k,
            bore_per_volume: 4.0 / cylinder.bore_m,
            heat: HeatCoefficient::new(&model.heat, cylinder.bore_m, cylinder.stroke_m, speed_rpm, swept),
            knock: KnockDelay::new(&model.charge),
            crevice: cylinder.crevice_m3,
            crevice_k,
            crevice_u: in_crevice.map(|c| c.u),
            crevice_r_t: in_crevice.map(|c| c.r * crevice_k),
            blow_by_m2: 0.0,
        }
    }

    /// The same with another way of burning.
    pub fn burning_as(mut self, burning: &Burning<f64>) -> Self {
        self.burning = *burning;
        self
    }

    /// The same with gas leaking past the rings through gaps of an effective area, m2.
    ///
    /// A sound ring pack has 0.3 to 1 mm2 a cylinder (common practice, no source).
    pub fn with_blow_by(mut self, area_m2: f64) -> Self {
        self.blow_by_m2 = area_m2;
        self
    }
}

macro_rules! each_field {
    ($variants:ident; $($field:ident),+; $($nested:tt)*) => {
        Self { $($field: gather($variants, |v| v.$field),)+ $($nested)* }
    };
}

impl<L: Lane> CylinderSetup<L> {
    /// Variants or cylinders side by side; needs at least one, the last is repeated in lanes left over.
    pub fn gather(variants: &[CylinderSetup<f64>]) -> Self {
        let gases: Vec<_> = variants.iter().map(|v| v.gas).collect();
        let heats: Vec<_> = variants.iter().map(|v| v.heat).collect();
        let knocks: Vec<_> = variants.iter().map(|v| v.knock).collect();
        let burnings: Vec<_> = variants.iter().map(|v| v.burning).collect();
        each_field! { variants;
            speed_rpm, opens_deg, closes_deg, liquid, bore_area, throw, rod, pin_offset, top_deg, top, clearance,
            swept, head_area, crown_area, head_k, crown_k, bore_k, bore_per_volume, crevice, crevice_k, blow_by_m2;
            crevice_u: std::array::from_fn(|i| gather(variants, |v| v.crevice_u[i])),
            crevice_r_t: std::array::from_fn(|i| gather(variants, |v| v.crevice_r_t[i])),
            gas: WorkingGas::gather(&gases),
            burning: Burning::gather(&burnings),
            heat: HeatCoefficient::gather(&heats),
            knock: KnockDelay::gather(&knocks),
        }
    }

    /// Gives one lane another way of burning.
    pub fn set_burning(&mut self, lane: usize, burning: &Burning<f64>) {
        self.burning.set(lane, burning);
    }

    /// Volume of the chamber without the top land, m3, at an angle after TDC, deg.
    ///
    /// Angles count from the true top, as in `motion::slider_crank`; drop = top - r cos a - sqrt(l^2 - (r sin a - e)^2).
    #[inline(always)]
    pub fn volume(&self, angle_deg: L) -> L {
        let (cos, sin) = cos_sin_deg(angle_deg + self.top_deg);
        let aside = self.throw.fma(sin, -self.pin_offset);
        let along = self.rod.fma(self.rod, -(aside * aside)).sqrt();
        let drop = self.top - self.throw.fma(cos, along);
        self.bore_area.fma(drop.max(L::splat(0.0)), self.clearance)
    }
}

/// The angles around firing TDC between which no valve lets anything through: negative, positive.
fn closed_period_deg(intake: &ValveFlow, exhaust: &ValveFlow) -> (f64, f64) {
    let open = |flow: &ValveFlow, forward: bool| -> f64 {
        let n = flow.into_m2.len();
        let area = |i: usize| {
            let i = i % n;
            flow.into_m2[i].max(flow.out_m2.get(i).copied().unwrap_or(0.0))
        };
        let steps = (0..n).find(|&i| area(if forward { i } else { n - i }) > 0.0);
        // Linear between entries: closed up to the last entry that is zero.
        steps.map_or(360.0, |i| (i.max(1) - 1) as f64 * 720.0 / n as f64).min(360.0)
    };
    let nearest = |forward: bool| open(intake, forward).min(open(exhaust, forward));
    (-nearest(false), nearest(true))
}
