"""How hot a place gets in service, and whether what sits there stands it.

Source: saturation by `trialfit.tables.steam`; along a dead leg as a fin that loses to still air and by its glow; seals
by `trialfit.tables.seals`; soldered joints by the yardstick of the Copper Tube Handbook, table 14.4a.
"""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.finding import Answer, Basis, Reason
from trialfit.heat.network import Lump, Pipe, network
from trialfit.heat.run import Flame, stall_c
from trialfit.job.heating import Sits, ThereAlready
from trialfit.parts.cited import cite
from trialfit.parts.stands import compound_limit, is_silver, joint_limit, seal_limit
from trialfit.tables.metals import Metal
from trialfit.tables.rules import rule
from trialfit.tables.seals import in_steam, seals
from trialfit.tables.steam import NOT_SUPERHEATED, boiler_c
from trialfit.tables.yardstick import joint_rules
from trialfit.units import psi

TANK_C = 50.0
# From here on what is wet and under pressure is steam or would flash to it, and seals stand less.
_WET_C = 100.0
"""What the tank side is taken to reach; assumed. [°C]"""
_DULL = 0.6


@dataclass(frozen=True)
class Leg:
    """A pipe that leads away from the boiler with nothing flowing in it.

    Parameters
    ----------
    metal
        Its metal.
    od_mm, bore_mm
        Outside diameter and bore. [mm]
    """

    metal: Metal
    od_mm: float
    bore_mm: float


@dataclass(frozen=True)
class Service:
    """What a place comes to in service, and whether what sits there stands it.

    Parameters
    ----------
    temperature_c
        How hot it gets. [°C]
    limit_c
        What it stands; None where a pressure and not a temperature limits it. [°C]
    answer
        Go, look or stop.
    because
        Why.
    """

    temperature_c: float
    limit_c: float | None
    answer: Answer
    because: tuple[Reason, ...]


def dead_leg_c(leg: Leg, hot_c: float, off_mm: float, air_c: float = 20.0) -> float:
    """Temperature along a dead leg.

    Parameters
    ----------
    leg
        The pipe; it goes on as far again as the place is off, and 200 mm at the least.
    hot_c
        Temperature at the boiler. [°C]
    off_mm
        Length of pipe from the boiler to the place. [mm]
    air_c
        Temperature of the air. [°C]

    Returns
    -------
    float
        Temperature of the place. [°C]

    Valid
    -----
    A leg that lies or falls from the boiler. In one that climbs, steam or rising water carries the boiler's own heat.
    """
    pipe = Pipe("leg", leg.metal, leg.od_mm, leg.bore_mm, max(2.0 * off_mm, off_mm + 200.0), "boiler", None)
    boiler = Lump("boiler", leg.metal, 1.0, leg.od_mm, 1e-3)
    net = network([boiler], [pipe], "boiler", air_c=air_c)
    # A flame that cannot be resisted holds the boiler's end at its temperature.
    nodes = stall_c(net, Flame(1e5 * (hot_c - air_c), hot_c, _DULL))
    return float(net.place("leg", off_mm) @ nodes)


def service_c(sits: Sits, pressure_mpa: float, leg: Leg, off_mm: float) -> tuple[float, Reason]:
    """How hot a place gets in service.

    Parameters
    ----------
    sits
        Where it is.
    pressure_mpa
        Working pressure. [MPa]
    leg
        The pipe it hangs on.
    off_mm
        Length of that pipe from the boiler, in a dead leg. [mm]

    Returns
    -------
    tuple
        Temperature [°C] and the reason for it.
    """
    hot_c = boiler_c(pressure_mpa)
    if sits == "tank side":
        return TANK_C, Reason(f"On the tank side {TANK_C:.0f} °C is taken.", "", Basis.ASSUMED)
    at = f"Water and steam at {psi(pressure_mpa):.0f} psi are at {hot_c:.0f} °C"
    if sits == "boiler side":
        return hot_c, Reason(f"{at}. {NOT_SUPERHEATED}", "IAPWS R7-97", Basis.STANDARD)
    found = dead_leg_c(leg, hot_c, off_mm)
    text = (
        f"{at}; {off_mm:.0f} mm along a {leg.od_mm:.2f} mm pipe of {leg.metal.name.split(',')[0]} in which nothing "
        f"flows that has fallen to {found:.0f} °C. A leg that climbs from the boiler is as hot as the boiler."
    )
    return found, Reason(text, "fin in still air at 20 °C")


