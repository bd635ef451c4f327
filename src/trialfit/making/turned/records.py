"""What is worked out for one turned part.

Source: each field by the module that fills it; `docs/methods/turned.md` gathers them.
"""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.finding import Figure
from trialfit.making.turned.across import AcrossSection
from trialfit.making.turned.features import Bar, HiddenLength, Inside, Outside, TurnedPart
from trialfit.making.turned.profile import Piece
from trialfit.making.turned.rings import RingFit, RingLimit
from trialfit.making.turned.seats import SeatFit
from trialfit.making.turned.wall import Wall
from trialfit.tables.drills import ThreadPercent


@dataclass(frozen=True)
class Lengths:
    """How long the part is and how long to saw it.

    Parameters
    ----------
    finished
        From face to face, hidden lengths included.
    shows
        What is seen of it when it is home: the finished length less all that its joints hide.
    saw
        Finished length, facing at both ends and the width of the parting cut.
    facing_mm, parting_mm
        The allowances in it. [mm]
    hidden
        The hidden lengths its joints give.
    """

    finished: Figure
    shows: Figure
    saw: Figure
    facing_mm: float
    parting_mm: float
    hidden: tuple[HiddenLength, ...]


@dataclass(frozen=True)
class BarChoice:
    """The bar to turn from.

    Parameters
    ----------
    round_mm
        Least round bar. [mm]
    hexagon_mm
        Hexagon bar that needs no milling, or None where there is no hexagon or it does not hold the rest. [mm]
    chosen
        Bar taken: what the job asks for, else the shop's smallest that will do; None where none will.
    asked
        Whether the job asked for it.
    in_stock
        Whether the shop has it in this metal.
    """

    round_mm: float
    hexagon_mm: float | None
    chosen: Bar | None
    asked: bool
    in_stock: bool


@dataclass(frozen=True)
class HoleCut:
    """One hole along the axis and the tools for it.

    Parameters
    ----------
    feature
        The feature it is for.
    size_mm
        Diameter of the drilled or bored hole. [mm]
    drill
        Name of the drill, or empty where the shop has none and it is bored.
    pilot
        Drill before boring or reaming, or empty.
    deep_mm
        To the full diameter, from the finished face. [mm]
    tip_mm
        To the drill's tip; the same where it ends flat or goes through. [mm]
    diameters_deep
        Depth over diameter. [-]
    percent
        Thread it leaves, by each of the three depths; None where it is not tapped.
    """

    feature: Inside
    size_mm: float
    drill: str
    pilot: str
    deep_mm: float
    tip_mm: float
    diameters_deep: float
    percent: ThreadPercent | None


@dataclass(frozen=True)
class ConeCut:
    """A cone mouth and how deep to feed the centre drill or countersink.

    Parameters
    ----------
    feature
        The cone.
    small_mm
        Diameter at which it runs into the bore; 0 where it ends in a point. [mm]
    deep_mm
        From the finished face to that place, which is also the feed from where the cone first touches the edge of the
        bore. [mm]
    wider_per_deeper
        How much wider the mouth gets for the same depth more: 1.155 at 60 deg. [-]
    """

    feature: Inside
    small_mm: float
    deep_mm: float
    wider_per_deeper: float


@dataclass(frozen=True)
class ThreadCut:
    """A male thread and how much of it is full.

    Parameters
    ----------
    feature
        The thread.
    full_mm
        Length of full thread a nut can go along. [mm]
    run_out_mm
        Length given up to the die's run-out at shoulders without an undercut. [mm]
    has_die
        Whether the shop can cut it.
    """

    feature: Outside
    full_mm: float
    run_out_mm: float
    has_die: bool


@dataclass(frozen=True)
class Speed:
    """A spindle speed for one operation.

    Parameters
    ----------
    operation
        Turning, parting, drilling, reaming.
    diameter_mm
        Diameter of work or drill. [mm]
    surface_m_min
        Surface speed it is meant to have: the low end of what is printed. [m/min]
    wanted_rpm
        Turns a minute that gives. [1/min]
    set_rpm
        The shop's next lower speed; its lowest where none is lower. [1/min]
    too_fast
        Whether even the lowest speed is faster than wanted.
    """

    operation: str
    diameter_mm: float
    surface_m_min: float
    wanted_rpm: float
    set_rpm: float
    too_fast: bool


@dataclass(frozen=True)
class Step:
    """One line of the bench sheet.

    Parameters
    ----------
    setting
        Which time it is chucked, from 1; 0 for work off the lathe. [-]
    text
        What to do, with figures.
    """

    setting: int
    text: str


@dataclass(frozen=True)
class TurnedPlan:
    """Everything worked out for one turned part.

    Parameters
    ----------
    part
        The part.
    outer, inner
        Its profile as drawn: male threads at their crests, female ones at their tapping hole.
    lengths
        Finished, showing and saw length.
    bar
        The bar.
    holes
        Holes along the axis, deepest and smallest first.
    cones
        Cone mouths.
    threads
        Male threads.
    across
        Sections through cross holes.
    wall
        Least wall anywhere, or None where it is solid.
    wall_limit
        What it is held against.
    wall_limit_assumed
        Whether that is assumed, as the job does not say.
    rings
        O-rings and how they lie, each with its limits.
    seats
        Balls and the rules they are held against.
    volume, mass
        Of one finished part.
    speeds
        Spindle speeds by operation.
    steps
        What to do at the bench, in order.
    assumed
        Sentences a reader of the sheet has to be told.
    """

    part: TurnedPart
    outer: tuple[Piece, ...]
    inner: tuple[Piece, ...]
    lengths: Lengths
    bar: BarChoice
    holes: tuple[HoleCut, ...]
    cones: tuple[ConeCut, ...]
    threads: tuple[ThreadCut, ...]
    across: tuple[AcrossSection, ...]
    wall: Wall | None
    wall_limit: Figure
    wall_limit_assumed: bool
    rings: tuple[tuple[RingFit, tuple[RingLimit, ...]], ...]
    seats: tuple[SeatFit, ...]
    volume: Figure
    mass: Figure
    speeds: tuple[Speed, ...]
    steps: tuple[Step, ...]
    assumed: tuple[str, ...]
