"""A part's movements in the owner's words."""

from __future__ import annotations

from trialfit.sheets.fitting.doings import Doing, Move, Towards
from trialfit.sheets.words import Words

_WAYS: dict[Towards, str] = {
    "up": "fitting-way-up",
    "down": "fitting-way-down",
    "left": "fitting-way-left",
    "right": "fitting-way-right",
    "to you": "fitting-way-to-you",
    "from you": "fitting-way-from-you",
}
_SIDES: dict[Towards, str] = {
    "up": "fitting-side-up",
    "down": "fitting-side-down",
    "left": "fitting-side-left",
    "right": "fitting-side-right",
    "to you": "fitting-side-to-you",
    "from you": "fitting-side-from-you",
}


def moving_lines(doing: Doing, words: Words) -> list[str]:
    """Say what is done with a part.

    Parameters
    ----------
    doing
        The step.
    words
        The owner's words.

    Returns
    -------
    list of str
        One sentence a movement, after the side to work from and what goes along with it.
    """
    lines = []
    if doing.side is not None:
        lines.append(words.say("fitting-stand", side=words.say(_SIDES[doing.side])))
    if doing.together:
        lines.append(words.say("fitting-together", parts=", ".join((doing.what, *doing.together))))
    lines += [_said(move, move.what or doing.what, words) for move in doing.moves]
    if any(move.kind == "push" for move in doing.moves):
        lines.append(words.say("fitting-force-nut" if doing.together else "fitting-force"))
    return [f"{line[0].upper()}{line[1:]}" for line in lines]


def _said(move: Move, what: str, words: Words) -> str:
    turned = {"part": what, "angle": words.number(move.angle_deg)}
    if move.kind == "turn away":
        return words.say("fitting-turn-away", **turned)
    if move.kind == "turn back":
        return words.say("fitting-turn-back", **turned)
    if move.kind in ("pull", "push"):
        far, way = words.length(move.far_mm, 0), words.say(_WAYS[move.towards])
        if move.kind == "pull":
            return words.say("fitting-pull", part=what, far=far, way=way)
        return words.say("fitting-push", part=what, far=far, way=way)
    screwed = {"part": what, "seen": words.say(_SIDES[move.towards]), "turns": _turns(move.turns, words)}
    if move.kind == "unscrew":
        return words.say("fitting-unscrew-left" if move.left_hand else "fitting-unscrew", **screwed)
    return words.say("fitting-screw-left" if move.left_hand else "fitting-screw", **screwed)


def _turns(turns: float, words: Words) -> str:
    """To the half turn: nobody counts finer."""
    halves = max(1, round(2.0 * turns))
    return words.number(halves / 2.0, halves % 2)
