"""What the calls and pages share while the program runs: the open workshop, and what was worked out for it lately."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any, Generic, TypeVar, cast

from starlette.requests import Request

from trialfit.app.settings import Settings
from trialfit.app.tries import Tries
from trialfit.store.database.workshop import Workshop

if TYPE_CHECKING:
    from trialfit.app.working import Worked

Found = TypeVar("Found")


class Lately(Generic[Found]):
    """The last few answers by what they were worked out from; each is worked out once, however many ask.

    Parameters
    ----------
    most
        So many are kept. [-]
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[Hashable, Found] = OrderedDict()
        self._under_way: dict[Hashable, Lock] = {}
        self._lock = Lock()

    def get(self, key: Hashable, work_out: Callable[[], Found]) -> Found:
        """Give an answer, working it out if it is not kept.

        Parameters
        ----------
        key
            What it follows from.
        work_out
            Works it out.

        Returns
        -------
        Found
            The answer.
        """
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
            mine = self._under_way.setdefault(key, Lock())
        with mine:
            with self._lock:
                if key in self._kept:
                    return self._kept[key]
            try:
                found = work_out()
                with self._lock:
                    self._kept[key] = found
                    while len(self._kept) > self._most:
                        self._kept.popitem(last=False)
            finally:
                with self._lock:
                    self._under_way.pop(key, None)
            return found


class Desk:
    """The open workshop, and what was worked out for it lately.

    Parameters
    ----------
    settings
        How the pages are served.
    workshop
        The open workshop.
    """

    def __init__(self, settings: Settings, workshop: Workshop) -> None:
        self.settings = settings
        self.workshop = workshop
        self.jobs: Lately[Any] = Lately(32)
        self.copies: Lately[Path] = Lately(0)  # the files are kept; here only whoever makes one is waited for
        self.sizes: Lately[tuple[int, int]] = Lately(512)
        self.looked: Lately[Any] = Lately(6)
        self.at_hand: Lately[Any] = Lately(4)
        self.solved: Lately[Any] = Lately(8)
        self.plans: Lately[Worked] = Lately(8)
        self.sheets: Lately[dict[str, bytes]] = Lately(4)
        self.tries = Tries()

    def lets_in(self, token: str) -> bool:
        """Say whether a token lets in.

        Parameters
        ----------
        token
            What the browser or program sent.

        Returns
        -------
        bool
            Whether it does.
        """
        from trialfit.store.database.entry import session_ends  # on this machine alone nobody is asked

        return bool(token) and session_ends(self.workshop, token) is not None


def desk_of(request: Request) -> Desk:
    """Give the desk of the running program.

    Parameters
    ----------
    request
        Any request to it.

    Returns
    -------
    Desk
        The desk.
    """
    return cast(Desk, request.app.state.desk)
