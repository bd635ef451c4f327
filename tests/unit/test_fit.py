"""Unit: what is asked of a pipe's going on, read whole; figures by the closed forms of a straight pipe, by hand."""

from __future__ import annotations

import json
from dataclasses import dataclass
from math import erf, exp, pi, sqrt
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner

from trialfit.cli import commands
from trialfit.errors import Refusal
from trialfit.finding import Answer
from trialfit.fitup.fit import Fit, fit_of
from trialfit.fitup.wanted import wanted_pipe
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.parts.build import build_parts
from trialfit.parts.records import Array

SHOP = Shop.model_validate(
    {
        "name": "w",
        "formers": [{"od": "3/16 in", "radius": "12.7 mm", "grip": "10 mm"}],
        "scatter": {"length": "0.1 mm", "bend": "2 deg", "rotation": "4 deg"},
    }
)
EI = 117000.0 * pi / 64 * (4.7625**4 - 3.3401**4)


@dataclass(frozen=True)
class Known:
    """Two faces 100 mm apart along x that look at each other but for 0.06 deg; the end's known to `sigma_mm`."""

    sigma_mm: float

    def joint(self, names: list[str]) -> tuple[Array, Array]:
        at = {"v": (0, 0, 0), "v.back": (-30, 0, 0), "t": (100, 0, 0.02), "t.back": (130, 0, 0.05)}
        # The point behind the end's face strays with it, so that its direction is known and its place is not.
        moves = np.concatenate([np.eye(3) * (name.startswith("t")) for name in names])
        return np.array([at[name] for name in names], dtype=np.float64), self.sigma_mm**2 * moves @ moves.T


def job_of(seat: dict[str, Any] | None = None) -> Job:
    port = {} if seat is None else {"seat": seat}
    return Job.model_validate(
        {
            "format": 1,
            "job": {"name": "t", "owner": "A. Fenwright", "date": "2026-03-14"},
            "engine": {"name": "Bittern", "working_pressure": "80 psi"},
            "points": {name: {} for name in ("v", "v.back", "t", "t.back")},
            "parts": {
                "valve": {"kind": "check valve", "ports": {"inlet": {"face": "v", "axis_from": "v.back", **port}}},
                "tank": {"kind": "union body", "ports": {"face": {"face": "t", "axis_from": "t.back", **port}}},
            },
            "pipes": {
                "feed": {
                    "tube": {"od": "3/16 in", "wall": "0.7112 mm"},
                    "start": {"port": "valve.inlet", "straight": "14 mm", "enters": "6.5 mm"},
                    "end": {"port": "tank.face", "straight": "13 mm", "enters": "4 mm"},
                    "file_allowance": "0.5 mm",
                }
            },
        }
    )


def fitted(sigma_mm: float, further_mm: float | None = None, seat: dict[str, Any] | None = None) -> Fit:
    job, known = job_of(seat), Known(sigma_mm)
    parts = build_parts(job)
    pipe = wanted_pipe("feed", job.pipes["feed"], parts, known, SHOP)
    foreseen = [] if further_mm is None else [("one more reading", Known(further_mm))]
    return fit_of(pipe, parts, known, SHOP, 0.5516, foreseen)


def aside(sigma: float, limit: float) -> float:
    return 1 - exp(-(limit**2) / 2 / sigma**2)


def along(sigma: float, limit: float) -> float:
    return erf(limit / sigma / sqrt(2))


def test_each_way_of_a_straight_pipe_has_its_closed_form() -> None:
    """Aside only the survey strays, by 0.4 mm each way; along it the survey and the bench's 0.05: 0.4031."""
    found = {way.name: way.chance.value / 100 for way in fitted(0.4, 0.2).drop_on.ways}
    both = sqrt(0.4**2 + 0.05**2)
    assert found["as planned"] == pytest.approx(aside(0.4, 0.5) * along(both, 0.5), abs=0.01)
    surer = aside(0.2, 0.5) * along(sqrt(0.2**2 + 0.05**2), 0.5)
    assert found["with one more reading"] == pytest.approx(surer, abs=0.01)
    # 0.05 mm a side more aside, 2 mm more along.
    loose = aside(0.4, 0.55) * along(both, 2.5)
    assert found["one cone left loose, soldered after a trial"] == pytest.approx(loose, abs=0.01)
    # The wire's 0.2 mm each way aside, and with the bench along; its 0.5 deg each way against 1 deg: Rayleigh, 0.8647.
    wire = aside(0.2, 0.5) * along(sqrt(0.2**2 + 0.05**2), 0.5) * aside(0.5, 1.0)
    assert found["a trial wire first"] == pytest.approx(wire, abs=0.01)
    # A straight pipe has no bend to be set along, only aside: 3.5 mm.
    assert found["the soft pipe set by hand at a trial"] == pytest.approx(along(both, 0.5), abs=0.01)
    assert "one more union in the run" not in found


