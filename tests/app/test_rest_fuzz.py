"""App: whatever is sent to the calls, by schemathesis from the program's own description of them, none fails."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from trialfit.app.create import create_app
from trialfit.app.settings import Settings
from trialfit.store.database import documents
from workshops import job_text

EXAMPLES_EACH = 12


@pytest.mark.parametrize("part", range(3))
def test_no_call_fails_and_each_answers_as_described(tmp_path: Path, part: int) -> None:
    import schemathesis  # it takes a second to load
    from schemathesis.core.result import Ok
    from schemathesis.specs.openapi import checks

    held = [
        schemathesis.checks.not_a_server_error,
        checks.status_code_conformance,
        checks.content_type_conformance,
        checks.response_schema_conformance,
    ]
    app = create_app(Settings(tmp_path / "workshop", hosts=("testserver", "localhost")))
    documents.start(app.state.desk.workshop, "job", "bittern", job_text(), "bench")
    schema = schemathesis.openapi.from_asgi("/api/openapi.json", app)
    operations = [found.ok() for found in schema.get_all_operations() if isinstance(found, Ok)]
    assert len(operations) > 20

    for operation in operations[part::3]:

        @given(case=operation.as_strategy())
        @settings(
            max_examples=EXAMPLES_EACH,
            deadline=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
            derandomize=True,
            database=None,
        )
        def send(case: Any) -> None:
            if len(str(case.path_parameters.get("job", ""))) % 2:
                case.path_parameters["job"] = "bittern"
            case.call_and_validate(checks=held, timeout=120)

        send()
