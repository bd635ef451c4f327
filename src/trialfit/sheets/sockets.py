"""The straight tube marked out along its length, and its ends in section in their sockets."""

from __future__ import annotations

from trialfit.fitup.records import EndFace, PipePlan, TubeStock
from trialfit.sheets.drafting import dimension, hatching, largest_scale, rectangle
from trialfit.sheets.drawing import BOLD, CENTRE, FINE, HIDDEN, THIN, Item, Line, Polyline, Text, around
from trialfit.sheets.labels import spread
from trialfit.sheets.views import Scaled

_LETTERS_PT = 11.0


def marked_strip(pipe: PipePlan, width_mm: float) -> Scaled:
    """Draw the straight tube with the marks where each bend begins and ends.

    Parameters
    ----------
    pipe
        The pipe.
    width_mm
        Paper there is. [mm]

    Returns
    -------
    Scaled
        The tube at full size where it fits, the marks with their distances from the start end.
    """
    up, down = largest_scale((width_mm - 8.0) / pipe.cut_length.value)
    scale = up / down
    long, half = pipe.cut_length.value * scale, max(pipe.tube.od_mm * scale / 2.0, 1.0)
    items: list[Item] = [rectangle(0.0, -half, long, half), Line((-3.0, 0.0), (long + 3.0, 0.0), CENTRE)]
    for bend in pipe.bends:
        a, b = bend.starts.value * scale, bend.ends.value * scale
        items += [rectangle(a, -half, b, half, THIN), *hatching(a, -half, b, half, 2.0, rising=True)]
        items.append(Text(((a + b) / 2.0, half + 4.5), f"bend {bend.number}", 10.5, bold=True, clear=True))
    filed = (pipe.cut_length.value - pipe.file_allowance_mm) * scale
    items.append(Line((filed, -half), (filed, half), HIDDEN))
    marks = [(0.0, "0")]
    for bend in pipe.bends:
        marks += [(at.value * scale, f"{at.value:.{at.places}f}") for at in (bend.starts, bend.ends)]
    marks.append((long, f"{pipe.cut_length.value:.{pipe.cut_length.places}f}"))
    for (at, words), shown in zip(marks, spread([at for at, _ in marks], 5.2), strict=True):
        items.append(Line((at, -half - 4.0), (at, half + 1.5), BOLD if 0.0 < at < long else THIN))
        items.append(Line((at, -half - 4.0), (shown, -half - 8.0), FINE))
        items.append(Text((shown, -half - 9.0), words, _LETTERS_PT, anchor="end", turn_deg=90.0, bold=True))
    items.append(Text((0.0, half + 4.5), "start", 10.5, anchor="start", bold=True))
    items.append(Text((long, half + 4.5), "far end", 10.5, anchor="end", bold=True))
    return Scaled(around(items), f"{up}:{down}")


def socket_end(tube: TubeStock, end: EndFace, width_mm: float) -> Scaled:
    """Draw in section how far a tube's end goes past the face into its socket.

    Parameters
    ----------
    tube
        The tube.
    end
        The face, and how far the tube goes past it.
    width_mm
        Paper there is. [mm]

    Returns
    -------
    Scaled
        The tube's end cut through, in a plain block that stands for the fitting, with the depth dimensioned.
    """
    od, wall, deep = tube.od_mm, tube.wall_mm, end.enters_mm
    up, down = largest_scale(min(12.0 / od, (width_mm - 30.0) / (deep + 3.0 * od)), at_most=10.0)
    scale = up / down
    od, wall, deep = od * scale, wall * scale, deep * scale
    half, inner, block, past, free = od / 2.0, od / 2.0 - wall, od * 0.8, od * 0.6, od * 1.6
    items: list[Item] = []
    for side in (1.0, -1.0):
        low, high = sorted((side * half, side * block))
        items += hatching(0.0, low, deep, high, 1.6, rising=side > 0)
        low, high = sorted((side * inner, side * block))
        items += hatching(deep, low, deep + past, high, 1.6, rising=side > 0)
        low, high = sorted((side * inner, side * half))
        items += hatching(-free, low, deep, high, 0.9, rising=side < 0)
        outer = ((0.0, side * half), (0.0, side * block), (deep + past, side * block), (deep + past, side * inner))
        items += [Polyline((*outer, (deep, side * inner)))]
        items += [Polyline(((-free, side * inner), (deep, side * inner), (deep, side * half), (-free, side * half)))]
    items += [Line((-free - 2.0, 0.0), (deep + past + 3.0, 0.0), CENTRE)]
    items += [Line((0.0, block), (0.0, block + 3.0), THIN), Text((0.0, block + 5.0), "face", 10.5)]
    items += dimension((0.0, -block), (deep, -block), -5.0, f"{end.enters_mm:.2f} mm", _LETTERS_PT)
    return Scaled(around(items), f"{up}:{down}")
