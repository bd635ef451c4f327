"""A pressure test of the job: what its walls hold, what codes say, energies, how long to hold, what was seen.

Source: the modules of each question; docs/methods/pressure.md.
"""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.job.pressure_test import PressureTestEntry, SeenAtTest
from trialfit.job.records import Job
from trialfit.strength.leak import Leak, bubble_ml_min, leak_of
from trialfit.strength.leak_decay import DecayPlan, decay_plan
from trialfit.strength.pressure import Stands, tube_stands, wall_stands
from trialfit.strength.pressure_energy import StoredEnergy, stored_energy
from trialfit.strength.test_plan import CodeSays, air_test_mpa, codes_say
from trialfit.strength.tube_bends import ASSUMED_OVALITY
from trialfit.strength.water_decay import WaterDecay, water_decay
from trialfit.tables.gauges import wall_mm
from trialfit.tables.steam import ATMOSPHERE_MPA
from trialfit.units import Quantity

LEAK_TO_SEE_ML_MIN = 0.85
"""Leak that a decay test is planned to show: one bubble of 3 mm a second. [mL/min]"""


@dataclass(frozen=True)
class LeakSeen:
    """A leak that was seen at a test.

    Parameters
    ----------
    seen
        The test.
    from_bubbles, from_gauge
        The leak by its bubbles and by the fall of the gauge; None where there were none.
    """

    seen: SeenAtTest
    from_bubbles: Leak | None
    from_gauge: Leak | None


@dataclass(frozen=True)
class PressureTest:
    """A pressure test, worked out.

    Parameters
    ----------
    name
        Its name in the job.
    entry
        What the job says of it.
    working_mpa
        Working pressure above the atmosphere. [MPa]
    stands
        What each tube and wall holds.
    codes
        What the codes say.
    air_mpa
        Pressure of the air test above the atmosphere, within the low limit. [MPa]
    water_energy
        Energies at the water pressure of the job, or at twice the working pressure as the highest a code says.
    air_energy
        Energies at the air pressure.
    decay
        How long to hold the air; None where the job has no gauge.
    by_water
        What the gauge of the water test does; None where the job has none.
    seen
        What was seen.
    """

    name: str
    entry: PressureTestEntry
    working_mpa: float
    stands: tuple[Stands, ...]
    codes: tuple[CodeSays, ...]
    air_mpa: float
    water_energy: StoredEnergy
    air_energy: StoredEnergy
    decay: DecayPlan | None
    by_water: WaterDecay | None
    seen: tuple[LeakSeen, ...]

    @property
    def what(self) -> str:
        """What it is, in words."""
        return self.entry.what or self.name


def pressure_test(job: Job, name: str) -> PressureTest:
    """Work out one pressure test of a job.

    Parameters
    ----------
    job
        The job document.
    name
        The test's name there.

    Returns
    -------
    PressureTest
        Whole.

    Raises
    ------
    Refusal
        A wall leaves no bore, a bend is too tight to be one, or the gauge cannot show the pressure.
    """
    return _worked_out(name, job.pressure_tests[name], job, float(job.engine.working_pressure.to("MPa")))


def _worked_out(name: str, entry: PressureTestEntry, job: Job, working_mpa: float) -> PressureTest:
    volume_ml = float(entry.volume.to("mL"))
    air_mpa = air_test_mpa(None if entry.air is None else float(entry.air.to("MPa")))
    codes = codes_say(working_mpa)
    highest = max(each.high_mpa or 0.0 for each in codes)
    water_mpa = highest if entry.water is None else float(entry.water.to("MPa"))
    decay = None
    if entry.gauge is not None:
        hose_ml = 0.0 if entry.gauge.hose is None else float(entry.gauge.hose.to("mL"))
        division_mpa = float(entry.gauge.division.to("MPa"))
        decay = decay_plan(volume_ml, hose_ml, air_mpa, division_mpa, LEAK_TO_SEE_ML_MIN)
    return PressureTest(
        name, entry, working_mpa, _stands(entry, job, working_mpa), codes, air_mpa,
        stored_energy(volume_ml, water_mpa), stored_energy(volume_ml, air_mpa), decay,
        _by_water(entry, job, volume_ml, air_mpa, water_mpa),
        tuple(_leak_seen(each, entry, working_mpa) for each in entry.seen),
    )  # fmt: skip


def _by_water(
    entry: PressureTestEntry, job: Job, volume_ml: float, air_mpa: float, water_mpa: float
) -> WaterDecay | None:
    """The same leak as the air is to show, but as water, on the gauge of the water test."""
    gauge = entry.water_gauge or entry.gauge
    if gauge is None:
        return None
    hose_ml = 0.0 if gauge.hose is None else float(gauge.hose.to("mL"))
    leak = leak_of(LEAK_TO_SEE_ML_MIN, air_mpa, water_mpa)
    tubes = [(float(od.to("mm")), wall_mm(wall, "wall")) for _, od, wall, _ in _tubes(entry, job)]
    return water_decay(
        volume_ml + hose_ml, water_mpa, float(gauge.division.to("MPa")), (leak.water_low_ml_h, leak.water_high_ml_h),
        tubes,
    )  # fmt: skip


def _tubes(entry: PressureTestEntry, job: Job) -> list[tuple[str, Quantity, str, Quantity | None]]:
    tubes: list[tuple[str, Quantity, str, Quantity | None]] = [
        (name, job.pipes[name].tube.od, job.pipes[name].tube.wall, job.pipes[name].bend_radius) for name in entry.pipes
    ]
    return tubes + [(name, tube.od, tube.wall, tube.bend_radius) for name, tube in entry.tubes.items()]


def _stands(entry: PressureTestEntry, job: Job, working_mpa: float) -> tuple[Stands, ...]:
    oval = ASSUMED_OVALITY if entry.ovality is None else float(entry.ovality.to("%")) / 100.0
    found = []
    for name, od, wall, radius in _tubes(entry, job):
        radius_mm = None if radius is None else float(radius.to("mm"))
        found.append(
            tube_stands(name, float(od.to("mm")), wall_mm(wall, "wall"), working_mpa, radius_mm, oval, entry.hot)
        )
    for name, drilled in entry.walls.items():
        bore, least = float(drilled.bore.to("mm")), float(drilled.wall.to("mm"))
        found.append(wall_stands(name, bore, least, drilled.metal, working_mpa, entry.hot))
    return tuple(found)


def _leak_seen(seen: SeenAtTest, entry: PressureTestEntry, working_mpa: float) -> LeakSeen:
    """Only air says how much: water that goes down by little may be a leak or the hose giving."""
    at_mpa = float(seen.pressure.to("MPa"))
    bubbles = fall = None
    if seen.medium == "air" and seen.bubbles is not None:
        each = bubble_ml_min(float(seen.bubbles.bubble.to("mm")), float(seen.bubbles.every.to("s")))
        bubbles = leak_of(each, at_mpa, working_mpa)
    if seen.medium == "air" and seen.held is not None and seen.after is not None:
        lost_mpa, held_min = at_mpa - float(seen.after.to("MPa")), float(seen.held.to("min"))
        hose = 0.0 if entry.gauge is None or entry.gauge.hose is None else float(entry.gauge.hose.to("mL"))
        if lost_mpa > 0:
            lost_ml_min = lost_mpa * (float(entry.volume.to("mL")) + hose) / ATMOSPHERE_MPA / held_min
            fall = leak_of(lost_ml_min, at_mpa, working_mpa)
    return LeakSeen(seen, bubbles, fall)
