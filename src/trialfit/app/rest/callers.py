"""Who is asking, and under which key."""

from __future__ import annotations

from typing import Annotated

from fastapi import Depends, Header, Request


def caller_of(request: Request) -> str:
    """Name the screen a request comes from.

    Parameters
    ----------
    request
        The request.

    Returns
    -------
    str
        ``this machine``, or the other machine's address.
    """
    host = request.client.host if request.client else ""
    return "this machine" if host in ("127.0.0.1", "::1", "testclient", "") else f"screen {host}"


Caller = Annotated[str, Depends(caller_of)]
Key = Annotated[
    str,
    Header(
        alias="Idempotency-Key",
        max_length=80,
        pattern=r"^[\x21-\x7e]*$",
        description="A name for this change, the same when it is sent again: it is then made once.",
    ),
]
