"""The least that has to be written to make one document of another."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Any

from trialfit.job.blocks import Path


@dataclass(frozen=True)
class Step:
    """One thing set, put in, or taken out.

    Parameters
    ----------
    path
        Keys from the top of the document.
    value
        What is to stand there; None takes it out.
    comes_between
        Whether it is put into a list before what stands there, which moves up by one.
    """

    path: Path
    value: Any
    comes_between: bool = False


def least_steps(old: dict[str, Any], new: dict[str, Any]) -> tuple[Step, ...]:
    """Say what has to be written to make one document of another.

    Parameters
    ----------
    old, new
        The documents.

    Returns
    -------
    tuple of Step
        In an order in which each step's places hold when its turn comes.
    """
    return tuple(_steps(old, new, ()))


def _steps(old: Any, new: Any, path: Path) -> Iterator[Step]:
    if _same(old, new):
        return
    if isinstance(old, dict) and isinstance(new, dict) and (new or not path):
        for key in old:
            if key not in new:
                yield Step((*path, key), None)
        for key, each in new.items():
            if key not in old:
                yield Step((*path, key), each)
            else:
                yield from _steps(old[key], each, (*path, key))
    elif _of_tables(old) and _of_tables(new):
        yield from _in_list(old, new, path)
    else:
        yield Step(path, new)


def _in_list(old: list[Any], new: list[Any], path: Path) -> Iterator[Step]:
    """From the end, so that the places before stay as they are counted. Of as many, each is what it was."""
    if len(old) == len(new):
        for place in range(len(old)):
            yield from _steps(old[place], new[place], (*path, place))
        return
    told = SequenceMatcher(None, [_told(each) for each in old], [_told(each) for each in new], autojunk=False)
    for kind, first, last, start, end in reversed(told.get_opcodes()):
        if kind == "equal":
            continue
        both = min(last - first, end - start)
        for place in range(last - 1, first + both - 1, -1):
            yield Step((*path, place), None)
        if last == len(old):
            for place in range(start + both, end):
                yield Step((*path, first + place - start), new[place])
        else:
            for place in range(end - 1, start + both - 1, -1):
                yield Step((*path, first + both), new[place], comes_between=True)
        for place in range(both - 1, -1, -1):
            yield from _steps(old[first + place], new[start + place], (*path, first + place))


def _of_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(each, dict) for each in value)


def _told(value: Any) -> str:
    return json.dumps(value, sort_keys=True, default=repr)


def _same(old: Any, new: Any) -> bool:
    if isinstance(old, dict | list) or isinstance(new, dict | list):
        return _told(old) == _told(new)
    return type(old) is type(new) and bool(old == new)
