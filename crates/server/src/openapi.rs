//! The description of the interface, as OpenAPI: from it the types of the screens are made.

use axum::http::header::CONTENT_TYPE;
use axum::response::IntoResponse;
use utoipa::PartialSchema;
use utoipa::ToSchema;
use utoipa::openapi::path::Operation;
use utoipa::openapi::{ContentBuilder, Info, OpenApi, Ref, RefOr, ResponseBuilder, Schema};

use crate::failure::{CurrentWire, Failure, ProblemWire};
use crate::router::resources;

/// The description as text, two blanks to a level.
pub fn openapi_text() -> String {
    let (_, described) = resources();
    let mut text = described.to_pretty_json().expect("the description holds strings and numbers alone");
    text.push('\n');
    text
}

/// The description as it is served.
pub async fn openapi() -> impl IntoResponse {
    ([(CONTENT_TYPE, "application/json")], openapi_text())
}

/// Adds what all resources have in common: a name, a version, and the shape of every failure.
pub fn finished(mut described: OpenApi) -> OpenApi {
    described.info = Info::new("Headroom bench", env!("CARGO_PKG_VERSION"));
    let components = described.components.get_or_insert_default();
    components.schemas.insert(Failure::name().into_owned(), Failure::schema());
    components.schemas.insert(ProblemWire::name().into_owned(), ProblemWire::schema());
    components.schemas.insert(CurrentWire::name().into_owned(), CurrentWire::schema());
    let seen = components.schemas.get("SeenWire").cloned();
    if let (Some(RefOr::T(Schema::Object(mut seen))), Some(RefOr::T(Schema::AllOf(finding)))) =
        (seen, components.schemas.get_mut("FindingWire"))
    {
        // What was seen lies among the fields of a finding, or is not there: then none of them is.
        seen.required.clear();
        finding.items[0] = RefOr::T(Schema::Object(seen));
    }
    for (path, item) in &mut described.paths.paths {
        let operations = [
            ("get", &mut item.get),
            ("post", &mut item.post),
            ("put", &mut item.put),
            ("delete", &mut item.delete),
        ];
        for (verb, operation) in operations.into_iter().filter_map(|(verb, one)| Some((verb, one.as_mut()?)))
        {
            // Handlers of different files are called alike; what is made from the description tells them apart by this.
            operation.operation_id = Some(format!("{verb}{}", path.replace(['/', '{', '}', '-', '.'], "_")));
            add_failure(operation);
        }
    }
    described
}

fn add_failure(operation: &mut Operation) {
    let content = ContentBuilder::new().schema(Some(Ref::from_schema_name(Failure::name()))).build();
    let failure = ResponseBuilder::new()
        .description("Why there is no answer")
        .content("application/json", content)
        .build();
    operation.responses.responses.insert("default".to_owned(), RefOr::T(failure));
}
