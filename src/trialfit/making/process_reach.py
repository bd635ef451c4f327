"""What heat and acid reach: the bodies worked on, and all that hangs together with them by then.

Source: plain sense. A small fitting held in a flame comes to heat all through; what is dipped goes in whole.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import combinations

from trialfit.job.assemblies import AssemblyEntry
from trialfit.making.process_stands import JOINS


@dataclass(frozen=True)
class Link:
    """Two bodies that hang together.

    Parameters
    ----------
    one, other
        The bodies.
    by
        The work that joins them; empty where they came joined.
    """

    one: str
    other: str
    by: str

    def across(self, body: str) -> str | None:
        """Give the body at the other side.

        Parameters
        ----------
        body
            A body.

        Returns
        -------
        str or None
            None where the link does not touch it.
        """
        return self.other if body == self.one else self.one if body == self.other else None


def links_of(entry: AssemblyEntry) -> tuple[Link, ...]:
    """Find what hangs together with what, and since when.

    Parameters
    ----------
    entry
        The assembly.

    Returns
    -------
    tuple of Link
        Links that came with it first.
    """
    came = [Link(one, other, "") for one, other in entry.joined]
    made = [
        Link(one, other, name)
        for name, step in entry.work.items()
        if step.do in JOINS
        for one, other in combinations(step.on, 2)
    ]
    return (*came, *made)


def ways_to(
    links: Collection[Link], start: Collection[str], goal: Collection[str], barred: Collection[str] = ()
) -> tuple[frozenset[str], ...]:
    """Find the ways by which heat or acid gets from some bodies to others.

    Parameters
    ----------
    links
        What hangs together.
    start
        Bodies worked on.
    goal
        Bodies asked about.
    barred
        Bodies it does not get into, because they are kept cool.

    Returns
    -------
    tuple of frozenset
        For each way, the work that has to have been done for it to be open; empty where it is open from the start. Of
        two ways, one of which needs all that the other needs, only the other stands.
    """
    reached = [body for body in start if body not in barred]
    found = {way for body in reached for way in _ways(links, body, set(goal), set(barred), {body}, frozenset())}
    return tuple(sorted((way for way in found if not any(other < way for other in found)), key=sorted))


def _ways(
    links: Collection[Link], body: str, goal: set[str], barred: set[str], been: set[str], by: frozenset[str]
) -> Iterator[frozenset[str]]:
    if body in goal:
        yield by
        return
    for link in links:
        beyond = link.across(body)
        if beyond is not None and beyond not in been and beyond not in barred:
            yield from _ways(links, beyond, goal, barred, been | {beyond}, by | ({link.by} if link.by else set()))
