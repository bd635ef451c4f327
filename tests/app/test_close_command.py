"""App: a job is closed, its record can be read without the program, and a later change is a new revision."""

from __future__ import annotations

import io
import json
import zipfile
from hashlib import sha256
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from trialfit.cli import commands
from trialfit.errors import Refusal
from trialfit.tables.edition import tables_edition

JOB = """
format = 1
[job]
name = "wren-cap"
owner = '<script>alert("x")</script> #pagebreak()'
date = 2026-03-14
[engine]
name = "Wren & Co <b>"
working_pressure = "80 psi"
[parcel]
whole = true
[parcel.lines.cap]
what = "cap"
mass = "9 g"
[[parcel.out]]
piece = "cap"
goes = "returned"
"""


class _Page(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.links: list[str] = []
        self.words = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.links += [value for key, value in attrs if key in ("href", "src") and value]

    def handle_data(self, data: str) -> None:
        self.words += data


def _close(folder: Path, out: Path) -> Any:
    return CliRunner().invoke(commands, ["close", str(folder), "--out", str(out)])


def test_closing_never_writes_over_what_is_no_archive(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(JOB, "utf-8")
    letter = tmp_path / "letter.txt"
    letter.write_text("kept", "utf-8")
    refused = _close(tmp_path, letter).exception
    assert isinstance(refused, Refusal) and "would be lost" in str(refused)
    assert letter.read_text("utf-8") == "kept" and not (tmp_path / "closed").exists()


def test_a_closed_job_is_one_file_that_reads_by_itself(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(JOB, "utf-8")
    out = tmp_path / "wren.zip"
    assert _close(tmp_path, out).exception is None
    with zipfile.ZipFile(out) as archive:
        assert archive.testzip() is None
        files = {name: archive.read(name) for name in archive.namelist()}
    manifest = json.loads(files["manifest.json"])
    assert {each["file"]: each["sha256"] for each in manifest["files"]} == {
        name: sha256(made).hexdigest() for name, made in files.items() if name != "manifest.json"
    }
    assert files["job.toml"].decode() == JOB
    assert manifest["closed"]["document"] == sha256(JOB.encode()).hexdigest()
    assert manifest["closed"]["tables"] == tables_edition()
    assert {"plan.json", "sheets/pack.pdf", "sheets/packing-list.pdf", "sheets/labels.pdf"} <= set(files)
    page = _Page()
    page.feed(files["index.html"].decode())
    assert "script" not in page.tags and "b" not in page.tags
    assert '<script>alert("x")</script> #pagebreak()' in page.words
    assert set(page.links) <= set(files)


def test_what_is_closed_stays_and_a_correction_is_a_new_revision(tmp_path: Path) -> None:
    document = tmp_path / "job.toml"
    document.write_text(JOB, "utf-8")
    first, again = tmp_path / "1.zip", tmp_path / "2.zip"
    assert _close(tmp_path, first).exception is None
    assert _close(tmp_path, again).exception is None
    assert first.read_bytes() == again.read_bytes()
    record = (tmp_path / "closed" / "revision-1.json").read_text()
    document.write_text(JOB.replace('"9 g"', '"8 g"'), "utf-8")
    refused = _close(tmp_path, again).exception
    assert isinstance(refused, Refusal)
    day = json.loads(record)["day"]
    assert str(refused) == (
        f"job wren-cap, revision 1: got job.toml changed since it was closed on {day}, wanted a closed revision as it "
        "was. A correction is a new revision: write revision = 2 under [job]."
    )
    assert str(refused) in CliRunner().invoke(commands, ["check", str(tmp_path)]).output
    document.write_text(JOB.replace('"9 g"', '"8 g"').replace("[engine]", "revision = 2\n[engine]"), "utf-8")
    assert _close(tmp_path, again).exception is None
    assert (tmp_path / "closed" / "revision-1.json").read_text() == record
    with zipfile.ZipFile(io.BytesIO(again.read_bytes())) as archive:
        assert json.loads(archive.read("manifest.json"))["closed"]["revision"] == 2


def test_a_job_with_a_piece_left_over_is_not_closed(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(JOB.split("[[parcel.out]]")[0], "utf-8")
    refused = _close(tmp_path, tmp_path / "x.zip").exception
    assert isinstance(refused, Refusal) and refused.fault.got == "a parcel that is not accounted for"
    assert not (tmp_path / "closed").exists() and not (tmp_path / "x.zip").exists()
