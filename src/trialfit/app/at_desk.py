"""The desk, as the calls ask for it."""

from __future__ import annotations

from typing import Annotated

from fastapi import Depends

from trialfit.app.desk import Desk, desk_of

AtDesk = Annotated[Desk, Depends(desk_of)]
