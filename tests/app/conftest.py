"""Workshops on both kinds of database; the card in the examples' photographs looked for once, not once a command."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from pathlib import Path

import pytest

from postgres import Server, running
from trialfit.store.database.workshop import Workshop, open_workshop
from trialfit.survey import detect
from trialfit.survey.card import CardBoard
from trialfit.survey.detect import CardSighting, find_card
from trialfit.survey.photograph import Photograph

SERVER = pytest.param("postgresql", marks=pytest.mark.xdist_group("postgresql"))


@pytest.fixture(scope="session", autouse=True)
def _each_picture_searched_once() -> Iterator[None]:
    """Keep what was found in a picture, by its greys; tests/recover holds the search itself to the truth."""
    kept: dict[tuple[str, bytes, CardBoard], CardSighting] = {}

    def remembered(photograph: Photograph, board: CardBoard) -> CardSighting:
        key = photograph.name, hashlib.sha256(photograph.grey.tobytes()).digest(), board
        if key not in kept:
            kept[key] = find_card(photograph, board)
        return kept[key]

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(detect, "find_card", remembered)
        yield


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
