"""Which figures a result rests on, as one number that changes when any of them does.

Source: SHA-256 (FIPS 180-4) over the files in ``figures/``.
"""

from __future__ import annotations

from functools import cache
from hashlib import sha256
from pathlib import Path

_FIGURES = Path(__file__).with_name("figures")


@cache
def tables_edition() -> str:
    """Give the edition of the shipped figures.

    Returns
    -------
    str
        SHA-256 over the name and contents of every file, in the order of names; 64 hexadecimal figures.
    """
    whole = sha256()
    for path in sorted(_FIGURES.iterdir()):
        if path.suffix in (".csv", ".toml"):
            whole.update(f"{path.name}\n".encode())
            whole.update(sha256(path.read_bytes()).digest())
    return whole.hexdigest()
