"""Opening the workshop: its folder, its database, and what they refuse."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trialfit.errors import Refusal
from trialfit.store.database.layout import HEAD
from trialfit.store.database.mounts import share_under
from trialfit.store.database.trouble import in_plain_words

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

DATABASE = "workshop.db"
PHOTOGRAPHS = "photographs"
WAIT_S = 10.0

_PRAGMAS = ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON")


def utc_now() -> datetime:
    """Read the clock.

    Returns
    -------
    datetime
        Now, in UTC.
    """
    return datetime.now(UTC)


def as_written(moment: datetime) -> str:
    """Write a moment as the database holds it.

    Parameters
    ----------
    moment
        Of any zone; one without a zone is of the clock on the wall.

    Returns
    -------
    str
        In UTC, to the millisecond.
    """
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


@dataclass(frozen=True)
class Workshop:
    """An open workshop.

    Parameters
    ----------
    folder
        Where the photographs are, and the database unless that is on a server.
    url
        Address of a PostgreSQL database; empty for the file in the folder.
    named
        The database as a person knows it, without a password.
    clock
        Gives the time of day, for what is written down with it.
    """

    folder: Path
    url: str
    named: str
    clock: Callable[[], datetime] = utc_now

    @cached_property
    def engine(self) -> Engine:
        """The database, made when it is first asked: to load the library is a third of the whole start."""
        return _server(self.url) if self.url else _file(self.folder / DATABASE)

    @property
    def on_server(self) -> bool:
        """Whether the database is on a server and not a file in the folder."""
        return bool(self.url)

    @property
    def now(self) -> str:
        """The time, as it is written in the database."""
        return as_written(self.clock())

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

    def rows(self, asked: str, **values: str | int) -> list[dict[str, Any]]:
        """Ask once. Of a file this needs no more than Python itself, so that the first page has not to wait.

        Parameters
        ----------
        asked
            A select as both kinds of database know it; ``:name`` stands for a value.
        **values
            The values.

        Returns
        -------
        list of dict
            What was found, by the columns' names.
        """
        if self.on_server:
            from sqlalchemy import text

            with self.reading() as connection:
                return [dict(row) for row in connection.execute(text(asked), values).mappings()]
        with in_plain_words(self.named), closing(sqlite3.connect(self.folder / DATABASE, WAIT_S)) as file:
            file.row_factory = sqlite3.Row
            return [dict(row) for row in file.execute(asked, values)]

    def close(self) -> None:
        """Let go of the database."""
        if "engine" in vars(self):
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
        named = _named(url)
    else:
        share = share_under(folder)
        if share:
            raise Refusal(
                f"workshop {folder}", f"a folder on a network share ({share})", "a folder on this machine's own disk",
                "Two machines writing to one database file over a share can destroy it. Keep the folder on this disk, "
                "or give the address of a PostgreSQL server with --database.",
            )  # fmt: skip
        named = f"database {database}"
    workshop = Workshop(folder, url, named, clock)
    if not url and _is_newest(database):
        return workshop
    from trialfit.store.database.migrate import bring_up_to_date

    try:
        with workshop.writing() as connection:
            bring_up_to_date(connection, named)
    except BaseException:
        workshop.close()
        raise
    return workshop


def _is_newest(database: Path) -> bool:
    """Whether a file stands ready to be written to; whatever is the matter with it is said by the longer way."""
    if not database.is_file():
        return False
    try:
        with closing(sqlite3.connect(database, WAIT_S, isolation_level=None)) as file:
            for pragma in _PRAGMAS:
                file.execute(f"PRAGMA {pragma}")
            file.execute("BEGIN IMMEDIATE")
            found = file.execute("select version_num from alembic_version").fetchall()
            file.execute("ROLLBACK")
    except sqlite3.Error:
        return False
    return found == [(HEAD,)]


def _file(database: Path) -> Engine:
    from sqlalchemy import URL, create_engine, event

    engine = create_engine(
        URL.create("sqlite", database=str(database)), hide_parameters=True, connect_args={"timeout": WAIT_S}
    )

    @event.listens_for(engine, "connect")
    def _connected(connection: sqlite3.Connection, _: Any) -> None:
        # The driver must not begin transactions of its own accord: it would begin them without the right to write.
        connection.isolation_level = None
        for pragma in _PRAGMAS:
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def _begun(connection: Connection) -> None:
        reading = connection.get_execution_options().get("reading", False)
        connection.exec_driver_sql("BEGIN" if reading else "BEGIN IMMEDIATE")

    return engine


def _server(url: str) -> Engine:
    from sqlalchemy import create_engine, make_url

    driven = make_url(url).set(drivername="postgresql+psycopg")
    return create_engine(
        driven, pool_pre_ping=True, hide_parameters=True, connect_args={"connect_timeout": round(WAIT_S)}
    )


def _named(url: str) -> str:
    """A server's database as a person knows it."""
    from sqlalchemy import make_url
    from sqlalchemy.exc import ArgumentError

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
    return f"database {address.database} on {address.host or 'this machine'}"