def test_strain_and_heat_of_a_straight_pipe() -> None:
    fit = fitted(0.4)
    # The worst way is along: k = 2 of 0.4031 mm is 0.806 mm, and a straight pipe gives nothing: EA u / L.
    found = fit.drop_on
    assert found.stray.value == pytest.approx(0.8062, abs=5e-4)
    area = pi / 4 * (4.7625**2 - 3.3401**2)
    assert found.loose.force.value == pytest.approx(117000 * area * 0.8062 / 100, rel=1e-3)
    # Soft tube bends at 45 MPa x (4.7625^3 - 3.3401^3) / 6 = 0.531 N·m.
    assert found.bends_at.value == pytest.approx(0.531, abs=1e-3)
    # 80 psi is 0.5516 MPa by the gauge: steam tables give 162.3 deg C at 0.653 MPa. 16.9e-6 x 142.3 x 117000 = 281 MPa.
    assert fit.heat.stress.value == pytest.approx(281, abs=1)
    assert fit.findings[-1].answer is Answer.LOOK
    assert fit.findings[-1].do.endswith("a rise of 46 K it stands.")


def test_what_is_certain_goes_on() -> None:
    fit = fitted(0.05)
    chance = fit.findings[0]
    assert (chance.question, chance.answer, chance.do) == ("Will it drop on?", Answer.GO, "")
    assert str(chance.figure) == "100 ± 1 %"
    assert chance.because[0].text.startswith(
        "As planned: 100 ± 1 %. A union is taken to draw in 0.5 mm aside, 0.5 mm along and 1 deg."
    )
    assert fit.drop_on.best.name == "as planned"


def test_the_seats_of_faces_that_look_at_each_other() -> None:
    """0.06 under 180 deg apart: two 60 deg cones let in 60, two flat faces 180."""
    cones = fitted(0.1, seat={"kind": "cone", "gender": "female", "angle": "60 deg"}).findings[2]
    assert (cones.question, cones.answer) == ("Can it be slid into both seats?", Answer.LOOK)
    assert str(cones.figure) == "179.9 deg"
    flat = fitted(0.1, seat={"kind": "flat", "gender": "female"}).findings[2]
    assert flat.answer is Answer.GO
    # Nothing is said where the seats are not known: the joint asks for them.
    assert len(fitted(0.1).findings) == 3


def run(folder: Path, clocking: str, *words: str) -> str:
    folder.mkdir(exist_ok=True)
    text = (
        'format = 1\n[job]\nname = "elbow"\nowner = "A. Fenwright"\ndate = 2026-03-14\n'
        '[engine]\nname = "Bittern"\nworking_pressure = "80 psi"\n'
    )
    (folder / "job.toml").write_text(text + clocking)
    result = CliRunner().invoke(commands, ["fit", str(folder), *words], standalone_mode=False)
    if result.exception:
        raise result.exception
    return result.output


def test_the_command_prints_the_table_of_the_trial(tmp_path: Path) -> None:
    wanted = '[clocking.elbow]\nthread = "1/4x40"\nwanted = "120 deg"\ntwelve = "straight up"\n'
    lines = run(tmp_path / "a", wanted).splitlines()
    assert lines[:2] == ["FITTING elbow", "============="]
    assert "  4 o'clock     none                    0.00 mm" in lines
    # 150 deg too much is 0.265 mm: 0.125 + 0.15. On by 210 deg is 0.37 mm.
    assert "  9 o'clock     0.125 + 0.15 mm         0.37 mm" in lines
    found = json.loads(run(tmp_path / "a", wanted, "--json"))
    assert len(found["clocked"][0]["table"]) == 12
    with pytest.raises(Refusal, match="no pipe and no fitting"):
        run(tmp_path / "b", "")
