"""Quoted against actual, drawn: of each past job a bar to the four-in-five time and a mark where it ended."""

from __future__ import annotations

from math import ceil

from trialfit.quote.held import Held
from trialfit.sheets.drafting import rectangle
from trialfit.sheets.drawing import FINE, OUTLINE, Item, Line, Polyline, Text
from trialfit.sheets.layers import Layered, on

_ROW_MM = 7.0
_NAMES_MM = 52.0
_PAST_MM = 12.0
_LETTERS_PT = 10.0
_MOST_LETTERS = 24
_STEPS_MIN = (15, 30, 60, 120, 300, 600, 1200, 3000, 6000)


def held_drawing(held: tuple[Held, ...], wide_mm: float) -> list[Layered]:
    """Draw past jobs against their quotes.

    Parameters
    ----------
    held
        The jobs.
    wide_mm
        Room across. [mm]

    Returns
    -------
    list
        Primitives in millimetres: the bar ends at the four-in-five time, a line in it stands at the likely one, and
        the lozenge where the job ended is black where it went over.
    """
    most_min = max(max(each.four_in_five_min, each.taken_min) for each in held)
    step_min = next((step for step in _STEPS_MIN if most_min / step <= 9), _STEPS_MIN[-1])
    scale = (wide_mm - _NAMES_MM - _PAST_MM) / (ceil(most_min / step_min) * step_min)
    high_mm = _ROW_MM * len(held)
    items: list[Item] = []
    for mark in range(ceil(most_min / step_min) + 1):
        at_mm = _NAMES_MM + mark * step_min * scale
        items.append(Line((at_mm, 0.0), (at_mm, high_mm), FINE))
        items.append(Text((at_mm, -3.0), _axis_words(mark * step_min), _LETTERS_PT))
    for place, each in enumerate(held):
        items += _row(each, high_mm - _ROW_MM * (place + 0.5), scale)
    legend = "bar: foreseen, four times in five; line in it: likely; lozenge: what it took, black where it went over"
    items.append(Text((0.0, -9.0), legend, _LETTERS_PT, anchor="start"))
    return on("outline", items)


def _row(each: Held, y_mm: float, scale: float) -> list[Item]:
    likely, high, taken = (
        _NAMES_MM + minutes * scale for minutes in (each.likely_min, each.four_in_five_min, each.taken_min)
    )
    name = each.job if len(each.job) <= _MOST_LETTERS else f"{each.job[: _MOST_LETTERS - 1]}…"
    size = 1.7
    lozenge = ((taken - size, y_mm), (taken, y_mm + size), (taken + size, y_mm), (taken, y_mm - size))
    return [
        Text((_NAMES_MM - 2.0, y_mm), name, _LETTERS_PT, anchor="end"),
        rectangle(_NAMES_MM, y_mm - 1.6, high, y_mm + 1.6),
        Line((likely, y_mm - 1.6), (likely, y_mm + 1.6), OUTLINE),
        Polyline(lozenge, closed=True, fill="white" if each.holds else "black"),
    ]


def _axis_words(minutes: float) -> str:
    return f"{minutes:.0f} min" if minutes < 60 and minutes else f"{minutes / 60:g} h"
