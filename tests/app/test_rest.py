"""App: the calls for other programs; what they give is held against the command line and against what was put in."""

from __future__ import annotations

import io
import json
import tomllib
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner
from fastapi.testclient import TestClient
from PIL import Image

from backhead import survey
from postgres import Server
from trialfit.app.create import create_app
from trialfit.app.examples import take_examples_in
from trialfit.app.settings import Settings
from trialfit.cli import commands
from trialfit.job.change import Change, changed
from trialfit.job.shop import assumed_shop
from trialfit.plan import plan
from trialfit.store.folder import read_folder
from trialfit.store.plain import plain
from workshops import EXAMPLES, job_text, jpeg

OCTETS = {"Content-Type": "application/octet-stream"}
BACKHEAD = (EXAMPLES / "backhead" / "job.toml").read_text(encoding="utf-8")


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    """Another program, at an empty workshop."""
    with TestClient(create_app(Settings(tmp_path / "workshop")), base_url="http://127.0.0.1:8417") as made:
        yield made


@pytest.fixture(scope="module")
def examples(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """Another program, at a workshop with the example jobs."""
    app = create_app(Settings(tmp_path_factory.mktemp("workshop")))
    assert take_examples_in(app.state.desk.workshop) == tuple(
        sorted(path.parent.name for path in EXAMPLES.glob("*/job.toml"))
    )
    assert take_examples_in(app.state.desk.workshop) == ()
    with TestClient(app, base_url="http://127.0.0.1:8417") as made:
        yield made


@pytest.mark.xdist_group("postgresql")
def test_the_calls_work_on_a_database_server_too(server: Server, tmp_path: Path) -> None:
    app = create_app(Settings(tmp_path / "workshop", server.new_database()))
    with TestClient(app, base_url="http://127.0.0.1:8417") as client:
        _start(client)
        saved = client.put("/api/jobs/bittern", json={"base": 1, "text": job_text(story="Again.")})
        assert (saved.status_code, saved.json()["revision"]) == (200, 2)
        assert client.put("/api/jobs/bittern", json={"base": 1, "text": job_text()}).status_code == 409
        put = client.put("/api/jobs/bittern/photographs/front.jpg", content=jpeg(), headers=OCTETS)
        assert put.status_code == 201
        assert client.get("/api/jobs/bittern/findings").status_code == 200
        assert [line["name"] for line in client.get("/api/jobs", params={"words": "again"}).json()] == ["bittern"]
        assert client.get("/").status_code == 200
    app.state.desk.workshop.close()


def _start(client: TestClient, name: str = "bittern", text: str = job_text()) -> dict[str, Any]:
    answer = client.post("/api/jobs", json={"name": name, "text": text})
    assert answer.status_code == 201, answer.text
    said: dict[str, Any] = answer.json()
    return said


def test_a_job_is_started_saved_undone_and_redone(client: TestClient) -> None:
    said = _start(client)
    assert (said["name"], said["revision"], said["text"], said["faults"]) == ("bittern", 1, job_text(), [])
    assert said["document"] == json.loads(json.dumps(tomllib.loads(job_text()), default=str))
    second = job_text(story="Again.")
    saved = client.put("/api/jobs/bittern", json={"base": 1, "text": second}).json()
    assert (saved["revision"], saved["undo_to"], saved["redo_to"], saved["text"]) == (2, 1, 0, second)
    undone = client.post("/api/jobs/bittern/undo", json={"base": 2}).json()
    assert (undone["revision"], undone["redo_to"], undone["text"]) == (1, 2, job_text())
    assert client.post("/api/jobs/bittern/redo", json={"base": 1}).json()["text"] == second
    assert [line["number"] for line in client.get("/api/jobs/bittern/revisions").json()] == [2, 1]
    assert client.get("/api/jobs/bittern/revisions/1").json()["text"] == job_text()
    assert client.get("/api/jobs/bittern").json()["saved_by"] == "this machine"
    assert [line["name"] for line in client.get("/api/jobs", params={"words": "again"}).json()] == ["bittern"]


def test_a_document_sent_back_as_tables_is_the_same_document(client: TestClient) -> None:
    said = _start(client, "greylag", BACKHEAD.replace("[photographs]\n", "[photographs]\n").split("# Left and right")[0]
                  .split("[photographs]")[0])  # fmt: skip
    again = client.put("/api/jobs/greylag", json={"base": 1, "document": said["document"]}).json()
    assert again["document"] == said["document"]


def test_keys_are_changed_one_by_one_all_or_none(client: TestClient) -> None:
    _start(client)
    changes = [
        {"path": ["job", "owner"], "value": "N. Tarnbrook"},
        {"path": ["points", "nut.face", "what"], "value": "lower face"},
        {"path": ["readings", 0], "value": {"between": ["nut.face", "cap.face"], "value": "33.2 mm", "pm": "0.1 mm",
                                            "by": "workshop, caliper"}},
        {"path": ["points", "cap.face"], "value": {}},
        {"path": ["parts", "check_valve", "what"], "value": None},
    ]  # fmt: skip
    said = client.post("/api/jobs/bittern/changes", json={"base": 1, "changes": changes}).json()
    document = said["document"]
    assert document["job"]["owner"] == "N. Tarnbrook"
    assert document["readings"][0]["value"] == "33.2 mm"
    assert "what" not in document["parts"]["check_valve"]
    changes = [{"path": ["job", "owner"], "value": "B"}, {"path": ["engine", "working_pressure"], "value": "80"}]
    refused = client.post("/api/jobs/bittern/changes", json={"base": 2, "changes": changes})
    assert (refused.status_code, refused.json()["faults"]) == (
        422,
        [{
            "what": "engine, working_pressure", "got": "80 without a unit",
            "wanted": "a pressure such as 80 psi or 5.5 bar", "remedy": "Put the unit behind the number: 80 psi.",
            "file": "job.toml", "line": 0,
        }],
    )  # fmt: skip
    assert client.get("/api/jobs/bittern").json()["document"]["job"]["owner"] == "N. Tarnbrook"


def test_changes_leave_what_they_were_made_to_alone() -> None:
    before = {"a": {"b": [1, 2]}, "c": 3}
    after = changed(before, [Change(("a", "b", 2), 9), Change(("a", "b", 0), None), Change(("c",), None)])
    assert (before, after) == ({"a": {"b": [1, 2]}, "c": 3}, {"a": {"b": [2, 9]}})
    assert changed(before, [Change(("a", "b", 0), None), Change(("a", "b", 0), None)]) == {"c": 3}


def test_every_fault_of_a_document_is_told_at_once_with_its_line(client: TestClient) -> None:
    text = job_text().replace('"80 psi"', '"80"').replace("5/16x32", "5/16x33")
    refused = client.post("/api/jobs", json={"name": "bittern", "text": text})
    assert refused.status_code == 422
    assert [fault["line"] for fault in refused.json()["faults"]] == [
        text[: text.index(piece)].count("\n") + 1 for piece in ('"80"', "5/16x33")
    ]
    assert client.get("/api/jobs").json() == []


def test_the_second_writer_is_shown_both_versions(client: TestClient) -> None:
    _start(client)
    mine, theirs = job_text(story="Mine."), job_text(story="Theirs.")
    client.put("/api/jobs/bittern", json={"base": 1, "text": theirs})
    answer = client.put("/api/jobs/bittern", json={"base": 1, "text": mine})
    conflict = answer.json()["conflict"]
    assert answer.status_code == 409
    assert (conflict["base"]["text"], conflict["yours"], conflict["theirs"]["text"]) == (job_text(), mine, theirs)
    assert conflict["theirs"]["revision"] == 2


def test_a_change_sent_twice_under_one_key_is_made_once(client: TestClient) -> None:
    _start(client)
    sent = {"base": 1, "changes": [{"path": ["job", "story"], "value": "Again."}]}
    for _ in range(2):
        answer = client.post("/api/jobs/bittern/changes", json=sent, headers={"Idempotency-Key": "k1"})
        assert (answer.status_code, answer.json()["newest"]) == (200, 2)
    other = {"base": 1, "changes": [{"path": ["job", "story"], "value": "Other."}]}
    assert client.post("/api/jobs/bittern/changes", json=other, headers={"Idempotency-Key": "k1"}).status_code == 409


@pytest.mark.parametrize(
    ("method", "path", "sent", "code"),
    [
        ("GET", "/api/jobs/none", None, 404),
        ("GET", "/api/jobs/bittern/revisions/99", None, 404),
        ("GET", "/api/jobs/bittern/revisions/0", None, 422),
        ("GET", "/api/jobs/bittern/photographs/none.jpg", None, 404),
        ("GET", "/api/jobs/bittern/sheets/none.pdf", None, 404),
        ("GET", "/api/none", None, 404),
        ("DELETE", "/api/jobs/bittern", None, 405),
        ("PUT", "/api/jobs/bittern", {"base": 1}, 422),
        ("PUT", "/api/jobs/bittern", {"base": 1, "text": "a", "document": {}}, 422),
        ("PUT", "/api/jobs/bittern", {"base": 1, "text": "no document"}, 422),
        ("PUT", "/api/jobs/bittern", {"base": 1, "document": {"job": None}}, 422),
        ("PUT", "/api/jobs/bittern", {"base": "one", "text": "", "more": 1}, 422),
        ("POST", "/api/jobs", {"name": "../a", "text": job_text()}, 422),
        ("POST", "/api/jobs", {"name": "bittern", "text": job_text()}, 409),
        ("POST", "/api/jobs/bittern/undo", {"base": 1}, 422),
        ("POST", "/api/jobs/bittern/changes", {"base": 1, "changes": [{"path": ["job", 0], "value": 1}]}, 422),
        ("POST", "/api/jobs/bittern/changes", {"base": 9, "changes": [{"path": ["a"], "value": 1}]}, 404),
    ],
)
def test_every_refusal_has_one_shape(
    client: TestClient, method: str, path: str, sent: dict[str, Any] | None, code: int
) -> None:
    _start(client)
    answer = client.request(method, path, json=sent)
    assert answer.status_code == code, answer.text
    for fault in answer.json()["faults"]:
        assert set(fault) == {"what", "got", "wanted", "remedy", "file", "line"}
        assert fault["what"] and fault["got"] and fault["wanted"] and fault["remedy"].endswith((".", "?"))


def test_what_is_no_json_is_refused(client: TestClient) -> None:
    answer = client.post("/api/jobs", content=b"{", headers={"Content-Type": "application/json"})
    assert (answer.status_code, answer.json()["faults"][0]["got"]) == (400, "text that is no JSON")


def test_photographs_go_in_and_come_out_as_they_were(client: TestClient) -> None:
    _start(client)
    sideways = io.BytesIO()
    exif = Image.Exif()
    exif[274] = 6  # Exif orientation 6 (CIPA DC-008): the right-hand side of what is stored is the top
    colours = np.zeros((900, 1200, 3), dtype=np.uint8)
    colours[:, :600] = (250, 0, 0)
    Image.fromarray(colours).save(sideways, "JPEG", exif=exif, quality=95)
    for file, content in (("front.jpg", sideways.getvalue()), ("left 2.jpg", jpeg())):
        put = client.put(f"/api/jobs/bittern/photographs/{file}", content=content, headers=OCTETS)
        assert put.status_code == 201, put.text
        got = client.get(f"/api/jobs/bittern/photographs/{file}", params={"side": "original"})
        assert (got.content, got.headers["content-type"]) == (content, "image/jpeg")
    assert [each["file"] for each in client.get("/api/jobs/bittern/photographs").json()] == ["front.jpg", "left 2.jpg"]
    for side, size in (("320", (240, 320)), ("1600", (900, 1200)), ("full", (900, 1200))):
        got = client.get("/api/jobs/bittern/photographs/front.jpg", params={"side": side})
        assert "immutable" in got.headers["cache-control"]
        picture = Image.open(io.BytesIO(got.content))
        assert (picture.size, picture.format, dict(picture.getexif())) == (size, "JPEG", {})
        top, bottom = (np.asarray(picture)[row, size[0] // 2] for row in (10, -10))
        assert top[0] > 200 and bottom[0] < 50  # turned clockwise, what was left is on top


def test_the_shop_is_assumed_until_it_is_said(client: TestClient) -> None:
    shop = client.get("/api/shop").json()
    assert (shop["revision"], shop["document"]["name"], shop["faults"]) == (1, "assumed workshop", [])
    changes = [{"path": ["name"], "value": "the workshop"}, {"path": ["measured"], "value": True}]
    saved = client.post("/api/shop/changes", json={"base": 1, "changes": changes}).json()
    assert (saved["revision"], saved["document"]["measured"]) == (2, True)
    assert client.post("/api/shop/undo", json={"base": 2}).json()["document"]["name"] == "assumed workshop"
    assert client.post("/api/shop/redo", json={"base": 1}).json()["document"]["name"] == "the workshop"
    bad = client.put("/api/shop", json={"base": 2, "text": "name = 1"})
    assert bad.status_code == 422
    assert len(client.get("/api/shop/revisions").json()) == 2


@pytest.mark.parametrize("name", ["sheared-elbow", "soldering", "feed-circuit"])
def test_what_is_worked_out_is_what_the_command_works_out(examples: TestClient, name: str) -> None:
    """The same document through the folder and through the database."""
    from_folder = json.loads(json.dumps(plain(plan(read_folder(EXAMPLES / name).job, assumed_shop()).findings)))
    assert from_folder
    said = examples.get(f"/api/jobs/{name}/findings").json()
    assert (said["revision"], said["findings"]) == (1, from_folder)
    assert examples.get(f"/api/jobs/{name}/plan").json()["plan"]["findings"] == from_folder


def test_the_pages_give_byte_for_byte_what_the_command_writes(examples: TestClient, tmp_path: Path) -> None:
    """One zip of plan.json, every sheet, the letter where there is one, and the bound pack."""
    said = CliRunner().invoke(commands, ["plan", str(EXAMPLES / "sheared-elbow"), "--out", str(tmp_path / "out")])
    assert said.exit_code in (0, 1), said.output
    written = {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()}
    assert {"plan.json", "summary.pdf", "pack.pdf"} <= set(written)
    with zipfile.ZipFile(io.BytesIO(examples.get("/api/jobs/sheared-elbow/sheets.zip").content)) as packed:
        assert {name: packed.read(name) for name in packed.namelist()} == written
    files = examples.get("/api/jobs/sheared-elbow/sheets").json()["files"]
    assert set(files) == set(written) - {"plan.json"}
    sheet = examples.get("/api/jobs/sheared-elbow/sheets/summary.pdf")
    assert (sheet.headers["content-type"], sheet.content) == ("application/pdf", written["summary.pdf"])


def test_a_survey_from_the_database_is_the_one_from_the_folder(examples: TestClient) -> None:
    said = examples.get("/api/jobs/backhead/survey").json()["survey"]
    assert said["points"] == json.loads(json.dumps(plain(survey().points)))


def test_a_mark_tried_is_where_it_would_be_if_it_were_saved(examples: TestClient) -> None:
    """The quick way from the last answer against the whole survey from the beginning."""
    before = examples.get("/api/jobs/backhead").json()
    x, y = before["document"]["marks"]["front"]["check_cap.face"]
    changes = [{"path": ["marks", "front", "check_cap.face"], "value": [x + 1.5, y - 2.0]}]
    tried = examples.post("/api/jobs/backhead/trial", json={"base": before["revision"], "changes": changes}).json()
    assert tried["refused"] == []
    assert examples.get("/api/jobs/backhead").json()["revision"] == before["revision"]
    saved = examples.post("/api/jobs/backhead/changes", json={"base": before["revision"], "changes": changes}).json()
    again = examples.get("/api/jobs/backhead/survey").json()["survey"]
    for quick, whole in zip(tried["survey"]["points"], again["points"], strict=True):
        assert quick["name"] == whole["name"]
        assert np.allclose(quick["position_mm"], whole["position_mm"], atol=0.01)
        assert np.allclose(quick["k2_mm"], whole["k2_mm"], rtol=0.02)
        assert np.allclose(2 * np.sqrt(np.diag(quick["covariance_mm2"])), quick["k2_mm"])
    made = examples.get("/api/jobs/backhead/plan").json()["plan"]
    assert np.allclose(tried["pipes"]["feed"]["vertices_mm"], made["pipes"][0]["vertices_mm"], atol=0.05)
    findings = made["findings"]
    chance = next(each["figure"] for each in findings if each["question"] == "Will it drop on?")
    assert abs(tried["chances"]["feed"]["value"] - chance["value"]) < 1.0
    undone = examples.post("/api/jobs/backhead/undo", json={"base": saved["revision"]})
    assert undone.json()["revision"] == before["revision"]


def test_a_trial_that_cannot_be_worked_out_says_what_of_it(examples: TestClient) -> None:
    marks = examples.get("/api/jobs/backhead").json()["document"]["marks"]
    gone = [{"path": ["marks", taken, "check_cap.face"], "value": None} for taken in marks]
    tried = examples.post("/api/jobs/backhead/trial", json={"base": 1, "changes": gone}).json()
    assert tried["pipes"] == {}
    assert any("check_cap.face" in str(fault) for fault in tried["refused"])
    bad = [{"path": ["engine", "working_pressure"], "value": "80"}]
    refused = examples.post("/api/jobs/backhead/trial", json={"base": 1, "changes": bad})
    assert (refused.status_code, refused.json()["faults"][0]["remedy"]) == (
        422, "Put the unit behind the number: 80 psi.",
    )  # fmt: skip
