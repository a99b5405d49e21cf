#!/usr/bin/env bash
# Requests made from the description of the interface, against a bench on this port; the second argument is how many for each
# resource and method.
set -euo pipefail
port=$1
most=${2:-130}
url="http://127.0.0.1:$port"
# The stream of events ends with its job, and the wrong-Host answers are tested where the server is.
schemathesis run "$url/api/openapi.json" --url "$url" \
  --checks not_a_server_error,status_code_conformance,content_type_conformance,response_schema_conformance \
  --exclude-path '/api/jobs/{id}/events' --phases fuzzing --max-examples "$most" --seed 8 --no-color
