//! `/api/lift`: how the valves are moved, and whether the springs keep up.

use axum::extract::State;
use headroom::lift::{LiftOptions, lift};
use headroom::lift_wire::LiftWire;
use headroom::lift_words;
use serde::Deserialize;
use units::AngularVelocity;
use units::angular_velocity::revolution_per_minute;
use utoipa::IntoParams;

use crate::answer::{Kept, Question, Units, answer};
use crate::extract::Asked;
use crate::failure::Failure;
use crate::state::Shared;

/// Which build, and how fast it turns.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct AskedLift {
    /// The build.
    build: i64,
    /// A swap on it.
    swap: Option<i64>,
    /// The highest engine speed used, where the sheet's own is not meant.
    #[param(minimum = 1, maximum = 30000)]
    revs_rpm: Option<f64>,
    /// Units of the sentences.
    #[serde(default)]
    #[param(inline)]
    units: Units,
}

/// How the valves are moved.
#[utoipa::path(get, path = "/api/lift", tag = "answers", params(AskedLift), responses((status = 200, body = LiftWire)))]
pub async fn of_build(State(bench): Shared, Asked(asked): Asked<AskedLift>) -> Result<Kept, Failure> {
    let AskedLift { build, swap, revs_rpm, units } = asked;
    if revs_rpm.is_some_and(|revs| !(1.0..=30_000.0).contains(&revs)) {
        return Err(Failure::not_sensible("revs_rpm is from 1 to 30000"));
    }
    let question = Question { kind: "lift", asked: format!("{revs_rpm:?} {units:?}"), build, swap };
    answer(&bench, question, move |subject| {
        let build = subject.build();
        let given = revs_rpm.map(AngularVelocity::new::<revolution_per_minute>);
        let revs = given.or(build.used.rev_limit.map(|limit| limit.value));
        let answer = lift(build, &LiftOptions { revs });
        let verdict = lift_words::verdict(&answer, units.system());
        Ok(LiftWire::new(&answer, verdict, subject.notes().to_vec()))
    })
    .await
}
