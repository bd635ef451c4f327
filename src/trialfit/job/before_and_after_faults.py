"""Names in what is shown before and after or printed flat: each must be there, the photograph of the right kind."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from trialfit.job.found import Found, unknown_name
from trialfit.job.places import Path
from trialfit.job.written import table, tables, text

_KEY = "before_and_after"


def before_and_after_faults(document: dict[str, Any]) -> list[Found]:
    """Find every reference to nothing, and what a photograph of the bench cannot give.

    Parameters
    ----------
    document
        As read from TOML; whatever in it is of the wrong kind is passed over.

    Returns
    -------
    list
        One fault each.
    """
    return [*_sides(document), *_flat(document), *_bench(document)]


def _sides(document: dict[str, Any]) -> Iterator[Found]:
    photographs, points = tables(document, "photographs"), table(document, "points")
    for name, entry in tables(document, _KEY).items():
        for side in ("before", "after"):
            path: Path = (_KEY, name, side)
            shown, point = text(table(entry, side), "photograph"), text(table(entry, side), "point")
            if shown is not None and shown not in photographs:
                otherwise = "Add it under [photographs]; one of the bench with bench = true."
                yield unknown_name((*path, "photograph"), "photograph", shown, photographs, otherwise)
            if point is not None and point not in points:
                yield unknown_name((*path, "point"), "point", point, points, "Name a point of [points].")
            elif point is not None and photographs.get(shown or "", {}).get("bench") is True:
                yield Found(
                    (*path, "point"), f"a point in {shown}, a photograph of the bench", "a photograph of the survey",
                    "Lay the scale card beside the piece, or give two marks and how far they are apart.",
                )  # fmt: skip
            by_card = side in entry and not {"marks", "point"} & set(table(entry, side))
            if by_card and "card" not in document:
                remedy = "Say under [card] which card lies in it, or give two marks and how far they are apart."
                yield Found(path, "nothing that gives its scale", "a card, two marks or a point", remedy)


def _flat(document: dict[str, Any]) -> Iterator[Found]:
    photographs, points = tables(document, "photographs"), table(document, "points")
    for name, entry in tables(document, "flat_prints").items():
        path: Path = ("flat_prints", name)
        shown, around = text(entry, "photograph"), text(entry, "around")
        if shown is not None and shown not in photographs:
            yield unknown_name((*path, "photograph"), "photograph", shown, photographs, "Add it under [photographs].")
        elif photographs.get(shown or "", {}).get("bench") is True:
            remedy = "Name a photograph of the engine; one of the bench goes under [before_and_after]."
            yield Found((*path, "photograph"), f"{shown}, of the bench", "a photograph of the survey", remedy)
        through = entry.get("through")
        named: list[tuple[Path, object]] = [(("around",), around)]
        named += [(("through", n), each) for n, each in enumerate(through if isinstance(through, list) else [])]
        for key, point in named:
            if isinstance(point, str) and point not in points:
                yield unknown_name((*path, *key), "point", point, points, "Name a point of [points].")


def _bench(document: dict[str, Any]) -> Iterator[Found]:
    """What a photograph of the bench must not have: the survey would take it for one of the engine."""
    for key, kind in (("marks", "marks of points"), ("edges", "edges of tubes"), ("rim_marks", "marks of rims")):
        for name in table(document, key):
            if tables(document, "photographs").get(name, {}).get("bench") is True:
                remedy = "Take the marks out, or bench = true if it does show the engine."
                yield Found((key, name), f"{kind} in a photograph of the bench", "photographs of the engine", remedy)
