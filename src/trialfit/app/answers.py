"""The shapes in which the calls answer, and the one in which they refuse."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict, Field


class Said(BaseModel):
    """A record of a call; a key it does not know is a fault."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class FaultSaid(Said):
    """One thing that is wrong with what was sent."""

    what: str = Field(description="The thing it is about, in the user's own names.")
    got: str = Field(description="What was found there, as written.")
    wanted: str = Field(description="What would have been taken.")
    remedy: str = Field(description="What to do about it.")
    file: str = Field("", description="The file it stands in.")
    line: int = Field(0, description="The line in it, counted from 1; 0 for none.")


class RevisionSaid(Said):
    """A revision of a document."""

    name: str = Field(description="The document's name in the workshop.")
    revision: int = Field(description="Counted from 1 in the order they were saved.")
    parent: int = Field(description="The revision it was made from; 0 for the first.")
    text: str = Field(description="The document, TOML.")
    sha256: str = Field(description="Hash of the text.")
    saved_at: str = Field(description="When, in UTC.")
    saved_by: str = Field(description="From which screen.")


class ConflictSaid(Said):
    """Two writers: what each has."""

    base: RevisionSaid | None = Field(description="The revision that both started from, where it is there.")
    yours: str = Field(description="The document you wanted to save; empty for undo and redo.")
    theirs: RevisionSaid = Field(description="The revision that holds now.")


class RefusalSaid(Said):
    """Why something was refused: every fault at once."""

    faults: tuple[FaultSaid, ...] = Field(description="In the order a person should mend them.")
    conflict: ConflictSaid | None = Field(None, description="Both versions, where somebody else saved meanwhile.")


class DocumentSaid(RevisionSaid):
    """The revision that holds, as text and as tables, and where undo and redo would lead."""

    undo_to: int = Field(description="Number of the revision that undo leads to; 0 where there is none.")
    redo_to: int = Field(description="Number of the revision that redo leads to; 0 where there is none.")
    newest: int = Field(description="The highest number saved so far.")
    document: dict[str, Any] | None = Field(description="The same as tables and lists; null where it has faults.")
    faults: tuple[FaultSaid, ...] = Field((), description="Faults this version of the program finds in it.")


class RevisionLineSaid(Said):
    """One line of a document's history."""

    number: int = Field(description="Counted from 1.")
    parent: int = Field(description="The revision it was made from; 0 for the first.")
    sha256: str = Field(description="Hash of the text.")
    saved_at: str = Field(description="When, in UTC.")
    saved_by: str = Field(description="From which screen.")


class JobLineSaid(Said):
    """One job in the list."""

    name: str = Field(description="Its name in the workshop.")
    owner: str = Field(description="Whose engine.")
    engine: str = Field(description="Which engine.")
    day: str = Field(description="The date on the sheets.")
    story: str = Field(description="What happened.")
    parts: tuple[str, ...] = Field(description="Its parts, pipes and turned parts.")
    threads: tuple[str, ...] = Field(description="The threads it names.")
    revision: int = Field(description="The revision that holds.")
    saved_at: str = Field(description="When that was saved, in UTC.")
    away_at: str = Field(description="Since when it is put away, in UTC; empty where it is on the rack.")


class PictureSaid(Said):
    """A photograph of a job."""

    file: str = Field(description="Its file name.")
    sha256: str = Field(description="Hash of what is in it.")
    kind: str = Field(description="jpeg, png, heic, or other.")
    size_bytes: int = Field(description="Its size.")
    added_at: str = Field(description="When, in UTC.")
    added_by: str = Field(description="From which screen.")


_REFS = "#/components/schemas/{model}"
_REFUSAL = {"application/json": {"schema": {"$ref": _REFS.format(model="RefusalSaid")}}}

# By reference, not as a model: the framework would build the model anew for every code of every call at each start.
REFUSED: dict[int | str, dict[str, Any]] = {
    code: {"description": said, "content": _REFUSAL}
    for code, said in {
        400: "What was sent cannot be read.",
        401: "The passcode is wanted.",
        403: "Not from this page.",
        404: "Nothing of that name.",
        408: "Too slow.",
        409: "Another has saved meanwhile, or the name is taken.",
        413: "Too large.",
        421: "Not by a name of this machine.",
        422: "Faults in what was sent.",
        429: "Too many tries.",
        503: "The database or the disk cannot at the moment; nothing was kept.",
    }.items()
}


def refusal_schemas() -> dict[str, Any]:
    """Describe how refusals look, for /api/openapi.json.

    Returns
    -------
    dict
        JSON schemas by name.
    """
    described = RefusalSaid.model_json_schema(ref_template=_REFS)
    return {**described.pop("$defs"), "RefusalSaid": described}
