"""House: the page for other programs names the calls there are."""

from __future__ import annotations

import re
from pathlib import Path

from trialfit.app.create import create_app
from trialfit.app.settings import Settings

PAGE = (Path(__file__).parents[2] / "docs" / "other-programs.md").read_text(encoding="utf-8")


def test_every_call_on_the_page_is_there_and_every_path_is_on_the_page(tmp_path: Path) -> None:
    app = create_app(Settings(tmp_path / "workshop"))
    paths = app.state.calls.made().openapi()["paths"]
    app.state.desk.workshop.close()
    named = re.findall(r"(GET|POST|PUT|DELETE) (/api/[^\s?`]+)", PAGE)
    assert [f"{method} {path}" for method, path in named if method.lower() not in paths.get(path, {})] == []
    steps = ("/undo", "/redo", "/revisions", "/api/entry")
    assert [path for path in paths if path not in PAGE and not path.endswith(steps)] == []
