"""Whether a tube goes into a socket, or through the hole of a nut.

Source: gaps for silver soldering and the clearance of a nut, rules of `trialfit.tables.rules`. The gap that counts is
the one at brazing temperature; tube and socket both of copper alloy grow nearly alike, and no correction is made.
"""

from __future__ import annotations

from trialfit.finding import Answer, Figure, Reason
from trialfit.parts.cited import cite
from trialfit.parts.records import Check, Port
from trialfit.tables.rules import rule

# Limits printed to two decimals are kept when a figure rounds to them.
_HAIR_MM = 0.005


def size_checks(a: Port, b: Port) -> tuple[Check, ...]:
    """Hold a tube against a bore, whichever of the two ports has which.

    Parameters
    ----------
    a, b
        The two ports.

    Returns
    -------
    tuple of Check
        Empty where neither has a tube that goes into the other.
    """
    for tube, bore in ((a, b), (b, a)):
        if tube.tube_mm is not None and bore.bore_mm is not None:
            check = _through if bore.bore_is == "clearance hole" else _into
            return (check(tube, bore, tube.tube_mm, bore.bore_mm),)
    if a.tube_mm is not None and b.tube_mm is not None:
        return (_two_of_a_kind(a, b, "tube", "Make a sleeve to go over both, or a socket in one of the two."),)
    if a.bore_mm is not None and b.bore_mm is not None:
        return (_two_of_a_kind(a, b, "socket", "Put a piece of tube in both, or turn a spigot on one of the two."),)
    return ()


def _two_of_a_kind(a: Port, b: Port, kind: str, do: str) -> Check:
    return Check("size", Answer.STOP, Reason(f"Both are a {kind}: {a.full_name} and {b.full_name}."), do)


def _will_not_enter(tube_port: Port, bore_port: Port, tube_mm: float, bore_mm: float, least_mm: float) -> Check:
    said = (
        f"The {tube_mm:.2f} mm tube of {tube_port.full_name} will not enter the {bore_mm:.2f} mm bore of "
        f"{bore_port.full_name}."
    )
    do = f"Open the bore to {tube_mm + least_mm:.2f} mm."
    over, limit = Figure(bore_mm - tube_mm, "mm"), Figure(0.0, "mm")
    return Check("size", Answer.STOP, Reason(said), do, over, limit)


def _into(tube_port: Port, bore_port: Port, tube_mm: float, bore_mm: float) -> Check:
    """A tube in a socket, to be silver-soldered."""
    usual, narrow = rule("joint", "gap per side"), rule("joint", "gap per side for narrow alloys")
    least, most = usual.low or 0.0, usual.high or 0.0
    closest = narrow.low or 0.0
    gap = (bore_mm - tube_mm) / 2
    if gap <= 0:
        return _will_not_enter(tube_port, bore_port, tube_mm, bore_mm, 2 * least)
    places = 3 if gap < least - _HAIR_MM else 2
    said = f"The {tube_mm:.2f} mm tube leaves {gap:.{places}f} mm a side in the {bore_mm:.2f} mm socket"
    source = f"{cite(usual.sources)}: {least:.2f} to {most:.2f} mm a side"
    figure = Figure(gap, "mm a side", None, places)
    if gap > most + _HAIR_MM:
        reason = Reason(f"{said}, too loose for silver solder to fill.", source, usual.basis)
        do = f"Make the socket anew with {tube_mm + 2 * least:.2f} to {tube_mm + 2 * most:.2f} mm bore, or sleeve it."
        return Check("size", Answer.STOP, reason, do, figure, Figure(most, "mm a side"))
    if gap >= least - _HAIR_MM:
        return Check("size", Answer.GO, Reason(f"{said}.", source, usual.basis), "", figure, Figure(most, "mm a side"))
    do = f"Open the socket to {tube_mm + 2 * least:.2f} mm"
    limit = Figure(least, "mm a side")
    if gap >= closest:
        source = f"{cite(narrow.sources)}: {closest:.3f} to {narrow.high or 0.0:.3f} mm a side"
        reason = Reason(f"{said}: enough for thin-running silver solders, tight for others.", source, narrow.basis)
        return Check("size", Answer.LOOK, reason, f"{do}, or use a thin-running silver solder.", figure, limit)
    reason = Reason(f"{said}: too tight for any silver solder to run.", source, usual.basis)
    return Check("size", Answer.LOOK, reason, f"{do}.", figure, limit)


def _through(tube_port: Port, bore_port: Port, tube_mm: float, bore_mm: float) -> Check:
    """A tube through the hole of a nut."""
    law = rule("union nut", "hole over tube")
    least, most = law.low or 0.0, law.high or 0.0
    over = bore_mm - tube_mm
    if over <= 0:
        return _will_not_enter(tube_port, bore_port, tube_mm, bore_mm, least)
    said = f"The {bore_mm:.2f} mm hole is {over:.2f} mm over the {tube_mm:.2f} mm tube"
    source = f"{least:.2f} to {most:.2f} mm on the diameter"
    figure = Figure(over, "mm")
    if over > most + _HAIR_MM:
        reason = Reason(f"{said}: the nut bears on the edge of its cone only.", source, law.basis)
        return Check("size", Answer.LOOK, reason, "Bush the nut, or make it anew.", figure, Figure(most, "mm"))
    if over < least - _HAIR_MM:
        reason = Reason(f"{said}: a tube out of round will not let it slide.", source, law.basis)
        do = f"Open the hole to {tube_mm + least:.2f} mm."
        return Check("size", Answer.LOOK, reason, do, figure, Figure(least, "mm"))
    return Check("size", Answer.GO, Reason(f"{said}.", source, law.basis), "", figure, Figure(most, "mm"))
