"""Threads found by the ways people write them.

Source: ISO 965-1 (a metric thread without a pitch is the coarse one); the rest is the custom of the trade.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction

from trialfit.errors import Refusal
from trialfit.tables.threads import Thread, threads

_METRIC = re.compile(r"m ?(?P<size>\d+(?:\.\d+)?)(?: ?[x*-] ?(?P<pitch>\d*\.?\d+))?(?: ?mm)?")
_BA = re.compile(r"(?:no\.? ?|# ?)?(?P<size>\d+) ?b\.? ?a\.?|b\.?a\.? ?(?P<size2>\d+)")
_PIPE = re.compile(r"(?P<word>g|r|rc|bsp|bspp|bspt) ?(?P<size>\d+/\d+)|(?P<size2>\d+/\d+) ?(?P<word2>bspp?|bspt)")
_INCH = re.compile(
    r"""(?P<hash>\#|no\.?)?\ ?(?P<size>\d+/\d+|\d*\.\d+|\d+)(?:\ ?in)?
        (?:\ ?[x*@-]\ ?(?P<tpi>\d+)(?:\ ?tpi)?|\ (?P<tpi2>\d+)\ ?tpi)?
        (?:\ ?(?P<series>[a-z][a-z.]*))?""",
    re.VERBOSE,
)
_SERIES = {
    "me": ("ME40", "ME32", "ME26"),
    "model": ("ME40", "ME32", "ME26"),
    "brass": ("BRASS26",),
    "bsb": ("BRASS26",),
    "bsw": ("BSW", "W60"),
    "whit": ("BSW", "W60"),
    "whitworth": ("BSW", "W60"),
    "bsf": ("BSF",),
    "unc": ("UNC",),
    "nc": ("UNC",),
    "unf": ("UNF",),
    "nf": ("UNF",),
    "un": ("UNC", "UNF"),
}
_PIPES = {"g": ("G",), "bspp": ("G",), "r": ("R",), "rc": ("R",), "bspt": ("R",), "bsp": ("G", "R")}
_KIN = (("M", "MF"), ("BA",), ("G", "R"))
_WANTED = "a thread of the tables, such as 1/4x40, 2BA, M8x1, G1/8 or 1/4-20 UNC"


@dataclass(frozen=True)
class _Asked:
    """What a text says of a thread; None where it says nothing."""

    major_mm: float
    pitch_mm: float | None = None
    series: tuple[str, ...] | None = None
    numbered: bool | None = None


def find_thread(text: str, what: str = "thread") -> Thread:
    """Find a thread by its designation.

    Parameters
    ----------
    text
        As people write it: ``1/4x40``, ``1/4 x 40 ME``, ``3/8x26``, ``1/4 BSF``, ``10-32``, ``1/4-20 UNC``, ``2 BA``,
        ``M8`` (coarse), ``M8x1``, ``G1/8``, ``1/8 BSPT``.
    what
        The thing it is about, for the refusal.

    Returns
    -------
    Thread
        The one thread it can mean.

    Raises
    ------
    Refusal
        No such thread in the tables, and the nearest is named; or more than one, and they are listed.
    """
    plain = _plain(text)
    for thread in threads():
        if _squeezed(thread.designation) == _squeezed(plain):
            return thread
    asked = _asked(plain)
    found = [thread for thread in threads() if asked is not None and _fits(thread, asked)]
    if not found:
        raise Refusal(what, text.strip() or "nothing", _WANTED, _nearest(plain, asked))
    if not all(thread.is_same_as(found[0]) for thread in found):
        names = _listed(thread.designation for thread in found)
        raise Refusal(what, text.strip(), "one thread", f"It may be {names}; write which.")
    return found[0]


def _plain(text: str) -> str:
    plain = unicodedata.normalize("NFKC", text.strip().lower())
    for written, meant in (("\u2044", "/"), ("\u00d7", "x"), ("\u2013", "-"), ('"', " in"), ("''", " in")):
        plain = plain.replace(written, meant)
    plain = re.sub(r"\bin(?:ch|s)?\b\.?", "in", plain.replace("\u2033", " in").replace("\u2032\u2032", " in"))
    return re.sub(r"\s+", " ", plain).strip()


def _squeezed(text: str) -> str:
    return text.lower().replace(" ", "")


def _asked(plain: str) -> _Asked | None:
    if match := _METRIC.fullmatch(plain):
        pitch = match["pitch"]
        return _Asked(float(match["size"]), float(pitch) if pitch else None, ("M", "MF") if pitch else ("M",))
    if match := _BA.fullmatch(plain):
        number = int(match["size"] or match["size2"])
        known = {thread.designation: thread.major_mm for thread in threads() if thread.series == "BA"}
        return _Asked(known.get(f"{number}BA", 6 * 0.9 ** (1.2 * number)), None, ("BA",))
    if match := _PIPE.fullmatch(plain):
        size, word = match["size"] or match["size2"], match["word"] or match["word2"]
        pipe = next((t for t in threads() if t.designation == f"G{size}"), None)
        return _Asked(pipe.major_mm, None, _PIPES[word]) if pipe else None
    match = _INCH.fullmatch(plain)
    if match is None or (match["series"] and match["series"].replace(".", "") not in _SERIES):
        return None
    size, series, tpi = match["size"], match["series"], match["tpi"] or match["tpi2"]
    whole = size.isdigit()
    if tpi == "0" or ("/" in size and int(size.split("/")[1]) == 0):
        return None
    return _Asked(
        25.4 * (0.060 + 0.013 * int(size) if whole else float(Fraction(size))),
        25.4 / int(tpi) if tpi else None,
        _SERIES[series.replace(".", "")] if series else None,
        numbered=True if whole or match["hash"] else False if "/" in size else None,
    )


def _fits(thread: Thread, asked: _Asked) -> bool:
    if asked.series is None and thread.series in ("BA", "G", "R", "M", "MF"):
        return False
    return (
        abs(thread.major_mm - asked.major_mm) < 0.005
        and (asked.pitch_mm is None or abs(thread.pitch_mm - asked.pitch_mm) < 1e-6)
        and (asked.series is None or thread.series in asked.series)
        and (asked.numbered is None or asked.numbered == thread.designation.split("-")[0].isdigit())
    )


def _nearest(plain: str, asked: _Asked | None) -> str:
    if asked is None:
        close = get_close_matches(plain, [thread.designation.lower() for thread in threads()], n=3, cutoff=0.6)
        names = [thread.designation for text in close for thread in threads() if thread.designation.lower() == text]
    else:
        kin = next((kin for kin in _KIN if asked.series is not None and asked.series[0] in kin), None)
        pool = [thread for thread in threads() if kin is None or thread.series in kin]
        names = [thread.designation for thread in sorted(pool, key=lambda thread: _distance(thread, asked))[:3]]
    if not names:
        return "Write diameter and threads per inch, or the series and its number."
    return f"The nearest known {'is' if len(names) == 1 else 'are'} {_listed(names, 'and')}."


def _distance(thread: Thread, asked: _Asked) -> tuple[float, float, bool]:
    pitch_mm = thread.pitch_mm if asked.pitch_mm is None else asked.pitch_mm
    return (
        round(abs(thread.major_mm - asked.major_mm), 2),
        round(abs(thread.pitch_mm - pitch_mm), 3),
        asked.series is not None and thread.series not in asked.series,
    )


def _listed(names: Iterable[str], join: str = "or") -> str:
    names = list(names)
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {join} {names[-1]}"
