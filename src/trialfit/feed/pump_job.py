"""From the job's own words to the pumps of its circuit and what they have to do.

What the water passes between tank and pump is taken from the joints unless the job says it.

Source: none; sizes are the job's, losses the tables'.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from trialfit.errors import Refusal
from trialfit.feed.balls import ball_valve
from trialfit.feed.flow_fittings import together
from trialfit.feed.flow_three import three
from trialfit.feed.pump import USUAL_SHARE, RamPump
from trialfit.feed.pump_demand import Cylinders
from trialfit.feed.pump_findings import injector_finding, pump_findings
from trialfit.feed.pump_report import ROOM_WATER, PumpAsked, PumpReport, pump_report
from trialfit.feed.pump_suction import Suction
from trialfit.feed.records import spoken
from trialfit.finding import Answer, Band, Finding, Reason
from trialfit.job.circuit import BY_THE_AXLE, CircuitEntry, SourceEntry
from trialfit.job.pump import PumpFigures, SuctionPipe, UseEntry
from trialfit.job.records import Job
from trialfit.job.spread import Three, band_of
from trialfit.tables.gauges import wall_mm

# What a part counts as that water passes on its way; the others lose nothing worth a line, or are the pipe itself.
_LOSES: Mapping[str, str] = {
    "elbow": "elbow",
    "tee": "tee along the run",
    "cock": "cock",
    "three-way cock": "cock",
    "check valve": "ball check",
    "union body": "union",
}


def pumps_of(job: Job) -> tuple[tuple[PumpReport, ...], tuple[Finding, ...]]:
    """Work out every pump of a job that has figures, and the injector's water.

    Parameters
    ----------
    job
        The job document.

    Returns
    -------
    tuple
        The pumps that can be worked out, in the order of the job; and all that is said of them.
    """
    circuit = job.circuit
    reports: list[PumpReport] = []
    said: list[Finding] = []
    for name, source in circuit.sources.items() if circuit is not None else ():
        if circuit is not None and source.pump is not None:
            try:
                report = pump_report(_asked(job, circuit, name, source, source.pump))
            except Refusal as refusal:
                said.append(_cannot(name, refusal))
            else:
                reports.append(report)
                said += pump_findings(report)
        elif circuit is not None and source.kind == "injector" and circuit.use is not None and circuit.use.water:
            said.append(injector_finding(band_of(circuit.use.water, "C", 0, "°C"), name))
    return tuple(reports), tuple(said)


def _cannot(name: str, refusal: Refusal) -> Finding:
    fault = refusal.fault
    because = (Reason(f"{fault.what}: got {fault.got}, wanted {fault.wanted}."),)
    return Finding("feed", name, "Can the pump be worked out?", Answer.STOP, because=because, do=fault.remedy)


def _asked(job: Job, circuit: CircuitEntry, name: str, source: SourceEntry, figures: PumpFigures) -> PumpAsked:
    use = circuit.use or UseEntry(water=None, heat=None, turns=None, cylinders=None)
    strokes = figures.strokes or use.turns
    assert strokes is not None  # the reader of the job saw to it
    share = USUAL_SHARE if figures.share is None else _share(figures.share)
    water = ROOM_WATER if use.water is None else band_of(use.water, "C", 0, "°C")
    turns = None if use.turns is None else band_of(use.turns, "a minute", 0)
    cylinders = None
    if use.cylinders is not None and turns is not None:
        each = use.cylinders
        cylinders = Cylinders(
            each.number, float(each.bore.to("mm")), float(each.stroke.to("mm")), _share(each.cut_off), turns
        )
    return PumpAsked(
        RamPump(
            float(figures.ram.to("mm")), float(figures.stroke.to("mm")), band_of(strokes, "a minute", 0), share
        ),
        float(job.engine.working_pressure.to("MPa")),
        water,
        None if use.heat is None else band_of(use.heat, "kW"),
        cylinders,
        None if figures.leak is None else float(figures.leak.to("mm")),
        None if figures.air is None else band_of(figures.air, "mL"),
        None if figures.suction is None else _suction(job, circuit, source.part or name, source, figures.suction),
        tuple(
            ball_valve(
                float(ball.ball.to("mm")), float(ball.seat.to("mm")),
                None if ball.lift is None else float(ball.lift.to("mm")), spoken(where),
            )
            for where, ball in figures.balls.items()
        ),
        by_axle=source.kind in BY_THE_AXLE,
        name=name,
    )  # fmt: skip


def _share(written: Three) -> Band:
    return three((float(each.to("%")) / 100.0 for each in written), "-")


def _suction(job: Job, circuit: CircuitEntry, part: str, source: SourceEntry, pipe: SuctionPipe) -> Suction:
    if pipe.bore is not None:
        bore_mm = float(pipe.bore.to("mm"))
    else:
        tube = job.pipes[pipe.pipe or ""].tube
        bore_mm = float(tube.od.to("mm")) - 2.0 * wall_mm(tube.wall, "wall")
    # A suction valve that is a part of its own is met on the way.
    own = ("ball check",) if pipe.fittings is not None or "suction" in source.valves else ()
    passed = tuple(_passed(job, circuit, part)) if pipe.fittings is None else pipe.fittings
    k, k_slow = together("mouth into the pipe", *own, *passed)
    lift_mm = 0.0 if pipe.lift is None else float(pipe.lift.to("mm"))
    return Suction(bore_mm, float(pipe.length.to("mm")), k, k_slow, lift_mm, passes=(*own, *passed))


def _passed(job: Job, circuit: CircuitEntry, part: str) -> Iterator[str]:
    """What the joints put between a tank's opening and a pump, by the way with the fewest parts."""
    beside: dict[str, list[str]] = {}
    for joint in job.joints:
        a, b = (port.rpartition(".")[0] for port in (joint.a, joint.b))
        if f"{part}.outlet" not in (joint.a, joint.b):
            beside.setdefault(a, []).append(b)
            beside.setdefault(b, []).append(a)
    opens = {name if name in job.parts else name.rpartition(".")[0] for name in circuit.tank}
    came: dict[str, str] = {part: ""}
    waiting = [part]
    for here in waiting:
        if here in opens:
            while here != part:
                kind = job.parts[here].kind if here in job.parts else "pipe"
                if kind in _LOSES:
                    yield _LOSES[kind]
                here = came[here]
            return
        for each in beside.get(here, ()):
            if each not in came:
                came[each] = here
                waiting.append(each)
