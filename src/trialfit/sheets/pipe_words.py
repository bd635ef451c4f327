"""The sentences of a pipe's bench sheet."""

from __future__ import annotations

from trialfit.errors import Refusal
from trialfit.finding import Figure
from trialfit.fitup.records import Bend, PipePlan
from trialfit.fitup.route_findings import pass_words
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.making.process_records import OrderOfWork, WorkStep
from trialfit.tables.metals import find_metal

_PASSES_SHOWN = 2


def plain(figure: Figure) -> str:
    """Write a figure without its plus-or-minus.

    Parameters
    ----------
    figure
        The figure.

    Returns
    -------
    str
        Number and unit.
    """
    return str(Figure(figure.value, figure.unit, None, figure.places))


def turn(rotation: Figure) -> tuple[str, str]:
    """Write a turn between two bends.

    Parameters
    ----------
    rotation
        Right-handed along the tube from its start. [deg]

    Returns
    -------
    tuple
        The turn without a sign, and which way it goes: empty where both ways are one.
    """
    size = f"{abs(rotation.value):.{rotation.places}f}"
    if float(size) in (0.0, 180.0):
        return f"{size} {rotation.unit}", ""
    return f"{size} {rotation.unit}", "clockwise" if rotation.value > 0 else "anticlockwise"


def made_of(job: Job, pipe: PipePlan) -> str:
    """Say what tube a pipe is bent from, and on what.

    Parameters
    ----------
    job
        The job, for how the tube was written.
    pipe
        The pipe.

    Returns
    -------
    str
        One sentence.
    """
    tube = job.pipes[pipe.name].tube
    return (
        f"Tube {_both(tube.od.written, pipe.tube.od_mm)} outside × {_both(tube.wall, pipe.tube.wall_mm)} wall, "
        f"{_metal(pipe.tube.metal)}. "
        f"Former radius {_both(_radius_written(job, pipe), pipe.radius_mm)} to the centre line."
    )


def leaves(job: Job, pipe: PipePlan) -> list[str]:
    """Say what a pipe is for and where it goes from and to.

    Parameters
    ----------
    job
        The job, for the owner's words.
    pipe
        The pipe.

    Returns
    -------
    list
        Lines of text.
    """
    what = job.pipes[pipe.name].what
    return [
        *([what] if what else []),
        f"From {pipe.start.name} (start) to {pipe.end.name} (far end).",
    ]


def nut_steps(job: Job, order: OrderOfWork | None) -> tuple[str, str]:
    """Say when the nuts go on.

    Parameters
    ----------
    job
        The job, for the work of the assembly.
    order
        The order of work of the pipe's own assembly; None where the job has none, or it has no order.

    Returns
    -------
    tuple
        What to do before the first bend, and what after the last; either may be empty.
    """
    if order is None:
        return _NUTS_FIRST, ""
    work = job.assemblies[order.name].work
    kinds = [(step, work[step.name].do) for step in order.steps]
    nuts = [step for step, do in kinds if do == "slide on"]
    bend = next((step.number for step, do in kinds if do == "bend"), 0)
    first, later = ([step for step in nuts if (step.number < bend) is before] for before in (True, False))
    return _slide(first, "a bend or what is soldered later bars them"), _slide(
        later, "what is soldered at its ends bars them"
    )


_NUTS_FIRST = (
    "Slide the union nuts on now, threads towards their own ends: they will not pass a bend or a soldered cone."
)


def _slide(nuts: list[WorkStep], why: str) -> str:
    if not nuts:
        return ""
    words = [step.words.removeprefix("slide on ") for step in nuts]
    all_of = words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
    numbers = " and ".join(str(step.number) for step in nuts)
    steps = f"step {numbers}" if len(nuts) == 1 else f"steps {numbers}"
    own = "its own end" if len(nuts) == 1 else "their own ends"
    return f"Slide on {all_of} now, threads towards {own}: {why} ({steps} of the order of work)."


