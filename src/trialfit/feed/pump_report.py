"""A feed pump held against what it has to do: delivery, demand, air, leak, suction, balls, and an injector's water.

Source: the modules of each question; docs/methods/flows.md.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from trialfit.errors import Refusal
from trialfit.feed.balls import BallValve
from trialfit.feed.flow_three import ends, sure, three
from trialfit.feed.flow_water import water_at
from trialfit.feed.pump import (
    BypassLeak,
    RamPump,
    bypass_leak,
    delivery_ml_min,
    stopping_pocket,
    with_pocket,
)
from trialfit.feed.pump_demand import Cylinders, boiled_ml_min, drawn_ml_min
from trialfit.feed.pump_suction import Suction, SuctionLimit, suction_limit
from trialfit.finding import Band

ROOM_WATER = Band(20.0, 20.0, 20.0, "°C", 0)
"""Water in the tank where nothing is said of it: assumed. [°C]"""


@dataclass(frozen=True)
class PumpAsked:
    """What is known of a pump and what it is to do.

    Parameters
    ----------
    pump
        The pump.
    pressure_mpa
        Boiler pressure above the atmosphere. [MPa]
    feed
        Temperature of the water in the tank. [°C]
    net
        Heat that gets into the boiler's water; None where not known. [kW]
    cylinders
        The engine's cylinders; None where not asked about.
    hole_mm
        Hole that leaks as the bypass does; None where it is tight or not known. [mm]
    pocket
        Air in the barrel when suction ends; None where not known. [mL]
    suction
        The suction pipe; None where not known.
    valves
        Its ball valves.
    injector
        Whether an injector draws from the same tank.
    by_axle
        Whether the driving axle works it, so that pump and cylinders always go at one speed.
    name
        What it is called.
    """

    pump: RamPump
    pressure_mpa: float
    feed: Band = ROOM_WATER
    net: Band | None = None
    cylinders: Cylinders | None = None
    hole_mm: float | None = None
    pocket: Band | None = None
    suction: Suction | None = None
    valves: tuple[BallValve, ...] = field(default=())
    injector: bool = False
    by_axle: bool = False
    name: str = "pump"


@dataclass(frozen=True)
class PumpReport:
    """What was worked out of a pump.

    Parameters
    ----------
    asked
        What it was worked out from.
    delivers
        With its barrel full of water. [mL/min]
    boiled
        What the fire boils away; None where its heat is not known. [mL/min]
    drawn
        What the cylinders draw; None where not asked about. [mL/min]
    leak
        A leaking bypass; of no hole where none was given.
    pocket_stops
        Air pocket that stops all delivery, in swept volumes. [-]
    with_air
        Delivery with the pocket that was given; None without one. [mL/min]
    suction
        The speed limit of the suction pipe; None where not asked about.
    """

    asked: PumpAsked
    delivers: Band
    boiled: Band | None
    drawn: Band | None
    leak: BypassLeak
    pocket_stops: Band
    with_air: Band | None
    suction: SuctionLimit | None

    @property
    def needed(self) -> Band | None:
        """The greater of the two demands. [mL/min]"""
        demands = [each for each in (self.boiled, self.drawn) if each is not None]
        return max(demands, key=lambda each: each.likely, default=None)


def pump_report(asked: PumpAsked) -> PumpReport:
    """Work out a pump.

    Parameters
    ----------
    asked
        What is known of it.

    Returns
    -------
    PumpReport
        All its figures.

    Raises
    ------
    Refusal
        A figure is out of reason.
    """
    if asked.pressure_mpa <= 0:
        raise Refusal("boiler pressure", f"{asked.pressure_mpa:g} MPa", "more than nought", "Give the gauge pressure.")
    # The hottest water there may be is the thinnest and the first to boil in the suction.
    water = water_at(asked.feed.high)
    delivers = delivery_ml_min(asked.pump)
    boiled = None
    if asked.net is not None:
        each = zip(ends(asked.net), ends(asked.feed), strict=True)
        boiled = three((boiled_ml_min(kw, feed_c, asked.pressure_mpa) for kw, feed_c in each), "mL/min", 0)
    return PumpReport(
        asked,
        delivers,
        boiled,
        None if asked.cylinders is None else drawn_ml_min(asked.cylinders, asked.pressure_mpa, asked.feed.likely),
        bypass_leak(delivers, asked.hole_mm or 0.0, asked.pressure_mpa, water),
        stopping_pocket(asked.pressure_mpa),
        None if asked.pocket is None else with_pocket(asked.pump, asked.pocket, asked.pressure_mpa),
        None if asked.suction is None else suction_limit(asked.pump, asked.suction, water),
    )


def at_each_speed(asked: PumpAsked) -> tuple[PumpReport, ...]:
    """Work out a pump that the axle drives at its slowest, its likely and its highest speed, the engine going as fast.

    Parameters
    ----------
    asked
        What is known of it.

    Returns
    -------
    tuple of PumpReport
        Without the suction. Just one, of all speeds, where the axle does not drive it.
    """
    bare = replace(asked, suction=None)
    if not asked.by_axle:
        return (pump_report(bare),)
    turns = ends(asked.pump.strokes if asked.cylinders is None else asked.cylinders.turns)
    return tuple(
        pump_report(
            replace(
                bare,
                pump=replace(asked.pump, strokes=sure(strokes, "a minute", 0)),
                cylinders=None
                if asked.cylinders is None
                else replace(asked.cylinders, turns=sure(each, "a minute", 0)),
            )
        )
        for strokes, each in zip(ends(asked.pump.strokes), turns, strict=True)
    )
