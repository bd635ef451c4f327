"""Ports that their kind of part does not have, and what a port cannot have."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, get_args

from trialfit.errors import Refusal
from trialfit.job.found import Found
from trialfit.job.nearest import did_you_mean
from trialfit.job.places import Path
from trialfit.job.ports import KINDS, Feature, PortKind
from trialfit.job.records import Kind
from trialfit.job.written import table, tables, text

# What the job document calls a bore.
WRITTEN: dict[Feature, str] = {"thread": "thread", "seat": "seat", "tube": "tube", "bore": "socket"}


def port_faults(document: dict[str, Any]) -> list[Found]:
    """Find every port that its part cannot have.

    Parameters
    ----------
    document
        As read from TOML; whatever in it is of the wrong kind is passed over.

    Returns
    -------
    list
        One fault a mistake.
    """
    return [
        found
        for name, entry in tables(document, "parts").items()
        for kind in get_args(Kind)
        if entry.get("kind") == kind
        for found in part_faults(name, kind, table(entry, "ports"))
    ]


def part_faults(part: str, kind: Kind, ports: Mapping[str, object]) -> Iterator[Found]:
    """Find what is wrong with the ports of one part.

    Parameters
    ----------
    part, kind
        Its name and kind.
    ports
        Its ports as they are written, by name.

    Yields
    ------
    Found
        One fault a mistake.
    """
    known = {port.name: port for port in KINDS[kind]}
    for name, given in ports.items():
        path: Path = ("parts", part, "ports", name)
        if name in known:
            yield from _cannot_have(path, kind, known[name], table(given))
        elif name.strip() and "." not in name:
            fault = no_such_port(part, kind, name, known).fault
            yield Found(path, fault.got, fault.wanted, fault.remedy, fault.what)


def _cannot_have(path: Path, kind: Kind, port: PortKind, given: Mapping[str, object]) -> Iterator[Found]:
    can = [written for feature, written in WRITTEN.items() if feature in port.may_have]
    for feature, written in WRITTEN.items():
        if given.get(written) is not None and feature not in port.may_have:
            remedy = "Take it out, or put it on the port it belongs to."
            only = f"only {' or '.join(can)}" if can else "nothing to mate by"
            wanted = f"{only} on this port of {a_or_an(kind)}"
            yield Found((*path, written), f"a {written}", wanted, remedy, f"part {path[1]}, port {port.name}")
    genders = {"thread": text(given, "gender"), "seat": text(table(given, "seat"), "gender")}
    for what, gender in genders.items():
        if gender in ("male", "female") and port.gender not in (None, gender) and what in port.may_have:
            remedy = f"Call it {port.gender}, or call the part by another kind."
            at = (*path, "gender") if what == "thread" else (*path, "seat", "gender")
            wanted = f"a {port.gender} {what}, as every {kind} has"
            yield Found(at, f"a {gender} {what}", wanted, remedy, f"part {path[1]}, port {port.name}")


def no_such_port(part: str, kind: str, name: str, known: Iterable[str]) -> Refusal:
    """Refuse a port's name that its kind of part does not have.

    Parameters
    ----------
    part, kind
        The part and its kind.
    name
        What was written.
    known
        The ports its kind has.

    Returns
    -------
    Refusal
        To be raised.
    """
    either, all_of = (listed(known, join) for join in ("or", "and"))
    remedy = did_you_mean(name, known, f"{a_or_an(kind).capitalize()} has {all_of}.")
    return Refusal(f"part {part}, {a_or_an(kind)}", f'the port "{name}"', either, remedy)


def listed(names: Iterable[str], join: str) -> str:
    """Write names in a row.

    Parameters
    ----------
    names
        One or more.
    join
        The word before the last: and, or.

    Returns
    -------
    str
        Such as ``inlet, outlet and cap``.
    """
    *first, last = names
    return f"{', '.join(first)} {join} {last}" if first else last


def a_or_an(kind: str) -> str:
    """Write a kind of part with its article.

    Parameters
    ----------
    kind
        The kind; a union is spoken with a consonant.

    Returns
    -------
    str
        Such as ``a union nut`` or ``an elbow``.
    """
    return f"{'an' if kind[0] in 'aeio' else 'a'} {kind}"
