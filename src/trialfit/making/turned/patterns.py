"""Ready-made turned parts: each is a function from its sizes to the lines a machinist would have written.

Source: common practice of small steam fittings, no published one; threads and O-ring limits from the tables.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from trialfit.job.turned import TurnedEntry
from trialfit.job.turned_sizes import TurnedSizes
from trialfit.making.turned.features import RUN_OUT_PITCHES
from trialfit.making.turned.rings import face_recess_mm
from trialfit.tables.designations import find_thread
from trialfit.units import Quantity

Lines = dict[str, Any]

# Chamfers that take the sharp edge off, and lead a thread in. (Common practice, no source.)
_CHAMFER = {"chamfer": "0.4 mm"}
_SMALL_CHAMFER = {"chamfer": "0.2 mm"}
# A relief at the bottom of a female thread stands this much outside its major diameter. (Common practice, no source.)
_RELIEF_MM = 0.2


def expanded(entry: TurnedEntry) -> TurnedEntry:
    """Write a ready-made part out as lines.

    Parameters
    ----------
    entry
        As it stands in the job.

    Returns
    -------
    TurnedEntry
        The same part without a pattern; one that had none comes back as it is.
    """
    if entry.pattern is None or entry.sizes is None:
        return entry
    kept = {key: getattr(entry, key) for key in ("what", "metal", "count", "bar", "least_wall")}
    return TurnedEntry.model_validate({**kept, **PATTERNS[entry.pattern](entry.sizes)})


def threaded_tail(sizes: TurnedSizes) -> Lines:
    """Write a hollow tail: spigot if wanted, hexagon, undercut and thread.

    Parameters
    ----------
    sizes
        Thread, bore, hexagon; the thread's whole length, or what shows of it with its port.

    Returns
    -------
    dict
        Lines of a turned part.
    """
    outside = _spigot(sizes)
    outside += [_CHAMFER, {"hexagon": sizes.hexagon, "long": sizes.hexagon_long}]
    outside += [_CHAMFER, _male_thread(sizes), _CHAMFER]
    return {"outside": outside, "from_left": [_through(sizes.bore)]}


def union_cone(sizes: TurnedSizes) -> Lines:
    """Write a union's cone: sleeve if wanted, collar for the nut to press on, cone.

    Parameters
    ----------
    sizes
        Body is the collar, long its length; nose and angle make the cone.

    Returns
    -------
    dict
        Lines of a turned part.
    """
    outside = [
        *_spigot(sizes),
        _SMALL_CHAMFER,
        {"plain": sizes.body, "long": sizes.long},
        {"taper": sizes.body, "to": sizes.nose, "angle": sizes.angle},
    ]
    socket = [{"counterbore": sizes.socket, "deep": sizes.socket_deep}] if sizes.socket else []
    return {"outside": outside, "from_left": [*socket, _through(sizes.bore)]}


def union_nut(sizes: TurnedSizes) -> Lines:
    """Write a union's nut: a hexagon tapped from the right, with the tube's hole through its left end.

    Parameters
    ----------
    sizes
        Long is its whole length, thread_long the depth of full thread, bore the hole for tube or sleeve.

    Returns
    -------
    dict
        Lines of a turned part.
    """
    return {"outside": _nut(sizes), "from_left": [_through(sizes.bore)], "from_right": [_female_thread(sizes)]}


def blanking_cap(sizes: TurnedSizes) -> Lines:
    """Write a cap: tapped from the right, relieved at the bottom, with a recess for an O-ring in its floor.

    The end of the part it closes lands on the step round the recess, metal on metal, and squeezes the ring.

    Parameters
    ----------
    sizes
        Long is its whole length, thread_long the depth from its face to the step.

    Returns
    -------
    dict
        Lines of a turned part.
    """
    assert sizes.thread and sizes.thread_long and sizes.o_ring and sizes.ring_bore
    thread, section = find_thread(sizes.thread), _mm(sizes.o_ring)
    relief_mm = RUN_OUT_PITCHES * thread.pitch_mm
    deep_mm = _mm(sizes.thread_long)
    recess_mm, recess_deep_mm = face_recess_mm(section, _mm(sizes.ring_bore))
    tapped = {"thread": sizes.thread, "deep": _text(deep_mm - relief_mm), "drilled": _text(deep_mm), "flat": True}
    if sizes.port is not None:
        tapped["port"] = sizes.port
    relief = {
        "groove": _text(thread.major_mm + _RELIEF_MM),
        "at": _text(deep_mm - relief_mm),
        "long": _text(relief_mm),
    }
    recess = {
        "counterbore": _text(recess_mm),
        "deep": _text(deep_mm + recess_deep_mm),
        "o_ring": sizes.o_ring,
        "ring_bore": sizes.ring_bore,
    }
    return {"outside": _nut(sizes), "from_right": [tapped, relief, recess]}


def adaptor(sizes: TurnedSizes) -> Lines:
    """Write an adaptor: another thread, male or female, hexagon, undercut and thread, bored through.

    Parameters
    ----------
    sizes
        Thread is the male one on the right, other the one on the left.

    Returns
    -------
    dict
        Lines of a turned part.
    """
    hexagon = [_CHAMFER, {"hexagon": sizes.hexagon, "long": sizes.hexagon_long}, _CHAMFER]
    right = [_male_thread(sizes), _CHAMFER]
    if sizes.other_inside:
        inside = [{"thread": sizes.other, "deep": sizes.other_long}, _through(sizes.bore)]
        return {"outside": [*hexagon, *right], "from_left": inside}
    assert sizes.other is not None
    other = {"thread": sizes.other, "long": sizes.other_long, "undercut": _undercut(sizes.other)}
    return {"outside": [_CHAMFER, other, *hexagon, *right], "from_left": [_through(sizes.bore)]}


def bush(sizes: TurnedSizes) -> Lines:
    """Write a bush: flange on the left, spigot on the right, tapped through.

    Parameters
    ----------
    sizes
        Body is the flange, long its thickness.

    Returns
    -------
    dict
        Lines of a turned part.
    """
    tapped: Lines = {"thread": sizes.thread, "through": True}
    if sizes.port is not None:
        tapped["port"] = sizes.port
    outside = [
        _SMALL_CHAMFER,
        {"plain": sizes.body, "long": sizes.long},
        {"spigot": sizes.spigot, "long": sizes.spigot_long},
        _SMALL_CHAMFER,
    ]
    return {"outside": outside, "from_left": [tapped]}


def ball_seat(sizes: TurnedSizes) -> Lines:
    """Write a seat for a ball: plain or threaded outside, the ball on the sharp edge of the bore.

    Parameters
    ----------
    sizes
        Body is its outside where it has no thread; the chamber, if any, is cut from the left.

    Returns
    -------
    dict
        Lines of a turned part.
    """
    body = {"thread": sizes.thread} if sizes.thread else {"plain": sizes.body}
    chamber = [{"counterbore": sizes.chamber, "deep": sizes.chamber_deep}] if sizes.chamber else []
    seat = {**_through(sizes.bore), "ball": sizes.ball}
    return {"outside": [{**body, "long": sizes.long}, _SMALL_CHAMFER], "from_left": [*chamber, seat]}


def shim_washer(sizes: TurnedSizes) -> Lines:
    """Write a shim washer.

    Parameters
    ----------
    sizes
        Body is its outside, long its thickness.

    Returns
    -------
    dict
        Lines of a turned part.
    """
    return {"outside": [{"plain": sizes.body, "long": sizes.long}], "from_left": [_through(sizes.bore)]}


PATTERNS: Mapping[str, Callable[[TurnedSizes], Lines]] = {
    "threaded tail": threaded_tail,
    "union cone": union_cone,
    "union nut": union_nut,
    "blanking cap": blanking_cap,
    "adaptor": adaptor,
    "bush": bush,
    "ball seat": ball_seat,
    "shim washer": shim_washer,
}


def _spigot(sizes: TurnedSizes) -> list[Lines]:
    return [{"spigot": sizes.spigot, "long": sizes.spigot_long}] if sizes.spigot else []


def _nut(sizes: TurnedSizes) -> list[Lines]:
    return [_CHAMFER, {"hexagon": sizes.hexagon, "long": sizes.long}, _CHAMFER]


def _through(bore: Quantity | None) -> Lines:
    return {"bore": bore, "through": True}


def _male_thread(sizes: TurnedSizes) -> Lines:
    assert sizes.thread is not None
    line: Lines = {"thread": sizes.thread, "undercut": _undercut(sizes.thread)}
    if sizes.port is not None:
        line["port"] = sizes.port
    if sizes.thread_shows is not None:
        return {**line, "shows": sizes.thread_shows}
    return {**line, "long": sizes.thread_long}


def _female_thread(sizes: TurnedSizes) -> Lines:
    line: Lines = {"thread": sizes.thread, "deep": sizes.thread_long, "flat": True}
    return line if sizes.port is None else {**line, "port": sizes.port}


def _undercut(thread: str) -> str:
    return _text(RUN_OUT_PITCHES * find_thread(thread).pitch_mm)


def _mm(quantity: Quantity) -> float:
    return float(quantity.to("mm"))


def _text(length_mm: float) -> str:
    """To a thousandth, which is finer than anyone can turn."""
    return f"{length_mm:.3f} mm"
