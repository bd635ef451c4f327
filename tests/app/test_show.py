"""App: ``trialfit show`` on the example, and refused where there is nothing to show."""

from __future__ import annotations

import io
import json
from pathlib import Path

import cv2
import pytest

from backhead import FOLDER
from loaded import Loaded
from trialfit import cli

trimesh = Loaded("trimesh")


def run(*words: str) -> int:
    """Exit code of a command."""
    with pytest.raises(SystemExit) as ended:
        cli.main(list(words))
    return int(ended.value.code or 0)


def test_the_example_is_shown(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("show", str(FOLDER), "--out", str(tmp_path), "--json") == 0
    said = json.loads(capsys.readouterr().out)
    names = ["front", "left", "right", "above_left", "low", "near"]
    assert [each["photograph"] for each in said["over"]] == names
    assert {path.name for path in tmp_path.iterdir()} >= {
        *(f"over-{name}-feed.png" for name in names), "over-photographs-feed.pdf", "in-space.glb",
    }  # fmt: skip
    picture = cv2.imread(str(tmp_path / "over-front-feed.png"))
    assert picture is not None
    assert picture.shape[1] == 1100
    scene = trimesh.load_scene(io.BytesIO((tmp_path / "in-space.glb").read_bytes()), file_type="glb")
    assert {"pipe feed", "check_valve", "tank_union", "point check_union.face"} <= set(scene.graph.nodes_geometry)


def test_a_job_in_which_nothing_has_a_place_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("show", str(FOLDER.parent / "soldering"), "--out", str(tmp_path)) == 2
    assert "nothing that has a place" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []
