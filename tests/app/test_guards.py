"""App: what keeps the pages safe on a network, one test a rule; attacks are made by hand."""

from __future__ import annotations

import io
import logging
import struct
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient
from PIL import Image
from starlette.applications import Starlette
from starlette.routing import Route

from trialfit.app import guards, pages
from trialfit.app.create import create_app
from trialfit.app.settings import Settings
from trialfit.app.tries import TRIES_ALL, TRIES_EACH, WITHIN_S, Tries
from trialfit.store.database import documents
from trialfit.store.database.entry import set_passcode
from trialfit.store.database.pictures import pictures_of
from workshops import job_text, jpeg, png

HERE = "http://127.0.0.1:8417"
PASSCODE = "three brass unions"
CHANGE = {"base": 1, "text": job_text(story="Changed.")}


@pytest.fixture
def app(tmp_path: Path) -> Starlette:
    """The app on this machine alone, with a job and a page."""
    return _app(Settings(tmp_path / "workshop"))


@pytest.fixture
def network_app(tmp_path: Path) -> Starlette:
    """The app on a network, with a passcode."""
    made = _app(Settings(tmp_path / "workshop", network=True, hosts=("localhost", "bench.local")))
    set_passcode(made.state.desk.workshop, PASSCODE)
    return made


def _app(settings: Settings) -> Starlette:
    made = create_app(settings)
    documents.start(made.state.desk.workshop, "job", "bittern", job_text(), "bench")
    return made


def _client(app: Starlette, base: str = HERE, **more: Any) -> TestClient:
    return TestClient(app, base_url=base, follow_redirects=False, **more)


@pytest.fixture
def client(app: Starlette) -> Iterator[TestClient]:
    """A browser that has not been here before."""
    with _client(app) as made:
        yield made


def _fault(answer: Any) -> dict[str, Any]:
    fault: dict[str, Any] = answer.json()["faults"][0]
    assert set(fault) == {"what", "got", "wanted", "remedy", "file", "line"}
    return fault


@pytest.mark.parametrize(
    ("host", "code"),
    [
        ("127.0.0.1:8417", 200),
        ("localhost:8417", 200),
        ("[::1]:8417", 200),
        ("elsewhere.example:8417", 421),
        ("127.0.0.1.elsewhere.example", 421),
        ("192.168.7.7", 421),
        ("", 421),
    ],
)
def test_a_name_that_is_not_ours_is_not_answered(client: TestClient, host: str, code: int) -> None:
    """A page elsewhere may have its own name lead to this machine, and would then count as the same origin."""
    assert client.get("/api/jobs", headers={"Host": host}).status_code == code


def test_on_a_network_bare_addresses_and_given_names_are_ours(network_app: Starlette) -> None:
    client = _client(network_app)
    for host, code in (("192.168.7.7:8417", 401), ("bench.local", 401), ("[fe80::1]", 401), ("other.local", 421)):
        assert client.get("/api/jobs", headers={"Host": host}).status_code == code


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://elsewhere.example"},
        {"Origin": "null"},
        {"Origin": "https://127.0.0.1:8417"},
        {"Origin": "http://127.0.0.1:9"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
)
@pytest.mark.parametrize(("method", "path"), [("PUT", "/api/jobs/bittern"), ("POST", "/api/entry")])
def test_a_change_from_another_page_is_refused(
    client: TestClient, headers: dict[str, str], method: str, path: str
) -> None:
    answer = client.request(method, path, json=CHANGE, headers=headers)
    assert (answer.status_code, _fault(answer)["got"]) == (403, "another site's page")


def test_our_own_page_changes_by_its_token_and_not_without(client: TestClient, app: Starlette) -> None:
    client.get("/")
    assert client.cookies.get("trialfit")
    for shown in ({}, {"X-Csrf-Token": "0" * 64}, {"X-Csrf-Token": "ü".encode()}):
        answer = client.put("/api/jobs/bittern", json=CHANGE, headers=shown)
        assert answer.status_code == 403
    csrf = client.get("/api/entry").json()["csrf"]
    answer = client.put("/api/jobs/bittern", json=CHANGE, headers={"X-Csrf-Token": csrf, "Origin": HERE})
    assert (answer.status_code, answer.json()["revision"]) == (200, 2)
    other = _client(app)
    other.get("/")
    assert other.put("/api/jobs/bittern", json=CHANGE, headers={"X-Csrf-Token": csrf}).status_code == 403


