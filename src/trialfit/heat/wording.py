"""How a thing's own words go into a sentence."""

from __future__ import annotations


def as_subject(words: str) -> str:
    """Close what is said of a thing, so that a verb can follow.

    Parameters
    ----------
    words
        What it is, such as ``cone on the feed pipe, 110 mm along it``.

    Returns
    -------
    str
        The same, with a comma behind where there is one within.
    """
    return f"{words}," if "," in words else words
