//! What a plan says: a base, choices among parts, ranges of adjustments, what has to be kept and what counts as better;
//! and the build of any choice. Leaves out reading it (`read_plan.rs`) and judging what it makes.

use parts::Build;
use units::{AngularVelocity, CrankAngle, Length, Ratio};

use crate::layers::Log;
use crate::problem::Problems;
use crate::read_build::{Sheet, read_tree};
use crate::source::Sources;
use crate::swap::{Changes, PartName, n_cylinders};
use crate::tree::{Node, Value};

pub use crate::read_plan::read_plan_bytes;

/// A plan that could be read.
#[derive(Clone, Debug)]
pub struct Plan {
    /// What people call it.
    pub name: String,
    /// Remarks.
    pub note: Option<String>,
    /// The engine as it is.
    pub base: Build,
    /// What prices are told in.
    pub currency: Option<String>,
    /// What counts as better; never empty.
    pub objectives: Vec<Objective>,
    /// The speeds it is driven at.
    pub band: Band,
    /// How much a gain of torque below and of power above counts.
    pub prefer: [u32; 2],
    /// What every combination has to keep.
    pub must: Must,
    /// What is chosen.
    pub choices: Vec<Choice>,
    /// What is set.
    pub adjustments: Vec<Adjustment>,
    pub(crate) root: Node,
    pub(crate) sources: Sources,
}

/// Something that counts as better.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Objective {
    /// More mean torque below the split.
    TorqueBelow,
    /// More mean power above it.
    PowerAbove,
    /// Less cost.
    Cost,
    /// Less metal taken off.
    MetalRemoved,
}

impl Objective {
    /// All of them, in the order of the answer.
    pub const ALL: [Self; 4] = [Self::TorqueBelow, Self::PowerAbove, Self::Cost, Self::MetalRemoved];

    /// Its word in a plan.
    pub fn key(self) -> &'static str {
        match self {
            Self::TorqueBelow => "torque_below",
            Self::PowerAbove => "power_above",
            Self::Cost => "cost",
            Self::MetalRemoved => "metal_removed",
        }
    }
}

/// The speeds it is driven at; what is left out is the base's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Lower end.
    pub from: Option<AngularVelocity>,
    /// Where below ends and above begins.
    pub split: Option<AngularVelocity>,
    /// Upper end.
    pub to: Option<AngularVelocity>,
    /// Number of speeds.
    pub n_points: usize,
}

/// How clear everything has to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Clear {
    /// Every gap at its limit or over it.
    Limits,
    /// Nothing touches.
    Touch,
    /// Not asked for.
    Ignore,
}

/// What every combination has to keep.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Must {
    /// How clear.
    pub clear: Clear,
    /// Whether metal may be taken off.
    pub cutting_allowed: bool,
    /// Lowest static compression.
    pub compression_least: Option<Ratio>,
    /// Highest static compression.
    pub compression_most: Option<Ratio>,
    /// Research octane that all run on.
    pub octane: Option<Ratio>,
    /// Largest knock integral.
    pub knock_most: Option<Ratio>,
    /// How late knock may make the spark.
    pub retard_most: Option<CrankAngle>,
    /// The most it may cost.
    pub budget: Option<u32>,
    /// The most metal that may come off.
    pub metal_most: Option<Length>,
}

/// One thing to choose.
#[derive(Clone, Debug)]
pub struct Choice {
    /// What.
    pub name: String,
    /// Its options; never empty.
    pub options: Vec<PartOption>,
}

/// One option.
#[derive(Clone, Debug)]
pub struct PartOption {
    /// What people call it.
    pub name: String,
    /// What it costs.
    pub price: u32,
    /// Depth of metal that has to come off for it.
    pub removes: Length,
    /// The parts it puts in or changes, in the order of the sheet.
    pub parts: Vec<PartName>,
    pub(crate) layers: Vec<OptionLayer>,
}

/// Some parts, and what is put in their place.
#[derive(Clone, Debug)]
pub(crate) struct OptionLayer {
    pub changes: Changes,
    pub parts: Vec<PartName>,
}