def test_another_program_on_this_machine_needs_neither_cookie_nor_token(client: TestClient) -> None:
    assert client.put("/api/jobs/bittern", json=CHANGE).status_code == 200


def test_the_cookie_is_kept_from_scripts_and_from_other_sites(client: TestClient) -> None:
    said = client.get("/").headers["set-cookie"]
    assert {part.strip() for part in said.split(";")[1:]} == {
        "Max-Age=2592000",
        "Path=/",
        "SameSite=Strict",
        "HttpOnly",
    }
    assert guards.session_cookie("t", secure=True).endswith("; HttpOnly; Secure")


@pytest.mark.parametrize(
    "path", ["/", "/jobs/bittern", "/api/jobs", "/api/jobs/none", "/none", "/static/", "/api/fails", "/enter"]
)
def test_every_answer_carries_the_security_headers(app: Starlette, path: str) -> None:
    def fails() -> None:
        raise RuntimeError("of its own")

    app.state.calls.made().add_api_route("/api/fails", fails)
    answer = _client(app, raise_server_exceptions=False).get(path)
    policy = dict(rule.split(" ", 1) for rule in answer.headers["content-security-policy"].split("; "))
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["connect-src"] == "'self'"
    assert policy["base-uri"] == "'none'"
    assert not {"unsafe-inline", "unsafe-eval", "http", "*"} & set(answer.headers["content-security-policy"].split("'"))
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["referrer-policy"] == "no-referrer"
    assert "access-control-allow-origin" not in answer.headers
    assert "server" not in answer.headers


def test_a_failure_of_our_own_tells_its_kind_and_no_more(app: Starlette, caplog: pytest.LogCaptureFixture) -> None:
    def fails() -> None:
        raise RuntimeError("/home/bench/secret")

    app.state.calls.made().add_api_route("/api/fails", fails)
    answer = _client(app, raise_server_exceptions=False).get("/api/fails")
    assert answer.status_code == 500
    assert _fault(answer)["got"] == "a failure of its own (RuntimeError)"
    assert "secret" not in answer.text
    assert "RuntimeError" in caplog.text


def test_folders_are_not_listed_and_paths_do_not_lead_out(client: TestClient) -> None:
    for path in (
        "/static/", "/static/../create.py", "/static/%2e%2e/create.py", "/static/..%2fcreate.py",
        "/api/jobs/bittern/photographs/..%2f..%2fworkshop.db", "/api/jobs/..%2f..%2fetc/photographs",
        "/api/jobs/bittern/sheets/..%2f..%2fetc%2fpasswd", "//etc/passwd",
    ):  # fmt: skip
        assert client.get(path).status_code in (404, 405), path


@pytest.mark.parametrize(
    "file",
    ["..%2fa.jpg", "%2e%2e", ".hidden.jpg", "a%5cb.jpg", "a%00.jpg", "a%0a.jpg", "%3cscript%3e.jpg", "x" * 150 + ".jpg",
     "%20a.jpg", "a:b.jpg"],
)  # fmt: skip
def test_a_file_name_that_leads_elsewhere_is_refused(client: TestClient, app: Starlette, file: str) -> None:
    answer = client.put(f"/api/jobs/bittern/photographs/{file}", content=jpeg(), headers=OCTETS)
    assert answer.status_code in (404, 405, 422)
    assert pictures_of(app.state.desk.workshop, "bittern") == ()


OCTETS = {"Content-Type": "application/octet-stream"}
SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
HTML = b"<!doctype html><script>alert(1)</script>"


