"""Libraries that take a second or more to load, loaded where a test first asks one of them."""

from __future__ import annotations

from importlib import import_module
from typing import Any


class Loaded:
    """Stands for a library by its name.

    Parameters
    ----------
    library
        As it is imported.
    """

    def __init__(self, library: str) -> None:
        self._library = library

    def __getattr__(self, name: str) -> Any:
        if name.startswith(("_", "pytest")):  # what pytest asks of everything it finds in a module
            raise AttributeError(name)
        return getattr(import_module(self._library), name)
