"""App: the steps from layout to layout lead to the tables as the program knows them, by Alembic's own comparison."""

from __future__ import annotations

from pathlib import Path

from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, inspect, text

import trialfit.store.database as package
from trialfit.store.database.layout import HEAD
from trialfit.store.database.migrate import layout_of, take_steps
from trialfit.store.database.schema import metadata
from trialfit.store.database.workshop import Workshop, open_workshop

STEPS = Path(package.__path__[0]) / "migrations"


def test_the_steps_make_the_tables_the_program_knows(workshop: Workshop) -> None:
    """The workshop's were made at once; taken away and made by the steps they are the same, to Alembic and as SQL."""
    with workshop.engine.begin() as connection:
        assert layout_of(connection) == HEAD
        at_once = _constraints(connection)
        metadata.drop_all(connection)
        connection.execute(text("drop table alembic_version"))
        take_steps(connection, "the workshop's database")
        assert layout_of(connection) == HEAD
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []
        assert _constraints(connection) == at_once


def _constraints(connection: Connection) -> list[tuple[str, str]]:
    """What Alembic does not compare: names and wording of every check, key and uniqueness, whatever their order."""
    seen, found = inspect(connection), []
    for table in (*metadata.tables, "alembic_version"):
        key, checks = seen.get_pk_constraint(table), seen.get_check_constraints(table)
        found += [(table, f"{key['name']} {key['constrained_columns']}")]
        found += [(table, f"{each['name']} {each['sqltext']}") for each in checks]
        found += [(table, f"{each['name']} {each['column_names']}") for each in seen.get_unique_constraints(table)]
        found += [(table, f"{each['name']} {each['referred_table']}") for each in seen.get_foreign_keys(table)]
        found += [(table, f"{each['name']} {each['column_names']}") for each in seen.get_indexes(table)]
    return sorted(found)


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
