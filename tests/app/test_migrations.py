"""App: the steps from layout to layout lead to the tables as the program knows them, by Alembic's own comparison."""

from __future__ import annotations

from pathlib import Path

from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

import trialfit.store.database as package
from trialfit.store.database.migrate import layout_of
from trialfit.store.database.schema import HEAD, metadata
from trialfit.store.database.workshop import Workshop, open_workshop

STEPS = Path(package.__path__[0]) / "migrations"


def test_the_steps_make_the_tables_the_program_knows(workshop: Workshop) -> None:
    with workshop.engine.connect() as connection:
        assert layout_of(connection) == HEAD
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []


def test_the_newest_step_is_the_one_the_program_asks_for() -> None:
    config = Config()
    config.set_main_option("script_location", str(STEPS))
    config.set_main_option("path_separator", "os")
    assert ScriptDirectory.from_config(config).get_heads() == [HEAD]


def test_an_open_workshop_opened_again_is_left_as_it_is(workshop: Workshop) -> None:
    url = workshop.engine.url.render_as_string(hide_password=False) if workshop.on_server else ""
    open_workshop(workshop.folder, url).close()
    with workshop.engine.connect() as connection:
        assert layout_of(connection) == HEAD
