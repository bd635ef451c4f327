"""Which way a fitting points, as a clock face, and what to put under it: in the owner's words."""

from __future__ import annotations

from typing import Any

from trialfit.fitup.clocking import PROMISED_DEG, Packing
from trialfit.fitup.clocking_findings import Clocked
from trialfit.fitup.trial_table import hour_hand
from trialfit.job.clocking import ClockingEntry
from trialfit.sheets.fitting.clock_face import clock_face
from trialfit.sheets.layers import on
from trialfit.sheets.svg import svg
from trialfit.sheets.words import Words
from trialfit.units import read


def pointing(entry: ClockingEntry, clocked: Clocked, words: Words) -> dict[str, Any]:
    """Say which way a fitting points.

    Parameters
    ----------
    entry
        What the job says of it.
    clocked
        What was worked out for it.
    words
        The owner's words.

    Returns
    -------
    dict
        The sentences, the clock face as primitives and as SVG, and the table of washers where its stop is not known.
    """
    wanted_deg = float(entry.wanted.to("deg"))
    lines = [
        words.say(
            "fitting-points-at",
            clock=clock_words(wanted_deg, words),
            twelve=entry.twelve,
            seen=words.say("fitting-seen-outside"),
        ),
        words.say("fitting-points-within", degrees=words.number(PROMISED_DEG)),
    ]
    table: list[list[str]] = []
    if clocked.turns:
        turns = words.number(clocked.turns[0].turns, 2)
        lines.append(words.say("fitting-taper-turns", turns=turns))
    elif clocked.packing is not None:
        lines.append(_packed(clocked.packing, words))
    elif clocked.table:
        lines.append(words.say("fitting-table"))
        table = [
            [clock_words(30.0 * hour, words), washer_words(row.fit, words)] for hour, row in enumerate(clocked.table, 1)
        ]
    face = clock_face(wanted_deg)
    return {
        "name": words.say("fitting-points"),
        "lines": lines,
        "face": face.record(),
        "face_svg": svg(on("outline", face.items), clock_words(wanted_deg, words), 0.5),
        "columns": [words.say("fitting-table-stopped"), words.say("fitting-table-fit")],
        "table": table,
    }


def clock_words(angle_deg: float, words: Words) -> str:
    """Write a direction as the hand of a clock, to the nearest half hour.

    Parameters
    ----------
    angle_deg
        Clockwise from twelve. [deg]
    words
        The owner's words.

    Returns
    -------
    str
        Such as ``4 o'clock``.
    """
    hour, half_past = hour_hand(angle_deg)
    if not half_past:
        return words.say("fitting-o-clock", hour=words.number(hour))
    return words.say("fitting-half-past", hour=words.number(hour), next=words.number(hour % 12 + 1))


def washer_words(packing: Packing, words: Words) -> str:
    """Write washers as a person picks them.

    Parameters
    ----------
    packing
        Which.
    words
        The owner's words.

    Returns
    -------
    str
        Such as ``0.15 mm and 0.30 mm``.
    """
    if not packing.shims_mm:
        return words.say("fitting-no-washer")
    said = marked_mm(packing.shims_mm[0], words)
    for each in packing.shims_mm[1:]:
        said = words.say("fitting-plus-washer", one=said, other=marked_mm(each, words))
    return said


def marked_mm(thickness_mm: float, words: Words) -> str:
    """Write a washer's thickness as it is marked on its bag, in millimetres whoever reads it.

    Parameters
    ----------
    thickness_mm
        Its thickness. [mm]
    words
        The owner's words.

    Returns
    -------
    str
        Such as ``0.075 mm``.
    """
    return words.as_marked(read(f"{thickness_mm:g} mm", "length"))


def _packed(packing: Packing, words: Words) -> str:
    if not packing.shims_mm:
        return words.say("fitting-washers-none")
    return words.say("fitting-washers", washers=washer_words(packing, words))
