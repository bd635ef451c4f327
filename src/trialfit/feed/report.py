"""The water circuit of a job, whole: settings in use, what every joint can hold, every single fault.

Source: docs/methods/feed.md.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from trialfit.feed.build import circuit_of
from trialfit.feed.flow_water import water_at
from trialfit.feed.harm import Fails, fails
from trialfit.feed.held import Held, held_by
from trialfit.feed.outcome import Driven, Outcome, outcome_of
from trialfit.feed.pump_job import pumps_of
from trialfit.feed.pump_report import ROOM_WATER, PumpReport
from trialfit.feed.records import AIR, TANK, Circuit, spoken
from trialfit.feed.setting_flows import SettingFlows, flows_in, losses_of
from trialfit.feed.settings import Setting, all_settings, setting_of, setting_words, usual
from trialfit.feed.sights import into
from trialfit.finding import Finding
from trialfit.job.records import Job

Level = Literal["boiler", "no limit", "may hold boiler", "tank", "open"]
LEVEL_WORDS: dict[Level, str] = {
    "boiler": "boiler pressure now",
    "no limit": "may hold MORE than boiler pressure",
    "may hold boiler": "may hold boiler pressure",
    "tank": "tank water only",
    "open": "open, or no more than was left in it",
}


DoesKind = Literal[
    "locks", "blows", "feeds", "returns", "air", "starved", "hot", "spills", "idles", "empties", "scalds", "runs out"
]
_DOES: dict[DoesKind, str] = {
    "locks": "{} LOCKS: its water has nowhere to go",
    "blows": "{} does not pick up: steam blows through it and out at the overflow",
    "feeds": "{} feeds the boiler",
    "returns": "{} returns to the tank",
    "air": "{} draws air",
    "starved": "{} has nothing to draw",
    "hot": "{} is full of boiler water and draws nothing",
    "spills": "{} pushes water out into the open",
    "idles": "{} moves its own water to and fro and feeds nothing",
    "empties": "the boiler empties into the tank",
    "scalds": "boiler water and steam come out at {}",
    "runs out": "water runs out at {}",
}


@dataclass(frozen=True)
class Does:
    """One thing that happens in a setting.

    Parameters
    ----------
    kind
        What happens.
    at
        The source that does it, or the place where something comes out; empty where it is the boiler.
    """

    kind: DoesKind
    at: str = ""

    @property
    def grave(self) -> bool:
        """Whether something locks or blows through, or boiler water gets where it should not."""
        return self.kind in ("locks", "blows", "hot", "empties", "scalds")

    def __str__(self) -> str:
        """Say it."""
        return _DOES[self.kind].format(spoken(self.at))


@dataclass(frozen=True)
class InUse:
    """A setting in use and what happens in it.

    Parameters
    ----------
    name, what
        Its name in the job, and what the owner is doing then.
    setting
        The position of every handle and drive.
    words
        Those that are not as usual, in words.
    does
        What the sources do and what flows.
    grave
        Whether something locks, or boiler water gets out.
    levels
        By place: what stands there, and what it may hold once a pump has run.
    no_relief
        By place: whether there is nothing at all it could push out to.
    """

    name: str
    what: str
    setting: Setting
    words: str
    does: tuple[Does, ...]
    grave: bool
    levels: tuple[Level, ...]
    no_relief: tuple[bool, ...]


@dataclass(frozen=True)
class FeedReport:
    """Everything worked out of a water circuit.

    Parameters
    ----------
    circuit
        The circuit.
    pressure
        The boiler's working pressure, as written.
    settings
        All settings there are.
    in_use
        Those in use.
    outcome
        What happens in every setting of the sound circuit.
    held
        What every place can hold in them.
    fails
        Every single fault.
    pumps
        The pumps whose figures the job gives.
    about_pumps
        What is said of them and of the injector's water.
    flows
        How much goes which way in each setting in use; None where nothing is driven in it.
    """

    circuit: Circuit
    pressure: str
    settings: Sequence[Setting]
    in_use: tuple[InUse, ...]
    outcome: Outcome
    held: Held
    fails: tuple[Fails, ...]
    pumps: tuple[PumpReport, ...]
    about_pumps: tuple[Finding, ...]
    flows: tuple[SettingFlows | None, ...]


def feed_report(job: Job) -> FeedReport:
    """Work out the water circuit of a job.

    Parameters
    ----------
    job
        The job document.

    Returns
    -------
    FeedReport
        Settings, pressures, faults.

    Raises
    ------
    Refusal
        No circuit, or nothing that joins the tank to the boiler.
    """
    circuit = circuit_of(job)
    settings = all_settings(circuit)
    outcome = outcome_of(circuit, settings)
    held = held_by(circuit, outcome)
    named = list(_named(job, circuit))
    in_use = tuple(_in_use(circuit, outcome, held, *each) for each in named)
    pumps, about_pumps = pumps_of(job)
    return FeedReport(
        circuit, str(job.engine.working_pressure), settings, in_use, outcome, held,
        fails(circuit, [setting for _, _, setting in named]), pumps, about_pumps,
        _flows(job, circuit, outcome, in_use, pumps),
    )  # fmt: skip


def _flows(
    job: Job, circuit: Circuit, outcome: Outcome, in_use: Sequence[InUse], pumps: Sequence[PumpReport]
) -> tuple[SettingFlows | None, ...]:
    delivers = {each.asked.name: each.delivers for each in pumps}
    water = water_at((pumps[0].asked.feed if pumps else ROOM_WATER).likely)
    boiler_mpa = float(job.engine.working_pressure.to("MPa"))
    losses = losses_of(job, circuit)
    return tuple(
        flows_in(circuit, outcome, outcome.states.settings.index(use.setting), losses, delivers, boiler_mpa, water)
        for use in in_use
    )


def _named(job: Job, circuit: Circuit) -> Iterator[tuple[str, str, Setting]]:
    """The settings of the job, or each handle moved by itself where it names none."""
    entries = job.circuit.settings if job.circuit else {}
    for name, entry in entries.items():
        # A handle that belongs to a part beside the circuit changes nothing in it.
        given = {handle: at for handle, at in entry.positions.items() if handle in circuit.handles}
        yield name, entry.what, setting_of(circuit, given)
    if not entries:
        yield "usual", "", usual(circuit)
        for handle, positions in circuit.handles.items():
            for position in positions[1:]:
                yield f"{handle} {position}", "", setting_of(circuit, {handle: position})


def _in_use(circuit: Circuit, outcome: Outcome, held: Held, name: str, what: str, setting: Setting) -> InUse:
    n = outcome.states.settings.index(setting)
    does = tuple(what_happens(circuit, outcome, n))
    levels = tuple(level_at(outcome, held, place, n) for place in range(len(circuit.nodes)))
    no_relief = tuple(bool(each >> n & 1) for each in held.no_relief)
    words = setting_words(circuit, setting)
    return InUse(
        name,
        what,
        setting,
        words,
        does,
        any(each.grave for each in does),
        levels,
        no_relief,
    )


def level_at(outcome: Outcome, held: Held, place: int, n: int) -> Level:
    """Say what stands at a place in a setting.

    Parameters
    ----------
    outcome, held
        Of the sound circuit.
    place, n
        Numbers of the place and of the setting. [-]

    Returns
    -------
    Level
        The highest that has to be reckoned with.
    """
    if held.more[place] >> n & 1:
        return "no limit"
    if (held.boiler_now[place] | held.worked[place]) >> n & 1:
        return "boiler"
    if held.boiler[place] >> n & 1:
        return "may hold boiler"
    return "tank" if outcome.tank[place] >> n & 1 else "open"


def what_happens(circuit: Circuit, outcome: Outcome, n: int) -> Iterator[Does]:
    """Say what the sources do in a state, and where boiler water gets out.

    Parameters
    ----------
    circuit
        The circuit.
    outcome
        What happens in every state.
    n
        The state's number. [-]

    Yields
    ------
    Does
        One thing that happens.
    """
    for name, driven in outcome.driven.items():
        if driven.on >> n & 1:
            yield from _does(name, driven, n)
    if into(outcome, TANK, outcome.boiler) >> n & 1:
        yield Does("empties")
    for way, passes in zip(circuit.ways, outcome.passing.on, strict=True):
        if way.b == AIR and way.where and outcome.boiler[way.a] & passes & 1 << n:
            yield Does("scalds", way.where)
        elif way.b == AIR and way.where and way.handle and outcome.tank[way.a] & passes & 1 << n:
            yield Does("runs out", way.where)


def _does(name: str, driven: Driven, n: int) -> Iterator[Does]:
    there: dict[DoesKind, int] = {
        "locks": driven.locks,
        "blows": driven.blows,
        "feeds": driven.feeds,
        "returns": driven.returns,
        "air": driven.air,
        "starved": driven.starved,
        "hot": driven.hot,
        "spills": driven.spills,
    }
    found = [Does(kind, name) for kind, states in there.items() if states >> n & 1]
    yield from found or [Does("idles", name)]
