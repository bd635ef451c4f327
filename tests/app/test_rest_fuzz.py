"""App: whatever is sent to the calls, by schemathesis from the program's own description of them, none fails."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
import schemathesis
from fastapi import FastAPI
from hypothesis import HealthCheck, settings
from schemathesis import checks
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from trialfit.app.create import create_app
from trialfit.app.settings import Settings
from trialfit.store.database import documents
from workshops import job_text


@pytest.fixture(scope="module")
def calls() -> schemathesis.BaseSchema:
    """The calls of an app with one job."""
    app: FastAPI = create_app(Settings(Path(tempfile.mkdtemp(prefix="trialfit-")), hosts=("testserver", "localhost")))
    documents.start(app.state.desk.workshop, "job", "bittern", job_text(), "bench")
    return schemathesis.openapi.from_asgi("/api/openapi.json", app)


schema = schemathesis.pytest.from_fixture("calls")


@schema.parametrize()
@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
def test_no_call_fails_and_each_answers_as_described(case: schemathesis.Case) -> None:
    if "job" in case.path_parameters and len(str(case.path_parameters["job"])) % 2:
        case.path_parameters["job"] = "bittern"
    case.call_and_validate(
        checks=[
            checks.not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance,
        ]
    )  # fmt: skip
