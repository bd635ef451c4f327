"""Opening the workshop: its folder, its database, and what they refuse."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from sqlite3 import Connection as SqliteConnection
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError

from trialfit.errors import Refusal
from trialfit.store.database.migrate import bring_up_to_date
from trialfit.store.database.mounts import share_under
from trialfit.store.database.trouble import in_plain_words

DATABASE = "workshop.db"
PHOTOGRAPHS = "photographs"
WAIT_S = 10.0


def utc_now() -> datetime:
    """Read the clock.

    Returns
    -------
    datetime
        Now, in UTC.
    """
    return datetime.now(UTC)


@dataclass(frozen=True)
class Workshop:
    """An open workshop.

    Parameters
    ----------
    folder
        Where the photographs are, and the database unless that is on a server.
    engine
        The database.
    named
        The database as a person knows it, without a password.
    clock
        Gives the time of day, for what is written down with it.
    """

    folder: Path
    engine: Engine
    named: str
    clock: Callable[[], datetime] = utc_now

    @property
    def on_server(self) -> bool:
        """Whether the database is on a server and not a file in the folder."""
        return self.engine.dialect.name != "sqlite"

    @property
    def now(self) -> str:
        """The time, as it is written in the database."""
        return self.clock().astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection that sees one state of the database.

        Yields
        ------
        Connection
            For reading.
        """
        with in_plain_words(self.named), self.engine.execution_options(reading=True).begin() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give a connection whose changes are all kept, on the disk, or none of them.

        Yields
        ------
        Connection
            For reading and writing.
        """
        with in_plain_words(self.named), self.engine.begin() as connection:
            yield connection

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()


def open_workshop(folder: Path, url: str = "", clock: Callable[[], datetime] = utc_now) -> Workshop:
    """Open a workshop; a new one is made where there is none.

    Parameters
    ----------
    folder
        The workshop's folder.
    url
        Address of a PostgreSQL database; empty takes the file in the folder.
    clock
        Gives the time of day.

    Returns
    -------
    Workshop
        With its tables in the newest layout.

    Raises
    ------
    Refusal
        A network share, a full disk, a folder that may only be read, a newer layout, a server that does not answer.
    """
    database = folder / DATABASE
    with in_plain_words(f"workshop {folder}"):
        (folder / PHOTOGRAPHS).mkdir(parents=True, exist_ok=True)
    if url:
        engine, named = _server(url)
    else:
        share = share_under(folder)
        if share:
            raise Refusal(
                f"workshop {folder}", f"a folder on a network share ({share})", "a folder on this machine's own disk",
                "Two machines writing to one database file over a share can destroy it. Keep the folder on this disk, "
                "or give the address of a PostgreSQL server with --database.",
            )  # fmt: skip
        engine, named = _file(database), f"database {database}"
    workshop = Workshop(folder, engine, named, clock)
    try:
        with workshop.writing() as connection:
            bring_up_to_date(connection, named)
    except BaseException:
        workshop.close()
        raise
    return workshop


def _file(database: Path) -> Engine:
    engine = create_engine(
        URL.create("sqlite", database=str(database)), hide_parameters=True, connect_args={"timeout": WAIT_S}
    )

    @event.listens_for(engine, "connect")
    def _connected(connection: SqliteConnection, _: Any) -> None:
        # The driver must not begin transactions of its own accord: it would begin them without the right to write.
        connection.isolation_level = None
        for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def _begun(connection: Connection) -> None:
        reading = connection.get_execution_options().get("reading", False)
        connection.exec_driver_sql("BEGIN" if reading else "BEGIN IMMEDIATE")

    return engine


def _server(url: str) -> tuple[Engine, str]:
    wanted = "an address such as postgresql://bench@server/workshop"
    try:
        address = make_url(url)
    except (ArgumentError, ValueError):
        raise Refusal("database address", "something that is no address", wanted, "Check how it is written.") from None
    if address.get_backend_name() != "postgresql":
        raise Refusal(
            "database address", address.get_backend_name(), wanted, "SQLite or PostgreSQL: leave --database out, or "
            "give a PostgreSQL address.",
        )  # fmt: skip
    driven = address.set(drivername="postgresql+psycopg")
    named = f"database {address.database} on {address.host or 'this machine'}"
    return create_engine(
        driven, pool_pre_ping=True, hide_parameters=True, connect_args={"connect_timeout": round(WAIT_S)}
    ), named
