"""Workshops on both kinds of database."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from postgres import Server, running
from trialfit.store.database.workshop import Workshop, open_workshop

SERVER = pytest.param("postgresql", marks=pytest.mark.xdist_group("postgresql"))


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """A PostgreSQL server; tests that want it are kept together, so that one is started."""
    with running() as started:
        yield started


@pytest.fixture(params=["sqlite", SERVER])
def address(request: pytest.FixtureRequest) -> str:
    """Address of a new database; empty for the file in the folder."""
    if request.param == "sqlite":
        return ""
    made: Server = request.getfixturevalue("server")
    return made.new_database()


@pytest.fixture
def workshop(tmp_path: Path, address: str) -> Iterator[Workshop]:
    """An empty workshop, once on each kind of database."""
    opened = open_workshop(tmp_path / "workshop", address)
    yield opened
    opened.close()


@pytest.fixture
def on_disk(tmp_path: Path) -> Iterator[Workshop]:
    """An empty workshop with its database as a file."""
    opened = open_workshop(tmp_path / "workshop")
    yield opened
    opened.close()
