"""Lines of turned parts that name a port: a joint must know it, and say how much is hidden where that is counted in."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from trialfit.job.found import Found
from trialfit.job.nearest import nearest
from trialfit.job.places import Path
from trialfit.job.written import listed, table, tables, text

_LINES = ("outside", "from_left", "from_right")


def turned_faults(document: dict[str, Any]) -> list[Found]:
    """Find every port of a turned part that no joint knows, or whose joint does not say what it hides.

    Parameters
    ----------
    document
        As read from TOML; whatever in it is of the wrong kind is passed over.

    Returns
    -------
    list
        One fault a line.
    """
    hidden = {
        port: "hidden" in joint
        for _, joint in listed(document, "joints")
        for port in (text(joint, "a"), text(joint, "b"))
        if port is not None
    }
    found: list[Found] = []
    for name, entry in tables(document, "turned").items():
        for key in _LINES:
            for n, line in listed(entry, key):
                found += _of_line(("turned", name, key, n), line, hidden)
        found += _of_line(("turned", name, "sizes"), table(entry, "sizes"), hidden)
    return found


def _of_line(path: Path, line: dict[str, Any], hidden: dict[str, bool]) -> Iterator[Found]:
    port = text(line, "port")
    if port is None:
        return
    if port not in hidden:
        near = nearest(port, hidden)
        remedy = f'Did you mean "{near}"?' if near else f'Add the joint it belongs to: [[joints]] with a = "{port}".'
        yield Found((*path, "port"), f'"{port}"', "a port that a joint names", remedy, absent=port)
    elif not hidden[port] and ("shows" in line or "thread_shows" in line):
        remedy = (
            f'Add hidden = "8 mm" to the joint of {port}: how much of it is out of sight when it is home. '
            "Without it the part would come out too short."
        )
        got = "a joint that does not say how much it hides"
        yield Found((*path, "port"), got, "its hidden length, to be added to what shows", remedy, absent="hidden")
