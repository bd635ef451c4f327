"""500 past jobs listed and searched, against reading their folders and against grep; a save; a cold start."""

from __future__ import annotations

import http.client
import shutil
import subprocess
import sys
import tempfile
import tomllib
from functools import partial
from itertools import count
from pathlib import Path

from bench.clock import Row, least_ms
from trialfit.store.database import documents
from trialfit.store.database.folders import give_out
from trialfit.store.database.lines import list_jobs
from trialfit.store.database.workshop import Workshop, open_workshop

_JOBS = 500
_EXAMPLES = Path(__file__).parents[1] / "examples"
_OWNERS = ("A. Fenwright", "N. Tarnbrook", "H. Wrenfield", "M. Aske", "L. Hollowell")


def rows() -> list[Row]:
    """Time the list of jobs, its rivals, a save and a start.

    Returns
    -------
    list of Row
        Listing and searching are to stay under 100 ms, a cold start under 1000.
    """
    folder = Path(tempfile.mkdtemp(prefix="trialfit-bench-"))
    try:
        workshop = open_workshop(folder / "workshop")
        _fill(workshop)
        for line in list_jobs(workshop):
            give_out(workshop, line.name, folder / "folders" / line.name)
        found = [*_searched(workshop, folder / "folders"), *_saved(workshop)]
        workshop.close()
        return [*found, *_started(folder / "workshop")]
    finally:
        shutil.rmtree(folder)


def _fill(workshop: Workshop) -> None:
    texts = [path.read_text(encoding="utf-8") for path in sorted(_EXAMPLES.glob("*/job.toml"))]
    for k in range(_JOBS):
        text = texts[k % len(texts)].replace("H. Wrenfield", _OWNERS[k % 5]) + f"# job {k}\n"
        if k % 50 == 0:
            text = text.replace('name = "', 'name = "cornelian-', 1)
        documents.start(workshop, "job", f"job-{k:03}", text, "bench")


def _searched(workshop: Workshop, folders: Path) -> list[Row]:
    asked = ("", "cornelian", "thread:1/4x40", "owner:tarnbrook check valve")
    kept = [
        Row(
            f'list_jobs "{words}"',
            least_ms(partial(list_jobs, workshop, words)),
            f"{len(list_jobs(workshop, words))} jobs",
        )
        for words in asked
    ]
    return [
        *kept,
        Row("reading the folders: list", least_ms(partial(_read_all, folders), 3), "tomllib, every job.toml"),
        Row('reading the folders: "cornelian"', least_ms(partial(_read_for, folders, "cornelian"), 3), "texts alone"),
        Row('grep -rliF "cornelian"', least_ms(partial(_grep, folders, "cornelian"), 5), "a process; knows no threads"),
    ]


def _saved(workshop: Workshop) -> list[Row]:
    numbers = count(1)

    def save() -> None:
        held = documents.holding(workshop, "job", "job-000").revision
        documents.save(workshop, "job", "job-000", f"{held.text}# {next(numbers)}\n", held.number, "bench")

    return [Row("one save, on the disk when it returns", least_ms(save, 15), "15 kB")]


def _started(folder: Path) -> list[Row]:
    return [
        Row("python that does nothing", least_ms(partial(_run, "-c", "pass"), 5)),
        Row(
            "python that imports fastapi and sqlalchemy", least_ms(partial(_run, "-c", "import fastapi, sqlalchemy"), 5)
        ),
        Row(
            "trialfit serve: cold start to the first page", least_ms(partial(_first_page, folder), 5), "500 jobs in it"
        ),
    ]


def _read_all(folders: Path) -> list[str]:
    return [tomllib.loads(path.read_text(encoding="utf-8"))["job"]["owner"] for path in folders.glob("*/job.toml")]


def _read_for(folders: Path, word: str) -> list[str]:
    return [
        path.parent.name for path in folders.glob("*/job.toml") if word in path.read_text(encoding="utf-8").casefold()
    ]


def _grep(folders: Path, word: str) -> None:
    subprocess.run(["grep", "-rliF", word, folders], check=True, stdout=subprocess.DEVNULL)


def _run(*words: str) -> None:
    subprocess.run([sys.executable, *words], check=True)


def _first_page(folder: Path) -> None:
    words = [sys.executable, "-m", "trialfit", "serve", "--workshop", str(folder), "--port", "0"]
    with subprocess.Popen(words, stdout=subprocess.PIPE, text=True) as served:
        assert served.stdout is not None
        address = next(line for line in served.stdout if line.startswith("On this machine"))
        asking = http.client.HTTPConnection(address.split("//")[1].strip().rstrip("/"), timeout=60)
        asking.request("GET", "/")
        assert asking.getresponse().read()
        served.kill()
