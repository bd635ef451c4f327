"""A fault found in a document, by its place in the document rather than its line."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from trialfit.errors import Fault
from trialfit.job.nearest import did_you_mean
from trialfit.job.places import Path, Places
from trialfit.job.wording import called

_MOST_NAMED = 12


@dataclass(frozen=True)
class Found:
    """One fault and the place it stands at.

    Parameters
    ----------
    path
        Keys from the top to the value at fault, or to what should have held it.
    got, wanted, remedy
        As in `trialfit.errors.Fault`.
    what
        The thing it is about; empty takes it from the path.
    absent
        The key or name that is not there; empty when the fault is in something that is. Where a statement could
        not be read, it may well have held just that.
    """

    path: Path
    got: str
    wanted: str
    remedy: str
    what: str = ""
    absent: str = ""

    def placed(self, places: Places, file: str) -> Fault:
        """Give the fault with its line.

        Parameters
        ----------
        places
            Where everything stands.
        file
            Name of the file.

        Returns
        -------
        Fault
            For the person who has to mend it.
        """
        what = self.what or called(self.path)
        return Fault(what, self.got, self.wanted, self.remedy, file, places.line(self.path))


def unknown_name(
    path: Path, kind: str, name: str, known: Collection[str], otherwise: str = "", what: str = ""
) -> Found:
    """A name that refers to nothing.

    Parameters
    ----------
    path
        Where it stands.
    kind
        What it should name.
    name
        What was written.
    known
        The names that are there.
    otherwise
        What to do where none of them is like it; empty names those that are there.
    what
        The thing it is about; empty takes it from the path.

    Returns
    -------
    Found
        The fault; the nearest name is offered.
    """
    remedy = did_you_mean(name, known, otherwise or one_of(known))
    return Found(path, f'"{name}"', f"the name of a {kind} that is there", remedy, what, absent=name)


def one_of(known: Collection[str]) -> str:
    """What to do about a name like none of those that are there: the first dozen of them.

    Parameters
    ----------
    known
        The names that are there.

    Returns
    -------
    str
        A sentence.
    """
    return f"Name one that is there: {', '.join(list(known)[:_MOST_NAMED])}." if known else "There is none yet: add it."
