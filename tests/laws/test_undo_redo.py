"""Laws: whatever is saved, undone, redone and sent twice, the store does what a plain list with a pointer does."""

from __future__ import annotations

import atexit
import shutil
import tempfile
from functools import cache
from hashlib import sha256
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from trialfit.errors import Refusal
from trialfit.store.database import documents
from trialfit.store.database.records import Conflict, Holding
from trialfit.store.database.workshop import open_workshop

NAME = "bittern"
_IN_MEMORY = "/dev/shm" if Path("/dev/shm").is_dir() else None


@cache
def _empty() -> Path:
    """A workshop with its tables made, to be copied."""
    folder = Path(tempfile.mkdtemp(prefix="trialfit-"))
    open_workshop(folder).close()
    atexit.register(shutil.rmtree, folder)
    return folder


class UndoRedo(RuleBasedStateMachine):
    """The model: `done` is the way from the first text to the one that holds, `undone` what redo would bring."""

    @initialize()
    def begin(self) -> None:
        """Start a document."""
        self.folder = Path(tempfile.mkdtemp(prefix="trialfit-", dir=_IN_MEMORY))
        shutil.copytree(_empty(), self.folder, dirs_exist_ok=True)
        self.workshop = open_workshop(self.folder)
        documents.start(self.workshop, "job", NAME, "text 0", "bench")
        self.done, self.undone, self.ever = ["text 0"], list[str](), ["text 0"]
        self.keys = 0

    def teardown(self) -> None:
        """Throw the workshop away."""
        if hasattr(self, "workshop"):
            self.workshop.close()
            shutil.rmtree(self.folder)

    def _held(self) -> Holding:
        return documents.holding(self.workshop, "job", NAME)

    def _key(self) -> str:
        self.keys += 1
        return f"key{self.keys}"

    @rule(twice=st.booleans())
    def save(self, twice: bool) -> None:
        """Save something new; perhaps the answer is lost and it is sent again."""
        base, key, changed = self._held().revision.number, self._key(), f"text {len(self.ever)}"
        for _ in range(1 + twice):
            documents.save(self.workshop, "job", NAME, changed, base, "bench", key)
        self.done.append(changed)
        self.ever.append(changed)
        self.undone.clear()

    @rule()
    def save_the_same(self) -> None:
        """Save what holds already."""
        documents.save(self.workshop, "job", NAME, self.done[-1], self._held().revision.number, "bench")

    @precondition(lambda self: len(self.done) > 1)
    @rule(twice=st.booleans())
    def undo(self, twice: bool) -> None:
        """Undo; perhaps it is sent again."""
        base, key = self._held().revision.number, self._key()
        for _ in range(1 + twice):
            documents.undo(self.workshop, "job", NAME, base, "bench", key)
        self.undone.append(self.done.pop())

    @precondition(lambda self: self.undone)
    @rule(twice=st.booleans())
    def redo(self, twice: bool) -> None:
        """Redo; perhaps it is sent again."""
        base, key = self._held().revision.number, self._key()
        for _ in range(1 + twice):
            documents.redo(self.workshop, "job", NAME, base, "bench", key)
        self.done.append(self.undone.pop())

    @precondition(lambda self: len(self.ever) > 1)
    @rule(picked=st.data())
    def save_over_another_s(self, picked: st.DataObject) -> None:
        """A writer who started from a revision that no longer holds is refused."""
        number = self._held().revision.number
        base = picked.draw(st.sampled_from([n for n in range(1, len(self.ever) + 1) if n != number]))
        with pytest.raises(Conflict):
            documents.save(self.workshop, "job", NAME, "another's", base, "tablet", self._key())

    @invariant()
    def the_pointer_is_where_the_list_says(self) -> None:
        """What holds, what undo and redo lead to, and that nothing was lost."""
        held = self._held()
        assert held.revision.text == self.done[-1]
        assert bool(held.undo_to) == (len(self.done) > 1)
        assert bool(held.redo_to) == bool(self.undone)
        for number, wanted in ((held.undo_to, self.done[-2:-1]), (held.redo_to, self.undone[-1:])):
            if number:
                assert [documents.revision(self.workshop, "job", NAME, number).text] == wanted
        kept = [line.sha256 for line in reversed(documents.history(self.workshop, "job", NAME))]
        assert kept == [sha256(text.encode()).hexdigest() for text in self.ever]

    @precondition(lambda self: len(self.done) == 1)
    @rule()
    def undo_nothing(self) -> None:
        """There is nothing left to undo."""
        with pytest.raises(Refusal, match="nothing left to undo"):
            documents.undo(self.workshop, "job", NAME, self._held().revision.number, "bench")


TestUndoRedo = UndoRedo.TestCase
TestUndoRedo.settings = settings(max_examples=15, stateful_step_count=15, deadline=None)
