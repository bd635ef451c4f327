"""Layered primitives as a DXF drawing at the part's true size, one layer a kind of line."""

from __future__ import annotations

import io
import re
from collections.abc import Iterable
from datetime import date
from math import hypot
from typing import TYPE_CHECKING, Any
from uuid import UUID, uuid5

from trialfit.sheets.drawing import Arc, Item, Line, Polyline, Ribbon, Text
from trialfit.sheets.layers import LAYERS, Layer, Layered

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

# Line types of the DXF, by layer, and line widths in hundredths of a millimetre that DXF knows.
_LINE_TYPES: dict[Layer, str] = {"centre": "CENTER", "hidden": "DASHED"}
_WIDTHS: dict[Layer, int] = {"outline": 50, "centre": 18, "hidden": 18, "thread": 18, "hatch": 9, "dimension": 9}
_COLOURS: dict[Layer, int] = {"outline": 7, "centre": 1, "hidden": 3, "thread": 4, "hatch": 8, "dimension": 5}
# What a drawing's own identifier is made from, with its title: any fixed one serves.
_DRAWINGS = UUID("6f0d5c3e-8a41-5d27-9b1e-2c7f40a8d1b6")
# From days counted from the year 1 to a DXF's days: Julian ones, which there begin at the midnight before their noon.
_DAYS_BEFORE = 1721425
_POINT_MM = 25.4 / 72.0
# Height of a capital over the size of the letters.
_CAPITAL = 0.66
_MIDDLE = {"start": "MIDDLE_LEFT", "middle": "MIDDLE_CENTER", "end": "MIDDLE_RIGHT"}


def dxf(layered: Iterable[Layered], scale: float, title: str, dated: date) -> str:
    """Write a drawing.

    Parameters
    ----------
    layered
        What is drawn, at the size it has on paper.
    scale
        Paper over true size; the file is at true size. [-]
    title
        Kept in the file as a note.
    dated
        The date the file is stamped with.

    Returns
    -------
    str
        A DXF of version R2010 in millimetres. The origin stays where it is: left face, on the axis. The same drawing,
        title and date give the same text.
    """
    from ezdxf import units  # only a drawing pays for loading it
    from ezdxf.filemanagement import new

    document: Document = new("R2010", setup=["linetypes"], units=units.MM)
    document.header["$MEASUREMENT"] = 1
    document.header["$LTSCALE"] = 0.25 / scale
    document.ezdxf_metadata()["title"] = title
    for name in LAYERS:
        document.layers.add(
            name.upper(), color=_COLOURS[name], linetype=_LINE_TYPES.get(name, "CONTINUOUS"), lineweight=_WIDTHS[name]
        )
    space = document.modelspace()
    items = tuple(layered)
    for each in items:
        _add(space, each.item, 1.0 / scale, {"layer": each.layer.upper()})
    drawing = uuid5(_DRAWINGS, title)
    return _stamped(document, dated, drawing, uuid5(drawing, f"{dated} {scale!r} {items!r}"))


def _stamped(document: Document, dated: date, drawing: UUID, version: UUID) -> str:
    """Written, with what the library stamps it with by clock and chance put right afterwards."""
    out = io.StringIO()
    document.write(out)
    written, noted = out.getvalue(), document.ezdxf_metadata()
    day = f"{dated.toordinal() + _DAYS_BEFORE:.1f}"
    stamps = dict.fromkeys(("$TDCREATE", "$TDUCREATE", "$TDUPDATE", "$TDUUPDATE"), day)
    stamps |= {"$FINGERPRINTGUID": f"{{{drawing}}}".upper(), "$VERSIONGUID": f"{{{version}}}".upper()}
    for name, stamp in stamps.items():
        written = re.sub(rf"({re.escape(name)}\n *\d+\n)[^\n]*", rf"\g<1>{stamp}", written, count=1)
    for by in ("CREATED_BY_EZDXF", "WRITTEN_BY_EZDXF"):
        written = written.replace(noted[by], f"{noted[by].partition(' @ ')[0]} @ {dated}")
    return written


def _add(space: Any, item: Item, by: float, attributes: dict[str, str]) -> None:
    if isinstance(item, Line):
        if hypot(item.end[0] - item.start[0], item.end[1] - item.start[1]) > 1e-9:
            space.add_line(_by(item.start, by), _by(item.end, by), dxfattribs=attributes)
    elif isinstance(item, Polyline):
        points = [_by(point, by) for point in item.points]
        if item.fill == "black":
            space.add_solid([points[0], points[1], points[2]], dxfattribs=attributes)
        else:
            space.add_lwpolyline(points, close=item.closed, dxfattribs=attributes)
    elif isinstance(item, Ribbon):
        space.add_lwpolyline([_by(point, by) for point in item.points], dxfattribs=attributes)
    elif isinstance(item, Arc):
        _add_arc(space, item, by, attributes)
    elif isinstance(item, Text):
        from ezdxf.enums import TextEntityAlignment

        text = space.add_text(
            _coded(item.text), height=item.size_pt * _POINT_MM * _CAPITAL * by, rotation=item.turn_deg,
            dxfattribs=attributes,
        )  # fmt: skip
        text.set_placement(_by(item.at, by), align=TextEntityAlignment[_MIDDLE[item.anchor]])


def _add_arc(space: Any, item: Arc, by: float, attributes: dict[str, str]) -> None:
    centre, radius = _by(item.centre, by), item.radius_mm * by
    if abs(item.to_deg - item.from_deg) >= 360.0:
        space.add_circle(centre, radius, dxfattribs=attributes)
    else:
        first, last = sorted((item.from_deg, item.to_deg))
        space.add_arc(centre, radius, first, last, dxfattribs=attributes)


def _by(point: tuple[float, float], by: float) -> tuple[float, float]:
    return point[0] * by, point[1] * by


def _coded(text: str) -> str:
    """The signs DXF has codes of its own for, and a plain x for the multiplication sign."""
    return text.replace("Ø", "%%c").replace("°", "%%d").replace("±", "%%p").replace("×", "x")
