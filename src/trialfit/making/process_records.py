"""The order of work of an assembly, as a record. Source: none; these are records."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from trialfit.finding import Finding
from trialfit.making.process_order import Rule


class Caution(StrEnum):
    """What a piece of work has to be warned of."""

    FLAME = "flame"
    CADMIUM = "cadmium"
    ACID = "acid"
    SHUT = "shut"
    PROOF = "proof"


@dataclass(frozen=True)
class Because:
    """Why a piece of work stands before others.

    Parameters
    ----------
    before
        Numbers of the steps it stands before. [-]
    why
        The sentence.
    """

    before: tuple[int, ...]
    why: str


@dataclass(frozen=True)
class WorkStep:
    """One step of the order.

    Parameters
    ----------
    number
        Counted from 1. [-]
    name
        Its name in the job.
    words
        What is done.
    on
        The bodies, in words.
    notes
        Figures to work by: heat, cooling, hole.
    because
        Why it stands here.
    cautions
        What to be warned of.
    """

    number: int
    name: str
    words: str
    on: str
    notes: tuple[str, ...]
    because: tuple[Because, ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True)
class OrderOfWork:
    """The order of work of one assembly.

    Parameters
    ----------
    name, what
        Its name in the job, and in words.
    steps
        The order; empty where there is none.
    conflicts
        Why there is none: sets of rules, none of which could be spared.
    single_changes
        What alone would free it; empty where nothing alone does.
    findings
        What is said of it.
    """

    name: str
    what: str
    steps: tuple[WorkStep, ...]
    conflicts: tuple[tuple[Rule, ...], ...]
    single_changes: tuple[str, ...]
    findings: tuple[Finding, ...]
