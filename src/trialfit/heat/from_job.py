"""From the job's own words to a heat that can be worked out.

Source: none; sizes are the job's, metals and limits the tables'.
"""

from __future__ import annotations

from trialfit.errors import Refusal
from trialfit.finding import Basis
from trialfit.heat.network import Lump, Pipe, Sink
from trialfit.heat.outcome import CLAMP_W_M2_K, RAG_W_M2_K
from trialfit.heat.records import Watched, Work
from trialfit.heat.torch import torchlight
from trialfit.job.heating import HeatedBody, HeatedPipe, HeatingEntry, Rag, Spot, ThereAlready
from trialfit.job.records import Job
from trialfit.job.shop import Shop, Torch, assumed_shop
from trialfit.parts.stands import (
    Limit,
    compound_limit,
    joint_limit,
    lapped_limit,
    melting_c,
    paint_limit,
    seal_limit,
)
from trialfit.tables.gauges import wall_mm
from trialfit.tables.metals import Metal, find_metal
from trialfit.tables.rules import rule


def work_of(job: Job, shop: Shop, name: str, entry: HeatingEntry) -> Work:
    """Make one heat ready.

    Parameters
    ----------
    job
        The job.
    shop
        The workshop.
    name
        The heat's name in the job.
    entry
        The heat.

    Returns
    -------
    Work
        Ready to be worked out.

    Raises
    ------
    Refusal
        The torch is not one of the workshop's, a metal is not given anywhere, or its trial cannot be.
    """
    lumps = tuple(_lump(job, name, entry, body, each) for body, each in entry.bodies.items())
    pipes = tuple(_pipe(job, name, entry, pipe, each) for pipe, each in entry.pipes.items())
    needs_c, most_c = _needs(entry)
    torch_name, torch = _torch(shop, name, entry)
    return Work(
        name=name,
        what=entry.what or name.replace("_", " "),
        entry=entry,
        lumps=lumps,
        pipes=pipes,
        sinks=tuple(_sink(rag) for rag in entry.rags),
        torch=torchlight(torch_name, torch),
        needs_c=needs_c,
        needs_most_c=most_c,
        joint_on=entry.joint.on,
        joint_mm=_along(entry.joint),
        watched=tuple(_watched(entry, each, there) for each, there in entry.there.items()),
        pressure_mpa=float(job.engine.working_pressure.to("MPa")),
    )


def words_of(entry: HeatingEntry, name: str) -> str:
    """Call a body or pipe of a heat by its words.

    Parameters
    ----------
    entry
        The heat.
    name
        The body's or pipe's name.

    Returns
    -------
    str
        With its article.
    """
    known: dict[str, HeatedBody | HeatedPipe] = {**entry.bodies, **entry.pipes}
    return f"the {known[name].what or name.replace('_', ' ')}"


def metal_of(job: Job, entry: HeatingEntry, name: str, given: str | None) -> Metal | None:
    """The metal of a body or pipe, or of the assembly's body of that name.

    Parameters
    ----------
    job
        The job.
    entry
        The heat.
    name
        The body's or pipe's name.
    given
        The metal the heat itself gives.

    Returns
    -------
    Metal or None
        None where neither says it.
    """
    if given is None and entry.assembly in job.assemblies and entry.assembly is not None:
        body = job.assemblies[entry.assembly].bodies.get(name)
        given = body.metal if body is not None else None
    return None if given is None else find_metal(given)


def may_burst(job: Job, entry: HeatingEntry) -> tuple[str, ...]:
    """Bodies and pipes that may hold water shut in, or are shut.

    Parameters
    ----------
    job
        The job.
    entry
        The heat.

    Returns
    -------
    tuple of str
        Their names.
    """
    shut = [name for name, body in entry.bodies.items() if body.wet or body.openings == 0]
    shut += [name for name, pipe in entry.pipes.items() if pipe.wet]
    return tuple(dict.fromkeys([*shut, *(name for name, wet in _of_assembly(job, entry, "wet") if wet)]))


def old_solder(job: Job, entry: HeatingEntry) -> tuple[str, ...]:
    """Bodies that hold silver solder somebody else put there.

    Parameters
    ----------
    job
        The job.
    entry
        The heat.

    Returns
    -------
    tuple of str
        Their names.
    """
    old = [name for name, body in entry.bodies.items() if body.old_solder]
    return tuple(dict.fromkeys([*old, *(name for name, held in _of_assembly(job, entry, "old_solder") if held)]))