def _png_that_claims(width_px: int, height_px: int) -> bytes:
    """A few bytes that would unpack to far more than any photograph."""
    header = struct.pack(">IIBBBBB", width_px, height_px, 8, 0, 0, 0, 0)
    pieces = ((b"IHDR", header), (b"IDAT", zlib.compress(b"\0" * 1000)), (b"IEND", b""))
    chunks = (
        struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body)) for kind, body in pieces
    )
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunks)


def _gif() -> bytes:
    written = io.BytesIO()
    Image.new("L", (1200, 900)).save(written, "GIF")
    return written.getvalue()


@pytest.mark.parametrize(
    ("file", "content", "said"),
    [
        ("a.svg", SVG, "a text file"),
        ("a.jpg", SVG, "a text file"),
        ("a.jpg", HTML, "a text file"),
        ("a.jpg", jpeg()[:2000], "cut short or damaged"),
        ("a.jpg", jpeg(400, 300), "400 x 300 px"),
        ("a.jpg", png(), "what is in truth a PNG"),
        ("a.html", jpeg(), "what is in truth a JPEG"),
        ("a.gif", _gif(), "a GIF picture"),
        ("a.png", _png_that_claims(60_000, 60_000), "more pixels than can be taken"),
        ("a.png", _png_that_claims(12_000, 12_000), "12000 x 12000 px"),
        ("a.jpg", b"MZ" + bytes(3000), "a file of another kind"),
        ("a.jpg", b"PK\x03\x04" + bytes(3000), "a ZIP archive"),
    ],
)
def test_what_is_no_photograph_is_refused_by_what_is_in_it(
    client: TestClient, app: Starlette, file: str, content: bytes, said: str
) -> None:
    answer = client.put(f"/api/jobs/bittern/photographs/{file}", content=content, headers=OCTETS)
    assert answer.status_code == 422
    assert said in _fault(answer)["got"]
    workshop = app.state.desk.workshop
    assert pictures_of(workshop, "bittern") == ()
    assert [path for path in (workshop.folder / "photographs").rglob("*") if path.is_file()] == []


