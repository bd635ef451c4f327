"""A turned part as features in millimetres: what stands along its outside, its inside, and across it.

The axis runs from the left end, at 0, to the right. Diameters, not radii, as on a drawing.

Source: plain geometry; thread diameters from `trialfit.tables.threads`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from trialfit.making.turned.shapes import corners_mm, point_length_mm
from trialfit.tables.drills import Drill
from trialfit.tables.metals import Metal
from trialfit.tables.threads import Thread

OutsideKind = Literal["plain", "spigot", "hexagon", "thread", "groove", "taper"]
InsideKind = Literal["bore", "counterbore", "thread", "cone", "groove"]
End = Literal["left", "right"]
BarShape = Literal["round", "hexagon"]

RUN_OUT_PITCHES = 2.0


@dataclass(frozen=True)
class Ring:
    """An O-ring and what it seals against.

    Parameters
    ----------
    section_mm, bore_mm
        Diameter of its section and its free bore. [mm]
    against_mm
        Bore or rod it seals against; None at the bottom of a counterbore, where it seals on a face. [mm]
    """

    section_mm: float
    bore_mm: float
    against_mm: float | None


@dataclass(frozen=True)
class HiddenLength:
    """What a joint says is out of sight when it is made up.

    Parameters
    ----------
    long_mm
        The length. [mm]
    k2_mm
        Two standard deviations, or None where nobody said. [mm]
    port
        The port of this part, part.port.
    into
        The port it goes into.
    by
        Who measured it, with what; may be empty.
    """

    long_mm: float
    k2_mm: float | None
    port: str
    into: str
    by: str


@dataclass(frozen=True)
class Outside:
    """One feature of the outside.

    Parameters
    ----------
    kind
        What it is.
    long_mm
        Length along the axis, hidden length and run-out included. [mm]
    left_mm, right_mm
        Diameter at its left and right end: of a hexagon across the flats, of a thread the major. [mm]
    thread
        The thread, of a threaded one.
    left_chamfer_mm, right_chamfer_mm
        45 deg chamfers on its edges; 0 for none. [mm]
    hidden
        What its joint hides, or None.
    counted_in
        Whether `hidden` has been added to what was asked to show; else the length was given whole.
    ring
        O-ring lying in a groove, or None.
    undercut_mm
        Width of the undercut that was cut off a thread and stands beside it as a groove; 0 for none. [mm]
    place
        Where it stands in the job: ``outside line 3``.
    """

    kind: OutsideKind
    long_mm: float
    left_mm: float
    right_mm: float
    thread: Thread | None = None
    left_chamfer_mm: float = 0.0
    right_chamfer_mm: float = 0.0
    hidden: HiddenLength | None = None
    counted_in: bool = False
    ring: Ring | None = None
    undercut_mm: float = 0.0
    place: str = ""

    @property
    def name(self) -> str:
        """What a machinist calls it."""
        if self.thread is not None:
            return f"thread {self.thread.designation}"
        if self.kind == "hexagon":
            return f"hexagon {self.left_mm:.2f} mm across flats"
        if self.kind == "taper":
            return f"taper {self.left_mm:.2f} to {self.right_mm:.2f} mm"
        return f"{self.kind} {self.left_mm:.2f} mm"

    @property
    def swing_mm(self) -> float:
        """Greatest diameter it takes up: of a hexagon across the corners. [mm]"""
        return corners_mm(self.left_mm) if self.kind == "hexagon" else max(self.left_mm, self.right_mm)

    @property
    def with_undercut_mm(self) -> float:
        """Length of a thread and its undercut together. [mm]"""
        return self.long_mm + self.undercut_mm


@dataclass(frozen=True)
class Inside:
    """One feature of the inside, from the end it is worked from.

    Parameters
    ----------
    kind
        What it is.
    end
        The end it is worked from.
    size_mm
        Diameter: of a thread the major, of a cone at its mouth. [mm]
    deep_mm
        From the finished face to the end of the full diameter or full thread. [mm]
    through
        Whether it goes right through.
    starts_mm
        Near side of a groove, from the face; 0 for all others. [mm]
    angle_deg
        Included angle of a cone. [deg]
    flat
        Whether it ends flat rather than in a drill's point.
    reamed
        Whether it is finished with a reamer.
    thread
        The thread, of a threaded one.
    drill
        Drill before the tap, or before the reamer, or for the bore itself; None where it is bored.
    hole_mm
        Diameter of the hole a thread is cut in; else `size_mm`. [mm]
    hole_deep_mm
        Depth of that hole to its full diameter; else `deep_mm`. [mm]
    ball_mm
        Ball that seats on its edge, or None. [mm]
    hidden
        What its joint puts into it, or None.
    ring
        O-ring lying in it, or None.
    place
        Where it stands in the job: ``from_left line 1``.
    """

    kind: InsideKind
    end: End
    size_mm: float
    deep_mm: float
    through: bool = False
    starts_mm: float = 0.0
    angle_deg: float = 0.0
    flat: bool = False
    reamed: bool = False
    thread: Thread | None = None
    drill: Drill | None = None
    hole_mm: float = 0.0
    hole_deep_mm: float = 0.0
    ball_mm: float | None = None
    hidden: HiddenLength | None = None
    ring: Ring | None = None
    place: str = ""

    @property
    def name(self) -> str:
        """What a machinist calls it."""
        if self.thread is not None:
            return f"female thread {self.thread.designation}"
        if self.kind == "cone":
            return f"{self.angle_deg:g} deg cone with a mouth of {self.size_mm:.2f} mm"
        return f"{self.kind} {self.size_mm:.2f} mm"

    @property
    def cut_mm(self) -> float:
        """Greatest diameter of metal it takes away. [mm]"""
        return max(self.size_mm, self.hole_mm)

    @property
    def point_mm(self) -> float:
        """How far the drill's point goes beyond the full diameter. [mm]"""
        if self.through or self.flat or self.kind not in ("bore", "thread"):
            return 0.0
        return point_length_mm(self.hole_mm or self.size_mm)


