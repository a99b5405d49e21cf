//! How sure it is what a cut leaves: every reading that has a say is moved by one standard deviation either way. Leaves out
//! what is left at nominal readings.

use fit::relief_limit::Left;
use fit::relief_of_block::cut_of;
use fit::relief_of_piston;
use fit::wall_left::wall_left_at;
use parts::readings::Visit;
use parts::{Build, Cylinder, estimate};
use units::Basis;
use units::Length;
use units::length::meter;
use units::reading::SDS_IN_TOLERANCE;

use crate::finding::Weakest;
use crate::relief_fly_cut::crown_margins;
use crate::relief_left::{LeftLine, LeftOf, Neighbours, margins};
use crate::sampling::chance_below;

/// Puts tolerance, chance and weakest reading into the lines of the relief of a valve. The cylinder has the relief in it.
///
/// The wall is looked at where it is thinnest: a minimum does not move by moving its place.
pub fn with_chances_of_block(lines: &mut [LeftLine], build: &Build, cylinder: &Cylinder, valve: &str) {
    let next = Neighbours::of(build, cylinder);
    let wall_place = lines.iter().find(|line| line.of == Left::Wall).and_then(|line| line.place_m);
    let cut_in = |cylinder: &Cylinder| {
        let relief = cylinder.block.reliefs.iter().find(|relief| relief.valve == valve);
        relief.and_then(|relief| cut_of(&cylinder.block, relief))
    };
    let own = format!("block.relief.{valve}.");
    let nominal = cut_in(cylinder);
    let found = |cylinder: &Cylinder, moved: &str| -> Vec<LeftOf> {
        let shapes =
            [own.as_str(), "block.bore", "block.chamfer"].iter().any(|start| moved.starts_with(start));
        let cut = if shapes { cut_in(cylinder) } else { nominal.clone() };
        let Some(cut) = cut else { return Vec::new() };
        let wall = || wall_left_at(&cut, &cylinder.block.metal.walls, wall_place?);
        margins(cylinder, &next, &cut, &wall)
    };
    let paths = [
        own.as_str(),
        "block.bore",
        "block.chamfer",
        "block.deck_thickness",
        "block.wall.",
        "block.hole.",
        "gasket.opening",
        "gasket.ring_inset",
        "piston.deck_offset",
        "piston.top_land_height",
        "piston.growth",
        "piston.skirt_",
        "piston.land_clearance",
        "piston.compression_height",
    ];
    with_chances(lines, cylinder, &paths, &found);
}

/// The same for the lines of the fly-cut of a valve, which the cylinder has in its piston.
pub fn with_chances_of_crown(lines: &mut [LeftLine], cylinder: &Cylinder, valve: &str) {
    let found = |cylinder: &Cylinder, _: &str| -> Vec<LeftOf> {
        let pocket = cylinder.piston.fly_cuts.iter().find(|pocket| pocket.valve == valve);
        let cut = pocket.and_then(|pocket| relief_of_piston::cut_of(cylinder, pocket));
        cut.map_or_else(Vec::new, |cut| crown_margins(cylinder, &cut))
    };
    let own = format!("piston.fly_cut.{valve}.");
    let paths = [
        own.as_str(),
        "piston.crown_thickness",
        "piston.groove",
        "piston.top_land_height",
        "piston.land_clearance",
        "block.bore",
    ];
    with_chances(lines, cylinder, &paths, &found);
}

struct Moved {
    path: String,
    basis: Basis,
    /// What one standard deviation does to each line, in metres.
    by_m: Vec<f64>,
}

fn with_chances(
    lines: &mut [LeftLine],
    cylinder: &Cylinder,
    paths: &[&str],
    found: &dyn Fn(&Cylinder, &str) -> Vec<LeftOf>,
) {
    let mut cylinder = cylinder.clone();
    // A rise that nobody gave is uncertain too.
    cylinder.piston.metal.growth.get_or_insert_with(estimate::piston_growth);
    let mut readings = Vec::new();
    cylinder.clone().visit("", &mut |path, reading| {
        if reading.tolerance_si > 0.0 && paths.iter().any(|start| path.starts_with(start)) {
            readings.push((path.to_owned(), reading.basis, reading.tolerance_si / SDS_IN_TOLERANCE));
        }
    });
    let left_m = |moved_path: &str, by: f64| -> Vec<Option<f64>> {
        let mut cylinder = cylinder.clone();
        cylinder.visit("", &mut |path, reading| {
            if path == moved_path {
                *reading.value_si += by;
            }
        });
        let found = found(&cylinder, moved_path);
        let of =
            |line: &LeftLine| found.iter().find(|one| one.0 == line.of)?.1.map(|margin| margin.left.value);
        lines.iter().map(of).collect()
    };
    let moved: Vec<Moved> = readings
        .into_iter()
        .map(|(path, basis, sd)| {
            let (up, down) = (left_m(&path, sd), left_m(&path, -sd));
            let by_m = up.iter().zip(&down).map(|pair| match pair {
                (Some(up), Some(down)) => 0.5 * (up - down),
                _ => 0.0,
            });
            let by_m = by_m.collect();
            Moved { path, basis, by_m }
        })
        .collect();
    for (idx, line) in lines.iter_mut().enumerate() {
        let Some(left) = line.left else { continue };
        let variance: f64 = moved.iter().map(|moved| moved.by_m[idx] * moved.by_m[idx]).sum();
        let sd = variance.sqrt();
        let weakest = moved.iter().max_by(|a, b| a.by_m[idx].abs().total_cmp(&b.by_m[idx].abs()));
        line.tolerance = Length::new::<meter>(sd * SDS_IN_TOLERANCE);
        line.chance_under_limit = Some(chance_below(line.limit.value, left.value, sd));
        line.weakest = weakest.filter(|_| variance > 0.0).map(|moved| Weakest {
            path: moved.path.clone(),
            basis: moved.basis,
            share: moved.by_m[idx] * moved.by_m[idx] / variance,
        });
    }
}
