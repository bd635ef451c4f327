"""On which line of a TOML text each key and each value of a list stands."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

import tree_sitter_toml
from tree_sitter import Language, Node, Parser

Path = tuple[str | int, ...]

_KEYS = ("bare_key", "quoted_key", "dotted_key")
_DEEPEST = 40


@dataclass(frozen=True)
class Places:
    """Lines of a document's keys and values.

    Parameters
    ----------
    lines
        Line of each path, counted from 1; list elements by their place from 0. [-]
    """

    lines: dict[Path, int]

    def line(self, path: Path) -> int:
        """Find the line of a path, or of the nearest thing around it that is written down.

        Parameters
        ----------
        path
            Keys from the top. A key that is not written is passed over, so that the long form of a value
            finds the place of its short form.

        Returns
        -------
        int
            Line counted from 1; 0 when nothing of it is written. [-]
        """
        here: Path = ()
        for key in path:
            if (*here, key) in self.lines:
                here = (*here, key)
        return self.lines.get(here, 0)

    def renamed(self, old: Path, new: Path) -> Places:
        """Give the places with everything under one path known under another as well.

        Parameters
        ----------
        old
            Path as written.
        new
            Path as meant.

        Returns
        -------
        Places
            Both.
        """
        moved = {(*new, *path[len(old) :]): line for path, line in self.lines.items() if path[: len(old)] == old}
        return Places(self.lines | moved)


def places_of(text: str) -> Places:
    """Find where everything stands.

    Parameters
    ----------
    text
        A TOML document that `tomllib` reads.

    Returns
    -------
    Places
        The line of every table, key and list element.
    """
    lines: dict[Path, int] = {}
    elements: dict[Path, int] = {}
    tree = Parser(Language(tree_sitter_toml.language())).parse(text.encode("utf-8", "replace"))
    for node in tree.root_node.named_children:
        if node.type == "pair":
            _pair(node, (), lines, 0)
        elif node.type in ("table", "table_array_element"):
            _table(node, lines, elements)
    return Places(lines)


def _table(node: Node, lines: dict[Path, int], elements: dict[Path, int]) -> None:
    key = next((child for child in node.named_children if child.type in _KEYS), None)
    if key is None:
        return
    *around, last = _key_path(key)
    path: Path = ()
    for name in around:
        path = _into(path, name, elements)
        lines.setdefault(path, _line(node))
    path = (*path, last)
    if node.type == "table_array_element":
        lines.setdefault(path, _line(node))
        elements[path] = elements.get(path, -1) + 1
        path = (*path, elements[path])
    lines.setdefault(path, _line(node))
    for child in node.named_children:
        if child.type == "pair":
            _pair(child, path, lines, 0)


def _into(path: Path, name: str | int, elements: dict[Path, int]) -> Path:
    path = (*path, name)
    return (*path, elements[path]) if path in elements else path


def _pair(node: Node, around: Path, lines: dict[Path, int], depth: int) -> None:
    children = node.named_children
    if len(children) < 2 or children[0].type not in _KEYS:
        return
    path = around
    for name in _key_path(children[0]):
        path = (*path, name)
        lines.setdefault(path, _line(node))
    _value(children[1], path, lines, depth)


def _value(node: Node, path: Path, lines: dict[Path, int], depth: int) -> None:
    if depth > _DEEPEST:
        return
    if node.type == "array":
        for place, element in enumerate(_elements(node)):
            lines.setdefault((*path, place), _line(element))
            _value(element, (*path, place), lines, depth + 1)
    elif node.type == "inline_table":
        for child in node.named_children:
            if child.type == "pair":
                _pair(child, path, lines, depth + 1)


def _elements(node: Node) -> Iterator[Node]:
    return (child for child in node.named_children if child.type not in ("comment", "ERROR"))


def _line(node: Node) -> int:
    return node.start_point.row + 1


def _key_path(node: Node) -> Path:
    text = (node.text or b"").decode("utf-8", "replace")
    return (text,) if node.type == "bare_key" else _written_key(text)


@cache
def _written_key(text: str) -> Path:
    try:
        inside = tomllib.loads(f"{text} = 0")
    except ValueError:
        return (text,)
    path: list[str] = []
    while isinstance(inside, dict):
        key, inside = next(iter(inside.items()))
        path.append(key)
    return tuple(path)
