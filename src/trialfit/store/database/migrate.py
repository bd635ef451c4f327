"""Bringing a database to the layout this program knows."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Column, Connection, MetaData, PrimaryKeyConstraint, String, Table, insert, inspect, text

from trialfit.errors import Refusal
from trialfit.store.database.layout import HEAD
from trialfit.store.database.schema import metadata

_STEPS = Path(__file__).parent / "migrations"
_LOCK = 7_124_615  # any number, so long as it stays the same
# As Alembic itself would make it.
_LAYOUT = Table(
    "alembic_version", MetaData(), Column("version_num", String(32), nullable=False),
    PrimaryKeyConstraint("version_num", name="alembic_version_pkc"),
)  # fmt: skip


def bring_up_to_date(connection: Connection, what: str) -> None:
    """Make the tables, or change them to the newest layout.

    Parameters
    ----------
    connection
        In a transaction that holds the right to write.
    what
        The database, by the name it is known by.

    Raises
    ------
    Refusal
        A newer program has laid the database out, or it is no workshop's.
    """
    if connection.dialect.name == "postgresql":
        connection.execute(text("select pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
    found = layout_of(connection)
    if found == HEAD:
        return
    if found is None and (strange := inspect(connection).get_table_names()):
        raise Refusal(
            what, f"a database with tables of another program ({strange[0]})", "an empty one or a workshop's",
            "Give a database of its own to the workshop.",
        )  # fmt: skip
    if found is None:
        # The newest layout at once: to load what takes the steps is a good part of the whole start.
        metadata.create_all(connection)
        _LAYOUT.create(connection)
        connection.execute(insert(_LAYOUT).values(version_num=HEAD))
        return
    take_steps(connection, what)


def take_steps(connection: Connection, what: str) -> None:
    """Change the tables step by step to the newest layout, from whichever they have; from nothing where there are none.

    Parameters
    ----------
    connection
        In a transaction that holds the right to write.
    what
        The database, by the name it is known by.

    Raises
    ------
    Refusal
        A newer program has laid the database out.
    """
    from alembic import command  # only an old database pays for loading it
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", str(_STEPS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    known = {step.revision for step in ScriptDirectory.from_config(config).walk_revisions()}
    found = layout_of(connection)
    if found is not None and found not in known:
        raise Refusal(
            what, f"layout {found}", f"layout {HEAD} or older",
            "A newer trialfit has written it: run that one, or restore a backup made before.",
        )  # fmt: skip
    command.upgrade(config, "head")


def layout_of(connection: Connection) -> str | None:
    """Read which layout a database has.

    Parameters
    ----------
    connection
        To the database.

    Returns
    -------
    str or None
        The layout's name; None where there is none yet.
    """
    if not inspect(connection).has_table("alembic_version"):
        return None
    return connection.execute(text("select version_num from alembic_version")).scalar()
