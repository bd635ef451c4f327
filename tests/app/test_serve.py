"""App: `trialfit serve` as a process: what it prints, whom it answers, how it ends."""

from __future__ import annotations

import asyncio
import datetime
import http.client
import json
import signal
import ssl
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

from trialfit.app import guards
from trialfit.app.create import create_app
from trialfit.app.settings import Settings
from trialfit.store.database import documents
from trialfit.store.database.entry import set_passcode
from trialfit.store.database.workshop import open_workshop
from workshops import EXAMPLES, job_text

PASSCODE = "three brass unions"


@contextmanager
def _served(folder: Path, *words: str) -> Iterator[tuple[list[str], int]]:
    """What it has printed by the time it answers, and its port."""
    command = [sys.executable, "-m", "trialfit", "serve", "--workshop", str(folder), "--port", "0", *words]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as served:
        assert served.stdout is not None and served.stderr is not None
        printed: list[str] = []
        for line in served.stdout:
            printed.append(line.strip())
            if line.startswith("The workshop is in"):
                break
        try:
            first = next((line for line in printed if line.startswith("On this machine")), "")
            assert first, printed + served.stderr.readlines()
            yield printed, int(first.rstrip("/").rsplit(":", 1)[1])
            served.send_signal(signal.SIGINT)
            assert served.wait(15) in (0, -signal.SIGINT, 2)
        finally:
            served.kill()


def _get(line: http.client.HTTPConnection, path: str) -> tuple[int, bytes, str]:
    line.request("GET", path)
    answer = line.getresponse()
    return answer.status, answer.read(), answer.getheader("Set-Cookie", "")


def test_a_new_workshop_opens_with_the_examples(tmp_path: Path) -> None:
    names = sorted(path.parent.name for path in EXAMPLES.glob("*/job.toml"))
    with _served(tmp_path / "w") as (printed, port):
        assert printed == [
            f"A new workshop; it begins with the example jobs {', '.join(names)}.",
            f"On this machine: http://127.0.0.1:{port}/",
            f"The workshop is in {tmp_path / 'w'}. Ctrl-C ends it; nothing that was saved is lost.",
        ]
        line = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        status, page, _ = _get(line, "/")
        assert status == 200 and all(name.encode() in page for name in names)
        assert {job["name"] for job in json.loads(_get(line, "/api/jobs")[1])} == set(names)


def test_on_a_network_it_wants_a_passcode_set_and_says_that_it_is_not_encrypted(tmp_path: Path) -> None:
    words = [sys.executable, "-m", "trialfit", "serve", "--workshop", str(tmp_path / "w"), "--port", "0", "--network"]
    refused = subprocess.run(words, capture_output=True, text=True, check=False, timeout=60)
    assert (refused.returncode, refused.stdout) == (2, "")
    assert "got no passcode set" in refused.stderr
    workshop = open_workshop(tmp_path / "w")
    set_passcode(workshop, PASSCODE)
    workshop.close()
    with _served(tmp_path / "w", "--network", "--no-examples") as (printed, port):
        assert printed[1].startswith("On the network, by the passcode: http://")
        assert printed[2].startswith("Without TLS whoever can listen in")
        assert _get(http.client.HTTPConnection("127.0.0.1", port, timeout=30), "/api/jobs")[0] == 401


def test_with_a_certificate_it_speaks_tls_and_its_cookies_are_for_tls_alone(tmp_path: Path) -> None:
    certificate, key = _certificate(tmp_path)
    with _served(tmp_path / "w", "--no-examples", "--certificate", str(certificate), "--key", str(key)) as (_, port):
        trust = ssl.create_default_context(cafile=str(certificate))
        line = http.client.HTTPSConnection("127.0.0.1", port, timeout=30, context=trust)
        status, _, cookie = _get(line, "/")
        assert status == 200
        assert cookie.endswith("HttpOnly; Secure")


def test_a_port_that_is_taken_is_refused(tmp_path: Path) -> None:
    with _served(tmp_path / "w", "--no-examples") as (_, port):
        words = [sys.executable, "-m", "trialfit", "serve", "--workshop", str(tmp_path / "w"), "--port", str(port)]
        refused = subprocess.run(words, capture_output=True, text=True, check=False, timeout=60)
    assert refused.returncode == 2
    assert f"port {port}: got address already in use, wanted a port that is free." in refused.stderr


_FIRST_PAGE = """
import asyncio, sys
from pathlib import Path
from trialfit.app.create import create_app
from trialfit.app.settings import Settings

app = create_app(Settings(Path(sys.argv[1])))
scope = {
    "type": "http", "http_version": "1.1", "method": "GET", "scheme": "http", "path": "/", "raw_path": b"/",
    "query_string": b"words=" + sys.argv[2].encode(), "root_path": "", "client": None,
    "headers": [(b"host", b"127.0.0.1")],
}

async def receive():
    return {"type": "http.request", "body": b"", "more_body": False}

async def send(message):
    if message["type"] == "http.response.body":
        loaded = sorted({"fastapi", "pydantic", "sqlalchemy"} & set(sys.modules))
        print(b"/jobs/bittern" in message["body"], loaded)

asyncio.run(app(scope, receive, send))
"""


@pytest.mark.parametrize("words", ["", "thread:5/16x32"])
def test_the_first_page_waits_for_neither_the_framework_nor_the_library(tmp_path: Path, words: str) -> None:
    workshop = open_workshop(tmp_path / "w")
    documents.start(workshop, "job", "bittern", job_text(), "bench")
    workshop.close()
    asked = [sys.executable, "-c", _FIRST_PAGE, str(tmp_path / "w"), words]
    printed = subprocess.run(asked, capture_output=True, text=True, check=True, timeout=60).stdout.splitlines()
    assert printed == ["True []"]


def test_whoever_sends_too_slowly_is_not_waited_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guards, "BODY_WAIT_S", 0.05)
    app = create_app(Settings(tmp_path / "w"))
    sent: list[dict[str, object]] = []

    async def receive() -> dict[str, object]:
        await asyncio.sleep(30)
        return {}

    async def send(message: dict[str, object]) -> None:
        sent.append(message)

    scope = {
        "type": "http", "http_version": "1.1", "method": "PUT", "scheme": "http", "path": "/api/jobs/bittern",
        "raw_path": b"/api/jobs/bittern", "query_string": b"", "root_path": "", "client": None,
        "headers": [(b"host", b"127.0.0.1"), (b"content-length", b"10")],
    }  # fmt: skip
    asyncio.run(app(scope, receive, send))  # type: ignore[arg-type]
    assert sent[0]["status"] == 408


def _certificate(folder: Path) -> tuple[Path, Path]:
    from ipaddress import ip_address

    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "bench")])
    now = datetime.datetime.now(datetime.UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(1)
        .not_valid_before(now - datetime.timedelta(hours=1))
        .not_valid_after(now + datetime.timedelta(days=1))
        .add_extension(x509.SubjectAlternativeName([x509.IPAddress(ip_address("127.0.0.1"))]), critical=False)
        .add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
        .sign(key, hashes.SHA256())
    )
    files = folder / "bench.pem", folder / "bench.key"
    files[0].write_bytes(made.public_bytes(serialization.Encoding.PEM))
    files[1].write_bytes(
        key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())
    )
    return files
