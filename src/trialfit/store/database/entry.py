"""The passcode that lets other machines in, and who has given it. Neither passcode nor token is ever kept as it is."""

from __future__ import annotations

import secrets
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from threading import Lock

from sqlalchemy import delete, insert, select

from trialfit.errors import Refusal
from trialfit.store.database.schema import passcodes, sessions
from trialfit.store.database.workshop import Workshop

SHORTEST = 8
LONGEST = 200

# Argon2 takes 64 MiB a try on purpose: a crowd of tries must not take them all at once.
_ONE_AT_A_TIME = Lock()


def set_passcode(workshop: Workshop, passcode: str) -> None:
    """Set the passcode; whoever was let in by the old one has to give the new one.

    Parameters
    ----------
    workshop
        The workshop.
    passcode
        The passcode.

    Raises
    ------
    Refusal
        It is too short or too long.
    """
    if not SHORTEST <= len(passcode) <= LONGEST:
        raise Refusal(
            "passcode", f"{len(passcode)} characters", f"{SHORTEST} to {LONGEST} characters",
            "Take three or four words that nobody would guess.",
        )  # fmt: skip
    from argon2 import PasswordHasher  # only a passcode pays for loading it

    with _ONE_AT_A_TIME:
        hashed = PasswordHasher().hash(passcode)
    with workshop.writing() as connection:
        connection.execute(delete(sessions))
        connection.execute(delete(passcodes))
        connection.execute(insert(passcodes).values(id=1, hashed=hashed, set_at=workshop.now))


def has_passcode(workshop: Workshop) -> bool:
    """Say whether a passcode has been set.

    Parameters
    ----------
    workshop
        The workshop.

    Returns
    -------
    bool
        Whether there is one.
    """
    with workshop.reading() as connection:
        return connection.execute(select(passcodes.c.id)).first() is not None


def is_passcode(workshop: Workshop, tried: str) -> bool:
    """Say whether this is the passcode.

    Parameters
    ----------
    workshop
        The workshop.
    tried
        What was typed.

    Returns
    -------
    bool
        Whether it is.
    """
    from argon2 import PasswordHasher
    from argon2.exceptions import InvalidHashError, VerificationError

    with workshop.reading() as connection:
        hashed = connection.execute(select(passcodes.c.hashed)).scalar()
    if hashed is None or len(tried) > LONGEST:
        return False
    try:
        with _ONE_AT_A_TIME:
            return PasswordHasher().verify(hashed, tried)
    except (VerificationError, InvalidHashError):
        return False


def start_session(workshop: Workshop, lasts_days: int) -> str:
    """Let somebody in who has given the passcode.

    Parameters
    ----------
    workshop
        The workshop.
    lasts_days
        For so long. [d]

    Returns
    -------
    str
        The token by which the browser is known from now on.
    """
    token = secrets.token_urlsafe(32)
    now = workshop.clock().astimezone(UTC)
    ends = (now + timedelta(days=lasts_days)).isoformat()
    with workshop.writing() as connection:
        connection.execute(delete(sessions).where(sessions.c.ends_at < now.isoformat()))
        row = {"token_sha256": _hash(token), "started_at": workshop.now, "ends_at": ends}
        connection.execute(insert(sessions).values(row))
    return token


def session_ends(workshop: Workshop, token: str) -> datetime | None:
    """Say until when a token lets in.

    Parameters
    ----------
    workshop
        The workshop.
    token
        What the browser sent.

    Returns
    -------
    datetime or None
        The end; None where the token lets nobody in.
    """
    with workshop.reading() as connection:
        ends = connection.execute(select(sessions.c.ends_at).where(sessions.c.token_sha256 == _hash(token))).scalar()
    if ends is None or (end := datetime.fromisoformat(ends)) <= workshop.clock():
        return None
    return end


def end_session(workshop: Workshop, token: str) -> None:
    """Let a browser in no longer.

    Parameters
    ----------
    workshop
        The workshop.
    token
        Its token.
    """
    with workshop.writing() as connection:
        connection.execute(delete(sessions).where(sessions.c.token_sha256 == _hash(token)))


def _hash(token: str) -> str:
    return sha256(token.encode("utf-8", "replace")).hexdigest()
