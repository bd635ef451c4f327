"""What was typed freely, as it is understood: a bare fraction is of an inch, a bare decimal is in millimetres."""

from __future__ import annotations

import re

from trialfit.errors import Refusal
from trialfit.units import Quantity, inches, psi, read

_FRACTION = re.compile(r"[+-]?\s*(\d+[\s-]+)?\d+\s*/\s*\d+")
_PART = re.compile(r"([+-]?)\s*(?:(\d+)[\s-]+)?(\d+)\s*/\s*([1-9]\d*)\s*([^\d\s].*)?")
_DECIMAL = re.compile(r"[+-]?\s*(\d+[.,]?\d*|[.,]\d+)")
_USUAL = {
    "length": "mm", "angle": "deg", "pixels": "px", "pressure": "psi", "temperature": "C", "mass": "g", "time": "s",
    "power": "kW", "torque": "N·m", "force": "N", "flow": "mL/min", "volume": "mL", "share": "%", "turns": "turn",
    "threads per inch": "tpi", "wire gauge": "swg",
}  # fmt: skip


def understood(text: str, kind: str) -> tuple[str, str]:
    """Read what was typed.

    Parameters
    ----------
    text
        As typed: ``3/16``, ``4,76``, ``22 swg``.
    kind
        Wanted kind of quantity, as `trialfit.units.read` takes it.

    Returns
    -------
    tuple of str and str
        What is to be written into the document, and the echo for the person who typed it.

    Raises
    ------
    Refusal
        It cannot be read.
    """
    typed = text.strip()
    if kind == "minutes":  # of a time at the bench a bare number is of minutes
        bare = typed.replace(",", ".")
        typed, kind = (f"{bare} min" if _DECIMAL.fullmatch(bare) else typed), "time"
    if kind not in _USUAL:
        raise Refusal("kind", kind, f"one of {', '.join(_USUAL)}", "Ask for a kind of quantity that is known.")
    if kind == "length" and _FRACTION.fullmatch(typed):
        typed = f"{typed} in"
    elif kind != "length" and (part := _PART.fullmatch(typed)):
        # Only of an inch is a fraction a size by itself; of all else it is another way to write the decimal.
        sign, whole, above, below, unit = part.groups()
        value = int(whole or 0) + int(above) / int(below)
        typed = f"{sign}{value:.9g} {unit or _USUAL[kind]}"
    elif _DECIMAL.fullmatch(typed):
        typed = f"{typed.replace(',', '.')} {_USUAL[kind]}"
    elif re.match(r"[+-]?\s*\d+,\d", typed):
        typed = typed.replace(",", ".", 1)
    quantity = read(typed, kind)
    return typed, _echo(quantity, kind)


def _echo(quantity: Quantity, kind: str) -> str:
    if kind == "length":
        mm = float(quantity.to("mm"))
        return f"{mm:.4g} mm" if abs(mm) >= 1000 else f"{mm:.3f} mm = {inches(mm):.4f} in"
    if kind == "pressure":
        mpa = float(quantity.to("MPa"))
        return f"{psi(mpa):.1f} psi = {10 * mpa:.2f} bar"
    if kind == "temperature":
        return f"{float(quantity.to('C')):.0f} °C = {float(quantity.to('F')):.0f} °F"
    if kind == "mass":
        return f"{float(quantity.to('g')):.4g} g = {float(quantity.to('oz')):.3g} oz"
    if kind == "torque":
        return f"{float(quantity.to('N·m')):.3g} N·m = {float(quantity.to('lbf·in')):.3g} lbf·in"
    number = float(quantity.number)
    return f"{number:g} {quantity.unit}"
