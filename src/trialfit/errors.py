"""The one family of refusals: what, got, wanted, remedy."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong with what was given.

    Parameters
    ----------
    what
        The thing it is about, in the user's own names: ``pipe feed, wall``.
    got
        What was found there, as written.
    wanted
        What would have been taken.
    remedy
        A full sentence: what to do about it.
    file
        Name of the file it stands in, or empty.
    line
        Line in that file, counted from 1, or 0 where there is none. [-]
    """

    what: str
    got: str
    wanted: str
    remedy: str
    file: str = ""
    line: int = 0

    def __str__(self) -> str:
        """Write the fault as one line for a person."""
        place = f"{self.file}:{self.line}: " if self.line else f"{self.file}: " if self.file else ""
        return f"{place}{self.what}: got {self.got}, wanted {self.wanted}. {self.remedy}"

    def at(self, file: str, line: int = 0) -> Fault:
        """Give the same fault with the place it stands in.

        Parameters
        ----------
        file
            Name of the file.
        line
            Line counted from 1; 0 when it is about the whole file. [-]

        Returns
        -------
        Fault
            The fault, placed.
        """
        return replace(self, file=file, line=line)


class Refusal(Exception):  # noqa: N818  the trade's word reads better than RefusalError
    """What was asked cannot be done with what was given.

    Parameters
    ----------
    what, got, wanted, remedy
        As in `Fault`.
    file, line
        Where it stands, if it stands in a file.
    """

    def __init__(self, what: str, got: str, wanted: str, remedy: str, file: str = "", line: int = 0) -> None:
        self.fault = Fault(what, got, wanted, remedy, file, line)
        super().__init__(str(self.fault))

    @property
    def faults(self) -> Sequence[Fault]:
        """All the faults this refusal is made of."""
        return (self.fault,)


class Refusals(Refusal):
    """Several faults found in one pass.

    Parameters
    ----------
    faults
        At least one fault, in the order a person should mend them.
    """

    def __init__(self, faults: Iterable[Fault]) -> None:
        self._faults = tuple(faults)
        first = self._faults[0]
        super().__init__(first.what, first.got, first.wanted, first.remedy, first.file, first.line)

    def __str__(self) -> str:
        """Write one line a fault."""
        return "\n".join(str(fault) for fault in self._faults)

    @property
    def faults(self) -> Sequence[Fault]:
        """All the faults, in order."""
        return self._faults
