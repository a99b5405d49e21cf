//! Gas properties against Cantera and CoolProp; the data and the script that made them are in
//! `checks/gas_properties`.
#![expect(
    clippy::unwrap_used,
    clippy::print_stderr,
    reason = "a test fails by panicking and tells what it measured"
)]

use gas::burned_gas::BurnedGas;
use gas::composition::Composition;
use gas::humid_air::humid_air;
use gas::species::Species;
use gas::transport::{conductivity_w_per_m_k, prandtl, viscosity_pa_s};
use serde_json::Value;

/// Everything within 0.2 %; enthalpies relative to cp T, since they pass through zero.
const TOLERANCE: f64 = 2e-3;

fn table(text: &str, name: &str) -> Vec<Vec<f64>> {
    let data: Value = serde_json::from_str(text).unwrap();
    data[name]
        .as_array()
        .unwrap()
        .iter()
        .map(|row| row.as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect())
        .collect()
}

fn unburned(phi: f64) -> Composition {
    Composition::from_moles(&[
        (Species::N2, 0.780_84),
        (Species::O2, 0.209_476),
        (Species::Ar, 0.009_34),
        (Species::Co2, 0.000_314),
        (Species::IsoOctane, phi * 0.209_476 / 12.5),
    ])
}

/// Keeps the worst relative difference of each of four properties.
#[derive(Default, Debug)]
struct Worst([f64; 4]);

impl Worst {
    fn add(&mut self, ours: [f64; 4], theirs: [f64; 4], t: f64) {
        let scale = [theirs[1] * t, theirs[1], theirs[2], theirs[3]];
        for i in 0..4 {
            self.0[i] = self.0[i].max((ours[i] - theirs[i]).abs() / scale[i]);
        }
    }
    fn check(&self, what: &str) {
        eprintln!(
            "{what}: h, cp, gamma, R off by at most {:.1e} {:.1e} {:.1e} {:.1e}",
            self.0[0], self.0[1], self.0[2], self.0[3]
        );
        assert!(self.0.iter().all(|&w| w < TOLERANCE), "{what}: {:?}", self.0);
    }
}

#[test]
fn val_cantera_2025_burned_gas() {
    let text = include_str!("../../../checks/gas_properties/burned.json");
    let rows = table(text, "rows");
    let mut worst = Worst::default();
    for phi in [0.7, 0.85, 1.0, 1.15, 1.3] {
        let gas = BurnedGas::new(&unburned(phi), 2e-4).unwrap();
        for row in rows.iter().filter(|row| row[0] == phi) {
            let found = gas.state(row[2], row[1] * 1e5);
            worst.add(
                [found.enthalpy_j_per_kg, found.cp_j_per_kg_k, found.gamma_s, found.gas_constant_j_per_kg_k],
                [row[3], row[4], row[5], row[6]],
                row[2],
            );
        }
    }
    worst.check("burned gas, phi 0.7 to 1.3, 1 to 100 bar, 300 to 3000 K");
}

#[test]
fn val_cantera_2025_fresh_mixture() {
    let rows = table(include_str!("../../../checks/gas_properties/burned.json"), "fresh");
    let gas = unburned(1.0);
    let mut worst = Worst::default();
    for row in rows {
        let t = row[0];
        let ours =
            [gas.enthalpy_j_per_kg(t), gas.cp_j_per_kg_k(t), gas.gamma(t), gas.gas_constant_j_per_kg_k()];
        worst.add(ours, [row[1], row[2], row[3], row[4]], t);
    }
    worst.check("fuel and air");
}

