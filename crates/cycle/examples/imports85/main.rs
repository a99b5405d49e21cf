//! Predicted over rated power of sixty engines of 1985, each made from the few numbers a table gives.
//!
//! `cargo run --release -p headroom-cycle --example imports85 [-- PLOT.svg]` prints an engine a line and the distribution
//! by valves and mixture, and draws predicted over rated power. docs/checks/imports85.md says what came out.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a program run by hand stops where something is wrong"
)]

use cycle::fidelity::Fidelity;
use cycle::from_build::model;
use cycle::speed_point::{Outcome, SpeedPoint};
use cycle::sweep::sweep;
use imports85::{Rated, engines};
use parts::estimate_running::{EngineSize, ValveLayout};
use rayon::prelude::*;

#[path = "../../tests/imports85/mod.rs"]
mod imports85;
mod plot;

/// An engine of the table that ran, and what came out.
pub struct Predicted {
    /// The table's line.
    pub rated: Rated,
    /// At the rated speed.
    pub point: SpeedPoint,
    /// How its valves lie.
    pub layout: ValveLayout,
}

impl Predicted {
    /// Predicted over rated power; not a number where nothing came out.
    pub fn ratio(&self) -> f64 {
        self.point.power_w / self.rated.power_w
    }
}

fn main() {
    let all: Vec<Predicted> = engines()
        .into_par_iter()
        .map(|rated| {
            let (model, _) = model(&rated.build).unwrap();
            let point = sweep(&model, &[rated.speed_rpm], Fidelity::Normal).unwrap().remove(0);
            let layout = EngineSize::of(&rated.build).layout;
            Predicted { rated, point, layout }
        })
        .collect();
    println!(
        "{:9} {:8} {:4} {:>5} {:>5} {:>5} {:>6} {:>6} {:>6} {:>5} {:>5} {:>5} {:>5} {:>5}  remark",
        "line",
        "valves",
        "fuel",
        "cc",
        "ratio",
        "rpm",
        "rated",
        "kW",
        "p/r",
        "fill",
        "gross",
        "pump",
        "rub",
        "Mach"
    );
    all.iter().for_each(print_line);
    let counts = |one: &&Predicted| one.rated.doubt.is_none() && one.ratio().is_finite();
    let counted: Vec<&Predicted> = all.iter().filter(counts).collect();
    println!();
    summary("all", &counted);
    for (name, layout) in
        [("parallel valves", ValveLayout::Parallel), ("inclined valves", ValveLayout::Inclined)]
    {
        summary(name, &counted.iter().copied().filter(|one| one.layout == layout).collect::<Vec<_>>());
    }
    let carburettor = |one: &&Predicted| one.rated.fuel_system.ends_with("bbl");
    summary("carburettor", &counted.iter().copied().filter(carburettor).collect::<Vec<_>>());
    summary("injection", &counted.iter().copied().filter(|one| !carburettor(one)).collect::<Vec<_>>());
    if let Some(path) = std::env::args().nth(1) {
        std::fs::write(path, plot::svg(&counted)).unwrap();
    }
}

fn print_line(one: &Predicted) {
    let (rated, point) = (&one.rated, &one.point);
    let remark = match (&rated.doubt, one.ratio().is_finite()) {
        (Some(doubt), _) => format!("does not count: {doubt}"),
        (None, false) => format!("{:?}", point.outcome),
        (None, true) if point.outcome == Outcome::Converged => String::new(),
        (None, true) => "did not settle".to_owned(),
    };
    println!(
        "{:9} {:8} {:4} {:5.0} {:5.1} {:5.0} {:6.1} {:6.1} {:6.3} {:5.2} {:5.2} {:5.2} {:5.2} {:5.2}  {remark}",
        rated.build.name,
        format!("{:?}", one.layout).to_lowercase(),
        rated.fuel_system,
        1e6 * rated.size_m3 * rated.size_by_geometry,
        rated.compression,
        rated.speed_rpm,
        rated.power_w / 1e3,
        point.power_w / 1e3,
        one.ratio(),
        point.volumetric_efficiency,
        point.gross_mep_pa / 1e5,
        point.pumping_mep_pa / 1e5,
        point.friction_mep_pa / 1e5,
        point.mach_index
    );
}

/// Median, the band that holds the middle 80 %, and how many are near.
fn summary(name: &str, of: &[&Predicted]) {
    let mut ratios: Vec<f64> = of.iter().map(|one| one.ratio()).collect();
    ratios.sort_by(f64::total_cmp);
    let at = |share: f64| ratios[(share * (ratios.len() - 1) as f64).round() as usize];
    let near = |off: f64| ratios.iter().filter(|ratio| (*ratio - 1.0).abs() <= off).count();
    let share = |n: usize| 100.0 * n as f64 / ratios.len() as f64;
    println!(
        "{name:16} {:3} engines: median {:.3}, 80 % from {:.3} to {:.3}, {:.0} % within 15 %, {:.0} % within 5 %",
        ratios.len(),
        at(0.5),
        at(0.1),
        at(0.9),
        share(near(0.15)),
        share(near(0.05))
    );
}
