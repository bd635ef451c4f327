"""The workshop's pages, served for a test and opened in Debian's browser."""

from __future__ import annotations

import re
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import uvicorn
from playwright.sync_api import Browser, Page, expect, sync_playwright

from trialfit.app.create import create_app
from trialfit.app.settings import Settings
from trialfit.store.database.documents import start
from trialfit.store.database.pictures import add_picture
from trialfit.store.database.workshop import Workshop

ROOT = Path(__file__).parents[1]
AXE = ROOT / "tools" / "browser" / "node_modules" / "axe-core" / "axe.min.js"
CHROMIUM = "/usr/bin/chromium"
ARGUMENTS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip


class Served:
    """The pages while they are served.

    Parameters
    ----------
    workshop
        The open workshop.
    port
        Where. [-]
    """

    def __init__(self, workshop: Workshop, port: int) -> None:
        self.workshop = workshop
        self.port = port
        self.address = f"http://127.0.0.1:{port}"


@contextmanager
def served(folder: Path, *examples: str, network: bool = False) -> Iterator[Served]:
    """Serve a new workshop that holds some of the examples; on a network the passcode is wanted."""
    with socket.socket() as bound:
        bound.bind(("127.0.0.1", 0))
        port = bound.getsockname()[1]
        app = create_app(Settings(folder, network=network, port=port))
        workshop: Workshop = app.state.desk.workshop
        for example in examples:
            put_in(workshop, ROOT / "examples" / example)
        server = uvicorn.Server(uvicorn.Config(app, log_level="error", lifespan="off", timeout_graceful_shutdown=1))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [bound]}, daemon=True)
        thread.start()
        try:
            yield Served(workshop, port)
        finally:
            server.should_exit = True
            thread.join(10)
            workshop.close()


def put_in(workshop: Workshop, folder: Path) -> None:
    """Put a job folder into the workshop."""
    start(workshop, "job", folder.name, (folder / "job.toml").read_text(), "test")
    for picture in sorted((folder / "photographs").glob("*")):
        add_picture(workshop, folder.name, picture.name, picture.read_bytes(), "test")


@contextmanager
def opened() -> Iterator[Browser]:
    """Open the browser."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(ARGUMENTS))
        yield browser
        browser.close()


def settled(page: Page) -> None:
    """Wait until what is worked out is there, and everything is saved."""
    expect(page.locator("[aria-busy=true]")).to_have_count(0, timeout=60_000)
    expect(page.locator("#saved")).to_have_text(re.compile("^(Saved.*)?$"), timeout=60_000)


def faults_of_access(page: Page, rule: str = "") -> list[str]:
    """What axe-core finds wrong on a page as it stands, WCAG 2.1 A and AA and good practice, or by one rule alone."""
    page.evaluate(AXE.read_text())
    only = [rule] if rule else ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"]
    # What passes is not gathered: finding a selector for every such node is most of the time it takes.
    found: dict[str, Any] = page.evaluate(
        "(only) => axe.run(document, {runOnly: only, resultTypes: ['violations']})", only
    )
    return [
        f"{each['id']}: {node['html'][:160]} {node.get('failureSummary', '')[:200]}"
        for each in found["violations"]
        for node in each["nodes"][:3]
    ]
