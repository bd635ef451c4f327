"""How often the passcode may be tried."""

from __future__ import annotations

import time
from collections import defaultdict, deque
from collections.abc import Callable
from threading import Lock

TRIES_EACH, TRIES_ALL, WITHIN_S = 5, 30, 300.0


class Tries:
    """How often the passcode was tried in vain lately, from each machine and in all.

    Parameters
    ----------
    clock
        Gives seconds that only rise.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = Lock()
        self._each: defaultdict[str, deque[float]] = defaultdict(deque)
        self._all: deque[float] = deque()

    def wait_s(self, machine: str) -> float:
        """Say how long a machine has to wait before the next try, and count that try.

        Parameters
        ----------
        machine
            Its address.

        Returns
        -------
        float
            Zero where it need not wait; then the try is counted. [s]
        """
        now = self._clock()
        with self._lock:
            for tries in (self._all, *self._each.values()):
                while tries and tries[0] <= now - WITHIN_S:
                    tries.popleft()
            for gone in [each for each, tries in self._each.items() if not tries]:
                del self._each[gone]
            mine = self._each[machine]
            waits = [tries[0] + WITHIN_S - now for tries, most in ((mine, TRIES_EACH), (self._all, TRIES_ALL))
                     if len(tries) >= most]  # fmt: skip
            if waits:
                return max(waits)
            mine.append(now)
            self._all.append(now)
            return 0.0

    def forgive(self, machine: str) -> None:
        """Forget a machine's tries: it gave the right one.

        Parameters
        ----------
        machine
            Its address.
        """
        with self._lock:
            for tried in self._each.pop(machine, ()):
                if tried in self._all:
                    self._all.remove(tried)
