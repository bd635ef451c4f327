"""Which scripts a page's scripts ask for in turn, so that the page asks for all of them at once."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

_STATIC = Path(__file__).parent / "static"
_IMPORT = re.compile(r'^import .*?from "\./([a-z]+\.js)"', re.MULTILINE)


@cache
def scripts_below(*entries: str) -> tuple[str, ...]:
    """Follow the imports of scripts.

    Parameters
    ----------
    *entries
        Names of the scripts that stand in the page.

    Returns
    -------
    tuple of str
        Names of all that these import, and those in turn.
    """
    found = dict.fromkeys(entries)
    left = list(entries)
    while left:
        below = _IMPORT.findall((_STATIC / left.pop(0)).read_text(encoding="utf-8"))
        fresh = [each for each in below if each not in found]
        found |= dict.fromkeys(fresh)
        left += fresh
    return tuple(each for each in found if each not in entries)
