"""The pack bound into one document: contents first, then every sheet, with an outline and numbers through."""

from __future__ import annotations

import io
from collections.abc import Mapping
from typing import Any

from pypdf import PdfReader, PdfWriter
from pypdf.constants import PageLabelStyle
from pypdf.generic import Fit

from trialfit.job.records import Job
from trialfit.sheets.compile import pdf
from trialfit.sheets.heading import Paper, head

PACK = "pack.pdf"
# The order in which a person wants them; what is not named comes between.
_FIRST = ("summary", "letter", "quote", "labels")
_LAST = ("pressure-test", "before-and-after", "settings", "fitting", "packing-list", "invoice")


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
    read = {name: PdfReader(io.BytesIO(made)) for name, made in _in_order(sheets)}
    entries = [(_title(job, reader, name), name, len(reader.pages)) for name, reader in read.items()]
    contents = _contents(job, entries, paper, 1)
    own = len(contents.pages)
    if own > 1:
        contents = _contents(job, entries, paper, own)
    writer = PdfWriter(clone_from=contents)
    writer.add_outline_item(title="Contents", page_number=0)
    for (title, _, _), reader in zip(entries, read.values(), strict=True):
        first = len(writer.pages)
        writer.append(reader, import_outline=False)
        writer.add_outline_item(title=title, page_number=first, fit=Fit.fit())
    writer.set_page_label(0, len(writer.pages) - 1, style=PageLabelStyle.DECIMAL, start=1)
    writer.add_metadata({"/Title": f"{job.job.name}: the whole pack"})
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


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


def _title(job: Job, reader: PdfReader, name: str) -> str:
    title = reader.metadata.title if reader.metadata and reader.metadata.title else name
    short = title.removeprefix(f"{job.job.name}: ")
    return short[:1].upper() + short[1:]


def _contents(job: Job, entries: list[tuple[str, str, int]], paper: Paper, own_pages: int) -> PdfReader:
    at, lines = own_pages + 1, []
    for title, name, pages in entries:
        lines.append({"title": title, "file": name, "page": str(at), "pages": str(pages)})
        at += pages
    record: dict[str, Any] = {
        "head": head(job, "the whole pack", job.engine.name, paper) | {"foot": ""},
        "lines": lines,
        "note": "page counted through this pack; each sheet also counts its own",
    }
    return PdfReader(io.BytesIO(pdf("contents.typ", record, f"{job.job.name}: contents", job.job.date)))
