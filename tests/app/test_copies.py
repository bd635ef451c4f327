"""App: copies of photographs for a screen, made before anybody waits for them, once and whole."""

from __future__ import annotations

import re
import subprocess
import sys
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from html import unescape
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import pytest
from click.testing import CliRunner
from fastapi.testclient import TestClient
from PIL import Image, ImageOps

from trialfit.app.copies import begin, copy_of
from trialfit.app.create import create_app
from trialfit.app.desk import Desk
from trialfit.app.settings import Settings
from trialfit.app.static_files import StaticFromMemory
from trialfit.cli import commands
from trialfit.errors import Refusal
from trialfit.store import screen_copies
from trialfit.store.database.documents import start
from trialfit.store.database.pictures import (
    SCREEN_PX,
    add_picture,
    keep_picture,
    kept_copy,
    picture_of,
    pictures_of,
)
from trialfit.store.photograph_files import upright_size
from workshops import job_text, jpeg

JOB = "bittern"
# As a phone names the second of two files of one name; a bracket and an apostrophe are signs of an address too.
FILES = ("owner's (1).jpg", "left 2.jpg", "third.jpg")
DAMAGED = "cut.jpg"


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    """A browser at a workshop with one job, three sound photographs and a damaged one that came with its folder."""
    app = create_app(Settings(tmp_path / "workshop"))
    workshop = app.state.desk.workshop
    named = "".join(f'photographs.p{n} = {{ file = "{file}", phone = "owner" }}\n' for n, file in enumerate(FILES))
    start(workshop, "job", JOB, f"{named}{job_text(JOB)}\n[phones.owner]\n", "test")
    for grey, file in enumerate(FILES):
        add_picture(workshop, JOB, file, jpeg(1700, 1300, grey=60 + grey), "test")
    keep_picture(workshop, JOB, DAMAGED, jpeg()[:900], "jpeg", "test")
    with TestClient(app, base_url="http://127.0.0.1:8417") as made:
        yield made


def desk_of(client: TestClient) -> Desk:
    return client.app.state.desk  # type: ignore[attr-defined, no-any-return]


def with_copies(client: TestClient) -> set[str]:
    """The files whose copies lie there, once those under way are finished."""
    for thread in threading.enumerate():
        if thread.name in ("copies", "beforehand"):
            thread.join(20)
    workshop = desk_of(client).workshop
    return {each.file for each in pictures_of(workshop, JOB) if kept_copy(workshop, each, SCREEN_PX).is_file()}


def test_the_photograph_page_begins_the_copies_it_shows_first_and_asks_for_them_as_its_script_does(
    client: TestClient,
) -> None:
    answer = client.get(f"/jobs/{JOB}/photographs")
    assert with_copies(client) == set(FILES[:2])
    asked = [unescape(each) for each in re.findall(r'rel="preload" as="image" href="([^"]*)"', answer.text)]
    # encodeURIComponent leaves A-Z a-z 0-9 - _ . ! ~ * ' ( ) as they are (ECMA-262), and writes a blank as %20.
    assert asked == [
        f"/api/jobs/bittern/photographs/{file}?side=1600" for file in ("owner's%20(1).jpg", "left%202.jpg")
    ]
    for address, file in zip(asked, FILES[:2], strict=True):
        assert unquote(address).endswith(f"{file}?side=1600")
        assert client.get(address).headers["content-type"] == "image/jpeg"


def test_every_script_of_the_photograph_page_is_asked_for_at_once(client: TestClient) -> None:
    page = client.get(f"/jobs/{JOB}/photographs").text
    at_once = set(re.findall(r'(?:modulepreload" href|script type="module" src)="/static/([a-z]+\.js)"', page))
    reached, left = set[str](), ["marking.js", "page.js"]
    while left:
        module = left.pop()
        reached.add(module)
        left += (
            set(re.findall(r'^import .* from "\./([a-z]+\.js)"', client.get(f"/static/{module}").text, re.M)) - reached
        )
    assert at_once == reached


def test_a_job_on_the_rack_has_its_copies_before_it_is_opened(client: TestClient) -> None:
    assert with_copies(client) == set()
    client.get("/")
    assert with_copies(client) == set(FILES)  # the damaged one stops nobody
    refused = client.get(f"/api/jobs/{JOB}/photographs/{DAMAGED}")
    assert (refused.status_code, refused.json()["faults"][0]["got"]) == (422, "a picture that is cut short or damaged")


