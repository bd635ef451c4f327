"""What a place of the circuit is called: after the part a person would look for.

Source: the job's own names.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from trialfit.feed.records import spoken
from trialfit.parts.records import Part

# The part a place is called after, the best first.
_FIRST = ("tee", "check valve", "cock", "three-way cock", "pump", "injector", "elbow", "adaptor", "bush", "union body")


def node_name(part: str, port: str) -> str:
    """Name a place.

    Parameters
    ----------
    part, port
        The part it is called after and the port of it, as `called_after` gives them.

    Returns
    -------
    str
        Such as ``tee`` or ``inlet of bypass cock``.
    """
    if not port:
        return spoken(part)
    return f"{'inside' if port == 'inside' else f'{port} of'} {spoken(part)}"


def called_after(ports: Sequence[str], parts: Mapping[str, Part]) -> tuple[str, str]:
    """Choose what a place is called after.

    Parameters
    ----------
    ports
        The ports that meet there, as part.port.
    parts
        The parts of the job, by name.

    Returns
    -------
    tuple of str
        Part and port; no port where the whole part is one place.
    """
    best = min(ports, key=lambda port: (_rank(parts[port.rpartition(".")[0]].kind), ports.index(port)))
    part, _, port = best.rpartition(".")
    if parts[part].kind in ("tee", "elbow", "adaptor", "bush", "union body", "union cone"):
        return part, ""
    return part, port


def _rank(kind: str) -> int:
    return _FIRST.index(kind) if kind in _FIRST else len(_FIRST)
