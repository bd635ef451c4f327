"""The nearest known name to one that is not known."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

# What else the trade calls a thing, as it comes folded. Common practice, no published source.
_ALSO_CALLED = {
    "clack": "check valve", "clack_valve": "check valve", "non_return_valve": "check valve", "nrv": "check valve",
    "union": "union body", "cone": "union cone", "lining": "union cone", "nut": "union nut",
    "tube": "pipe", "bend": "elbow", "t": "tee", "t_piece": "tee", "plug": "cap", "blank": "cap",
    "blanking_plug": "cap", "connector": "adaptor", "adapter": "adaptor", "tap": "cock", "plug_cock": "cock",
    "lever": "handle", "boss": "bush",
}  # fmt: skip


def nearest(name: str, known: Iterable[str]) -> str | None:
    """Find the known name somebody most likely meant.

    Parameters
    ----------
    name
        What was written.
    known
        The names there are.

    Returns
    -------
    str or None
        The nearest, or what the trade also calls by that name; None where none is near. Capitals, blanks, dots, hyphens
        and underscores count for nothing.
    """
    folded = {_folded(each): each for each in reversed(list(known))}
    other_word = _ALSO_CALLED.get(_folded(name.strip()))
    if other_word in folded.values():
        return other_word
    close = get_close_matches(_folded(name), folded, n=1, cutoff=0.6)
    return folded[close[0]] if close else None


def did_you_mean(name: str, known: Iterable[str], otherwise: str) -> str:
    """Write the remedy for a name that is not known.

    Parameters
    ----------
    name
        What was written.
    known
        The names there are.
    otherwise
        The remedy where none is near.

    Returns
    -------
    str
        A sentence.
    """
    near = nearest(name, known)
    return otherwise if near is None else f'Did you mean "{near}"?'


def _folded(name: str) -> str:
    return "".join("_" if char in " .-_" else char for char in name.casefold())
