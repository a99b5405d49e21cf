//! `headroom pulls`: measured pulls read in, shown, corrected, compared, and the model held against them. Each has a file of its own; what they share is here.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow, bail};
use clap::{Args, Subcommand};
use pulls::{Processing, Pull, read_pull};
use units::{AngularVelocity, parse};

use super::{pulls_calibrate, pulls_compare, pulls_correct, pulls_foretold, pulls_import, pulls_show};
use crate::exit::Exit;

/// Which of them.
#[derive(Args, Debug)]
pub struct PullsArgs {
    #[command(subcommand)]
    command: PullsCommand,
}

#[derive(Debug, Subcommand)]
enum PullsCommand {
    /// Read a brake's files (CSV, XLSX) of any layout; shows what it took each column for before it writes
    Import(Box<pulls_import::ImportArgs>),
    /// What a stored pull holds, with and without smoothing and inertia
    Show(pulls_show::ShowArgs),
    /// Correct stored pulls to a standard, or take a corrected figure from one standard to another
    Correct(pulls_correct::CorrectArgs),
    /// Whether a change made a difference: A, B and A again
    Compare(pulls_compare::CompareArgs),
    /// Hold the model of a build against its pulls: a few factors with intervals, and what they say about the readings
    Calibrate(pulls_calibrate::CalibrateArgs),
    /// Whether a change did on the brake what was predicted for it
    Foretold(pulls_foretold::ForetoldArgs),
}

/// Answers it.
pub fn run(args: &PullsArgs) -> Result<Exit> {
    match &args.command {
        PullsCommand::Import(args) => pulls_import::run(args),
        PullsCommand::Show(args) => pulls_show::run(args),
        PullsCommand::Correct(args) => pulls_correct::run(args),
        PullsCommand::Compare(args) => pulls_compare::run(args),
        PullsCommand::Calibrate(args) => pulls_calibrate::run(args),
        PullsCommand::Foretold(args) => pulls_foretold::run(args),
    }
}

/// Settings laid over the readings.
#[derive(Args, Clone, Debug, Default)]
pub struct ProcessingArgs {
    /// Inertia of all that turns with the crank and that the brake's torque leaves out ("0.35 kg m2"), or "none"
    #[arg(long, value_name = "INERTIA")]
    inertia: Option<String>,
    /// Smooth over this width of speed ("150 rpm"), or "none"; the readings stay as they are
    #[arg(long, value_name = "WIDTH")]
    smoothing: Option<String>,
}

impl ProcessingArgs {
    /// Whether anything was said.
    pub fn is_given(&self) -> bool {
        self.inertia.is_some() || self.smoothing.is_some()
    }

    /// The settings of `stored` with what was said put over them.
    pub fn over(&self, stored: Processing) -> Result<Processing> {
        Ok(Processing {
            inertia_kg_m2: self.inertia.as_deref().map_or(Ok(stored.inertia_kg_m2), inertia)?,
            smoothing_rpm: self.smoothing.as_deref().map_or(Ok(stored.smoothing_rpm), smoothing)?,
        })
    }
}

fn inertia(text: &str) -> Result<Option<f64>> {
    if text.trim() == "none" {
        return Ok(None);
    }
    let plain = text.replace(['·', '*'], " ").replace('²', "2").replace("m^2", "m2");
    let number = ["kg m2", "kgm2"].iter().find_map(|unit| plain.trim().strip_suffix(unit)).map(str::trim);
    match number.and_then(|number| number.parse().ok()) {
        Some(value) if 0.0 < value && value < 1e3 => Ok(Some(value)),
        _ => bail!("--inertia: found `{text}`, expected a moment of inertia such as \"0.35 kg m2\", or none"),
    }
}

fn smoothing(text: &str) -> Result<Option<f64>> {
    if text.trim() == "none" {
        return Ok(None);
    }
    let width = parse::<AngularVelocity>(text).map_err(|wrong| anyhow!("--smoothing: {wrong}"))?;
    let rpm = width.get::<units::angular_velocity::revolution_per_minute>();
    if 0.0 < rpm && rpm <= 2000.0 {
        return Ok(Some(rpm));
    }
    bail!("--smoothing: found `{text}`, expected a width above 0 and up to 2,000 rpm, or none")
}

/// A stored pull.
pub fn stored(path: &Path) -> Result<Pull> {
    read_pull(&bytes(path)?).map_err(|wrong| anyhow!("{}: {wrong}", path.display()))
}

/// Stored pulls with what was said of their settings.
pub fn all_stored(paths: &[PathBuf], processing: &ProcessingArgs) -> Result<Vec<Pull>> {
    let one = |path: &PathBuf| -> Result<Pull> {
        let mut pull = stored(path)?;
        pull.processing = processing.over(pull.processing)?;
        Ok(pull)
    };
    paths.iter().map(one).collect()
}

/// The bytes of a file.
pub fn bytes(path: &Path) -> Result<Vec<u8>> {
    fs::read(path).with_context(|| format!("{} cannot be read", path.display()))
}

/// Writes a file.
pub fn write(path: &Path, content: &[u8]) -> Result<()> {
    fs::write(path, content).with_context(|| format!("{} cannot be written", path.display()))
}

/// What smoothing and inertia do to a curve, to be printed wherever one is shown.
pub fn processing_words(pull: &Pull) -> String {
    let smoothing = pull.processing.smoothing_rpm.map(|width| format!("smoothed over {width:.0} rpm"));
    let inertia = pull.processing.inertia_kg_m2.map(|inertia| format!("inertia of {inertia} kg m2 added"));
    let both: Vec<String> = inertia.into_iter().chain(smoothing).collect();
    if both.is_empty() { "not smoothed, no inertia added".to_owned() } else { both.join(", ") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_settings_are_read() {
        assert!(matches!(inertia("0.35 kg m2"), Ok(Some(value)) if value == 0.35));
        assert!(matches!(inertia("0.35 kg·m²"), Ok(Some(value)) if value == 0.35));
        assert!(matches!(inertia("none"), Ok(None)));
        assert!(inertia("0.35").is_err() && inertia("-1 kg m2").is_err());
        assert!(matches!(smoothing("150 rpm"), Ok(Some(width)) if (width - 150.0).abs() < 1e-9));
        assert!(matches!(smoothing("none"), Ok(None)));
        assert!(smoothing("150").is_err() && smoothing("0 rpm").is_err());
    }
}
