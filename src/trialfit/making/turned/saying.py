"""How findings about turned parts begin. Source: none, words only."""

from __future__ import annotations

from trialfit.finding import Answer, Figure, Finding, Reason
from trialfit.making.turned.records import TurnedPlan


def finding(
    plan: TurnedPlan,
    question: str,
    answer: Answer,
    figure: Figure | None = None,
    limit: Figure | None = None,
    because: tuple[Reason, ...] = (),
    do: str = "",
) -> Finding:
    """Give a finding about one turned part.

    Parameters
    ----------
    plan
        The part.
    question, answer, figure, limit, because, do
        As in `trialfit.finding.Finding`.

    Returns
    -------
    Finding
        Under the stage ``making``, about ``turned NAME``.
    """
    return Finding("making", f"turned {plan.part.name}", question, answer, figure, limit, because, do)
