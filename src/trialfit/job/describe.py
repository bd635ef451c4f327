"""The key-by-key part of `docs/job-file.md`, made from the records so that it cannot fall behind them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, get_args, get_origin

from pydantic.fields import FieldInfo

from trialfit.job.places import Path
from trialfit.job.port_faults import WRITTEN
from trialfit.job.ports import KINDS, PortKind
from trialfit.job.records import Job, PartEntry
from trialfit.job.shape import bare, of_field, record_of
from trialfit.job.shop import Shop
from trialfit.job.turned_sizes import PATTERN_SIZES, TurnedSizes
from trialfit.job.values import Record
from trialfit.job.wording import example_of, kind_words

_NAMED = {"marks": "PHOTOGRAPH", "PHOTOGRAPH": "POINT"}


def describe() -> str:
    """Describe every key of a job file and of a shop file.

    Returns
    -------
    str
        Markdown: one section a table, one row a key.
    """
    job, shop = ("\n".join(_sections(record, (), "The top of the file")) for record in (Job, Shop))
    return f"## Keys of job.toml\n\n{job}\n## Keys of shop.toml\n\n{shop}"


def _sections(record: type[Record], path: Path, heading: str) -> Iterator[str]:
    yield f"### {heading}\n\n{_purpose(record)}\n\n{_rows(record)}{_besides(record)}"
    found = [_inside(of_field(field), (*path, key)) for key, field in record.model_fields.items()]
    tables = [each for each in found if each is not None]
    for inside in dict.fromkeys(each for each, _, _ in tables):
        headings = " and ".join(heading for each, _, heading in tables if each is inside)
        yield from _sections(inside, next(where for each, where, _ in tables if each is inside), headings)


def _besides(record: type[Record]) -> str:
    """What the rows of a table leave open: ports that a kind has, sizes that a pattern takes."""
    if record is PartEntry:
        rows = (f"| {kind} | {', '.join(map(_port, ports))} |\n" for kind, ports in KINDS.items())
        words = "The names of its ports go by its kind. Where nothing stands behind a port, it may have all four of"
        head = f"{words} {', '.join(WRITTEN.values())}.\n\n| kind | ports |\n|---|---|\n"
        return f"\n{head}{''.join(rows)}"
    if record is TurnedSizes:
        both = ((name, *map(_keys, sizes)) for name, sizes in PATTERN_SIZES.items())
        rows = (f"| {name} | {needed} | {more or 'none'} |\n" for name, needed, more in both)
        return f"\n| pattern | sizes it needs | sizes it may have besides |\n|---|---|---|\n{''.join(rows)}"
    return ""


def _port(port: PortKind) -> str:
    can = [written for feature, written in WRITTEN.items() if feature in port.may_have]
    if len(can) == len(WRITTEN):
        return f"`{port.name}`"
    which = f"{port.gender} " if port.gender else ""
    return f"`{port.name}` ({which}{', '.join(can) or 'held by its shape'})"


def _keys(keys: Iterable[str]) -> str:
    return ", ".join(f"`{key}`" for key in keys)


def _inside(annotation: Any, path: Path) -> tuple[type[Record], Path, str] | None:
    """The record that stands in a field, where, and how its table is headed."""
    plain, _ = bare(annotation)
    inside = record_of(annotation)
    if inside is not None:
        return inside, path, f"`{_dotted(path)}`"
    if get_origin(plain) is dict:
        return _inside(get_args(plain)[1], (*path, _NAMED.get(str(path[-1]), "NAME")))
    kinds = get_args(plain)
    if get_origin(plain) is tuple and kinds[-1] is Ellipsis and record_of(kinds[0]):
        return record_of(kinds[0]) or Record, path, f"`[[{_dotted(path)}]]`"
    return None


def _dotted(path: Path) -> str:
    return ".".join(str(key) for key in path)


def _purpose(record: type[Record]) -> str:
    return (record.__doc__ or "").strip().split("\n")[0].replace("``", "`")


def _rows(record: type[Record]) -> str:
    head = "| key | what it is | what stands there | without it | example |\n|---|---|---|---|---|\n"
    return head + "".join(_row(key, field) for key, field in record.model_fields.items())


def _row(key: str, field: FieldInfo) -> str:
    example = f"`{key} = {example_of(field)}`" if field.examples else "its own keys, below"
    cells = [f"`{key}`", field.description or "", kind_words(of_field(field)), _without(field), example]
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |\n"


def _without(field: FieldInfo) -> str:
    if field.is_required():
        return "**needed**"
    default = field.get_default(call_default_factory=True)
    if default is None or default in ("", (), {}):
        return "left out" if default is None else "none"
    return f"`{str(default).lower() if isinstance(default, bool) else default}`"
