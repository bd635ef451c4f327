"""What the store gives: revisions, and the refusals that carry them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from trialfit.errors import Refusal

Kind = Literal["job", "shop"]


@dataclass(frozen=True)
class Revision:
    """One revision of a document.

    Parameters
    ----------
    kind
        Of what: a job, or the shop.
    name
        The document's name in the workshop.
    number
        Counted from 1 in the order they were saved. [-]
    parent
        The revision it was made from; 0 for the first. [-]
    text
        The whole document as it was saved.
    sha256
        Hash of the text.
    saved_at
        When, in UTC.
    saved_by
        By whom, or from which screen.
    """

    kind: Kind
    name: str
    number: int
    parent: int
    text: str
    sha256: str
    saved_at: str
    saved_by: str


@dataclass(frozen=True)
class Holding:
    """The revision that holds now, and where undo and redo would lead.

    Parameters
    ----------
    revision
        The revision.
    undo_to
        Number of the revision that undo leads to; 0 where there is none. [-]
    redo_to
        Number of the revision that redo leads to; 0 where there is none. [-]
    newest
        The highest number saved so far. [-]
    """

    revision: Revision
    undo_to: int
    redo_to: int
    newest: int


@dataclass(frozen=True)
class RevisionLine:
    """One line of a document's history.

    Parameters
    ----------
    number, parent, sha256, saved_at, saved_by
        As in `Revision`.
    """

    number: int
    parent: int
    sha256: str
    saved_at: str
    saved_by: str


class NotThere(Refusal):
    """No document, revision or photograph of that name."""


class Taken(Refusal):
    """The name, or the key, already stands for something else."""


class Conflict(Refusal):
    """Somebody else saved meanwhile. Nothing was kept of what this writer sent; it carries both versions.

    Parameters
    ----------
    base
        Number of the revision this writer started from. [-]
    yours
        What this writer wanted to save; empty for undo and redo.
    theirs
        The revision that holds now.
    """

    def __init__(self, base: int, yours: str, theirs: Revision) -> None:
        self.base, self.yours, self.theirs = base, yours, theirs
        super().__init__(
            f"{theirs.kind} {theirs.name}",
            f"a change to revision {base}",
            f"a change to revision {theirs.number}, which holds since {theirs.saved_by} saved it",
            "Look at both, and save again what should hold.",
        )
