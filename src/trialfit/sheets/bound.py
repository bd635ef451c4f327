"""The pack bound into one document: contents first, then every sheet, with an outline and numbers through."""

from __future__ import annotations

import io
from collections.abc import Mapping
from contextlib import ExitStack
from typing import Any

import pikepdf

from trialfit.job.records import Job
from trialfit.sheets.compile import pdf
from trialfit.sheets.heading import Paper, head

PACK = "pack.pdf"
# The order in which a person wants them; what is not named comes between.
_FIRST = ("summary", "letter", "quote", "labels")
_LAST = ("pressure-test", "test-record", "before-and-after", "settings", "fitting", "packing-list", "invoice")


def bound(job: Job, sheets: Mapping[str, bytes], paper: Paper = "a4") -> bytes:
    """Bind a job's sheets into one document.

    Parameters
    ----------
    job
        The job.
    sheets
        Contents by file name; what is no PDF is passed over.
    paper
        Size of the paper of the contents.

    Returns
    -------
    bytes
        One PDF: its own contents, whose lines lead to the sheets, an outline, page labels that count through. The same
        sheets give the same bytes.
    """
    with ExitStack() as stack:
        opened = {
            name: stack.enter_context(pikepdf.open(io.BytesIO(made))) for name, made in _in_order(sheets)
        }  # fmt: skip
        entries = [(_title(job, each, name), name, len(each.pages)) for name, each in opened.items()]
        whole = stack.enter_context(_contents(job, entries, paper, 1))
        if len(whole.pages) > 1:
            whole = stack.enter_context(_contents(job, entries, paper, len(whole.pages)))
        lines = [pikepdf.OutlineItem("Contents", 0, "Fit")]
        for (title, _, _), each in zip(entries, opened.values(), strict=True):
            lines.append(pikepdf.OutlineItem(title, len(whole.pages), "Fit"))
            whole.pages.extend(each.pages)
        with whole.open_outline() as outline:
            outline.root.extend(lines)
        label = pikepdf.Dictionary(S=pikepdf.Name("/D"), St=1)
        whole.Root.PageLabels = pikepdf.Dictionary(Nums=pikepdf.Array([0, label]))
        whole.docinfo["/Title"] = f"{job.job.name}: the whole pack"
        out = io.BytesIO()
        whole.save(out, deterministic_id=True)
        return out.getvalue()


def contents_of(job: Job, sheets: Mapping[str, bytes]) -> list[tuple[str, str, int]]:
    """Say what a job's sheets are, in the order in which a person wants them.

    Parameters
    ----------
    job
        The job.
    sheets
        Contents by file name; what is no PDF is passed over.

    Returns
    -------
    list of tuple
        Title, file name and number of pages of each.
    """
    found = []
    for name, made in _in_order(sheets):
        with pikepdf.open(io.BytesIO(made)) as opened:
            found.append((_title(job, opened, name), name, len(opened.pages)))
    return found


def _in_order(sheets: Mapping[str, bytes]) -> list[tuple[str, bytes]]:
    found = [(name, made) for name, made in sheets.items() if name.endswith(".pdf") and name != PACK]
    return sorted(found, key=lambda each: _rank(each[0]))


def _rank(name: str) -> int:
    for place, start in enumerate(_FIRST):
        if name.startswith(start):
            return place
    for place, start in enumerate(_LAST):
        if name.startswith(start):
            return len(_FIRST) + 1 + place
    return len(_FIRST)


def _title(job: Job, document: pikepdf.Pdf, name: str) -> str:
    title = str(document.docinfo.get("/Title", name))
    short = title.removeprefix(f"{job.job.name}: ").replace("_", " ")
    return short[:1].upper() + short[1:]


def _contents(job: Job, entries: list[tuple[str, str, int]], paper: Paper, own_pages: int) -> pikepdf.Pdf:
    at, lines = own_pages + 1, []
    for title, name, pages in entries:
        lines.append({"title": title, "file": name, "page": str(at), "pages": str(pages)})
        at += pages
    record: dict[str, Any] = {
        "head": head(job, "the whole pack", job.engine.name, paper) | {"foot": ""},
        "lines": lines,
        "note": "page counted through this pack; each sheet also counts its own",
    }
    return pikepdf.open(io.BytesIO(pdf("contents.typ", record, f"{job.job.name}: contents", job.job.date)))
