"""How to call a place in a document, and how to say what may stand there."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any, Literal, get_args, get_origin

from annotated_types import Ge, Le
from pydantic.fields import FieldInfo

from trialfit.job.money import Money
from trialfit.job.places import Path
from trialfit.job.shape import bare, record_of
from trialfit.job.spread import Spread
from trialfit.job.toml import value_text
from trialfit.job.values import Measure

_ONE_OF = {
    "phones": "phone",
    "photographs": "photograph",
    "points": "point",
    "parts": "part",
    "ports": "port",
    "pipes": "pipe",
    "tubes": "tube",
    "rims": "rim",
    "readings": "reading",
    "joints": "joint",
    "check_lines": "check line",
    "turned": "turned part",
    "outside": "outside line",
    "from_left": "line from the left",
    "from_right": "line from the right",
    "cross_holes": "cross hole",
    "breaks": "break",
    "assemblies": "assembly",
    "bodies": "body",
    "work": "work",
    "pressure_tests": "pressure test",
    "walls": "wall",
    "seen": "test seen",
    "handles": "handle",
    "sources": "source",
    "balls": "ball valve",
    "settings": "setting",
    "symptoms": "symptom",
    "formers": "former",
    "drills": "drill",
    "drill_sets": "drill set",
    "taps": "tap",
    "dies": "die",
    "reamers": "reamer",
    "bars": "bar",
    "spanners": "spanner",
    "shims": "shim",
    "times": "time taken",
    "post": "way of posting",
    "stock": "stock",
    "materials": "material",
    "choices": "choice",
    "operations": "operation",
    "bands": "band",
    "lines": "line",
    "out": "piece out",
    "transit": "transit piece",
    "enclosed": "enclosed piece",
    "before_and_after": "before and after",
    "flat_prints": "flat print",
}


def called(path: Path) -> str:
    """Call a place in the document as a person would.

    Parameters
    ----------
    path
        Keys from the top; list elements by their place from 0.

    Returns
    -------
    str
        Such as ``pipe feed, tube, wall`` or ``mark cap.face on left``.
    """
    if path[:1] == ("marks",) and len(path) > 1:
        mark = f"mark {path[2]} on {path[1]}" if len(path) > 2 else f"marks on {path[1]}"
        return ", ".join([mark, *(str(key) for key in path[3:] if isinstance(key, str))])
    words: list[str] = []
    keys = list(path)
    while keys:
        key = keys.pop(0)
        if isinstance(key, str) and key in _ONE_OF and keys:
            which = keys.pop(0)
            words.append(f"{_ONE_OF[key]} {which + 1 if isinstance(which, int) else which}")
        elif isinstance(key, str):
            words.append(key)
    return ", ".join(words)


def kind_words(annotation: Any) -> str:
    """Say what may stand somewhere.

    Parameters
    ----------
    annotation
        As `annotation_at` gives it.

    Returns
    -------
    str
        Such as ``a length above zero``, ``one of "long", "short"``, ``a table``.
    """
    plain, marks = bare(annotation)
    spread = next((mark for mark in marks if isinstance(mark, Spread)), None)
    if spread:
        one = kind_words(Annotated[Any, spread.of]) if spread.of else "a number above zero"
        return f"{one}, or a list of low, likely and high"
    measure = next((mark for mark in marks if isinstance(mark, Measure)), None)
    if measure:
        tail = {"any": "", "not negative": " of zero or more", "above zero": " above zero"}[measure.sign]
        kind = {"angle": "an angle", "pixels": "a number of pixels"}.get(measure.kind, f"a {measure.kind}")
        return kind + tail
    money = next((mark for mark in marks if isinstance(mark, Money)), None)
    if money:
        return 'an amount in quotes such as "12.50"' + (", above zero" if money.above_zero else "")
    if get_origin(plain) is Literal:
        return "one of " + ", ".join(f'"{choice}"' for choice in get_args(plain))
    if record_of(plain):
        return "a table"
    if get_origin(plain) is dict:
        return "a table of names"
    if get_origin(plain) is tuple:
        kinds = get_args(plain)
        if kinds[-1] is Ellipsis:
            return "a list of tables" if record_of(kinds[0]) else f"a list, each {kind_words(kinds[0])}"
        return f"a list of {len(kinds)}, each {kind_words(kinds[0])}"
    return {str: "text in quotes", float: "a number", bool: "true or false", date: "a day"}.get(plain, _whole(marks))


def _whole(marks: tuple[Any, ...]) -> str:
    limits = [each for mark in marks for each in (getattr(mark, "metadata", None) or [mark])]
    least: Any = next((mark.ge for mark in limits if isinstance(mark, Ge)), None)
    most: Any = next((mark.le for mark in limits if isinstance(mark, Le)), None)
    if least is not None and least == most:
        return f"the number {least}"
    tail = f" from {least} to {most}" if most is not None else f" of at least {least}" if least is not None else ""
    return "a whole number" + tail


def example_of(field: FieldInfo) -> str:
    """Write a field's example as it would stand in a file.

    Parameters
    ----------
    field
        Of a record.

    Returns
    -------
    str
        TOML; empty where the field has none.
    """
    if field.examples:
        example = field.examples[0]
        return str(example) if bare(field.annotation)[0] is date else value_text(example)
    inside = record_of(field.annotation)
    if inside is None:
        return ""
    needed = {key: example_of(each) for key, each in inside.model_fields.items() if each.is_required()}
    return "{ " + ", ".join(f"{key} = {text}" for key, text in needed.items()) + " }"