#[test]
fn val_coolprop_2025_dry_air() {
    let rows = table(include_str!("../../../checks/gas_properties/air.json"), "dry");
    let gas = Composition::dry_air();
    let mut worst = Worst::default();
    for row in rows {
        let t = row[0];
        let h = gas.enthalpy_j_per_kg(t) - gas.enthalpy_j_per_kg(300.0);
        let ours = [h, gas.cp_j_per_kg_k(t), gas.gamma(t), gas.gas_constant_j_per_kg_k()];
        worst.add(ours, [row[1], row[2], row[3], row[4]], t);
    }
    // cp: the seven coefficients of TM-4513 lie 0.27 % under nitrogen, 0.30 % under oxygen between 1100 and 1500 K (they must
    // meet the lower range at 1000 K and reach 6000 K); CoolProp's own nitrogen and oxygen and the nine-coefficient
    // fits of NASA agree there within 0.05 %. Cantera's data are the seven coefficients too, so both cannot be met.
    eprintln!("dry air: h, cp, gamma, R off by {:?}", worst.0);
    assert!(worst.0[0] < 1e-3 && worst.0[1] < 2.6e-3 && worst.0[2] < 1e-3 && worst.0[3] < 2e-4, "{worst:?}");
}

/// Humid air at 1 atm: water content, cp and R = p v / T, to 320 K.
///
/// CoolProp's is a real gas: near saturation its vapour takes up to 0.5 % more heat than an ideal one (at 320 K,
/// saturated), and its dry air 0.11 to 0.19 % more at 1 atm than at low pressure. So cp is held against its ideal-gas limit
/// at the same water content, where we aim at 0.2 %, and against the real one, where the rest shows.
#[test]
fn val_coolprop_2025_humid_air() {
    let rows = table(include_str!("../../../checks/gas_properties/air.json"), "humid");
    let mut worst = [0.0_f64; 5];
    for row in rows.iter().filter(|row| row[0] <= 320.0) {
        let (t, p, rh) = (row[0], row[1], row[2]);
        let gas = humid_air(t, p, rh);
        let water = gas.mass_fraction(Species::H2o) / (1.0 - gas.mass_fraction(Species::H2o));
        let cp = (gas.cp_j_per_kg_k(t) / row[4] - 1.0).abs();
        worst[0] = worst[0].max((water / row[3] - 1.0).abs());
        worst[1] = worst[1].max((gas.gas_constant_j_per_kg_k() / row[5] - 1.0).abs());
        worst[2] = worst[2].max(cp);
        worst[4] = worst[4].max((gas.cp_j_per_kg_k(t) / row[6] - 1.0).abs());
        if water < 0.014 {
            worst[3] = worst[3].max(cp);
        }
    }
    eprintln!(
        "humid air: water {:.1e}, R {:.1e}, cp {:.1e}, to 14 g/kg {:.1e}, in the ideal-gas limit {:.1e}",
        worst[0], worst[1], worst[2], worst[3], worst[4]
    );
    assert!(worst[4] < TOLERANCE, "cp in the ideal-gas limit off by {:e}", worst[4]);
    assert!(worst[0] < 2e-3 && worst[1] < TOLERANCE && worst[2] < 6e-3 && worst[3] < 2.2e-3, "{worst:?}");
}

/// Viscosity and conductivity of air and burned gas: what kinetic theory leaves open between two codes.
#[test]
fn val_cantera_2025_transport() {
    let rows = table(include_str!("../../../checks/gas_properties/transport.json"), "rows");
    let burned = Composition::from_moles(&[(Species::N2, 47.0), (Species::Co2, 8.0), (Species::H2o, 9.0)]);
    let mut worst = [0.0_f64; 2];
    for row in rows {
        let gas = if row[0] == 1.0 { burned } else { Composition::dry_air() };
        worst[0] = worst[0].max((viscosity_pa_s(&gas, row[1]) / row[2] - 1.0).abs());
        worst[1] = worst[1].max((conductivity_w_per_m_k(&gas, row[1]) / row[3] - 1.0).abs());
        let pr = prandtl(&gas, row[1]);
        assert!(0.6 < pr && pr < 0.85, "Prandtl {pr} at {} K", row[1]);
    }
    eprintln!("transport: viscosity off by {:.1e}, conductivity by {:.1e}", worst[0], worst[1]);
    assert!(worst[0] < 0.04 && worst[1] < 0.08, "{worst:?}");
}
