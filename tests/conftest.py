"""All tests: those of a file stay together, so that what they share is made, and their libraries loaded, once."""

from __future__ import annotations

import pytest


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Group by file whatever has no group of its own; pytest-xdist gives a group to one worker, in this order."""
    items.sort(key=lambda item: item.get_closest_marker("xdist_group") is None)  # the longest groups first
    for item in items:
        if item.get_closest_marker("xdist_group") is None:
            item.add_marker(pytest.mark.xdist_group(f"{item.path.parent.name}/{item.path.stem}"))
