"""A PostgreSQL server of the tests' own: a new cluster in a temporary folder, never root's, never on the network."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import psycopg
import pytest

_DEBIAN = Path("/usr/lib/postgresql")


@dataclass
class Server:
    """A server that runs.

    Parameters
    ----------
    sockets
        The folder of its socket, its only door.
    """

    sockets: Path
    made: int = 0

    def new_database(self) -> str:
        """Make an empty database and give its address."""
        self.made += 1
        name = f"workshop{self.made}"
        with psycopg.connect(f"host={self.sockets} user=bench dbname=postgres", autocommit=True) as connection:
            connection.execute(f"create database {name}")
        return f"postgresql://bench@/{name}?host={self.sockets}"


def programs() -> Path | None:
    """The folder with Debian's newest initdb, or with the one on the path."""
    found = sorted(_DEBIAN.glob("*/bin/initdb"), key=lambda path: float(path.parts[-3]))
    on_path = shutil.which("initdb")
    return found[-1].parent if found else Path(on_path).resolve().parent if on_path else None


@contextmanager
def running() -> Iterator[Server]:
    """Start a server, and stop it afterwards."""
    bin_folder = programs()
    if bin_folder is None:
        pytest.fail("PostgreSQL is not installed; run tools/debian-packages, as make test does.")
    folder = Path(tempfile.mkdtemp(prefix="trialfit-postgresql-"))
    as_user: list[str] = []
    if os.geteuid() == 0:  # the server refuses to be root's
        as_user = ["runuser", "-u", "postgres", "--"]
        shutil.chown(folder, "postgres", "postgres")
    cluster = folder / "cluster"

    def run(*words: str | Path) -> None:
        subprocess.run([*as_user, *words], cwd=folder, capture_output=True, check=True)

    run(bin_folder / "initdb", "-D", cluster, "-U", "bench", "-A", "trust", "-E", "UTF8", "--locale=C", "--no-sync")
    options = ["-D", str(cluster), "-k", str(folder), "-h", "", "-c", "max_connections=60", "-c", "shared_buffers=32MB"]
    with (folder / "log").open("w") as log:
        server = subprocess.Popen([*as_user, bin_folder / "postgres", *options], cwd=folder, stdout=log, stderr=log)
    try:
        _wait_for(folder, server)
        yield Server(folder)
    finally:
        run(bin_folder / "pg_ctl", "-D", cluster, "-m", "immediate", "stop")
        server.wait(20)
        shutil.rmtree(folder, ignore_errors=True)


def _wait_for(folder: Path, server: subprocess.Popen[bytes]) -> None:
    for _ in range(200):
        try:
            psycopg.connect(f"host={folder} user=bench dbname=postgres").close()
            return
        except psycopg.OperationalError:
            if server.poll() is not None:
                break
            time.sleep(0.05)
    pytest.fail(f"PostgreSQL did not start: {(folder / 'log').read_text()}")
