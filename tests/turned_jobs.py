"""A job of turned parts for the tests, parts made from lines as a job file has them, and parts made at random."""

from __future__ import annotations

from functools import cache
from typing import Any

from hypothesis import strategies as st

from trialfit.finding import Answer, Finding
from trialfit.job.read import read_job
from trialfit.job.records import Job, Joint
from trialfit.job.shop import assumed_shop
from trialfit.job.turned import TurnedEntry
from trialfit.making.turned.bench import TurningBench, turning_bench
from trialfit.making.turned.features import TurnedPart
from trialfit.making.turned.findings import turned_findings
from trialfit.making.turned.from_job import turned_part
from trialfit.making.turned.plan import plan_turned
from trialfit.making.turned.records import TurnedPlan

TEXT = """\
format = 1

[job]
name = "rook-tails"
owner = "B. Lindmoor"
date = 2026-03-14
revision = 2
story = "The tail of the check valve sheared off in its bush."

[engine]
name = "Rook"
working_pressure = "80 psi"

[parts.bush]
kind = "bush"
ports.thread = { thread = "1/4x40", gender = "female" }

[parts.tail]
kind = "adaptor"
ports.a = { thread = "1/4x40", gender = "male" }

[[joints]]
a = "tail.a"
b = "bush.thread"
hidden = { value = "8 mm", pm = "0.2 mm", by = "workshop, depth rod" }

[turned.tail]
what = "new tail for the check valve"
metal = "CW451K"
count = 2
outside = [
    { spigot = "6.5 mm", long = "4 mm" },
    { chamfer = "0.4 mm" },
    { hexagon = "10 mm", long = "6 mm" },
    { chamfer = "0.4 mm" },
    { thread = "1/4x40", shows = "0 mm", port = "tail.a", undercut = "1.3 mm" },
    { chamfer = "0.4 mm" },
]
from_left = [
    { bore = "5/32 in", through = true },
    { counterbore = "4.86 mm", deep = "3.5 mm" },
]
from_right = [
    { cone = "60 deg", mouth = "4.4 mm" },
]
cross_holes = [
    { hole = "2 mm", at = "7 mm", walls = "one" },
]

[turned.nut]
metal = "CW614N"
pattern = "union nut"
sizes = { thread = "5/16x32", thread_long = "7 mm", hexagon = "3/8 in", long = "10 mm", bore = "6.1 mm" }
"""


@cache
def job() -> Job:
    """The job."""
    return read_job(TEXT)


@cache
def bench() -> TurningBench:
    """The workshop the program assumes."""
    return turning_bench(assumed_shop())


def entry(**lines: Any) -> TurnedEntry:
    """A turned part as a job has it, of free-cutting brass unless said otherwise."""
    return TurnedEntry.model_validate({"metal": "CW614N", **lines})


def part(*joints: dict[str, Any], **lines: Any) -> TurnedPart:
    """A turned part in millimetres."""
    held = [Joint.model_validate(joint) for joint in joints]
    return turned_part("piece", entry(**lines), held, bench())


def plan(*joints: dict[str, Any], **lines: Any) -> TurnedPlan:
    """A turned part, worked out."""
    return plan_turned(part(*joints, **lines), bench())


def found(*joints: dict[str, Any], **lines: Any) -> list[Finding]:
    """What is found about a turned part."""
    return list(turned_findings(plan(*joints, **lines), bench()))


def graver(*joints: dict[str, Any], **lines: Any) -> list[Finding]:
    """What is found about a turned part, but for what is good."""
    return [finding for finding in found(*joints, **lines) if finding.answer is not Answer.GO]


def _mm(low: float, high: float) -> st.SearchStrategy[str]:
    return st.floats(low, high).map(lambda value: f"{value:.2f} mm")


@st.composite
def outsides(draw: st.DrawFn, least_mm: float = 6.0) -> list[dict[str, Any]]:
    """One to six features, none under a diameter."""
    made: list[dict[str, Any]] = []
    for _ in range(draw(st.integers(1, 6))):
        long = draw(_mm(1.5, 12.0))
        kind = draw(st.sampled_from(["plain", "hexagon", "thread", "taper", "spigot"]))
        if kind == "thread":
            made.append({"thread": draw(st.sampled_from(["5/16x32", "3/8x32", "M10x1"])), "long": long})
        elif kind == "taper":
            made.append({"taper": draw(_mm(least_mm, 14.0)), "to": draw(_mm(least_mm, 14.0)), "long": long})
        else:
            made.append({kind: draw(_mm(least_mm, 14.0)), "long": long})
    return made


@st.composite
def parts(draw: st.DrawFn) -> dict[str, Any]:
    """Lines of a part that can be made: walls of a millimetre and more, holes that do not meet unless right through."""
    lines: dict[str, Any] = {"outside": draw(outsides())}
    long = sum(float(line["long"].split()[0]) for line in lines["outside"])
    bore = draw(st.floats(1.0, 3.0))
    through = draw(st.booleans())
    if through:
        lines["from_left"] = [{"bore": f"{bore:.2f} mm", "through": True}]
    elif long > 5.0:
        lines["from_left"] = [{"bore": f"{bore:.2f} mm", "deep": f"{0.4 * long:.2f} mm"}]
    if draw(st.booleans()) and long > 5.0:
        deep = min(0.25 * long, 4.0)
        lines["from_right"] = [{"counterbore": f"{draw(st.floats(3.2, 4.0)):.2f} mm", "deep": f"{deep:.2f} mm"}]
    elif draw(st.booleans()) and through and long > 5.0:
        lines["from_right"] = [{"cone": draw(st.sampled_from(["60 deg", "90 deg"])), "mouth": f"{bore + 1.0:.2f} mm"}]
    if draw(st.booleans()) and long > 8.0:
        at = draw(st.floats(0.3, 0.6)) * long
        walls = draw(st.sampled_from(["one", "both"]))
        lines["cross_holes"] = [{"hole": "1.6 mm", "at": f"{at:.2f} mm", "walls": walls}]
    return lines
