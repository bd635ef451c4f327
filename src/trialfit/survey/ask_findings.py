"""What would make a survey surer, as findings. Source: `ask.py`."""

from __future__ import annotations

from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.survey.asks import Ask, Asked, Change

_STAGE = "survey"
_QUESTION = "What would make it surer?"


def ask_findings(asked: Asked) -> tuple[Finding, ...]:
    """Say what would make surer what each pipe needs.

    Parameters
    ----------
    asked
        What is worth asking for.

    Returns
    -------
    tuple of Finding
        One for each thing the figures belong to; its figure is the one furthest from what would do. *Look* where that
        does not do yet and something would help.
    """
    about = dict.fromkeys(change.about for change in asked.together)
    return tuple(_finding(name, asked) for name in about)


def _finding(about: str, asked: Asked) -> Finding:
    changes = [change for change in asked.together if change.about == about and change.counts]
    worst = max(changes, key=lambda change: change.now_k2 / change.limit)
    short = worst.now_k2 > worst.limit
    best = _best(asked)
    helps = best is not None and short
    places = 1 if worst.unit == "deg" else 2
    return Finding(
        _STAGE,
        about,
        _QUESTION,
        Answer.LOOK if helps else Answer.GO,
        Figure(worst.now_k2, worst.unit, None, places),
        Figure(worst.limit, worst.unit, None, places),
        (*_because(asked, changes), *([] if best is None else [_guess(best)])),
        best.do if best is not None and helps else "",
    )


def _best(asked: Asked) -> Ask | None:
    """What costs the owner nothing first, where it gains as much as the best he could be asked for."""
    offered = [each for each in (*asked.letter[:1], *asked.marks) if each.cut is not None]
    return max(offered, key=lambda each: each.cut or 0.0, default=None)


def _because(asked: Asked, changes: list[Change]) -> list[Reason]:
    now = "; ".join(f"{change.what} ± {_k2(change, change.now_k2)}" for change in changes)
    reasons = [Reason(f"Now: {now}, k = 2.")]
    if any(each.cut is not None for each in asked.letter):
        then = "; ".join(f"{change.what} ± {_k2(change, change.then_k2)}" for change in changes)
        many = len(asked.letter)
        things = "the one thing" if many == 1 else f"all {many} things"
        reasons.append(Reason(f"With {things} in the letter (trialfit ask): {then}."))
    else:
        reasons.append(Reason("Nothing the owner could be asked for would make it much surer."))
    return reasons


def _guess(best: Ask) -> Reason:
    cut = 100.0 * (best.cut or 0.0)
    return Reason(
        f"The best single thing takes {cut:.0f} % off the variance; that it can be seen or reached is a guess.",
        "",
        Basis.ASSUMED,
    )


def _k2(change: Change, k2: float) -> str:
    return f"{k2:.1f} deg" if change.unit == "deg" else f"{k2:.2f} mm"
