"""What a database or a disk says when it cannot, in the bench's words."""

from __future__ import annotations

import errno
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import contextmanager

from trialfit.errors import Refusal


class Trouble(Refusal):
    """The database or the disk cannot, at the moment."""


_NOT_KEPT = "Nothing of this was kept."

# Part of what SQLite says: got, wanted, remedy.
_SQLITE: tuple[tuple[str, str, str, str], ...] = (
    (
        "disk is full",
        "a full disk",
        "room to write",
        "Make room on the disk, or move the workshop's folder to one that has it, then do it again.",
    ),
    (
        "readonly",
        "a database that may only be read",
        "one that can be written to",
        "Check who may write to the file and its folder, and that the disk is not locked against writing.",
    ),
    (
        "locked",
        "a database that another program keeps to itself",
        "one that is free within ten seconds",
        "Close the other program, or wait until it has finished, then do it again.",
    ),
    (
        "disk i/o error",
        "a disk that failed while being read or written",
        "a sound disk with room on it",
        "Make room, look at the disk, and restore the last backup if it goes on.",
    ),
    (
        "unable to open",
        "a file that cannot be opened",
        "a database in a folder that can be written to",
        "Check that the folder is there and who may write to it.",
    ),
    (
        "not a database",
        "a file of another kind",
        "a workshop's database",
        "Check the name; restore the last backup if this is the right file.",
    ),
    (
        "malformed",
        "a damaged file",
        "a sound database",
        "Restore the last backup, and look at the disk.",
    ),
)


@contextmanager
def in_plain_words(what: str) -> Iterator[None]:
    """Turn what the database or the disk says into a refusal.

    Parameters
    ----------
    what
        The database, by the name it is known by; no password in it.

    Yields
    ------
    None
        To the work.

    Raises
    ------
    Trouble
        The disk is full, the file may only be read, the server does not answer, and the like.
    """
    try:
        yield
    except OSError as error:
        raise disk_trouble(what, error) from error
    except sqlite3.Error as error:
        raise _of_file(what, error) from error
    except Exception as error:
        trouble = _by_library(what, error)
        if trouble is None:
            raise
        raise trouble from error


def disk_trouble(what: str, error: OSError) -> Trouble:
    """Say what the disk said.

    Parameters
    ----------
    what
        What was being read or written.
    error
        What the disk said.

    Returns
    -------
    Trouble
        To be raised.
    """
    if error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        return Trouble(what, "a full disk", "room to write", f"Make room, then do it again. {_NOT_KEPT}")
    if error.errno in (errno.EROFS, errno.EACCES, errno.EPERM):
        return Trouble(
            what, "a folder that may not be written to", "one that can be written to",
            f"Check who may write there, and that the disk is not locked against writing. {_NOT_KEPT}",
        )  # fmt: skip
    said = (error.strerror or "an error").lower()
    return Trouble(what, f"{said} from the computer", "a folder that can be used", "Check the name and the disk.")


def _by_library(what: str, error: Exception) -> Trouble | None:
    if "sqlalchemy" not in sys.modules:  # it has said nothing, and to load it takes long
        return None
    from sqlalchemy.exc import DBAPIError, SQLAlchemyError

    if isinstance(error, DBAPIError):
        original = error.orig
        return _of_file(what, original) if isinstance(original, sqlite3.Error) else _of_server(what, original)
    if isinstance(error, SQLAlchemyError):
        return Trouble(
            what, f"an address that cannot be used ({type(error).__name__})",
            "a folder, or an address such as postgresql://bench@server/workshop", "Check how it is written.",
        )  # fmt: skip
    return None


def _of_file(what: str, error: sqlite3.Error) -> Trouble:
    for part, got, wanted, remedy in _SQLITE:
        if part in str(error).lower():
            return Trouble(what, got, wanted, f"{remedy} {_NOT_KEPT}")
    return _as_said(what, error)


def _of_server(what: str, error: BaseException | None) -> Trouble:
    kind = type(error).__name__
    if kind == "DiskFull":
        return Trouble(what, "a full disk on the server", "room to write", f"Make room there. {_NOT_KEPT}")
    if kind in ("ReadOnlySqlTransaction", "InsufficientPrivilege"):
        return Trouble(
            what, "a database that this name may only read", "one that it may write to",
            f"Have the right to write given to it on the server. {_NOT_KEPT}",
        )  # fmt: skip
    if kind in ("OperationalError", "ConnectionTimeout", "AdminShutdown", "CannotConnectNow", "CrashShutdown"):
        return Trouble(
            what, "a server that does not answer, or does not let this name in",
            "a PostgreSQL server that does", f"Check that it runs, its name, and who may use it. {_NOT_KEPT}",
        )  # fmt: skip
    return _as_said(what, error)


def _as_said(what: str, error: BaseException | None) -> Trouble:
    said = str(error) if error else ""
    first = said.splitlines()[0] if said else type(error).__name__
    return Trouble(what, f'"{first}"', "a database that works", f"Look at the database itself. {_NOT_KEPT}")
