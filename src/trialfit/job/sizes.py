"""Figures that must agree with one another."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from trialfit.job.found import Found
from trialfit.job.places import Path
from trialfit.job.written import quantity, table, tables


def size_faults(document: dict[str, Any]) -> list[Found]:
    """Find every figure that cannot stand beside another.

    Parameters
    ----------
    document
        As read from TOML; whatever in it is of the wrong kind is passed over.

    Returns
    -------
    list
        One fault a disagreement.
    """
    return [*_known_points(document), *_plain_marks(document), *_card(table(document, "card")), *_ports(document)]


def _known_points(document: dict[str, Any]) -> Iterator[Found]:
    for name, point in tables(document, "points").items():
        path: Path = ("points", name)
        if "at" in point and "pm" not in point:
            remedy = 'Add pm = "0.4 mm": how far out each of the three may be, k = 2.'
            yield Found((*path, "pm"), "nothing", "a plus-or-minus, as the place is given", remedy, absent="pm")
        if "pm" in point and "at" not in point:
            remedy = "Give the place it belongs to, or take pm out."
            yield Found((*path, "at"), "nothing", "x, y, z, as a plus-or-minus is given", remedy, absent="at")


def _plain_marks(document: dict[str, Any]) -> Iterator[Found]:
    """One fault, at the first mark that relies on the ordinary plus-or-minus when there is none."""
    if "survey" in document:
        return
    for photograph, marks in tables(document, "marks").items():
        for point, mark in marks.items():
            if not isinstance(mark, dict) or "pm" not in mark:
                remedy = 'Add a table [survey] with mark_pm = "3 px".'
                wanted = "a plus-or-minus for ordinary marks"
                path: Path = ("marks", photograph, point)
                yield Found(path, "nothing", wanted, remedy, "survey, mark_pm", absent="mark_pm")
                return


def _card(card: dict[str, Any]) -> Iterator[Found]:
    square, marker = quantity(card.get("square"), "length"), quantity(card.get("marker"), "length")
    if square and marker and marker.to("mm") >= square.to("mm"):
        remedy = "Measure a black marker and a whole square anew."
        yield Found(("card", "marker"), str(marker), f"less than the square's {square}", remedy)
    squares = card.get("squares")
    if not (isinstance(squares, list) and len(squares) == 2 and all(type(n) is int and n >= 2 for n in squares)):
        return
    most = str(card.get("dictionary")).rpartition("_")[2]
    markers = squares[0] * squares[1] // 2
    if most.isdecimal() and markers > int(most):
        got = f"{squares[0]} x {squares[1]}, which takes {markers} markers"
        yield Found(("card", "squares"), got, f"at most {most} markers", "Check the count, or the marker set's name.")
    yield from _page(card, squares, square.to("mm") if square else None)


def _page(card: dict[str, Any], squares: list[int], square_mm: Fraction | None) -> Iterator[Found]:
    page = card.get("page")
    sides = [quantity(side, "length") for side in page] if isinstance(page, list) else []
    if len(sides) != 2:
        return
    long, short = sides
    if not long or not short:
        return
    if long.to("mm") < short.to("mm"):
        yield Found(("card", "page"), f"{long} x {short}", "the long side first", "Change the two round.")
        return
    for count, side, which in zip(squares, (long, short), ("long", "short"), strict=True):
        if square_mm is not None and count * square_mm > side.to("mm"):
            got = f"{count} squares of {float(square_mm):g} mm along the {which} side"
            yield Found(
                ("card", "squares"), got, f"squares that fit on {side}", "Check the count and the square's size."
            )


def _ports(document: dict[str, Any]) -> Iterator[Found]:
    for part, entry in tables(document, "parts").items():
        for port, each in tables(entry, "ports").items():
            path: Path = ("parts", part, "ports", port)
            angle = quantity(table(each, "seat").get("angle"), "angle")
            if angle and angle.to("deg") >= 180:
                remedy = 'For a flat seat write kind = "flat" and no angle.'
                yield Found((*path, "seat", "angle"), str(angle), "an included angle under 180 deg", remedy)
            direction = each.get("direction")
            if isinstance(direction, list) and len(direction) == 3 and all(n == 0 for n in direction):
                remedy = "Say which way it points, for instance [0, 0, -1]."
                yield Found((*path, "direction"), "no direction at all", "at least one figure that is not 0", remedy)
