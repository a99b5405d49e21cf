//! Charts as the picture files that were asked for. Leaves out drawings at full size: `relief_drawings.rs`.

use std::path::Path;

use anyhow::{Context as _, Result};

/// Dots across a PNG of a chart: as wide as a slide.
#[cfg(feature = "png")]
const WIDTH: u32 = 1920;

/// Writes a chart as PNG on a light ground, where a file was asked for.
pub fn write_png(path: Option<&Path>, svg: impl FnOnce() -> String) -> Result<()> {
    let Some(path) = path else { return Ok(()) };
    std::fs::write(path, png(&svg())?).with_context(|| format!("{} cannot be written", path.display()))
}

#[cfg(feature = "png")]
fn png(svg: &str) -> Result<Vec<u8>> {
    Ok(report::picture(svg, WIDTH, report::Ground::Light)?)
}

#[cfg(not(feature = "png"))]
fn png(_: &str) -> Result<Vec<u8>> {
    anyhow::bail!("this headroom was built without PNG; write --svg, or build it with its feature png")
}

/// A picture as slides of 1920 by 1080 dots, light and dark, with what each file's name ends in; none from a build without PNG.
#[cfg(feature = "png")]
pub fn slides(svg: &str) -> Result<Vec<(String, Vec<u8>)>> {
    let [width, height] = report::SLIDE;
    [report::Ground::Light, report::Ground::Dark]
        .into_iter()
        .map(|ground| Ok((format!("{}-{width}x{height}.png", ground.word()), report::slide(svg, ground)?)))
        .collect()
}

#[cfg(not(feature = "png"))]
pub fn slides(_: &str) -> Result<Vec<(String, Vec<u8>)>> {
    Ok(Vec::new())
}