def service(there: ThereAlready, temperature_c: float, pressure_mpa: float, why: Reason) -> Service | None:
    """Say whether what sits at a place stands it in service.

    Parameters
    ----------
    there
        What sits there.
    temperature_c
        How hot it gets. [°C]
    pressure_mpa
        Working pressure. [MPa]
    why
        The reason for that temperature.

    Returns
    -------
    Service or None
        None for what service does not try: a lapped seat, paint.
    """
    if there.filler is not None:
        return joint_service(there.filler, there.sits or "boiler side", temperature_c, pressure_mpa, why)
    if there.seal is not None:
        limit = seal_limit(there.seal)
        most_c = limit.most_c if there.stands is None else float(there.stands.to("C"))
        answer = Answer.GO if temperature_c < most_c else Answer.STOP
        text = f"{_capital(limit.what)} stands {most_c:.0f} °C."
        if there.seal in seals() and temperature_c >= _WET_C and there.stands is None:
            printed = seals()[there.seal]
            answer = in_steam(printed, temperature_c)
            steam = "" if printed.steam_most_c is None else f", to {printed.steam_most_c:.0f} °C"
            said = f"{_capital(limit.what)} is {printed.steam} in steam and water over {_WET_C:.0f} °C{steam}."
            text = f"{said} {_note(printed.note)}"
            most_c = _WET_C if printed.steam == "unsuitable" else printed.steam_most_c or most_c
        return Service(temperature_c, most_c, answer, (why, Reason(text.strip(), limit.source, limit.basis)))
    if there.holds in ("retaining compound", "high-temperature retaining compound"):
        limit = compound_limit("high-temperature" if there.holds.startswith("high") else "ordinary")
        most_c = limit.most_c if there.stands is None else float(there.stands.to("C"))
        wet = rule("anaerobic", "on steam")
        reasons = (
            why,
            Reason(f"{_capital(there.holds)} stands {most_c:.0f} °C.", limit.source, limit.basis),
            Reason(wet.text, cite(wet.sources), wet.basis),
        )
        mild = Answer.GO if temperature_c < 100.0 else Answer.LOOK
        return Service(temperature_c, most_c, mild if temperature_c < most_c else Answer.STOP, reasons)
    return None


def unread_compound_service(temperature_c: float, why: Reason) -> Service:
    """Say whether jointing compound stands a place, where nobody read on its tin what it stands.

    Parameters
    ----------
    temperature_c
        How hot it gets. [°C]
    why
        The reason for that temperature.

    Returns
    -------
    Service
        Go below the low end of what is assumed of any of them, else a look; never a stop, since those for steam stand
        more. Without a limit: what is only assumed stands in a reason, where it is labelled.
    """
    taken = rule("jointing compound", "where nobody read the tin")
    low_c, high_c = taken.low or 0.0, taken.high or 0.0
    said = f"What that compound stands is not said: {low_c:.0f} to {high_c:.0f} °C is taken."
    reasons = [why, Reason(said, cite(taken.sources), taken.basis)]
    if temperature_c >= high_c:
        reasons.append(Reason("Compound for hot water only does not last there; one made for steam may."))
    return Service(temperature_c, None, Answer.GO if temperature_c < low_c else Answer.LOOK, tuple(reasons))


def joint_service(filler: str, sits: Sits, temperature_c: float, pressure_mpa: float, why: Reason) -> Service:
    """Say whether a soldered joint is within the full-size yardstick in service.

    Parameters
    ----------
    filler
        Filler or solder.
    sits
        Where the joint is.
    temperature_c
        How hot it gets. [°C]
    pressure_mpa
        Working pressure. [MPa]
    why
        The reason for that temperature.

    Returns
    -------
    Service
        A soft joint on the boiler side over the yardstick is a stop; in a dead leg a look.
    """
    silver = is_silver(filler)
    yardstick = joint_rules()[0 if silver else 1]
    most_psi = yardstick.high or 0.0
    limit = joint_limit(filler)
    kind = "A brazed joint" if silver else "A soft-soldered joint"
    reasons = (
        why,
        Reason(f"{_capital(limit.what)} begins to melt at {limit.most_c:.0f} °C.", limit.source, limit.basis),
        Reason(
            f"{kind} of copper tube is rated to {most_psi:.0f} psi on saturated steam; a full-size yardstick, not "
            "model law.", cite(yardstick.sources), yardstick.basis,
        ),
    )  # fmt: skip
    answer = Answer.GO
    if sits != "tank side" and psi(pressure_mpa) > most_psi:
        answer = Answer.STOP if sits == "boiler side" and not silver else Answer.LOOK
    if temperature_c >= limit.most_c:
        answer = Answer.STOP
    return Service(temperature_c, limit.most_c, answer, reasons)


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]


def _note(note: str) -> str:
    """A table's note as a sentence, without the keys of sources that it ends with."""
    said = note.split(" S-")[0].rstrip(".")
    return f"{_capital(said)}." if said else ""
