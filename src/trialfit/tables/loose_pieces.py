"""The loose pieces that a kind of part usually has, and that go astray.

Source: common practice, by the rows of ``figures/loose_pieces.csv``; no published source.
"""

from __future__ import annotations

from functools import cache

from trialfit.tables.rows import rows


@cache
def loose_pieces(kind: str) -> tuple[str, ...]:
    """Give the pieces of a kind of part.

    Parameters
    ----------
    kind
        Such as ``check valve``.

    Returns
    -------
    tuple of str
        Their names; empty for a part all of one piece.
    """
    return tuple(row["piece"] for row in rows("loose_pieces.csv") if row["kind"] == kind)
