"""The shipped figures as rows. No row comes out without known sources and a basis.

Source: the rows' own, by keys of ``figures/sources.csv``.
"""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from trialfit.errors import Refusal
from trialfit.finding import Basis
from trialfit.units import length_mm, read

_FIGURES = Path(__file__).with_name("figures")


@dataclass(frozen=True)
class Source:
    """Where a figure was found.

    Parameters
    ----------
    key
        Short name the tables use.
    what
        Document and table.
    where
        Address, or words that find it.
    """

    key: str
    what: str
    where: str


@dataclass(frozen=True)
class Row:
    """One row of a table, or one record of a file of records.

    Parameters
    ----------
    place
        File and line, or file and name, for a refusal.
    cells
        What stands in the row, as written.
    sources
        Keys of the sources; at least one.
    basis
        What kind of truth the row rests on.
    note
        Anything worth reading beside the figure; empty for none.
    """

    place: str
    cells: Mapping[str, Any]
    sources: tuple[str, ...]
    basis: Basis
    note: str

    def __getitem__(self, column: str) -> str:
        """Give a cell as written."""
        return str(self.cells[column])

    def number(self, column: str) -> float:
        """Give a cell that is a bare number in the unit its column names.

        Parameters
        ----------
        column
            Name of the column; its last word is the unit.

        Returns
        -------
        float
            The number. [the column's unit]
        """
        return float(self.cells[column])

    def number_if_any(self, column: str) -> float | None:
        """Give a number, or None for an empty cell.

        Parameters
        ----------
        column
            Name of the column; its last word is the unit.

        Returns
        -------
        float or None
            The number. [the column's unit]
        """
        cell = self.cells.get(column, "")
        return None if cell == "" else float(cell)

    def length_mm(self, column: str) -> float:
        """Give a cell that carries its own unit of length.

        Parameters
        ----------
        column
            Name of the column.

        Returns
        -------
        float
            Length. [mm]
        """
        return length_mm(self[column], f"{self.place}, {column}")

    def temperature_c(self, column: str) -> float:
        """Give a cell that carries its own unit of temperature.

        Parameters
        ----------
        column
            Name of the column.

        Returns
        -------
        float
            Temperature. [°C]
        """
        return float(read(self[column], "temperature", f"{self.place}, {column}").to("C"))


@cache
def sources() -> Mapping[str, Source]:
    """Give every source by its key.

    Returns
    -------
    Mapping
        Sources by key, in the order of the file.

    Raises
    ------
    Refusal
        Two sources have the same key.
    """
    found: dict[str, Source] = {}
    for cells in csv.DictReader(_text("sources.csv").splitlines()):
        if cells["key"] in found:
            raise Refusal("sources.csv", f"{cells['key']} twice", "each key once", "Give one of the two another key.")
        found[cells["key"]] = Source(**cells)
    return found


@cache
def rows(file: str) -> tuple[Row, ...]:
    """Read a table.

    Parameters
    ----------
    file
        Name of the file in ``figures/``.

    Returns
    -------
    tuple of Row
        The rows in the file's order.

    Raises
    ------
    Refusal
        A row without a known source or without a basis.
    """
    reader = csv.DictReader(_text(file).splitlines())
    return tuple(_row(f"{file} line {reader.line_num}", cells) for cells in reader)


@cache
def records(file: str, kind: str) -> Mapping[str, Row]:
    """Read the records of one kind from a file of records.

    Parameters
    ----------
    file
        Name of the file in ``figures/``.
    kind
        Name of the kind: the part before the point of its headings.

    Returns
    -------
    Mapping
        Records by name, in the file's order.

    Raises
    ------
    Refusal
        A record without a known source or without a basis.
    """
    return {name: _row(f"{file} {kind}.{name}", cells) for name, cells in tomllib.loads(_text(file))[kind].items()}


def source_lines(keys: Iterable[str]) -> list[str]:
    """Write sources out for the foot of an answer.

    Parameters
    ----------
    keys
        Keys of sources, in the order wanted; each is written once.

    Returns
    -------
    list of str
        Key and what it is, a line each. Plain arithmetic is left out.
    """
    return [f"  {key:12} {sources()[key].what}" for key in dict.fromkeys(keys) if key != "S-EXACT"]


def strongest(bases: Iterable[Basis]) -> Basis:
    """Give the best of several kinds of truth.

    Parameters
    ----------
    bases
        At least one.

    Returns
    -------
    Basis
        The one that stands first in `trialfit.finding.Basis`.
    """
    order = list(Basis)
    return min(bases, key=order.index)


def _text(file: str) -> str:
    return (_FIGURES / file).read_text("utf-8")


def _row(place: str, cells: dict[str, Any]) -> Row:
    keys = tuple(key.strip() for key in str(cells.pop("source", "")).split(";") if key.strip())
    unknown = [key for key in keys if key not in sources()]
    if not keys or unknown:
        raise Refusal(
            f"{place}, source",
            ", ".join(unknown) or "nothing",
            "keys of sources.csv",
            "Add the source to sources.csv, or put S-MEM where the figure is only remembered.",
        )
    basis = cells.pop("basis", "")
    if basis not in set(Basis):
        raise Refusal(f"{place}, basis", repr(basis), ", ".join(Basis), "Say what the figure rests on.")
    return Row(place, cells, keys, Basis(basis), cells.pop("note", ""))