def test_too_much_is_refused_whatever_is_said_of_its_length(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(guards, "MOST_BODY_BYTES", 5_000)
    monkeypatch.setattr(guards, "MOST_PHOTOGRAPH_BYTES", 9_000)

    def pieces() -> Iterator[bytes]:
        for _ in range(20):
            yield b" " * 1000

    for length in ({}, {"Content-Length": "100"}):
        for method, path in (("POST", "/api/jobs"), ("PUT", "/api/jobs/bittern/photographs/a.jpg")):
            answer = client.request(method, path, content=pieces(), headers={**OCTETS, **length})
            assert (answer.status_code, _fault(answer)["got"]) == (413, "more than is taken")
    assert client.put("/api/jobs/bittern", content=b" " * 6_000, headers=OCTETS).status_code == 413
    assert client.put("/api/jobs/bittern", headers={"Content-Length": "-1"}).status_code == 413


def test_on_a_network_everything_but_the_entry_wants_the_passcode(network_app: Starlette) -> None:
    client = _client(network_app, "http://localhost")
    paths = [
        *network_app.state.calls.made().openapi()["paths"],
        *(route.path for route in pages.router.routes if isinstance(route, Route)),
    ]
    assert len(paths) > 25
    for path in paths:
        asked = path.replace("{job}", "bittern").replace("{file:path}", "a").replace("{", "").replace("}", "")
        answer = client.get(asked)
        if asked.startswith("/static") or asked in ("/enter", "/api/entry"):
            assert answer.status_code in (200, 404), asked
        elif asked.startswith("/api/"):
            assert (answer.status_code, _fault(answer)["got"]) == (401, "no passcode given"), asked
        else:
            assert (answer.status_code, answer.headers["location"]) == (303, f"/enter?next={asked}"), asked
    assert client.put("/api/jobs/bittern", json=CHANGE).status_code == 401
    assert "bittern" not in client.get("/enter").text


def test_the_passcode_lets_in_and_leaving_lets_out(network_app: Starlette) -> None:
    client = _client(network_app, "http://localhost")
    assert client.get("/api/entry").json() == {"passcode_wanted": True, "csrf": ""}
    assert client.post("/api/entry", json={"passcode": "three iron unions"}).status_code == 401
    entered = client.post("/api/entry", json={"passcode": PASSCODE})
    assert entered.status_code == 200
    assert client.get("/api/jobs").status_code == 200
    assert client.put("/api/jobs/bittern", json=CHANGE).status_code == 403
    shown = {"X-Csrf-Token": entered.json()["csrf"]}
    assert client.put("/api/jobs/bittern", json=CHANGE, headers=shown).status_code == 200
    bearer = {"Authorization": f"Bearer {entered.json()['token']}"}
    assert _client(network_app, "http://localhost").get("/api/jobs", headers=bearer).status_code == 200
    assert client.delete("/api/entry").status_code == 204
    assert _client(network_app, "http://localhost").get("/api/jobs", headers=bearer).status_code == 401


def test_a_token_nobody_gave_lets_nobody_in(network_app: Starlette) -> None:
    client = _client(network_app, "http://localhost", cookies={"trialfit": "made-up"})
    assert client.get("/api/jobs").status_code == 401
    strange = {"Authorization": b"Bearer \xff"}
    assert _client(network_app, "http://localhost").get("/api/jobs", headers=strange).status_code == 401


def test_a_new_passcode_lets_out_whoever_came_by_the_old_one(network_app: Starlette) -> None:
    client = _client(network_app, "http://localhost")
    client.post("/api/entry", json={"passcode": PASSCODE})
    set_passcode(network_app.state.desk.workshop, "four brass unions")
    assert client.get("/api/jobs").status_code == 401


def test_tries_of_the_passcode_are_counted(network_app: Starlette) -> None:
    client = _client(network_app, "http://localhost")
    codes = [client.post("/api/entry", json={"passcode": f"guess {k}"}).status_code for k in range(TRIES_EACH + 1)]
    assert codes == [401] * TRIES_EACH + [429]
    answer = client.post("/api/entry", json={"passcode": PASSCODE})
    assert answer.status_code == 429
    assert 0 < int(answer.headers["retry-after"]) <= WITHIN_S + 1


def test_the_wait_ends_and_other_machines_need_not_share_it() -> None:
    now = [0.0]
    tries = Tries(lambda: now[0])
    assert [tries.wait_s("tablet") for _ in range(TRIES_EACH)] == [0.0] * TRIES_EACH
    now[0] = 10.0
    assert tries.wait_s("tablet") == WITHIN_S - 10.0
    assert tries.wait_s("phone") == 0.0
    now[0] = WITHIN_S
    assert tries.wait_s("tablet") == 0.0
    tries = Tries(lambda: now[0])
    waits = [tries.wait_s(f"machine {k}") for k in range(TRIES_ALL + 1)]
    assert waits == [0.0] * TRIES_ALL + [WITHIN_S]
    tries.forgive("machine 3")
    assert tries.wait_s("machine 3") == 0.0


def test_no_secret_is_logged_or_kept(network_app: Starlette, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.DEBUG)
    client = _client(network_app, "http://localhost")
    wrong = client.post("/api/entry", json={"passcode": "wrong brass unions"})
    long = client.post("/api/entry", json={"passcode": "long secret " * 40, "more": 1})
    token = client.post("/api/entry", json={"passcode": PASSCODE}).json()["token"]
    client.get("/api/jobs", headers={"Authorization": f"Bearer {token}"})
    assert wrong.status_code == 401 and long.status_code == 422
    folder = network_app.state.desk.workshop.folder
    kept = b"".join(path.read_bytes() for path in folder.glob("workshop.db*"))
    for secret in ("wrong brass unions", "long secret", PASSCODE, token):
        assert secret not in caplog.text
        assert secret.encode() not in kept
        assert secret not in wrong.text + long.text
    assert b"$argon2id$" in kept


def test_a_passcode_is_long_enough(network_app: Starlette) -> None:
    with pytest.raises(Exception, match="got 7 characters, wanted 8 to 200 characters"):
        set_passcode(network_app.state.desk.workshop, "1234567")
