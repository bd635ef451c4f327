"""Files of printed figures that lie beside the outside tests, read with their sources checked."""

from __future__ import annotations

import csv
from pathlib import Path

from trialfit.tables.rows import sources

OUTSIDE = Path(__file__).parent / "outside"


def printed(file: str) -> list[dict[str, str]]:
    """Give the rows of one file; each must name known sources."""
    with (OUTSIDE / file).open(newline="", encoding="utf-8") as text:
        found = list(csv.DictReader(text))
    for row in found:
        keys = [key.strip() for key in row["source"].split(";")]
        assert all(key in sources() for key in keys), row
    return found
