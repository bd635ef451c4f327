"""Which letters the bundled fonts hold. Asked of the typesetter itself, so that it cannot be wrong."""

from __future__ import annotations

import re
from functools import lru_cache

from trialfit.sheets.compile import svg_of

# Latin letters and usual signs are held; nobody has to ask about them.
_SURELY_HELD = re.compile(r"[\n\t\x20-\x7e\xa0-\u017f–—‘’“”…×°±]*")
# What cannot be held by any font, because no font has it: Unicode keeps this place for no letter, for ever.
_NO_LETTER = "\uffff"


@lru_cache(maxsize=256)
def not_held(text: str) -> str:
    """Give the letters of a text that the bundled fonts do not hold; they would be printed as empty boxes.

    Parameters
    ----------
    text
        Any text.

    Returns
    -------
    str
        Each such letter once, in their order; empty where all can be printed.
    """
    if _SURELY_HELD.fullmatch(text):
        return ""
    asked = [letter for letter in dict.fromkeys(text) if not _SURELY_HELD.fullmatch(letter) and letter.isprintable()]
    return "".join(letter for letter in asked if _drawn(letter) == _drawn(_NO_LETTER))


@lru_cache(maxsize=4096)
def _drawn(letter: str) -> str:
    """The outline a letter is drawn with."""
    return " ".join(re.findall(r'<path[^>]* d="([^"]*)"', svg_of("one-letter.typ", {"letter": letter})))
