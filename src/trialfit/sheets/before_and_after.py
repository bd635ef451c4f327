"""The sheet of a piece as it came and as it goes back: two photographs side by side at one true scale."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from trialfit.job.records import Job
from trialfit.sheets.compile import pdf
from trialfit.sheets.drawing import CUT, OUTLINE, Item, Line, Text, around
from trialfit.sheets.file_names import free_name
from trialfit.sheets.gauges import BAR_MM, check_bar
from trialfit.sheets.heading import ROOM_MM, Paper
from trialfit.sheets.owner_head import owner_head, owner_title
from trialfit.sheets.words import Words, words_for
from trialfit.survey.at_scale import AtScale
from trialfit.survey.before_and_after import BeforeAndAfter
from trialfit.survey.flat_limits import Window
from trialfit.survey.flatten import pixel_map

Picture = NDArray[np.uint8]

# Paper over piece, the largest first.
SCALES = ((10, 1), (5, 1), (2, 1), (1, 1), (1, 2), (1, 5), (1, 10), (1, 20), (1, 50), (1, 100))
PX_PER_MM = 8.0  # of paper; 203 to the inch
_WORDS_MM, _SIDE_WORDS_MM, _APART_MM = 58.0, 34.0, 4.0
_BARS_MM = {"metric": (1, 2, 5, 10, 20, 50, 100, 200, 500), "inch": (6.35, 12.7, 25.4, 50.8, 101.6, 254.0)}
_DEEP_MM = 10.0
_WHITE = (255, 255, 255)


@dataclass(frozen=True)
class Layout:
    """How the two pictures stand on the paper.

    Parameters
    ----------
    paper, piece
        The scale: so many millimetres of paper for so many of the piece. [-]
    size_mm
        Width and height of either picture on the paper. [mm]
    stacked
        Whether one stands over the other.
    """

    paper: int
    piece: int
    size_mm: tuple[float, float]
    stacked: bool

    @property
    def scale(self) -> float:
        """Millimetres of paper a millimetre of the piece. [-]"""
        return self.paper / self.piece


def before_and_after_files(
    job: Job, compared: Iterable[BeforeAndAfter], pictures: Mapping[str, Picture], paper: Paper = "a4"
) -> dict[str, bytes]:
    """Set the sheet of every pair whose two photographs are there.

    Parameters
    ----------
    job
        The job.
    compared
        The pairs, each at scale.
    pictures
        Upright photographs by name, (height, width) grey or (height, width, 3) red, green, blue. [-]
    paper
        Size of the paper.

    Returns
    -------
    dict
        PDF by file name.
    """
    sheets: dict[str, bytes] = {}
    for pair in compared:
        sides = {"before": pair.before, "after": pair.after}
        if all(side.photograph in pictures for side in sides.values()):
            layout = layout_of(pair, paper)
            shown = {
                f"{name}.jpg": _jpeg(cut_to_scale(pictures[side.photograph], side, layout))
                for name, side in sides.items()
            }
            record = before_and_after_sheet(job, pair, layout, paper)
            name = free_name("before-and-after", pair.name, sheets)
            title = owner_title(job, f"{words_for(job).say('pair-kind')}, {pair.what}")
            sheets[f"{name}.pdf"] = pdf("before_and_after.typ", record, title, job.job.date, shown)
    return sheets


def layout_of(pair: BeforeAndAfter, paper: Paper = "a4") -> Layout:
    """Choose the scale and how the pictures stand: as large as both go.

    Parameters
    ----------
    pair
        The pair.
    paper
        Size of the paper.

    Returns
    -------
    Layout
        Side by side, unless one over the other lets both be larger.
    """
    windows = (pair.before.window, pair.after.window)
    wide_mm, high_mm = max(each.width_mm for each in windows), max(each.height_mm for each in windows)
    room_wide, room_high = ROOM_MM[paper]
    room = {
        False: ((room_wide - _APART_MM) / 2.0, room_high - _WORDS_MM - _SIDE_WORDS_MM),
        True: (room_wide, (room_high - _WORDS_MM - 2.0 * _SIDE_WORDS_MM) / 2.0),
    }
    for numerator, denominator in SCALES:
        scale = numerator / denominator
        for stacked, (most_wide, most_high) in room.items():
            if wide_mm * scale <= most_wide and high_mm * scale <= most_high:
                return Layout(numerator, denominator, (wide_mm * scale, high_mm * scale), stacked)
    return Layout(*SCALES[-1], room[False], False)


def cut_to_scale(picture: Picture, side: AtScale, layout: Layout) -> Picture:
    """Cut what is shown out of a photograph, flat and at scale.

    Parameters
    ----------
    picture
        (height, width) or (height, width, 3) the upright photograph. [-]
    side
        What it shows, and its scale.
    layout
        The scale, and how large the picture is on the paper.

    Returns
    -------
    ndarray
        (rows, columns) or (rows, columns, 3), white where the photograph ends. [-]
    """
    window = _window(side, layout)
    per_mm = PX_PER_MM * layout.scale
    shape = round(window.height_mm * per_mm), round(window.width_mm * per_mm)
    across, down = pixel_map(side.pixels, window, per_mm, shape)
    left, top = max(int(across.min()) - 2, 0), max(int(down.min()) - 2, 0)
    part = picture[top : max(int(down.max()) + 3, top + 1), left : max(int(across.max()) + 3, left + 1)]
    coarser = max(1, int(side.px_per_mm / per_mm))
    small = max(1, part.shape[1] // coarser), max(1, part.shape[0] // coarser)
    trimmed = part[: small[1] * coarser, : small[0] * coarser]
    part = np.asarray(cv2.resize(trimmed, small, interpolation=cv2.INTER_AREA)) if coarser > 1 else trimmed
    sampled = cv2.remap(
        part,
        (across - left + 0.5) / coarser - 0.5,
        (down - top + 0.5) / coarser - 0.5,
        cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_CONSTANT,
        borderValue=_WHITE,
    )
    return np.asarray(sampled)


def before_and_after_sheet(job: Job, pair: BeforeAndAfter, layout: Layout, paper: Paper = "a4") -> dict[str, Any]:
    """Write the sheet of one pair as a record for its template.

    Parameters
    ----------
    job
        The job.
    pair
        The pair.
    layout
        Its scale, and how the pictures stand.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Plain values; pictures are called by name.
    """
    words = words_for(job)
    entry = job.before_and_after[pair.name]
    wide_mm = layout.size_mm[0] if not layout.stacked else ROOM_MM[paper][0]
    least_mm = (ROOM_MM[paper][0] - _APART_MM) / 2.0
    sides = [
        (words.say("pair-came"), "before.jpg", pair.before, entry.before.apart),
        (words.say("pair-goes"), "after.jpg", pair.after, entry.after.apart),
    ]
    long = f"{words.number(BAR_MM, 1)} mm"
    title = words.say("pair-title", what=pair.what[:1].upper() + pair.what[1:])
    return {
        "head": owner_head(job, words, paper, words.say("pair-kind"), title, words.say("pair-foot")),
        "scale": _scale(words, layout),
        "stacked": layout.stacked,
        "apart_mm": max(_APART_MM, 2.0 * least_mm + _APART_MM - 2.0 * max(layout.size_mm[0], least_mm)),
        "sides": [
            {
                "name": name,
                "picture": picture,
                "size": list(layout.size_mm),
                "words_mm": max(wide_mm, least_mm),
                "bar": around(_bar(words, layout)).record(),
                "lines": [
                    _sure(words, side, "" if apart is None else words.length(apart.value_mm)),
                    _deep(words, side),
                ],
            }
            for name, picture, side, apart in sides
        ],
        "surely": words.say("pair-surely"),
        "check": {"bar": check_bar(False, long).record(), "note": words.say("pair-bar", long=long)},
    }


def _jpeg(picture: Picture) -> bytes:
    """Colour kept as fine as light: coarser, it would bleed over the edges that are looked at."""
    ready = picture if picture.ndim == 2 else picture[:, :, ::-1]
    fine = [cv2.IMWRITE_JPEG_QUALITY, 88, cv2.IMWRITE_JPEG_SAMPLING_FACTOR, cv2.IMWRITE_JPEG_SAMPLING_FACTOR_444]
    _, content = cv2.imencode(".jpg", ready, fine)
    return content.tobytes()


def _window(side: AtScale, layout: Layout) -> Window:
    """What either picture shows: as much as the larger asks for, round the middle of its own."""
    wide, high = (each / layout.scale / 2.0 for each in layout.size_mm)
    x = (side.window.left_mm + side.window.right_mm) / 2.0
    y = (side.window.low_mm + side.window.high_mm) / 2.0
    return Window(x - wide, y - high, x + wide, y + high)


def _scale(words: Words, layout: Layout) -> str:
    scale = f"{layout.paper}:{layout.piece}"
    if layout.paper == layout.piece:
        return words.say("pair-true", scale=scale)
    if layout.paper > layout.piece:
        return words.say("pair-larger", scale=scale, times=words.number(layout.paper))
    return words.say("pair-smaller", scale=scale, times=words.number(layout.piece))


def _sure(words: Words, side: AtScale, apart: str) -> str:
    percent = words.number(100.0 * side.k2_share, 1)
    if side.by == "card":
        return words.say("pair-by-card", percent=percent)
    if side.by == "marks":
        return words.say("pair-by-marks", percent=percent, apart=apart)
    return words.say("pair-by-point", percent=percent)


def _deep(words: Words, side: AtScale) -> str:
    if side.away_mm is None:
        return words.say("pair-deep-unknown")
    # Nearer by d the same length is seen 1 / (1 - d / away) as large.
    more = 100.0 * (1.0 / (1.0 - _DEEP_MM / side.away_mm) - 1.0) if side.away_mm > 2.0 * _DEEP_MM else 100.0
    return words.say("pair-deep", deep=words.length(_DEEP_MM, 0), percent=words.number(more, 1))


def _bar(words: Words, layout: Layout) -> list[Item]:
    """A bar of round length on the piece, at the pictures' scale."""
    lengths = [mm for mm in _BARS_MM[words.system] if mm * layout.scale <= 0.6 * layout.size_mm[0]]
    long_mm = lengths[-1] if lengths else _BARS_MM[words.system][0]
    long = f"{words.number(long_mm)} mm" if words.system == "metric" else f"{_inches(words, long_mm)} in"
    on_paper = long_mm * layout.scale
    ends: list[Item] = [Line((x, -1.6), (x, 1.6), CUT) for x in (0.0, on_paper)]
    return [Line((0.0, 0.0), (on_paper, 0.0), OUTLINE), *ends, Text((on_paper + 2.0, 0.0), long, anchor="start")]


def _inches(words: Words, long_mm: float) -> str:
    return words.number(long_mm / 25.4, 0 if long_mm >= 25.4 else 2)
