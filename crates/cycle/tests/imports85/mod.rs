//! The engines of `checks/engines_imports85` as builds, with what the table says of their power.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use cycle::from_layout::{Layout, from_layout};
use parts::Build;
use parts::estimate_running::ValveLayout;

/// One engine of the table.
pub struct Rated {
    /// Made from bore, stroke, cylinders, compression and valve layout; its band ends at the rated speed.
    pub build: Build,
    /// Stated displacement, m3.
    pub size_m3: f64,
    /// Displacement by bore, stroke and cylinders over the stated one.
    pub size_by_geometry: f64,
    /// Stated compression ratio.
    pub compression: f64,
    /// Rated power, W.
    pub power_w: f64,
    /// Its speed, rpm.
    pub speed_rpm: f64,
    /// The table's word for the fuel system.
    pub fuel_system: String,
    /// Why it should not count.
    pub doubt: Option<String>,
}

const INCH_M: f64 = 0.0254;
const HP_W: f64 = 745.699_87;
const TABLE: &str = include_str!("../../../../checks/engines_imports85/engines.csv");

/// All of them.
pub fn engines() -> Vec<Rated> {
    TABLE.lines().skip(1).map(engine).collect()
}

fn engine(line: &str) -> Rated {
    let cells: Vec<&str> = line.split(',').collect();
    let number = |at: usize| -> f64 { cells[at].parse().unwrap() };
    let word = cells[1];
    let layout = Layout {
        name: format!("line {}", cells[0]),
        n_cylinders: cells[2].parse().unwrap(),
        banks: if word.ends_with('v') || word.ends_with('f') { 2 } else { 1 },
        bore_m: number(5) * INCH_M,
        stroke_m: number(6) * INCH_M,
        compression: number(7),
        valves: if word.starts_with("dohc") { ValveLayout::Inclined } else { ValveLayout::Parallel },
        rated_rpm: Some(number(9)),
        year: Some(1985),
    };
    Rated {
        build: from_layout(&layout),
        size_m3: number(3) * INCH_M.powi(3),
        size_by_geometry: number(10),
        compression: number(7),
        power_w: number(8) * HP_W,
        speed_rpm: number(9),
        fuel_system: cells[4].to_owned(),
        doubt: (!cells[11].is_empty()).then(|| cells[11].to_owned()),
    }
}
