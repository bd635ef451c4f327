"""A template and a record to a PDF at true scale. Nothing is worked out here, and nothing else reaches the template."""

from __future__ import annotations

import io
import json
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, date, datetime
from functools import lru_cache
from pathlib import Path
from typing import Any

import typst

TEMPLATES = Path(__file__).parent / "templates"


@lru_cache(maxsize=1)
def _fonts() -> typst.Fonts:
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True)


def pdf(
    template: str,
    record: Mapping[str, Any],
    title: str,
    dated: date,
    pictures: Mapping[str, bytes] | None = None,
) -> bytes:
    """Set one sheet.

    The same template, record, title and date give the same bytes.

    Parameters
    ----------
    template
        Name of a file in `templates/`, such as ``card.typ``. It reads its record with
        ``#let record = json(bytes(sys.inputs.record))``.
    record
        What the sheet says, of plain dictionaries, lists, text, numbers, true, false and None.
    title
        Title of the document, as a viewer shows it.
    dated
        The date the document is stamped with.
    pictures
        JPEG files the template may set, by the names the record calls them.

    Returns
    -------
    bytes
        The finished PDF, with print scaling off in the viewer.

    Raises
    ------
    RuntimeError
        The template is at fault: it does not compile, or asks for a font that is not bundled.
    """
    with _beside(pictures or {}) as folder:
        made, warnings = typst.compile_with_warnings(
            folder / template,
            root=folder,
            font_paths=_fonts(),
            ignore_system_fonts=True,
            format="pdf",
            sys_inputs={"record": json.dumps(record, ensure_ascii=False, allow_nan=False)},
            timestamp=datetime(dated.year, dated.month, dated.day, tzinfo=UTC),
        )
    if warnings:
        raise RuntimeError(f"{template}: " + "; ".join(warning.message for warning in warnings))
    return _true_scale(made, title)


def svg_of(template: str, record: Mapping[str, Any]) -> str:
    """Set one page as SVG, to look at what the typesetter makes of it.

    Parameters
    ----------
    template
        Name of a file in `templates/`.
    record
        What the page says.

    Returns
    -------
    str
        The page.
    """
    made = typst.compile(
        TEMPLATES / template,
        root=TEMPLATES,
        font_paths=_fonts(),
        ignore_system_fonts=True,
        format="svg",
        sys_inputs={"record": json.dumps(record, ensure_ascii=False, allow_nan=False)},
    )
    return bytes(made if isinstance(made, bytes) else b"".join(made)).decode()


@contextmanager
def _beside(pictures: Mapping[str, bytes]) -> Iterator[Path]:
    """The templates with pictures beside them; the typesetter reads pictures from files only."""
    if not pictures:
        yield TEMPLATES
        return
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for template in TEMPLATES.glob("*.typ"):
            shutil.copy(template, folder)
        for file, content in pictures.items():
            (folder / file).write_bytes(content)
        yield folder


def _true_scale(made: bytes, title: str) -> bytes:
    """Ask the viewer to print at 100 %, and show the title rather than the file's name."""
    # In C++: copying every object of a sheet in Python took longer than setting it.
    import pikepdf

    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(made)) as document:
        document.docinfo["/Title"] = title
        document.Root.ViewerPreferences = pikepdf.Dictionary(
            PrintScaling=pikepdf.Name("/None"), DisplayDocTitle=True, PickTrayByPDFSize=True
        )
        document.save(out, deterministic_id=True)
    return out.getvalue()
