"""What stands before every request: whose name was asked for, how much was sent, from which page, and who may.

Rules, in this order. The Host must be a name of this machine, so that a page elsewhere cannot have its own name lead
here. A body may not be larger than what is taken. A change must come from a page of this program: the browser's Origin
must be ours, and where the browser carries our cookie the page must show the token that only our pages are told. On a
network everything but the page that asks for the passcode wants a session.
"""

from __future__ import annotations

import asyncio
import hmac
import secrets
from collections.abc import Mapping
from hashlib import sha256
from http.cookies import CookieError, SimpleCookie
from ipaddress import ip_address
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from trialfit.app.desk import Desk
from trialfit.app.refused import OwnFailures, refusal_answer
from trialfit.app.settings import SESSION_DAYS
from trialfit.errors import Fault, Refusal

COOKIE = "trialfit"
CSRF_HEADER = "X-Csrf-Token"
ENTER = "/enter"
MOST_BODY_BYTES = 4_000_000
MOST_PHOTOGRAPH_BYTES = 60_000_000
BODY_WAIT_S = 300.0

_SAFE = ("GET", "HEAD", "OPTIONS")
_WITHOUT_PASSCODE = (ENTER, "/api/entry")
_POLICY = "; ".join(
    (
        "default-src 'none'", "script-src 'self'", "style-src 'self'", "img-src 'self' blob: data:", "font-src 'self'",
        "connect-src 'self'", "worker-src 'self'", "manifest-src 'self'", "object-src 'self'", "frame-src 'self'",
        "base-uri 'none'", "form-action 'self'", "frame-ancestors 'self'",
    )
)  # fmt: skip
_HEADERS = {
    "Content-Security-Policy": _POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "SAMEORIGIN",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=(), payment=(), usb=()",
}


def csrf_token(token: str) -> str:
    """Give what a page shows to prove that it is ours.

    Parameters
    ----------
    token
        The browser's token, from its cookie.

    Returns
    -------
    str
        Follows from the token, and does not give it away.
    """
    return hmac.new(token.encode(), b"a page of this program", sha256).hexdigest()


class Guard:
    """Middleware that lets through what the rules above allow, and puts the security headers on every answer.

    Parameters
    ----------
    app
        What is guarded.
    desk
        The desk.
    """

    def __init__(self, app: ASGIApp, desk: Desk) -> None:
        self._app = OwnFailures(app)  # within, so that no answer leaves without its headers
        self._desk = desk

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":  # nothing here speaks over sockets
            await send({"type": "websocket.close", "code": 1008})
            return
        headers = Headers(scope=scope)
        token, is_new = _token_of(headers, self._desk.settings.network)
        scope.setdefault("state", {}).update(token=token, csrf=csrf_token(token) if token else "")
        sending = _dressed(send, scope, token if is_new else "", self._desk.settings.secure)
        refused = await self._refused(scope, headers, token, is_new)
        if refused is None:
            try:
                async with asyncio.timeout(BODY_WAIT_S):
                    body = await _whole_body(scope, headers, receive)
            except TimeoutError:
                body = _too_slow()
            if isinstance(body, Response):
                refused = body
            else:
                receive = _replayed(body, receive)
        if refused is not None:
            await refused(scope, receive, sending)
            return
        await self._app(scope, receive, sending)

    async def _refused(self, scope: Scope, headers: Headers, token: str, is_new: bool) -> Response | None:
        settings = self._desk.settings
        host = headers.get("host", "")
        if not _is_ours(host, settings.hosts, settings.network):
            return refusal_answer(
                421, Fault("address", f'"{host[:100]}"', "a name of this machine", "Ask by the address it printed.")
            )
        changes = scope["method"] not in _SAFE
        if changes and not _from_our_page(headers, scope["scheme"], host):
            return _not_from_here("another site's page")
        bearer = _bearer(headers)
        browser = bool(token) and not is_new and not bearer
        shown = headers.get(CSRF_HEADER, "")
        entering = scope["path"] in _WITHOUT_PASSCODE
        if changes and browser and not entering and not hmac.compare_digest(shown.encode(), csrf_token(token).encode()):
            return _not_from_here(f"a change without this page's {CSRF_HEADER}")
        if not settings.network or entering or scope["path"].startswith("/static/"):
            return None
        try:
            known = await run_in_threadpool(self._desk.lets_in, bearer or token)
        except Refusal as refusal:
            return refusal_answer(503, *refusal.faults)
        return None if known else _passcode_wanted(scope)


