"""Outside: STEP files are read back by Open CASCADE and hold the volumes worked out by hand; else they are refused."""

from __future__ import annotations

import importlib.util
from math import pi
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from trialfit.errors import Refusal
from trialfit.fitup.landing import Scatter
from trialfit.fitup.pipe import pipe_between
from trialfit.fitup.records import EndFace, PipePlan, TubeStock
from trialfit.making.turned.solid import volume_mm3
from trialfit.sheets.seen import step
from turned_jobs import part

KINDS: dict[str, dict[str, Any]] = {
    "tail": {
        "outside": [
            {"spigot": "6.5 mm", "long": "4 mm"},
            {"chamfer": "0.4 mm"},
            {"hexagon": "10 mm", "long": "6 mm"},
            {"chamfer": "0.4 mm"},
            {"thread": "1/4x40", "long": "7.62 mm"},
        ],
        "from_left": [{"bore": "5/32 in", "through": True}, {"counterbore": "4.86 mm", "deep": "3.5 mm"}],
        "from_right": [{"cone": "60 deg", "mouth": "4.8 mm"}],
        "cross_holes": [{"hole": "2 mm", "at": "7 mm", "walls": "one"}],
    },
    "cone": {
        "outside": [{"plain": "9 mm", "long": "12 mm"}, {"taper": "9 mm", "to": "5 mm", "angle": "60 deg"}],
        "from_left": [{"bore": "4 mm", "through": True}],
        "cross_holes": [{"hole": "2.5 mm", "at": "4 mm", "walls": "both"}],
    },
}
INSTALLED = importlib.util.find_spec("OCP") is not None


def _pipe() -> PipePlan:
    """One square bend: 60 along x, then 50 down, faces at both ends; 5 mm and 4 mm go into the sockets."""
    start = EndFace("a.face", np.zeros(3), np.array([1.0, 0, 0]), 14.0, 5.0)
    end = EndFace("b.face", np.array([60.0, 0, -50.0]), np.array([0.0, 0, 1.0]), 14.0, 4.0)
    covariance = np.diag([1e-4] * 3 + [1e-8] * 3 + [1e-4] * 3 + [1e-8] * 3)
    tube = TubeStock(5.0, 1.0, "CW024A")
    return pipe_between("feed", start, end, covariance, tube, 12.0, 10.0, 0.5, Scatter(0.6, 2.0, 4.0))


def _volume_mm3(content: bytes, folder: Path) -> float:
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps
    from OCP.STEPControl import STEPControl_Reader

    path = folder / "read.step"
    path.write_bytes(content)
    reader: Any = STEPControl_Reader()
    reader.ReadFile(str(path))
    reader.TransferRoots()
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(reader.OneShape(), properties)
    return float(properties.Mass())


def test_without_the_extra_it_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(step, "find_spec", lambda _: None)
    with pytest.raises(Refusal) as refused:
        step.pipe_step(_pipe())
    assert str(refused.value) == (
        "STEP file: got no Open CASCADE, wanted the extra trialfit[step]. Install it with: pip install "
        "'trialfit[step]'. glTF and DXF are written without it."
    )


@pytest.mark.skipif(not INSTALLED, reason="the extra trialfit[step] is not installed")
def test_a_pipe_reads_back_with_its_volume(tmp_path: Path) -> None:
    """Pappus: pi/4 (25 - 9) on 5 + 60 - 12, a quarter circle of 12, and 50 - 12 + 4."""
    expected = pi / 4 * 16 * (53 + 12 * pi / 2 + 42)
    assert _volume_mm3(step.pipe_step(_pipe()), tmp_path) == pytest.approx(expected, rel=1e-6)


@pytest.mark.skipif(not INSTALLED, reason="the extra trialfit[step] is not installed")
@pytest.mark.parametrize("kind", KINDS)
def test_a_turned_part_reads_back_with_its_volume(kind: str, tmp_path: Path) -> None:
    """Against the volumes that `test_turned_solids.py` holds against trimesh: a tail, and a cone with cross holes."""
    made = part(**KINDS[kind])
    assert _volume_mm3(step.turned_step(made), tmp_path) == pytest.approx(volume_mm3(made), rel=1e-5)
