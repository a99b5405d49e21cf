//! The readings in a build, cylinder by cylinder where they differ; and `/api/builds/{id}/readings`, their history.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use headroom::assumed::Assumed;
use parts::Build;
use parts::readings::{Kind, Visit};
use serde::{Deserialize, Serialize};
use shop::{NewReading, Owner, Reading};
use units::{Basis, UnitSystem};
use utoipa::ToSchema;

use crate::extract::{Body, InPath};
use crate::failure::Failure;
use crate::state::{Bench, Shared, on_disk};

/// One reading of a build.
#[derive(Serialize, ToSchema)]
pub struct ReadingWire {
    /// Such as `head.valve.intake.x`.
    path: String,
    /// The cylinders that have it; all of them where none differs.
    cylinders: Vec<usize>,
    kind: KindWire,
    value_si: f64,
    /// 95 % half-width.
    tolerance_si: f64,
    /// measured, catalogue or assumed.
    basis: &'static str,
    /// Value and tolerance with their unit.
    metric: String,
    /// The same in inch units.
    inch: String,
    /// For an assumed one: the rule it was taken by.
    rule: Option<&'static str>,
}

/// Kinds of quantity.
#[derive(Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
enum KindWire {
    Length,
    Angle,
    Volume,
    CrankAngle,
    Ratio,
    Force,
    SpringRate,
    Mass,
    Pressure,
    ThermodynamicTemperature,
    AngularVelocity,
    VolumeRate,
}

/// Everything that can be read in a build.
pub fn readings(build: &Build) -> Vec<ReadingWire> {
    let mut all: Vec<ReadingWire> = Vec::new();
    for cylinder in &build.cylinders {
        let number = cylinder.number;
        cylinder.clone().visit("", &mut |path, reading| {
            let (value, tolerance, basis) = (*reading.value_si, reading.tolerance_si, reading.basis);
            let same = all.iter_mut().find(|known| {
                known.path == path
                    && known.value_si == value
                    && known.tolerance_si == tolerance
                    && known.basis == basis.word()
            });
            match same {
                Some(known) => known.cylinders.push(number),
                None => all.push(reading_wire(path, number, value, tolerance, basis, reading.kind)),
            }
        });
    }
    all
}

fn reading_wire(
    path: &str,
    number: usize,
    value_si: f64,
    tolerance_si: f64,
    basis: Basis,
    kind: Kind,
) -> ReadingWire {
    let rule = parts::estimate::rule(path).unwrap_or("given as assumed");
    let shown = Assumed { path: path.to_owned(), value_si, tolerance_si, kind, rule };
    ReadingWire {
        path: path.to_owned(),
        cylinders: vec![number],
        kind: kind.into(),
        value_si,
        tolerance_si,
        basis: basis.word(),
        metric: shown.shown(UnitSystem::Metric),
        inch: shown.shown(UnitSystem::Inch),
        rule: (basis == Basis::Assumed).then_some(rule),
    }
}

impl From<Kind> for KindWire {
    fn from(kind: Kind) -> Self {
        match kind {
            Kind::Length => Self::Length,
            Kind::Angle => Self::Angle,
            Kind::Volume => Self::Volume,
            Kind::CrankAngle => Self::CrankAngle,
            Kind::Ratio => Self::Ratio,
            Kind::Force => Self::Force,
            Kind::SpringRate => Self::SpringRate,
            Kind::Mass => Self::Mass,
            Kind::Pressure => Self::Pressure,
            Kind::ThermodynamicTemperature => Self::ThermodynamicTemperature,
            Kind::AngularVelocity => Self::AngularVelocity,
            Kind::VolumeRate => Self::VolumeRate,
        }
    }
}

/// A reading as it was taken.
#[derive(Serialize, ToSchema)]
pub struct TakenWire {
    id: i64,
    path: String,
    text: String,
    taken_at: String,
    taken_by: String,
    instrument: String,
    note: String,
}

/// Readings to be added to the history.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewTaken {
    /// Such as `block.bore`.
    #[schema(min_length = 1, max_length = 200)]
    path: String,
    /// As typed, with unit and tolerance.
    #[schema(min_length = 1, max_length = 200)]
    text: String,
    /// When, such as 2026-05-01T10:30:00Z; now where nothing is said.
    #[schema(max_length = 40)]
    taken_at: Option<String>,
    #[serde(default)]
    #[schema(max_length = 200)]
    taken_by: String,
    #[serde(default)]
    #[schema(max_length = 200)]
    instrument: String,
    #[serde(default)]
    #[schema(max_length = 2000)]
    note: String,
}

/// What was read of a build, oldest first; the last of a path is the one in force.
#[utoipa::path(get, path = "/api/builds/{id}/readings", tag = "sheets", params(("id" = i64, Path)),
    responses((status = 200, body = Vec<TakenWire>)))]
pub async fn of_build(
    State(bench): Shared,
    InPath(id): InPath<i64>,
) -> Result<Json<Vec<TakenWire>>, Failure> {
    on_disk(&bench, move |bench| history(bench, Owner::Build(id))).await
}

/// Adds to what was read of a build. The sheet itself is changed by putting its text.
#[utoipa::path(post, path = "/api/builds/{id}/readings", tag = "sheets", params(("id" = i64, Path)),
    request_body = Vec<NewTaken>, responses((status = 201, body = Vec<TakenWire>)))]
pub async fn record_of_build(
    State(bench): Shared,
    InPath(id): InPath<i64>,
    Body(taken): Body<Vec<NewTaken>>,
) -> Result<(StatusCode, Json<Vec<TakenWire>>), Failure> {
    on_disk(&bench, move |bench| record(bench, Owner::Build(id), &taken)).await
}

/// What was read of a part on the shelf.
#[utoipa::path(get, path = "/api/parts/{id}/readings", tag = "shelf", params(("id" = i64, Path)),
    responses((status = 200, body = Vec<TakenWire>)))]
pub async fn of_part(State(bench): Shared, InPath(id): InPath<i64>) -> Result<Json<Vec<TakenWire>>, Failure> {
    on_disk(&bench, move |bench| history(bench, Owner::Part(id))).await
}

/// Adds to what was read of a part on the shelf.
#[utoipa::path(post, path = "/api/parts/{id}/readings", tag = "shelf", params(("id" = i64, Path)),
    request_body = Vec<NewTaken>, responses((status = 201, body = Vec<TakenWire>)))]
pub async fn record_of_part(
    State(bench): Shared,
    InPath(id): InPath<i64>,
    Body(taken): Body<Vec<NewTaken>>,
) -> Result<(StatusCode, Json<Vec<TakenWire>>), Failure> {
    on_disk(&bench, move |bench| record(bench, Owner::Part(id), &taken)).await
}

fn history(bench: &Bench, owner: Owner) -> Result<Json<Vec<TakenWire>>, Failure> {
    let all = bench.reader().history(owner)?;
    Ok(Json(all.into_iter().map(TakenWire::from).collect()))
}

fn record(
    bench: &Bench,
    owner: Owner,
    taken: &[NewTaken],
) -> Result<(StatusCode, Json<Vec<TakenWire>>), Failure> {
    if taken.is_empty() {
        return Err(Failure::not_sensible("no readings: send at least one"));
    }
    let new: Vec<NewReading<'_>> = taken
        .iter()
        .map(|taken| NewReading {
            path: &taken.path,
            text: &taken.text,
            taken_at: taken.taken_at.as_deref(),
            taken_by: &taken.taken_by,
            instrument: &taken.instrument,
            note: &taken.note,
        })
        .collect();
    let mut shop = bench.writer();
    shop.record(owner, &new)?;
    let all = shop.history(owner)?;
    Ok((StatusCode::CREATED, Json(all.into_iter().map(TakenWire::from).collect())))
}

impl From<Reading> for TakenWire {
    fn from(reading: Reading) -> Self {
        let Reading { id, path, text, taken_at, taken_by, instrument, note } = reading;
        Self { id, path, text, taken_at, taken_by, instrument, note }
    }
}
