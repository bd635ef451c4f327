"""How much goes which way in every setting in use, in words.

Source: docs/methods/flows.md.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from trialfit.feed.flow_three import ends
from trialfit.feed.records import AIR, BOILER, TANK, Circuit, Way, spoken
from trialfit.feed.report import FeedReport
from trialfit.feed.setting_flows import ASSUMED_BORE, ASSUMED_LENGTH, SettingFlows
from trialfit.finding import Answer, Band, Basis, Figure, Finding, Reason

_OUT_OF: Mapping[int, str] = {BOILER: "out of the boiler", TANK: "out of the tank", AIR: "in from the open"}
_INTO: Mapping[int, str] = {BOILER: "into the boiler", TANK: "into the tank", AIR: "into the open"}
_TENS_ML_MIN = 10.0
_MOST_NAMED = 3
_MEAN = "Mean flows of full barrels with nothing leaking and no fall from the tank; air and leaks stand with the pump."


def flow_words(circuit: Circuit, flows: SettingFlows) -> str:
    """Say how much goes which way in a setting.

    Parameters
    ----------
    circuit
        The circuit.
    flows
        Of one setting.

    Returns
    -------
    str
        Such as ``59 (36 to 83) mL/min out of the tank, through feed pipe, into the boiler``; the ways in the order the
        water takes. Empty where it is not known.
    """
    told: list[_Run] = []
    for at in _along(circuit, flows):
        way, band = circuit.ways[at], flows.through[at]
        start, end = (way.a, way.b) if band.likely >= 0 else (way.b, way.a)
        amount = _amount(band)
        run = next((each for each in told if each.amount == amount and start in each.ends), None)
        if run is None:
            run = _Run(amount)
            told.append(run)
        run.ends.add(end)
        if start in _OUT_OF:
            run.says(_OUT_OF[start])
        if way.kind in ("pipe", "check", "cock") and not way.piece and _alone(circuit, flows, way):
            run.through(spoken(way.part))
        if end in _INTO:
            run.says(_INTO[end])
    return "; ".join(f"{run.amount} {', '.join(run.words)}" for run in told if run.words)


@dataclass
class _Run:
    """Ways that follow each other with one flow through them."""

    amount: str
    ends: set[int] = field(default_factory=set)
    words: list[str] = field(default_factory=list)

    def says(self, word: str) -> None:
        """Add a reservoir."""
        self.words.append(word)

    def through(self, name: str) -> None:
        """Add a part, with one "through" for those that follow each other."""
        follows = bool(self.words) and self.words[-1].startswith("through ")
        if follows:
            self.words[-1] += f", {name}"
        else:
            self.words.append(f"through {name}")


def flow_finding(report: FeedReport) -> Iterator[Finding]:
    """Say once of a circuit how much goes which way.

    Parameters
    ----------
    report
        The circuit, worked out.

    Yields
    ------
    Finding
        None where no setting in use has a pump with figures at work.
    """
    driven = [(use, flows) for use, flows in zip(report.in_use, report.flows, strict=True) if flows is not None]
    known = [(use, flows) for use, flows in driven if flows.through]
    if not known:
        return
    reasons = []
    for use, flows in known:
        basis = Basis.ASSUMED if flows.surer else Basis.COMPUTED
        reasons.append(Reason(f"With {use.words}: {flow_words(report.circuit, flows)}.", basis=basis))
    surer = list(dict.fromkeys(name for _, flows in known for name in flows.surer))
    if surer:
        reasons.append(Reason(assumed_words(surer), basis=Basis.ASSUMED))
    lacking = list(not_known(flows for _, flows in driven))
    reasons += [Reason(each) for each in lacking]
    reasons.append(Reason(_MEAN))
    do = "Count a pump's strokes and catch what it brings in a minute: both make its band narrower."
    if surer:
        do = f"Measure bore and length of {', '.join(surer[:_MOST_NAMED])}; write them under [circuit.pipes]. {do}"
    yield Finding(
        "feed", "flows", "How much goes which way?", Answer.LOOK if surer or lacking else Answer.GO,
        Figure(len(known), f"of {len(driven)} settings worked out", places=0), because=tuple(reasons), do=do,
    )  # fmt: skip


def assumed_words(names: Iterable[str]) -> str:
    """Say which bores and lengths are assumed, and as what.

    Parameters
    ----------
    names
        Pipes and fittings.

    Returns
    -------
    str
        A sentence.
    """
    bore, length = (f"{band.low:g} to {band.high:g} mm" for band in (ASSUMED_BORE, ASSUMED_LENGTH))
    return f"Bores are taken as {bore} and pipes as {length} long where the job does not say: {', '.join(names)}."


def not_known(flows: Iterable[SettingFlows | None]) -> Iterator[str]:
    """Say once each why flows are not known, and what to measure.

    Parameters
    ----------
    flows
        Of the settings in use.

    Yields
    ------
    str
        A sentence.
    """
    yield from dict.fromkeys(each.unknown for each in flows if each is not None and each.unknown)


def _amount(band: Band) -> str:
    low, likely, high = ends(band)
    if likely < 0:
        low, likely, high = -high, -likely, -low
    return str(Band(low, likely, high, "mL/min", 0 if likely >= _TENS_ML_MIN else 1))


def _alone(circuit: Circuit, flows: SettingFlows, way: Way) -> bool:
    """Whether no other way through the same part carries water: of three ways round a plug none is a flow by itself."""
    beside = sum((each := circuit.ways[at]).part == way.part and each.kind == way.kind for at in flows.through)
    return beside == 1


def _along(circuit: Circuit, flows: SettingFlows) -> list[int]:
    """The ways in the order the water takes."""
    goes = {}
    for at, band in flows.through.items():
        a, b = circuit.ways[at].a, circuit.ways[at].b
        goes[at] = (a, b) if band.likely >= 0 else (b, a)
    far: dict[int, int] = {}
    for _ in goes:
        for a, b in goes.values():
            if b >= 0 and a >= 0:
                far[b] = min(max(far.get(b, 0), far.get(a, 0) + 1), len(goes))
            elif b >= 0:
                far[b] = max(far.get(b, 0), 1)
    return sorted(goes, key=lambda at: (far.get(goes[at][0], 0), at))
