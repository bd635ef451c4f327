"""Bringing a database to the layout this program knows."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection, inspect, text

from trialfit.errors import Refusal
from trialfit.store.database.schema import HEAD

_STEPS = Path(__file__).parent / "migrations"
_LOCK = 7_124_615  # any number, so long as it stays the same


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
    from alembic import command  # only a new or an old database pays for loading it
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", str(_STEPS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    known = {step.revision for step in ScriptDirectory.from_config(config).walk_revisions()}
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