def test_a_job_taken_in_by_command_has_its_copies(client: TestClient, tmp_path: Path) -> None:
    folder = tmp_path / "folder"
    (folder / "photographs").mkdir(parents=True)
    (folder / "job.toml").write_text(job_text("greylag"))
    for file, content in (("a.jpg", jpeg(1800, 1300, grey=20)), (DAMAGED, jpeg()[:900])):
        (folder / "photographs" / file).write_bytes(content)
    shop = desk_of(client).workshop
    done = CliRunner().invoke(commands, ["take-in", str(folder), "--name", "greylag", "--workshop", str(shop.folder)])
    assert (done.exit_code, done.output) == (0, "greylag: revision 1, 2 files in photographs/.\n")
    there = {each.file: kept_copy(shop, each, SCREEN_PX).is_file() for each in pictures_of(shop, "greylag")}
    assert there == {"a.jpg": True, DAMAGED: False}


def test_a_copy_is_made_once_however_many_ask_while_it_is_under_way(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk, made = desk_of(client), list[Path]()
    picture = picture_of(desk.workshop, JOB, FILES[0])
    copy, truly = kept_copy(desk.workshop, picture, SCREEN_PX), screen_copies.screen_copy
    asked_by_all = threading.Event()

    def slowly(path: Path, long_side_px: int) -> bytes:
        made.append(path)
        asked_by_all.wait(20)
        return truly(path, long_side_px)

    monkeypatch.setattr(screen_copies, "screen_copy", slowly)
    for time in (1, 2):  # the second time after somebody made room
        asked_by_all.clear()
        begin(desk, JOB, FILES[:1])
        with ThreadPoolExecutor(8) as many:
            asked = [many.submit(copy_of, desk, picture, SCREEN_PX) for _ in range(8)]
            assert not any(each.done() for each in asked)  # nobody is given a copy that is under way
            asked_by_all.set()
            assert {each.result(20) for each in asked} == {copy}
        assert len(made) == time
        copy.unlink()


def test_a_copy_half_written_is_never_there(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    desk = desk_of(client)
    picture = picture_of(desk.workshop, JOB, FILES[0])
    copy = kept_copy(desk.workshop, picture, SCREEN_PX)
    with monkeypatch.context() as full:

        def no_room(*_: Any) -> Path:
            raise OSError(28, "No space left on device")  # ENOSPC (POSIX)

        full.setattr(Path, "replace", no_room)  # all is written but the name
        with pytest.raises(Refusal):
            copy_of(desk, picture, SCREEN_PX)
        assert list(copy.parent.iterdir()) == []
    assert copy_of(desk, picture, SCREEN_PX) == copy and copy.is_file()
    copy.unlink()  # somebody made room
    assert copy_of(desk, picture, SCREEN_PX).is_file()


@pytest.mark.parametrize("orientation", range(1, 9))
def test_the_size_told_is_that_of_the_picture_set_upright(tmp_path: Path, orientation: int) -> None:
    exif = Image.Exif()
    exif[274] = orientation
    Image.new("L", (1200, 900)).save(tmp_path / "a.jpg", exif=exif)
    with Image.open(tmp_path / "a.jpg") as picture:  # Pillow's own turning
        assert upright_size(tmp_path / "a.jpg") == ImageOps.exif_transpose(picture).size


def test_whoever_waits_for_a_copy_does_not_wait_for_the_library_of_numbers() -> None:
    said = "import sys; import trialfit.store.screen_copies; print('numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", said], capture_output=True, text=True, check=True).stdout == "False\n"


def test_a_file_of_the_pages_that_has_changed_is_given_anew(tmp_path: Path) -> None:
    (tmp_path / "one.js").write_text("let a = 1;")
    (tmp_path / "large.js").write_text("//" + 300_000 * "x")
    client = TestClient(StaticFromMemory(tmp_path))
    first = client.get("/one.js")
    assert (first.text, first.headers["content-length"]) == ("let a = 1;", "10")
    assert client.get("/one.js", headers={"If-None-Match": first.headers["etag"]}).status_code == 304
    (tmp_path / "one.js").write_text("let b = 22;")
    assert client.get("/one.js").text == "let b = 22;"
    assert (client.head("/one.js").text, client.head("/one.js").headers["content-length"]) == ("", "11")
    assert len(client.get("/large.js").content) == 300_002
    (tmp_path / "one.js").unlink()
    with pytest.raises(Exception, match="404"):
        client.get("/one.js")
