"""Findings as text, in the order they were asked."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from trialfit.finding import Finding

WIDTH = 110
_HANGING = " " * 6


def findings_text(findings: Iterable[Finding]) -> str:
    """Write findings for a person.

    Parameters
    ----------
    findings
        In the order they are to be read.

    Returns
    -------
    str
        One block a finding: answer, question, figure; the reasons below; last what to do.
    """
    return "\n\n".join(_block(finding) for finding in findings)


def filled(line: str, first: str = "", hanging: str = _HANGING) -> str:
    """Break a line to the width of the screen.

    Parameters
    ----------
    line
        The line.
    first
        What the first line begins with.
    hanging
        What the others begin with.

    Returns
    -------
    str
        As many lines as it needs.
    """
    return textwrap.fill(line, WIDTH, initial_indent=first, subsequent_indent=hanging)


def _block(finding: Finding) -> str:
    figure = f"  {finding.figure}" if finding.figure is not None else ""
    limit = f" (against {finding.limit})" if finding.limit is not None else ""
    lines = [filled(f"{finding.answer.upper():<5} {finding.question}{figure}{limit}")]
    lines += [filled(str(reason), _HANGING) for reason in finding.because]
    if finding.do:
        lines.append(filled(f"Do: {finding.do}", _HANGING))
    return "\n".join(lines)