def bench_steps(pipe: PipePlan, views_full_size: bool, nuts: tuple[str, str] = (_NUTS_FIRST, "")) -> list[str]:
    """Say how a pipe is made, in order.

    Parameters
    ----------
    pipe
        The pipe.
    views_full_size
        Whether the sheet's views can be laid against the work.
    nuts
        What is done with its nuts before the first bend, and after the last.

    Returns
    -------
    list
        A sentence or two a step.
    """
    against = "Lay it on the views." if views_full_size else "Hold it against the distances on the views."
    trial = f"Try both sockets: file the far end back, {pipe.file_allowance_mm:.2f} mm at most, until both ends seat."
    straight = [
        f"Saw {plain(pipe.cut_length)} of soft tube, square, and clear the burr. Mark one end START: "
        "measure from there.",
        *([nuts[0]] if nuts[0] else []),
    ]
    later = [nuts[1]] if nuts[1] else []
    if not pipe.bends:
        return [*straight, *later, trial]
    checks = "Measure both bars on the page of the gauges. Check each bend on its gauge before the next."
    return [checks, *straight, *(_bend_step(bend) for bend in pipe.bends), *later, f"{against} {trial}"]


def _bend_step(bend: Bend) -> str:
    set_to = "" if bend.set_to is None else f"set {plain(bend.set_to)}, for "
    marks = f"{plain(bend.starts)} to {plain(bend.ends)}"
    line = f"Bend {bend.number}, {marks}: {set_to}{plain(bend.angle)} once sprung back."
    if bend.number == 1:
        return line
    return f"Turn {' '.join(part for part in turn(bend.rotation) if part)} by the disc. {line}"


def passing(pipe: PipePlan) -> list[str]:
    """Say what a pipe passes nearest, and how it follows an old one.

    Parameters
    ----------
    pipe
        The pipe.

    Returns
    -------
    list
        Sentences.
    """
    routing = pipe.routing
    lines = [
        f"{words[0].upper()}{words[1:]}." for words in (pass_words(each) for each in routing.passes[:_PASSES_SHOWN])
    ]
    if lines and routing.wanted is not None:
        kept = routing.kept or routing.wanted
        lines.append(f"Kept clear of everything by {kept}{' [assumed]' if routing.assumed else ''}.")
    if routing.old is not None:
        lines.append(f"It follows the old pipe {routing.old.tube}, at most {routing.old.departs} from it.")
    return lines


def disc_steps() -> list[str]:
    """Say how the turn disc is used.

    Returns
    -------
    list
        Sentences.
    """
    return [
        "Glue it to thin card, cut it out, cut the hole to a push fit. The dashed line may be slit to pass a nut.",
        "Slip it on the straight after the bend just made, this face towards the start end. Line 0 up with the leg "
        "before that bend, sighting along the tube, and tape it there.",
        "Turn tube and disc together until the mark of the next bend points the way the bender will pull the tube.",
    ]


def assumed(job: Job, pipe: PipePlan, shop: Shop) -> list[str]:
    """Say what a pipe's figures rest on that nobody has measured.

    Parameters
    ----------
    job
        The job.
    pipe
        The pipe.
    shop
        The workshop.

    Returns
    -------
    list
        Sentences, each with its label.
    """
    lines = []
    if not shop.measured:
        scatter = shop.scatter
        lines.append(
            f"Bench scatter {scatter.length} a length, {scatter.bend} a bend, {scatter.rotation} a turn, k = 2 "
            "[assumed: common practice, no source]."
        )
        if job.pipes[pipe.name].bend_radius is None:
            lines.append(f"Former radius {pipe.radius_mm:.2f} mm [assumed: measure your own former].")
    if any(bend.set_to is None for bend in pipe.bends):
        lines.append("Spring-back: nothing allowed for where there is no test piece yet.")
    if any(bend.set_to is not None for bend in pipe.bends):
        lines.append("Spring-back in proportion to the 90 deg test piece [assumed].")
    return lines


def _metal(key: str) -> str:
    try:
        return f"{key} ({find_metal(key).name})"
    except Refusal:
        return f"metal {key}"


def _radius_written(job: Job, pipe: PipePlan) -> str:
    wanted = job.pipes[pipe.name].bend_radius
    return wanted.written if wanted is not None else ""


def _both(written: str, length_mm: float) -> str:
    """A length as it was written with millimetres behind, or millimetres alone where it was written so."""
    metric = f"{length_mm:.3f}".rstrip("0").rstrip(".") + " mm"
    return f"{written} ({metric})" if written and written != metric else metric