def _token_of(headers: Headers, network: bool) -> tuple[str, bool]:
    """The browser's token. On this machine alone anyone may have one; on a network the passcode gives it."""
    try:
        crumbs = SimpleCookie(headers.get("cookie", ""))
    except CookieError:
        crumbs = SimpleCookie()
    token = crumbs[COOKIE].value if COOKIE in crumbs else ""
    if token or network:
        return token, False
    return secrets.token_urlsafe(32), True


def _bearer(headers: Headers) -> str:
    kind, _, token = headers.get("authorization", "").partition(" ")
    return token.strip() if kind.lower() == "bearer" else ""


def _is_ours(host: str, names: tuple[str, ...], network: bool) -> bool:
    name = host.rsplit(":", 1)[0] if host.rsplit(":", 1)[-1].isdigit() else host
    if name.lower() in names:
        return True
    if not network:
        return False
    try:  # a bare address cannot be made to lead elsewhere by whoever owns a name
        ip_address(name.strip("[]"))
    except ValueError:
        return False
    return True


def _from_our_page(headers: Headers, scheme: str, host: str) -> bool:
    origin = headers.get("origin")
    if origin is not None and origin.lower() != f"{scheme}://{host}".lower():
        return False
    return headers.get("sec-fetch-site", "same-origin") in ("same-origin", "none")


def _not_from_here(got: str) -> Response:
    remedy = "Load the page anew; other programs send neither cookie nor Origin."
    return refusal_answer(403, Fault("the request", got, "a page of this program", remedy))


def _passcode_wanted(scope: Scope) -> Response:
    if scope["path"].startswith("/api/") or scope["method"] not in _SAFE:
        fault = Fault("the request", "no passcode given", "the workshop's passcode", "Give it at /enter.")
        return refusal_answer(401, fault)
    asked = scope["path"] + ("?" + scope["query_string"].decode("latin-1") if scope["query_string"] else "")
    return RedirectResponse(f"{ENTER}?next={quote(asked)}", 303)


def _too_slow() -> Response:
    fault = Fault(
        "what was sent", f"less than the whole of it in {BODY_WAIT_S / 60:.0f} minutes", "all of it",
        "Go nearer to the wireless, and send it again.",
    )  # fmt: skip
    return refusal_answer(408, fault, headers={"Connection": "close"})


async def _whole_body(scope: Scope, headers: Headers, receive: Receive) -> bytes | Response:
    uploads = scope["method"] == "PUT" and "/photographs/" in scope["path"]
    most = MOST_PHOTOGRAPH_BYTES if uploads else MOST_BODY_BYTES
    said = headers.get("content-length", "0")
    fault = Fault(
        "what was sent", "more than is taken", f"at most {most // 1_000_000} million bytes",
        "Send the photograph as the phone saved it; a document is never that long.",
    )  # fmt: skip
    too_large = refusal_answer(413, fault, headers={"Connection": "close"})
    if not said.isdigit() or int(said) > most:
        return too_large
    body = bytearray()
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            return bytes(body)
        body += message.get("body", b"")
        if len(body) > most:
            return too_large
        if not message.get("more_body", False):
            return bytes(body)


def _replayed(body: bytes, receive: Receive) -> Receive:
    sent = False

    async def again() -> Message:
        nonlocal sent
        if sent:
            return await receive()
        sent = True
        return {"type": "http.request", "body": body, "more_body": False}

    return again


def _dressed(send: Send, scope: Scope, new_token: str, secure: bool) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                headers[name] = value
            if scope["path"].startswith("/api/") and "cache-control" not in headers:
                headers["Cache-Control"] = "no-store"
            if new_token and headers.get("content-type", "").startswith("text/html"):
                headers.append("Set-Cookie", session_cookie(new_token, secure))
        await send(message)

    return sending


def session_cookie(token: str, secure: bool) -> str:
    """Write the cookie a browser is known by.

    Parameters
    ----------
    token
        Its token; empty takes the cookie away.
    secure
        Whether for TLS alone.

    Returns
    -------
    str
        The Set-Cookie header.
    """
    age_s = SESSION_DAYS * 86_400 if token else 0
    parts: Mapping[str, str] = {"Max-Age": str(age_s), "Path": "/", "SameSite": "Strict"}
    said = "; ".join([f"{COOKIE}={token}", *(f"{key}={value}" for key, value in parts.items()), "HttpOnly"])
    return f"{said}; Secure" if secure else said
