"""Layered primitives as an SVG drawing in millimetres, one group a layer."""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

from trialfit.sheets.drawing import Arc, Item, Line, Pen, Polyline, Ribbon, Text, extent, polar
from trialfit.sheets.layers import LAYERS, Layered

_POINT_MM = 25.4 / 72.0
# From the middle of the capitals down to the line they stand on.
_HALF_CAPITAL = 0.33


def svg(layered: Sequence[Layered], title: str, margin_mm: float = 3.0) -> str:
    """Write a drawing.

    Parameters
    ----------
    layered
        What is drawn, the undermost first.
    title
        Title of the drawing, as a viewer shows it.
    margin_mm
        Paper left all round. [mm]

    Returns
    -------
    str
        An SVG document at true size on paper; layers are groups named by their kind of line.
    """
    left, low, right, high = extent(each.item for each in layered)
    wide, tall = right - left + 2.0 * margin_mm, high - low + 2.0 * margin_mm
    shift = f"translate({_n(margin_mm - left)} {_n(margin_mm + high)}) scale(1 -1)"
    groups = "".join(_group(layer, [each.item for each in layered if each.layer == layer]) for layer in LAYERS)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(wide)}mm" height="{_n(tall)}mm" '
        f'viewBox="0 0 {_n(wide)} {_n(tall)}">\n<title>{escape(title)}</title>\n'
        f'<rect width="100%" height="100%" fill="white"/>\n'
        f'<g transform="{shift}" fill="none" stroke="black" stroke-linecap="butt">\n{groups}</g>\n</svg>\n'
    )


def _group(layer: str, items: list[Item]) -> str:
    return f"<g id={quoteattr(layer)}>\n{''.join(map(_element, items))}</g>\n" if items else ""


def _element(item: Item) -> str:
    if isinstance(item, Line):
        (x0, y0), (x1, y1) = item.start, item.end
        return f'<path d="M{_n(x0)} {_n(y0)}L{_n(x1)} {_n(y1)}"{_stroke(item.pen)}/>\n'
    if isinstance(item, Polyline):
        return _polyline(item.points, item.closed, item.fill, item.pen)
    if isinstance(item, Ribbon):
        return _polyline(item.points, False, "none", Pen(item.width_mm))
    if isinstance(item, Arc):
        return _arc(item)
    return _text(item)


def _polyline(points: Sequence[tuple[float, float]], closed: bool, fill: str, pen: Pen | None) -> str:
    path = "L".join(f"{_n(x)} {_n(y)}" for x, y in points)
    filled = "" if fill == "none" else f' fill="{fill}"'
    edge = ' stroke="none"' if pen is None else _stroke(pen)
    return f'<path d="M{path}{"Z" if closed else ""}"{filled}{edge}/>\n'


def _arc(item: Arc) -> str:
    turn = item.to_deg - item.from_deg
    pieces = 2 if abs(turn) >= 180.0 else 1
    path = "M{} {}".format(*map(_n, polar(item.centre, item.radius_mm, item.from_deg)))
    for piece in range(1, pieces + 1):
        x, y = polar(item.centre, item.radius_mm, item.from_deg + turn * piece / pieces)
        path += f"A{_n(item.radius_mm)} {_n(item.radius_mm)} 0 0 {int(turn > 0)} {_n(x)} {_n(y)}"
    return f'<path d="{path}"{_stroke(item.pen)}/>\n'


def _text(item: Text) -> str:
    size = item.size_pt * _POINT_MM
    x, y = item.at
    turned = f"translate({_n(x)} {_n(y)}) rotate({_n(item.turn_deg)}) scale(1 -1)"
    anchor = {"start": "start", "middle": "middle", "end": "end"}[item.anchor]
    weight = ' font-weight="bold"' if item.bold else ""
    # A wide white edge under the letters clears the line a figure stands on.
    edge = f'stroke="white" stroke-width="{_n(0.5 * size)}" paint-order="stroke"' if item.clear else 'stroke="none"'
    return (
        f'<text transform="{turned}" y="{_n(_HALF_CAPITAL * size)}" font-family="serif" font-size="{_n(size)}" '
        f'text-anchor="{anchor}" fill="black" {edge}{weight}>{escape(item.text)}</text>\n'
    )


def _stroke(pen: Pen) -> str:
    dash = f' stroke-dasharray="{" ".join(map(_n, pen.dash_mm))}"' if pen.dash_mm else ""
    return f' stroke-width="{_n(pen.width_mm)}"{dash}'


def _n(value: float) -> str:
    """To a ten-thousandth of a millimetre, without a tail of noughts."""
    return f"{value:.4f}".rstrip("0").rstrip(".") if abs(value) >= 5e-5 else "0"
