"""How much solder and flux the joints of a job use up.

Source: volume of gap and fillets by `trialfit.heat.gap`; overlap of one tube diameter by the rule ``joint, overlap``;
densities from memory, wastage, coat of flux and an unsaid gap assumed, by the rules ``solder used`` of ``brazing.csv``.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import pi

from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.heat.gap import FILLET_MM, solder_mm3
from trialfit.job.assemblies import AssemblyEntry, Step
from trialfit.job.records import Job
from trialfit.parts.cited import cite
from trialfit.parts.stands import is_silver
from trialfit.quote.records import SolderNeed
from trialfit.tables.rules import rule

_SUBJECT = "solder used"


def solder_needs(job: Job) -> tuple[SolderNeed, ...]:
    """Give what every soldered joint of the job's assemblies takes.

    Parameters
    ----------
    job
        The job.

    Returns
    -------
    tuple of SolderNeed
        In the order of the job; a joint of which nothing says how large it is has no mass.
    """
    return tuple(
        _need(job, name, entry, work, step)
        for name, entry in job.assemblies.items()
        for work, step in entry.work.items()
        if step.filler is not None
    )


def joint_g(filler: str, shank_mm: float, gap_mm: float, overlap_mm: float) -> tuple[float, float]:
    """Solder and flux that one joint uses up.

    Parameters
    ----------
    filler
        Filler or solder.
    shank_mm
        Diameter of the inner part. [mm]
    gap_mm
        Gap on each side. [mm]
    overlap_mm
        How far one is within the other. [mm]

    Returns
    -------
    tuple of float
        Solder, wastage included, and flux. [g]
    """
    density = _figure(f"density of {_kind(filler)}")
    solder_g = solder_mm3(shank_mm, gap_mm, overlap_mm) * density * 1e-3 * _figure("wastage")
    coat_mm3 = 2.0 * overlap_mm * pi * shank_mm * _figure("coat of flux")
    return solder_g, coat_mm3 * _figure("density of flux paste") * 1e-3


def solder_finding(needs: tuple[SolderNeed, ...]) -> Iterator[Finding]:
    """Say how much solder and flux a job takes, and what that rests on.

    Parameters
    ----------
    needs
        Of its joints.

    Yields
    ------
    Finding
        One, where there is a joint.
    """
    sized = [need for need in needs if need.solder_g is not None]
    if not needs:
        return
    said = [Reason(f"{need.name.rpartition('.')[2]}: {need.solder_g:.2f} g of {need.filler}, {need.sized_by}.")
            for need in sized]  # fmt: skip
    said += [
        Reason(f"{need.name.rpartition('.')[2]}: nothing says how large that joint is.")
        for need in needs if need.solder_g is None
    ]  # fmt: skip
    said.append(
        Reason(
            f"A fillet of {FILLET_MM:g} mm at each mouth; {_figure('wastage'):g} times what is in the joint is used "
            f"up; {_figure('coat of flux'):g} mm of flux on both parts, over twice the overlap.", "", Basis.ASSUMED,
        )
    )  # fmt: skip
    said += [_density(kind) for kind in dict.fromkeys(_kind(need.filler) for need in sized)]
    whole = len(sized) == len(needs)
    total_g = sum(need.solder_g or 0.0 for need in sized)
    do = "" if whole else "Give the tube its od under the assembly's bodies, or a heat of the same name its gap."
    yield Finding(
        "quote", "solder", "How much solder do the joints take?", Answer.GO if whole else Answer.LOOK,
        Figure(total_g, "g", None, 2), None, tuple(said), do,
    )  # fmt: skip


def _kind(filler: str) -> str:
    return "silver solder" if is_silver(filler) else "soft solder"


def _density(kind: str) -> Reason:
    found = rule("solder used", f"density of {kind}")
    return Reason(
        f"{kind.capitalize()} is taken as {_figure(f'density of {kind}'):g} g/cm³.", cite(found.sources), found.basis
    )


def _need(job: Job, name: str, entry: AssemblyEntry, work: str, step: Step) -> SolderNeed:
    filler = step.filler or ""
    called = f"assemblies.{name}.{work}"
    found = _of_heat(job, work, filler) or _of_pipe(job, name, step) or _of_tube(entry, step)
    if found is None:
        return SolderNeed(called, filler, None, None, "")
    shank_mm, gap_mm, overlap_mm, words = found
    solder_g, flux_g = joint_g(filler, shank_mm, gap_mm, overlap_mm)
    sized = f"{shank_mm:.2f} mm in {shank_mm + 2.0 * gap_mm:.2f} mm, {overlap_mm:.1f} mm deep, {words}"
    return SolderNeed(called, filler, solder_g, flux_g, sized)


def _of_heat(job: Job, work: str, filler: str) -> tuple[float, float, float, str] | None:
    """The gap of a heat that has the same name."""
    heat = job.heating.get(work)
    if heat is None or heat.gap is None or heat.filler not in (None, filler):
        return None
    hole, shank, overlap = (float(each.to("mm")) for each in (heat.gap.hole, heat.gap.shank, heat.gap.overlap))
    return shank, max((hole - shank) / 2.0, 0.0), overlap, "as its heat says"


def _of_pipe(job: Job, name: str, step: Step) -> tuple[float, float, float, str] | None:
    """The end of a pipe of the same name, in the socket its joint names."""
    pipe = job.pipes.get(name)
    if pipe is None or step.end is None:
        return None
    od_mm, end = float(pipe.tube.od.to("mm")), f"{name}.{step.end}"
    # Past the surveyed face there may be more than the cone: its socket is taken as one diameter deep at most.
    overlap_mm = min(float((pipe.start if step.end == "start" else pipe.end).enters.to("mm")), od_mm)
    others = [b if a == end else a for a, b in ((joint.a, joint.b) for joint in job.joints) if end in (a, b)]
    for other in others:
        part, _, port = other.rpartition(".")
        given = job.parts[part].ports.get(port) if part in job.parts else None
        if given is not None and given.socket is not None:
            gap_mm = max((float(given.socket.to("mm")) - od_mm) / 2.0, 0.0)
            return od_mm, gap_mm, overlap_mm, "by the pipe's end and its socket"
    return od_mm, _figure("gap where none is said"), overlap_mm, "by the pipe's end, the gap assumed"


def _of_tube(entry: AssemblyEntry, step: Step) -> tuple[float, float, float, str] | None:
    """A tube of the assembly: one diameter deep, the gap a usual one."""
    diameters = [body.od for name in step.on if (body := entry.bodies.get(name)) is not None and body.od is not None]
    if not diameters:
        return None
    od_mm = min(float(each.to("mm")) for each in diameters)
    return od_mm, _figure("gap where none is said"), od_mm, "overlap and gap assumed"


def _figure(name: str) -> float:
    return rule(_SUBJECT, name).high or 0.0