def _of_assembly(job: Job, entry: HeatingEntry, key: str) -> list[tuple[str, bool]]:
    if entry.assembly is None or entry.assembly not in job.assemblies:
        return []
    bodies = job.assemblies[entry.assembly].bodies
    return [(name, bool(getattr(bodies[name], key))) for name in (*entry.bodies, *entry.pipes) if name in bodies]


def _torch(shop: Shop, name: str, entry: HeatingEntry) -> tuple[str, Torch]:
    torches = shop.torches or assumed_shop().torches
    wanted = entry.torch or next(iter(torches))
    if wanted not in torches:
        raise Refusal(
            f"heat {name}, torch", f'"{wanted}"', f"one of {', '.join(torches)}",
            "Add it to the workshop's own file under [torches], or name one that is there.",
        )  # fmt: skip
    return wanted, torches[wanted]


def _needs(entry: HeatingEntry) -> tuple[float, float | None]:
    if entry.reaches is not None:
        return float(entry.reaches.to("C")), None
    if entry.filler is not None:
        return melting_c(entry.filler)[1], None
    found = rule("anaerobic", "heat to dismantle")
    return found.low or 232.0, found.high


def _metal(job: Job, name: str, entry: HeatingEntry, thing: str, given: str | None) -> Metal:
    metal = metal_of(job, entry, thing, given)
    if metal is None:
        raise Refusal(f"heat {name}, {thing}", "no metal", "a metal of the tables", 'Add it: metal = "CW614N".')
    return metal


def _lump(job: Job, name: str, entry: HeatingEntry, body: str, each: HeatedBody) -> Lump:
    metal = _metal(job, name, entry, body, each.metal)
    return Lump(body, metal, float(each.mass.to("kg")), float(each.across.to("mm")), float(each.long.to("mm")))


def _pipe(job: Job, name: str, entry: HeatingEntry, pipe: str, each: HeatedPipe) -> Pipe:
    od_mm = float(each.od.to("mm"))
    bore_mm = 0.0 if each.wall is None else od_mm - 2.0 * wall_mm(each.wall)
    metal = _metal(job, name, entry, pipe, each.metal)
    return Pipe(pipe, metal, od_mm, bore_mm, float(each.long.to("mm")), each.start, each.end)


def _sink(rag: Rag) -> Sink:
    long_mm = float(rag.long.to("mm"))
    if rag.kind == "wet rag":
        return Sink(rag.on, _along(rag), long_mm, rag_w_m2_k=RAG_W_M2_K)
    mass_kg = float(rag.mass.to("kg")) if rag.mass is not None else 0.0
    stores = mass_kg * find_metal(rag.metal).heat_j_kg_k
    return Sink(rag.on, _along(rag), long_mm, clamp_j_k=stores, clamp_w_m2_k=CLAMP_W_M2_K)


def _watched(entry: HeatingEntry, name: str, there: ThereAlready) -> Watched:
    limit = _limit(there)
    if there.stands is not None:
        limit = Limit(limit.what, float(there.stands.to("C")), limit.acid, "the job", Basis.MEASURED)
    place = f"on {words_of(entry, there.on)}{_how_far(there)}"
    return Watched(name, f"{there.what or limit.what.removeprefix('the ')} {place}", there.on, _along(there), limit)


def _how_far(there: ThereAlready) -> str:
    if there.along is None:
        return ""
    along_mm = float(there.along.to("mm"))
    return f", {along_mm:.0f} mm along it" if along_mm else ", at its start"


def _limit(there: ThereAlready) -> Limit:
    if there.filler is not None:
        return joint_limit(there.filler)
    if there.seal is not None:
        return seal_limit(there.seal)
    if there.holds == "lapped seat":
        return lapped_limit()
    if there.holds == "paint":
        return paint_limit()
    return compound_limit("high-temperature" if there.holds == "high-temperature retaining compound" else "ordinary")


def _along(spot: Spot) -> float:
    return 0.0 if spot.along is None else float(spot.along.to("mm"))
