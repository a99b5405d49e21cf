//! `/api/relief`: what to cut where a valve has no room, drawn from above, and whether the engine survives it.

use axum::extract::State;
use fit::relief_cut::outline_accuracy;
use fit::relief_cutter::Shape;
use headroom::relief::{ReliefAnswer, ReliefOptions, relief};
use headroom::relief_sheet::cuts_as_tables;
use headroom::relief_wire::ReliefWire;
use headroom::relief_words;
use serde::{Deserialize, Serialize};
use units::length::millimeter;
use units::{Angle, Length};
use utoipa::{IntoParams, ToSchema};

use crate::answer::{Kept, Question, answer};
use crate::extract::Asked;
use crate::failure::Failure;
use crate::state::Shared;

/// What to cut, and how.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct AskedRelief {
    /// The build.
    build: i64,
    /// A swap on it.
    swap: Option<i64>,
    /// Degrees by which a hand-blended wall is laid back from the valve's axis; a plunged cutter where nothing is said.
    #[param(minimum = 0, maximum = 80)]
    layback_deg: Option<f64>,
    /// Radius between floor and wall of the cut; 1 mm where nothing is said.
    #[param(minimum = 0, maximum = 20)]
    corner_mm: Option<f64>,
    /// Travel beyond full lift to allow for a floating valve.
    #[param(minimum = 0, maximum = 20)]
    float_mm: Option<f64>,
    /// Thickness of the deck plate beside the bore.
    #[param(minimum = 0, maximum = 200)]
    deck_thickness_mm: Option<f64>,
    /// Thickness of the piston crown where a pocket goes.
    #[param(minimum = 0, maximum = 200)]
    crown_thickness_mm: Option<f64>,
}

/// The cuts and how they look from above.
#[derive(Serialize, ToSchema)]
pub struct ReliefDrawn {
    answer: ReliefWire,
    /// Outlines on the deck, one for each cut in the block.
    outlines: Vec<CutOutlineWire>,
    /// The cuts as tables of a swap sheet, to be put behind its text.
    tables_of_swap: String,
}

/// The line a cut draws on the deck, in the bore frame of the first of its cylinders.
#[derive(Serialize, ToSchema)]
struct CutOutlineWire {
    valve: String,
    cylinders: Vec<usize>,
    /// Closed lines: counter-clockwise around metal removed, clockwise around what stays in its midst.
    loops_mm: Vec<Vec<[f64; 2]>>,
}

/// What to cut.
#[utoipa::path(get, path = "/api/relief", tag = "answers", params(AskedRelief), responses((status = 200, body = ReliefDrawn)))]
pub async fn of_build(State(bench): Shared, Asked(asked): Asked<AskedRelief>) -> Result<Kept, Failure> {
    let options = options(&asked)?;
    let question =
        Question { kind: "relief", asked: format!("{options:?}"), build: asked.build, swap: asked.swap };
    answer(&bench, question, move |subject| {
        let answer = relief(subject.build(), &options);
        let outlines = outlines(&answer);
        let verdict = relief_words::verdict(&answer);
        let tables_of_swap = cuts_as_tables(&answer, "change.");
        Ok(ReliefDrawn { answer: ReliefWire::new(&answer, verdict), outlines, tables_of_swap })
    })
    .await
}

/// How to cut, in a body; each as in [`AskedRelief`].
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CutHow {
    /// Degrees by which a hand-blended wall is laid back; a plunged cutter where nothing is said.
    #[schema(minimum = 0, maximum = 80)]
    layback_deg: Option<f64>,
    /// Radius between floor and wall of the cut; 1 mm where nothing is said.
    #[schema(minimum = 0, maximum = 20)]
    corner_mm: Option<f64>,
    /// Travel beyond full lift to allow for a floating valve.
    #[schema(minimum = 0, maximum = 20)]
    float_mm: Option<f64>,
}

impl CutHow {
    /// The same for the kernel; what the metal is thick does not change the shape of a cut.
    pub fn options(&self) -> Result<ReliefOptions, Failure> {
        options(&AskedRelief {
            build: 0,
            swap: None,
            layback_deg: self.layback_deg,
            corner_mm: self.corner_mm,
            float_mm: self.float_mm,
            deck_thickness_mm: None,
            crown_thickness_mm: None,
        })
    }
}

fn options(asked: &AskedRelief) -> Result<ReliefOptions, Failure> {
    let length = |name: &str, value: Option<f64>, most: f64| match value {
        Some(value) if !(0.0..=most).contains(&value) => {
            Err(Failure::not_sensible(format!("{name} is from 0 to {most} mm")))
        }
        value => Ok(value.map(Length::new::<millimeter>)),
    };
    let corner_radius = length("corner_mm", asked.corner_mm, 20.0)?;
    let float = length("float_mm", asked.float_mm, 20.0)?.unwrap_or_default();
    let deck_thickness = length("deck_thickness_mm", asked.deck_thickness_mm, 200.0)?;
    let crown_thickness = length("crown_thickness_mm", asked.crown_thickness_mm, 200.0)?;
    let corner_radius = corner_radius.unwrap_or_else(|| Length::new::<millimeter>(1.0));
    let shape = match asked.layback_deg {
        None => Shape::Cutter { corner_radius },
        Some(layback) if (0.0..=80.0).contains(&layback) => {
            let layback = Angle::new::<units::angle::degree>(layback);
            Shape::LaidBack { corner_radius, layback }
        }
        Some(_) => return Err(Failure::not_sensible("layback_deg is from 0 to 80 degrees")),
    };
    Ok(ReliefOptions { shape, float, deck_thickness, crown_thickness })
}

fn outlines(answer: &ReliefAnswer) -> Vec<CutOutlineWire> {
    let accuracy_m = outline_accuracy().value;
    let rounded = |m: f64| (m * 1e7).round() / 1e4;
    let cuts = answer.valves.iter().filter_map(|valve| Some((valve, valve.cut.as_ref().ok()?)));
    cuts.map(|(valve, proposed)| CutOutlineWire {
        valve: valve.valve.clone(),
        cylinders: valve.cylinders.clone(),
        loops_mm: proposed
            .cut
            .outline
            .polylines(accuracy_m)
            .into_iter()
            .map(|points| points.into_iter().map(|point| point.to_array().map(rounded)).collect())
            .collect(),
    })
    .collect()
}
