"""How much goes which way in a setting of the job's water circuit, and what to measure where that is not known.

Source: docs/methods/flows.md; bores and lengths the job does not give are assumed, as ranges.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from trialfit.errors import Refusal
from trialfit.feed.flow_bands import flow_bands
from trialfit.feed.flow_fittings import together
from trialfit.feed.flow_records import FlowNetwork, FlowWay
from trialfit.feed.flow_solve import solve_flows
from trialfit.feed.flow_three import ends
from trialfit.feed.flow_water import Water
from trialfit.feed.outcome import Outcome
from trialfit.feed.records import AIR, BOILER, TANK, Circuit, Source, Way, WayKind, spoken
from trialfit.finding import Band
from trialfit.job.circuit import BY_THE_AXLE
from trialfit.job.records import Job
from trialfit.tables.gauges import wall_mm

ASSUMED_BORE = Band(1.5, 2.5, 4.0, "mm", 1)
"""Bore of a way the job says nothing of: assumed, for pipe of 1/8 to 3/16 in. [mm]"""
ASSUMED_LENGTH = Band(50.0, 200.0, 600.0, "mm", 0)
"""Length of a pipe the job says nothing of: assumed. [mm]"""

_LOSES: Mapping[WayKind, tuple[str, ...]] = {
    "pipe": (),
    "check": ("ball check",),
    "overflow": ("ball check",),
    "cock": ("cock",),
}
NONE_ML_MIN = 0.05
"""A flow under this is none. [mL/min]"""
# A bore or length that moves no flow by more than this share of what is pumped is not worth measuring.
_MATTERS = 0.01
# Shut in at boiler pressure, but for what rounding leaves.
_NEAR = 0.999


@dataclass(frozen=True)
class SettingFlows:
    """How much goes which way in one setting.

    Parameters
    ----------
    through
        By the way's number in the circuit: flow from its `a` to its `b`; empty where it is not known, or nothing is
        pumped. [mL/min]
    surer
        Pipes and fittings whose assumed bore or length widens a band, the widest first.
    shut_in
        Names of the places shut in between checks, at boiler pressure or more.
    unknown
        Why it is not known, and what to measure; empty where it is, and where a pump moves no water.
    """

    through: Mapping[int, Band]
    surer: tuple[str, ...] = ()
    shut_in: tuple[str, ...] = ()
    unknown: str = ""


@dataclass(frozen=True)
class Losses:
    """One way as the job gives it: low, likely and high loss.

    Parameters
    ----------
    easy, likely, hard
        The way with the widest bore and least length there may be, with the likely ones, and with the narrowest and
        longest.
    """

    easy: FlowWay
    likely: FlowWay
    hard: FlowWay

    @property
    def assumed(self) -> bool:
        """Whether a bore or length of it is assumed."""
        return self.easy != self.hard


def losses_of(job: Job, circuit: Circuit) -> tuple[Losses, ...]:
    """Take every way's bore and length from the job, or assume them.

    Parameters
    ----------
    job
        The job document.
    circuit
        Its circuit.

    Returns
    -------
    tuple of Losses
        One a way, named by its number.
    """
    return tuple(_losses(job, n, way) for n, way in enumerate(circuit.ways))


def _losses(job: Job, n: int, way: Way) -> Losses:
    bore, length = ASSUMED_BORE, ASSUMED_LENGTH
    known = job.circuit.pipes.get(way.part) if job.circuit is not None else None
    if way.part in job.pipes:
        tube = job.pipes[way.part].tube
        bore = _sure(float(tube.od.to("mm")) - 2.0 * wall_mm(tube.wall, "wall"))
    if known is not None and known.bore is not None:
        bore = _sure(float(known.bore.to("mm")))
    if known is not None and known.length is not None:
        length = _sure(float(known.length.to("mm")))
    if way.kind != "pipe":
        length = _sure(0.0)
    k, k_slow = together(*_LOSES.get(way.kind, ("mouth out of the pipe",)))

    def made(bore_mm: float, length_mm: float) -> FlowWay:
        return FlowWay(str(n), str(way.a), str(way.b), bore_mm, length_mm, k, k_slow, way.one_way)

    return Losses(made(bore.high, length.low), made(bore.likely, length.likely), made(bore.low, length.high))


def _sure(figure_mm: float) -> Band:
    return Band(figure_mm, figure_mm, figure_mm, "mm")


def flows_in(
    circuit: Circuit,
    outcome: Outcome,
    n: int,
    losses: Sequence[Losses],
    delivers: Mapping[str, Band],
    boiler_mpa: float,
    water: Water,
) -> SettingFlows | None:
    """Find how much goes which way in a setting.

    Parameters
    ----------
    circuit
        The circuit.
    outcome
        What happens in every setting of it.
    n
        The setting's number. [-]
    losses
        Its ways, as `losses_of` gives them.
    delivers
        What each pump with figures delivers, by name. [mL/min]
    boiler_mpa
        The boiler's pressure above the atmosphere. [MPa]
    water
        What flows.

    Returns
    -------
    SettingFlows or None
        None where nothing is driven.

    Valid
    -----
    Mean flows of cold water, with nothing leaking, the pumps' barrels full and no head of the tank's own.
    """
    driven = [source for source in circuit.sources if outcome.driven[source.name].on >> n & 1]
    if not driven:
        return None
    lacking = [source for source in driven if source.name not in delivers]
    if lacking:
        return SettingFlows({}, unknown=" ".join(_wanting(source) for source in lacking))
    for source in driven:
        does = outcome.driven[source.name]
        if (does.locks | does.air | does.starved | does.hot) >> n & 1:
            return SettingFlows({})
    open_ways = [at for at in range(len(circuit.ways)) if outcome.passing.on[at] >> n & 1]
    reservoirs = {str(BOILER): boiler_mpa, str(TANK): 0.0, str(AIR): 0.0}
    pushed = {str(source.node): delivers[source.name] for source in driven}
    drawn = {str(source.node): _negative(delivers[source.name]) for source in driven if source.draws}
    try:
        moved = [_moved(losses, open_ways, reservoirs, pumped, water) for pumped in (pushed, drawn) if pumped]
        whole = solve_flows(FlowNetwork(tuple(losses[at].likely for at in open_ways), reservoirs, pushed), water)
    except Refusal as refusal:
        fault = refusal.fault
        return SettingFlows({}, unknown=f"{fault.what}: {fault.got}. {fault.remedy}")
    through: dict[int, Band] = {}
    for flows, _ in moved:
        for at, band in flows.items():
            through[at] = _sum(through[at], band) if at in through else band
    if _boiler_gives(circuit, whole.flows):
        return SettingFlows({}, unknown="Boiler water comes out, and boils as it does: how much is not reckoned.")
    effect: dict[str, float] = {}
    for _, by_way in moved:
        for at, share in by_way.items():
            name = spoken(circuit.ways[at].part)
            effect[name] = max(effect.get(name, 0.0), share)
    shut_in = {
        node.name: whole.pressures[str(at)].high_mpa
        for at, node in enumerate(circuit.nodes)
        if not node.inside and str(at) in whole.pressures and whole.pressures[str(at)].trapped
    }
    held = tuple(name for name, high_mpa in shut_in.items() if high_mpa >= _NEAR * boiler_mpa)
    return SettingFlows(through, tuple(sorted(effect, key=lambda name: -effect[name])), held)


def _wanting(source: Source) -> str:
    name = spoken(source.name)
    if source.kind == "injector":
        return f"What the {name} delivers is not worked out: measure how much the tank loses in a minute."
    strokes = "and the axle's turns" if source.kind in BY_THE_AXLE else "and its strokes"
    return f"Measure ram and stroke of the {name}, {strokes} a minute; write them under its source."


def _negative(band: Band) -> Band:
    return replace(band, low=-band.high, likely=-band.likely, high=-band.low)


def _sum(a: Band, b: Band) -> Band:
    return replace(a, low=a.low + b.low, likely=a.likely + b.likely, high=a.high + b.high)


def _boiler_gives(circuit: Circuit, flows: Mapping[str, float]) -> bool:
    ways = [(circuit.ways[int(name)], flow) for name, flow in flows.items()]
    return any(
        (way.a == BOILER and flow > NONE_ML_MIN) or (way.b == BOILER and flow < -NONE_ML_MIN) for way, flow in ways
    )


def _moved(
    losses: Sequence[Losses],
    open_ways: Sequence[int],
    reservoirs: Mapping[str, float],
    pumped: Mapping[str, Band],
    water: Water,
) -> tuple[dict[int, Band], dict[int, float]]:
    """Flows of what is pumped with their bands; and by way how far its assumed figures move any of them, as a share."""
    carry = _carrying(losses, open_ways, reservoirs, pumped)
    used = _bound(losses, carry, reservoirs, pumped, water)
    ways = {at: losses[at].likely for at in used or carry}
    if used:
        ways = {at: replace(way, k=_likely(way.k)) for at, way in ways.items()}
    network = _network(ways.values(), reservoirs, pumped)
    guessed = [at for at in ways if not used and losses[at].assumed]
    also = [
        replace(network, ways=tuple({**ways, at: end}.values()))
        for at in guessed
        for end in (losses[at].easy, losses[at].hard)
    ]
    found = flow_bands(network, water, also)
    all_pumped = sum(abs(each.likely) for each in pumped.values())
    effect = {}
    for at, pair in zip(guessed, zip(found.also[::2], found.also[1::2], strict=True), strict=True):
        most = max(abs(each.flows[name] - likely) for each in pair for name, likely in found.likely.flows.items())
        if most > _MATTERS * all_pumped:
            effect[at] = most / all_pumped
    most = sum(max(abs(each.low), abs(each.high)) for each in pumped.values())
    kept = {at: _within(found.flows[str(at)], [each.flows[str(at)] for each in found.also], most) for at in ways}
    kept = {at: band for at, band in kept.items() if max(map(abs, ends(band))) > NONE_ML_MIN}
    return kept, effect


def _within(band: Band, moved: Sequence[float], most: float) -> Band:
    """Keep what was added as squares to what can be: no more than is pumped, no turning where nothing turns it."""
    ever = (band.likely, *moved)
    low = 0.0 if min(ever) >= -NONE_ML_MIN else -most
    high = 0.0 if max(ever) <= NONE_ML_MIN else most
    return replace(band, low=min(max(band.low, low), band.likely), high=max(min(band.high, high), band.likely))


def _bound(
    losses: Sequence[Losses],
    carry: Sequence[int],
    reservoirs: Mapping[str, float],
    pumped: Mapping[str, Band],
    water: Water,
) -> list[int]:
    """The ways that carry all there is whatever they lose: as many as places, so that no loss has a say in how much.

    Empty where the water parts, or could at the greatest loss there may be.
    """
    most = {place: replace(each, likely=each.high if each.likely > 0 else each.low) for place, each in pumped.items()}
    found: list[list[int]] = []
    for ways, flow in (
        ([losses[at].likely for at in carry], pumped),
        ([losses[at].easy for at in carry], pumped),
        ([losses[at].hard for at in carry], most),
    ):
        flows = solve_flows(_network(ways, reservoirs, flow), water).flows
        found.append([at for at in carry if abs(flows[str(at)]) > NONE_ML_MIN])
    used = found[0]
    places = {end for at in used for end in (losses[at].likely.a, losses[at].likely.b)} - set(reservoirs)
    return used if found[1] == found[2] == used and len(used) == len(places) else []


def _network(ways: Iterable[FlowWay], reservoirs: Mapping[str, float], pumped: Mapping[str, Band]) -> FlowNetwork:
    every = tuple(ways)
    met = {end for way in every for end in (way.a, way.b)}
    return FlowNetwork(every, {place: mpa for place, mpa in reservoirs.items() if place in met}, pumped)


def _likely(band: Band) -> Band:
    return replace(band, low=band.likely, high=band.likely)


def _carrying(
    losses: Sequence[Losses], open_ways: Sequence[int], reservoirs: Mapping[str, float], pumped: Mapping[str, Band]
) -> list[int]:
    """The ways that what is pumped can take between its places and a reservoir: no dead ends."""
    onward = any(each.likely > 0 for each in pumped.values())
    steps: list[tuple[int, str, str]] = []
    for at in open_ways:
        way = losses[at].likely
        a, b = (way.a, way.b) if onward else (way.b, way.a)
        steps.append((at, a, b))
        if not way.check:
            steps.append((at, b, a))
    seen, waiting = set(pumped), list(pumped)
    while waiting:
        here = waiting.pop()
        for _, a, b in steps:
            if a == here and b not in seen and here not in reservoirs:
                seen.add(b)
                waiting.append(b)
    left = {at for at, a, b in steps if a in seen and b in seen and a not in reservoirs}
    while True:
        count: dict[str, int] = {}
        for at in left:
            for end in (losses[at].likely.a, losses[at].likely.b):
                count[end] = count.get(end, 0) + 1
        dead = {
            at for at in left
            for end in (losses[at].likely.a, losses[at].likely.b)
            if count[end] == 1 and end not in reservoirs and end not in pumped
        }  # fmt: skip
        if not dead:
            return sorted(left)
        left -= dead
