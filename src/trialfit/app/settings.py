"""How the pages are served."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

LOOPBACK_NAMES = ("localhost", "127.0.0.1", "[::1]")
PORT = 8417
SESSION_DAYS = 30


@dataclass(frozen=True)
class Settings:
    """How the pages are served.

    Parameters
    ----------
    workshop
        The workshop's folder.
    database
        Address of a PostgreSQL database; empty takes the file in the folder.
    network
        Whether other machines may ask; then everyone needs the passcode.
    hosts
        Names under which the program may be asked, without port: what a browser's address line says.
    port
        Port. [-]
    secure
        Whether it is served over TLS, so that cookies are for TLS alone.
    """

    workshop: Path
    database: str = ""
    network: bool = False
    hosts: tuple[str, ...] = LOOPBACK_NAMES
    port: int = PORT
    secure: bool = False
