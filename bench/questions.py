"""Questions of the bench as whole commands: start, imports, answer, exit."""

from __future__ import annotations

import subprocess
import sys
from functools import partial

from bench.clock import Row, least_ms
from trialfit.parts.thread_ranking import Origin
from trialfit.parts.thread_readings import ThreadReadings
from trialfit.parts.which_thread import which_thread

_WORDS = ("which-thread", "--over", "9.7 mm", "--from", "british")


def rows() -> list[Row]:
    """Time which-thread as a process and as a function, beside a bare Python.

    Returns
    -------
    list of Row
        The command is to stay under 150 ms.
    """
    readings = ThreadReadings("male", 9.7, 0.05)
    return [
        Row("python that does nothing", least_ms(partial(_run, "-c", "pass"), 15)),
        Row("python that imports click", least_ms(partial(_run, "-c", "import click"), 15)),
        Row(
            " ".join(("trialfit", *_WORDS)), least_ms(partial(_run, "-m", "trialfit", *_WORDS), 15), "to stay under 150"
        ),
        Row("the same as a function, tables read", least_ms(partial(which_thread, readings, Origin.BRITISH))),
    ]


def _run(*words: str) -> None:
    subprocess.run([sys.executable, *words], check=True, stdout=subprocess.DEVNULL)