@dataclass(frozen=True)
class Across:
    """A hole across the axis.

    Parameters
    ----------
    hole_mm
        Its diameter. [mm]
    at_mm
        Its middle, from the left end. [mm]
    both
        Whether it goes through both walls.
    turn_deg
        How far round from the first, anticlockwise seen from the left end; the drawing has 0 downwards. [deg]
    place
        Where it stands in the job: ``cross_holes line 1``.
    """

    hole_mm: float
    at_mm: float
    both: bool
    turn_deg: float = 0.0
    place: str = ""

    @property
    def name(self) -> str:
        """What a machinist calls it."""
        return f"cross hole {self.hole_mm:.2f} mm at {self.at_mm:.2f} mm"


@dataclass(frozen=True)
class Bar:
    """A bar to turn from.

    Parameters
    ----------
    shape
        Round or hexagon.
    size_mm
        Diameter, or across flats. [mm]
    written
        As the shop or the job calls it.
    """

    shape: BarShape
    size_mm: float
    written: str = ""

    @property
    def name(self) -> str:
        """What a machinist calls it."""
        measure = "across flats" if self.shape == "hexagon" else "diameter"
        typed = f" ({self.written})" if self.written and not self.written.endswith("mm") else ""
        return f"{self.shape} bar {self.size_mm:.2f} mm{typed} {measure}"


@dataclass(frozen=True)
class TurnedPart:
    """A part to be turned.

    Parameters
    ----------
    name
        Its name in the job.
    what
        Which one, in words; may be empty.
    metal
        Its metal.
    count
        How many are wanted. [-]
    outside
        The outside, from the left end to the right.
    inside
        The inside, from either end.
    across
        Holes across the axis.
    least_wall_mm
        Least wall the job allows, or None where it does not say. [mm]
    bar
        Bar the job asks for, or None.
    """

    name: str
    what: str
    metal: Metal
    count: int
    outside: tuple[Outside, ...]
    inside: tuple[Inside, ...] = ()
    across: tuple[Across, ...] = ()
    least_wall_mm: float | None = None
    bar: Bar | None = None

    @property
    def long_mm(self) -> float:
        """Finished length from face to face. [mm]"""
        return sum(feature.long_mm for feature in self.outside)

    @property
    def starts_mm(self) -> tuple[float, ...]:
        """Left end of each feature of the outside, from the left face. [mm]"""
        starts, here = [], 0.0
        for feature in self.outside:
            starts.append(here)
            here += feature.long_mm
        return tuple(starts)

    @property
    def swing_mm(self) -> float:
        """Greatest diameter, across the corners where that is a hexagon. [mm]"""
        return max(feature.swing_mm for feature in self.outside)

    def mirrored(self) -> TurnedPart:
        """Give the part turned end for end.

        Returns
        -------
        TurnedPart
            The same metal with left and right changed over.
        """
        return replace(
            self,
            outside=tuple(_mirrored(feature) for feature in reversed(self.outside)),
            inside=tuple(replace(each, end="left" if each.end == "right" else "right") for each in self.inside),
            across=tuple(
                replace(each, at_mm=self.long_mm - each.at_mm, turn_deg=-each.turn_deg) for each in self.across
            ),
        )


def _mirrored(feature: Outside) -> Outside:
    return replace(
        feature,
        left_mm=feature.right_mm,
        right_mm=feature.left_mm,
        left_chamfer_mm=feature.right_chamfer_mm,
        right_chamfer_mm=feature.left_chamfer_mm,
    )
