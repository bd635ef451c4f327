"""What a workshop owns to cut, hold and tighten with."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from trialfit.errors import Refusal
from trialfit.job.values import LengthAboveZero, LengthFromZero, Record, Whole, refused
from trialfit.tables.designations import find_thread
from trialfit.tables.drills import Drill, drills, find_drill
from trialfit.tables.metals import find_metal
from trialfit.tables.rules import rules
from trialfit.units import Quantity

_MOST_IN_A_SET = 500
_ALIKE_MM = 1e-6
_WANTED_DRILL = "a drill such as 5.6 mm, 7/32 in, #43 or F"


def _known(find: Callable[[str], object], wanted: str, example: str) -> Callable[[Any], str]:
    """Keep what was written, once the tables know it."""

    def take(written: Any) -> str:
        if not isinstance(written, str):
            raise refused(str(written), wanted, f'Write it in quotes: "{example}".')
        try:
            find(written)
        except Refusal as refusal:
            fault = refusal.fault
            raise refused(fault.got, fault.wanted, fault.remedy) from None
        return written

    return take


DrillName = Annotated[str, BeforeValidator(_known(find_drill, _WANTED_DRILL, "7/32 in"))]
ThreadName = Annotated[str, BeforeValidator(_known(find_thread, "a thread such as 1/4x40 or 2BA", "1/4x40"))]
MetalName = Annotated[str, BeforeValidator(_known(find_metal, "a metal of the tables", "CW614N"))]
TurnsAMinute = Annotated[Whole, Field(ge=1)]


class DrillSet(Record):
    """A set of drills: a stepped one, or every drill of the tables' own kind from the first to the last."""

    first: DrillName = Field(description="The drill at one end of it.", examples=["1 mm"])
    last: DrillName = Field(description="The drill at the other end.", examples=["10 mm"])
    step: LengthAboveZero | None = Field(
        None,
        description="From each to the next; left out for number and letter drills, and for a set without gaps.",
        examples=["0.1 mm"],
    )

    @model_validator(mode="after")
    def _is_a_set(self) -> DrillSet:
        smallest, largest = self._ends
        between_mm = largest.diameter_mm - smallest.diameter_mm
        if between_mm == 0:
            raise refused(self.last, f"another drill than {self.first}", "Name the two ends of the set.", "last")
        if self.step is None and (not smallest.series or smallest.series != largest.series):
            got = f"{self.first} to {self.last} without a step"
            remedy = 'Add the step, for instance step = "0.1 mm", or name two drills of one kind, such as #1 and #60.'
            raise refused(got, "two drills of one kind, or a step", remedy)
        if self.step is not None and between_mm / self.step.to("mm") > _MOST_IN_A_SET:
            wanted = f"a step that gives a set of at most {_MOST_IN_A_SET} drills"
            raise refused(str(self.step), wanted, "Check the step and its unit.", "step")
        return self

    @property
    def _ends(self) -> tuple[Drill, Drill]:
        first, last = find_drill(self.first), find_drill(self.last)
        return (first, last) if first.diameter_mm <= last.diameter_mm else (last, first)

    @property
    def drills(self) -> tuple[Drill, ...]:
        """The drills of the set, from small to large."""
        smallest, largest = self._ends
        if self.step is not None:
            return tuple(find_drill(text) for text in _stepped(smallest, largest, self.step))
        least_mm, most_mm = smallest.diameter_mm - _ALIKE_MM, largest.diameter_mm + _ALIKE_MM
        return tuple(drill for drill in drills(smallest.series) if least_mm <= drill.diameter_mm <= most_mm)


def _stepped(smallest: Drill, largest: Drill, step: Quantity) -> Iterator[str]:
    """Write each size in the unit of the step: decimals of a millimetre, fractions of an inch."""
    unit_mm = step.to("mm") / step.number
    size = Fraction(smallest.diameter_mm / unit_mm).limit_denominator(6400)
    while size * unit_mm <= largest.diameter_mm + _ALIKE_MM:
        whole, left = divmod(size, 1)
        mixed = " ".join(str(each) for each in (whole, left) if each)
        yield f"{mixed if step.unit == 'in' else float(size):{'' if step.unit == 'in' else 'g'}} {step.unit}"
        size += step.number


class Bar(Record):
    """One bar of stock."""

    metal: MetalName = Field(description="Its metal, by its name in the tables.", examples=["CW614N"])
    shape: Literal["round", "hexagon"] = Field(description="Its section.", examples=["hexagon"])
    size: LengthAboveZero = Field(description="Diameter, or width across flats.", examples=["5/16 in"])


class Spanner(Record):
    """One spanner."""

    across_flats: LengthAboveZero = Field(description="The hexagon it fits.", examples=["8 mm"])
    length: LengthAboveZero = Field(description="From the nut's middle to the hand.", examples=["115 mm"])


