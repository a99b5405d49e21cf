//! The dye map of a cylinder as a file: the answer of `headroom::dye_map` laid out by `report`. Leaves out both.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result, anyhow};
use headroom::dye_map::{DyeAnswer, WorstSpot, dye_map};
use parts::Build;
use parts::limit::Check;
use report::{DyeSheet, DyeSpot, DyeSurface, Sheet, dye_drawing, pdf, svg};
use units::UnitSystem;

/// Writes the map of a cylinder, or of the worst one, in the format that the file's name ends in.
pub fn write(path: &Path, build: &Build, cylinder: Option<usize>) -> Result<()> {
    let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or_default().to_lowercase();
    let page = || dye_map(build, cylinder).map(|dye| sheet(&dye));
    let bytes = match ending.as_str() {
        "svg" => svg(&page()?).into_bytes(),
        "pdf" => pdf(&page()?),
        "png" => painted(page()?)?,
        other => return Err(anyhow!("--dye ends in .{other}, expected .svg, .png or .pdf")),
    };
    fs::write(path, bytes).with_context(|| format!("{} cannot be written", path.display()))
}

#[cfg(feature = "png")]
fn painted(page: Sheet) -> Result<Vec<u8>> {
    Ok(report::png(&page, report::SCREEN_DPI)?)
}

#[cfg(not(feature = "png"))]
fn painted(_page: Sheet) -> Result<Vec<u8>> {
    Err(anyhow!("this headroom was built without pictures: end --dye in .svg or .pdf"))
}

/// The map on paper.
pub fn sheet(dye: &DyeAnswer) -> Sheet {
    let spot = |spot: &WorstSpot| DyeSpot {
        on: match spot.check {
            Check::ValveToBlock if spot.is_on_wall() => DyeSurface::Wall,
            Check::ValveToBlock => DyeSurface::Deck,
            _ => DyeSurface::Crown,
        },
        point_m: spot.point_m,
        words: spot.told(UnitSystem::Metric),
    };
    dye_drawing(&DyeSheet {
        title: format!("{}, cylinder {}: dye map, as it is", dye.name, dye.cylinder),
        bore_radius_m: dye.bore_radius.value,
        wall: dye.wall.clone(),
        deck: dye.deck.clone(),
        crown: dye.crown.clone(),
        spots: dye.spots.iter().map(spot).collect(),
        remarks: dye.notes.clone(),
    })
}
