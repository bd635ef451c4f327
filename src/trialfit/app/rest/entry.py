"""Calls: giving the passcode."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response
from pydantic import Field, SecretStr

from trialfit.app.answers import Said
from trialfit.app.at_desk import AtDesk
from trialfit.app.guards import csrf_token, session_cookie
from trialfit.app.refused import refusal_answer
from trialfit.app.settings import SESSION_DAYS
from trialfit.app.tries import TRIES_EACH, WITHIN_S
from trialfit.errors import Fault
from trialfit.store.database import entry as entry_of

router = APIRouter(prefix="/api/entry", tags=["entry"])


class Passcode(Said):
    """The passcode, as typed."""

    passcode: SecretStr = Field(max_length=entry_of.LONGEST, description="The workshop's passcode.")


class EntrySaid(Said):
    """Whether this browser is let in."""

    passcode_wanted: bool = Field(description="Whether the passcode has to be given first.")
    csrf: str = Field(description="What this program's pages send as X-Csrf-Token with every change.")


class Entered(Said):
    """Let in."""

    token: str = Field(description="For other programs: send it as Authorization: Bearer.")
    csrf: str = Field(description="What this program's pages send as X-Csrf-Token with every change.")


@router.get("")
def asked(desk: AtDesk, request: Request) -> EntrySaid:
    """Say whether this browser is let in, and what its pages send with every change."""
    wanted = desk.settings.network and not desk.lets_in(request.state.token)
    return EntrySaid(passcode_wanted=wanted, csrf=request.state.csrf)


@router.post("", response_model=Entered)
def enter(desk: AtDesk, request: Request, given: Passcode) -> Response:
    """Give the passcode."""
    machine = request.client.host if request.client else ""
    wait_s = desk.tries.wait_s(machine)
    if wait_s:
        after = {"Retry-After": str(int(wait_s) + 1)}
        fault = Fault(
            "passcode", f"more than {TRIES_EACH} tries", f"at most {TRIES_EACH} in {WITHIN_S / 60:.0f} minutes",
            f"Wait {wait_s / 60:.0f} minutes, then try again.",
        )  # fmt: skip
        return refusal_answer(429, fault, headers=after)
    if not entry_of.is_passcode(desk.workshop, given.passcode.get_secret_value()):
        fault = Fault("passcode", "another one", "the workshop's passcode", "Type it again; capitals count.")
        return refusal_answer(401, fault)
    desk.tries.forgive(machine)
    token = entry_of.start_session(desk.workshop, SESSION_DAYS)
    answer = JSONResponse({"token": token, "csrf": csrf_token(token)})
    answer.headers.append("Set-Cookie", session_cookie(token, desk.settings.secure))
    return answer


@router.delete("", status_code=204)
def leave(desk: AtDesk, request: Request) -> Response:
    """Be let in no longer."""
    entry_of.end_session(desk.workshop, request.state.token)
    answer = Response(status_code=204)
    answer.headers.append("Set-Cookie", session_cookie("", desk.settings.secure))
    return answer