class Tooling(Record):
    """What the workshop cuts, holds and tightens with. What is left out is not known, and assumed where needed."""

    drills: tuple[DrillName, ...] = Field((), description="Drills owned one by one.", examples=[["7/32 in", "#43"]])
    drill_sets: tuple[DrillSet, ...] = Field((), description="Sets of drills owned.")
    taps: tuple[ThreadName, ...] = Field((), description="Threads it has taps for.", examples=[["1/4x40", "2BA"]])
    dies: tuple[ThreadName, ...] = Field((), description="Threads it has dies for.", examples=[["1/4x40", "2BA"]])
    reamers: tuple[LengthAboveZero, ...] = Field((), description="Reamers owned.", examples=[["3/16 in", "6 mm"]])
    spindle_rpm: tuple[TurnsAMinute, ...] = Field(
        (), description="Speeds of the lathe's spindle, turns a minute.", examples=[[200, 350, 600, 1000]]
    )
    bars: tuple[Bar, ...] = Field((), description="Bar in stock.")
    spanners: tuple[Spanner, ...] = Field((), description="Spanners owned.")
    shims: tuple[LengthAboveZero, ...] = Field(
        (), description="Thicknesses of shim washer in stock.", examples=[["0.075 mm", "0.125 mm"]]
    )
    parting_width: LengthAboveZero | None = Field(
        None, description="Width of metal the parting tool takes.", examples=["2 mm"]
    )
    facing: LengthFromZero | None = Field(
        None, description="Allowance left for facing, each end that is faced.", examples=["0.5 mm"]
    )


def owned_drills(tooling: Tooling) -> tuple[Drill, ...]:
    """Give every drill a workshop owns.

    Parameters
    ----------
    tooling
        What it owns.

    Returns
    -------
    tuple of Drill
        From small to large, each name once; empty where the workshop has not said.
    """
    owned = [find_drill(name) for name in tooling.drills]
    owned += [drill for each in tooling.drill_sets for drill in each.drills]
    return tuple(sorted({drill.name: drill for drill in owned}.values(), key=lambda drill: drill.diameter_mm))


def assumed_tooling() -> dict[str, Any]:
    """Give the tooling the program assumes of a workshop that has not said.

    Returns
    -------
    dict
        By the keys of a shop file.

    Source
    ------
    Assumed: a small model workshop's usual sets. Spanner lengths from memory, by ``figures/spanners.csv``; the five
    shims are the set that stops a 40 or 32 tpi thread within 10 deg of any angle.
    """
    model = ["1/8x40", "5/32x40", "3/16x40", "7/32x40", "1/4x40", "5/16x32", "3/8x32"]
    threads = [*model, "0BA", "2BA", "4BA", "5BA", "6BA", "7BA", "8BA", "10BA"]
    bars = [("CW614N", "round", size) for size in ("1/4 in", "5/16 in", "3/8 in", "1/2 in")]
    bars += [("CW614N", "hexagon", size) for size in ("1/4 in", "5/16 in", "3/8 in", "7/16 in")]
    bars += [("CW451K", "round", size) for size in ("1/4 in", "5/16 in", "3/8 in", "1/2 in")]
    spanners = {each.name: f"{each.low:g} mm" for each in rules("spanner length")}
    return {
        "drill_sets": [
            {"first": "1 mm", "last": "10 mm", "step": "0.1 mm"},
            {"first": "1/16 in", "last": "1/2 in", "step": "1/64 in"},
            {"first": "#1", "last": "#60"},
        ],
        "taps": threads,
        "dies": threads,
        "reamers": ["1/8 in", "5/32 in", "3/16 in", "1/4 in", "3 mm", "4 mm", "5 mm", "6 mm"],
        "spindle_rpm": [130, 210, 350, 560, 900, 1400, 2000],
        "bars": [{"metal": metal, "shape": shape, "size": size} for metal, shape, size in bars],
        "spanners": [{"across_flats": flats, "length": length} for flats, length in spanners.items()],
        "shims": ["0.075 mm", "0.125 mm", "0.15 mm", "0.3 mm", "0.4 mm"],
        "parting_width": "2 mm",
        "facing": "0.5 mm",
    }


@dataclass(frozen=True)
class FilledTooling:
    """Tooling in which nothing is left unsaid.

    Parameters
    ----------
    tooling
        What the workshop owns, with what it has not said assumed.
    assumed
        Keys that were assumed, in the order of the shop file.
    """

    tooling: Tooling
    assumed: tuple[str, ...]

    def rests_on(self, *keys: str) -> bool:
        """Whether any of these keys was assumed.

        Parameters
        ----------
        *keys
            Keys of `Tooling`.

        Returns
        -------
        bool
            True where a result that uses them has to say so.
        """
        return any(key in self.assumed for key in keys)


@cache
def _common() -> Tooling:
    return Tooling.model_validate(assumed_tooling())


def fill_tooling(tooling: Tooling | None) -> FilledTooling:
    """Put assumed tooling in where a workshop has not said.

    Parameters
    ----------
    tooling
        As read, or None where the shop file has none. Drills owned one by one and sets of them count as one: either
        is enough.

    Returns
    -------
    FilledTooling
        The tooling, and which keys of it are assumed: all, where it is the assumed tooling itself.
    """
    common = _common()
    if tooling is None or tooling == common:
        return FilledTooling(common, tuple(Tooling.model_fields))
    unsaid = [key for key in Tooling.model_fields if getattr(tooling, key) in ((), None)]
    if tooling.drills or tooling.drill_sets:
        unsaid = [key for key in unsaid if key not in ("drills", "drill_sets")]
    filled = tooling.model_copy(update={key: getattr(common, key) for key in unsaid})
    return FilledTooling(filled, tuple(unsaid))
