"""What the shop turns with, in millimetres: drills, taps, dies, reamers, spindle speeds, bar, allowances.

Source: the shop's own tooling, and where it does not say, the tooling assumed in `trialfit.job.tooling`.
"""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.job.shop import Shop
from trialfit.job.tooling import fill_tooling, owned_drills
from trialfit.making.drilling import choose_drill
from trialfit.making.turned.features import Bar
from trialfit.making.wanted_thread import read_wanted
from trialfit.tables.designations import find_thread
from trialfit.tables.drills import Drill
from trialfit.tables.metals import find_metal
from trialfit.tables.threads import Thread

# A drill this near to a size is that size: a drill cuts over by more. (Common practice, no source.)
SAME_DRILL_MM = 0.011
# Metal left for a reamer, on the diameter. (Common practice, no source.)
REAM_MM = (0.1, 0.3)


@dataclass(frozen=True)
class Stock:
    """A bar in stock.

    Parameters
    ----------
    metal
        Key of its metal.
    bar
        The bar.
    """

    metal: str
    bar: Bar


@dataclass(frozen=True)
class TurningBench:
    """What a shop turns with.

    Parameters
    ----------
    drills
        Drills owned, from small to large.
    taps, dies
        Threads it can cut.
    reamers_mm
        Reamers owned. [mm]
    spindle_rpm
        Speeds of the lathe, rising. [1/min]
    stock
        Bar in stock.
    parting_mm
        Width the parting tool takes. [mm]
    facing_mm
        Left on for facing, each end. [mm]
    assumed
        Keys of the shop's tooling that are assumed.
    """

    drills: tuple[Drill, ...]
    taps: tuple[Thread, ...]
    dies: tuple[Thread, ...]
    reamers_mm: tuple[float, ...]
    spindle_rpm: tuple[float, ...]
    stock: tuple[Stock, ...]
    parting_mm: float
    facing_mm: float
    assumed: tuple[str, ...]

    def has_tap(self, thread: Thread) -> bool:
        """Whether it can tap a thread."""
        return any(tap.is_same_as(thread) for tap in self.taps)

    def has_die(self, thread: Thread) -> bool:
        """Whether it can cut a thread with a die."""
        return any(die.is_same_as(thread) for die in self.dies)

    def has_reamer(self, size_mm: float) -> bool:
        """Whether it has a reamer of a size."""
        return any(abs(reamer - size_mm) < SAME_DRILL_MM for reamer in self.reamers_mm)

    def drill_of(self, size_mm: float) -> Drill | None:
        """The drill of a size, if it is owned."""
        near = min(self.drills, key=lambda drill: abs(drill.diameter_mm - size_mm), default=None)
        return near if near is not None and abs(near.diameter_mm - size_mm) < SAME_DRILL_MM else None

    def largest_drill_to(self, size_mm: float) -> Drill | None:
        """The largest drill owned that is not over a size."""
        return next((drill for drill in reversed(self.drills) if drill.diameter_mm <= size_mm + 1e-6), None)

    def reaming_drill(self, size_mm: float) -> Drill | None:
        """The drill owned that leaves the reamer the least it wants, or None."""
        drill = self.largest_drill_to(size_mm - REAM_MM[0])
        return drill if drill is not None and drill.diameter_mm >= size_mm - REAM_MM[1] else None

    def tapping_drill(self, thread: Thread) -> Drill | None:
        """The drill owned that leaves a usual share of thread, as ``what-to-drill`` chooses it, or None."""
        return choose_drill(thread, self.drills, read_wanted("usual", thread))

    def bars_of(self, metal: str) -> tuple[Bar, ...]:
        """Bars of a metal in stock, from small to large."""
        return tuple(sorted((each.bar for each in self.stock if each.metal == metal), key=lambda bar: bar.size_mm))


def turning_bench(shop: Shop) -> TurningBench:
    """Read a shop's tooling.

    Parameters
    ----------
    shop
        The workshop.

    Returns
    -------
    TurningBench
        In millimetres, with what is not said assumed and listed as such.
    """
    filled = fill_tooling(shop.tooling)
    owned = filled.tooling
    return TurningBench(
        drills=owned_drills(owned),
        taps=tuple(find_thread(name) for name in owned.taps),
        dies=tuple(find_thread(name) for name in owned.dies),
        reamers_mm=tuple(float(size.to("mm")) for size in owned.reamers),
        spindle_rpm=tuple(float(speed) for speed in sorted(owned.spindle_rpm)),
        stock=tuple(
            Stock(find_metal(bar.metal).key, Bar(bar.shape, float(bar.size.to("mm")), bar.size.written))
            for bar in owned.bars
        ),
        parting_mm=float(owned.parting_width.to("mm")) if owned.parting_width else 0.0,
        facing_mm=float(owned.facing.to("mm")) if owned.facing else 0.0,
        assumed=filled.assumed,
    )
