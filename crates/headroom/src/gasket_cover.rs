//! Whether the gasket opening lets bore and chamber through: the finding.

use fit::gasket_edge::{Margin, opening_over_bore, opening_over_chamber};
use parts::Cylinder;
use parts::limit::{Check, Limits};
use parts::readings::Visit;
use units::Length;
use units::length::meter;
use units::reading::SDS_IN_TOLERANCE;

use crate::finding::{Cure, Finding, Seen, Status, Weakest};
use crate::place::{PlaceSeen, Surface};
use crate::sampling::chance_below;

/// How far the opening reaches beyond bore or chamber, nominal.
pub fn margin(check: Check, cylinder: &Cylinder) -> Margin {
    match check {
        Check::GasketOverChamber => opening_over_chamber(cylinder),
        _ => opening_over_bore(cylinder),
    }
}

/// The finding at one cylinder.
pub fn finding(check: Check, cylinder: &Cylinder, limits: &Limits) -> Finding {
    let limit = limits.of(check);
    let nominal = margin(check, cylinder);
    let gap = Length::new::<meter>(nominal.distance_m);
    let changes = changes_m(check, cylinder);
    let variance: f64 = changes.iter().map(|change| change.by_m * change.by_m).sum();
    let sd = variance.sqrt();
    let weakest = changes.iter().max_by(|a, b| a.by_m.abs().total_cmp(&b.by_m.abs()));
    let short = limit.least - gap;
    Finding {
        check,
        valve: None,
        other_valve: None,
        cylinders: Vec::new(),
        others: Vec::new(),
        status: Status::of(gap, limit.least),
        cures: if short.value > 0.0 { vec![Cure::OpeningLargerBy(short * 2.0)] } else { Vec::new() },
        seen: Some(Seen {
            gap,
            tolerance: Length::new::<meter>(sd * SDS_IN_TOLERANCE),
            place: PlaceSeen::new(
                [nominal.point_m[0], nominal.point_m[1], cylinder.head_face_height().value],
                Surface::GasketEdge,
            ),
            lift: None,
            crank: None,
            phaser: Vec::new(),
            first_contact: None,
            chance_of_hitting: chance_below(0.0, nominal.distance_m, sd),
            chance_under_limit: chance_below(limit.least.value, nominal.distance_m, sd),
            weakest: weakest.filter(|_| variance > 0.0).map(|change| Weakest {
                path: change.path.clone(),
                basis: change.basis,
                share: change.by_m * change.by_m / variance,
            }),
        }),
        limit: limit.least,
        limit_source: limit.source,
    }
}

/// What one standard deviation of one reading does to the margin.
struct Change {
    path: String,
    basis: units::Basis,
    by_m: f64,
}

fn changes_m(check: Check, cylinder: &Cylinder) -> Vec<Change> {
    let mut readings = Vec::new();
    cylinder.clone().visit("", &mut |path, reading| {
        if moves_margin(path) && reading.tolerance_si > 0.0 {
            readings.push((path.to_owned(), reading.basis, reading.tolerance_si / SDS_IN_TOLERANCE));
        }
    });
    let moved = |moved_path: &str, by: f64| {
        let mut cylinder = cylinder.clone();
        cylinder.visit("", &mut |path, reading| {
            if path == moved_path {
                *reading.value_si += by;
            }
        });
        margin(check, &cylinder).distance_m
    };
    readings
        .into_iter()
        .map(|(path, basis, sd)| Change { by_m: 0.5 * (moved(&path, sd) - moved(&path, -sd)), path, basis })
        .collect()
}

fn moves_margin(path: &str) -> bool {
    const PATHS: [&str; 6] =
        ["block.bore", "gasket.opening", "head.chamber_", "head.shift_x", "head.shift_y", "head.twist"];
    PATHS.iter().any(|start| path.starts_with(start))
}
