"""How much thread is wanted: a word, or a percentage that names the depth it is of.

Source: what strong, usual and easy mean is common practice, no source. The middle of usual is where print stands: BS
1157 drills leave 77 to 81 % of the Whitworth depth, BA tables 71 to 79 %, metric and unified ones about 75 % of the US
depth; 50 % of it is recommended in hard metal (``figures/tapping_drills.csv``, ``figures/cutting_and_tapping.csv``).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from trialfit.errors import Refusal
from trialfit.tables.drills import ThreadPercent
from trialfit.tables.threads import Thread

Depth = Literal["form", "us", "iso"]

_WORDS: dict[str, dict[Depth, tuple[float, float, float]]] = {
    "strong": {"form": (78.0, 90.0, 100.5), "us": (73.0, 82.0, 84.0)},
    "usual": {"form": (65.0, 78.0, 87.0), "us": (62.0, 75.0, 80.0)},
    "easy": {"form": (48.0, 60.0, 70.0), "us": (45.0, 55.0, 66.0)},
}
_FORMS = {"W55": "Whitworth", "BA": "BA"}
_EITHER_SIDE_PCT = 7.5
_MOST_PCT = {"form": 101.0, "us": 100.0, "iso": 101.0}
_WANTED = "strong, usual, easy, or a percentage with its depth such as 75 % of form"


@dataclass(frozen=True)
class WantedThread:
    """How much thread is wanted.

    Parameters
    ----------
    said
        As it was asked for.
    of
        Which depth the figures are a percentage of.
    least_pct, aim_pct, most_pct
        The share wanted. [%]
    """

    said: str
    of: Depth
    least_pct: float
    aim_pct: float
    most_pct: float

    def share_pct(self, percent: ThreadPercent) -> float:
        """Give the one of the three percentages that is meant.

        Parameters
        ----------
        percent
            The thread a hole leaves. [%]

        Returns
        -------
        float
            The percentage. [%]
        """
        return {"form": percent.of_form_pct, "us": percent.of_us_pct, "iso": percent.of_iso_pct}[self.of]

    def takes(self, percent: ThreadPercent) -> bool:
        """Whether a hole leaves as much as is wanted.

        Parameters
        ----------
        percent
            The thread it leaves. [%]

        Returns
        -------
        bool
            True between least and most.
        """
        return self.least_pct <= self.share_pct(percent) <= self.most_pct


def read_wanted(text: str, thread: Thread) -> WantedThread:
    """Read how much thread is wanted.

    Parameters
    ----------
    text
        ``strong``, ``usual``, ``easy``, ``75 % of form``, ``70 % us``, ``80 % iso``.
    thread
        The thread: the words mean shares of its form's own depth for Whitworth and BA threads, of the US depth for ISO
        and unified ones, as each trade does.

    Returns
    -------
    WantedThread
        The range, and what to aim at.

    Raises
    ------
    Refusal
        Neither a word nor a percentage; a percentage that does not name its depth; more than there is.
    """
    plain = text.strip().lower()
    if plain in _WORDS:
        of: Depth = "us" if thread.form == "ISO60" else "form"
        return WantedThread(plain, of, *_WORDS[plain][of])
    match = re.fullmatch(r"(?P<number>\d+(?:\.\d+)?)\s*%\s*(?:of\s+)?(?:the\s+)?(?P<of>.*)", plain)
    if match is None:
        raise Refusal(
            "thread wanted", text.strip() or "nothing", _WANTED, "Write usual where you have no reason for another."
        )
    of_what = _depth(match["of"].removesuffix("depth").strip(), thread)
    if of_what is None:
        remedy = f"Three depths are called 100 %: write {match['number']} % of form, of us or of iso."
        raise Refusal("thread wanted", text.strip(), "a percentage that names its depth", remedy)
    aim_pct = float(match["number"])
    if not 30 <= aim_pct <= _MOST_PCT[of_what]:
        remedy = "Below 30 % a thread hardly holds; above it no metal is left to cut."
        raise Refusal("thread wanted", text.strip(), f"30 to {_MOST_PCT[of_what]:g} %", remedy)
    most_pct = min(aim_pct + _EITHER_SIDE_PCT, _MOST_PCT[of_what])
    said = f"{aim_pct:g} % of {depth_name(of_what, thread)}"
    return WantedThread(said, of_what, aim_pct - _EITHER_SIDE_PCT, aim_pct, most_pct)


def depth_name(of: Depth, thread: Thread) -> str:
    """Name a depth in words.

    Parameters
    ----------
    of
        Which of the three depths that are called 100 %.
    thread
        The thread, whose form's own depth may be meant.

    Returns
    -------
    str
        Such as ``the Whitworth depth``.
    """
    if of == "form" and thread.form != "ISO60":
        return f"the {_FORMS[thread.form]} depth"
    return {"form": "the ISO basic depth", "us": "the US handbook depth", "iso": "the ISO basic depth"}[of]


def _depth(written: str, thread: Thread) -> Depth | None:
    own = ("form", "form's own", "its own", _FORMS.get(thread.form, "iso").lower())
    for names, depth in ((own, "form"), (("us", "american", "handbook"), "us"), (("iso", "iso basic"), "iso")):
        if written in names:
            return depth  # type: ignore[return-value]
    return None