/// What is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Adjusted {
    /// Both lobes earlier than installed.
    CamAdvance,
    /// The intake lobe earlier.
    IntakeAdvance,
    /// The exhaust lobe earlier.
    ExhaustAdvance,
    /// Thickness of the gasket.
    GasketThickness,
    /// Taken off the head.
    Skim,
    /// Taken off the block.
    Deck,
    /// Rocker ratio of the intake.
    IntakeRatio,
    /// Rocker ratio of the exhaust.
    ExhaustRatio,
    /// Hot lash of the intake.
    IntakeLash,
    /// Hot lash of the exhaust.
    ExhaustLash,
}

impl Adjusted {
    /// All of them, in the order they are put on a build.
    pub const ALL: [Self; 10] = [
        Self::CamAdvance,
        Self::IntakeAdvance,
        Self::ExhaustAdvance,
        Self::GasketThickness,
        Self::Skim,
        Self::Deck,
        Self::IntakeRatio,
        Self::ExhaustRatio,
        Self::IntakeLash,
        Self::ExhaustLash,
    ];

    /// Its word in a plan.
    pub fn key(self) -> &'static str {
        match self {
            Self::CamAdvance => "cam_advance",
            Self::IntakeAdvance => "intake_advance",
            Self::ExhaustAdvance => "exhaust_advance",
            Self::GasketThickness => "gasket_thickness",
            Self::Skim => "skim",
            Self::Deck => "deck",
            Self::IntakeRatio => "intake_ratio",
            Self::ExhaustRatio => "exhaust_ratio",
            Self::IntakeLash => "intake_lash",
            Self::ExhaustLash => "exhaust_lash",
        }
    }

    /// The kind of its quantity.
    pub fn kind(self) -> AdjustedKind {
        match self {
            Self::CamAdvance | Self::IntakeAdvance | Self::ExhaustAdvance => AdjustedKind::Angle,
            Self::IntakeRatio | Self::ExhaustRatio => AdjustedKind::Ratio,
            _ => AdjustedKind::Length,
        }
    }
}

/// What kind of quantity is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AdjustedKind {
    /// Crank radians in SI.
    Angle,
    /// Metres in SI.
    Length,
    /// A bare number.
    Ratio,
}

/// A range of settings.
#[derive(Clone, Debug, PartialEq)]
pub struct Adjustment {
    /// Of what.
    pub of: Adjusted,
    /// The settings that are searched, in SI, rising; never empty.
    pub settings_si: Vec<f64>,
    /// The ends of the range, in SI.
    pub range_si: [f64; 2],
    /// Whether anything in between can be set too.
    pub continuous: bool,
    /// What it costs to set it to anything but what the parts have.
    pub price: u32,
}

impl Plan {
    /// The engine with one option of each choice, in the order of the plan; options that do not make a readable engine
    /// together are an error.
    pub fn build(&self, options: &[usize]) -> Result<Sheet, Problems> {
        let mut log = Log { sources: &self.sources, problems: Problems::default(), notes: Vec::new() };
        let mut root = self.root.clone();
        if let Value::Table(base) = &mut root.value {
            let n_cylinders = n_cylinders(base);
            for (choice, option) in self.choices.iter().zip(options) {
                let Some(option) = choice.options.get(*option) else { continue };
                for layer in &option.layers {
                    for part in &layer.parts {
                        layer.changes.swap_part(&mut log, base, *part, n_cylinders);
                    }
                }
            }
        }
        let Log { mut problems, notes, .. } = log;
        match read_tree(&self.sources, &root) {
            Ok(mut sheet) if problems.is_empty() => {
                sheet.notes.splice(0..0, notes);
                Ok(sheet)
            }
            Ok(_) => Err(problems.sorted()),
            Err(wrong) => {
                problems.extend(wrong);
                Err(problems.sorted())
            }
        }
    }

    /// Every text the plan was read from, the plan itself first.
    pub fn texts(&self) -> impl Iterator<Item = &str> {
        self.sources.texts()
    }
}
