"""The pages as the browser has them: a mark that is dragged, the photograph page, the first page from cold."""

from __future__ import annotations

import io
import json
import os
import socket
import subprocess
import sys
import tempfile
import time
from contextlib import closing
from pathlib import Path
from shutil import rmtree
from urllib.error import URLError
from urllib.request import Request, urlopen

from PIL import Image, ImageOps
from playwright.sync_api import Browser, Page

from bench.clock import Row
from browser import opened
from trialfit.store.database.pictures import COPIES

_PICTURE = Path(__file__).parents[1] / "examples" / "backhead" / "photographs" / "view0.jpg"
_PAGE = "/jobs/backhead/photographs"
_STEPS = 60
_EVERY_MS = 120.0


def rows() -> list[Row]:
    """Time what a person waits for.

    Returns
    -------
    list of Row
        From the finger's move to the drawing that follows it; from asking for a page to its picture; from starting
        the program to its first page.
    """
    with tempfile.TemporaryDirectory() as folder:
        very_first = min(_first_page(Path(folder) / f"new{turn}")[0] for turn in range(2))
        cold = min(_first_page(Path(folder) / "new0")[0] for _ in range(3))
        seen = [_first_sight(Path(folder) / f"seen{turn}") for turn in range(3)]
        _, program, address = _first_page(Path(folder) / "workshop", keep=True)
        try:
            with opened() as browser:
                again, dragged = _photographs(browser, f"{address}{_PAGE}")
                sent = _sent(browser, address)
        finally:
            _end(program)
    first, marks, bare = ([each[place] for each in seen] for place in range(3))
    dragged.sort()
    middle, most = dragged[len(dragged) // 2], dragged[int(0.95 * (len(dragged) - 1))]
    busy = f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors"
    return [
        Row(
            "mark dragged: finger to points, ellipses, pipe and chance drawn, middle of all",
            middle,
            f"to be < 100; {busy}",
        ),
        Row("the same, 19 in 20 are below", most, f"{len(dragged)} followed"),
        Row("photograph page, 12 MP: asked for to shown, first time ever", max(first), f"to be < 1500; {_most(first)}"),
        Row("the same, to its marks there, to be taken hold of", max(marks), _most(marks)),
        Row("the same, shown though none of its copies had been made", max(bare), f"to be < 1500; {_most(bare)}"),
        Row("the same, shown the second time", again),
        Row("a photograph sent, 12 MP, and its page asked for at once: to shown", sent, "to be < 1500"),
        Row("program started to first page answered", cold, "to be < 1000"),
        Row("the same, the very first time: a new workshop that takes the example jobs in", very_first),
    ]


def _most(found: list[float]) -> str:
    return f"the most of {len(found)} new workshops, the least {min(found):.0f}"


def _first_sight(folder: Path) -> tuple[float, float, float]:
    """In a new workshop, by a browser that never saw it: to the picture, to the marks too, without copies. [ms]"""
    _, program, address = _first_page(folder, keep=True)
    try:
        with opened() as browser:
            page = browser.new_page(viewport={"width": 1280, "height": 800})
            page.goto(address + _PAGE)
            first, marks = _shown(page), max(_at(page, "marks there"), _shown(page))
            page.locator("#live b").first.wait_for(timeout=120_000)
            page.close()
            rmtree(folder / COPIES)
            page = browser.new_page(viewport={"width": 1280, "height": 800})
            page.goto(address + _PAGE)
            return first, marks, _shown(page)
    finally:
        _end(program)


def _photographs(browser: Browser, address: str) -> tuple[float, list[float]]:
    """The page twice, then a mark moved to and fro by the mouse."""
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    for _ in range(2):
        page.goto(address)
        again = _shown(page)
    page.locator("#live b").first.wait_for(timeout=120_000)
    x, y = page.evaluate(
        """() => {
          const pane = marking.panes[0], box = pane.canvas.getBoundingClientRect();
          const mark = marking.marksOn(pane.name).find((each) => each.name === 'check_cap.face');
          const at = pane.toScreen(mark.px);
          return [box.left + at[0], box.top + at[1]];
        }"""
    )
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(_STEPS):
        page.mouse.move(x + 6 + step % 7, y + 4 + step % 5)
        page.wait_for_timeout(_EVERY_MS)
    followed = page.evaluate("() => performance.getEntriesByName('mark followed').map((each) => each.duration)")
    page.close()
    return again, [float(each) for each in followed[2:]]


def _shown(page: Page) -> float:
    """When the first photograph of a page was there. [ms]"""
    return _at(page, "shown")


def _at(page: Page, beginning: str) -> float:
    """When a page first came to something, by the beginning of its name. [ms]"""
    mark = """(beginning) => performance.getEntriesByType('mark')
      .find((each) => each.name.startsWith(beginning))?.startTime ?? 0"""
    while not (at := page.evaluate(mark, beginning)):
        page.wait_for_timeout(20)
    return float(at)


def _sent(browser: Browser, address: str) -> float:
    """A job begun, a photograph nobody has seen sent to it as a phone sends it, its page opened at once. [ms]"""
    with Image.open(_PICTURE) as picture:
        content = io.BytesIO()
        ImageOps.mirror(picture).save(content, "JPEG", quality=95)
    calls = f"{address}/api/jobs"
    document = {
        "format": 1,
        "job": {"name": "sent", "owner": "nobody", "date": "2026-01-01"},
        "engine": {"name": "none", "working_pressure": "90 psi"},
        "phones": {"owner": {}},
    }
    _ask("POST", calls, json.dumps({"name": "sent", "document": document}).encode())
    _ask("PUT", f"{calls}/sent/photographs/from%20the%20bench.jpg", content.getvalue())
    change = {"path": ["photographs", "one"], "value": {"file": "from the bench.jpg", "phone": "owner"}}
    _ask("POST", f"{calls}/sent/changes", json.dumps({"base": 1, "changes": [change]}).encode())
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    page.goto(f"{address}/jobs/sent/photographs")
    shown = _shown(page)
    page.close()
    return shown


def _ask(method: str, url: str, content: bytes) -> None:
    kind = "application/octet-stream" if method == "PUT" else "application/json"
    with urlopen(Request(url, content, {"Content-Type": kind}, method=method), timeout=60) as answer:
        answer.read()


def _first_page(folder: Path, *words: str, keep: bool = False) -> tuple[float, subprocess.Popen[bytes], str]:
    """Start the program in a process of its own, as a workshop does, and time its first page. [ms]"""
    with closing(socket.socket()) as free:
        free.bind(("127.0.0.1", 0))
        address = f"http://127.0.0.1:{free.getsockname()[1]}"
    port = address.rpartition(":")[2]
    command = [sys.executable, "-m", "trialfit", "serve", "--port", port, "--workshop", str(folder), *words]
    begin = time.perf_counter()
    program = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    took_ms = float("inf")
    while time.perf_counter() - begin < 60:
        try:
            with urlopen(f"{address}/", timeout=60) as answer:
                answer.read()
            took_ms = 1000 * (time.perf_counter() - begin)
            break
        except URLError:
            time.sleep(0.005)
    if not keep:
        _end(program)
    return took_ms, program, address


def _end(program: subprocess.Popen[bytes]) -> None:
    program.terminate()
    program.wait(10)
