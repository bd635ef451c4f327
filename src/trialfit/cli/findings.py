"""Findings as text, in the order they were asked."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from trialfit.finding import Answer, Finding

WIDTH = 110
_HANGING = " " * 6


def findings_text(findings: Iterable[Finding], named: bool = False) -> str:
    """Write findings for a person.

    Parameters
    ----------
    findings
        In the order they are to be read.
    named
        Whether each says what it is about; else a heading above them does.

    Returns
    -------
    str
        One block a finding: answer, question, figure; the reasons below; last what to do.
    """
    return "\n\n".join(_block(finding, named) for finding in findings)


def counted(findings: Iterable[Finding]) -> str:
    """Count findings by their answers.

    Parameters
    ----------
    findings
        Any of them.

    Returns
    -------
    str
        Such as ``14 findings: 0 stop, 5 look, 9 go.``
    """
    answers = [finding.answer for finding in findings]
    counts = ", ".join(f"{answers.count(each)} {each}" for each in (Answer.STOP, Answer.LOOK, Answer.GO))
    return f"{len(answers)} findings: {counts}."


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


def _block(finding: Finding, named: bool) -> str:
    figure = f"  {finding.figure}" if finding.figure is not None else ""
    limit = f" (limit {finding.limit})" if finding.limit is not None else ""
    about = f"{finding.about}: " if named else ""
    lines = [filled(f"{finding.answer.upper():<5} {about}{finding.question}{figure}{limit}")]
    lines += [filled(str(reason), _HANGING) for reason in finding.because]
    if finding.do:
        lines.append(filled(f"Do: {finding.do}", _HANGING))
    return "\n".join(lines)
