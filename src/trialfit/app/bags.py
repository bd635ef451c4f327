"""What lies in which bag, read from the job's own tables, so that a label's code finds it whatever else has faults."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from trialfit.job.written import tables


@dataclass(frozen=True)
class InBag:
    """One line of what arrived.

    Parameters
    ----------
    name
        The line's name.
    what
        What it is, with how many of them.
    notes
        Its condition, and what must not be forgotten of it.
    photograph
        The file of a photograph that shows it; empty for none.
    """

    name: str
    what: str
    notes: tuple[str, ...]
    photograph: str


@dataclass(frozen=True)
class Bag:
    """A bag.

    Parameters
    ----------
    name
        What stands on it; empty for what lies in none.
    lines
        What lies in it.
    """

    name: str
    lines: tuple[InBag, ...]


def bags_in(document: dict[str, Any]) -> tuple[Bag, ...]:
    """Read what lies in which bag.

    Parameters
    ----------
    document
        A job document as tables and lists; what is not as it should be is passed over.

    Returns
    -------
    tuple of Bag
        By their names, what lies in no bag last; none where nothing lies in a bag.
    """
    files = {name: str(entry.get("file", "")) for name, entry in tables(document, "photographs").items()}
    bags: dict[str, list[InBag]] = {}
    for name, entry in tables(document, "parcel", "lines").items():
        bags.setdefault(str(entry.get("bag", "")), []).append(_line(name, entry, files))
    if not any(bags):
        return ()
    order = sorted(bags, key=lambda name: (not name, name))
    return tuple(Bag(name, tuple(bags[name])) for name in order)


def _line(name: str, entry: dict[str, Any], files: dict[str, str]) -> InBag:
    count = entry.get("count", 1)
    what = str(entry.get("what", name))
    inside, unlike, has = (entry.get(key) for key in ("inside", "unlike", "has"))
    notes = (
        str(entry.get("condition", "")),
        f"Goes one way only: {entry['one_way']}." if entry.get("one_way") else "",
        f"Not to be changed with {_what_of(unlike)}." if unlike else "",
        f"Lies inside {_what_of(inside)}." if inside else "",
        f"In it: {', '.join(str(each) for each in has)}." if isinstance(has, list) and has else "",
    )
    shown = files.get(str(entry.get("photograph", "")), "")
    return InBag(name, f"{count} × {what}" if count != 1 else what, tuple(note for note in notes if note), shown)


def _what_of(line: object) -> str:
    return str(line).replace("_", " ")
