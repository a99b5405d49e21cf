//! `/api/dye`: the dye map of one cylinder as areas and lines, as it is, turned by hand, or after the cut that the fit asks for.

use axum::extract::State;
use headroom::dye_map::{DyeError, DyeGrain, dye_map_by_hand};
use headroom::mock_up::{Hands, MockUp};
use headroom::relief::relief;
use headroom::relief_apply::with_reliefs;
use serde::Deserialize;
use utoipa::ToSchema;

use crate::answer::{Kept, Question, Units, answer, json};
use crate::dye_wire::DyeDrawn;
use crate::extract::Body;
use crate::failure::Failure;
use crate::hands::{OfValve, Turned};
use crate::relief::CutHow;
use crate::state::{Shared, on_processor};
use crate::subject::Subject;

/// Of which cylinder, and how it is turned. What is left out stands as the sheet has it.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedDye {
    /// The build.
    build: i64,
    /// A swap on it.
    swap: Option<i64>,
    /// The cylinder; the first where nothing is said.
    #[schema(minimum = 1, maximum = 64)]
    cylinder: Option<usize>,
    /// How much earlier the intake cam is turned.
    #[serde(default)]
    #[schema(minimum = -180, maximum = 180)]
    intake_advance_deg: f64,
    /// How much earlier the exhaust cam is turned.
    #[serde(default)]
    #[schema(minimum = -180, maximum = 180)]
    exhaust_advance_deg: f64,
    /// How far the head is pushed to the front and to the left.
    #[serde(default)]
    head_shift_mm: [f64; 2],
    /// Head diameters in place of the sheet's.
    #[serde(default)]
    #[schema(max_items = 16)]
    diameters: Vec<OfValve>,
    /// Compressed thickness of the gasket in place of the sheet's.
    #[schema(minimum = 0, maximum = 50)]
    gasket_mm: Option<f64>,
    /// After the cut that the fit of the sheet asks for, made so; as it is where nothing is said.
    cut: Option<CutHow>,
    /// Units of the sentences.
    #[serde(default)]
    units: Units,
}

/// Where valves come near, painted as marking dye is.
///
/// While nothing is turned the map is as fine as on paper, and kept. Turned by hand it has cells of two degrees by half a
/// millimetre, so that it follows a slider; its spots are exact all the same.
#[utoipa::path(post, path = "/api/dye", tag = "answers", request_body = AskedDye, responses((status = 200, body = DyeDrawn)))]
pub async fn of_cylinder(State(bench): Shared, Body(asked): Body<AskedDye>) -> Result<Kept, Failure> {
    let turned = Turned {
        intake_advance_deg: asked.intake_advance_deg,
        exhaust_advance_deg: asked.exhaust_advance_deg,
        head_shift_mm: asked.head_shift_mm,
        diameters: &asked.diameters,
        gasket_mm: asked.gasket_mm,
    };
    let hands = turned.hands()?;
    let number = asked.cylinder.unwrap_or(1);
    if hands == Hands::default() {
        let how = format!("{number} {:?} {:?}", asked.cut, asked.units);
        let question = Question { kind: "dye", asked: how, build: asked.build, swap: asked.swap };
        return answer(&bench, question, move |subject| {
            drawn(subject, number, &hands, &asked, DyeGrain::Paper)
        })
        .await;
    }
    on_processor(&bench, move |bench| {
        let subject = bench.subjects.get(&bench.reader(), asked.build, asked.swap)?;
        let drawn = drawn(&subject, number, &hands, &asked, DyeGrain::Screen)?;
        json(&drawn).map(Kept::new)
    })
    .await
}

fn drawn(
    subject: &Subject,
    number: usize,
    hands: &Hands,
    asked: &AskedDye,
    grain: DyeGrain,
) -> Result<DyeDrawn, Failure> {
    let build = subject.build();
    let map = |mock_up: &MockUp| dye_map_by_hand(mock_up, &build.name, number, hands, grain);
    let dye = match &asked.cut {
        None => map(subject.mock_up()),
        Some(how) => map(&MockUp::new(&with_reliefs(build, &relief(build, &how.options()?)))),
    };
    let dye = dye.map_err(|DyeError::NoSuchCylinder { number, n_cylinders }| {
        Failure::not_sensible(format!("no cylinder {number}: this engine has {n_cylinders}"))
    })?;
    Ok(DyeDrawn::new(&dye, asked.units.system()))
}
