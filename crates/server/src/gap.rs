//! `/api/gap`: every gap of one cylinder at this moment, for sliders: answered from the build as it was read, without the disk.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use headroom::mock_up::Hands;
use headroom::mock_up_wire::StandWire;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::extract::Body;
use crate::failure::Failure;
use crate::hands::{OfValve, Turned, degrees, of_valves};
use crate::state::{Shared, on_processor};
use crate::subject::Subject;

/// Where everything is turned to. What is left out stands as the sheet has it.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedGap {
    /// The build.
    build: i64,
    /// A swap on it.
    swap: Option<i64>,
    /// The cylinder; the first where nothing is said.
    #[schema(minimum = 1, maximum = 64)]
    cylinder: Option<usize>,
    /// Crank angle, 0 at the top of the firing stroke.
    #[serde(default)]
    #[schema(minimum = -1440, maximum = 1440)]
    crank_deg: f64,
    /// Lifts held with a checking spring; the cam lifts the other valves.
    #[serde(default)]
    #[schema(max_items = 16)]
    lifts: Vec<OfValve>,
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
    /// Whether to follow each valve over its whole travel for its first contact. It takes a hundred times as long and does not
    /// change with crank and cams: ask when another slider was let go.
    #[serde(default)]
    first_contacts: bool,
}

/// How it stands, and of which sheets.
#[derive(Serialize, ToSchema)]
pub struct GapAnswer {
    /// Revision of the build's sheet; another one than you read means that it was changed.
    build_revision: i64,
    swap_revision: Option<i64>,
    #[serde(flatten)]
    stand: StandWire,
}

/// Every gap at this moment.
#[utoipa::path(post, path = "/api/gap", tag = "answers", request_body = AskedGap, responses((status = 200, body = GapAnswer)))]
pub async fn now(State(bench): Shared, Body(asked): Body<AskedGap>) -> Result<Json<GapAnswer>, Failure> {
    let hands = hands(&asked)?;
    let known = bench.subjects.known(&bench.reader(), asked.build, asked.swap)?;
    let ready: Option<Arc<Subject>> = known.filter(|subject| subject.is_mocked_up());
    let subject = match ready {
        Some(subject) => subject,
        None => {
            on_processor(&bench, move |bench| {
                let subject = bench.subjects.get(&bench.reader(), asked.build, asked.swap)?;
                subject.mock_up();
                Ok(subject)
            })
            .await?
        }
    };
    stand(&subject, asked.cylinder.unwrap_or(1), &hands, asked.first_contacts).map(Json)
}

fn stand(subject: &Subject, cylinder: usize, hands: &Hands, contacts: bool) -> Result<GapAnswer, Failure> {
    let mock_up = subject.mock_up();
    let Some(stand) = mock_up.stand(cylinder, hands) else {
        let n = subject.build().cylinders.len();
        return Err(Failure::not_sensible(format!("no cylinder {cylinder}: this engine has {n}")));
    };
    let contacts = if contacts { mock_up.first_contacts(cylinder, hands) } else { None };
    Ok(GapAnswer {
        build_revision: subject.build_revision,
        swap_revision: subject.swap_revision,
        stand: StandWire::new(&stand, mock_up.worst(hands).as_ref(), contacts.as_deref()),
    })
}

fn hands(asked: &AskedGap) -> Result<Hands, Failure> {
    let turned = Turned {
        intake_advance_deg: asked.intake_advance_deg,
        exhaust_advance_deg: asked.exhaust_advance_deg,
        head_shift_mm: asked.head_shift_mm,
        diameters: &asked.diameters,
        gasket_mm: asked.gasket_mm,
    };
    Ok(Hands {
        crank: degrees("crank_deg", asked.crank_deg, 1440.0)?,
        lifts: of_valves("lifts", &asked.lifts)?,
        ..turned.hands()?
    })
}
